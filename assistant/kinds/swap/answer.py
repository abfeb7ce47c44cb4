"""What to use instead of an ingredient, with the amount for the amount in hand."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Ingredient, Line, Recipe, Swap
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    listed,
    make,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.kitchen.scaling import same_item
from assistant.kitchen.swaps import find_swaps, replace_amount
from assistant.measure.amount import Amount, read_amount, scale, show
from assistant.question.reading import Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The swaps for the ingredient named; of two named, whether the one can stand for the other."""
    recipe = shelf.recipe(reading)
    out, use = _pair(reading, recipe, shelf)
    if out is None:
        return make(
            reading,
            "asks",
            "Which ingredient should be replaced?",
            lines=('For example: "what can I use instead of the mushrooms?"',),
        )
    swaps = find_swaps(out.id, shelf.corpus, reading.recipe)
    line = _line(recipe, out)
    amount = _amount(reading, recipe, line)
    if use is not None:
        return _can_use(reading, out, use, swaps, amount, line, shelf)
    if not swaps:
        return unknown(
            reading,
            shelf,
            f"I have no swap on record for {out.name}.",
            ("A swap is not made up here; ask the dietitian, or add one to swaps/.",),
        )
    return _options(reading, out, swaps, amount, line, shelf)


def _pair(
    reading: Reading, recipe: Recipe | None, shelf: Shelf
) -> tuple[Ingredient | None, Ingredient | None]:
    """What goes out, and what would come in.

    Of two ingredients the one in the recipe goes out. With no recipe, "X for Y" and "X instead of
    Y" take the second out; "replace X with Y" the first.
    """
    items = [item for ident in reading.foods if (item := shelf.item(ident))]
    if not items:
        return None, None
    if len(items) == 1:
        mine = items[0]
        if recipe is not None and not same_item(recipe.lines, mine.id):
            out = _replaced_by(mine, recipe, shelf)
            if out is not None:
                return out, mine
        return mine, None
    inside = [i for i in items if recipe is not None and same_item(recipe.lines, i.id)]
    outside = [i for i in items if i not in inside]
    if inside and outside:
        return inside[0], outside[0]
    if reading.has("with", "by") and reading.has(
        "replace", "replacing", "swap", "sub", "substitute"
    ):
        return items[0], items[1]
    return items[1], items[0]


def _replaced_by(use: Ingredient, recipe: Recipe, shelf: Shelf) -> Ingredient | None:
    """ "Can I use tahini?": the line of the recipe that a swap record lets it replace."""
    for line in recipe.lines:
        if any(swap.use == use.id for swap in find_swaps(line.item, shelf.corpus, recipe.id)):
            return shelf.item(line.item)
    return None


def _line(recipe: Recipe | None, out: Ingredient) -> Line | None:
    found = same_item(recipe.lines, out.id) if recipe is not None else ()
    return found[0] if found else None


def _amount(reading: Reading, recipe: Recipe | None, line: Line | None) -> Amount | None:
    """The amount to replace: the one named, else the recipe's at the servings in hand."""
    named = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    if named:
        return named[0]
    if line is None or line.amount is None or recipe is None:
        return None
    if reading.factor is not None:
        return scale(line.amount, reading.factor)
    if reading.servings is not None:
        return scale(line.amount, reading.servings / Fraction(recipe.yields.servings))
    return line.amount


def _options(
    reading: Reading,
    out: Ingredient,
    swaps: Sequence[Swap],
    amount: Amount | None,
    line: Line | None,
    shelf: Shelf,
) -> Answer:
    figures, lines = [], []
    sources: list[Source] = (
        []
        if line is None
        else [Source(id=reading.recipe, title=line.text, where=f"{line.file}:{line.line}")]
    )
    for swap in swaps[:5]:
        figure, text = _one(swap, out, amount, shelf)
        figures.append(figure)
        lines.append(text)
        sources += [record_source(swap), *(reference_source(shelf, s) for s in swap.sources)]
    first = figures[0]
    instead = f"{amount_text(amount, shelf.first)} of {out.name}" if amount else out.name
    others = [f.name for f in figures[1:4]]
    headline = f"Instead of {instead}: {first.shown} {first.name}"
    if others:
        headline += f"; or {listed(others, 'or')}"
    if len(headline) > 118:
        headline = f"Instead of {out.name}: {first.shown} {first.name}"
    return make(
        reading, "computed" if amount else "quoted", headline + ".", figures, lines, sources
    )


def _one(swap: Swap, out: Ingredient, amount: Amount | None, shelf: Shelf) -> tuple[Figure, str]:
    """A swap's figure, and its line: amount, method, taste, what to watch."""
    use = shelf.item(swap.use)
    name = use.name if use else swap.use
    have = amount or read_amount(swap.take)
    made = replace_amount(swap, have)
    if made is None:
        have, made = read_amount(swap.take), read_amount(swap.give)
    shown = amount_text(made, shelf.first)
    figure = Figure(
        name=name,
        value=made.high,
        unit=made.unit,
        shown=shown,
        exact=show(made),
        working=(
            f"swap {swap.id} ({swap.where}): {swap.take} {out.name} → {swap.give} {name}",
            f"{show(have)} {out.name} → {show(made)} {name}",
        ),
    )
    parts = [f"{shown} {name} for {amount_text(have, shelf.first)} {out.name}: {swap.how}"]
    parts += [part for part in (swap.taste, swap.watch) if part]
    new = _new_allergens(out, use)
    if new:
        parts.append(f"New allergen: {listed(new)}.")
    return figure, " ".join(capital(part.rstrip(".") + ".") for part in parts)


def _new_allergens(out: Ingredient, use: Ingredient | None) -> list[str]:
    if use is None:
        return []
    new: list[str] = [a for a in use.contains if a not in out.contains]
    new += [
        f"{a} (may contain, read the label)" for a in use.may if a not in (*out.contains, *out.may)
    ]
    if use.gluten != "free" and out.gluten == "free":
        new.append("gluten" if use.gluten == "contains" else "gluten (may contain, read the label)")
    return new


def _can_use(
    reading: Reading,
    out: Ingredient,
    use: Ingredient,
    swaps: Sequence[Swap],
    amount: Amount | None,
    line: Line | None,
    shelf: Shelf,
) -> Answer:
    swap = next((s for s in swaps if s.use == use.id), None)
    if swap is None:
        names = [item.name for s in swaps if (item := shelf.item(s.use))]
        known = f"On record for {out.name}: {listed(names[:5], 'or')}." if names else ""
        return unknown(
            reading,
            shelf,
            f"I have no record of {use.name} in the place of {out.name}.",
            (known,) if known else (),
        )
    figure, text = _one(swap, out, amount, shelf)
    headline = f"Yes: {figure.shown} {use.name} for the {out.name}."
    sources = [record_source(swap), *(reference_source(shelf, s) for s in swap.sources)]
    if line is not None:
        sources.insert(
            0, Source(id=reading.recipe, title=line.text, where=f"{line.file}:{line.line}")
        )
    return make(reading, "computed" if amount else "quoted", headline, (figure,), (text,), sources)
