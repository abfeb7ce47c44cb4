"""What is in a recipe, how much of one thing, what it yields, and its steps."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure
from assistant.corpus.records import Line, Recipe
from assistant.kinds.absent import absent as absence
from assistant.kinds.named import lines_named
from assistant.kinds.quote import LONGEST_HEADLINE
from assistant.kinds.recipe.part import part
from assistant.kinds.recipe.taste import taste
from assistant.kinds.recipe.yields import yields
from assistant.kinds.scale.have import by_amount
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    ask_which_recipe,
    line_name,
    listed,
    make,
    record_source,
)
from assistant.measure.amount import show
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """One ingredient's amount, whether it is in there, the yield, the steps, or the whole list."""
    recipe = shelf.recipe(reading)
    if recipe is None:
        return ask_which_recipe(reading, shelf)
    if len(set(reading.ids("recipe"))) > 1 and reading.foods:
        # Of two dishes one amount together, as it is bought.
        from assistant.kinds.shopping.answer import answer as bought

        return bought(reading, shelf)
    tasted = taste(reading, recipe, shelf)
    if tasted is not None:
        return tasted
    of_part = part(reading, recipe, shelf)
    if of_part is not None:
        return of_part
    named, absent = lines_named(reading, recipe, shelf)
    if named and reading.servings is None and shelf.says(reading, "each-words"):
        # "How much broth per bowl?"
        reading = msgspec.structs.replace(reading, servings=Fraction(1))
    sized = reading.servings is not None or reading.factor is not None
    if named and not sized and reading.all("amount"):
        # "The salmon is 2 lb, how much potatoes?": as many times the recipe.
        have = by_amount(reading, recipe, shelf)
        sized = have is not None and have.line not in named
    if (named or absent) and sized:
        # Servings that are pinned count for every amount: the recipe's own would be read out wrong.
        from assistant.kinds.scale.answer import answer as scaled

        return scaled(reading, shelf)
    if named or absent:
        return _some(reading, recipe, named, absent, shelf)
    # "How many does it make?"
    counted = reading.has("how") and reading.has("many", "much")
    counted = counted and shelf.says(reading, "yield-verbs")
    if counted or reading.all("unit") or shelf.says(reading, "yield-words"):
        return yields(reading, recipe, shelf)
    if shelf.says(reading, "steps-words") and not shelf.says(reading, "contents-words"):
        return _steps(reading, recipe)
    return _list(reading, recipe, shelf)


def _some(
    reading: Reading, recipe: Recipe, lines: list[Line], absent: list[str], shelf: Shelf
) -> Answer:
    if not lines:
        have = listed([line_name(line, shelf) for line in recipe.lines])
        return make(
            reading,
            "quoted",
            absence(recipe, absent, shelf),
            lines=(f"It is made of {have}.",),
            sources=(record_source(recipe),),
        )
    lead = f"{recipe.title} for {recipe.yields.servings}"
    whole = [_said(line, shelf) for line in lines]
    headline = f"{lead}: {listed(whole[:3])}."
    rows = [absence(recipe, [ident], shelf) for ident in absent]
    if len(headline) > LONGEST_HEADLINE:
        # How it is cut stands in the lines.
        for count in range(min(3, len(whole)), 0, -1):
            headline = f"{lead}: {listed([text.split(', ')[0] for text in whole[:count]])}."
            if len(headline) <= LONGEST_HEADLINE:
                break
        rows = [*(f"{text}." for text in whole), *rows]
    figures = [_figure(line, recipe, shelf) for line in lines]
    sources = [record_source(recipe, line.line) for line in lines]
    return make(reading, "quoted", headline, figures, rows, sources)


def _said(line: Line, shelf: Shelf) -> str:
    name = line_name(line, shelf, line.amount)
    if line.amount is None:
        return f"{name}, {'optional' if line.optional else 'to taste'}"
    tail = f", {line.prep}" if line.prep else ""
    optional = " (optional)" if line.optional else ""
    return f"{amount_text(line.amount, shelf.first)} {name}{tail}{optional}"


def _figure(line: Line, recipe: Recipe, shelf: Shelf) -> Figure:
    return Figure(
        name=line_name(line, shelf),
        value=line.amount.high if line.amount else None,
        unit=line.amount.unit if line.amount else "",
        shown=amount_text(line.amount, shelf.first) if line.amount else "to taste",
        exact=show(line.amount) if line.amount else "",
        working=(f"{line.text} ({line.file}:{line.line})", f"weight: {line.weighed}"),
    )


def _steps(reading: Reading, recipe: Recipe) -> Answer:
    rows = [
        f"{i}. {step.text}" + (f" Done when {step.done}." if step.done else "")
        for i, step in enumerate(recipe.steps, 1)
    ]
    whole = f"{recipe.title}, {len(rows)} steps: {recipe.summary}"
    headline = whole if len(whole) <= LONGEST_HEADLINE else f"{recipe.title}: {len(rows)} steps."
    return make(reading, "quoted", headline, (), rows, (record_source(recipe),))


def _list(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    if reading.servings is not None or reading.factor is not None:
        from assistant.kinds.scale.answer import answer as scaled

        return scaled(msgspec.structs.replace(reading, kind="scale"), shelf)
    names = [line_name(line, shelf) for line in recipe.lines if not line.optional]
    headline = f"{recipe.title} for {recipe.yields.servings}: {recipe.summary}"
    if len(headline) > 118:
        headline = f"{recipe.title} for {recipe.yields.servings}, {len(names)} ingredients."
    rows = [_said(line, shelf) for line in recipe.lines]
    figures = [_figure(line, recipe, shelf) for line in recipe.lines]
    return make(reading, "quoted", headline, figures, rows, (record_source(recipe),))
