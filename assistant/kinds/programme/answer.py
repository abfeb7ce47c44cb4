"""The programme's own affairs: what the corpus does not hold goes to its contact address."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.kinds.shelf import Shelf, make, record_source
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """Where to ask, from programme.yaml: dates, links and lists change and are kept elsewhere."""
    programme = shelf.corpus.programme
    recipe = shelf.recipe(reading)
    lines = ["Dates, links, recordings and sign-up are not kept here."]
    if recipe is not None:
        lines.append(f"The recipe itself is here: ask what goes into the {recipe.title.lower()}.")
    return make(
        reading,
        "quoted",
        f"Please write to {programme.contact}: the {programme.name} team answers that.",
        lines=lines,
        sources=(record_source(programme),),
    )
