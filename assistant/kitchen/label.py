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
    # Only what is below 2 mg may be declared as nothing, though 2.4 is nearer to 0 than to 5.
    return Fraction(0) if value < 2 else max(Fraction(5), to_step(value, Fraction(5)))


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

    Vitamins and minerals (rounding "micro"): below 2 % 0, then to 2 % up to 10 %, to 5 % up to
    50 %, to 10 % above; all others to the nearest whole per cent. Source: 21 CFR
    101.9(c)(8)(iii) and (d)(7)(ii).
    """
    raw = value / daily_value * 100
    if rounding != "micro":
        return floor(raw + _HALF)
    if raw < 2:
        return 0
    step = 2 if raw <= 10 else 5 if raw <= 50 else 10
    return int(to_step(raw, Fraction(step)))


def undeclared(shown: Fraction, rounding: str) -> tuple[Fraction, Fraction]:
    """The amounts that a declared value may stand for: from the low end up to, not with, the high.

    The inverse of `declared`: sodium declared as 140 mg is anything from 137.5 up to 145 mg. Energy
    below 5 kcal may be declared as 5 or as 0, so a declared 5 reaches down to 2.5.
    """
    limits, steps = _STEPS[rounding]
    if shown == 0:
        return Fraction(0), limits[0]
    below = next(step for limit, step in zip(limits[1:], steps, strict=True) if shown <= limit)
    above = next(step for limit, step in zip(limits[1:], steps, strict=True) if shown < limit)
    low = shown - below / 2
    if rounding == "energy" and shown == 5:
        return low, shown + above / 2
    if rounding == "cholesterol" and shown == 5:
        return limits[0], shown + above / 2
    return max(low, limits[0]), shown + above / 2


_FAR = Fraction(10**9)
# Per band: below the first limit nothing is declared; then each step holds up to the next limit.
_STEPS: dict[str, tuple[tuple[Fraction, ...], tuple[Fraction, ...]]] = {
    "energy": ((Fraction(5), Fraction(50), _FAR), (Fraction(5), Fraction(10))),
    "fat": ((_HALF, Fraction(5), _FAR), (_HALF, Fraction(1))),
    "cholesterol": ((Fraction(2), _FAR), (Fraction(5),)),
    "sodium": ((Fraction(5), Fraction(140), _FAR), (Fraction(5), Fraction(10))),
    "gram": ((_HALF, _FAR), (Fraction(1),)),
    "micro": (
        (Fraction(1, 20), Fraction(10), Fraction(100), _FAR),
        (Fraction(1, 10), Fraction(1), Fraction(10)),
    ),
}


def plain(value: Fraction) -> str:
    """An exact decimal as text, thousands set off: `1,250`, `0.5`."""
    if value.denominator == 1:
        return f"{value.numerator:,}"
    return f"{float(value):,.4f}".rstrip("0").rstrip(".")
