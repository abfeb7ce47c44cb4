"""Amounts of a recipe for another number of people."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Line, Recipe
from assistant.kinds.absent import absent as absence
from assistant.kinds.named import lines_named
from assistant.kinds.nutrition.portions import pieces_named
from assistant.kinds.recipe.yields import yields
from assistant.kinds.scale.have import Have, by_amount, ratio
from assistant.kinds.shelf import (
    SIZES,
    Shelf,
    amount_text,
    ask_which_recipe,
    capital,
    line_name,
    listed,
    make,
    moved_text,
    number,
    record_source,
    reference_source,
    shown,
)
from assistant.kitchen.scaling import check_servings, same_item, scale_line
from assistant.measure.amount import Amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.measure.units import convert, unit
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """Scale the lines asked about, or all of them."""
    recipe = shelf.recipe(reading)
    if recipe is None:
        return _in_general(reading, shelf) or ask_which_recipe(reading, shelf)
    if reading.all("unit") and not any(lines_named(reading, recipe, shelf)):
        # "How many quarts of it for 20?" is the dish itself, measured.
        return yields(reading, recipe, shelf)
    feeds = _how_many(reading, recipe, shelf)
    if feeds is not None:
        return feeds
    servings = _servings(reading, recipe, shelf)
    settled = reading.factor is not None or pieces_named(reading, recipe) is not None
    each = shelf.says(reading, "each-words") and reading.servings is None
    have = None if settled or each else by_amount(reading, recipe, shelf)
    if have is not None:
        servings = have.factor * recipe.yields.servings
    if servings is None:
        return make(
            reading,
            "asks",
            "For how many people?",
            lines=(f"The recipe as written serves {recipe.yields.servings}.",),
            sources=(record_source(recipe),),
        )
    try:
        check_servings(servings)
    except MeasureError as error:
        return make(reading, "unknown", capital(str(error)) + ".", sources=(record_source(recipe),))
    wanted, absent = lines_named(reading, recipe, shelf)
    wanted = wanted or _of_sort(reading, recipe, shelf)
    if absent and not wanted and (have is None or have.line is None):
        return _absent(reading, recipe, absent, shelf)
    if shelf.says(reading, "rest-words"):
        wanted = []  # what was named is there already; the rest is asked for
    if have is not None:
        wanted = [line for line in wanted if line != have.line]
    if have is not None or reading.factor is not None:
        # What is asked next is of as many, as if their number had been said.
        reading = msgspec.structs.replace(reading, servings=servings)
    return _scaled(reading, recipe, wanted, servings, shelf, have)


def _in_general(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "Can I double the spices too?", of no recipe: what holds for all of them."""
    rule = shelf.corpus.cautions.get("scaling-not-straight")
    if rule is None or reading.factor is None or not shelf.says(reading, "spice-words"):
        return None
    return make(
        reading,
        "quoted",
        "Yes, but add salt, spice and leavening by taste: begin with less and taste.",
        lines=(rule.text, "Name the recipe for its own amounts."),
        sources=(record_source(rule), reference_source(shelf, rule.source)),
    )


def _of_sort(reading: Reading, recipe: Recipe, shelf: Shelf) -> list[Line]:
    """The recipe's spices, where they are asked for as such."""
    if not shelf.says(reading, "spice-words"):
        return []
    return [
        line
        for line in recipe.lines
        if (item := shelf.item(line.item)) is not None and "spice" in item.role
    ]


def _servings(reading: Reading, recipe: Recipe, shelf: Shelf) -> Fraction | None:
    base = Fraction(recipe.yields.servings)
    pieces = pieces_named(reading, recipe)
    if pieces is not None:
        return base * pieces.share[1]
    if reading.factor is not None:
        return base * reading.factor
    if reading.servings is not None:
        return reading.servings
    counts = [m.value for m in reading.all("number") if isinstance(m.value, Fraction)]
    if len(counts) == 1:
        # Half, a third, one and a half: of the batch, not of a person.
        return counts[0] if counts[0].denominator == 1 else base * counts[0]
    return Fraction(1) if shelf.says(reading, "for-one") else None


def _scaled(
    reading: Reading,
    recipe: Recipe,
    wanted: Sequence[Line],
    servings: Fraction,
    shelf: Shelf,
    have: Have | None,
) -> Answer:
    factor = servings / recipe.yields.servings
    lines = wanted or recipe.lines
    figures = [_figure(line, recipe, servings, factor, shelf) for line in lines]
    counted = pieces_named(reading, recipe)
    for_whom = f"{show_number(servings)}" if servings.denominator == 1 else number(servings)
    if counted is not None:
        for_whom = counted.words
    if have is not None and have.words:
        for_whom = have.words
    if wanted:
        parts = [
            f"{figure.shown} {_name(line, factor, shelf)}{_weighed(reading, line, factor)}"
            for figure, line in zip(figures[:3], wanted[:3], strict=True)
        ]
        headline = f"For {for_whom}: {listed(parts)}."
    else:
        headline = (
            f"{recipe.title} for {for_whom}: every amount × {show_number(factor)}"
            f" (the recipe serves {recipe.yields.servings})."
        )
    notes = [have.remark] if have is not None and have.remark else []
    notes += [] if wanted else [_printed(line, factor, shelf) for line in lines]
    exact = [
        f"{line_name(line, shelf)}: {moved}."
        for line in wanted
        if (moved := _moved(line, factor, shelf))
    ]
    buy = [text for line in lines if (text := _to_buy(line, factor, shelf))]
    sources = [record_source(recipe, line.line) for line in wanted] or [record_source(recipe)]
    return make(reading, "computed", headline, figures, (*notes, *exact, *buy), sources)


def _weighed(reading: Reading, line: Line, factor: Fraction) -> str:
    """ ", 215 g": the weight where it is asked for ("in grams") of a line in another measure."""
    asked = next((m.id for m in reading.all("unit") if unit(m.id).dimension == "weight"), "")
    own = line.amount.unit if line.amount is not None else ""
    if not asked or line.grams is None or (own and unit(own).dimension == "weight"):
        return ""
    value = convert(line.grams[1] * factor, "gram", asked)
    return f", {number(value)} {unit(asked).label(value)}"


def _figure(
    line: Line, recipe: Recipe, servings: Fraction, factor: Fraction, shelf: Shelf
) -> Figure:
    name = line_name(line, shelf)
    if line.amount is None:
        return Figure(
            name=name, value=None, unit="", shown="to taste", working=(f"{line.text}: no amount",)
        )
    scaled = scale_line(line, factor).amount or line.amount
    value = scaled.high
    working = (
        f"recipe: {show(line.amount)} for {recipe.yields.servings} ({line.file}:{line.line})",
        f"factor: {show_number(servings)} ÷ {recipe.yields.servings} = {show_number(factor)}",
        f"{show(line.amount)} × {show_number(factor)} = {show(scaled)}",
    )
    shown = amount_text(scaled, shelf.first)
    if scaled.low != scaled.high:
        return Figure(
            name=name,
            value=value,
            unit=scaled.unit,
            shown=shown,
            exact=show(scaled),
            working=working,
        )
    return Figure(name=name, value=value, unit=scaled.unit, shown=shown, working=working)


def _printed(line: Line, factor: Fraction, shelf: Shelf) -> str:
    name = line_name(line, shelf)
    tail = f", {line.prep}" if line.prep else ""
    if line.amount is None:
        return f"{name}{tail}, to taste" if not line.optional else f"{name}{tail} (optional)"
    scaled = scale_line(line, factor).amount or line.amount
    optional = " (optional)" if line.optional else ""
    moved = moved_text(scaled, shelf.first)
    name = line_name(line, shelf, scaled)
    return f"{amount_text(scaled, shelf.first)} {name}{tail}{optional}" + (
        f" [{moved}]" if moved else ""
    )


def _name(line: Line, factor: Fraction, shelf: Shelf) -> str:
    return line_name(line, shelf, scale_line(line, factor).amount)


def _moved(line: Line, factor: Fraction, shelf: Shelf) -> str:
    if line.amount is None:
        return ""
    return moved_text(scale_line(line, factor).amount or line.amount, shelf.first)


def _to_buy(line: Line, factor: Fraction, shelf: Shelf) -> str:
    """ "To buy: 2 cans of chickpeas (the exact need is 1 1/2)", where whole things are bought."""
    if line.amount is None or line.optional:
        return ""
    exact = scale_line(line, factor).amount or line.amount
    made = shown(exact, shelf.first)
    if made.buy is None or exact.high == made.buy:
        return ""
    whole = Amount(Fraction(made.buy), Fraction(made.buy), exact.unit)
    name = line_name(line, shelf, whole)
    if exact.unit and exact.unit not in SIZES:
        name = f"{unit(exact.unit).label(whole.high)} of {name}"
    return f"To buy: {made.buy} {name} (the exact need is {made.exact})."


def _absent(reading: Reading, recipe: Recipe, absent: Sequence[str], shelf: Shelf) -> Answer:
    have = listed([line_name(line, shelf) for line in recipe.lines])
    return make(
        reading,
        "quoted",
        absence(recipe, absent, shelf),
        lines=(f"It is made of {have}.",),
        sources=(record_source(recipe),),
    )


def _how_many(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """ "I have 2 cups of lentils, how many does that feed?": servings from an amount."""
    if reading.servings is not None or reading.factor is not None:
        return None
    asked = shelf.says(reading, "how-many-eaters")
    amounts = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    items = reading.foods
    if not asked or len(amounts) != 1 or len(items) != 1:
        return None
    lines = same_item(recipe.lines, items[0])
    if len(lines) != 1 or lines[0].amount is None:
        return None
    times = ratio(amounts[0], lines[0], shelf)
    if times is None:
        return None
    servings = times * recipe.yields.servings
    name = line_name(lines[0], shelf)
    figure = Figure(
        name="servings",
        value=servings,
        unit="serving",
        shown=f"{number(servings)} servings",
        working=(
            f"recipe: {show(lines[0].amount)} {name} for {recipe.yields.servings} "
            f"({lines[0].file}:{lines[0].line})",
            f"{show(amounts[0])} is {show_number(times)} of that",
            f"{recipe.yields.servings} × {show_number(times)} = {number(servings)} servings",
        ),
    )
    whole = int(servings)
    dish = recipe.title.lower()
    headline = f"{show(amounts[0])} of {name} is enough for {whole} servings of the {dish}."
    source: Source = record_source(recipe, lines[0].line)
    return make(reading, "computed", headline, (figure,), (), (source,))
