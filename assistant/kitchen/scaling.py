"""Amounts for another number of servings."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Line
from assistant.measure.amount import Amount, scale
from assistant.measure.exact import MeasureError

MOST_SERVINGS = 5000


def check_servings(servings: Fraction) -> Fraction:
    """A number of servings that can be cooked for, or MeasureError in plain words."""
    shown = f"{float(servings):,.10g}"
    if servings <= 0:
        raise MeasureError(
            shown,
            "nothing can be cooked for that many",
            expected="a number above 0, such as 14",
            doing="cook for",
        )
    if servings > MOST_SERVINGS:
        raise MeasureError(
            shown,
            "a kitchen recipe cannot be scaled that far",
            expected=f"at most {MOST_SERVINGS:,} servings",
            doing="cook for",
        )
    return servings


def scale_line(line: Line, factor: Fraction) -> Line:
    """The line with its amount and its grams multiplied."""
    amount: Amount | None = None if line.amount is None else scale(line.amount, factor)
    grams = None if line.grams is None else (line.grams[0] * factor, line.grams[1] * factor)
    return msgspec.structs.replace(line, amount=amount, grams=grams)


def scale_lines(lines: Sequence[Line], factor: Fraction) -> tuple[Line, ...]:
    """Every line multiplied by the same exact factor."""
    return tuple(scale_line(line, factor) for line in lines)


def same_item(lines: Sequence[Line], item: str) -> tuple[Line, ...]:
    """The lines of one pantry item: salt may stand twice in a recipe."""
    return tuple(line for line in lines if line.item == item)
