"""The lines of the recipe in hand that a question names, also by a name that several share."""

from __future__ import annotations

import msgspec

from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.crossed import listed
from assistant.kinds.shelf import Shelf
from assistant.kitchen.scaling import same_item
from assistant.question.reading import Mention, Reading
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
        found = list(same_item(recipe.lines, ident)) or lines_called(reading, recipe, ident, shelf)
        lines += found
        if not found:
            absent.append(ident)
    return list(dict.fromkeys(lines)), absent


def the_one(reading: Reading, shelf: Shelf) -> tuple[Recipe, tuple[Mention, ...]] | None:
    """The only recipe whose title holds what is pointed at ("the cod") and which has the foods,
    and the mentions with that food standing for it; None where several do, or none is pointed at.
    """
    pointing = listed(shelf, "our-words")
    pairs = zip(reading.words, reading.words[1:], strict=False)
    named = {singular(word) for m in reading.all("ingredient") for word in m.text.split()}
    # "The soup" may be any of the soups; a food is more certain.
    said = named & {singular(word) for before, word in pairs if before in pointing}
    if not said:
        return None
    foods: dict[int, set[str]] = {}
    for m in reading.all("ingredient"):
        # A name may stand for several foods, of which the recipe has one.
        foods.setdefault(m.start, set()).update({m.id} if singular(m.text) not in said else ())
    asked = [items for items in foods.values() if items]
    pointed = {m.id for m in reading.all("ingredient") if singular(m.text) in said}
    fitting = [
        recipe
        for recipe in shelf.corpus.recipes.values()
        if said & set(map(singular, recipe.title.lower().replace("-", " ").split()))
        and all(items & {line.item for line in recipe.lines} for items in asked)
        # Potatoes are no sweet potatoes, whatever the title.
        and (asked or pointed & {line.item for line in recipe.lines})
    ]
    if len(fitting) != 1:
        return None
    mentions = [
        msgspec.structs.replace(m, type="recipe", id=fitting[0].id)
        if m.type == "ingredient" and singular(m.text) in said
        else m
        for m in reading.mentions
    ]
    return fitting[0], tuple(mentions)


def lines_called(reading: Reading, recipe: Recipe, ident: str, shelf: Shelf) -> list[Line]:
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
