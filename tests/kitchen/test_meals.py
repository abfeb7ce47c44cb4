"""Plates: totals are recomputed sums, energy lies in the target, diets are kept."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk

from assistant.kinds.meal.sides import candidates
from assistant.kitchen.diets import judge
from assistant.kitchen.meals import Plate, Wish, plates, sums
from assistant.kitchen.nutrients import total

DESK = desk()
CORPUS, TABLE = DESK.corpus, DESK.shelf.table
NUTRIENTS = {name: CORPUS.nutrients[name] for name in ("energy", "protein", "sodium", "fiber")}
LIGHT = ["red-lentil-soup", "minestrone", "tomato-soup", "black-bean-soup", "egg-muffins"]


def _plates(recipe: str, *diets: str) -> list[Plate]:
    found = CORPUS.recipes[recipe]
    dish, _ = sums(found.lines, NUTRIENTS, TABLE, Fraction(found.yields.servings))
    sides = candidates(found, [CORPUS.diets[name] for name in diets], DESK.shelf)
    return plates(dish, sides, NUTRIENTS, TABLE, Wish(Fraction(400), Fraction(500)))


@pytest.mark.parametrize("recipe", LIGHT)
def test_a_plate_is_the_recomputed_sum(recipe: str) -> None:
    """Every figure of a plate is the dish's share plus the sides', summed anew line by line."""
    found = CORPUS.recipes[recipe]
    servings = Fraction(found.yields.servings)
    made = _plates(recipe)
    assert made
    for plate in made:
        for name, nutrient in NUTRIENTS.items():
            dish = total(found.lines, nutrient, TABLE).high / servings
            beside = total(plate.lines, nutrient, TABLE).high
            assert plate.totals[name][1] == dish + beside


@pytest.mark.parametrize("recipe", LIGHT)
def test_the_energy_lies_in_the_target(recipe: str) -> None:
    """Three plates at most, each of 400 to 500 kcal, and no two alike."""
    made = _plates(recipe)
    assert 1 <= len(made) <= 3
    assert all(400 <= plate.totals["energy"][1] <= 500 for plate in made)
    assert len({tuple(side.id for side, _ in plate.sides) for plate in made}) == len(made)


@pytest.mark.parametrize("diet", ["vegan", "gluten-free", "dairy-free", "soy-free", "egg-free"])
def test_sides_keep_the_diet(diet: str) -> None:
    """Nothing beside the dish contains what the diet forbids."""
    for plate in _plates("minestrone", diet):
        assert not judge(plate.lines, CORPUS.diets[diet], CORPUS.pantry).contains


def test_every_side_weighs_something() -> None:
    """Each side on record has a weight and an energy figure."""
    for side in candidates(None, [], DESK.shelf):
        _, gaps = sums(side.lines, NUTRIENTS, TABLE, Fraction(1))
        assert not gaps, side.id
