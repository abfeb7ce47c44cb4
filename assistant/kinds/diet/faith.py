"""Kosher and halal: what the list of ingredients can tell, and what only an authority can."""

from __future__ import annotations

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Recipe
from assistant.kinds.shelf import Shelf, ask_which_recipe, listed, make, record_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading

LONGEST = 120


def by_faith(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Answer:
    """Which ingredients the law named would ask about; never that a dish is kosher or halal."""
    if recipe is None:
        if shelf.says(reading, "recipe-nouns"):
            return unknown(reading, shelf, "Only a certifying authority can call a recipe so.")
        return ask_which_recipe(reading, shelf)
    looked_at = _looked_at(shelf)
    laws = [law for law in looked_at if reading.has(law)] or [*looked_at]
    law = listed(laws, "or") or "so"
    told, figures, absent = [], [], []
    sources: list[Source] = [record_source(recipe)]
    for origin in dict.fromkeys(origin for one in laws for origin in looked_at[one]):
        lines = [
            line
            for line in recipe.lines
            if (item := shelf.item(line.item)) is not None and item.origin == origin
        ]
        if not lines:
            absent.append(origin)
            continue
        names = [f"{'optional ' if line.optional else ''}{line.name}" for line in lines]
        told.append(f"{listed(names)} ({origin})")
        figures.append(
            Figure(name=origin, value=None, unit="", shown=listed(names), exact="contains")
        )
        sources += [
            Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}")
            for line in lines
        ]
    title = f"the {recipe.title.lower()}"
    held = f"has {listed(told)}" if told else f"has no {listed(absent[:3], 'or')}"
    headline = f"Only a certifying authority can call it {law}; by its list {title} {held}."
    if len(headline) > LONGEST:
        headline = f"Only a certifying authority can call {title} {law}; what it holds is below."
    lines_ = [f"In it: {'; '.join(told)}."] if told else []
    lines_ += [f"Not in it: {listed(absent)}."] if absent else []
    lines_.append(
        "The list of ingredients does not show how meat was slaughtered, what a bought food was "
        "made with, or what a pan held before."
    )
    return make(reading, "partial", headline, figures, lines_, sources)


def _looked_at(shelf: Shelf) -> dict[str, list[str]]:
    """By law, the origins of the pantry that it speaks of first ("rule-faith-origins")."""
    record = shelf.corpus.lists.get("rule-faith-origins")
    entries = (entry.partition(" ") for entry in (record.words if record is not None else ()))
    return {law: origins.split(" + ") for law, _, origins in entries}
