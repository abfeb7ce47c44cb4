"""Nutrients of a dish: the sum of its parts, exactly, with every gap named.

Values are USDA SR28's, per 100 g of edible portion. A missing value is missing, never zero: the
total over it is a lower bound and says which ingredients lack the figure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Food, Line, Nutrient

Range = tuple[Fraction, Fraction]
ZERO: Range = (Fraction(0), Fraction(0))


class Part(msgspec.Struct, frozen=True):
    """What one line brings: `value` is None where the figure is missing, and `why` says why."""

    line: Line
    value: Range | None
    per_100g: Fraction | None
    why: str = ""


class Total(msgspec.Struct, frozen=True):
    """The sum for one nutrient over some lines, in the nutrient's unit.

    `missing` are parts without a figure (the sum is "at least"), `left_out` are lines that are not
    counted by their nature: to taste, optional, or marked so.
    """

    nutrient: Nutrient
    low: Fraction
    high: Fraction
    parts: tuple[Part, ...]
    missing: tuple[Part, ...]
    left_out: tuple[Line, ...]

    def over(self, servings: Fraction) -> Range:
        """The total divided by a number of servings."""
        return self.low / servings, self.high / servings


class Table:
    """The foods that a corpus uses, with its columns, ready to be asked for values."""

    def __init__(self, columns: Sequence[str], foods: Mapping[str, Food]) -> None:
        self._place = {column: i for i, column in enumerate(columns)}
        self.foods = foods

    def value(self, code: str, nutrient: Nutrient) -> Fraction | None:
        """The nutrient in 100 g of a food; None where the table has no figure."""
        food = self.foods.get(code)
        if food is None:
            return None
        value = food.values[self._place[nutrient.column]]
        return None if value is None else Fraction(value)


def total(lines: Sequence[Line], nutrient: Nutrient, table: Table) -> Total:
    """Add up one nutrient over the lines of a dish (the whole dish, not a serving).

    Optional lines, lines without an amount ("to taste") and lines marked as not counted are left
    out and named.
    """
    low = high = Fraction(0)
    parts, missing, left_out = [], [], []
    for line in lines:
        if line.optional or not line.counted or line.amount is None:
            left_out.append(line)
            continue
        part = _part(line, nutrient, table)
        if part.value is None:
            missing.append(part)
            continue
        parts.append(part)
        low += part.value[0]
        high += part.value[1]
    return Total(nutrient, low, high, tuple(parts), tuple(missing), tuple(left_out))


def _part(line: Line, nutrient: Nutrient, table: Table) -> Part:
    if not line.food:
        return Part(line, None, None, "no row of the composition table fits it")
    value = table.value(line.food, nutrient)
    if value is None:
        return Part(line, None, None, f"SR28 {line.food} has no figure for {nutrient.name}")
    if line.grams is None:
        if value == 0:
            return Part(line, ZERO, value)
        return Part(line, None, value, line.weighed)
    low, high = line.grams
    return Part(line, (low * value / 100, high * value / 100), value)


def contributions(made: Total) -> list[Part]:
    """The parts, largest first; equal ones in the order of the recipe."""
    return sorted(made.parts, key=lambda part: -(part.value or ZERO)[1])
