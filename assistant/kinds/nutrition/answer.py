"""Energy and nutrients of a recipe, of a changed recipe, or of an amount of one food."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.nutrition.change import Change, find_change
from assistant.kinds.shelf import (
    Shelf,
    ask_which_recipe,
    capital,
    food_source,
    line_name,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.kinds.weights import grams_of_amount
from assistant.kitchen.label import declared_text, percent_daily_value
from assistant.kitchen.nutrients import Part, Total, contributions, total
from assistant.measure.amount import Amount, show
from assistant.measure.numbers import show_number
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """A recipe's figures per serving; those of a food, where a food and no recipe is named."""
    nutrients = _nutrients(reading, shelf)
    recipe = shelf.recipe(reading)
    foods = reading.foods
    if foods and (recipe is None or _amount_of_food(reading)):
        return _of_food(reading, foods[0], nutrients, shelf)
    if recipe is None:
        return ask_which_recipe(reading, shelf)
    change = find_change(reading, recipe, shelf)
    if change is not None:
        return _changed(reading, recipe, change, nutrients, shelf)
    if shelf.says(reading, "contribution-words"):
        return _contributions(reading, recipe, nutrients[0], shelf)
    return _per_serving(reading, recipe, nutrients, shelf)


def _nutrients(reading: Reading, shelf: Shelf) -> list[Nutrient]:
    named = [shelf.corpus.nutrients[ident] for ident in reading.ids("nutrient")]
    return named or [n for n in shelf.corpus.nutrients.values() if n.main]


def _amount_of_food(reading: Reading) -> bool:
    """ "2 tbsp of olive oil": an amount that stands directly before a food."""
    ends = {m.end for m in reading.all("amount")}
    return any(
        m.start in ends or (m.start - 1 in ends and reading.words[m.start - 1] in {"of", "the"})
        for m in reading.all("ingredient")
    )


def _per_serving(
    reading: Reading, recipe: Recipe, nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer:
    base = Fraction(recipe.yields.servings)
    eaten = (
        reading.servings
        if shelf.says(reading, "eating-words") and reading.servings
        else Fraction(1)
    )
    per = base / eaten
    totals = [total(recipe.lines, nutrient, shelf.table) for nutrient in nutrients]
    what = _portion(recipe, eaten)
    figures = [_figure(made, per, what, recipe) for made in totals]
    gaps = sorted({line_name(p.line, shelf) for made in totals for p in made.missing})
    heads = [f"{f.shown} {_short(n)}" for f, n in zip(figures, nutrients, strict=True)]
    headline = f"{recipe.title}, {what}: {listed(heads[:4])}."
    lines = [] if len(heads) <= 4 else [f"Also: {', '.join(heads[4:])}."]
    lines += _daily_lines(totals, per)
    lines += _left_out(totals[0], shelf)
    if gaps:
        lines.append(f"At least: there is no figure for {listed(gaps)}.")
    lines.append(
        f"One {recipe.yields.unit} is {recipe.yields.measure}; the recipe makes {recipe.yields.servings}."
    )
    return make(
        reading,
        "partial" if gaps else "computed",
        headline,
        figures,
        lines,
        _sources(recipe, totals, shelf),
    )


def _portion(recipe: Recipe, eaten: Fraction) -> str:
    unit = recipe.yields.unit
    return f"one {unit}" if eaten == 1 else f"{show_number(eaten)} {unit}s"


def _short(nutrient: Nutrient) -> str:
    return "" if nutrient.id == "energy" else nutrient.name


def _figure(made: Total, per: Fraction, what: str, recipe: Recipe) -> Figure:
    low, high = made.over(per)
    nutrient = made.nutrient
    working = [_part_text(part, made) for part in contributions(made)]
    working.append(
        f"sum {_plain(made.low, made.high)} {nutrient.unit} ÷ {show_number(per)} = "
        f"{_plain(low, high)} {nutrient.unit} in {what}"
    )
    if made.missing:
        working += [f"no figure: {part.line.text} ({part.why})" for part in made.missing]
    return Figure(
        name=f"{nutrient.name} in {what} of {recipe.title.lower()}",
        value=high,
        unit=nutrient.unit,
        shown=_shown(low, high, nutrient, at_least=bool(made.missing)),
        working=tuple(working),
    )


def _part_text(part: Part, made: Total) -> str:
    if part.value is None:
        return ""
    grams = part.line.grams or (Fraction(0), Fraction(0))
    unit = made.nutrient.unit
    return (
        f"{part.line.text}: {_plain(*grams)} g × {number(part.per_100g or Fraction(0), 3)} {unit}/100 g "
        f"(SR28 {part.line.food}) = {_plain(*part.value)} {unit}"
    )


def _plain(low: Fraction, high: Fraction) -> str:
    return number(low) if low == high else f"{number(low)}–{number(high)}"


def _shown(low: Fraction, high: Fraction, nutrient: Nutrient, at_least: bool) -> str:
    """The declared value, a range where the recipe leaves one, "at least" over a gap."""
    if nutrient.rounding:
        ends = [declared_text(value, nutrient.rounding) for value in (low, high)]
    else:
        ends = [number(low), number(high)]
    text = ends[0] if ends[0] == ends[1] else f"{ends[0]}–{ends[1]}"
    return f"{'at least ' if at_least else ''}{text} {nutrient.unit}"


def _daily_lines(totals: Sequence[Total], per: Fraction) -> list[str]:
    found = []
    for made in totals:
        nutrient = made.nutrient
        if nutrient.daily_value is None or nutrient.id == "protein":
            continue
        percent = percent_daily_value(
            made.over(per)[1], Fraction(nutrient.daily_value), nutrient.rounding
        )
        found.append(f"{nutrient.name} {percent} %")
    return [f"Of the Daily Value: {', '.join(found)}."] if found else []


def _left_out(made: Total, shelf: Shelf) -> list[str]:
    names = [line_name(line, shelf) for line in made.left_out]
    return [f"Not counted (optional or to taste): {listed(names)}."] if names else []


def _sources(recipe: Recipe, totals: Sequence[Total], shelf: Shelf) -> list[Source]:
    codes = dict.fromkeys(part.line.food for made in totals for part in made.parts)
    return [
        record_source(recipe),
        reference_source(shelf, "sr28"),
        *(food_source(shelf, code) for code in codes),
        reference_source(shelf, "label-rounding"),
    ]


def _contributions(reading: Reading, recipe: Recipe, nutrient: Nutrient, shelf: Shelf) -> Answer:
    made = total(recipe.lines, nutrient, shelf.table)
    per = Fraction(recipe.yields.servings)
    parts = [p for p in contributions(made) if p.value and p.value[1] > 0]
    if not parts or not made.high:
        return make(
            reading,
            "computed",
            f"The {recipe.title.lower()} has no {nutrient.name} to speak of.",
            sources=_sources(recipe, [made], shelf),
        )
    rows = []
    for part in parts:
        value = part.value or (Fraction(0), Fraction(0))
        share = number(value[1] / made.high * 100, 0)
        rows.append(
            f"{line_name(part.line, shelf)}: {number(value[1] / per)} {nutrient.unit} a serving, {share} %"
        )
    first = parts[0]
    share = number((first.value or (Fraction(0), Fraction(0)))[1] / made.high * 100, 0)
    headline = (
        f"Most of the {nutrient.name} comes from the {line_name(first.line, shelf)}: {share} %."
    )
    gaps = [line_name(p.line, shelf) for p in made.missing]
    if gaps:
        rows.append(f"There is no figure for {listed(gaps)}.")
    figure = _figure(made, per, _portion(recipe, Fraction(1)), recipe)
    return make(
        reading,
        "partial" if gaps else "computed",
        headline,
        (figure,),
        rows,
        _sources(recipe, [made], shelf),
    )


def _changed(
    reading: Reading,
    recipe: Recipe,
    change: Change,
    nutrients: Sequence[Nutrient],
    shelf: Shelf,
) -> Answer:
    per = Fraction(recipe.yields.servings)
    figures, rows = [], []
    sources: list[Source] = []
    gaps: set[str] = set()
    for nutrient in nutrients:
        before = total(recipe.lines, nutrient, shelf.table)
        after = total(change.lines, nutrient, shelf.table)
        gaps.update(line_name(p.line, shelf) for p in (*before.missing, *after.missing))
        old, new = before.over(per)[1], after.over(per)[1]
        figure = _figure(after, per, _portion(recipe, Fraction(1)), recipe)
        figures.append(figure)
        sign = "+" if new >= old else "−"
        rows.append(
            f"{capital(nutrient.name)}: {_shown(old, old, nutrient, False)} before, {figure.shown} after "
            f"({sign}{number(abs(new - old))} {nutrient.unit} a serving)."
        )
        sources += _sources(recipe, [after], shelf)
    first = nutrients[0]
    headline = f"{recipe.title} {change.words}: {figures[0].shown} {_short(first)}".rstrip()
    headline += f" in one {recipe.yields.unit}."
    lines = [*rows, *change.remarks]
    if gaps:
        lines.append(f"There is no figure for {listed(sorted(gaps))}.")
    return make(
        reading,
        "partial" if gaps else "computed",
        headline,
        figures,
        lines,
        [*sources, *change.sources],
    )


def _of_food(reading: Reading, item: str, nutrients: Sequence[Nutrient], shelf: Shelf) -> Answer:
    found = shelf.item(item)
    if found is None:
        return unknown(reading, shelf)
    code = found.food
    if not code:
        return make(
            reading,
            "unknown",
            f"I have no composition figures for {found.name}: {found.about or 'no row fits it'}",
            sources=(record_source(found),),
        )
    amounts = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    counts = [m.value for m in reading.all("number") if isinstance(m.value, Fraction)]
    amount = amounts[0] if amounts else Amount(counts[0], counts[0]) if counts else None
    if amount is None:
        weight_text, grams = "100 g", (Fraction(100), Fraction(100))
    else:
        weight = grams_of_amount(amount, item, shelf, hints=reading.words)
        if weight.grams is None:
            return make(
                reading,
                "partial",
                f"I have no weight for {show(amount)} of {found.name}: {weight.how}.",
                sources=(record_source(found), food_source(shelf, code)),
            )
        weight_text, grams = f"{show(amount)} ({_plain(*weight.grams)} g)", weight.grams
    figures, gaps = [], []
    for nutrient in nutrients:
        value = shelf.table.value(code, nutrient)
        if value is None:
            gaps.append(nutrient.name)
            continue
        low, high = grams[0] * value / 100, grams[1] * value / 100
        figures.append(
            Figure(
                name=f"{nutrient.name} in {weight_text} of {found.name}",
                value=high,
                unit=nutrient.unit,
                shown=f"{_plain(low, high)} {nutrient.unit}",
                working=(
                    f"{_plain(*grams)} g × {number(value, 3)} {nutrient.unit}/100 g (SR28 {code})"
                    f" = {_plain(low, high)} {nutrient.unit}",
                ),
            )
        )
    if not figures:
        return make(
            reading,
            "unknown",
            f"SR28 has no figure for {listed(gaps)} in {found.name}.",
            sources=(food_source(shelf, code),),
        )
    named = [n for n in nutrients if n.name not in gaps]
    heads = [f"{f.shown} {_short(n)}".strip() for f, n in zip(figures, named, strict=True)]
    lines = [f"Also: {', '.join(heads[4:])}."] if len(heads) > 4 else []
    if gaps:
        lines.append(f"SR28 has no figure for {listed(gaps)}.")
    return make(
        reading,
        "partial" if gaps else "computed",
        f"{capital(found.name)}, {weight_text}: {listed(heads[:4])}.",
        figures,
        lines,
        (record_source(found), food_source(shelf, code), reference_source(shelf, "sr28")),
    )
