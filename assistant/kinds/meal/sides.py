"""What may stand beside a dish: the recipe's own pairings first, then the sides on record."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.lines import all_names, food_code
from assistant.corpus.records import Diet, Line, Pairing, Recipe
from assistant.corpus.serving import Side
from assistant.kinds.shelf import Shelf
from assistant.kinds.weights import grams_of_amount
from assistant.kitchen.diets import judge
from assistant.kitchen.meals import Candidate
from assistant.kitchen.scaling import scale_lines
from assistant.measure.amount import read_amount, show


def candidates(
    recipe: Recipe | None,
    diets: Sequence[Diet],
    shelf: Shelf,
    unwanted: frozenset[str] = frozenset(),
) -> list[Candidate]:
    """Every side that could be put beside a recipe and contains nothing the diets forbid.

    A side whose ingredient is in the dish already is left out, unless the recipe pairs it; so is
    one with a food whose name ends with an unwanted word.
    """
    found: list[Candidate] = []
    sides = list(shelf.corpus.sides.values())
    for i, pair in enumerate(recipe.pairs if recipe else ()):
        made = _pair(pair, i, recipe, sides, shelf) if recipe else None
        if made is not None:
            found.append(made)
    taken = {line.item for side in found for line in side.lines}
    within = {line.item for line in recipe.lines} if recipe else set()
    found += [_side(side, shelf) for side in sides if side.item not in taken | within]
    return [
        side
        for side in found
        if not _forbidden(side, diets, shelf) and not _unwanted(side, unwanted, shelf)
    ]


def desserts(diets: Sequence[Diet], shelf: Shelf) -> list[Candidate]:
    """A serving of every dessert on record that contains nothing the diets forbid."""
    made = []
    for recipe in shelf.corpus.recipes.values():
        if recipe.course != "dessert":
            continue
        counted = [line for line in recipe.lines if line.counted and not line.optional]
        lines = scale_lines(counted, Fraction(1, recipe.yields.servings))
        measure = recipe.yields.measure.partition(" and ")[0]
        text = f"{recipe.title.lower()} ({measure})"
        made.append(Candidate(recipe.id, text, "dessert", "", lines, record=recipe.where))
    return [side for side in made if not _forbidden(side, diets, shelf)]


def _unwanted(side: Candidate, words: frozenset[str], shelf: Shelf) -> bool:
    items = [shelf.corpus.pantry[line.item] for line in side.lines]
    ends = {name.split()[-1].removesuffix("s") for item in items for name in all_names(item)}
    return not words.isdisjoint(ends)


def _forbidden(side: Candidate, diets: Sequence[Diet], shelf: Shelf) -> bool:
    return any(judge(side.lines, diet, shelf.corpus.pantry).contains for diet in diets)


def line_of(item: str, amount: str, shelf: Shelf, state: str = "") -> Line:
    """A line made of a pantry item and an amount as a cook writes it."""
    found = shelf.corpus.pantry[item]
    read = read_amount(amount)
    weight = grams_of_amount(read, item, shelf, state)
    return Line(
        text=f"{show(read)} {found.name}",
        item=item,
        name=found.name,
        amount=read,
        grams=weight.grams,
        weighed=weight.how,
        food=food_code(found, state),
        state=state,
        file=found.file,
        line=found.line,
    )


def _side(side: Side, shelf: Shelf) -> Candidate:
    line = line_of(side.item, side.amount, shelf, side.state)
    text = f"{side.text} ({side.amount})"
    return Candidate(side.id, text, side.group, side.color, (line,), record=side.where)


def _pair(
    pair: Pairing, place: int, recipe: Recipe, sides: Sequence[Side], shelf: Shelf
) -> Candidate | None:
    """A pairing of the recipe: an amount of an item, or half a serving of another recipe."""
    where = recipe.where
    if pair.recipe:
        other = shelf.corpus.recipes[pair.recipe]
        counted = [line for line in other.lines if line.counted and not line.optional]
        lines = scale_lines(counted, Fraction(1, 2 * other.yields.servings))
        lines = tuple(line for line in lines if line.amount is not None)
        text = f"half a serving of {pair.text}"
        return Candidate(f"pair-{place}", text, "recipe", "", lines, True, where)
    if not pair.item or not pair.amount:
        return None
    like = next((side for side in sides if side.item == pair.item), None)
    item = shelf.corpus.pantry[pair.item]
    line = line_of(pair.item, pair.amount, shelf)
    group = like.group if like else _group(item.role)
    made = Candidate(
        f"pair-{place}", f"{pair.text} ({pair.amount})", group, "", (line,), True, where
    )
    return msgspec.structs.replace(made, color=like.color if like else "")


def _group(roles: Sequence[str]) -> str:
    if "protein" in roles[:1]:
        return "protein"
    return "grain" if "starch" in roles else "vegetable"
