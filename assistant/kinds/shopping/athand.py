"""What nobody needs to buy, since it is at hand: "I already have oil, salt and spices"."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from assistant.corpus.records import Line, Recipe
from assistant.kinds.crossed import listed
from assistant.kinds.named import lines_named
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Mention, Reading


def at_hand(
    reading: Reading, recipes: Sequence[Recipe], shelf: Shelf
) -> tuple[list[Line], tuple[Mention, ...]]:
    """The lines of the recipes that are at hand, and the mentions that name them.

    None where a question says of no food that it is there, or says how much of it ("I have 2
    cans"): the rest of that is still to buy.
    """
    named, spices = _named(reading, shelf)
    if not named and not spices:
        return [], ()
    only = msgspec.structs.replace(reading, mentions=named)
    lines: list[Line] = []
    for recipe in recipes:
        lines += lines_named(only, recipe, shelf)[0] if named else []
        for line in recipe.lines:
            item = shelf.item(line.item)
            if spices and item is not None and "spice" in item.role:
                lines.append(line)
    return list(dict.fromkeys(lines)), named


def _named(reading: Reading, shelf: Shelf) -> tuple[tuple[Mention, ...], bool]:
    """The foods in a row behind "I have", and whether "spices" stand in it."""
    words = reading.words
    for at, word in enumerate(words):
        denied = listed(shelf, "not-having-words") & set(words[max(0, at - 2) : at])
        if word not in listed(shelf, "at-hand-verbs") or denied:
            continue
        if words[at + 1 : at + 2] == ("to",):
            continue  # "what do I have to buy"
        found, spices = _row(reading, at + 1, shelf)
        if found or spices:
            return found, spices
    return (), False


def _row(reading: Reading, at: int, shelf: Shelf) -> tuple[tuple[Mention, ...], bool]:
    small, spice = listed(shelf, "at-hand-small"), listed(shelf, "spice-words")
    foods = [m for m in reading.all("ingredient") if m.id in reading.foods]
    found: list[Mention] = []
    spices = False
    while at < len(reading.words):
        here = [m for m in foods if m.start == at]
        if here:
            found += here
            at = max(m.end for m in here)
        elif reading.words[at] in spice:
            spices, at = True, at + 1
        elif reading.words[at] in small:
            at += 1
        else:
            break
    return tuple(found), spices
