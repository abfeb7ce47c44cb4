"""Which ingredient brings a nutrient, and how much of it."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.nutrition.figures import (
    figure,
    part_text,
    portion,
    remarks,
    rough,
    shown,
    sources,
    sums,
)
from assistant.kinds.nutrition.portions import one_serving
from assistant.kinds.nutrition.serving import called
from assistant.kinds.shelf import Shelf, capital, line_name, listed, make, number, record_source
from assistant.kitchen.nutrients import ZERO, Part, Total, contributions
from assistant.question.reading import Reading


def of_all(reading: Reading, recipe: Recipe, nutrient: Nutrient, shelf: Shelf) -> Answer:
    """The table of contributions to one nutrient, the largest first."""
    made = sums(recipe.lines, recipe, [nutrient], shelf)[0]
    part = one_serving(recipe)
    lacking = portion(made, part.share)[2]
    whole = figure(made, part.share, part.words, recipe.title.lower())
    shares = [p for p in contributions(made) if p.value and p.value[1] > 0]
    if not shares or not made.high:
        return make(
            reading,
            "partial" if lacking else "computed",
            f"The {recipe.title.lower()} has no {nutrient.name} to speak of.",
            (whole,),
            remarks(recipe, [made], part.share, shelf),
            sources(recipe, [made], shelf),
        )
    wide = max(len(line_name(p.line, shelf)) for p in shares)
    table = [
        f"{line_name(p.line, shelf):<{wide}}  {_amount(p, recipe, nutrient):>12}"
        f"{number(_percent(p, made), 0):>5} %"
        for p in shares
        if _percent(p, made) >= Fraction(1, 2)
    ]
    small = [line_name(p.line, shelf) for p in shares if _percent(p, made) < Fraction(1, 2)]
    if small:
        table.append(f"Less than 1 % each: {listed(small)}.")
    first = shares[0]
    some = "Of the known part, most" if lacking else "Most"
    if _percent(first, made) <= 50:
        some = "Of the known part, the largest share" if lacking else "The largest share"
    headline = (
        f"{some} of the {nutrient.name} comes from the {line_name(first.line, shelf)}: "
        f"{number(_percent(first, made), 0)} %."
    )
    return make(
        reading,
        "partial" if lacking else "computed",
        headline,
        (whole, *(_figure(p, recipe, made, shelf) for p in shares)),
        (
            f"In one {recipe.yields.unit}, {whole.shown} in all:",
            *table,
            *remarks(recipe, [made], part.share, shelf),
        ),
        sources(recipe, [made], shelf),
    )


def of_one(reading: Reading, recipe: Recipe, item: str, nutrient: Nutrient, shelf: Shelf) -> Answer:
    """What one ingredient of the dish brings of a nutrient."""
    made = sums(recipe.lines, recipe, [nutrient], shelf)[0]
    own = [p for p in made.parts if p.line.item == item]
    lacking = [p for p in made.missing if p.line.item == item]
    lines = [line for line in recipe.lines if line.item == item]
    name = line_name(lines[0], shelf)
    places = tuple(record_source(recipe, line.line) for line in lines)
    if not own:
        why = lacking[0].why if lacking else "it is optional or to taste, so it is not counted"
        return make(
            reading,
            "partial",
            f"I have no figure for the {nutrient.name} of the {name} in it: {why}.",
            lines=(f"{capital(line.text)}." for line in lines),  # type: ignore[arg-type]
            sources=places,
        )
    value = sum((p.value or ZERO)[1] for p in own) / recipe.yields.servings
    share = (
        Fraction(0) if not made.high else sum((p.value or ZERO)[1] for p in own) / made.high * 100
    )
    figures = [_figure(p, recipe, made, shelf) for p in own]
    low = sum((p.value or ZERO)[0] for p in own) / recipe.yields.servings
    text = called(shown(Fraction(low), Fraction(value), nutrient), nutrient)
    return make(
        reading,
        "computed",
        f"The {name} brings {text} to one {recipe.yields.unit}, "
        f"{number(Fraction(share), 0)} % of it.",
        figures,
        tuple(f"{capital(line.text)}, in the whole recipe." for line in lines),
        [*places, *sources(recipe, [made], shelf)],
    )


def _percent(part: Part, made: Total) -> Fraction:
    return (part.value or ZERO)[1] / made.high * 100 if made.high else Fraction(0)


def _amount(part: Part, recipe: Recipe, nutrient: Nutrient) -> str:
    low, high = part.value or ZERO
    ends = [rough(end / recipe.yields.servings, nutrient.unit) for end in (low, high)]
    return f"{ends[0] if ends[0] == ends[1] else '–'.join(ends)} {nutrient.unit}"


def _figure(part: Part, recipe: Recipe, made: Total, shelf: Shelf) -> Figure:
    nutrient = made.nutrient
    value = (part.value or ZERO)[1] / recipe.yields.servings
    return Figure(
        name=f"{line_name(part.line, shelf)}, {nutrient.name} in one {recipe.yields.unit}",
        value=value,
        unit=nutrient.unit,
        shown=_amount(part, recipe, nutrient),
        working=(
            part_text(part, nutrient),
            f"÷ {recipe.yields.servings} servings; {number(_percent(part, made))} % of the dish",
        ),
    )
