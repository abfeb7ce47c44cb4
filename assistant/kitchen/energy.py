"""Energy cross-check: the table's kcal beside 4-4-9-7 on protein, carbohydrate, fat and alcohol.

SR28 mostly uses factors of each food (Atwater specific factors), so the two differ a little, most
for vegetables, fruit and legumes. Source of 4-4-9: 21 CFR 101.9(c)(1)(i); of alcohol 7: memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import msgspec

FACTORS: Mapping[str, int] = {"protein": 4, "carbohydrate": 4, "fat": 9, "alcohol-content": 7}
WIDE = Fraction(1, 10)


class Check(msgspec.Struct, frozen=True):
    """The general-factor sum, what it was made of, and how far the table's energy is from it."""

    energy: Fraction
    terms: tuple[tuple[str, Fraction, int], ...]
    off: Fraction | None
    reasons: tuple[str, ...]


def cross_check(energy: Fraction, grams: Mapping[str, Fraction | None]) -> Check:
    """Check an energy against grams of protein, carbohydrate, fat, alcohol-content and fiber.

    A missing gram counts as nothing and is named among the reasons. `off` is the difference as a
    share of the table's energy, None where that is zero.
    """
    terms = tuple((name, grams.get(name) or Fraction(0), kcal) for name, kcal in FACTORS.items())
    made = sum((value * kcal for _, value, kcal in terms), Fraction(0))
    off = None if energy == 0 else (made - energy) / energy
    return Check(made, terms, off, _reasons(energy, made, grams) if _wide(off) else ())


def _wide(off: Fraction | None) -> bool:
    return off is not None and abs(off) > WIDE


def _reasons(
    energy: Fraction, made: Fraction, grams: Mapping[str, Fraction | None]
) -> tuple[str, ...]:
    found = []
    fiber = grams.get("fiber") or Fraction(0)
    if made > energy and fiber * 2 >= (made - energy) / 2:
        found.append("fiber is counted at 4 kcal/g in the sum but brings 2 kcal/g or less")
    if grams.get("alcohol-content"):
        found.append("alcohol is counted at 7 kcal/g")
    if any(grams.get(name) is None for name in ("protein", "carbohydrate", "fat")):
        found.append("a figure is missing in the sum")
    found.append("SR28 uses factors of each food, which are lower for plants")
    return tuple(found)
