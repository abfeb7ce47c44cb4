"""How fast a hot dish cools in the refrigerator: an estimate, and how shallow it must be.

Newton's law of cooling, T(t) = Ta + (T0 − Ta)·exp(−t/τ), for a slab of food of depth d that gives
off heat at its top and bottom: τ = ρ·c·d / (2·h). Assumed: the food holds heat as water does
(ρ·c = 4.18 MJ per m³ and kelvin, general reference), and h = 15 W per m² and kelvin, still air with
radiation, uncovered (general reference, from memory; 5–25 is the usual range). A thick food mixes
less than water does and cools more slowly. It is an estimate: a thermometer decides.
"""

from __future__ import annotations

from fractions import Fraction
from math import log, pi

HEAT_HELD = 4.18e6
HEAT_GIVEN = 15.0
METER = 39.37  # inches


def minutes_to_cool(depth: Fraction, start: int, end: int, around: int) -> float:
    """Minutes for a slab `depth` inches deep to go from `start` to `end` °F in air of `around` °F.

    Raises ValueError where the air is not colder than the end.
    """
    if not around < end < start or depth <= 0:
        raise ValueError("the air must be colder than the end, and the end than the start")
    constant = HEAT_HELD * (float(depth) / METER) / (2 * HEAT_GIVEN)
    return constant * log((start - around) / (end - around)) / 60


def deepest(limit_minutes: Fraction, start: int, end: int, around: int) -> float:
    """The greatest depth in inches that cools from `start` to `end` °F within the limit."""
    one = minutes_to_cool(Fraction(1), start, end, around)
    return float(limit_minutes) / one


def pot_depth(milliliters: Fraction) -> Fraction:
    """How deep a volume stands in a pot that is as wide as the food is deep, in inches.

    V = π/4 · d² · d, so d = (4V/π)^(1/3): the usual shape of a stockpot. Rounded to tenths.
    """
    centimeters = (4 * float(milliliters) / pi) ** (1 / 3)
    return Fraction(round(centimeters / 2.54 * 10), 10)
