"""Numbers as cooks write and say them: "1 1/2", "1½", "2–3", "half a dozen"."""

import re
from fractions import Fraction
from typing import NamedTuple

from assistant.measure.exact import MeasureError

LONGEST = 200
_VULGAR = {
    "¼": (1, 4), "½": (1, 2), "¾": (3, 4), "⅐": (1, 7), "⅑": (1, 9), "⅒": (1, 10),
    "⅓": (1, 3), "⅔": (2, 3), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5),
    "⅙": (1, 6), "⅚": (5, 6), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8), "↉": (0, 3),
}  # fmt: skip
_SMALL = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_PARTS = {
    "half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4,
    "fifth": 5, "fifths": 5, "sixth": 6, "sixths": 6, "eighth": 8, "eighths": 8,
    "tenth": 10, "tenths": 10, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
_ARTICLES = ("a", "an")
_GLUE = ("and", "or", "to", "of", "dozen", "couple", "hundred")
WORDS = frozenset([*_SMALL, *_TENS, *_PARTS, *_ARTICLES, *_GLUE])
"""Every word that may stand in a number."""
STARTERS = frozenset([*_SMALL, *_TENS, *_ARTICLES, "half", "quarter", *_GLUE[4:]]) - {"zero"}
"""The words at which a number in a sentence may begin; "zero" there is mostly no amount."""
_DASHES = frozenset("-‐‑‒–—")
_KITCHEN = (1, 2, 3, 4, 6, 8, 16)
_MOST_DECIMALS = 4

_TOKEN = re.compile(
    r"(?P<top>[0-9]+)\s?[/⁄∕]\s?(?P<bottom>[0-9]+)"
    r"|(?P<plain>(?:[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+)"
    rf"|(?P<vulgar>[{''.join(_VULGAR)}])"
    r"|⅟(?P<under>[0-9]+)"
    r"|(?P<word>[^\W\d_]+)"
    r"|(?P<sign>[-‐‑‒–—&])"
)
_BY_ZERO = re.compile(r"[/⁄∕]\s?0+(?![0-9.])")
_MOST_TOKENS = 24
_BROKEN = re.compile(r"[.,:/⁄∕][0-9]|(?:st|nd|rd|th)\b|[0-9¼-¾⅐-⅟↉]", re.IGNORECASE)
_BROKEN_WORD = re.compile(r"['’]|\.[^\W\d_]|[0-9_]")


class _Token(NamedTuple):
    kind: str  # "plain", "part" (a written fraction), "word" or "sign"
    value: Fraction
    word: str
    start: int
    end: int


class _End(NamedTuple):
    value: Fraction
    next: int
    dozen: bool = False


class _Nonsense(Exception):
    """Digits that make no number, such as 1/0: nothing may be read in their place."""


def read_number(text: str) -> Fraction:
    """Return the one number the whole text says; MeasureError for a range or anything else."""
    low, high = read_range(text)
    if low != high:
        raise _refuse(text, "it is a range, not one number")
    return low


def read_range(text: str) -> tuple[Fraction, Fraction]:
    """Return both ends of the range the whole text says; they are equal for a single number."""
    if len(text) > LONGEST:
        raise _refuse(text, f"it is longer than {LONGEST} characters")
    taken = take_number(text)
    if taken is None:
        raise _refuse(text, why_not(text) or "it is not a number I know")
    low, high, rest = taken
    if rest:
        raise _refuse(text, f'"{rest}" is left over after the number')
    return low, high


def _refuse(text: str, problem: str) -> MeasureError:
    expected = 'a number such as "2", "1 1/2", "0.5", "2–3" or "half a dozen"'
    return MeasureError(text, problem, expected=expected)


def why_not(text: str) -> str:
    """Return why no number starts the text, or "" when there is nothing more to say about it."""
    if not text.strip():
        return "there is nothing in it"
    if _BY_ZERO.search(text):
        return "nothing can be divided by zero"
    return ""


def take_number(text: str) -> tuple[Fraction, Fraction, str] | None:
    """Read a number or a range at the start of the text.

    Returns its two ends (equal for one number) and the rest, which is always the end of the text
    without leading spaces; None when the text does not start with a number, or starts with
    something that only looks like one (a date, a time, 1/0, a range that goes down). Only the first
    200 characters are looked at, so the time does not grow with what follows.
    """
    start = len(text) - len(text.lstrip())
    head = text[start : start + LONGEST]
    try:
        tokens = _tokens(head)
        first = _one(tokens, 0)
        if first is None:
            return None
        low, high, used = _range(tokens, first)
    except _Nonsense:
        return None
    last = tokens[used - 1]
    cut_short = last.end == len(head) and start + last.end < len(text)
    broken = _BROKEN_WORD if last.kind == "word" else _BROKEN
    if low > high or cut_short or broken.match(head, last.end):
        return None
    return low, high, text[start + last.end :].lstrip()


def _tokens(head: str) -> list[_Token]:
    tokens: list[_Token] = []
    at = 0
    while len(tokens) < _MOST_TOKENS:
        while at < len(head) and head[at].isspace():
            at += 1
        found = _TOKEN.match(head, at)
        if found is None:
            break
        word = (found["word"] or found["sign"] or "").lower()
        if found["word"] and word not in WORDS:
            break
        tokens.append(_Token(*_valued(found), word, found.start(), found.end()))
        at = found.end()
    return tokens


def _valued(found: re.Match[str]) -> tuple[str, Fraction]:
    if found["top"] or found["under"]:
        bottom = int(found["bottom"] or found["under"])
        if bottom == 0:
            raise _Nonsense
        return "part", Fraction(int(found["top"] or 1), bottom)
    if found["vulgar"]:
        return "part", Fraction(*_VULGAR[found["vulgar"]])
    if found["plain"]:
        return "plain", Fraction(found["plain"].replace(",", ""))
    return ("word" if found["word"] else "sign"), Fraction(0)


def _is(tokens: list[_Token], i: int, *words: str) -> bool:
    return i < len(tokens) and tokens[i].word in words


def _kind(tokens: list[_Token], i: int) -> str:
    return tokens[i].kind if i < len(tokens) else ""


def _one(tokens: list[_Token], i: int) -> _End | None:
    """Read one number from token i on: digits, words, a part, "and a half", dozens."""
    found = _part(tokens, i) or _digits(tokens, i) or _words(tokens, i)
    if found is None:
        return None
    i = found.next
    if _is(tokens, i, "dozen"):
        return _End(found.value * 12, i + 1, dozen=True)
    return found


def _part(tokens: list[_Token], i: int) -> _End | None:
    """Read a fraction below one and the "of a" that belongs to it: "half a", "3/4 of a"."""
    if _kind(tokens, i) == "part":
        found = _End(tokens[i].value, i + 1)
    elif (spoken := _spoken_part(tokens, i)) is not None:
        found = spoken
    else:
        return None
    half = tokens[found.next - 1].word == "half"
    after = found.next + _is(tokens, found.next, "of")
    if _is(tokens, after, *_ARTICLES) and (half or after > found.next):
        return _End(found.value, after + 1)
    return found


def _spoken_part(tokens: list[_Token], i: int) -> _End | None:
    if _is(tokens, i, "half", "quarter"):
        return _End(Fraction(1, _PARTS[tokens[i].word]), i + 1)
    top = (
        1 if _is(tokens, i, *_ARTICLES) else _SMALL.get(tokens[i].word) if i < len(tokens) else None
    )
    if top is None and _kind(tokens, i) == "plain" and tokens[i].value.denominator == 1:
        top = tokens[i].value.numerator
    i += 1 if _is(tokens, i + 1, *_PARTS) else 2 if _is(tokens, i + 1, *_DASHES) else 1
    if top is None or not _is(tokens, i, *_PARTS) or (top > 1 and tokens[i].word[-1] != "s"):
        return None
    return _End(Fraction(top, _PARTS[tokens[i].word]), i + 1)


def _digits(tokens: list[_Token], i: int) -> _End | None:
    """Read digits and the fraction that belongs to them: "1 1/2", "1½", "1-1/2", "1 and 1/2"."""
    if _kind(tokens, i) != "plain":
        return None
    whole = tokens[i].value
    if whole.denominator != 1:
        return _End(whole, i + 1)
    dash = 1 if whole > 0 and _is(tokens, i + 1, *_DASHES) else 0
    part = tokens[i + 1 + dash] if _kind(tokens, i + 1 + dash) == "part" else None
    glued = dash and part is not None and part.start - tokens[i].end == 1
    if part is not None and (glued or not dash):
        if part.value < 1:
            return _End(whole + part.value, i + 2 + dash)
        if not dash:
            raise _Nonsense
    return _and_part(tokens, _End(whole, i + 1))


def _and_part(tokens: list[_Token], whole: _End) -> _End:
    if _is(tokens, whole.next, "and", "&"):
        part = _part(tokens, whole.next + 1)
        if part is not None and part.value < 1:
            return _End(whole.value + part.value, part.next)
    return whole


def _words(tokens: list[_Token], i: int) -> _End | None:
    """Read number words: "twenty-five", "one hundred and twenty", "a couple of", "a dozen"."""
    if i >= len(tokens) or tokens[i].kind != "word":
        return None
    article = _is(tokens, i, *_ARTICLES)
    if _is(tokens, i + article, "couple"):
        after = i + article + 1
        return _End(Fraction(2), after + _is(tokens, after, "of"))
    if _is(tokens, i + article, "dozen"):
        whole = _End(Fraction(12), i + article + 1, dozen=True)
        return _and_half_dozen(tokens, whole)
    bare_hundred = _is(tokens, i, "hundred")
    one = article or bare_hundred
    count = _End(Fraction(1), i + article) if one else _below_hundred(tokens, i)
    if count is None:
        return None
    if _is(tokens, count.next, "hundred"):
        hundreds = _End(count.value * 100, count.next + 1)
        more = _below_hundred(tokens, hundreds.next + _is(tokens, hundreds.next, "and"))
        count = _End(hundreds.value + more.value, more.next) if more else hundreds
    return count if article else _and_part(tokens, count)


def _and_half_dozen(tokens: list[_Token], dozen: _End) -> _End:
    with_part = _and_part(tokens, _End(Fraction(1), dozen.next))
    return _End(with_part.value * 12, with_part.next, dozen=True)


def _below_hundred(tokens: list[_Token], i: int) -> _End | None:
    if i >= len(tokens):
        return None
    word = tokens[i].word
    if word in _SMALL:
        return _End(Fraction(_SMALL[word]), i + 1)
    if word not in _TENS:
        return None
    after = i + 1 + _is(tokens, i + 1, *_DASHES)
    ones = _SMALL.get(tokens[after].word, 0) if after < len(tokens) else 0
    if 1 <= ones <= 9:
        return _End(Fraction(_TENS[word] + ones), after + 1)
    return _End(Fraction(_TENS[word]), i + 1)


def _range(tokens: list[_Token], first: _End) -> tuple[Fraction, Fraction, int]:
    """Return the two ends and the number of tokens used, starting from the first number read."""
    i = first.next
    if not _is(tokens, i, "to", "or", *_DASHES):
        return first.value, first.value, i
    article = _is(tokens, i + 1, *_ARTICLES) and not _is(tokens, i + 2, *_PARTS, "dozen")
    second = None if article else _one(tokens, i + 1)
    if second is None:
        return first.value, first.value, i
    low = first.value * 12 if second.dozen and not first.dozen else first.value
    return low, second.value, second.next


def show_number(number: Fraction) -> str:
    """Return the shortest exact text of a number of at least zero.

    Kitchen fractions (halves to sixteenths) as "1 1/2"; other numbers as decimals where at most
    four places say them exactly ("0.35"); the rest as a fraction ("2/7", "1 2/7").
    `read_number` of the text gives the number back.
    """
    if number < 0:
        raise _refuse(str(number), "an amount is never below zero")
    top, bottom = number.numerator, number.denominator
    if bottom not in _KITCHEN and 10**_MOST_DECIMALS % bottom == 0:
        digits = str(top * 10**_MOST_DECIMALS // bottom).rjust(_MOST_DECIMALS + 1, "0")
        return f"{digits[:-_MOST_DECIMALS]}.{digits[-_MOST_DECIMALS:]}".rstrip("0")
    whole, over = divmod(top, bottom)
    if over == 0:
        return str(whole)
    return f"{whole} {over}/{bottom}" if whole else f"{over}/{bottom}"
