"""What cooking leaves of vitamins and minerals, by the rows of USDA's table of retention factors.

Applied to nothing else: energy, macronutrients and sodium are taken as unchanged. Where no row fits
the food and the way it is cooked, nothing is taken off and the answer says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from assistant.corpus.corpus import line_for
from assistant.corpus.lines import words
from assistant.corpus.records import Ingredient, Line, Nutrient, Recipe, Step
from assistant.corpus.yardsticks import Retention
from assistant.kitchen.nutrients import Loss, Losses

_MICRO = "micro"


def cooking_losses(
    recipe: Recipe, rows: Mapping[str, Retention], pantry: Mapping[str, Ingredient]
) -> Losses:
    """The losses of a recipe's lines by what its steps do with them.

    The row of the lowest factor wins where several steps cook a line, since each step's row is
    meant for the whole cooking and they are never multiplied.
    """
    used: dict[str, list[Step]] = {}
    for step in recipe.steps:
        for name in step.uses:
            line = line_for(recipe, name, pantry)
            if line is not None:
                used.setdefault(line.item, []).append(step)
    memory: dict[str, list[Retention]] = {}

    def losses(line: Line, nutrient: Nutrient) -> Loss | None:
        if nutrient.rounding != _MICRO:
            return None
        if line.item not in memory:
            memory[line.item] = [
                row
                for row in rows.values()
                if line.item in row.items
                and any(_fits(row, step) for step in used.get(line.item, ()))
            ]
        fitting = [row for row in memory[line.item] if nutrient.id in row.factors]
        if not fitting:
            return None
        row = min(fitting, key=lambda r: (r.factors[nutrient.id], r.code))
        percent = Fraction(row.factors[nutrient.id])
        how = f"{row.title}, {float(percent):g} % kept (retention factor, row {row.code})"
        return Loss(percent / 100, how)

    return losses


def _fits(row: Retention, step: Step) -> bool:
    have = " ".join(words(f"{step.text} {step.heat}"))
    padded = f" {have} "
    return any(f" {' '.join(words(w))} " in padded for w in row.words) and not any(
        f" {' '.join(words(w))} " in padded for w in row.unless
    )


def is_cooked(recipe: Recipe, line: Line, pantry: Mapping[str, Ingredient]) -> bool:
    """Whether a step with heat uses the line."""
    for step in recipe.steps:
        if not step.heat or step.heat == "off":
            continue
        if any(line_for(recipe, name, pantry) == line for name in step.uses):
            return True
    return False
