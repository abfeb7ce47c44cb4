"""Nutrients of a dish: the sum of its parts, with every gap named."""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction

import msgspec
import pytest
from desk_fixture import CORPUS, desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.corpus.records import Line, Recipe
from assistant.kitchen.nutrients import Table, Total, total
from assistant.kitchen.scaling import scale_lines

RECIPES = sorted(desk().corpus.recipes)
NUTRIENTS = sorted(desk().corpus.nutrients)


def _total(lines: tuple[Line, ...], nutrient: str) -> Total:
    return total(lines, desk().corpus.nutrients[nutrient], desk().shelf.table)


def _recipe(ident: str) -> Recipe:
    return desk().corpus.recipes[ident]


@given(st.sampled_from(RECIPES), st.sampled_from(NUTRIENTS), st.data())
def test_a_dish_is_the_sum_of_its_parts(ident: str, nutrient: str, data: st.DataObject) -> None:
    """Cut a recipe's lines in two anywhere: the two totals add up to the whole."""
    lines = _recipe(ident).lines
    at = data.draw(st.integers(0, len(lines)))
    whole, one, two = (_total(part, nutrient) for part in (lines, lines[:at], lines[at:]))
    assert (whole.low, whole.high) == (one.low + two.low, one.high + two.high)


@given(st.sampled_from(RECIPES), st.sampled_from(NUTRIENTS), st.integers(1, 400))
def test_scaling_leaves_a_serving_as_it_is(ident: str, nutrient: str, servings: int) -> None:
    """A serving of the recipe for any number of people holds the same."""
    recipe = _recipe(ident)
    base = Fraction(recipe.yields.servings)
    factor = Fraction(servings) / base
    scaled = _total(scale_lines(recipe.lines, factor), nutrient)
    assert scaled.over(Fraction(servings)) == _total(recipe.lines, nutrient).over(base)


@given(st.sampled_from(RECIPES), st.sampled_from(NUTRIENTS), st.data())
def test_leaving_out_never_raises(ident: str, nutrient: str, data: st.DataObject) -> None:
    """Without one ingredient no nutrient is more than before."""
    lines = _recipe(ident).lines
    gone = data.draw(st.integers(0, len(lines) - 1))
    less = _total((*lines[:gone], *lines[gone + 1 :]), nutrient)
    assert less.high <= _total(lines, nutrient).high


def test_a_missing_value_is_missing_and_not_zero() -> None:
    """A food without a figure is named; the total counts the others only."""
    shelf = desk().shelf
    energy = desk().corpus.nutrients["energy"]
    recipe = _recipe("red-lentil-soup")
    first = next(line for line in recipe.lines if line.food)
    food = shelf.corpus.foods[first.food]
    bare = msgspec.structs.replace(food, values=tuple(None for _ in food.values))
    table = Table(shelf.corpus.columns, {**shelf.corpus.foods, first.food: bare})
    made = total(recipe.lines, energy, table)
    assert first in [part.line for part in made.missing]
    assert made.high < total(recipe.lines, energy, shelf.table).high


def _rows() -> dict[str, dict[str, str]]:
    with (CORPUS / "foods.csv").open(encoding="utf-8", newline="") as stream:
        return {row["code"]: row for row in csv.DictReader(stream)}


# The edible grams of each counted line, worked out by hand from the household weights of SR28
# (portions.csv) and the recipe's text; pounds at 453.59237 g, fluid amounts by the food's own cup.
TURKEY_CHILI_KNOWN = {
    "ground-turkey": Decimal("453.59237"),  # 1 lb, raw
    "canola-oil": Decimal("14"),  # 1 tbsp, SR28 04582: 14 g
}


@pytest.mark.parametrize(("item", "grams"), sorted(TURKEY_CHILI_KNOWN.items()))
def test_weights_of_the_turkey_chili(item: str, grams: Decimal) -> None:
    """The lines weigh what SR28's household weights say."""
    line = next(line for line in _recipe("turkey-chili").lines if line.item == item)
    assert line.grams == (Fraction(grams), Fraction(grams))


@pytest.mark.parametrize("ident", ["turkey-chili", "sheet-pan-salmon", "overnight-oats"])
@pytest.mark.parametrize(
    ("nutrient", "column"),
    [("energy", "energy_kcal"), ("protein", "protein_g"), ("sodium", "sodium_mg"),
     ("fiber", "fiber_g")],
)  # fmt: skip
def test_recomputed_from_the_table_with_decimals(ident: str, nutrient: str, column: str) -> None:
    """Straight from foods.csv with Decimal arithmetic: the same sum to a thousandth."""
    rows = _rows()
    expected = Decimal(0)
    for line in _recipe(ident).lines:
        if line.optional or not line.counted or line.grams is None or not line.food:
            continue
        cell = rows[line.food][column]
        grams = Decimal(line.grams[1].numerator) / Decimal(line.grams[1].denominator)
        expected += grams * Decimal(cell or "0") / 100
    made = _total(_recipe(ident).lines, nutrient)
    assert abs(Decimal(made.high.numerator) / Decimal(made.high.denominator) - expected) < Decimal(
        "0.001"
    )
