""" "Make it lower in sodium": the swaps on record that take most sodium out of a serving."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Line, Recipe, Swap
from assistant.kinds.shelf import (
    Shelf,
    capital,
    food_source,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.nutrients import contributions, total
from assistant.kitchen.swaps import Difference, difference, find_swaps, swapped_lines
from assistant.question.reading import Reading

_MOST = 3
# Milligrams a serving below which a swap is not worth naming.
_WORTH = 20


def lowers(reading: Reading, shelf: Shelf) -> bool:
    """Whether the question asks for less sodium."""
    salty = "sodium" in reading.ids("nutrient") or reading.has("salt", "salty")
    return salty and shelf.says(reading, "lower-words")


def lower_sodium(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    """For each ingredient the swap that saves most sodium; the three that save most in all, with
    what a serving then holds. Swaps that are unfit, or lack a figure, are left out."""
    sodium = shelf.corpus.nutrients["sodium"]
    servings = Fraction(recipe.yields.servings)
    now = total(recipe.lines, sodium, shelf.table)
    best: list[tuple[Fraction, Line, Swap]] = []
    for line in recipe.lines:
        ways = [
            (made.high, swap)
            for swap in find_swaps(line.item, shelf.corpus, recipe.id)
            if swap.fit != "no" and not line.optional
            for made in (_saves(line, swap, servings, shelf),)
            if made is not None
        ]
        if ways:
            value, swap = min(ways, key=lambda pair: pair[0])
            if value <= -_WORTH:
                best.append((value, line, swap))
    best.sort(key=lambda found: found[0])
    chosen = best[:_MOST]
    start = now.over(servings)[1]
    after = start + sum((value for value, _, _ in chosen), Fraction(0))
    lines, figures = [], []
    sources: list[Source] = [record_source(recipe)]
    for value, line, swap in chosen:
        name = shelf.corpus.pantry[swap.use].name
        shown = f"−{number(-value, 0)} mg"
        lines.append(f"{capital(name)} for {line.name}: {shown} sodium a serving. {swap.how}")
        figures.append(
            Figure(
                name=f"{name} for {line.name}",
                value=value,
                unit="mg",
                shown=shown,
                working=(f"swap {swap.id} ({swap.where}), per serving",),
            )
        )
        sources += [record_source(swap), *(reference_source(shelf, s) for s in swap.sources)]
        sources.append(Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}"))
        sources += [food_source(shelf, line.food)] if line.food else []
    parts = contributions(now)[:3]
    told = [
        f"{part.line.name} {number(part.value[1] / servings, 0)} mg" for part in parts if part.value
    ]
    lines.append(f"Most of the sodium of a serving comes from: {'; '.join(told)}.")
    lines.append("Salt can also be cut freely: taste at the end, and let acid and herbs carry it.")
    least = "at least " if now.missing else ""
    if reading.factor == Fraction(1, 2) or reading.has("half", "halve"):
        got = (
            "these swaps get there" if after <= start / 2 else "these swaps alone do not get there"
        )
        lines.insert(0, f"Half of it would be {number(start / 2, 0)} mg: {got}.")
    figures.insert(
        0,
        Figure(
            name="sodium per serving after the swaps",
            value=after,
            unit="mg",
            shown=f"{least}{number(after, 0)} mg",
            working=(f"{number(start, 0)} mg − {number(start - after, 0)} mg",),
        ),
    )
    title = recipe.title.lower()
    swaps = "1 swap" if len(chosen) == 1 else f"{len(chosen)} swaps"
    headline = (
        f"With {swaps} a serving has {least}{number(after, 0)} mg sodium"
        f" instead of {number(start, 0)} mg."
    )
    if not chosen:
        headline = f"No swap on record lowers the sodium of the {title}: {number(start, 0)} mg."
        top = max(contributions(now), key=lambda part: part.value[1] if part.value else 0)
        if top.value and top.value[1] > _WORTH * servings:
            half = start - top.value[1] / servings / 2
            figures.append(
                Figure(
                    name=f"sodium per serving with half the {top.line.name}",
                    value=half,
                    unit="mg",
                    shown=f"{number(half, 0)} mg",
                    working=(
                        f"{top.line.name}: {number(top.value[1] / servings, 0)} mg a serving",
                        f"{number(start, 0)} mg − half of that",
                    ),
                )
            )
            headline = (
                f"Use half the {top.line.name}: {number(half, 0)} mg sodium a serving, "
                f"not {number(start, 0)} mg."
            )
            lines.insert(0, "No swap on record takes salt out of it.")
    return make(reading, "computed", headline[:120], figures, lines, sources)


def _saves(line: Line, swap: Swap, servings: Fraction, shelf: Shelf) -> Difference | None:
    made = swapped_lines(line, swap, shelf.corpus)
    if made is None:
        return None
    found = difference((line,), made, shelf.corpus.nutrients["sodium"], shelf.table, servings)
    return None if isinstance(found, str) else found
