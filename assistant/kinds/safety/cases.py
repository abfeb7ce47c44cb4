"""Cases that can be worked out: thawing by weight, time left out, a power cut."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure, Source
from assistant.corpus.rules import SafetyLimit
from assistant.kinds.crossed import listed
from assistant.kinds.safety.tell import elsewhere, tell
from assistant.kinds.shelf import Shelf, capital, make, number, record_source, reference_source
from assistant.kitchen.handling import out_limit, stood_out, thaw_minutes
from assistant.measure.amount import Amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.span import Span, minutes, read_span, show_minutes, show_span
from assistant.measure.units import convert, to_fahrenheit, unit
from assistant.question.reading import Reading

# Two times of day tell how long it was.
_BOTH = 2
# A night is taken as eight hours, to be careful about a short one too.
_NIGHT = Span(Fraction(8), Fraction(8), "hour")


def thawing(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "How long to thaw a 12 lb turkey": by refrigerator and by cold water, for its weight."""
    if "thaw" not in reading.ids("method"):
        return None
    weights = [
        m.value
        for m in reading.all("amount")
        if isinstance(m.value, Amount) and m.value.unit and unit(m.value.unit).dimension == "weight"
    ]
    limits = [shelf.corpus.limits.get(name) for name in ("thaw-fridge", "thaw-water")]
    fridge, water = limits
    if not weights or fridge is None or water is None:
        return None
    grams = convert(weights[0].high, weights[0].unit, "gram")
    figures = [_thaw_figure(grams, weights[0], limit) for limit in (fridge, water)]
    food = next((f" of {m.text}" for m in reading.all("ingredient")), "")
    headline = (
        f"{capital(show(weights[0]))}{food}: {figures[0].shown} in the refrigerator, "
        f"or {figures[1].shown} in cold water."
    )
    lines = [
        "In cold water: in a leak-proof bag, water changed every 30 minutes, then cook at once.",
        "In a microwave: cook at once. Never on the counter.",
    ]
    if reading.outside:
        lines.append(f"It holds for any frozen food, {' '.join(reading.outside)} too.")
    rule = shelf.corpus.safety.get("thawing-safely")
    sources = [record_source(fridge), record_source(water), reference_source(shelf, fridge.source)]
    if rule is not None:
        sources.append(record_source(rule))
    return make(reading, "computed", headline, figures, lines, sources)


def _thaw_figure(grams: Fraction, weight: Amount, limit: SafetyLimit) -> Figure:
    low, high = thaw_minutes(grams, limit)
    shown = _long(low, high)
    return Figure(
        name=limit.title,
        value=high,
        unit="min",
        shown=shown,
        exact=show_minutes(low, high),
        working=(
            f"{limit.time} for each {limit.per} ({limit.where})",
            f"{show(weight)} ÷ {limit.per} × {limit.time} = {shown}",
        ),
    )


def _long(low: Fraction, high: Fraction) -> str:
    """Long times in days and hours: a plan for the week, not for a stopwatch."""
    if high < 36 * 60:
        return show_minutes(Fraction(round(low)), Fraction(round(high)))
    days = [number(value / 1440) for value in (low, high)]
    return f"{days[0]} days" if days[0] == days[1] else f"{days[0]}–{days[1]} days"


def left_out(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "It stood out for 90 minutes": the periods added up against the two-hour rule."""
    cool, hot = (shelf.corpus.limits.get(name) for name in ("out", "out-hot"))
    if cool is None or hot is None or not _stands_out(reading, shelf):
        return None
    # Over ice it is not out, and garlic in oil has a rule of its own.
    if shelf.says(reading, "kept-cold-words") or reading.has("oil"):
        return None
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    spans = spans or _between_clocks(reading)
    limit = out_limit(_air(reading), cool, hot)
    lines = ["All times out of the refrigerator add up, the way home from the store included."]
    if limit is cool:
        lines.append(f"Above {hot.above} °F the limit is {hot.time}.")
    rule = shelf.corpus.safety.get("two-hours")
    if rule is not None:
        lines += elsewhere(rule)
    if reading.outside:
        lines.append(f"It holds for any perishable food, {' '.join(reading.outside)} included.")
    rice = shelf.corpus.safety.get("cooked-rice")
    if rice is not None and is_rice(reading, shelf):
        lines.insert(0, f"Rice has a stricter rule: {rice.short[:1].lower()}{rice.short[1:]}")
    sources = [record_source(limit), reference_source(shelf, limit.source)]
    if rule is not None:
        sources += [reference_source(shelf, other.source) for other in rule.also]
    named = {p for m in reading.all("recipe") for p in range(m.start, m.end)}
    loose = {word for place, word in enumerate(reading.words) if place not in named}
    night = not spans and bool(loose & listed(shelf, "overnight-words"))
    if night:
        spans = [_NIGHT]
    if not spans:
        asked = shelf.says(reading, "how-long-out-words") or _air(reading) is not None
        return _how_long(reading, limit, cool, lines, sources) if asked else None
    try:
        periods = [minutes(span)[1] for span in spans]
    except MeasureError:
        return None
    stood = stood_out(periods, limit)
    total, most = show_minutes(stood.total, stood.total), show_minutes(stood.limit, stood.limit)
    heat = f" above {hot.above} °F" if limit is hot else ""
    span_said = "a night" if night else total
    said = {
        "over": f"No: {span_said} out is over the limit of {most}{heat}. Throw it out.",
        "at the limit": f"At the limit: {total} out is all there is{heat}. Eat or chill it now.",
        "within": f"Within the limit: {total} out of {most}{heat}. Eat or chill it now.",
    }[stood.verdict]
    figure = Figure(
        name="time out of the refrigerator",
        value=stood.total,
        unit="min",
        shown=total,
        working=(
            " + ".join(show_minutes(p, p) for p in periods) + f" = {total}",
            f"limit {limit.time}: {limit.title} ({limit.where})",
        ),
    )
    if night:
        lines.insert(0, f"A night is taken as {total}.")
    if stood.verdict == "over":
        lines.append(
            "Reheating does not help: some germs leave a toxin that heat does not destroy."
        )
    return make(reading, "computed", said, (figure,), lines, sources)


def _between_clocks(reading: Reading) -> list[Span]:
    """ "Made at 8 am, on my desk till noon": the hours from one time of day to the other."""
    named = sorted(m.value for m in reading.all("clock") if isinstance(m.value, Fraction))
    if len(named) != _BOTH:
        return []
    return [Span(named[1] - named[0], named[1] - named[0], "minute")]


def keeps_out(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "I left the butter out overnight": food that keeps without cold is told by its own rule.

    All foods named must be of the group `shelf-food` of safety/care-phrases.yaml, whole and plain.
    """
    phrases, rules = shelf.corpus.care_phrases, shelf.corpus.safety
    if not {"shelf-food", "cut-open"} <= set(phrases) or not _stands_out(reading, shelf):
        return None
    named = [m.text.split()[-1] for m in reading.all("ingredient")]
    named += reading.outside
    keeping = named and set(named) <= set(phrases["shelf-food"].words)
    if not keeping or reading.recipe or set(phrases["cut-open"].words) & set(reading.words):
        return None
    # "Cookie dough" has egg in it.
    if "dough" in named and set(named) - listed(shelf, "rule-plain-dough"):
        return None
    rule = rules.get("butter-out" if set(named) == {"butter"} else "shelf-foods")
    if rule is None:
        return None
    told = tell(reading, [rule], shelf)
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    if not rule.time or not spans:
        return told
    return _within(told, max(minutes(span)[1] for span in spans), read_span(rule.time), named[0])


def _within(told: Answer, stood: Fraction, limit: Span, food: str) -> Answer:
    """The rule of a food with the time it stood held against the rule's range."""
    low, high = minutes(limit)
    days = f"{number(stood / 1440)} days" if stood > 1440 else show_minutes(stood, stood)
    most = show_span(limit)
    if stood > high:
        said = f"No: {days} out is over the {most} for {food}. Throw it out."
    elif stood > low:
        said = f"At the limit: {days} out of {most} for {food}. When in doubt, throw it out."
    else:
        said = f"Within the {most} that {food} may stay out, covered."
    figure = Figure(
        name="time at room temperature",
        value=stood,
        unit="min",
        shown=days,
        working=(f"{days} against {most} ({told.sources[0].where})",),
    )
    return msgspec.structs.replace(
        told,
        verdict="computed",
        headline=said,
        figures=(figure,),
        lines=told.lines,
    )


def _stands_out(reading: Reading, shelf: Shelf) -> bool:
    """Whether food that spoils stands where it is not kept cold: not in "it came out runny", and
    water does not spoil."""
    if reading.has("water") and not reading.recipe and not set(reading.foods) - {"water"}:
        return False
    verbs = listed(shelf, "out-verbs")
    return any(
        word in listed(shelf, "out-words")
        and not (word == "out" and place and reading.words[place - 1] in verbs)
        for place, word in enumerate(reading.words)
    )


def is_rice(reading: Reading, shelf: Shelf) -> bool:
    """Whether the question is about rice, or about a recipe of ours with cooked rice in it."""
    if reading.has("rice"):
        return True
    recipe, rule = shelf.recipe(reading), shelf.corpus.safety.get("cooked-rice")
    held = {line.item for line in recipe.lines} if recipe is not None else set()
    return rule is not None and bool(held & set(rule.ingredients))


def rice_out(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "How long can rice sit out?": its own rule, which is stricter than the two-hour rule."""
    rule = shelf.corpus.safety.get("cooked-rice")
    timed = reading.all("duration") or shelf.says(reading, "overnight-words")
    if rule is None or timed or not reading.has("rice") or not shelf.says(reading, "out-words"):
        return None
    return tell(reading, [rule], shelf)


def _how_long(
    reading: Reading,
    limit: SafetyLimit,
    cool: SafetyLimit,
    lines: list[str],
    sources: list[Source],
) -> Answer:
    """ "How long can it sit out?", "a picnic at 95 degrees": the limit by the air there."""
    figure = Figure(
        name=limit.title, value=minutes(read_span(limit.time))[0], unit="min", shown=limit.time,
        working=(f"limit {limit.id} ({limit.where})",),
    )  # fmt: skip
    headline = (
        f"At most {limit.time} out of the refrigerator in all; 1 hour above 90 °F."
        if limit is cool
        else f"At most {limit.time} above {limit.above} °F, all periods out added up."
    )
    return make(reading, "quoted", headline, (figure,), lines, sources)


def _air(reading: Reading) -> Fraction | None:
    """The air temperature named, in °F."""
    for mention in reading.all("temperature"):
        if isinstance(mention.value, Fraction):
            return to_fahrenheit(mention.value) if mention.id == "c" else mention.value
    return None


def power_cut(reading: Reading, shelf: Shelf) -> Answer | None:
    """How long refrigerator and freezer stay cold, against the hours named."""
    if not shelf.says(reading, "power-words"):
        return None
    names = ("power-fridge", "power-freezer-full", "power-freezer-half")
    fridge, full, half = (shelf.corpus.limits.get(name) for name in names)
    if fridge is None or full is None or half is None:
        return None
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    figures = [
        Figure(
            name=limit.title, value=minutes(read_span(limit.time))[0], unit="min", shown=limit.time,
            working=(f"limit {limit.id} ({limit.where})",),
        )
        for limit in (fridge, full, half)
    ]  # fmt: skip
    lines = [
        f"A full closed freezer holds {full.time}, a half-full one {half.time}.",
        "Food that still has ice crystals or is at 40 °F or below may be frozen again or cooked.",
        "Throw out perishable food that was above 40 °F for over 2 hours; a thermometer decides.",
    ]
    headline = f"Closed, a refrigerator keeps food safe for about {fridge.time} without power."
    if "freezer" in reading.ids("place"):
        headline = f"Closed, a full freezer stays cold {full.time}, a half-full one {half.time}."
    if spans:
        try:
            out = minutes(spans[0])[1]
        except MeasureError:
            out = Fraction(0)
        freezer = "freezer" in reading.ids("place")
        # "Half full" is the careful one.
        is_half, is_full = reading.has("half"), shelf.says(reading, "rule-full-freezer")
        limit = (half if is_half else full) if freezer else fridge
        most = minutes(read_span(limit.time))[0]
        shown = show_minutes(out, out)
        if out > most:
            headline = f"No: {shown} is over the {limit.time} that {limit.title} stays cold."
        elif freezer and not is_full and out > minutes(read_span(half.time))[0]:
            headline = (
                f"Only if the freezer was full: {shown} is over the {half.time} of a half-full one."
            )
        elif out:
            headline = (
                f"Yes, if it stayed closed: {shown} is within the {limit.time} that it stays cold."
            )
    sources = [record_source(one) for one in (fridge, full, half)]
    sources.append(reference_source(shelf, fridge.source))
    return make(reading, "computed" if spans else "quoted", headline, figures, lines, sources)
