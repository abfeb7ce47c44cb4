"""Kitchen rounding: what real measuring spoons, cups and scales can measure.

Rounding happens here, when printing, and nowhere before. A printed amount is never more than 5 %
from the exact one (a limit chosen for this assistant, not a published one). Where no spoon or cup
comes that close, the exact amount is printed with the two measures it lies between.
"""

from collections.abc import Callable, Iterator
from fractions import Fraction
from math import ceil, floor
from typing import Literal, NamedTuple

import msgspec

from assistant.measure.amount import Amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.measure.units import UNITS

System = Literal["us", "metric"]
TOLERANCE = Fraction(5, 100)

# Volumes are counted in eighths of a teaspoon, the smallest spoon of a common set.
_SPOON = UNITS["teaspoon"].factor / 8
_SIZES = {"teaspoon": 8, "tablespoon": 24, "cup": 384}
_CUP_PARTS = (0, 96, 128, 192, 256, 288)  # 1/4, 1/3, 1/2, 2/3, 3/4
_TEASPOONS = tuple(8 * whole + part for whole in range(3) for part in (0, 1, 2, 4, 6))[1:]
_TABLESPOONS = (24, 48, 72)
_PINCH = Fraction(1, 2)
_WIDEST_BOTTOM = 100
_LEAST_OUNCES = Fraction(1, 10)
_CUPS_A_QUART, _CUPS_A_GALLON = 4, 16
_NOT_BOUGHT = ("serving", "bowl", "handful", "drop")
_FINER = (Fraction(1, 2), Fraction(1, 10), Fraction(1, 20), Fraction(1, 100))


class Shown(msgspec.Struct, frozen=True):
    """An amount as a cook reads it.

    `text` is what is printed, `exact` the exact amount, `moved` says whether the two differ, `also`
    the other system's measure or "", `aside` the same printed amount in a larger US measure
    ("3 1/2 quarts" beside 14 cups) or "", and `buy` how many whole things to buy, for counted ones.
    """

    text: str
    exact: str
    moved: bool
    also: str = ""
    aside: str = ""
    buy: int | None = None


class _Print(NamedTuple):
    """A printed measure and its value in the dimension's base; `label` is "" for combined ones."""

    number: str
    label: str
    value: Fraction

    @property
    def text(self) -> str:
        return f"{self.number} {self.label}".strip()


class _Term(NamedTuple):
    """So many eighths of a teaspoon, measured with one kind of spoon or cup."""

    size: int
    unit: str

    @property
    def number(self) -> Fraction:
        return Fraction(self.size, _SIZES[self.unit])

    @property
    def fiddly(self) -> int:
        """How awkward the measure is: 0 for whole cups and tablespoons, 4 for the 1/8 tsp spoon."""
        if self.unit != "teaspoon":
            return 0
        return {1: 1, 2: 2, 4: 3, 8: 4}[self.number.denominator]


def kitchen(a: Amount, first: System = "us") -> Shown:
    """Return the amount as real kitchen measures, in the first system with the other beside it.

    Volumes become cups, tablespoons and teaspoons (the fewest measures within 5 %) or mL; weights
    pounds and ounces or grams; counted things keep the exact need and say how many to buy.
    MeasureError when `first` is neither "us" nor "metric".
    """
    if first not in ("us", "metric"):
        raise MeasureError(str(first), "it is no system of measures", expected='"us" or "metric"')
    dimension = UNITS[a.unit].dimension if a.unit else "count"
    if dimension == "count":
        buy = None if a.unit in _NOT_BOUGHT else ceil(a.high)
        return Shown(show(a), show(a), moved=False, also=_size_beside(a), buy=buy)
    if dimension == "energy" or a.high == 0:
        return Shown(show(a), show(a), moved=False)
    ends = [end * UNITS[a.unit].factor for end in dict.fromkeys((a.low, a.high))]
    us, metric = (_printed(ends, printer) for printer in _PRINTERS[dimension])
    chosen, other = (us, metric) if first == "us" else (metric, us)
    printed = chosen or other
    if not printed:
        return Shown(show(a), show(a), moved=False)
    return Shown(
        text=_joined(printed),
        exact=show(a),
        moved=any(one.value != end for one, end in zip(printed, ends, strict=True)),
        also=_joined(other) if chosen else "",
        aside=_aside(us),
    )


def _printed(ends: list[Fraction], printer: Callable[[Fraction], _Print | None]) -> list[_Print]:
    """Return the print of each end, or an empty list when one of them cannot be measured so."""
    every = [printer(end) if end else _Print("0", "", end) for end in ends]
    return [one for one in every if one is not None] if None not in every else []


def _joined(prints: list[_Print]) -> str:
    if not prints:
        return ""
    low, high = prints[0], prints[-1]
    if low.text == high.text:
        return high.text
    if not high.label and not low.value:
        return f"up to {high.text}"
    if not low.value or (low.label and low.label.rstrip("s") == high.label.rstrip("s")):
        return f"{low.number}–{high.text}"
    return f"{low.text} to {high.text}"


def _aside(us: list[_Print]) -> str:
    """Return whole cups, from a quart up, as quarts or gallons when these come out in quarters."""
    cups = us[-1].value / UNITS["cup"].factor if len(us) == 1 and us[0].label == "cups" else 0
    if cups < _CUPS_A_QUART or cups % 1:
        return ""
    gallons = cups >= _CUPS_A_GALLON and cups % 4 == 0
    number = Fraction(cups, _CUPS_A_GALLON if gallons else _CUPS_A_QUART)
    return f"{show_number(number)} {UNITS['gallon' if gallons else 'quart'].label(number)}"


def _size_beside(a: Amount) -> str:
    """Return the size of one counted thing in the system in which it is not written."""
    if a.each is None:
        return ""
    number, name = a.each
    us, metric = _PRINTERS[UNITS[name].dimension]
    written_metric = name.endswith(("gram", "liter", "meter"))
    printed = (us if written_metric else metric)(number * UNITS[name].factor)
    if printed is None:
        return ""
    return f"{printed.text} each" if a.high > 1 else printed.text


def _near(value: Fraction, exact: Fraction) -> bool:
    return abs(value - exact) <= TOLERANCE * exact


def _spoons(milliliters: Fraction) -> _Print | None:
    """Print a volume in cups and spoons: the fewest measures within the tolerance."""
    need = milliliters / _SPOON
    if _near(_PINCH, need):
        return _Print("a pinch (about 1/16 tsp)", "", _PINCH * _SPOON)
    for ways in (_singles(need), _pairs(need), _triples(need)):
        near = [way for way in ways if _near(_size(way), need)]
        if near:
            best = min(near, key=lambda way: _awkward(way, need))
            value = _size(best) * _SPOON
            if len(best) == 1:
                return _Print(show_number(best[0].number), _label(best[0]), value)
            text = " + ".join(f"{show_number(term.number)} {_label(term)}" for term in best)
            return _Print(text, "", value)
    return _between(need)


def _size(way: tuple[_Term, ...]) -> Fraction:
    return Fraction(sum(term.size for term in way))


def _label(term: _Term) -> str:
    return UNITS[term.unit].label(term.number)


def _singles(need: Fraction) -> Iterator[tuple[_Term]]:
    yield from ((_Term(size, "teaspoon"),) for size in _TEASPOONS)
    yield from ((_Term(size, "tablespoon"),) for size in _TABLESPOONS)
    cups = floor(need / _SIZES["cup"])
    for whole in (cups, cups + 1):
        for part in _CUP_PARTS:
            if whole or part:
                yield (_Term(whole * _SIZES["cup"] + part, "cup"),)


def _pairs(need: Fraction) -> Iterator[tuple[_Term, _Term]]:
    spoons = [_Term(size, "teaspoon") for size in _TEASPOONS]
    for (large,) in _singles(need):
        if large.size >= need:
            continue
        if large.unit == "cup":
            yield from ((large, _Term(size, "tablespoon")) for size in _TABLESPOONS)
        if large.unit != "teaspoon":
            yield from ((large, small) for small in spoons)
        elif large.fiddly in (2, 3):
            yield large, _Term(1, "teaspoon")


def _triples(need: Fraction) -> Iterator[tuple[_Term, _Term, _Term]]:
    """Cups, tablespoons and teaspoons together: between 9 and 10 tbsp no pair is near enough."""
    for large, middle in _pairs(need):
        if middle.unit == "tablespoon" and large.size + middle.size < need:
            yield from ((large, middle, _Term(size, "teaspoon")) for size in _TEASPOONS)


def _awkward(way: tuple[_Term, ...], need: Fraction) -> tuple[int, int, Fraction]:
    """Order single measures by error; combined ones by whole percents off, then by awkwardness.

    So "1 cup + 1 tbsp" wins over "1 cup + 2 3/4 tsp" when it is less than 1 % off.
    """
    error = abs(_size(way) - need) / need
    return (floor(error * 100), way[-1].fiddly, error) if len(way) > 1 else (0, 0, error)


def _between(need: Fraction) -> _Print:
    """Print a small volume that no spoon measures, exactly, with the spoons on either side."""
    number = need / 8
    if number.denominator > _WIDEST_BOTTOM and number > Fraction(1, 10):
        number = _rounded(number, Fraction(1, 100))
    lower = [size for size in _TEASPOONS if size < need]
    upper = next(size for size in _TEASPOONS if size > need)
    above = f"{show_number(Fraction(upper, 8))} tsp"
    if need < _PINCH:
        where = "less than a pinch"
    elif not lower:
        where = f"between a pinch and {above}"
    else:
        where = f"between {show_number(Fraction(lower[-1], 8))} and {above}"
    return _Print(f"{show_number(number)} tsp ({where})", "", number * 8 * _SPOON)


def _rounded(value: Fraction, step: Fraction) -> Fraction:
    """Return the nearest multiple of the step; halves go up."""
    return floor(value / step + Fraction(1, 2)) * step


def _stepped(value: Fraction, *steps: Fraction) -> Fraction | None:
    """Return the value rounded to the first step that stays within the tolerance, or None."""
    every = (_rounded(value, step) for step in steps)
    return next((rounded for rounded in every if _near(rounded, value)), None)


def _decimal(value: Fraction) -> str:
    """Return a metric number as cooks write it, in decimals: 1.25, not 1 1/4."""
    return f"{float(value):.4f}".rstrip("0").rstrip(".")


def _metric(
    value: Fraction, steps: tuple[tuple[int, int], ...], name: str, large: str
) -> _Print | None:
    step = next(step for least, step in steps if value >= least)
    rounded = _stepped(value, Fraction(step), *_FINER)
    if rounded is None:
        return None
    unit = UNITS[large if rounded >= UNITS[large].factor else name]
    return _Print(_decimal(rounded / unit.factor), unit.short, rounded)


def _milliliters(value: Fraction) -> _Print | None:
    return _metric(value, ((1000, 50), (50, 5), (0, 1)), "milliliter", "liter")


def _grams(value: Fraction) -> _Print | None:
    return _metric(value, ((100, 5), (0, 1)), "gram", "kilogram")


def _centimeters(value: Fraction) -> _Print | None:
    rounded = _stepped(value, Fraction(1) if value >= 10 else Fraction(1, 2), *_FINER)
    return None if rounded is None else _Print(_decimal(rounded), "cm", rounded)


def _inches(value: Fraction) -> _Print | None:
    inch = UNITS["inch"]
    rounded = _stepped(value / inch.factor, Fraction(1, 4), Fraction(1, 8), Fraction(1, 16))
    if rounded is None:
        return None
    return _Print(show_number(rounded), inch.label(rounded), rounded * inch.factor)


def _pounds(value: Fraction) -> _Print | None:
    """Print a weight in quarter ounces under a pound, in pounds and whole ounces above."""
    ounce = UNITS["ounce"].factor
    need = value / ounce
    if need < _LEAST_OUNCES:
        return None
    rounded = _stepped(need, Fraction(1, 4), *_FINER[1:])
    if rounded is not None and rounded < 16:
        return _Print(show_number(rounded), "oz", rounded * ounce)
    whole = floor(need + Fraction(1, 2))
    pounds, ounces = divmod(whole, 16)
    if not ounces:
        return _Print(str(pounds), "lb", whole * ounce)
    return _Print(f"{pounds} lb {ounces} oz", "", whole * ounce)


_PRINTERS: dict[str, tuple[Callable[[Fraction], _Print | None], ...]] = {
    "volume": (_spoons, _milliliters),
    "weight": (_pounds, _grams),
    "length": (_inches, _centimeters),
}
