"""How long a dish or a food keeps, and until which date."""

from __future__ import annotations

import datetime

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Recipe, StorageRule
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.kinds.unknown import unknown
from assistant.kitchen.keeping import Kept, keeps
from assistant.question.quantities import resolve
from assistant.question.reading import Day, Reading


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """By the recipe's own storage rule, or the ingredient's; with a date, the last day to eat it."""
    rule, name, owner = _subject(reading, shelf)
    if rule is None:
        if not reading.foods and not reading.recipe:
            return make(
                reading,
                "asks",
                "How long does what keep? Name the dish or the food.",
                lines=('For example: "how long does the turkey chili keep?"',),
            )
        return unknown(reading, shelf, f"I have no storage figure for {name}." if name else "")
    sources = [record_source(rule), reference_source(shelf, rule.source)]
    if owner is not None:
        sources.insert(0, owner)
    recipe = shelf.recipe(reading) if not reading.foods else None
    if "freezer" in reading.ids("place"):
        return _freezer(reading, rule, name, recipe, sources, shelf)
    if not rule.fridge:
        where = rule.pantry or "no figure"
        return make(
            reading,
            "quoted",
            f"{capital(name)}: {where} in the pantry."
            if rule.pantry
            else f"{capital(name)}: {rule.note}",
            lines=(rule.note,) if rule.pantry and rule.note else (),
            sources=sources,
        )
    dates = _dates(reading)
    if dates is None:
        return _plain(reading, rule, name, recipe, sources, shelf)
    return _dated(reading, rule, name, recipe, dates, sources, shelf)


def _subject(reading: Reading, shelf: Shelf) -> tuple[StorageRule | None, str, Source | None]:
    """The storage rule in play, what it is about, and the record that names it."""
    for ident in reading.foods:
        item = shelf.item(ident)
        if item is not None and not reading.all("recipe"):
            rule = shelf.corpus.storage.get(item.storage)
            return rule, item.name, record_source(item)
    recipe = shelf.recipe(reading)
    if recipe is None:
        return None, "", None
    rule = shelf.corpus.storage.get(recipe.storage.rule)
    return rule, f"the {recipe.title.lower()}", record_source(recipe)


def _dates(reading: Reading) -> tuple[datetime.date, datetime.date, str] | None:
    """The day it was made, the day asked about, and how the day words were taken."""
    days = [m for m in reading.all("date") if isinstance(m.value, Day)]
    if not days:
        return None
    today = reading.today
    first = days[0].value
    if not isinstance(first, Day):
        return None
    if len(days) == 1 and _is_question_day(reading, days[0].start):
        return None
    start = resolve(first, today, future=False)
    on = today
    if len(days) > 1 and isinstance(days[1].value, Day):
        on = resolve(days[1].value, max(start, min(today, start)), future=True)
    return start, on, ""


def _is_question_day(reading: Reading, at: int) -> bool:
    """Whether a lone day is the day of eating ("ok on Saturday?"), not the day of cooking."""
    before = reading.words[max(0, at - 3) : at]
    return any(word in {"until", "by", "till", "through"} for word in before)


def _plain(
    reading: Reading,
    rule: StorageRule,
    name: str,
    recipe: Recipe | None,
    sources: list[Source],
    shelf: Shelf,
) -> Answer:
    figures = [
        Figure(
            name="in the refrigerator",
            value=None,
            unit="days",
            shown=rule.fridge,
            working=(f"storage rule {rule.title} ({rule.where})",),
        )
    ]
    headline = f"{capital(name)}: {rule.fridge} in the refrigerator"
    if rule.freezer:
        headline += f", {rule.freezer} in the freezer for best quality"
        figures.append(
            Figure(
                name="in the freezer, for quality",
                value=None,
                unit="months",
                shown=rule.freezer,
                working=(f"storage rule {rule.title} ({rule.where})",),
            )
        )
    return make(reading, "quoted", headline + ".", figures, _remarks(rule, recipe, shelf), sources)


def _dated(
    reading: Reading,
    rule: StorageRule,
    name: str,
    recipe: Recipe | None,
    dates: tuple[datetime.date, datetime.date, str],
    sources: list[Source],
    shelf: Shelf,
) -> Answer:
    start, on, _ = dates
    kept = keeps(rule.fridge, start, on)
    figure = Figure(
        name="last day to eat it, from the refrigerator",
        value=None,
        unit="date",
        shown=_day(kept.last),
        exact=kept.last.isoformat(),
        working=(
            f"made on {_day(start)} (day 0)",
            f"{rule.title}: {rule.fridge} in the refrigerator ({rule.where})",
            f"{_day(start)} + {rule.fridge} = {_day(kept.plan)} to {_day(kept.last)}",
        ),
    )
    lines = [_left(kept, reading.today), *_remarks(rule, recipe, shelf)]
    return make(reading, "computed", _verdict(kept, name), (figure,), lines, sources)


def _verdict(kept: Kept, name: str) -> str:
    on = _day(kept.on)
    if kept.state == "fine" and kept.on <= kept.plan:
        return f"Yes: {name} made {_day(kept.start)} keeps to {_day(kept.last)}; {on} is within it."
    if kept.state in {"fine", "last day"}:
        return f"Just: {on} is at the end of what {name} keeps; {_day(kept.last)} is the last day."
    return f"No: {name} made {_day(kept.start)} was to be eaten by {_day(kept.last)}; throw it out on {on}."


def _left(kept: Kept, today: datetime.date) -> str:
    left = (kept.last - today).days
    if left < 0:
        return f"That was {-left} day{'s' if left != -1 else ''} ago."
    if left == 0:
        return "Today is the last day."
    freeze = " Freezing today stops the clock." if left > 0 else ""
    return f"From today ({_day(today)}) that leaves {left} day{'s' if left != 1 else ''}.{freeze}"


def _freezer(
    reading: Reading,
    rule: StorageRule,
    name: str,
    recipe: Recipe | None,
    sources: list[Source],
    shelf: Shelf,
) -> Answer:
    if recipe is not None:
        how = {
            "well": "freezes well",
            "fairly": "can be frozen, with some loss",
            "poorly": "does not freeze well",
        }
        head = f"{capital(name)} {how[recipe.storage.freezes]}"
        headline = f"{head}: {rule.freezer} for best quality." if rule.freezer else f"{head}."
    elif rule.freezer:
        headline = f"{capital(name)}: {rule.freezer} in the freezer for best quality."
    else:
        headline = f"{capital(name)}: there is no freezer figure. {rule.note}".strip()
    figures = (
        [
            Figure(
                name="in the freezer, for quality",
                value=None,
                unit="months",
                shown=rule.freezer,
                working=(f"storage rule {rule.title} ({rule.where})",),
            )
        ]
        if rule.freezer
        else []
    )
    lines = ["Food kept frozen at 0 °F (−18 °C) stays safe; the months are for quality."]
    return make(
        reading,
        "quoted",
        headline,
        figures,
        [*lines, *_remarks(rule, recipe, shelf)],
        [*sources, reference_source(shelf, "cold-storage-chart")],
    )


def _remarks(rule: StorageRule, recipe: Recipe | None, shelf: Shelf) -> list[str]:
    lines = []
    if recipe is not None and recipe.storage.note:
        lines.append(recipe.storage.note)
    if rule.note:
        lines.append(rule.note)
    for other in rule.also:
        figure = other.fridge or other.freezer
        title = reference_source(shelf, other.source).title
        lines.append(f"Another source gives {figure} ({other.whom}): {title}.")
    return lines


def _day(date: datetime.date) -> str:
    return f"{date:%A}, {date:%b} {date.day}"
