"""Amounts: a number or range with its unit, read from recipe lines and shown exactly."""

from fractions import Fraction
from typing import Any

import msgspec

from assistant.measure.exact import MeasureError, exact
from assistant.measure.numbers import LONGEST, show_number, take_number, why_not
from assistant.measure.units import (
    UNITS,
    Unit,
    convert,
    different,
    find_unit,
    take_unit,
    unit,
    unknown_unit,
)

_EXPECTED = 'an amount such as "2 tbsp", "1 1/2–2 cups", "3 cloves" or "1 (15 oz) can"'
_SIZES = ("small", "medium", "large")
_QUALIFIERS = (
    *_SIZES, "big", "thin", "thick", "heaping", "heaped", "rounded", "scant", "generous",
    "packed", "level",
)  # fmt: skip
_SOLD_BY_SIZE = frozenset(
    ["can", "jar", "package", "bottle", "bag", "box", "carton", "tub", "block", "piece", "knob"]
)
_UNNUMBERED = ("pinch", "dash", "handful", "drop")
_SPOONS_AND_CUPS = ("cup", "tablespoon", "teaspoon", "dash", "pinch")
_HYPHENS = ("-", "‐", "‑")
_MOST_TERMS = 8
_LONGEST_BRACKET = 60

Taken = tuple["Amount", str] | None


class Amount(msgspec.Struct, frozen=True):
    """How much of something: from `low` to `high` (equal unless it is a range) of `unit`.

    `unit` is a unit's name, or "" for a plain count ("2 eggs"). `each` is the size of one counted
    thing: 1 (15 oz) can is low = high = 1, unit "can", each (15, "ounce").
    Raises MeasureError for numbers below zero, ranges that go down and names that are no unit.
    """

    low: Fraction
    high: Fraction
    unit: str = ""
    each: tuple[Fraction, str] | None = None

    def __post_init__(self) -> None:
        numbers = [self.low, self.high] + ([self.each[0]] if self.each else [])
        if not all(isinstance(number, Fraction) for number in numbers):
            raise _unusable(self, "its numbers are not exact", "make the numbers with exact()")
        if not 0 <= self.low <= self.high:
            raise _unusable(self, "it must run from a low end, at least 0, to a high end")
        if self.unit and self.unit not in UNITS:
            raise unknown_unit(f"{self.low} {self.unit}", self.unit)
        if self.each is None:
            return
        size, name = self.each
        if name not in UNITS or UNITS[name].dimension == "count" or size <= 0:
            raise _unusable(self, "the size of one must be a weight, volume or length above 0")
        if self.unit and UNITS[self.unit].dimension != "count":
            raise _unusable(self, "only counted things have a size each")


def _unusable(a: Amount, problem: str, advice: str = "") -> MeasureError:
    words = f"{a.low} to {a.high} {a.unit}".strip()
    return MeasureError(words, problem, expected=_EXPECTED, advice=advice, doing="use")


def amount(low: int | str | Fraction, name: str = "", high: int | str | Fraction = "") -> Amount:
    """Return an amount from plain values: amount("1/2", "cup"), amount(2), amount(2, "cup", 3)."""
    first = exact(low)
    return Amount(first, first if high == "" else exact(high), unit(name).name if name else "")


def enc_hook(value: Any) -> str:
    """Return a Fraction as "a/b" text for msgspec's JSON and msgpack encoders."""
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    raise NotImplementedError(f"no encoding for {type(value).__name__}")


def dec_hook(kind: type, value: Any) -> Any:
    """Return a Fraction from "a/b" text (or a whole number) for msgspec's decoders."""
    if kind is not Fraction:
        raise NotImplementedError(f"cannot read a {kind.__name__}")
    if isinstance(value, str) and value.isascii():
        # A snapshot holds thousands of these, written by enc_hook; the careful door is for people.
        top, _, bottom = value.partition("/")
        if top.isdigit() and bottom.isdigit() and bottom.strip("0"):
            return Fraction(int(top), int(bottom))
    return exact(value)


def read_amount(text: str) -> Amount:
    """Return the amount that the whole text says; MeasureError when any word of it is left over."""
    if len(text) > LONGEST:
        raise _refuse(text, f"it is longer than {LONGEST} characters")
    taken = take_amount(text)
    if taken is not None and not taken[1]:
        return taken[0]
    if taken is not None and taken[0].unit:
        raise _refuse(text, f'"{taken[1]}" is left over after the amount')
    number = take_number(text)
    after = number[2].lstrip("".join(_HYPHENS)).split() if number else []
    if after and find_unit(after[0]):
        raise _refuse(text, "it leaves the amount open")
    if after and after[0][0].isalpha():
        raise unknown_unit(text, after[0])
    if after:
        raise _refuse(text, f'"{after[0]}" is no unit')
    raise _refuse(text, why_not(text) or "it does not say how much")


def _refuse(text: str, problem: str) -> MeasureError:
    return MeasureError(text, problem, expected=_EXPECTED)


def take_amount(text: str) -> tuple[Amount, str] | None:
    """Read the amount at the start of an ingredient line and return it with what follows.

    "2 tbsp canola oil" gives 2 tablespoons and "canola oil"; "1 lb 4 oz chicken" gives 20 ounces;
    an "of" is dropped. A word before the unit that changes how much it holds is kept at the front
    of what follows: "2 large cloves garlic" gives 2 cloves and "large garlic". None when the text
    does not start with an amount, or starts with something that only looks like one ("2% milk",
    "9 x 13-inch pan", "3rd") or leaves the amount open ("6-ounce fillets", how many?).
    """
    taken = _sum(text)
    if taken is None:
        return None
    found, rest = taken
    word = next((word for word in ("to ", "or ", "–", "-") if rest.startswith(word)), "")
    upper = _sum(rest.removeprefix(word)) if word and not found.each else None
    same_unit = upper is not None and found.unit == upper[0].unit
    if upper is not None and _same_kind(found, upper[0]) and (same_unit or word != "or "):
        name = _smaller(found, upper[0])
        low = convert(found.low, found.unit, name)
        high = convert(upper[0].high, upper[0].unit, name)
        if low > high:
            return None
        found, rest = Amount(low, high, name), upper[1]
    return found, rest[2:].lstrip() if f"{rest} ".startswith("of ") else rest


def _same_kind(a: Amount, b: Amount) -> bool:
    """Say whether both are measured (not only counted) and in the same dimension."""
    if not (a.unit and b.unit):
        return False
    return UNITS[a.unit].dimension == UNITS[b.unit].dimension != "count"


def _smaller(a: Amount, b: Amount) -> str:
    return a.unit if UNITS[a.unit].factor <= UNITS[b.unit].factor else b.unit


def _sum(text: str) -> Taken:
    """Read one amount and those added to it: "1 lb 4 oz", "1 cup + 2 tbsp", "a cup and a half"."""
    taken = _term(text)
    for _ in range(_MOST_TERMS):
        if taken is None or not taken[0].unit:
            return taken
        found, rest = taken
        word = next((word for word in ("+", "plus ", "and ", "& ") if rest.startswith(word)), "")
        more = _term(rest.removeprefix(word))
        if more is None or not _same_kind(found, more[0]):
            break
        size, other = UNITS[found.unit].factor, UNITS[more[0].unit].factor
        below_one = word != "" and more[0].high < 1 and size == other
        if not (word in ("+", "plus ") or other < size or below_one):
            break
        taken = add(found, more[0]), more[1]
    return _and_a_half(*taken) if taken else None


def _and_a_half(found: Amount, rest: str) -> Taken:
    """Add the part of "a cup and a half of rice"; None when it is not certain whose half it is."""
    part = take_number(rest.removeprefix("and ")) if rest.startswith("and ") else None
    if part is None or part[0] >= 1:
        return found, rest
    ended = f"{part[2]} ".startswith(("of ", " "))
    if not ended or part[0] != part[1] or found.low != found.high:
        return None
    whole = found.low + part[0]
    return Amount(whole, whole, found.unit, found.each), part[2]


def _term(text: str) -> Taken:
    """Read one number with its unit and the size of one."""
    number = take_number(text)
    if number is None:
        taken = take_unit(text)
        if taken and taken[0].name in _UNNUMBERED and taken[1].startswith("of "):
            return Amount(Fraction(1), Fraction(1), taken[0].name), taken[1]
        return None
    low, high, rest = number
    hyphen = rest.startswith(_HYPHENS)
    start = len(text) - len(rest)
    if hyphen or (rest and not text[start - 1].isspace() and rest[0].isalpha()):
        return _with_unit(low, high, rest[1:] if hyphen else rest, hyphen, needs_unit=True)
    if rest.startswith(("%", "°", "'", "’")):
        return None
    if rest.startswith(("x ", "X ", "×")):
        size = _size(rest[1:].lstrip())
        counted = _counted(low, high, *size) if size else None
        return counted if counted and counted[0].unit else None
    size = _bracket(rest) or _size(rest)
    if size is not None:
        return _counted(low, high, *size)
    if rest[:1].isnumeric():
        return None
    return _with_unit(low, high, rest)


def _size(text: str) -> tuple[tuple[Fraction, str], str] | None:
    """Read the size of one thing at the start of the text: "15 oz", "15-ounce", "1-inch"."""
    number = take_number(text)
    if number is None or number[0] != number[1] or number[0] == 0:
        return None
    rest = number[2][1:] if number[2].startswith(_HYPHENS) else number[2]
    taken = take_unit(rest)
    if taken is None or taken[0].dimension == "count":
        return None
    return (number[0], taken[0].name), taken[1]


def _bracket(text: str) -> tuple[tuple[Fraction, str], str] | None:
    """Read a size in brackets at the start of the text: "(15 oz)", "(6 oz each)"."""
    end = text.find(")", 0, _LONGEST_BRACKET)
    size = _size(text[1:end].strip()) if text.startswith("(") and end > 0 else None
    if size is None or size[1] not in ("", "each"):
        return None
    return size[0], text[end + 1 :].lstrip()


def _counted(low: Fraction, high: Fraction, size: tuple[Fraction, str], rest: str) -> Taken:
    """Finish "1 (15 oz) can" or "2 6-ounce salmon fillets", whose size has been read."""
    found, after, before = _unit_after(rest)
    if found is None:
        return Amount(low, high, "", size), rest
    if found.dimension != "count":
        return None
    return Amount(low, high, found.name, size), before + after


def _with_unit(
    low: Fraction, high: Fraction, rest: str, hyphen: bool = False, needs_unit: bool = False
) -> Taken:
    """Finish a number that its unit follows; without a unit it is a plain count."""
    found, after, before = _unit_after(rest)
    if found is None:
        lone_letter = len(rest.split(maxsplit=1)[0].rstrip(".")) == 1 if rest else False
        return None if needs_unit or lone_letter else (Amount(low, high), rest)
    if found.dimension == "count":
        size = _bracket(after)
        each, after = size or (None, after)
        return Amount(low, high, found.name, each), before + after
    thing = None if before else _package(found, after, hyphen)
    if thing is None:
        return Amount(low, high, found.name), before + after
    package, what = thing
    one_only = low == high > 0 and not after.lower().startswith(package.plural)
    return (
        (Amount(Fraction(1), Fraction(1), package.name, (low, found.name)), what)
        if one_only
        else None
    )


def _package(found: Unit, after: str, hyphen: bool) -> tuple[Unit, str] | None:
    """Return the package that a measure describes: of "15-ounce can" the can.

    Without a hyphen only things sold by size count, so that "2 cups leaf lettuce" stays 2 cups.
    """
    taken = take_unit(after)
    if taken is None or taken[0].dimension != "count" or taken[0].name in _SIZES:
        return None
    sold = taken[0].name in _SOLD_BY_SIZE and found.name not in _SPOONS_AND_CUPS
    return taken if hyphen or sold else None


def _unit_after(text: str) -> tuple[Unit | None, str, str]:
    """Return the unit at the start, what follows it, and the qualifying words put before it."""
    before, rest = "", text
    for _ in range(2):
        word = rest.partition(" ")[0]
        if word.lower().rstrip(",") not in _QUALIFIERS:
            break
        before, rest = f"{before}{word.rstrip(',')} ", rest[len(word) :].lstrip()
    taken = take_unit(rest) if before else None
    if taken is not None and taken[0].name not in _SIZES:
        return taken[0], taken[1], before
    plain = take_unit(text)
    return (plain[0], plain[1], "") if plain else (None, text, "")


def show(a: Amount) -> str:
    """Return the exact text of an amount: "2 tbsp", "1 1/2–2 cups", "1 (15 oz) can".

    `read_amount` of the text gives the amount back.
    """
    number = (
        show_number(a.low) if a.low == a.high else f"{show_number(a.low)}–{show_number(a.high)}"
    )
    size = f" ({show_number(a.each[0])} {UNITS[a.each[1]].label(a.each[0])})" if a.each else ""
    label = f" {UNITS[a.unit].label(a.high)}" if a.unit else ""
    return f"{number}{size}{label}"


def scale(a: Amount, factor: Fraction) -> Amount:
    """Return the amount times a factor of at least zero; the size of one stays what it is.

    Scaling by n and then by 1/n gives the same amount.
    """
    times = exact(factor)
    if times < 0:
        raise MeasureError(
            f"{show(a)} x {times}", "an amount is never below zero",
            expected="a factor of at least zero", doing="scale",
        )  # fmt: skip
    return Amount(a.low * times, a.high * times, a.unit, a.each)


def add(a: Amount, b: Amount) -> Amount:
    """Return the sum in the smaller of the two units, so that the order never matters.

    MeasureError when the two measure different things, or count things of different size.
    """
    if a.unit == b.unit and a.each == b.each:
        return Amount(a.low + b.low, a.high + b.high, a.unit, a.each)
    words = f"{show(a)} and {show(b)}"
    if a.each or b.each or not (a.unit and b.unit):
        raise MeasureError(
            words, "they are counted differently", expected="two amounts of the same kind",
            advice="keep them as two lines", doing="add",
        )  # fmt: skip
    if not _same_kind(a, b):
        raise different(UNITS[a.unit], UNITS[b.unit], words, "add")
    name = _smaller(a, b)
    one, other = convert_amount(a, name), convert_amount(b, name)
    return Amount(one.low + other.low, one.high + other.high, name)


def convert_amount(a: Amount, name: str) -> Amount:
    """Return the same amount in another unit, exactly.

    Counted things become what they hold when their size is known: 2 (15 oz) cans are 30 oz.
    MeasureError when the two measure different things.
    """
    target = unit(name)
    if a.unit == target.name:
        return a
    if a.each is not None and target.dimension != "count":
        size = convert(a.each[0], a.each[1], target.name)
        return Amount(a.low * size, a.high * size, target.name)
    if not a.unit:
        raise MeasureError(
            f"{show(a)} to {name}", "a plain count has no measure",
            expected="an amount with a unit", doing="convert",
            advice="a portion row for the food is needed, which says what one of it weighs",
        )  # fmt: skip
    if not _same_kind(a, Amount(a.low, a.high, target.name)):
        raise different(UNITS[a.unit], target, f"{show(a)} to {name}")
    return Amount(
        convert(a.low, a.unit, target.name), convert(a.high, a.unit, target.name), target.name
    )
