"""How long a recipe takes, how long a step takes, and when an ingredient goes in."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.corpus import line_for
from assistant.corpus.records import Recipe
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import Shelf, ask_which_recipe, capital, make, record_source
from assistant.kitchen.clock import Timed, hands_on, schedule, whole
from assistant.measure.span import show_minutes
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The whole, a step, or an ingredient's turn; a note where the recipe is not asked about."""
    recipe = shelf.recipe(reading)
    if recipe is None:
        found = best(reading, shelf, ("timing", "technique", "safety"))
        return quoted(reading, shelf, found[1]) if found else ask_which_recipe(reading, shelf)
    timed = schedule(recipe.steps)
    for item in reading.foods:
        steps = [t for t in timed if _uses(t, item, recipe, shelf)]
        if steps:
            return _ingredient(reading, recipe, item, steps, timed, shelf)
    step = _named_step(reading, timed)
    if step is not None:
        return _step(reading, recipe, step)
    return _whole(reading, recipe, timed)


def _uses(timed: Timed, item: str, recipe: Recipe, shelf: Shelf) -> bool:
    lines = (line_for(recipe, name, shelf.corpus.pantry) for name in timed.step.uses)
    return any(line is not None and line.item == item for line in lines)


def _named_step(reading: Reading, timed: Sequence[Timed]) -> Timed | None:
    """The step whose words the question names: "how long does it simmer?"."""
    methods = {m.id for m in reading.all("method")} | set(reading.words)
    for t in timed:
        if t.step.id in methods or set(t.step.id.split("-")) & methods:
            return t
    for t in timed:
        words = {word.strip(".,;").lower() for word in t.step.text.split()}
        if any(m.id in words for m in reading.all("method")):
            return t
    return None


def _span(low: Fraction, high: Fraction) -> str:
    return show_minutes(low, high)


def _clock(start: tuple[Fraction, Fraction]) -> str:
    low, high = start
    if high == 0:
        return "at the start"
    return f"{show_minutes(low, high)} after the start"


def _ingredient(
    reading: Reading,
    recipe: Recipe,
    item: str,
    steps: Sequence[Timed],
    timed: Sequence[Timed],
    shelf: Shelf,
) -> Answer:
    found = shelf.item(item)
    name = found.name if found else item
    first = steps[0]
    place = timed.index(first) + 1
    headline = f"{capital(name)}: step {place} of {len(timed)}, {_clock(first.start)}."
    lines = [capital(first.step.text)]
    if first.step.done:
        lines.append(f"Done when {first.step.done}.")
    if len(steps) > 1:
        later = ", ".join(str(timed.index(t) + 1) for t in steps[1:])
        lines.append(f"It comes up again in step {later}.")
    figure = Figure(
        name=f"{name} goes in, minutes from the start",
        value=first.start[0],
        unit="min",
        shown=_clock(first.start),
        exact=_span(*first.start),
        working=_working(timed[:place], recipe),
    )
    line = recipe.step_lines[place - 1]
    return make(reading, "computed", headline, (figure,), lines, (record_source(recipe, line),))


def _working(timed: Sequence[Timed], recipe: Recipe) -> tuple[str, ...]:
    return tuple(
        f"step {i}, {t.step.id}: starts at {_span(*t.start)}, {_span(*t.active)} active"
        f" and {_span(*t.passive)} waiting ({recipe.file}:{recipe.step_lines[i - 1]})"
        for i, t in enumerate(timed, 1)
    )


def _step(reading: Reading, recipe: Recipe, t: Timed) -> Answer:
    place = [step.id for step in recipe.steps].index(t.step.id)
    low, high = t.active[0] + t.passive[0], t.active[1] + t.passive[1]
    lines = [capital(t.step.text)]
    if t.step.done:
        lines.append(f"Done when {t.step.done}.")
    figure = Figure(
        name=f"step {place + 1}",
        value=high,
        unit="min",
        shown=_span(low, high),
        exact=_span(low, high),
        working=(f"{_span(*t.active)} active + {_span(*t.passive)} waiting",),
    )
    waiting = f", of it {_span(*t.passive)} waiting" if t.passive[1] else ""
    headline = f"{recipe.title}, step {place + 1}: {_span(low, high)}{waiting}."
    source = record_source(recipe, recipe.step_lines[place])
    return make(reading, "computed", headline, (figure,), lines, (source,))


def _whole(reading: Reading, recipe: Recipe, timed: Sequence[Timed]) -> Answer:
    low, high = whole(timed)
    busy = hands_on(timed)
    rows = [
        f"Step {i}: {_span(t.active[0] + t.passive[0], t.active[1] + t.passive[1])}, "
        f"{t.step.text.split('.')[0].rstrip('.')}."
        for i, t in enumerate(timed, 1)
    ]
    figures = (
        Figure(
            name="start to finish",
            value=high,
            unit="min",
            shown=_span(low, high),
            exact=_span(low, high),
            working=_working(timed, recipe),
        ),
        Figure(
            name="hands-on",
            value=busy[1],
            unit="min",
            shown=_span(*busy),
            exact=_span(*busy),
            working=("the sum of the active minutes",),
        ),
    )
    headline = (
        f"{recipe.title}: {_span(low, high)} from start to finish, {_span(*busy)} of it hands-on."
    )
    return make(reading, "computed", headline, figures, rows, (record_source(recipe),))
