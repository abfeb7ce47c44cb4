"""Whether a batch fits a vessel, how large a vessel it needs, how many of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure, Verdict
from assistant.corpus.records import Equipment, Estimate, Recipe
from assistant.kinds.shelf import Shelf, capital, make, number, record_source, reference_source
from assistant.kitchen.scaling import check_servings
from assistant.kitchen.vessels import (
    Capacity,
    batch,
    how_many,
    quarters,
    read_capacity,
    vessels,
)
from assistant.measure.amount import Amount
from assistant.measure.exact import MeasureError, exact
from assistant.measure.numbers import read_number, show_number
from assistant.measure.units import convert, unit
from assistant.question.reading import Mention, Reading

_INCHES = re.compile(
    r"\d[\d./ ]*\s*(?:x|×|by)\s*\d[\d./]*|\d[\d./ ]*[\s-]*(?:inch(?:es)?\b|\")", re.I
)
_WRITTEN = re.compile(r"\d[\d./ ]*[- ](?:quart|pint|cup|gallon|liter)s?\b", re.I)
# How a recipe says that the whole dish is in one vessel; only then do its contents tell the size.
_ALL_IN = "everything"
_SIDES = re.compile(r"\d\s*(?:x|×|by)\s*\d", re.I)


class Need(msgspec.Struct, frozen=True):
    """What a batch needs of one sort of vessel: in all, and where that comes from."""

    size: Fraction
    working: tuple[str, ...]
    lines: tuple[str, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    missing: tuple[str, ...] = ()


def fit(reading: Reading, recipe: Recipe, tool: Equipment | None, shelf: Shelf) -> Answer | None:
    """Whether the servings asked about fit; None where neither recipe nor question gives a size."""
    base = Fraction(recipe.yields.servings)
    asked = asked_capacity(reading, tool)
    area = asked is not None and asked.measure == "area"
    servings = reading.servings
    # The "x13" of a 9x13 pan multiplies nothing.
    if reading.factor is not None and not (area and _SIDES.search(reading.text)):
        servings = base * reading.factor
    if servings is None and not area:
        servings = _bare_number(reading)
    servings = base if servings is None else servings
    try:
        check_servings(servings)
    except MeasureError as error:
        return make(reading, "unknown", f"{error}.", sources=(record_source(recipe),))
    vessel = _vessel(recipe, tool, asked)
    if vessel is None:
        return None
    own = read_capacity(vessel.capacity, vessel.item)
    count = how_many(vessel.item)
    if own is None or (tool is not None and not tool.capacity and asked is None):
        return None
    if count > 1:
        return _counted(reading, recipe, vessel, servings, count)
    if own.measure == "volume":
        return _volume(reading, recipe, vessel, own, asked, servings, shelf)
    return _pans(reading, recipe, vessel, own, asked, servings)


def asked_capacity(reading: Reading, tool: Equipment | None = None) -> Capacity | None:
    """The size of the asker's own vessel, where the question names one.

    The cups of a muffin tin are its hollows.
    """
    own = read_capacity(tool.capacity, tool.item) if tool is not None else None
    for mention in reading.all("amount"):
        value = mention.value
        if own is not None and own.measure == "holes" and isinstance(value, Amount):
            return Capacity("holes", value.high, mention.text) if value.unit == "cup" else None
        if isinstance(value, Amount) and value.unit and unit(value.unit).dimension == "volume":
            return Capacity("volume", convert(value.low, value.unit, "milliliter"), mention.text)
    found = _INCHES.search(reading.text)
    return read_capacity(found[0].lower()) if found else None


def _bare_number(reading: Reading) -> Fraction | None:
    """The 24 of "can I do 24 in two 5-quart pots": a number that counts no vessel."""
    numbers = [m for m in reading.all("number") if m is not _number_of_vessels(reading)]
    values = [m.value for m in numbers if isinstance(m.value, Fraction)]
    return values[0] if len(values) == 1 and "for" not in reading.words else None


def _number_of_vessels(reading: Reading) -> Mention | None:
    """The "two" of "two 5-quart pots"."""
    starts = {m.start for m in (*reading.all("amount"), *reading.all("tool"))}
    return next((m for m in reading.all("number") if m.end in starts), None)


def vessels_given(reading: Reading) -> Fraction | None:
    """How many vessels the asker has: "two 5-quart pots", "one skillet"; None where unsaid."""
    given = _number_of_vessels(reading)
    if given is not None and isinstance(given.value, Fraction):
        return given.value
    before = [reading.words[m.start - 1] for m in reading.all("tool") if m.start]
    return next((count for word in before if (count := _count(word)) is not None), None)


def _plural(noun: str) -> str:
    return f"{noun}es" if noun.endswith(("sh", "ch")) else f"{noun}s"


def _count(word: str) -> Fraction | None:
    if word in {"a", "an"}:
        return None
    try:
        return read_number("one" if word == "single" else word)
    except MeasureError:
        return None


def _vessel(recipe: Recipe, tool: Equipment | None, asked: Capacity | None) -> Equipment | None:
    """The vessel meant: the one named, else the first whose size compares with the asker's."""
    sized = [(e, c) for e in recipe.equipment if (c := read_capacity(e.capacity, e.item))]
    fitting = [e for e, c in sized if asked is None or c.measure == asked.measure]
    if tool is not None and tool in fitting:
        return tool
    return fitting[0] if fitting else None


# ----------------------------------------------------------------------------------------- volume


def _volume(
    reading: Reading,
    recipe: Recipe,
    vessel: Equipment,
    own: Capacity,
    asked: Capacity | None,
    servings: Fraction,
    shelf: Shelf,
) -> Answer:
    need = _volume_need(reading, recipe, vessel, own, servings, shelf)
    noun = _noun(reading, vessel)
    name = "quart" if shelf.first == "us" else "liter"
    shown = _size(need.size, name, up=True)
    other = _size(need.size, "liter" if name == "quart" else "quart", up=True)
    size = asked or own
    many = vessels(need.size, size.size)
    count = vessels_given(reading) or Fraction(1)
    subject, need_ = _subject(recipe, servings)
    other_way = _other_way(vessel, asked, servings == recipe.yields.servings)
    if asked is not None:
        mine = _size(asked.size * count, name, up=False)
        start = _verdict(reading, many <= count)
        if many <= count:
            headline = f"{start}: {subject} {need_} {shown} of {noun}, and yours holds {mine}."
        elif other_way:
            headline = f"It will do: {other_way}; the recipe's own is {vessel.capacity}."
        else:
            headline = (
                f"{start}: {subject} {need_} {shown} of {noun}; yours holds {mine}, so use {many}."
            )
    elif noun not in vessel.item:
        headline = f"{capital(subject)} {need_} a {noun} of {shown}."
    elif many == 1:
        headline = (
            f"{capital(subject)} {need_} a {noun} of {shown};"
            f" the recipe's {vessel.capacity} will do."
        )
    else:
        headline = (
            f"{capital(subject)} {need_} {shown} of {noun}: {many} of the recipe's"
            f" {vessel.capacity}, or one that large."
        )
    figures = (
        Figure(
            name=f"{noun} needed",
            value=need.size / convert(Fraction(1), name, "milliliter"),
            unit=name,
            shown=f"{shown} ({other})",
            working=need.working,
        ),
        Figure(
            name=f"number of {_plural(noun)}",
            value=Fraction(many),
            unit="",
            shown=str(many),
            working=(f"{shown} ÷ {_size(size.size, name, up=False)} = {many} (rounded up)",),
        ),
    )
    lines = list(need.lines)
    if many > 1 and not other_way and (asked is not None or noun in vessel.item):
        each = servings / many
        share = f": {show_number(each)} servings in each" if each.denominator == 1 else ""
        lines.append(f"Split it evenly over the {many}{share}.")
    lines += dict.fromkeys(e.text for e in need.estimates)
    if need.missing:
        lines.append(f"Not weighed, so at least that: {', '.join(need.missing)}.")
    verdict: Verdict = "partial" if need.missing else "computed"
    sources = [record_source(recipe), *(reference_source(shelf, e.source) for e in need.estimates)]
    return make(reading, verdict, headline, figures, lines, sources)


def _verdict(reading: Reading, fits: bool) -> str:
    """The first word of the answer: "is it too small?" is not answered with a bare yes."""
    if reading.has("too"):
        large = reading.has("big", "large", "wide", "deep")
        return ("Not too large" if large else "Not too small") if fits else "Too small"
    return "Yes" if fits else "No"


def _other_way(vessel: Equipment, asked: Capacity | None, as_written: bool) -> str:
    """What the recipe itself allows in place of its vessel, where the asker's own is that large."""
    found = _WRITTEN.search(vessel.instead)
    allowed = read_capacity(found[0].replace("-", " "), vessel.item) if found else None
    if asked is None or allowed is None or not as_written or allowed.measure != asked.measure:
        return ""
    return vessel.instead if asked.size >= allowed.size else ""


def _volume_need(
    reading: Reading,
    recipe: Recipe,
    vessel: Equipment,
    own: Capacity,
    servings: Fraction,
    shelf: Shelf,
) -> Need:
    factor = servings / recipe.yields.servings
    in_proportion = own.size * factor
    proportion = (
        f"{vessel.capacity} × {show_number(factor)} = {_size(in_proportion, 'quart', up=True)}"
    )
    fill = _fill(reading, recipe, shelf)
    per_gram = shelf.corpus.estimates.get("milliliters-per-gram")
    if not vessel.use.startswith(_ALL_IN) or fill is None or per_gram is None:
        return Need(
            in_proportion,
            (f"the recipe's own for {recipe.yields.servings}, in proportion: {proportion}",),
            (f"In proportion to the recipe's own {vessel.capacity} for {recipe.yields.servings}.",),
        )
    held = batch(recipe.lines, factor)
    volume = held.grams[1] * exact(per_gram.value)
    needed = volume / exact(fill.value)
    quarts = _size(volume, "quart", up=True)
    working = (
        f"{number(held.grams[1])} g × {per_gram.value} mL = {number(volume)} mL, {quarts}",
        f"÷ {fill.value} full = {_size(needed, 'quart', up=True)}",
        f"the recipe's own, in proportion: {proportion}",
    )
    lines = (f"At its fullest it is about {_both(volume, shelf)}.",)
    if fill.id == "fill-pot" and in_proportion < needed:
        return Need(
            in_proportion,
            working,
            (
                *lines,
                f"The need is in proportion to the recipe's own {vessel.capacity} "
                f"for {recipe.yields.servings}.",
            ),
            (per_gram,),
            held.missing,
        )
    return Need(needed, working, lines, (fill, per_gram), held.missing)


def _fill(reading: Reading, recipe: Recipe, shelf: Shelf) -> Estimate | None:
    """How full the vessel may be: the rule for the machine named, else that for a pot."""
    estimates = shelf.corpus.estimates
    for mention in reading.all("tool"):
        foams = estimates.get(f"fill-{mention.id}-foaming")
        if foams is not None and _foams(recipe, shelf):
            return foams
        if f"fill-{mention.id}" in estimates:
            return estimates[f"fill-{mention.id}"]
    return estimates.get("fill-pot")


def _foams(recipe: Recipe, shelf: Shelf) -> bool:
    foaming = shelf.corpus.lists.get("foaming")
    return foaming is not None and any(line.item in foaming.words for line in recipe.lines)


def _subject(recipe: Recipe, servings: Fraction) -> tuple[str, str]:
    """Who needs, and the verb in its number: "14 servings of red lentil soup", "need"."""
    one = servings == 1
    who = f"{show_number(servings)} {'serving' if one else 'servings'} of {recipe.title.lower()}"
    return who, "needs" if one else "need"


def _size(milliliters: Fraction, name: str, up: bool) -> str:
    value = quarters(milliliters / convert(Fraction(1), name, "milliliter"), up)
    plural = name if value == 1 else _plural(name)
    if name == "liter":
        return f"{number(value, 2)} L"
    return f"{show_number(value)} {plural}"


def _both(milliliters: Fraction, shelf: Shelf) -> str:
    first, second = ("quart", "liter") if shelf.first == "us" else ("liter", "quart")
    return f"{_size(milliliters, first, up=True)} ({_size(milliliters, second, up=True)})"


def _noun(reading: Reading, vessel: Equipment) -> str:
    for mention in reading.all("tool"):
        if mention.id in {"slow-cooker", "pressure-cooker"}:
            return mention.id.replace("-", " ")
    words = vessel.item.split(" with ")[0].split(" or ")[0].split()
    return words[-1]


# ------------------------------------------------------------------------------------ pans, pieces


def _pans(
    reading: Reading,
    recipe: Recipe,
    vessel: Equipment,
    own: Capacity,
    asked: Capacity | None,
    servings: Fraction,
) -> Answer:
    """Pans by their area and tins by their hollows: what lies side by side must not be crowded."""
    factor = servings / recipe.yields.servings
    size = asked if asked is not None and asked.measure == own.measure else own
    many = vessels(own.size * factor, size.size)
    noun = vessel.item.split(" with ")[0].split(" or ")[0]
    written = f"({size.text})"
    whom = show_number(servings)
    given = vessels_given(reading)
    count = given or Fraction(1)
    judged = asked is not None or given is not None
    if many <= count:
        start = f"{_verdict(reading, True)}, " if judged else ""
        several = f"{show_number(count)} {_plural(noun)}" if count > 1 else f"one {noun}"
        headline = f"{start}{several} {written} {'are' if count > 1 else 'is'} enough for {whom}."
        headline = capital(headline)
    else:
        start = f"{_verdict(reading, False)}: for {whom} it takes" if judged else f"For {whom}:"
        headline = f"{start} {many} {_plural(noun)} {written}, or {many} batches in one."
    unit_name = "hollows" if own.measure == "holes" else "square inches"
    figure = Figure(
        name=f"number of {_plural(noun)}",
        value=Fraction(many),
        unit="",
        shown=str(many),
        working=(
            f"recipe: {vessel.capacity} for {recipe.yields.servings}, "
            f"{number(own.size)} {unit_name}",
            f"{number(own.size)} × {show_number(factor)} ÷ {number(size.size)} = "
            f"{number(own.size * factor / size.size, 2)}, rounded up to {many}",
        ),
    )
    crowded = "; food that lies crowded steams" if own.measure == "area" else ""
    ours = f"the recipe's own {vessel.capacity} for {recipe.yields.servings}"
    lines = [f"In proportion to {ours}{crowded}."]
    lines += _instead(vessel)
    return make(reading, "computed", headline, (figure,), lines, (record_source(recipe),))


def _counted(
    reading: Reading, recipe: Recipe, vessel: Equipment, servings: Fraction, count: int
) -> Answer:
    """Pieces that the recipe counts itself, such as a jar for each portion."""
    factor = servings / recipe.yields.servings
    many = vessels(Fraction(count) * factor, Fraction(1))
    noun = re.sub(r"^\d+ ", "", vessel.item)
    headline = f"For {show_number(servings)}: {many} {noun}, {vessel.capacity}."
    figure = Figure(
        name=noun,
        value=Fraction(many),
        unit="",
        shown=str(many),
        working=(f"{count} for {recipe.yields.servings} × {show_number(factor)} = {many}",),
    )
    return make(
        reading, "computed", headline, (figure,), _instead(vessel), (record_source(recipe),)
    )


def _instead(vessel: Equipment) -> Sequence[str]:
    return [f"Instead: {vessel.instead}."] if vessel.instead else []
