"""Nutrients of a dish: the sum of its parts, exactly, with every gap named.

Values are per 100 g of edible portion (see `assistant.kitchen.composition`). A missing value is
missing, never zero: the total over it is a lower bound and says which ingredients lack the figure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Line, Nutrient
from assistant.kitchen.composition import Missing, Table, Value

__all__ = ["ZERO", "Loss", "Part", "Range", "Table", "Total", "contributions", "total"]

Range = tuple[Fraction, Fraction]
ZERO: Range = (Fraction(0), Fraction(0))


class Loss(msgspec.Struct, frozen=True):
    """What is left of a nutrient after cooking: a share, and the retention row that gives it."""

    share: Fraction
    how: str


Losses = Callable[[Line, Nutrient], "Loss | None"]


class Part(msgspec.Struct, frozen=True):
    """What one line brings.

    `value` is None where the figure is missing and `why` says why; `most` bounds it then, where it
    can be bounded. `slack` is the value with the ends that a label's rounding leaves. `grams` is
    the weight that was reckoned with.
    """

    line: Line
    value: Range | None
    per_100g: Fraction | None
    why: str = ""
    how: str = ""
    origin: str = ""
    slack: Range = ZERO
    most: Fraction | None = None
    grams: Range | None = None
    loss: Loss | None = None


class Total(msgspec.Struct, frozen=True):
    """The sum for one nutrient over some lines, in the nutrient's unit.

    `low` and `high` differ where the recipe leaves a range. `missing` are parts without a figure
    (the sum is "at least"), `left_out` are lines that are not counted by their nature: to taste,
    optional, or marked so. `slack` is the sum with the ends that labels' rounding leaves.
    """

    nutrient: Nutrient
    low: Fraction
    high: Fraction
    parts: tuple[Part, ...]
    missing: tuple[Part, ...]
    left_out: tuple[Line, ...]
    slack: Range

    def over(self, servings: Fraction) -> Range:
        """The total divided by a number of servings."""
        return self.low / servings, self.high / servings

    @property
    def gap(self) -> Fraction | None:
        """The most that the missing parts can bring together; None where that is not known."""
        if any(part.most is None for part in self.missing):
            return None
        return sum((part.most or Fraction(0) for part in self.missing), Fraction(0))


def total(
    lines: Sequence[Line], nutrient: Nutrient, table: Table, losses: Losses | None = None
) -> Total:
    """Add up one nutrient over the lines of a dish (the whole dish, not a serving).

    Parameters: the lines, the nutrient, the composition, and what cooking leaves of it (None: all).
    Optional lines, lines without an amount ("to taste") and lines marked as not counted are left
    out and named.
    """
    parts: list[Part] = []
    missing: list[Part] = []
    left_out: list[Line] = []
    for line in lines:
        if line.optional or not line.counted or line.amount is None:
            left_out.append(line)
            continue
        part = _part(line, nutrient, table, losses)
        (missing if part.value is None else parts).append(part)
    counted = [part.value or ZERO for part in parts]
    return Total(
        nutrient,
        sum((low for low, _ in counted), Fraction(0)),
        sum((high for _, high in counted), Fraction(0)),
        tuple(parts),
        tuple(missing),
        tuple(left_out),
        (
            sum((part.slack[0] for part in parts), Fraction(0)),
            sum((part.slack[1] for part in parts), Fraction(0)),
        ),
    )


def eaten_grams(line: Line, table: Table) -> Range | None:
    """The grams of a line that are eaten: edible portion, less what stays behind.

    A line written "as purchased" is taken down by the row's refuse; all others are edible already.
    """
    if line.grams is None:
        return None
    share = line.eaten
    food = table.foods.get(line.food)
    if "as purchased" in line.text.lower() and food is not None and food.refuse_pct:
        share *= 1 - Fraction(food.refuse_pct) / 100
    return line.grams[0] * share, line.grams[1] * share


def batch_grams(lines: Sequence[Line], table: Table) -> tuple[Range, tuple[Line, ...]]:
    """The weight of all that goes into the dish, and the counted lines of unknown weight."""
    low = high = Fraction(0)
    unknown = []
    for line in lines:
        if line.optional or not line.counted or line.amount is None:
            continue
        grams = eaten_grams(line, table)
        if grams is None:
            unknown.append(line)
            continue
        low, high = low + grams[0], high + grams[1]
    return (low, high), tuple(unknown)


def _part(line: Line, nutrient: Nutrient, table: Table, losses: Losses | None) -> Part:
    found = table.of(line.item, line.food, nutrient)
    grams = eaten_grams(line, table)
    if isinstance(found, Missing):
        most = None if grams is None or found.most is None else grams[1] * found.most / 100
        return Part(line, None, None, found.why, most=most, grams=grams)
    if grams is None:
        if found.high == 0:
            return Part(line, ZERO, found.amount, how=found.how, origin=found.origin)
        return Part(line, None, found.amount, line.weighed)
    return _valued(line, found, grams, losses(line, nutrient) if losses else None)


def _valued(line: Line, found: Value, grams: Range, loss: Loss | None) -> Part:
    left = loss.share if loss else Fraction(1)
    per = [g * left / 100 for g in grams]
    return Part(
        line,
        (per[0] * found.amount, per[1] * found.amount),
        found.amount,
        how=found.how,
        origin=found.origin,
        slack=(per[0] * found.low, per[1] * found.high),
        grams=grams,
        loss=loss,
    )


def contributions(made: Total) -> list[Part]:
    """The parts, largest first; equal ones in the order of the recipe."""
    return sorted(made.parts, key=lambda part: -(part.value or ZERO)[1])
