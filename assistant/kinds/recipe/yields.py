"""What a recipe makes: servings, how big one is, and the whole of it in a measure."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe
from assistant.kinds.plural import agree
from assistant.kinds.shelf import Shelf, amount_text, make, number, record_source, same_kind
from assistant.measure.amount import Amount, read_amount, scale, show, take_amount
from assistant.measure.exact import MeasureError
from assistant.measure.units import unit
from assistant.question.reading import Reading
from assistant.retrieval.words import stem


def yields(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    """The servings and the size of one; all of it together where one is a plain measure."""
    made = recipe.yields
    servings = reading.servings or Fraction(made.servings)
    if reading.factor is not None:
        servings = made.servings * reading.factor
    figures = [
        Figure(
            name="servings",
            value=None,
            unit=made.unit,
            shown=number(servings),
            exact=number(servings),
            working=(f"as written in {recipe.where}",),
        )
    ]
    serves = agree(recipe.title, "serves", "serve")
    headline = f"{recipe.title} {serves} {made.servings}; one {made.unit} is {made.measure}."
    one = _measure(recipe)
    pieces = _pieces(recipe)
    if pieces is not None and stem(pieces[1]) in {stem(word) for word in reading.words}:
        count, name = pieces
        text = f"{number(count * servings)} {name}"
        figures.append(
            Figure(
                name="in all",
                value=count * servings,
                unit=name,
                shown=text,
                exact=number(count * servings),
                working=(f"{number(servings)} × {number(count)} = {number(count * servings)}",),
            )
        )
        headline = f"{recipe.title} for {number(servings)}: {text} in all, {made.measure} each."
        return make(reading, "quoted", headline, figures, (), (record_source(recipe),))
    if one is None:
        return make(reading, "quoted", headline, figures, (), (record_source(recipe),))
    whole = scale(one, servings)
    text = _text(whole, reading, shelf)
    working = f"{number(servings)} × {made.measure} = {show(whole)}"
    figures.append(_in_all(whole, text, working))
    lines = [f"In all {text}: {working}."]
    if any(unit(ident).dimension != unit(whole.unit).dimension for ident in reading.ids("unit")):
        lines.insert(0, f"What one {made.unit} weighs was not measured.")
    elif servings not in {1, made.servings}:
        headline = f"{recipe.title} for {number(servings)}: {made.measure} each, {text} in all."
    elif reading.all("unit"):
        headline = f"{recipe.title} {serves} {made.servings}, {made.measure} each: {text} in all."
    return make(reading, "quoted", headline, figures, lines, (record_source(recipe),))


def _in_all(whole: Amount, text: str, working: str) -> Figure:
    return Figure(
        name="in all",
        value=whole.high,
        unit=whole.unit,
        shown=text,
        exact=show(whole),
        working=(working,),
    )


def _text(whole: Amount, reading: Reading, shelf: Shelf) -> str:
    """The whole as a kitchen measures it, and in the unit that was asked for."""
    text = amount_text(whole, shelf.first)
    asked = next((a for i in reading.ids("unit") if (a := same_kind(whole, i)) is not None), None)
    if asked is None or asked.unit == whole.unit:
        return text
    return f"{number(asked.high, 1)} {unit(asked.unit).plural} ({text.split(' (')[0]})"


def _pieces(recipe: Recipe) -> tuple[Fraction, str] | None:
    """How many pieces one serving is and what they are called ("4 meatballs and 1/2 cup sauce");
    None where it is no number of pieces."""
    taken = take_amount(recipe.yields.measure)
    if taken is None or taken[0].unit or taken[0].low != taken[0].high:
        return None
    name = taken[1].partition(" and ")[0].strip()
    return (taken[0].high, name) if name.isalpha() else None


def _measure(recipe: Recipe) -> Amount | None:
    """One serving as an amount; None where it is two things, or pieces."""
    try:
        amount = read_amount(recipe.yields.measure)
    except MeasureError:
        return None
    return amount if amount.unit else None
