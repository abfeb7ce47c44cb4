""" "Make it vegan and gluten-free for 20": the smallest set of swaps, applied together."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Diet, Line, Recipe
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    food_source,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.swap.options import NUTRIENTS
from assistant.kitchen.nutrients import total
from assistant.kitchen.scaling import check_servings, scale_line
from assistant.kitchen.sets import Choice, Makeover, make_over
from assistant.measure.amount import show
from assistant.measure.exact import MeasureError
from assistant.question.reading import Reading


def makeover(reading: Reading, recipe: Recipe, diets: Sequence[Diet], shelf: Shelf) -> Answer:
    """The changed recipe at the servings asked for; or that no set of swaps gets there."""
    own = Fraction(recipe.yields.servings)
    factor = reading.factor or (reading.servings / own if reading.servings is not None else 1)
    try:
        servings = check_servings(own * factor)
    except MeasureError as error:
        return make(reading, "asks", f"I cannot scale to that: {error.problem}."[:120])
    made = make_over(recipe.lines, diets, shelf.corpus, recipe.id)
    names = listed([diet.name for diet in diets])
    title = recipe.title.lower()
    sources = _sources(recipe, diets, made, shelf)
    if not made.done:
        return _stuck(reading, recipe, made, names, shelf, sources)
    factor = Fraction(factor)
    figures, lines = [], []
    for choice in made.choices:
        figures += _figures(choice, factor, shelf)
        lines.append(_change(choice, factor, shelf))
    new, told = _nutrition(recipe, made, shelf)
    lines.append(_ingredients(made.lines, factor, servings, shelf))
    labels = [f"{_name(line, shelf)} ({listed(why)})" for line, why in made.labels]
    if labels:
        lines.append(f"Read the label, these may contain it: {'; '.join(dict.fromkeys(labels))}.")
    lines += told
    lines.append("Cross-contact: clean boards, pans, spoons and oil, and cook this first.")
    return make(
        reading,
        "computed",
        _headline(names, title, servings, made, shelf),
        [*figures, *new],
        lines,
        sources,
    )


def _name(line: Line, shelf: Shelf) -> str:
    return line.name or shelf.corpus.pantry[line.item].name


def _headline(names: str, title: str, servings: Fraction, made: Makeover, shelf: Shelf) -> str:
    head = f"{capital(names)} {title} for {number(servings)}"
    told = []
    for choice in made.choices:
        out = _name(choice.line, shelf)
        told.append(f"{_name(choice.made[0], shelf)} for {out}" if choice.made else f"no {out}")
    count = len(told)
    for text in (f"{head}: {listed(told)}.", f"{head}: {count} changes, listed below."):
        if len(text) <= 120:
            return text
    return f"{capital(title)} for {number(servings)}: {count} changes, listed below."


def _figures(choice: Choice, factor: Fraction, shelf: Shelf) -> list[Figure]:
    """The amount of each ingredient that comes in, at the servings asked for."""
    found = []
    for line in choice.made:
        scaled = scale_line(line, factor)
        if scaled.amount is None:
            continue
        record = choice.swap.where if choice.swap else ""
        found.append(
            Figure(
                name=_name(line, shelf),
                value=scaled.amount.high,
                unit=scaled.amount.unit,
                shown=amount_text(scaled.amount, shelf.first),
                exact=show(scaled.amount),
                working=(
                    f"{choice.line.text} → {line.text} ({record})",
                    f"× {factor} = {show(scaled.amount)}",
                ),
            )
        )
    return found


def _change(choice: Choice, factor: Fraction, shelf: Shelf) -> str:
    out = scale_line(choice.line, factor)
    had = f"{amount_text(out.amount, shelf.first)} " if out.amount else ""
    why = f" ({listed(choice.why)})"
    if choice.swap is None:
        return f"Leave out the {_name(out, shelf)}{why}; it is optional."
    into = [scale_line(line, factor) for line in choice.made]
    new = [
        f"{amount_text(x.amount, shelf.first)} {_name(x, shelf)}"
        for x in into
        if x.amount is not None
    ]
    parts = [f"{listed(new)} for {had}{_name(out, shelf)}{why}: {choice.swap.how}"]
    parts += [part for part in (choice.swap.taste, choice.swap.watch) if part]
    return " ".join(capital(part.rstrip(".") + ".") for part in parts)


def _ingredients(lines: Sequence[Line], factor: Fraction, servings: Fraction, shelf: Shelf) -> str:
    told = []
    for line in (scale_line(line, factor) for line in lines):
        amount = f"{amount_text(line.amount, shelf.first)} " if line.amount else ""
        told.append(f"{amount}{_name(line, shelf)}{', optional' if line.optional else ''}")
    return f"Ingredients for {number(servings)}: {'; '.join(told)}."


def _nutrition(recipe: Recipe, made: Makeover, shelf: Shelf) -> tuple[list[Figure], list[str]]:
    """Energy, protein, sodium and fiber per serving, after and before."""
    servings = Fraction(recipe.yields.servings)
    figures, told, gaps = [], [], []
    for ident in NUTRIENTS:
        nutrient = shelf.corpus.nutrients[ident]
        after = total(made.lines, nutrient, shelf.table)
        before = total(recipe.lines, nutrient, shelf.table)
        places = 0 if nutrient.unit in {"kcal", "mg"} else 1
        value, old = after.over(servings)[1], before.over(servings)[1]
        least = "at least " if after.missing else ""
        gaps += [f"{part.line.name}: {part.why}" for part in after.missing]
        shown = f"{least}{number(value, places)} {nutrient.unit}"
        told.append(f"{nutrient.name} {shown} (was {number(old, places)})")
        figures.append(
            Figure(
                name=f"{nutrient.name} per serving",
                value=value,
                unit=nutrient.unit,
                shown=shown,
                working=(f"sum over the new ingredient list ÷ {recipe.yields.servings}",),
            )
        )
    lines = [f"Per serving: {'; '.join(told)}."]
    if gaps:
        lines.append(f"No figure for: {'; '.join(dict.fromkeys(gaps))}.")
    return figures, lines


def _stuck(
    reading: Reading,
    recipe: Recipe,
    made: Makeover,
    names: str,
    shelf: Shelf,
    sources: Sequence[Source],
) -> Answer:
    held = [f"{_name(line, shelf)} ({listed(why)})" for line, why in made.stuck]
    headline = f"No set of swaps on record makes the {recipe.title.lower()} {names}."
    lines = [f"No swap on record for: {'; '.join(held)}."]
    if made.choices:
        told = [
            f"{_name(c.made[0], shelf)} for {_name(c.line, shelf)}"
            if c.made
            else f"no {_name(c.line, shelf)}"
            for c in made.choices
        ]
        lines.append(f"The rest could be changed: {listed(told)}.")
    lines.append("A swap is not made up here; ask the dietitian, or choose another recipe.")
    return make(reading, "unknown", headline[:120], lines=lines, sources=sources)


def _sources(recipe: Recipe, diets: Sequence[Diet], made: Makeover, shelf: Shelf) -> list[Source]:
    found = [record_source(recipe), *(record_source(diet) for diet in diets)]
    for choice in made.choices:
        line = choice.line
        found.append(Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}"))
        if choice.swap:
            found.append(record_source(choice.swap))
            found += [reference_source(shelf, ident) for ident in choice.swap.sources]
        found += [food_source(shelf, new.food) for new in choice.made if new.food]
    found += [reference_source(shelf, ident) for diet in diets for ident in diet.sources]
    return found
