"""Words of a text: folded spelling, tokens with their place in the original, stop words.

Everything here takes time linear in the text. Cutting an overlong text is the caller's business.
"""

from __future__ import annotations

import re
from functools import lru_cache
from unicodedata import category, combining, normalize

import msgspec

from assistant.retrieval.stems import singular, stem

__all__ = ["Token", "fold", "singular", "stem", "stop_words", "tokens"]

# Signs with one plain spelling. The ring and the two ordinal signs are what people type for a
# degree; the prime and the loose accents are what they type for an apostrophe.
_PLAIN = (
    dict.fromkeys("‘’‚‛ʼʹ′´", "'")
    | dict.fromkeys("“”„‟«»″", '"')
    | dict.fromkeys("‐‑‒–—―−﹘﹣", "-")
    | dict.fromkeys("⁄∕", "/")
    | dict.fromkeys("º˚", "°")
)
_CONTROLS = dict.fromkeys((*range(32), 127), " ")

_VULGAR = "¼-¾⅐-⅞↉"
_LETTER = rf"[^\W\d_{_VULGAR}]"
_TOKEN = re.compile(
    # 1,000 is one number, "1,2" is two; 12:05, 1/2 and 2.5 are one; "1½" stays as it stands.
    rf"\d+(?:(?:[.:/]|,(?=\d{{3}}(?!\d)))\d+)*[{_VULGAR}]?"
    rf"|(?<![\w.])\.\d+"
    rf"|[{_VULGAR}]"
    rf"|{_LETTER}(?:{_LETTER}|\d|'(?={_LETTER}))*"
    r"|°(?:[a-z](?!\w))?"
    r"|[%&]"
)
# A single line break is no break: mails are wrapped in the middle of names.
_BREAK = re.compile(r'[,.;:!?()\[\]"•—]|\n[ \t\r]*\n')


class Token(msgspec.Struct, frozen=True, array_like=True):
    """One word, number or sign of a text.

    `text` is folded; `start` and `end` are offsets into the original text; `after_break` says that
    punctuation or an empty line stands before it, so that no name runs across.
    """

    text: str
    start: int
    end: int
    after_break: bool = False


@lru_cache(maxsize=4096)
def _fold_char(char: str) -> str:
    """What one character becomes: none, one or several characters, folding which changes nothing.

    Going character by character keeps offsets simple. Characters of the class "other number" (½,
    ², ①) stay: compatibility folding would turn 1½ into 11/2 and 10² into 102.
    """
    plain = _PLAIN.get(char)
    if plain is not None:
        return plain
    kind = category(char)
    if kind == "No":
        return char
    if kind in ("Cc", "Cs", "Zs", "Zl", "Zp"):
        return " "
    if kind == "Cf":
        return ""
    bare = "".join(part for part in normalize("NFKD", char) if not combining(part))
    folded = normalize("NFKC", bare.lower())
    if folded == char:
        return folded
    return "".join(_fold_char(part) for part in folded)


def fold(text: str) -> str:
    """`text` in plain spelling: lower case, without accents, quotes and dashes plain.

    Compatibility forms are replaced (NFKC, except fractions and raised digits, which keep their
    meaning), control characters and line breaks become spaces, invisible characters go. Folding
    twice gives the same as folding once. Never raises.
    """
    if text.isascii():
        return text.lower().translate(_CONTROLS)
    return "".join(map(_fold_char, text))


def _fold_with_offsets(text: str) -> tuple[str, list[int], list[int]]:
    """The folded text, and for each of its characters where its original starts and ends.

    An accent that stands behind its letter belongs to that letter.
    """
    parts: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    for place, char in enumerate(text):
        part = _fold_char(char)
        if part:
            parts.append(part)
            starts.extend([place] * len(part))
            ends.extend([place + 1] * len(part))
        elif ends and ends[-1] == place:
            ends[-1] = place + 1
    return "".join(parts), starts, ends


def tokens(text: str) -> list[Token]:
    """The words, numbers and signs (`%`, `&`, `°`) of `text` in order, folded.

    Apostrophes drop out ("don't" is "dont"), hyphenated words are split, "1 1/2" is two tokens and
    "1½" one, "165°F" is "165" and "°f", "7pm" is "7" and "pm", "12:05" is one. Other punctuation
    is left out, and noted in the next token's `after_break`. Never raises; empty text gives none.
    """
    return list(_short(text)) if len(text) <= _SHORT else _cut(text)


# Names and single words are cut again and again; a question is cut once.
_SHORT = 60


@lru_cache(maxsize=16384)
def _short(text: str) -> tuple[Token, ...]:
    return tuple(_cut(text))


def _cut(text: str) -> list[Token]:
    if text.isascii():
        folded, starts, ends = fold(text), None, None
    else:
        folded, starts, ends = _fold_with_offsets(text)
    found: list[Token] = []
    last = 0
    for match in _TOKEN.finditer(folded):
        start, end = match.span()
        if starts is not None and ends is not None:
            start, end = starts[start], ends[end - 1]
        # Most words stand one space apart.
        apart = start > last and not (start == last + 1 and text[last] == " ")
        broken = apart and bool(found) and _BREAK.search(text, last, start) is not None
        found.append(Token(match.group().replace("'", ""), start, end, broken))
        last = end
    return found


@lru_cache(maxsize=1)
def stop_words() -> frozenset[str]:
    """The words of stop.txt: too common to tell one passage from another. Read once."""
    from pathlib import Path

    lines = Path(__file__).with_name("stop.txt").read_text(encoding="utf-8").splitlines()
    return frozenset(word for line in lines if not line.startswith("#") for word in line.split())
