"""Pots and pans: how much a batch fills, what a vessel takes, and how long to the boil.

Everything here is an estimate; the numbers it rests on are records of vocabulary/estimates.yaml,
which an answer states when it uses them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil
from typing import Literal

import msgspec

from assistant.corpus.corpus import line_for
from assistant.corpus.records import Ingredient, Line, Recipe, Step
from assistant.kitchen.clock import needs_of
from assistant.measure.amount import take_amount
from assistant.measure.exact import exact
from assistant.measure.numbers import take_number
from assistant.measure.units import convert, unit

Measure = Literal["volume", "area", "holes", "count"]
Range = tuple[Fraction, Fraction]

_NUMBER = r"(\d+(?:\.\d+)?(?: ?\d/\d)?)"
_SIDES = re.compile(rf"{_NUMBER}\s*(?:-?\s?inch(?:es)?)?\s*(?:x|×|by)\s*{_NUMBER}")
_ACROSS = re.compile(rf"{_NUMBER}[\s-]*(?:inch(?:es)?\b|\")")


class Capacity(msgspec.Struct, frozen=True):
    """What one vessel offers: milliliters, square inches, hollows of a tin, or simply one of it.

    `text` is how it is written: "5 quarts", "18 x 13 inches".
    """

    measure: Measure
    size: Fraction
    text: str


class Batch(msgspec.Struct, frozen=True):
    """What lines weigh together, and those that no portion row weighs."""

    grams: Range
    missing: tuple[str, ...]


def read_capacity(text: str, item: str = "") -> Capacity | None:
    """The capacity of a vessel as a recipe or a cook writes it; None where it says none.

    A round pan counts with the square on its width, so that two round pans compare rightly.
    """
    sides = _SIDES.search(text)
    if sides:
        return Capacity("area", exact(sides[1]) * exact(sides[2]), text)
    across = _ACROSS.search(text)
    if across:
        return Capacity("area", exact(across[1]) ** 2, text)
    taken = take_amount(text)
    if taken is None or not taken[0].unit:
        return None
    amount = taken[0]
    if "muffin" in item and amount.unit == "cup":  # the "cups" of a muffin tin are its hollows
        return Capacity("holes", amount.high, text)
    if unit(amount.unit).dimension != "volume":
        return None
    return Capacity("volume", convert(amount.low, amount.unit, "milliliter"), text)


def how_many(item: str) -> int:
    """How many of it a recipe names: 4 of "4 jars with lids", else 1."""
    taken = take_number(item)
    if taken is None or taken[0] != taken[1] or taken[0].denominator != 1 or taken[0] < 1:
        return 1
    return int(taken[0])


def batch(lines: Sequence[Line], factor: Fraction) -> Batch:
    """The weight of lines for another number of servings. Lines without an amount are left out."""
    low = high = Fraction(0)
    missing = []
    for line in lines:
        if line.amount is None or not line.counted:
            continue
        if line.grams is None:
            missing.append(line.name)
            continue
        low += line.grams[0] * factor
        high += line.grams[1] * factor
    return Batch((low, high), tuple(missing))


def lines_until(recipe: Recipe, step: Step, pantry: Mapping[str, Ingredient]) -> tuple[Line, ...]:
    """The lines that are in the pot at a step: those of the step and of every step it needs."""
    needs = needs_of(recipe.steps)
    steps = {s.id: s for s in recipe.steps}
    wanted = [step.id]
    for ident in wanted:
        wanted += [need for need in needs[ident] if need not in wanted]
    found = (line_for(recipe, name, pantry) for ident in wanted for name in steps[ident].uses)
    used = [line for line in found if line is not None]
    return tuple(line for line in recipe.lines if line in used)


def boiling_step(recipe: Recipe) -> Step | None:
    """The step that brings the dish itself, not only water, to a boil."""
    return next((s for s in recipe.steps if s.heat.startswith("boil") and s.uses), None)


def water_step(recipe: Recipe) -> Step | None:
    """The step that brings a pot of plain water to a boil."""
    return next((s for s in recipe.steps if "boil" in s.done and not s.uses), None)


def vessels(need: Fraction, size: Fraction, fill: Fraction = Fraction(1)) -> int:
    """How many vessels of a size are needed where each may be filled to a part. At least one."""
    return max(1, ceil(need / (size * fill)))


def minutes_to_boil(grams: Range, watts: Range, heat: Fraction, degrees: Fraction) -> Range:
    """Minutes to bring food to the boil: weight x heat x degrees / power, weak burner last.

    Units: grams, watts, joules per gram and degree Celsius, degrees Celsius.
    """
    joules = heat * degrees
    return (
        grams[0] * joules / (max(watts) * 60),
        grams[1] * joules / (min(watts) * 60),
    )


def quarters(value: Fraction, up: bool) -> Fraction:
    """A number of quarts to the quarter: up for what must fit, down for what a vessel takes."""
    fourfold = value * 4
    return Fraction(ceil(fourfold) if up else int(fourfold), 4)
