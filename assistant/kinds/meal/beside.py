"""Single sides that keep to what was asked of them: "a side under 150 calories"."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Diet, Nutrient, Recipe
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.nutrition.serving import called
from assistant.kinds.recipe.conditions import Limit, Order, Wanted, nutrients_wanted
from assistant.kinds.shelf import Shelf, capital, food_source, listed, make, number, record_source
from assistant.kitchen.meals import Candidate, sums
from assistant.kitchen.nutrients import Range
from assistant.question.reading import Reading

_LONGEST = 120
_SHOWN = 6
_ENERGY = "energy"


class _Row(msgspec.Struct, frozen=True):
    side: Candidate
    value: Range
    energy: Range


def asked(reading: Reading, shelf: Shelf) -> Wanted | None:
    """What one side must keep to: a limit, or much or little of a nutrient; None where neither.

    "A 500-calorie lunch" limits the meal, not the side; much protein is a matter of whole plates.
    """
    if not says_beside(reading, "side-words", shelf) or shelf.says(reading, "whole-meal-words"):
        return None
    wished = nutrients_wanted(reading, shelf)
    return next((one for one in wished if isinstance(one, Limit) or not _is_group(one)), None)


def _is_group(one: Order) -> bool:
    return one.nutrient is not None and one.nutrient.id == "protein" and not one.least


def beside(
    reading: Reading,
    recipe: Recipe,
    sides: Sequence[Candidate],
    wish: Wanted,
    group: str,
    diets: Sequence[Diet],
    shelf: Shelf,
) -> Answer:
    """The sides that keep to it, those that the recipe pairs first; the nearest where none does.

    Each figure is of one portion of the side alone, not of the plate.
    """
    nutrient = wish.nutrient or shelf.corpus.nutrients[_ENERGY]
    known = _rows(sides, nutrient, shelf)
    if group in {"vegetable", "fruit"}:  # "protein" and "carbs" name what is limited
        known = [row for row in known if row.side.group == group] or known
    fitting = [row for row in known if _fits(row, wish)]
    down = isinstance(wish, Order) and not wish.least
    fitting.sort(key=lambda r: (*_rank(r, wish, down), r.side.id))
    kept = fitting[:_SHOWN]
    title = recipe.title.lower()
    if not kept:
        known.sort(key=lambda r: (r.value[1], r.side.id))
        nearest = known[0] if isinstance(wish, Limit) and wish.most else known[-1]
        headline = f"No side on record for the {title} has {_limit(wish)}."
        lines = [f"The nearest: {_told(nearest, nutrient)}."]
        return make(
            reading, "computed", headline[:_LONGEST], (), lines, _sources(recipe, [nearest], shelf)
        )
    head = _told(kept[0], nutrient)
    headline = f"Beside the {title}: {head}."
    if len(headline) > _LONGEST:
        headline = f"{capital(head)}."
    lines = [f"Looked for: a side with {_limit(wish)}, one portion by itself."]
    lines += [f"{capital(_told(row, nutrient))}{_paired(row)}." for row in kept[1:]]
    if kept[0].side.pair:
        lines.insert(1, "The recipe itself pairs the first one.")
    dish = sums(
        recipe.lines, {nutrient.id: nutrient}, shelf.table, Fraction(recipe.yields.servings)
    )
    own, plus = dish[0][nutrient.id][1], kept[0].value[1]
    least = "at least " if dish[1] else ""
    lines.append(
        f"One {recipe.yields.unit} of the {title} has {least}{_amount(own, nutrient)};"
        f" with the first side {least}{_amount(own + plus, nutrient)}."
    )
    if diets:
        lines.append(f"All sides are {listed([d.name for d in diets])}, labels permitting.")
    figures = [_figure(row, nutrient) for row in kept]
    return make(reading, "computed", headline, figures, lines, _sources(recipe, kept, shelf))


def _rows(sides: Sequence[Candidate], nutrient: Nutrient, shelf: Shelf) -> list[_Row]:
    energy = shelf.corpus.nutrients[_ENERGY]
    wanted = {_ENERGY: energy, nutrient.id: nutrient}
    rows = []
    for side in sides:
        totals, gaps = sums(side.lines, wanted, shelf.table, Fraction(1))
        if not gaps:
            rows.append(_Row(side, totals[nutrient.id], totals[_ENERGY]))
    return rows


def _fits(row: _Row, wish: Wanted) -> bool:
    if not isinstance(wish, Limit):
        return True
    return row.value[1] <= wish.value if wish.most else row.value[0] >= wish.value


def _rank(row: _Row, wish: Wanted, down: bool) -> tuple[Fraction | bool, ...]:
    """A limit only sifts: then the recipe's own pairs, and what fills most. An order ranks."""
    if isinstance(wish, Limit):
        return (not row.side.pair, -row.energy[1])
    return (-row.value[1] if down else row.value[1],)


def _limit(wish: Wanted) -> str:
    if isinstance(wish, Limit):
        word = "at most" if wish.most else "at least"
        return f"{word} {called(f'{number(wish.value)} {wish.nutrient.unit}', wish.nutrient)}"
    name = "energy" if wish.nutrient is None else wish.nutrient.name
    return f"{'little' if wish.least else 'much'} {name}"


def _amount(value: Fraction, nutrient: Nutrient) -> str:
    places = 0 if nutrient.unit in {"kcal", "mg"} else 1
    return called(f"{number(value, places)} {nutrient.unit}", nutrient)


def _told(row: _Row, nutrient: Nutrient) -> str:
    told = f"{row.side.text}, {_amount(row.value[1], nutrient)}"
    return told if nutrient.id == _ENERGY else f"{told} and {number(row.energy[1], 0)} kcal"


def _paired(row: _Row) -> str:
    return ", which the recipe pairs" if row.side.pair else ""


def _figure(row: _Row, nutrient: Nutrient) -> Figure:
    lines = listed([line.text for line in row.side.lines])
    return Figure(
        name=row.side.text,
        value=row.value[1],
        unit=nutrient.unit,
        shown=_amount(row.value[1], nutrient),
        working=(f"{nutrient.name} of {lines} ({row.side.record})",),
    )


def _sources(recipe: Recipe, rows: Sequence[_Row], shelf: Shelf) -> list[Source]:
    made = [record_source(recipe)]
    for row in rows:
        made.append(Source(id=row.side.id, title=row.side.text, where=row.side.record))
        made += [food_source(shelf, line.food) for line in row.side.lines if line.food]
    return made


def says_beside(reading: Reading, words: str, shelf: Shelf) -> bool:
    """Whether a word of a list stands outside the names of dishes and foods: the vegetable of
    "vegetable fried rice" and the sweet of "sweet potato" ask for nothing."""
    named = {
        place
        for m in reading.mentions
        if m.type in {"recipe", "ingredient"}
        for place in range(m.start, m.end)
        if m.type == "recipe" or m.end - m.start > 1
    }
    wanted = words_in(shelf, words)
    return any(word in wanted for p, word in enumerate(reading.words) if p not in named)


def excluded(reading: Reading, shelf: Shelf) -> frozenset[str]:
    """The last words of the foods that are not wanted: the pasta of "that isn't pasta".

    A side is one of them where any of its names ends so ("whole wheat pasta").
    """
    negators = words_in(shelf, "catalog-negators") | words_in(shelf, "beyond-words")
    found = set()
    for m in reading.all("ingredient"):
        if set(reading.words[max(0, m.start - 3) : m.start]) & negators:
            found.add(m.text.split()[-1].removesuffix("s"))
    return frozenset(found)
