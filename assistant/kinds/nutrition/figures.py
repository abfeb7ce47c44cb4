"""Totals of a dish as figures, table rows and remarks: declared, exact, lacking."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from assistant.answer import Figure, Source
from assistant.corpus.records import Line, Nutrient, Recipe
from assistant.kinds.shelf import (
    Shelf,
    capital,
    food_source,
    line_name,
    listed,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.energy import FACTORS, cross_check
from assistant.kitchen.label import declared_text, percent_daily_value
from assistant.kitchen.nutrients import Part, Range, Total, contributions, total
from assistant.kitchen.retention import cooking_losses, is_cooked

# A bounded gap below this many grams in a portion is a range, not a gap: one step of a label.
_SMALL_GAP = Fraction(1)
_PROTEIN = "protein"


def sums(
    lines: Sequence[Line], recipe: Recipe, nutrients: Sequence[Nutrient], shelf: Shelf
) -> list[Total]:
    """The whole dish's totals; vitamins and minerals after the losses that its steps bring."""
    losses = cooking_losses(recipe, shelf.corpus.retention, shelf.corpus.pantry)
    return [total(lines, nutrient, shelf.table, losses) for nutrient in nutrients]


def main_nutrients(shelf: Shelf) -> list[Nutrient]:
    """The nutrients that a plain "nutrition figures" is answered with."""
    return [n for n in shelf.corpus.nutrients.values() if n.main]


def portion(made: Total, share: Range) -> tuple[Fraction, Fraction, bool]:
    """The amount in a share of the dish, low and high, and whether it is only a lower bound."""
    low, high = made.low * share[0], made.high * share[1]
    if not made.missing:
        return low, high, False
    gap = made.gap
    if gap is not None and made.nutrient.unit == "g" and gap * share[1] < _SMALL_GAP:
        return low, high + gap * share[1], False
    return low, high, True


def shown(low: Fraction, high: Fraction, nutrient: Nutrient, at_least: bool = False) -> str:
    """The declared value with its unit: a range where there is one, "at least" over a gap."""
    if nutrient.rounding:
        ends = [declared_text(value, nutrient.rounding) for value in (low, high)]
    else:
        ends = [number(low), number(high)]
    dash = " to " if ends[1].startswith("less") else "–"
    text = ends[0] if ends[0] == ends[1] else f"{ends[0].removeprefix('less than ')}{dash}{ends[1]}"
    return f"{'at least ' if at_least else ''}{text} {nutrient.unit}"


def percent(value: Fraction, nutrient: Nutrient) -> str:
    """Per cent of the Daily Value as declared, "" where there is none.

    None is given for protein: its per cent needs a correction for protein quality.
    """
    if nutrient.daily_value is None or nutrient.id == _PROTEIN:
        return ""
    return f"{percent_daily_value(value, Fraction(nutrient.daily_value), nutrient.rounding)} %"


def figure(made: Total, share: Range, what: str, title: str) -> Figure:
    """One figure: the amount in a share of the dish, with the whole way to it."""
    low, high, at_least = portion(made, share)
    nutrient, unit = made.nutrient, made.nutrient.unit
    working = [part_text(part, nutrient) for part in contributions(made)]
    times = (
        number(share[1], 4)
        if share[0] == share[1]
        else f"{number(share[0], 4)}–{number(share[1], 4)}"
    )
    over = 1 / share[1]
    by = f"÷ {over.numerator}" if over.denominator == 1 and share[0] == share[1] else f"× {times}"
    working.append(
        f"sum {plain(made.low, made.high)} {unit} {by} = "
        f"{plain(made.low * share[0], made.high * share[1])} {unit} in {what}"
    )
    for part in made.missing:
        most = (
            ""
            if part.most is None
            else f"; at most {number(part.most, 2)} {unit}, by what it is part of"
        )
        working.append(f"no figure: {part.line.text} ({part.why}{most})")
    if made.slack != (made.low, made.high):
        ends = plain(made.slack[0] * share[0], made.slack[1] * share[1])
        working.append(f"with the labels' own rounding: {ends} {unit} in {what}")
    return Figure(
        name=f"{nutrient.name} in {what} of {title}",
        value=high,
        unit=unit,
        shown=shown(low, high, nutrient, at_least),
        working=tuple(working),
    )


def rough(value: Fraction, unit: str) -> str:
    """A value for reading: whole kcal and mg from 10 up, else one place."""
    return number(value, 0 if unit in {"kcal", "mg"} and abs(value) >= 10 else 1)


def part_text(part: Part, nutrient: Nutrient) -> str:
    """How one line's amount was worked out."""
    if part.value is None:
        return ""
    unit, grams = nutrient.unit, part.grams or (Fraction(0), Fraction(0))
    kept = f" × {number(part.loss.share, 2)} ({part.loss.how})" if part.loss else ""
    eaten = ""
    if part.line.eaten != 1:
        why = part.line.eaten_source or "an assumption"
        eaten = f" ({number(part.line.eaten * 100, 0)} % of it is eaten: {why})"
    return (
        f"{part.line.text}: {plain(*grams)} g{eaten} × {number(part.per_100g or Fraction(0), 3)} "
        f"{unit}/100 g ({part.how}){kept} = {plain(*part.value)} {unit}"
    )


def plain(low: Fraction, high: Fraction) -> str:
    """A value or a range for reading, to one place."""
    return number(low) if low == high else f"{number(low)}–{number(high)}"


def with_check(
    figures: Sequence[Figure], recipe: Recipe, share: Range, shelf: Shelf
) -> list[Figure]:
    """The figures, the energy's working extended by the 4-4-9-7 cross-check."""
    import msgspec

    done = []
    for one in figures:
        if one.unit == "kcal":
            added = (*one.working, *energy_check(recipe.lines, recipe, share, shelf))
            one = msgspec.structs.replace(one, working=added)
        done.append(one)
    return done


def energy_check(
    lines: Sequence[Line], recipe: Recipe, share: Range, shelf: Shelf
) -> tuple[str, ...]:
    """The cross-check of the energy as lines of working."""
    wanted = [
        shelf.corpus.nutrients[i]
        for i in ("energy", *FACTORS, "fiber")
        if i in shelf.corpus.nutrients
    ]
    made = {m.nutrient.id: m.high * share[1] for m in sums(lines, recipe, wanted, shelf)}
    if "energy" not in made:
        return ()
    check = cross_check(made["energy"], dict(made))
    terms = " + ".join(f"{number(grams)} × {kcal}" for _, grams, kcal in check.terms)
    off = "" if check.off is None else f", {number(check.off * 100)} % off"
    lead = (
        f"cross-check 4-4-9-7: {terms} = {number(check.energy)} kcal "
        f"(protein, carbohydrate, fat, alcohol){off}"
    )
    return (lead, *(f"the difference: {reason}" for reason in check.reasons))


def rows(totals: Sequence[Total], share: Range) -> list[str]:
    """One aligned line a nutrient: name, declared value, per cent of the Daily Value."""
    found = []
    for made in totals:
        low, high, at_least = portion(made, share)
        value = shown(low, high, made.nutrient, at_least)
        daily = percent(high, made.nutrient)
        tail = f"{daily:>6} DV" if daily else ""
        found.append(f"{capital(made.nutrient.name):<20}{value:>19}{tail}".rstrip())
    return found


def gaps(totals: Sequence[Total], share: Range, shelf: Shelf) -> list[str]:
    """A line for each nutrient that is only a lower bound, naming what lacks its figure."""
    by_names: dict[str, list[str]] = {}
    for made in totals:
        if portion(made, share)[2]:
            names = listed(list(dict.fromkeys(line_name(p.line, shelf) for p in made.missing)))
            by_names.setdefault(names, []).append(made.nutrient.name)
    found = []
    for names, lacking in by_names.items():
        what = listed(lacking) if len(lacking) <= 4 else f"{len(lacking)} nutrients"
        found.append(f"At least: there is no figure for {what} of {names}.")
    return found


def remarks(recipe: Recipe, totals: Sequence[Total], share: Range, shelf: Shelf) -> list[str]:
    """What the figures rest on: labels, like foods, losses, rounding, what was not counted."""
    found = [*gaps(totals, share, shelf), *_slack(totals, share)]
    seen: dict[str, None] = {}
    for made in totals:
        for part in made.parts:
            item = shelf.item(part.line.item)
            if part.origin == "label" and item is not None and item.label is not None:
                mine = " (invented: put your own label in its place)" if item.label.invented else ""
                seen.setdefault(
                    f"{capital(item.name)}: by the label of {item.label.package}{mine}."
                )
            if part.origin == "fill":
                name = capital(made.nutrient.name)
                seen.setdefault(f"{name} of {line_name(part.line, shelf)}: {part.how}.")
    found += seen
    found += _losses(recipe, totals, shelf)
    if totals and totals[0].left_out:
        names = [line_name(line, shelf) for line in totals[0].left_out]
        found.append(f"Not counted (optional or to taste): {listed(list(dict.fromkeys(names)))}.")
    return found


def _slack(totals: Sequence[Total], share: Range) -> list[str]:
    """Where the labels' own rounding reaches another declared value."""
    found = []
    for made in totals:
        if made.slack == (made.low, made.high) or not made.nutrient.rounding:
            continue
        ends = shown(made.slack[0] * share[0], made.slack[1] * share[1], made.nutrient)
        if "–" in ends and ends != shown(*portion(made, share)[:2], made.nutrient):
            found.append(f"{made.nutrient.name} {ends}")
    return [f"The labels' own rounding leaves: {', '.join(found)}."] if found else []


def _losses(recipe: Recipe, totals: Sequence[Total], shelf: Shelf) -> list[str]:
    micro = [made for made in totals if made.nutrient.rounding == "micro"]
    if not micro:
        return []
    kept = [
        f"{made.nutrient.name} of {line_name(p.line, shelf)} {number((p.loss.share) * 100, 0)} %"
        for made in micro
        for p in made.parts
        if p.loss is not None and p.loss.share != 1
    ]
    bare = dict.fromkeys(
        line_name(p.line, shelf)
        for made in micro
        for p in contributions(made)
        if p.loss is None and p.value and p.value[1] > 0
        if is_cooked(recipe, p.line, shelf.corpus.pantry)
    )
    found = []
    if kept:
        more = f" and {len(kept) - 4} more (--why)" if len(kept) > 4 else ""
        found.append(f"Kept after cooking, by retention factors: {', '.join(kept[:4])}{more}.")
    if bare:
        names = list(bare)
        some = (
            listed(names)
            if len(names) <= 4
            else f"{', '.join(names[:4])} and {len(names) - 4} more"
        )
        found.append(f"No cooking loss is taken off where no factor is at hand: {some}.")
    return found


def sources(recipe: Recipe, totals: Iterable[Total], shelf: Shelf) -> list[Source]:
    """Where the figures come from: the recipe, the labels, the rows, the rounding rule."""
    found = [record_source(recipe), reference_source(shelf, "sr28")]
    tail: list[Source] = []
    for made in totals:
        for part in made.parts:
            item = shelf.item(part.line.item)
            if part.origin == "label" and item is not None:
                found.append(record_source(item))
            elif part.line.food:
                tail.append(food_source(shelf, part.line.food))
            if part.loss is not None:
                tail.append(reference_source(shelf, "retention-factors"))
    return [*found, reference_source(shelf, "label-rounding"), *tail]
