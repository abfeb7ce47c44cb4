"""The merged shopping list equals the sum of its parts, as purchased."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.corpus.records import Line
from assistant.kitchen.scaling import scale_lines
from assistant.kitchen.shopping import aisle_of, as_purchased, by_aisle, merge, refuse_of

CORPUS = desk().corpus
RECIPES = sorted(CORPUS.recipes)
some_recipes = st.lists(st.sampled_from(RECIPES), min_size=1, max_size=4, unique=True)


def _lines(names: list[str], servings: int) -> list[Line]:
    lines: list[Line] = []
    for name in names:
        recipe = CORPUS.recipes[name]
        lines += scale_lines(recipe.lines, Fraction(servings, recipe.yields.servings))
    return lines


@settings(max_examples=100, deadline=None)
@given(some_recipes, st.integers(min_value=1, max_value=60))
def test_merged_grams_are_the_sum_of_the_parts(names: list[str], servings: int) -> None:
    """Each item's weight is the sum over the recipes, each listed by itself."""
    merged = {need.item.id: need for need in merge(_lines(names, servings), CORPUS)}
    parts: dict[str, Fraction] = {}
    unknown = set()
    for name in names:
        for need in merge(_lines([name], servings), CORPUS):
            if need.grams is None:
                if need.amounts:
                    unknown.add(need.item.id)
            else:
                parts[need.item.id] = parts.get(need.item.id, Fraction(0)) + need.grams[1]
    for ident, need in merged.items():
        if need.grams is not None and ident not in unknown:
            assert need.grams[1] == parts[ident]


@settings(max_examples=50, deadline=None)
@given(some_recipes, st.integers(min_value=1, max_value=60))
def test_the_order_of_recipes_never_matters(names: list[str], servings: int) -> None:
    """The list of recipes turned round holds the same amounts."""
    one = {n.item.id: sorted(map(str, n.amounts)) for n in merge(_lines(names, servings), CORPUS)}
    turned = merge(_lines(names[::-1], servings), CORPUS)
    assert {n.item.id for n in turned} == set(one)
    for need in turned:
        assert sorted(map(str, need.amounts)) == one[need.item.id]


@settings(max_examples=50, deadline=None)
@given(some_recipes, st.integers(min_value=1, max_value=60))
def test_packages_hold_what_is_needed(names: list[str], servings: int) -> None:
    """Whole packages are enough, and one fewer would not be."""
    for need in merge(_lines(names, servings), CORPUS):
        packed = need.packages
        if packed is None or packed.left is None or need.grams is None:
            continue
        size = (need.grams[1] + packed.left) / packed.count
        assert 0 <= packed.left < size


def test_every_line_is_in_an_aisle_once() -> None:
    """Grouping by aisle loses nothing, and every pantry item of a recipe has an aisle."""
    needs = merge(_lines(RECIPES, 6), CORPUS)
    groups = by_aisle(needs, CORPUS.aisles)
    assert sorted(n.item.id for _, found in groups for n in found) == sorted(
        n.item.id for n in needs
    )
    assert all(aisle_of(need.item, CORPUS.aisles) for need in needs)


@pytest.mark.parametrize(
    ("item", "edible", "bought"),
    [
        ("onion", 90, 100),  # SR28: 10 % refuse
        ("broccoli", 61, 100),  # 39 %
        ("cauliflower", 39, 100),  # 61 %
        ("leek", 44, 100),  # 56 %
        ("carrot", 89, 100),  # 11 %
        ("avocado", 74, 100),  # 26 %
        ("salmon", 100, 100),  # a fillet, no refuse given
    ],
)
def test_edible_weight_becomes_weight_as_purchased(item: str, edible: int, bought: int) -> None:
    """The published refuse of SR28 turns an edible weight into what is bought."""
    refuse = refuse_of(CORPUS.pantry[item].food, CORPUS.foods)
    assert as_purchased((Fraction(edible), Fraction(edible)), refuse) == (
        Fraction(bought),
        Fraction(bought),
    )
