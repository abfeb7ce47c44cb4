"""Declared values: how 21 CFR 101.9(c) rounds each nutrient, and per cent Daily Value.

Halves round up, as the sample labels in the regulation show (potassium 235 mg of 4,700 mg is
5.0 % and is declared as 6 %), so everything here is exact and no binary rounding can creep in.
"""

from __future__ import annotations

from fractions import Fraction
from math import floor

_HALF = Fraction(1, 2)


def to_step(value: Fraction, step: Fraction) -> Fraction:
    """The multiple of `step` nearest to `value`; a value midway goes up."""
    return floor(value / step + _HALF) * step


def declared(value: Fraction, rounding: str) -> Fraction:
    """The declared value of an amount in one serving.

    `rounding` is the band: energy, fat, cholesterol, sodium, gram or micro. Energy is in kcal, fat
    and gram in g, cholesterol and sodium in mg. A band that does not exist raises KeyError.
    Source: 21 CFR 101.9(c)(1) energy, (c)(2) fats, (c)(3) cholesterol, (c)(4) sodium, (c)(6)
    carbohydrate, fiber and sugars, (c)(7) protein.
    """
    return _BANDS[rounding](value)


def declared_text(value: Fraction, rounding: str) -> str:
    """The declared value as it is printed, without its unit: `less than 1`, `7`, `0.5`."""
    if rounding == "gram" and _HALF <= value < 1:
        return "less than 1"
    if rounding == "cholesterol" and 2 <= value <= 5:
        return "less than 5"
    return plain(declared(value, rounding))


def _energy(value: Fraction) -> Fraction:
    if value < 5:
        return Fraction(0)
    return to_step(value, Fraction(5 if value <= 50 else 10))


def _fat(value: Fraction) -> Fraction:
    if value < _HALF:
        return Fraction(0)
    return to_step(value, _HALF if value < 5 else Fraction(1))


def _cholesterol(value: Fraction) -> Fraction:
    return Fraction(0) if value < 2 else to_step(value, Fraction(5))


def _sodium(value: Fraction) -> Fraction:
    if value < 5:
        return Fraction(0)
    return to_step(value, Fraction(5 if value <= 140 else 10))


def _gram(value: Fraction) -> Fraction:
    if value < _HALF:
        return Fraction(0)
    return to_step(value, Fraction(1))


def _micro(value: Fraction) -> Fraction:
    """Vitamins and minerals: the 2016 rule asks for enough digits to carry the per cent; here three
    significant figures, by common practice."""
    if value >= 100:
        return to_step(value, Fraction(10))
    if value >= 10:
        return to_step(value, Fraction(1))
    return to_step(value, Fraction(1, 10))


_BANDS = {
    "energy": _energy,
    "fat": _fat,
    "cholesterol": _cholesterol,
    "sodium": _sodium,
    "gram": _gram,
    "micro": _micro,
}


def percent_daily_value(value: Fraction, daily_value: Fraction, rounding: str) -> int:
    """Per cent of the Daily Value, as declared.

    Vitamins and minerals (rounding "micro"): below 2 % 0, then to 2 % up to 10 %, to 5 % up to 50 %,
    to 10 % above; all others to the nearest whole per cent. Source: 21 CFR 101.9(c)(8)(iii) and
    (d)(7)(ii).
    """
    raw = value / daily_value * 100
    if rounding != "micro":
        return floor(raw + _HALF)
    if raw < 2:
        return 0
    step = 2 if raw <= 10 else 5 if raw <= 50 else 10
    return int(to_step(raw, Fraction(step)))


def plain(value: Fraction) -> str:
    """An exact decimal as text, thousands set off: `1,250`, `0.5`."""
    if value.denominator == 1:
        return f"{value.numerator:,}"
    return f"{float(value):,.4f}".rstrip("0").rstrip(".")
