"""How and why a thing is done: the programme's own note, quoted; when a dish is done."""

from __future__ import annotations

import re

from assistant.answer import Answer
from assistant.corpus.records import Recipe
from assistant.kinds.quote import LONGEST_HEADLINE, quote
from assistant.kinds.shelf import Shelf, capital, make, record_source
from assistant.measure.span import minutes, read_span
from assistant.question.reading import Reading

_DEGREES = re.compile(r"\d+ °F(?: \(\d+ °C\))?")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The passage that answers, or "I don't know"."""
    recipe = shelf.recipe(reading)
    if recipe is not None and not reading.foods and shelf.says(reading, "is-it-done-words"):
        told = _is_done(reading, recipe)
        if told is not None:
            return told
    # A note says how and why; a step of the recipe in hand only that it is done.
    kinds = ("technique", "safety", "heat", "equipment", "timing")
    return quote(reading, shelf, kinds, own=0.6)


def _is_done(reading: Reading, recipe: Recipe) -> Answer | None:
    """What done looks like: aloud for the step with a temperature to reach, else for the one that
    cooks longest by itself; then for all."""
    steps = [(number, step) for number, step in enumerate(recipe.steps, 1) if step.done]
    cooked = [one for one in steps if one[1].heat not in {"", "off"}]
    if not cooked:
        return None
    measured = [one for one in cooked if "°F" in one[1].done]
    number, main = (
        measured[-1]
        if measured
        else max(cooked, key=lambda one: (minutes(read_span(one[1].passive))[1], one[0]))
    )
    headline = f"{recipe.title}, step {number}: done when {main.done.split(';')[0]}."
    if len(headline) > LONGEST_HEADLINE:
        found = _DEGREES.search(main.done)
        at = f" at {found[0]}, as told below" if found else ", as told below"
        headline = f"{recipe.title}, step {number}: done{at}."
    rows = [f"Step {place}: {capital(step.done)}." for place, step in steps]
    return make(reading, "quoted", headline, (), rows, [record_source(recipe)])
