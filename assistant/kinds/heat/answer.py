"""The heat a recipe is cooked at, for other ovens too; a note where no recipe is in hand."""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe, Step
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import Shelf, ask_which_recipe, capital, make, number, record_source
from assistant.kinds.shelf import reference_source
from assistant.kinds.unknown import unknown
from assistant.measure.units import to_celsius
from assistant.question.reading import Reading

_DEGREES = re.compile(r"(\d{3}) ?°F")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The oven's temperature or the burner's heat from the recipe's steps, else a note."""
    recipe = shelf.recipe(reading)
    tools = set(reading.ids("tool"))
    found = best(reading, shelf, ("heat", "technique", "equipment"))
    if recipe is None:
        return _without_recipe(reading, shelf) or (
            quoted(reading, shelf, found[1]) if found else unknown(reading, shelf)
        )
    if tools & {"air-fryer", "microwave", "slow-cooker", "pressure-cooker"}:
        return quoted(reading, shelf, found[1]) if found else unknown(reading, shelf)
    oven = next((step for step in recipe.steps if _DEGREES.search(step.heat)), None)
    asked_oven = "oven" in tools or shelf.says(reading, "oven-words")
    if oven is not None and (asked_oven or not _burners(recipe)):
        return _oven(reading, recipe, oven, shelf)
    if asked_oven and oven is None:
        return make(
            reading,
            "quoted",
            f"No step of the {recipe.title.lower()} uses an oven.",
            lines=_burner_lines(recipe),
            sources=(record_source(recipe),),
        )
    return _burner(reading, recipe, oven, shelf)


def _without_recipe(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "My oven is convection, is 400 still right?": the usual step down, worked out."""
    limit = shelf.corpus.limits.get("convection")
    numbers = [m.value for m in (*reading.all("temperature"), *reading.all("number"))]
    degrees = next((v for v in numbers if isinstance(v, Fraction) and 200 <= v <= 550), None)
    if (
        limit is None
        or limit.degrees is None
        or degrees is None
        or not shelf.says(reading, "fan-words")
    ):
        return None
    lower = degrees - limit.degrees
    figure = _figure(
        "convection oven", lower, f"{number(degrees)} °F − {limit.degrees} °F ({limit.where})"
    )
    return make(
        reading,
        "computed",
        f"In a convection oven: {figure.shown}, {limit.degrees} °F lower than {number(degrees)} °F.",
        (figure,),
        ("Start looking a few minutes early; what done looks like decides.",),
        (record_source(limit), reference_source(shelf, limit.source)),
    )


def _figure(name: str, degrees: Fraction, *working: str) -> Figure:
    shown = f"{number(degrees, 0)} °F ({number(to_celsius(degrees), 0)} °C)"
    return Figure(name=name, value=degrees, unit="°F", shown=shown, working=working)


def _oven(reading: Reading, recipe: Recipe, step: Step, shelf: Shelf) -> Answer:
    found = _DEGREES.search(step.heat)
    degrees = Fraction(int(found[1])) if found else Fraction(350)
    place = recipe.steps.index(step)
    where = record_source(recipe, recipe.step_lines[place])
    limit = shelf.corpus.limits.get("convection")
    figures = [_figure("oven", degrees, f"step {place + 1}: {step.heat} ({where.where})")]
    lines = []
    sources = [where]
    headline = f"{recipe.title}: oven at {figures[0].shown}."
    if limit is not None and limit.degrees is not None:
        lower = degrees - limit.degrees
        figures.append(
            _figure("convection oven", lower, f"{degrees} °F − {limit.degrees} °F ({limit.where})")
        )
        said = f"In a convection oven: {figures[1].shown}; look a few minutes early."
        if shelf.says(reading, "fan-words"):
            headline = f"{recipe.title} in a convection oven: {figures[1].shown}."
            said = f"In a still oven it is {figures[0].shown}. Look a few minutes early."
        lines.append(said)
        sources += [record_source(limit), reference_source(shelf, limit.source)]
    if step.done:
        lines.append(f"Done when {step.done}.")
    return make(reading, "computed", headline, figures, lines, sources)


def _burners(recipe: Recipe) -> list[tuple[int, Step]]:
    return [
        (i, step)
        for i, step in enumerate(recipe.steps, 1)
        if step.heat and not _DEGREES.search(step.heat)
    ]


def _burner_lines(recipe: Recipe) -> list[str]:
    return [f"Step {i}: {step.heat}. {step.text.split('.')[0]}." for i, step in _burners(recipe)]


def _burner(reading: Reading, recipe: Recipe, oven: Step | None, shelf: Shelf) -> Answer:
    steps = _burners(recipe)
    if not steps:
        return ask_which_recipe(reading, shelf) if not recipe.steps else make(
            reading, "quoted", f"The {recipe.title.lower()} is made without heat.",
            sources=(record_source(recipe),),
        )  # fmt: skip
    said = list(dict.fromkeys(step.heat for _, step in steps))
    lines = _burner_lines(recipe)
    if oven is not None:
        lines.append(f"The oven is at {oven.heat.replace(' oven', '')}.")
    headline = capital(f"{recipe.title}: {', then '.join(said[:3])}.")
    sources = [record_source(recipe, recipe.step_lines[i - 1]) for i, _ in steps]
    return make(reading, "quoted", headline, (), lines, sources)
