"""Ingredients that a recipe does not name: what may be said of that, and what may not."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.shelf import Shelf, line_name, listed
from assistant.retrieval.words import singular


def absent(recipe: Recipe, items: Sequence[str], shelf: Shelf) -> str:
    """That none of the items is an ingredient, and which ingredients hold them all the same.

    Natural peanut butter holds peanut: to say of a dish with it that no peanut is in it would be
    false, and a danger to whoever must avoid peanut. What holds it is found by a shared allergen
    (contained or possible), or by the item's name within the ingredient's.
    """
    names = [item.name if (item := shelf.item(ident)) else ident for ident in items]
    holding = _holding(recipe, items, shelf)
    title = recipe.title.lower()
    if not holding:
        return f"The {title} has no {listed(names, 'or')} in it."
    have = listed([line_name(line, shelf) for line in holding[:3]])
    return f"No {listed(names, 'or')} as such, but the {title} has {have}."


def _holding(recipe: Recipe, items: Sequence[str], shelf: Shelf) -> list[Line]:
    wanted = [item for ident in items if (item := shelf.item(ident)) is not None]
    allergens = {allergen for item in wanted for allergen in item.contains}
    named = [{singular(word) for word in name_words(item.name)} for item in wanted]
    found = []
    for line in recipe.lines:
        item = shelf.item(line.item)
        held = {*item.contains, *item.may} if item is not None else set()
        words = {singular(word) for word in name_words(item.name if item else line.name)}
        if allergens & held or any(name <= words for name in named):
            found.append(line)
    return found
