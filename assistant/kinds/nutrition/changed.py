"""Before, after and the difference in one serving, for a dish with something changed."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.change import Change
from assistant.kinds.nutrition.figures import figure, portion, remarks, rough, shown, sources, sums
from assistant.kinds.nutrition.portions import one_serving
from assistant.kinds.nutrition.serving import LONGEST, called
from assistant.kinds.shelf import Shelf, capital, make, number
from assistant.kitchen.nutrients import Range, Total
from assistant.question.reading import Reading


def of_change(
    reading: Reading,
    recipe: Recipe,
    change: Change,
    nutrients: Sequence[Nutrient],
    shelf: Shelf,
) -> Answer:
    """One figure for each of before, after and difference, a table row for each nutrient."""
    part = one_serving(recipe)
    before = sums(recipe.lines, recipe, nutrients, shelf)
    after = sums(change.lines, recipe, nutrients, shelf)
    title = recipe.title.lower()
    figures: list[Figure] = []
    table = [f"{'':<20}{'before':>18}{'after':>18}{'difference':>14}"]
    origin: list[Source] = []
    for old, new in zip(before, after, strict=True):
        figures.append(figure(new, part.share, part.words, f"{title} {change.words}"))
        figures.append(figure(old, part.share, part.words, f"{title} as written"))
        figures.append(_difference(old, new, part.share, part.words))
        table.append(
            f"{capital(new.nutrient.name):<20}{_text(old, part.share):>18}"
            f"{_text(new, part.share):>18}{figures[-1].shown:>14}"
        )
        origin += sources(recipe, [new], shelf)
    lacking = any(portion(made, part.share)[2] for made in (*before, *after))
    notes = [
        note
        for note in remarks(recipe, after, part.share, shelf)
        if not note.startswith("Kept after cooking")
    ]
    return make(
        reading,
        "partial" if lacking else "computed",
        _headline(recipe, change, before, after, part.share),
        figures,
        (*(table if len(nutrients) > 1 else ()), *change.remarks, *notes),
        [*change.sources, *origin],
    )


def _text(made: Total, share: Range) -> str:
    low, high, at_least = portion(made, share)
    return shown(low, high, made.nutrient, at_least)


def _difference(old: Total, new: Total, share: Range, what: str) -> Figure:
    a, b = portion(old, share)[1], portion(new, share)[1]
    unit = new.nutrient.unit
    return Figure(
        name=f"difference in {new.nutrient.name}, {what}",
        value=b - a,
        unit=unit,
        shown=signed(b - a, unit),
        working=(f"{number(b)} {unit} after − {number(a)} {unit} before = {signed(b - a, unit)}",),
    )


def signed(value: Fraction, unit: str) -> str:
    """`+190 mg`, `−1.5 g`, `0 g`."""
    text = rough(abs(value), unit)
    sign = "" if text == "0" else "+" if value > 0 else "−"
    return f"{sign}{text} {unit}"


def _headline(
    recipe: Recipe, change: Change, before: Sequence[Total], after: Sequence[Total], share: Range
) -> str:
    """The first nutrient that the change moves, else the first; shortened where it must be."""
    pairs = list(zip(before, after, strict=True))
    old, new = next((p for p in pairs if p[0].high != p[1].high), pairs[0])
    unit = new.nutrient.unit
    delta = portion(new, share)[1] - portion(old, share)[1]
    step = rough(abs(delta), unit)
    moved = "no change" if step == "0" else f"{step} {unit} {'more' if delta > 0 else 'less'}"
    amount = called(_text(new, share), new.nutrient)
    for words in (f"{recipe.title} {change.words}", f"{capital(change.words)}", recipe.title):
        text = f"{words}: {amount} in one {recipe.yields.unit}, {moved}."
        if len(text) <= LONGEST:
            return text
    return text[:LONGEST]
