"""The smallest set of swaps: complete, exact, and the cheapest of all combinations."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import msgspec
import pytest
from desk_fixture import desk
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.corpus.records import Diet, Recipe
from assistant.kitchen.diets import allergens, grade_item, judge
from assistant.kitchen.scaling import scale_line
from assistant.kitchen.sets import Choice, Cost, cost, make_over, offenses, options
from assistant.kitchen.swaps import find_swaps, replaced
from assistant.measure.amount import convert_amount, read_amount, scale

CORPUS = desk().corpus
RECIPES = sorted(CORPUS.recipes)
DIETS = sorted(CORPUS.diets)
some_diets = st.lists(st.sampled_from(DIETS), min_size=1, max_size=3, unique=True)


def _diets(names: list[str]) -> list[Diet]:
    return [CORPUS.diets[name] for name in names]


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(RECIPES), some_diets)
def test_a_set_never_leaves_what_it_was_to_remove(recipe: str, names: list[str]) -> None:
    """After a set that says it is done, no line contains what a diet forbids."""
    lines = CORPUS.recipes[recipe].lines
    made = make_over(lines, _diets(names), CORPUS, recipe)
    if made.done:
        for diet in _diets(names):
            assert not judge(made.lines, diet, CORPUS.pantry).contains
            assert not any(
                grade_item(CORPUS.pantry[line.item], diet)[0] == "contains" for line in made.lines
            )
    else:
        assert all(offenses(line, _diets(names), CORPUS) for line, _ in made.stuck)


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(RECIPES), some_diets)
def test_every_doubtful_line_is_named(recipe: str, names: list[str]) -> None:
    """Each line that may contain something forbidden is among the labels to read."""
    made = make_over(CORPUS.recipes[recipe].lines, _diets(names), CORPUS, recipe)
    told = {line.item for line, _ in made.labels}
    for diet in _diets(names):
        for line in made.lines:
            if grade_item(CORPUS.pantry[line.item], diet)[0] == "may":
                assert line.item in told


def _brute(recipe: Recipe, diets: list[Diet]) -> tuple[Cost, ...] | None:
    """The cheapest of all combinations, by trying them all; None where a line has no option."""
    ways: list[list[Choice]] = []
    for place, line in enumerate(recipe.lines):
        if offenses(line, diets, CORPUS):
            ways.append(options(line, place, diets, CORPUS, recipe.id))
    if not all(ways):
        return None

    def total(chosen: tuple[Choice, ...]) -> tuple[object, ...]:
        costs = [cost(choice, diets, CORPUS, recipe.id) for choice in chosen]
        return tuple(sum(column) for column in zip(*costs, strict=True))

    best = min(product(*ways), key=total)
    return tuple(cost(choice, diets, CORPUS, recipe.id) for choice in best)


@pytest.mark.parametrize("recipe", RECIPES)
def test_it_is_the_cheapest_of_all_combinations(recipe: str) -> None:
    """Choosing line by line costs as many swaps as the best of every combination."""
    for names in (["vegan"], ["gluten-free"], ["vegan", "gluten-free"], ["dairy-free", "egg-free"]):
        diets = _diets(names)
        made = make_over(CORPUS.recipes[recipe].lines, diets, CORPUS, recipe)
        best = _brute(CORPUS.recipes[recipe], diets)
        assert made.done == (best is not None)
        if best is not None:
            mine = [cost(choice, diets, CORPUS, recipe) for choice in made.choices]
            assert sum(c[0] for c in mine) == sum(c[0] for c in best)
            assert sum(c[1] for c in mine) <= sum(c[1] for c in best)


def test_a_diet_that_nothing_can_serve_is_said() -> None:
    """A diet that forbids every plant leaves lines that no record replaces."""
    strict = msgspec.structs.replace(CORPUS.diets["vegan"], without_origins=("plant",))
    made = make_over(CORPUS.recipes["red-lentil-soup"].lines, [strict], CORPUS, "red-lentil-soup")
    assert not made.done


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(CORPUS.swaps)), st.fractions(min_value="1/4", max_value=50))
def test_a_swap_scales_with_the_recipe(ident: str, times: Fraction) -> None:
    """Replacing a scaled amount is scaling the replacement."""
    swap = CORPUS.swaps[ident]
    take = read_amount(swap.take)
    one = replaced(swap, take, None, CORPUS)
    many = replaced(swap, scale(take, times), None, CORPUS)
    assert one is not None and many is not None
    if one.unit != many.unit:
        one = convert_amount(one, many.unit)
    assert (many.low, many.high) == (one.low * times, one.high * times)


def test_swaps_never_chain() -> None:
    """What replaces an ingredient is named by a record for that ingredient itself."""
    for item in CORPUS.pantry:
        for swap in find_swaps(item, CORPUS):
            assert item in swap.out
            assert swap.use not in swap.out


def test_every_swap_has_a_known_role_and_source() -> None:
    """At least 180 swaps, each with a source or the mark that it is common practice."""
    assert len(CORPUS.swaps) >= 180
    assert all(swap.sources and swap.how and swap.role for swap in CORPUS.swaps.values())


def test_scaling_lines_keeps_allergens() -> None:
    """The amount of an ingredient has no bearing on what it contains."""
    lines = CORPUS.recipes["peanut-noodles"].lines
    items = [CORPUS.pantry[line.item] for line in lines]
    more = [CORPUS.pantry[scale_line(line, line.amount.high).item] for line in lines if line.amount]
    assert allergens(items)["peanut"] == "contains"
    assert allergens(more)["peanut"] == "contains"
