"""The one door through which every number of the assistant enters, and the error it raises."""

import re
from decimal import Decimal
from fractions import Fraction

_PLAIN = re.compile(
    r"(?P<sign>[-−+]?)(?:(?P<top>[0-9]+)\s?[/⁄]\s?(?P<bottom>[0-9]+)"
    r"|(?P<whole>[0-9]{1,3}(?:,[0-9]{3})+|[0-9]*)(?:\.(?P<decimals>[0-9]+))?)"
)
_LONGEST = 200
_LONGEST_MESSAGE = 500
_WIDEST_EXPONENT = 40


def printable(words: str, longest: int = 60) -> str:
    """Return the words cut to `longest` characters with control characters made visible as `?`.

    Error messages repeat what a stranger typed, and a terminal must never obey it.
    """
    cut = words if len(words) <= longest else words[: longest - 3].rstrip() + "..."
    return "".join(c if c.isprintable() else " " if c in "\t\n\r" else "?" for c in cut)


class MeasureError(ValueError):
    """A number, unit or amount that cannot be used.

    `words` are the user's own, `problem` says what is wrong with them, `expected` what would have
    been understood and `advice` the one next step. `doing` is the verb: read, convert, add.
    """

    def __init__(
        self, words: str, problem: str, *, expected: str, advice: str = "", doing: str = "read"
    ) -> None:
        self.words = words
        self.problem = problem
        self.expected = expected
        self.advice = advice or f"write {expected}"
        message = f'cannot {doing} "{printable(words)}": {problem}; {self.advice}'
        super().__init__(printable(message, _LONGEST_MESSAGE))


def _refuse(words: str, problem: str) -> MeasureError:
    return MeasureError(words, problem, expected='a number such as "2", "1/2" or "0.5"')


def exact(value: int | str | Decimal | Fraction) -> Fraction:
    """Return the value as an exact fraction.

    In: a whole number, a Decimal, a Fraction, or text such as "1/2", "0.5", ".5", "1,200", "-4".
    Raises MeasureError for floats (they have already lost their exact value), for true and false,
    and for text that is no plain number. Phrases such as "one and a half" belong to `read_number`.
    """
    if isinstance(value, bool) or not isinstance(value, int | str | Decimal | Fraction):
        kind = "a binary float" if isinstance(value, float) else f"a {type(value).__name__}"
        raise _refuse(str(value), f"{kind} is not an exact number")
    if isinstance(value, str):
        return _from_text(value)
    if isinstance(value, Decimal) and not (
        value.is_finite() and -_WIDEST_EXPONENT <= value.adjusted() <= _WIDEST_EXPONENT
    ):
        raise _refuse(str(value), "the number is out of range")
    return Fraction(value)


def _from_text(text: str) -> Fraction:
    if len(text) > _LONGEST:
        raise _refuse(text, f"a number has at most {_LONGEST} characters")
    found = _PLAIN.fullmatch(text.strip())
    if found is None or not (found["top"] or found["whole"] or found["decimals"]):
        raise _refuse(text, "it is not a plain number")
    sign = -1 if found["sign"] in ("-", "−") and found["sign"] else 1
    if found["top"]:
        bottom = int(found["bottom"])
        if bottom == 0:
            raise _refuse(text, "nothing can be divided by zero")
        return Fraction(sign * int(found["top"]), bottom)
    decimals = found["decimals"] or ""
    whole = (found["whole"] or "0").replace(",", "")
    return Fraction(sign * int(whole + decimals), 10 ** len(decimals))
