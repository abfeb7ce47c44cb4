"""How long a dish or a food keeps, and until which date."""

from __future__ import annotations

import datetime
from fractions import Fraction
from functools import partial
from itertools import pairwise

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Recipe
from assistant.corpus.rules import StorageRule
from assistant.kinds.crossed import listed
from assistant.kinds.plural import agree, is_plural
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.kinds.storage.ahead import ahead
from assistant.kinds.storage.days import Days, days, long_day, short_day
from assistant.kinds.storage.how import (
    asks_both,
    freezer_note,
    how_frozen,
    how_kept,
    must_chill,
    of_whole,
)
from assistant.kinds.storage.sidebyside import two_dishes
from assistant.kinds.storage.subject import Subject, subject
from assistant.kinds.unknown import unknown
from assistant.kitchen.keeping import Kept, keeps, over
from assistant.measure.span import show_span
from assistant.question.reading import Reading

_FREEZES = {
    "well": ("freezes well", "freeze well"),
    "fairly": ("can be frozen, with some loss", "can be frozen, with some loss"),
    "poorly": ("does not freeze well", "do not freeze well"),
}
LONGEST = 120


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """By the dish's own storage rule, or the food's; with a day, the last day to eat it."""
    both = two_dishes(reading, shelf)
    if both is not None:
        return both
    prepared = ahead(reading, shelf)
    if prepared is not None:
        return prepared
    found = subject(reading, shelf)
    if found is None:
        return _no_subject(reading, shelf)
    found = of_whole(reading, found, shelf)
    part = shelf.says(reading, "uncooked-part-words")
    if part and found.recipe is not None:
        return _uncooked(reading, found, shelf)
    rule = found.rule
    sources = [*found.sources, record_source(rule), reference_source(shelf, rule.source)]
    sources += [reference_source(shelf, other.source) for other in rule.also]
    named = days(reading, shelf.corpus)
    frozen = _asks_freezer(reading, found, shelf) and not named.pauses
    also = frozen and named.age is None and asks_both(reading, shelf)
    if also and found.rule.fridge and named.start is None:
        return _plain(reading, found, sources, shelf)
    late = frozen and _is_late(reading, found, named, shelf)
    if frozen and not late and named.frozen_since is None and not (named.start and named.on):
        return _freezer(reading, found, named, sources, shelf)
    if not rule.fridge:
        return _no_fridge(reading, found, sources, shelf)
    if (named.age or named.start) and _has_printed_date(reading, shelf):
        kept = f"{capital(found.name)}: {rule.fridge} in the refrigerator, counted otherwise."
        told = "I have no figure for food that is past its printed date."
        return unknown(reading, shelf, told, (kept, *_remarks(found, shelf)))
    if named.start is not None:
        return _dated(reading, found, named, sources, shelf)
    if named.age is not None:
        return _aged(reading, found, named, sources, shelf)
    return _plain(reading, found, sources, shelf)


def _is_late(reading: Reading, found: Subject, named: Days, shelf: Shelf) -> bool:
    """Whether what is to be frozen is past its days in the refrigerator: freezing mends nothing."""
    if named.start is None or named.on is not None or not found.rule.fridge:
        return False
    fresh = reading.has("freeze") and not shelf.says(reading, "frozen-words")
    return fresh and keeps(found.rule.fridge, named.start, reading.today).state == "past"


def _has_printed_date(reading: Reading, shelf: Shelf) -> bool:
    """Whether the days are those since the date on the pack, not since it was bought or opened."""
    pairs = {" ".join(pair) for pair in pairwise(reading.words)}
    named = shelf.says(reading, "printed-date-words") or pairs & listed(shelf, "printed-date-pairs")
    return bool(named) and not shelf.says(reading, "kept-since-words")


def _uncooked(reading: Reading, found: Subject, shelf: Shelf) -> Answer:
    """ "The pancake batter": the recipe's figure is for the cooked dish."""
    named = next(w for w in reading.words if w in listed(shelf, "uncooked-part-words"))
    name = capital(found.name)
    kept = f"{name}, cooked: {found.rule.fridge} in the refrigerator." if found.rule.fridge else ""
    headline = f"I have no storage figure for the {named}, only for the finished dish."
    return unknown(reading, shelf, headline, (kept,) if kept else ())


def _asks_freezer(reading: Reading, found: Subject, shelf: Shelf) -> bool:
    """Whether the freezer is asked about; the "frozen" of "frozen sausage" is its name."""
    own = set(found.name.split())
    if reading.all("date") and shelf.says(reading, "rule-not-frozen"):
        return False
    # "I took it out of the freezer": now it is in the refrigerator.
    if shelf.says(reading, "rule-taken-from-freezer") and reading.has("out", "from"):
        return False
    places = [m for m in reading.all("place") if m.id == "freezer"]
    return any(not set(m.text.split()) <= own for m in places)


def _no_subject(reading: Reading, shelf: Shelf) -> Answer:
    general = shelf.corpus.storage.get("leftovers")
    if reading.outside and general is not None:
        return unknown(
            reading,
            shelf,
            f"I have no storage figure for {' '.join(reading.outside[:3])}.",
            (f"General rule, if it is a cooked dish: {general.fridge} in the refrigerator, "
             f"{general.freezer} in the freezer for best quality. When in doubt, throw it out.",),
        )  # fmt: skip
    return make(
        reading,
        "asks",
        "How long does what keep? Name the dish or the food.",
        lines=('For example: "how long does the turkey chili keep?"',),
    )


def _no_fridge(reading: Reading, found: Subject, sources: list[Source], shelf: Shelf) -> Answer:
    rule = found.rule
    if not rule.pantry:
        first, _, rest = rule.note.partition(". ")
        headline = f"{capital(found.name)}: {first[:1].lower()}{first[1:].rstrip('.')}."
        lines = [rest if line == rule.note else line for line in _remarks(found, shelf)]
        return make(reading, "quoted", headline, (), [line for line in lines if line], sources)
    figure = _figure("in the pantry", rule.pantry, rule)
    headline = (
        must_chill(reading, found, shelf)
        or how_kept(reading, found, shelf)
        or f"{capital(found.name)}: {rule.pantry} in the pantry."
    )
    return make(reading, "quoted", headline, (figure,), _remarks(found, shelf), sources)


def _plain(reading: Reading, found: Subject, sources: list[Source], shelf: Shelf) -> Answer:
    rule = found.rule
    figures = [_figure("in the refrigerator", rule.fridge, rule)]
    headline = f"{capital(found.name)}: {rule.fridge} in the refrigerator"
    if rule.freezer:
        headline += f", {rule.freezer} in the freezer for best quality"
        figures.append(_figure("in the freezer, for quality", rule.freezer, rule))
    told = freezer_note(rule) if "freezer" in reading.ids("place") and not rule.freezer else ""
    with_note = f"{headline}. {told}"
    headline = with_note if told and len(with_note) <= LONGEST else f"{headline}."
    aloud = must_chill(reading, found, shelf) or how_kept(reading, found, shelf)
    lines = [headline, *_remarks(found, shelf)] if aloud else _remarks(found, shelf)
    lines = [line for line in lines if line.rstrip(".") != aloud.rstrip(".")]
    if rule.state == "cooked":
        last = keeps(rule.fridge, reading.today, reading.today).last
        lines.append(
            f"Made today (day 0), the last day to eat it is {long_day(last, reading.today)}."
        )
    return make(reading, "quoted", _fit(aloud or headline, found, "plain"), figures, lines, sources)


def _aged(
    reading: Reading, found: Subject, named: Days, sources: list[Source], shelf: Shelf
) -> Answer:
    """ "Can I keep it for a week?": the stretch against the rule."""
    rule, age = found.rule, named.age
    if age is None:
        return _plain(reading, found, sources, shelf)
    shown, keep = show_span(age), agree(found.name, "keeps", "keep")
    figure = _figure("in the refrigerator", rule.fridge, rule)
    if over(age, rule.fridge):
        headline = f"No: {shown} is over the {rule.fridge} that {found.name} {keep} refrigerated."
        lines = ["Freeze what will not be eaten in time, on the first day for the best quality."]
    else:
        headline = (
            f"Yes: {shown} is within the {rule.fridge} that {found.name} {keep} refrigerated."
        )
        lines = []
    return make(reading, "computed", _fit(headline, found, "computed"), (figure,),
                [*lines, *_remarks(found, shelf)], sources)  # fmt: skip


def _dated(
    reading: Reading, found: Subject, named: Days, sources: list[Source], shelf: Shelf
) -> Answer:
    rule, start, today = found.rule, named.start or reading.today, reading.today
    cooked = found.recipe is not None
    on = named.on or max(today, start)
    pauses = named.pauses
    if named.frozen_since is not None:
        return _still_frozen(reading, found, named, sources, shelf)
    kept = keeps(rule.fridge, start, on, pauses)
    day = partial(long_day, today=today)
    verb = "made" if cooked else _verb(rule)
    if rule.state == "raw" and shelf.says(reading, "thawed-words"):
        verb = "thawed"
    working = [
        f"{verb} on {day(start)} (day 0)",
        f"{rule.title}: {rule.fridge} in the refrigerator ({rule.where})",
        *(f"in the freezer {day(a)} to {day(b)}: those days do not count" for a, b in pauses),
        f"{day(start)} + {rule.fridge} = {day(kept.plan)} to {day(kept.last)}",
    ]
    figures = (
        Figure(name="last day to eat it, from the refrigerator", value=None, unit="date",
               shown=day(kept.last), exact=kept.last.isoformat(), working=tuple(working)),
        Figure(name="days left", value=Fraction((kept.last - today).days), unit="days",
               shown=str((kept.last - today).days),
               working=(f"{day(kept.last)} − today ({day(today)})",)),
    )  # fmt: skip
    lines = [
        *named.said,
        _left(kept, rule, today),
        f"The day it was {verb} is day 0; {day(kept.plan)} is the day to plan by.",
        *_remarks(found, shelf),
    ]
    asks_day = named.on is None and kept.state != "past" and shelf.says(reading, "until-words")
    headline = _until(kept, found, verb, today) if asks_day else _verdict(kept, found, verb, today)
    return make(reading, "computed", headline, figures, lines, sources)


def _verb(rule: StorageRule) -> str:
    return {"raw": "bought", "opened": "opened", "fresh": "bought", "unopened": "bought",
            "dry": "bought"}.get(rule.state, "made")  # fmt: skip


def _until(kept: Kept, found: Subject, verb: str, today: datetime.date) -> str:
    """ "Until when?" has a day for an answer, not a yes."""
    day = partial(short_day, today=today)
    said = f"By {day(kept.last)} at the latest: {found.name}, {verb} {day(kept.start)}; plan for"
    return _fit(f"{said} {day(kept.plan)}.", found, "dated")


def _verdict(kept: Kept, found: Subject, verb: str, today: datetime.date) -> str:
    day = partial(short_day, today=today)
    on, start, last = (
        day(kept.on),
        day(kept.start),
        day(kept.last),
    )
    if kept.state == "fine" and kept.on <= kept.plan:
        keep = agree(found.name, "keeps", "keep")
        said = f"Yes: {found.name}, {verb} {start}, {keep} to {last}; {on} is within it."
    elif kept.state in {"fine", "last day"}:
        said = f"Just: {on} is at the end for {found.name}, {verb} {start}; the last day is {last}."
    elif kept.last < today:
        said = f"No: {found.name}, {verb} {start}, was to be eaten by {last}; throw it out."
    else:
        said = f"No: {on} is too late for {found.name}, {verb} {start}; the last day is {last}."
    return _fit(said, found, "dated")


def _fit(headline: str, found: Subject, how: str) -> str:
    """The headline with a shorter name where it would be too long to read aloud."""
    if len(headline) <= LONGEST:
        return headline
    return headline.replace(found.name, "it", 1) if how else headline


def _left(kept: Kept, rule: StorageRule, today: datetime.date) -> str:
    left = (kept.last - today).days
    days_ = f"{abs(left)} day{'' if abs(left) == 1 else 's'}"
    if left < 0:
        return f"That was {days_} ago. Freezing it now does not make it good again."
    freeze = (
        f" Freezing it today stops the clock and keeps it {rule.freezer} at its best."
        if rule.freezer and rule.state in {"cooked", "raw", "opened"}
        else ""
    )
    if left == 0:
        return f"Today is the last day.{freeze}"
    return f"From today, {long_day(today, today)}, that leaves {days_}.{freeze}"


def _still_frozen(
    reading: Reading, found: Subject, named: Days, sources: list[Source], shelf: Shelf
) -> Answer:
    """Frozen part of the way through its days: what is left of them once it is thawed."""
    rule, start, froze = found.rule, named.start, named.frozen_since
    today = reading.today
    if start is None or froze is None:
        return _freezer(reading, found, named, sources, shelf)
    kept = keeps(rule.fridge, start, froze)
    used = (froze - start).days
    figure = Figure(
        name="days left after thawing",
        value=Fraction(kept.left),
        unit="days",
        shown=str(max(kept.left, 0)),
        working=(
            f"{long_day(start, today)} to {long_day(froze, today)}: {used} of {rule.fridge} used",
            f"{rule.title} ({rule.where})",
        ),
    )
    if kept.left < 0:
        headline = f"No: {found.name} was already past its {rule.fridge} when it was frozen."
    else:
        s = "" if kept.left == 1 else "s"
        headline = (
            f"{capital(found.name)}: {kept.left} day{s} left once it is thawed, refrigerated."
        )
    lines = [
        "Freezing stops the count of days and does not set it back.",
        *([f"In the freezer: {rule.freezer} for best quality."] if rule.freezer else []),
        *_remarks(found, shelf),
    ]
    sources = [*sources, reference_source(shelf, "date-marking-freezing")]
    return make(reading, "computed", _fit(headline, found, "frozen"), (figure,), lines, sources)


def _freezer(
    reading: Reading, found: Subject, named: Days, sources: list[Source], shelf: Shelf
) -> Answer:
    rule, recipe, name = found.rule, found.recipe, found.name
    sources = [*sources, reference_source(shelf, "cold-storage-chart")]
    lines = ["Food kept frozen at 0 °F (−18 °C) stays safe; the months are for quality."]
    if named.start is not None and rule.fridge:
        last = short_day(keeps(rule.fridge, named.start, reading.today).last, reading.today)
        verb = "made" if recipe is not None else _verb(rule)
        since = short_day(named.start, reading.today)
        lines.insert(0, f"{capital(verb)} {since}: freeze it by {last}, the sooner the better.")
    figures = (_figure("in the freezer, for quality", rule.freezer, rule),) if rule.freezer else ()
    age = named.age
    if age is not None and rule.freezer:
        shown = show_span(age)
        past = over(age, rule.freezer)
        best = f"{name} {agree(name, 'is at its', 'are at their')} best"
        headline = (
            f"Safe if kept at 0 °F, but past its best: {best} for {rule.freezer}."
            if past
            else f"Yes: {shown} is within the {rule.freezer} that {best} frozen."
        )
        headline = _fit(headline, found, "freezer")
        lines += [*named.said, f"Asked about: {shown} in the freezer.", *_remarks(found, shelf)]
        return make(reading, "computed", headline, figures, lines, sources)
    if recipe is not None:
        head = f"{capital(name)} {_FREEZES[recipe.storage.freezes][is_plural(name)]}"
        best = "at most" if recipe.storage.freezes == "poorly" else "for best quality"
        shown = f"at most {rule.freezer}" if best == "at most" else f"{rule.freezer} {best}"
        headline = f"{head}: {shown}." if rule.freezer else f"{head}."
        aloud = how_frozen(reading, found, shelf) or _raw_or_cooked(
            reading, headline, recipe, shelf
        )
        lines = [headline, *lines] if aloud else lines
        headline = aloud or headline
    elif rule.freezer:
        headline = f"{capital(name)}: {rule.freezer} in the freezer for best quality."
    elif _says_nothing_frozen(rule, name):
        return unknown(reading, shelf, f"I have no freezer figure for {name}.", (rule.note,))
    else:
        told = freezer_note(rule)
        headline = f"{capital(name)}: no freezer figure; see the note."
        aloud = f"{capital(name)}: {told[:1].lower()}{told[1:]}"
        headline = aloud if told and len(aloud) <= LONGEST else headline
    return make(reading, "quoted", headline, figures, [*lines, *_remarks(found, shelf)], sources)


def _raw_or_cooked(reading: Reading, headline: str, recipe: Recipe, shelf: Shelf) -> str:
    """ "Do I freeze them raw or cooked?": both figures, the raw one by the meat of the recipe."""
    if not {"raw", "cooked"} <= set(reading.ids("state")):
        return ""
    for line in recipe.lines:
        item = shelf.item(line.item)
        rule = shelf.corpus.storage.get(item.storage) if item is not None else None
        if item is not None and rule is not None and rule.state == "raw" and rule.freezer:
            raw = f"raw, as {item.name}: {rule.freezer}"
            told = f"Cooked, {headline[:1].lower()}{headline[1:].rstrip('.')}; {raw}."
            return told if len(told) <= LONGEST else f"{told.replace(' for best quality', '')}"
    return ""


def _says_nothing_frozen(rule: StorageRule, name: str) -> bool:
    """Whether a rule's note has no word on freezing; a dry good's must name it, since its rule is
    for many."""
    note = rule.note.lower()
    about = bool(rule.fridge) or name.lower().split()[-1] in note
    return not about or ("freez" not in note and "frozen" not in note)


def _figure(name: str, shown: str, rule: StorageRule) -> Figure:
    unit = shown.rsplit(" ", 1)[-1]
    working = (f"storage rule {rule.title} ({rule.where})",)
    return Figure(name=name, value=None, unit=unit, shown=shown, exact=shown, working=working)


def _remarks(found: Subject, shelf: Shelf) -> list[str]:
    rule, recipe = found.rule, found.recipe
    lines = [found.why] if found.why else []
    for name, other in found.others:
        kept = other.fridge or other.pantry or other.freezer
        lines.append(f"{capital(name)}: {kept}; the shortest-lived of them sets the date.")
    if recipe is not None and recipe.storage.note:
        lines.append(recipe.storage.note)
    if rule.note:
        lines.append(rule.note)
    for other_ in rule.also:
        figures = [
            f"{value} {where}"
            for value, where in (
                (other_.fridge, "in the refrigerator"),
                (other_.freezer, "in the freezer"),
            )
            if value
        ]
        title = reference_source(shelf, other_.source).title
        told = f"{' and '.join(figures)} for {other_.whom}" if figures else other_.whom
        lines.append(f"Another source: {told} ({title}).")
    return lines
