"""The foods that somebody must do without: "allergic to peanuts", "cannot eat onions"."""

from __future__ import annotations

from assistant.corpus.lines import all_names
from assistant.corpus.records import Diet, Ingredient
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular

# So many words may stand between the one that rules a food out and the food: "to any kind of".
_NEAR = 4
# What such a diet cannot know.
_LABELS = (
    "On record by ingredient are the nine major allergens; for {} also read the labels of broths, "
    "sauces, spice mixes and whatever else is bought ready-made."
)


def avoided(reading: Reading, shelf: Shelf) -> list[Mention]:
    """The foods named behind words that rule them out for somebody, and those joined to them.

    Of "allergic to peanuts, is tamari ok" it is the peanuts, of "allergic to eggs and milk" both.
    """
    found: list[Mention] = []
    for mention in reading.all("ingredient"):
        if _is_ruled_out(reading, mention, found, shelf):
            found.append(mention)
    return found


def _is_ruled_out(reading: Reading, mention: Mention, before: list[Mention], shelf: Shelf) -> bool:
    """Whether only small words stand between a food and what rules it out, or its forerunner."""
    small = words_in(shelf, "avoid-between-words")
    words = reading.words
    stops = {m.end for m in before}
    # "Peanut allergic", "a celery allergy", "a peanut and tree nut allergy".
    named = {p for m in reading.mentions if m.type in {"ingredient", "diet"} for p in _places(m)}
    for place in range(mention.end, min(len(words), mention.end + 1 + _NEAR)):
        if words[place] in words_in(shelf, "allergen-words"):
            return True
        if place not in named and words[place] not in {"and", "or"}:
            break
    for place in range(mention.start - 1, max(-1, mention.start - 2 - _NEAR), -1):
        if place + 1 in stops:
            return True
        if words[place] in words_in(shelf, "avoid-words"):
            return True
        if words[place] in words_in(shelf, "avoid-verbs"):
            return place > 0 and words[place - 1] in words_in(shelf, "catalog-negators")
        if words[place] not in small:
            return False
    return False


def _places(mention: Mention) -> range:
    return range(mention.start, mention.end)


def strange(reading: Reading, shelf: Shelf) -> list[Diet]:
    """A diet without each food that is ruled out and that the pantry does not know: "kiwi"."""
    made: dict[str, Diet] = {}
    small = words_in(shelf, "avoid-between-words")
    for place, word in enumerate(reading.words):
        if word not in reading.outside:
            continue
        before = reading.words[max(0, place - _NEAR) : place]
        while before and before[-1] in small:
            before = before[:-1]
        if before and before[-1] in words_in(shelf, "avoid-words"):
            made.setdefault(word, _made_for(None, word, shelf))
    return list(made.values())


def diets_without(mentions: list[Mention], shelf: Shelf) -> list[Diet]:
    """The diet on record that forbids each major allergen in the foods, and as little else.

    For a food without one a diet is made that forbids everything of its name.
    """
    made: dict[str, Diet] = {}
    for mention in mentions:
        item = shelf.item(mention.id)
        diets = shelf.corpus.diets.values()
        if item is None:
            continue
        forbidding = [
            next((d for d in diets if d.without_allergens == (allergen,)), None)
            or next(d for d in diets if allergen in d.without_allergens)
            for allergen in item.contains
        ]
        for diet in forbidding or [_made_for(item, mention.text, shelf)]:
            made.setdefault(diet.id, diet)
    return list(made.values())


def _made_for(item: Ingredient | None, text: str, shelf: Shelf) -> Diet:
    """A diet without everything that bears a food's name: with tomatoes, the paste of them too."""
    asked = {singular(word) for word in text.split()}
    ident = item.id if item is not None else text
    named = [
        other.id
        for other in shelf.corpus.pantry.values()
        if other.id == ident
        or any(
            asked <= set(map(singular, name.lower().replace("-", " ").split()))
            for name in all_names(other)
        )
    ]
    return Diet(
        file=item.file if item is not None else "",
        line=item.line if item is not None else 0,
        id=f"without-{ident}",
        name=f"without {text}",
        names=(),
        without_items=tuple(named),
        note=_LABELS.format(text),
        sources=("common-practice",),
    )


def is_made(diet: Diet) -> bool:
    """Whether a diet was made for one food, so that no allergen on record decides."""
    return not diet.names
