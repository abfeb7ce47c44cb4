"""One option: amount, method, taste, new allergens, diets, and the figures it changes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Figure, Source
from assistant.corpus.records import Ingredient, Line, Recipe, Swap
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    food_source,
    listed,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.diets import diet_changes, grade_item, new_allergens
from assistant.kitchen.swaps import Difference, difference, replaced, share, swapped_lines
from assistant.measure.amount import Amount, read_amount, show

# What a swap is weighed by, besides taste.
NUTRIENTS = ("energy", "protein", "sodium", "fiber")


class Asked(msgspec.Struct, frozen=True):
    """What is replaced: the item, its line in the recipe in hand, the amount at the servings."""

    out: Ingredient
    recipe: Recipe | None
    line: Line | None
    amount: Amount | None


class Option(msgspec.Struct, frozen=True):
    """One way to replace it, ready to print."""

    swap: Swap
    name: str
    shown: str
    figures: tuple[Figure, ...]
    text: str
    sources: tuple[Source, ...]


def option(swap: Swap, asked: Asked, shelf: Shelf) -> Option:
    """Work out one swap for what was asked."""
    use = shelf.corpus.pantry[swap.use]
    have = asked.amount or read_amount(swap.take)
    made = replaced(swap, have, asked.line, shelf.corpus)
    if made is None:
        have, made = read_amount(swap.take), read_amount(swap.give)
    beside = _beside(swap, have, asked, shelf)
    shown = amount_text(made, shelf.first)
    working = (
        f"swap {swap.id} ({swap.where}): {swap.take} {asked.out.name} → {swap.give} {use.name}",
        f"{show(have)} {asked.out.name} → {show(made)} {use.name}",
    )
    main = Figure(
        name=use.name,
        value=made.high,
        unit=made.unit,
        shown=shown,
        exact=show(made),
        working=working,
    )
    name = called(use, made)
    with_it = f" with {listed(beside)}" if beside else ""
    parts = [
        f"{shown} {name}{with_it} for {amount_text(have, shelf.first)} {called(asked.out, have)}"
        f" ({swap.role}): {swap.how}"
    ]
    parts += [part for part in (swap.taste, swap.watch) if part]
    parts += _allergens(swap, asked, shelf)
    figures, sentence, sources = _differences(swap, asked, use, shelf)
    parts += [*_diets(swap, asked, shelf), *sentence]
    text = " ".join(capital(part.rstrip(".") + ".") for part in parts)
    cited = (record_source(swap), *(reference_source(shelf, s) for s in swap.sources), *sources)
    return Option(swap, name, shown, (main, *figures), text, cited)


def called(item: Ingredient, amount: Amount) -> str:
    """An ingredient's name in the number that a counted amount asks for."""
    counted = not amount.unit or amount.unit in {"small", "medium", "large"}
    return item.plural if counted and amount.high > 1 and item.plural else item.name


def _beside(swap: Swap, have: Amount, asked: Asked, shelf: Shelf) -> list[str]:
    """What else goes in, with its amount: `1 tbsp lemon juice`."""
    times = share(swap, have, asked.line, shelf.corpus)
    low, high = times or (Fraction(1), Fraction(1))
    found = []
    for part in swap.plus:
        one = read_amount(part.amount)
        amount = Amount(one.low * low, one.high * high, one.unit, one.each)
        found.append(f"{amount_text(amount, shelf.first)} {shelf.corpus.pantry[part.item].name}")
    return found


def _used(swap: Swap, shelf: Shelf) -> list[Ingredient]:
    pantry = shelf.corpus.pantry
    return [pantry[swap.use], *(pantry[part.item] for part in swap.plus)]


def _allergens(swap: Swap, asked: Asked, shelf: Shelf) -> list[str]:
    """New allergens: against the whole dish where there is one, else against what goes out."""
    pantry = shelf.corpus.pantry
    lines = asked.recipe.lines if asked.recipe else ()
    stay = [pantry[line.item] for line in lines if line is not asked.line and not line.optional]
    new = new_allergens([*stay, asked.out], [*stay, *_used(swap, shelf)])
    named = [
        name if grade == "contains" else f"{name} (may contain, read the label)"
        for name, grade in new.items()
    ]
    return [f"New allergen: {listed(named)}"] if named else []


def _after(swap: Swap, asked: Asked, shelf: Shelf) -> tuple[Line, ...] | None:
    """The recipe's lines after the swap; None where its amount cannot be worked out."""
    if asked.recipe is None or asked.line is None:
        return None
    made = swapped_lines(asked.line, swap, shelf.corpus)
    if made is None:
        return None
    return tuple(
        new for old in asked.recipe.lines for new in (made if old is asked.line else (old,))
    )


def _diets(swap: Swap, asked: Asked, shelf: Shelf) -> list[str]:
    """The diets that the dish gains or loses. Where no recipe is in hand: the ingredient's own."""
    diets = shelf.corpus.diets.values()
    after = _after(swap, asked, shelf)
    if after is not None and asked.recipe is not None:
        gained, lost = diet_changes(asked.recipe.lines, after, diets, shelf.corpus.pantry)
    else:
        used = _used(swap, shelf)
        bad = {d.id for d in diets if any(grade_item(i, d)[0] == "contains" for i in used)}
        was = {d.id for d in diets if grade_item(asked.out, d)[0] == "contains"}
        gained = [d for d in diets if d.id in was - bad]
        lost = [d for d in diets if d.id in bad - was]
    said = []
    if gained:
        said.append(f"Fits now, labels permitting: {listed([d.name for d in gained])}")
    if lost:
        said.append(f"No longer: {listed([d.name for d in lost])}")
    return said


def _differences(
    swap: Swap, asked: Asked, use: Ingredient, shelf: Shelf
) -> tuple[list[Figure], list[str], list[Source]]:
    """Energy, protein, sodium and fiber per serving against the recipe as written."""
    if asked.recipe is None or asked.line is None:
        return [], [], []
    made = swapped_lines(asked.line, swap, shelf.corpus)
    if made is None:
        return [], [], []
    return differences((asked.line,), made, asked.recipe, use.name, shelf)


def differences(
    before: Sequence[Line], after: Sequence[Line], recipe: Recipe, name: str, shelf: Shelf
) -> tuple[list[Figure], list[str], list[Source]]:
    """The change per serving of the four nutrients: figures, one sentence, the foods used."""
    servings = Fraction(recipe.yields.servings)
    figures, told, gaps = [], [], []
    for ident in NUTRIENTS:
        nutrient = shelf.corpus.nutrients[ident]
        made = difference(before, after, nutrient, shelf.table, servings)
        if isinstance(made, str):
            gaps.append(made)
            continue
        shown = _signed(made)
        told.append(f"{shown} {nutrient.unit} {nutrient.name}")
        figures.append(
            Figure(
                name=f"change with {name}: {nutrient.name} per serving",
                value=made.high,
                unit=nutrient.unit,
                shown=f"{shown} {nutrient.unit}",
                working=(f"(after − before) ÷ {recipe.yields.servings} servings",),
            )
        )
    sources = [food_source(shelf, line.food) for line in (*before, *after) if line.food]
    if not told:
        return [], [f"No difference per serving can be computed ({gaps[0]})"], []
    return figures, [f"Per serving: {listed(told)}"], sources


def _signed(made: Difference) -> str:
    places = 0 if made.nutrient.unit in {"kcal", "mg"} else 1
    low, high = (_one(value, places) for value in (made.low, made.high))
    return low if low == high else f"{low} to {high}"


def _one(value: Fraction, places: int) -> str:
    text = number(abs(value), places)
    if text == "0":
        return "±0"
    return f"−{text}" if value < 0 else f"+{text}"
