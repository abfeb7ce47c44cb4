"""How long a batch takes to the boil, and how that grows: an estimate, with what it rests on."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Estimate, Recipe, Step
from assistant.kinds.shelf import (
    Shelf,
    capital,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.vessels import (
    Range,
    batch,
    boiling_step,
    lines_until,
    minutes_to_boil,
    water_step,
)
from assistant.measure.exact import exact
from assistant.measure.numbers import show_number
from assistant.measure.span import minutes, read_span, show_minutes
from assistant.question.reading import Reading

_ESTIMATES = ("burner-low", "burner-high", "heat-of-water", "degrees-to-boil")


def boil(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """The minutes to the boil for the servings asked about; None where nothing is boiled."""
    base = Fraction(recipe.yields.servings)
    servings = base * reading.factor if reading.factor is not None else reading.servings or base
    water = water_step(recipe)
    asks_water = "water" in reading.words or boiling_step(recipe) is None
    if water is not None and asks_water:
        return _water(reading, recipe, water, servings, shelf)
    step = boiling_step(recipe)
    if step is None:
        return None
    return _dish(reading, recipe, step, servings, shelf)


def growth(recipe: Recipe, servings: Fraction, shelf: Shelf) -> tuple[Range, Range] | None:
    """Minutes to the boil of the recipe as written, and for `servings`; None where nothing boils
    or an estimate's number is missing from the corpus."""
    step = boiling_step(recipe)
    if step is None or not all(ident in shelf.corpus.estimates for ident in _ESTIMATES):
        return None
    used = lines_until(recipe, step, shelf.corpus.pantry)
    low, high, heat, degrees = (exact(shelf.corpus.estimates[i].value) for i in _ESTIMATES)
    factor = servings / recipe.yields.servings
    return (
        minutes_to_boil(batch(used, Fraction(1)).grams, (low, high), heat, degrees),
        minutes_to_boil(batch(used, factor).grams, (low, high), heat, degrees),
    )


def _dish(
    reading: Reading, recipe: Recipe, step: Step, servings: Fraction, shelf: Shelf
) -> Answer | None:
    grown = growth(recipe, servings, shelf)
    if grown is None:
        return None
    base, asked = grown
    factor = servings / recipe.yields.servings
    used = lines_until(recipe, step, shelf.corpus.pantry)
    weight = batch(used, factor)
    estimates = [shelf.corpus.estimates[ident] for ident in _ESTIMATES]
    whom = show_number(servings)
    title = recipe.title.lower()
    if servings == recipe.yields.servings:
        headline = f"About {_whole(asked)} until the {title} for {whom} boils, by estimate."
    else:
        headline = (
            f"About {_whole(asked)} until the {title} for {whom} boils, by estimate;"
            f" for {recipe.yields.servings} it is {_whole(base)}."
        )
    place = recipe.steps.index(step)
    lines = [
        f"On the same burner it grows with the batch: {show_number(factor)} times as much takes "
        f"{show_number(factor)} times as long. Two pots on two burners win that back.",
        f"It counts {number(weight.grams[1])} g in the pot at that step.",
        *_said(estimates),
        f"The minutes after the boil stay: {step.done}.",
    ]
    if weight.missing:
        lines.insert(1, f"Not weighed, so at least that: {', '.join(weight.missing)}.")
    figure = Figure(
        name="minutes to the boil",
        value=None,
        unit="min",
        shown=_whole(asked),
        exact=_whole(asked),
        working=(
            f"{number(weight.grams[1])} g × 4.186 J × 79 °C ÷ (1,000 or 2,000 W × 60 s)",
            f"= {number(asked[0])} to {number(asked[1])} min",
        ),
    )
    verdict = "partial" if weight.missing else "computed"
    sources = [record_source(recipe, recipe.step_lines[place])]
    sources += [reference_source(shelf, e.source) for e in estimates]
    return make(reading, verdict, headline, (figure,), lines, sources)  # type: ignore[arg-type]


def _said(estimates: list[Estimate]) -> list[str]:
    return list(dict.fromkeys(e.text for e in estimates))


def _whole(span: Range) -> str:
    """Minutes to the whole minute: an estimate has no seconds."""
    low, high = (Fraction((value + Fraction(1, 2)).__floor__()) for value in span)
    return show_minutes(max(low, Fraction(1)), max(high, Fraction(1)))


def _water(
    reading: Reading, recipe: Recipe, step: Step, servings: Fraction, shelf: Shelf
) -> Answer:
    """A pot of plain water: the recipe's own minutes, in proportion."""
    factor = servings / recipe.yields.servings
    own = minutes(read_span(step.passive))
    asked = (own[0] * factor, own[1] * factor)
    place = recipe.steps.index(step)
    lines = [capital(step.text)]
    if factor == 1:
        headline = f"The recipe allows {_whole(own)} for the water to boil."
    else:
        headline = (
            f"About {_whole(asked)} for the water for {show_number(servings)} to boil;"
            f" the recipe allows {_whole(own)} for {recipe.yields.servings}."
        )
        lines.append(
            "An estimate: the same burner and water in proportion to the servings. "
            "Two pots on two burners keep the recipe's minutes."
        )
    figure = Figure(
        name="minutes to the boil",
        value=None,
        unit="min",
        shown=_whole(asked),
        exact=_whole(asked),
        working=(f"{step.passive} × {show_number(factor)} = {_whole(asked)}",),
    )
    sources = [record_source(recipe, recipe.step_lines[place])]
    if factor != 1:
        sources.append(reference_source(shelf, "common-practice"))
    return make(reading, "computed", headline, (figure,), lines, sources)
