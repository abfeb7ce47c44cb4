"""The nutrition panel in the vertical form of 21 CFR 101.9(d), and what brings sodium and energy.

Every value is made by `kinds.nutrition.figures`, which also makes those of `ask`.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Source
from assistant.corpus.records import Nutrient, Recipe
from assistant.faces.handout.aside import serving_of
from assistant.faces.handout.changes import Dish
from assistant.kinds.nutrition.figures import (
    gaps,
    main_nutrients,
    percent,
    portion,
    remarks,
    rough,
    shown,
    sources,
    sums,
)
from assistant.kinds.nutrition.portions import one_serving, serving_grams
from assistant.kinds.shelf import Shelf, line_name, listed, number
from assistant.kitchen.nutrients import ZERO, Part, Range, Total, contributions

MARK = "†"
_MOST_BARS = 5
_LEAST_BAR = Fraction(1, 200)
_ENERGY = "energy"
# The regulation writes micrograms as "mcg".
_WRITTEN = {"µg": "mcg"}


class Row(msgspec.Struct, frozen=True):
    """One nutrient: its name as on a label, the declared amount with its unit, its per cent of the
    Daily Value ("" where there is none), how far it is set in, and whether a figure lacks."""

    id: str
    name: str
    amount: str
    daily: str
    level: int
    lacking: bool


class Panel(msgspec.Struct, frozen=True):
    """A nutrition panel for one serving. `notes` are what the figures rest on, `plain` the whole
    panel as sentences."""

    servings: str
    unit: str
    serving: str
    weight: str
    energy: Row | None
    rows: tuple[Row, ...]
    vitamins: tuple[Row, ...]
    gaps: tuple[str, ...]
    left_out: str
    footnote: str
    origin: str
    notes: tuple[str, ...]
    plain: tuple[str, ...]
    sources: tuple[Source, ...]


class Bar(msgspec.Struct, frozen=True):
    """What one ingredient brings: the amount as shown, its share of the dish, the bar's width."""

    name: str
    amount: str
    share: str
    width: int


class Bars(msgspec.Struct, frozen=True):
    """A nutrient's bars, the largest first; `rest` names what brings little, `lacking` what has no
    figure."""

    id: str
    name: str
    title: str
    whole: str
    bars: tuple[Bar, ...]
    rest: str
    lacking: str


def make_panel(dish: Dish, servings: Fraction, shelf: Shelf) -> Panel:
    """The panel of one serving of the dish; `servings` is what the page's amounts make."""
    recipe = dish.recipe
    upper, lower = _wanted(shelf)
    totals = sums(recipe.lines, recipe, [*upper, *lower], shelf)
    share = one_serving(recipe).share
    rows = {made.nutrient.id: _row(made, share, shelf) for made in totals}
    energy = rows.get(_ENERGY)
    main = tuple(rows[n.id] for n in upper if n.id != _ENERGY)
    vitamins = tuple(rows[n.id] for n in lower)
    unit = recipe.yields.unit
    lacking = tuple(gaps(totals, share, shelf))
    left_out = _left_out(totals, shelf)
    notes = tuple(
        note
        for note in remarks(recipe, totals, share, shelf)
        if note not in lacking and note != left_out
    )
    footnote = (
        "* The % Daily Value (DV) says how much a nutrient in one serving adds to a day's diet. "
        "General nutrition advice is based on 2,000 calories a day."
    )
    with_changes = " with the changes named on this page" if dish.changes else ""
    origin = (
        f"Computed from the recipe{with_changes} and USDA SR28 food composition data; "
        "not a laboratory analysis. Brands and portions differ."
    )
    weight = _weight(recipe, shelf)
    measure, written = serving_of(dish, servings, shelf)
    made = Panel(
        servings=f"{number(servings)} serving{'' if servings == 1 else 's'}",
        unit=unit,
        serving=f"1 {unit}: {measure}",
        weight=f"{weight}; {written}" if written else weight,
        energy=energy,
        rows=main,
        vitamins=vitamins,
        gaps=lacking,
        left_out=left_out,
        footnote=footnote,
        origin=origin,
        notes=notes,
        plain=(),
        sources=tuple(sources(recipe, totals, shelf)),
    )
    return msgspec.structs.replace(made, plain=_plain(made))


def _left_out(totals: Sequence[Total], shelf: Shelf) -> str:
    """Which lines the figures do not count, told beside the panel and not in small print."""
    if not totals or not totals[0].left_out:
        return ""
    names = dict.fromkeys(line_name(line, shelf) for line in totals[0].left_out)
    return f"Not counted (optional or to taste): {listed(list(names))}."


def _wanted(shelf: Shelf) -> tuple[list[Nutrient], list[Nutrient]]:
    """The nutrients above and below the panel's second thick rule, in the regulation's order."""
    known = shelf.corpus.nutrients
    picked = []
    for ident in ("panel-nutrients", "panel-vitamins"):
        words = shelf.corpus.lists.get(ident)
        picked.append([known[n] for n in (words.words if words else ()) if n in known])
    return picked[0] or main_nutrients(shelf), picked[1]


def _row(made: Total, share: Range, shelf: Shelf) -> Row:
    low, high, at_least = portion(made, share)
    nutrient = made.nutrient
    amount = shown(low, high, nutrient, at_least)
    if nutrient.id == _ENERGY:
        amount = amount.removesuffix(f" {nutrient.unit}")
    elif nutrient.unit in _WRITTEN:
        amount = amount.removesuffix(nutrient.unit) + _WRITTEN[nutrient.unit]
    daily = percent(high, nutrient)
    name = "Calories" if nutrient.id == _ENERGY else _label_name(nutrient)
    level = 2 if nutrient.rule == "added-sugars" else 1 if nutrient.within else 0
    return Row(nutrient.id, name, amount, daily, level, at_least)


def _label_name(nutrient: Nutrient) -> str:
    """The name in the regulation's manner, which has totals called so: `Total Carbohydrate`."""
    names = (nutrient.name, *nutrient.names)
    return next((name for name in names if name.startswith("total ")), nutrient.name).title()


def _weight(recipe: Recipe, shelf: Shelf) -> str:
    """`about 373 g before cooking losses`; "" where a line has no weight."""
    grams, measured, how = serving_grams(recipe, shelf)
    if grams is None:
        return f"weight not known: {how}"
    low, high = (number(value, 0) for value in grams)
    text = f"{low} g" if low == high else f"{low}–{high} g"
    return text if measured else f"about {text} before cooking losses"


def _plain(panel: Panel) -> tuple[str, ...]:
    """The panel as sentences, for a screen reader and for mail in plain text."""
    rows = (*panel.rows, *panel.vitamins)
    head = f"{panel.servings} in the batch. Serving size: {panel.serving}, {panel.weight}."
    found = [head]
    if panel.energy is not None:
        found.append(f"Amount in one {panel.unit}: {panel.energy.amount} calories.")
    found += [
        f"{row.name}: {row.amount}"
        + (f", {_spoken(row)} of the Daily Value." if row.daily else ".")
        for row in rows
    ]
    out = (panel.left_out,) if panel.left_out else ()
    return (*found, *panel.gaps, *out, panel.footnote.removeprefix("* "), panel.origin)


def _spoken(row: Row) -> str:
    least = "at least " if row.lacking else ""
    return f"{least}{row.daily.removesuffix(' %')} percent"


def make_bars(recipe: Recipe, nutrient: Nutrient, shelf: Shelf) -> Bars:
    """What each ingredient brings of a nutrient to one serving, as `ask` tells it."""
    made = sums(recipe.lines, recipe, [nutrient], shelf)[0]
    share = one_serving(recipe).share
    low, high, at_least = portion(made, share)
    whole = shown(low, high, nutrient, at_least)
    parts = [p for p in contributions(made) if _of(p, made) >= _LEAST_BAR]
    kept, small = parts[:_MOST_BARS], parts[_MOST_BARS:]
    widest = _of(kept[0], made) if kept else Fraction(1)
    bars = tuple(
        Bar(
            line_name(part.line, shelf),
            _amount(part, recipe, nutrient),
            f"{number(_of(part, made) * 100, 0)} %",
            round(_of(part, made) / widest * 100),
        )
        for part in kept
    )
    rest = sum((_of(part, made) for part in small), Fraction(0))
    names = listed(list(dict.fromkeys(line_name(part.line, shelf) for part in small)))
    lacking = listed(list(dict.fromkeys(line_name(part.line, shelf) for part in made.missing)))
    return Bars(
        nutrient.id,
        nutrient.name,
        f"What brings the {nutrient.name}",
        whole,
        bars,
        f"{names}: together {number(rest * 100, 0)} %" if small else "",
        lacking,
    )


def _of(part: Part, made: Total) -> Fraction:
    return (part.value or ZERO)[1] / made.high if made.high else Fraction(0)


def _amount(part: Part, recipe: Recipe, nutrient: Nutrient) -> str:
    ends = [rough(end / recipe.yields.servings, nutrient.unit) for end in part.value or ZERO]
    return f"{'–'.join(dict.fromkeys(ends))} {nutrient.unit}"


def bar_nutrients(shelf: Shelf) -> Sequence[Nutrient]:
    """The nutrients that a page draws bars for."""
    words = shelf.corpus.lists.get("panel-bars")
    known = shelf.corpus.nutrients
    return [known[n] for n in (words.words if words else ()) if n in known]
