"""Is it much? Per cent Daily Value, the 5/20 guide, label claims and daily yardsticks."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Nutrient, Recipe
from assistant.corpus.yardsticks import Yardstick
from assistant.kinds.nutrition.claiming import LEGAL, basis_lines, claim_text, claims_of, view
from assistant.kinds.nutrition.figures import (
    figure,
    percent,
    portion,
    remarks,
    shown,
    sources,
    sums,
)
from assistant.kinds.nutrition.portions import Portion
from assistant.kinds.nutrition.serving import LONGEST, called
from assistant.kinds.shelf import (
    Shelf,
    capital,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.nutrients import Total
from assistant.question.reading import Reading

GUIDE = "five-twenty-guide"
# The bounds of that guide, in per cent of the Daily Value.
_LOW, _HIGH = Fraction(5), Fraction(20)


def of_level(
    reading: Reading, recipe: Recipe, part: Portion, nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer:
    """How much a portion is beside a day: per cent, the 5/20 guide, claims of that nutrient."""
    totals = sums(recipe.lines, recipe, nutrients, shelf)
    figures = [figure(made, part.share, part.words, recipe.title.lower()) for made in totals]
    figures += [f for made in totals if (f := _percent_figure(made, part, recipe))]
    lines: list[str] = []
    found: list[Source] = []
    dish, sort = view(recipe, shelf)
    for made in totals:
        lines.append(_guide(made, part))
        lines += _yardsticks(made, part, shelf, found)
        judged = claims_of(made.nutrient, sort, shelf, dish)
        lines += [claim_text(c, made.nutrient, dish, shelf) for c in judged]
    lines += basis_lines(recipe, sort, shelf)
    lines.append(LEGAL)
    lines += remarks(recipe, totals, part.share, shelf)
    lines += part.remarks
    lacking = any(portion(made, part.share)[2] for made in totals)
    return make(
        reading,
        "partial" if lacking else "computed",
        _level_headline(recipe, totals[0], part),
        figures,
        lines,
        [
            record_source(recipe),
            reference_source(shelf, GUIDE),
            reference_source(shelf, "claims"),
            reference_source(shelf, "daily-values"),
            *found,
            *sources(recipe, totals, shelf),
        ],
    )


def _level_headline(recipe: Recipe, made: Total, part: Portion) -> str:
    low, high, at_least = portion(made, part.share)
    nutrient = made.nutrient
    amount = called(shown(low, high, nutrient, at_least), nutrient)
    lead = f"{capital(part.words)} of {recipe.title.lower()}: {amount}"
    daily = percent(high, nutrient)
    if not daily:
        return f"{lead}."[:LONGEST]
    word = _level(made, part)
    text = f"{lead}, {daily} of the Daily Value{f': {word}' if word else ''}."
    return (
        text
        if len(text) <= LONGEST
        else f"{amount}, {daily} of the Daily Value{f': {word}' if word else ''}."
    )


def _level(made: Total, part: Portion) -> str:
    low, high, at_least = portion(made, part.share)
    return level_of(made.nutrient, low, high, at_least)


def level_of(nutrient: Nutrient, low: Fraction, high: Fraction, at_least: bool) -> str:
    """High, low or between, by the 5/20 guide; "" where a gap or a range leaves it open."""
    if nutrient.daily_value is None:
        return ""
    ends = [value / Fraction(nutrient.daily_value) * 100 for value in (low, high)]
    if ends[0] >= _HIGH:
        return "high (20 % or more)"
    if at_least:
        return ""
    if ends[1] <= _LOW:
        return "low (5 % or less)"
    if ends[0] > _LOW and ends[1] < _HIGH:
        return "neither low nor high"
    return ""


def _guide(made: Total, part: Portion) -> str:
    low, high, at_least = portion(made, part.share)
    return guide_line(made.nutrient, low, high, at_least)


def guide_line(nutrient: Nutrient, low: Fraction, high: Fraction, open_above: bool) -> str:
    """The exact per cent of the Daily Value and what the guide calls it (`open_above`: a gap)."""
    if nutrient.daily_value is None:
        return f"There is no Daily Value for {nutrient.name}, so the 5/20 guide does not apply."
    dv = Fraction(nutrient.daily_value)
    exact = f"{'at least ' if open_above else ''}{number(high / dv * 100)} %"
    word = level_of(nutrient, low, high, open_above) or "not to be told"
    caution = " (not corrected for protein quality)" if nutrient.id == "protein" else ""
    return (
        f"{capital(nutrient.name)}: {exact} of the Daily Value of {number(dv)} {nutrient.unit}"
        f"{caution}, {word} by the guide that 5 % is low and 20 % is high."
    )


def _percent_figure(made: Total, part: Portion, recipe: Recipe) -> Figure | None:
    nutrient = made.nutrient
    if nutrient.daily_value is None:
        return None
    high = portion(made, part.share)[1]
    dv = Fraction(nutrient.daily_value)
    daily = percent(high, nutrient) or f"{number(high / dv * 100, 0)} %"
    return Figure(
        name=f"Daily Value share of {nutrient.name} in {part.words} of {recipe.title.lower()}",
        value=high / dv * 100,
        unit="%",
        shown=daily,
        working=(
            f"{number(high)} {nutrient.unit} ÷ {number(dv)} {nutrient.unit} × 100 = "
            f"{number(high / dv * 100)} %",
        ),
    )


def _yardsticks(made: Total, part: Portion, shelf: Shelf, found: list[Source]) -> list[str]:
    out = []
    for stick in shelf.corpus.yardsticks.values():
        if stick.nutrient != made.nutrient.id:
            continue
        found += [reference_source(shelf, i) for i in (stick.source, stick.older_source) if i]
        out.append(_stick_text(stick, made, part))
    return out


def _stick_text(stick: Yardstick, made: Total, part: Portion) -> str:
    high = portion(made, part.share)[1]
    share = ""
    if stick.limit is not None:
        share = f"; this is {number(high / Fraction(stick.limit) * 100, 0)} % of that"
    older = f" ({stick.older})" if stick.older else ""
    return f"{stick.edition}: {made.nutrient.name} {stick.text}{share}{older}."
