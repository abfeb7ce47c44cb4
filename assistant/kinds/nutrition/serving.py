"""The figures of a dish as written: per serving, for an amount of it, or for the whole of it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.nutrition.figures import (
    figure,
    main_nutrients,
    percent,
    portion,
    remarks,
    rows,
    shown,
    sources,
    sums,
    with_check,
)
from assistant.kinds.nutrition.portions import Portion
from assistant.kinds.shelf import Shelf, listed, make
from assistant.kitchen.nutrients import Total
from assistant.question.reading import Reading

LONGEST = 120


def wanted(reading: Reading, shelf: Shelf) -> tuple[list[Nutrient], bool]:
    """The nutrients asked for and whether they were named; every one for "the full label"."""
    known = shelf.corpus.nutrients
    named = [known[ident] for ident in reading.ids("nutrient") if ident in known]
    if named:
        return named, True
    if shelf.says(reading, "table-words"):
        return list(known.values()), False
    return main_nutrients(shelf), False


def of_dish(
    reading: Reading,
    recipe: Recipe,
    part: Portion,
    nutrients: Sequence[Nutrient],
    named: bool,
    shelf: Shelf,
) -> Answer:
    """The answer for one portion of a dish as it is written."""
    totals = sums(recipe.lines, recipe, nutrients, shelf)
    title = recipe.title.lower()
    figures = [figure(made, part.share, part.words, title) for made in totals]
    lines = rows(totals, part.share) if len(totals) > 1 else []
    if len(totals) > 1 and any(made.nutrient.id == "protein" for made in totals):
        lines.append(
            "DV: share of the Daily Value; for protein none, it needs a quality correction."
        )
    lines += remarks(recipe, totals, part.share, shelf)
    lines += part.remarks
    lacking = any(portion(made, part.share)[2] for made in totals)
    return make(
        reading,
        "partial" if lacking else "computed",
        headline(recipe.title, part, totals, named, shelf),
        with_check(figures, recipe, part.share, shelf),
        lines,
        sources(recipe, totals, shelf),
    )


def headline(title: str, part: Portion, totals: Sequence[Total], named: bool, shelf: Shelf) -> str:
    """`Turkey chili, one bowl: 320 kcal, 470 mg sodium, 9 g dietary fiber and 27 g protein.`"""
    picked = list(totals)
    first = shelf.corpus.lists.get("headline-nutrients")
    if not named and first is not None:
        by_id = {made.nutrient.id: made for made in totals}
        picked = [by_id[ident] for ident in first.words if ident in by_id] or picked
    single = len(picked) == 1 and part.share[1] < 1  # a whole pot is nobody's day
    heads = [_head(made, part, with_percent=single) for made in picked]
    while heads:
        text = f"{title}, {part.words}: {listed(heads)}."
        if len(text) <= LONGEST:
            return text
        heads = heads[:-1]
    return f"{title}, {part.words}."[:LONGEST]


def _head(made: Total, part: Portion, with_percent: bool) -> str:
    low, high, at_least = portion(made, part.share)
    text = called(shown(low, high, made.nutrient, at_least), made.nutrient)
    daily = percent(high, made.nutrient)
    return f"{text}, {daily} of the Daily Value" if daily and with_percent else text


def called(amount: str, nutrient: Nutrient) -> str:
    """`480 mg sodium`, but `250 kcal` and not "250 kcal energy"."""
    return amount if nutrient.id == "energy" else f"{amount} {nutrient.name}"


def per_serving(recipe: Recipe, nutrient: Nutrient, shelf: Shelf) -> tuple[Total, Fraction]:
    """One nutrient's total and its high end in one serving, for ranking and comparing."""
    made = sums(recipe.lines, recipe, [nutrient], shelf)[0]
    share = Fraction(1, recipe.yields.servings)
    return made, portion(made, (share, share))[1]
