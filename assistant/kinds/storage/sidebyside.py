"""Two dishes side by side: "which keeps longer, the tomato soup or the minestrone?"."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe
from assistant.kinds.plural import agree
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.kinds.storage.subject import Subject, of_recipe
from assistant.kitchen.keeping import rough_days
from assistant.measure.span import read_span
from assistant.question.reading import Reading

# How well a recipe says that it freezes, best first.
_WELL = {
    "well": ("freezes well", "freeze well"),
    "fairly": ("freezes with some loss", "freeze with some loss"),
    "poorly": ("does not freeze well", "do not freeze well"),
}
_ORDER = tuple(_WELL)


def two_dishes(reading: Reading, shelf: Shelf) -> Answer | None:
    """Both dishes' figures, and which is better; None where no two recipes are compared.

    Where the freezer is asked about, the recipes' own words decide first, then the months.
    """
    if not shelf.says(reading, "either-words") or reading.all("date") or reading.all("duration"):
        return None
    recipes = _recipes(reading, shelf)
    if len(recipes) != 2:
        return None
    both = [of_recipe(recipe, shelf.corpus) for recipe in recipes]
    frozen = any(m.id == "freezer" for m in reading.all("place"))
    if frozen:
        headline = _frozen(recipes, both)
    elif all(one.rule.fridge for one in both):
        headline = _chilled(both)
    else:
        return None
    where = "in the freezer" if frozen else "in the refrigerator"
    shown = [one.rule.freezer if frozen else one.rule.fridge for one in both]
    figures = [
        _figure(f"{one.name}, {where}", kept, one)
        for one, kept in zip(both, shown, strict=True)
        if kept
    ]
    lines = [_line(recipe, one) for recipe, one in zip(recipes, both, strict=True)]
    sources = [source for one in both for source in (*one.sources, record_source(one.rule))]
    sources += [reference_source(shelf, one.rule.source) for one in both]
    return make(reading, "quoted", headline, figures, lines, list(dict.fromkeys(sources)))


def _recipes(reading: Reading, shelf: Shelf) -> list[Recipe]:
    """The recipes named, each by words that name no other."""
    named = reading.all("recipe")
    single = [m for m in named if sum((o.start, o.end) == (m.start, m.end) for o in named) == 1]
    return [shelf.corpus.recipes[ident] for ident in dict.fromkeys(m.id for m in single)]


def _chilled(both: Sequence[Subject]) -> str:
    first, second = (read_span(one.rule.fridge) for one in both)
    if (first.low, first.high, first.unit) == (second.low, second.high, second.unit):
        named = f"{both[0].name} and {both[1].name}"
        return f"They keep alike: {named} {both[0].rule.fridge} in the refrigerator."
    longer, shorter = both if rough_days(first) > rough_days(second) else both[::-1]
    keep = agree(longer.name, "keeps", "keep")
    return (
        f"{capital(longer.name)} {keep} longer, {longer.rule.fridge} in the refrigerator; "
        f"{shorter.name} {shorter.rule.fridge}."
    )


def _frozen(recipes: Sequence[Recipe], both: Sequence[Subject]) -> str:
    said = [
        f"{one.name} {agree(one.name, *_WELL[recipe.storage.freezes])}"
        for recipe, one in zip(recipes, both, strict=True)
    ]
    places = [_ORDER.index(recipe.storage.freezes) for recipe in recipes]
    if places[0] == places[1]:
        return f"They freeze alike: {said[0]}, {said[1]}."
    better = said if places[0] < places[1] else said[::-1]
    return f"{capital(better[0])}; {better[1]}."


def _line(recipe: Recipe, one: Subject) -> str:
    kept = [
        f"{figure} {where}"
        for figure, where in (
            (one.rule.fridge, "in the refrigerator"),
            (one.rule.freezer, "in the freezer for best quality"),
        )
        if figure
    ]
    return f"{capital(one.name)}: {', '.join(kept)}. {recipe.storage.note}".rstrip()


def _figure(name: str, shown: str, one: Subject) -> Figure:
    working = (f"storage rule {one.rule.title} ({one.rule.where})",)
    unit = shown.rsplit(" ", 1)[-1]
    return Figure(name=name, value=None, unit=unit, shown=shown, exact=shown, working=working)
