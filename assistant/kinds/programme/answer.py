"""The programme's own affairs: what the corpus does not hold goes to its contact address."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.corpus.records import Recipe
from assistant.kinds.shelf import Shelf, make, record_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """Where to ask, from programme.yaml: dates, links and lists change and are kept elsewhere."""
    programme = shelf.corpus.programme
    if not any(found.kind == reading.kind for found in reading.matched):
        # No word of the programme's affairs: that it only sounds like them is not enough.
        return unknown(reading, shelf)
    recipe = shelf.recipe(reading)
    if shelf.says(reading, "cost-words") and not shelf.says(reading, "session-words"):
        return _no_prices(reading, recipe, shelf)
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


def _no_prices(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Answer:
    """What a dish costs: there are no prices on record, and none are guessed."""
    what = f"the {recipe.title.lower()} costs" if recipe is not None else "it costs"
    lines = [
        "Prices differ by store and week. The shopping list gives every amount as it is bought, "
        'to hold against the shelf: ask "what do I need to buy".'
    ]
    return make(
        reading,
        "quoted",
        f"I have no prices on record, so I cannot say what {what}.",
        lines=lines,
        sources=(record_source(shelf.corpus.programme),),
    )
