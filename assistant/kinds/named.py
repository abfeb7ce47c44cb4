"""The lines of the recipe in hand that a question names, also by a name that several share."""

from __future__ import annotations

from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.shelf import Shelf
from assistant.kitchen.scaling import same_item
from assistant.question.reading import Reading
from assistant.retrieval.words import singular


def lines_named(reading: Reading, recipe: Recipe, shelf: Shelf) -> tuple[list[Line], list[str]]:
    """The lines of the foods named, and the ids of the foods that the recipe does not have.

    "Oil" is every oil of the recipe, and in "how much salmon" the dish's short name is its fish.
    """
    lines: list[Line] = []
    absent: list[str] = []
    foods = list(reading.foods)
    if not foods and shelf.says(reading, "how-much-words"):
        items = {line.item for line in recipe.lines}
        foods = [ident for ident in reading.ids("ingredient") if ident in items]
    for ident in foods:
        found = list(same_item(recipe.lines, ident)) or _called(reading, recipe, ident, shelf)
        lines += found
        if not found:
            absent.append(ident)
    return list(dict.fromkeys(lines)), absent


def _called(reading: Reading, recipe: Recipe, ident: str, shelf: Shelf) -> list[Line]:
    """The lines whose names end in the word by which a food was named: all the oils of "oil"."""
    asked = shelf.item(ident)
    texts = [m.text for m in reading.all("ingredient") if m.id == ident]
    found = []
    for line in recipe.lines:
        item = shelf.item(line.item)
        if item is None or asked is None or item.origin != asked.origin:
            continue
        last = singular(name_words(item.name)[-1])
        if any(len(text.split()) == 1 and singular(text) == last for text in texts):
            found.append(line)
    return found
