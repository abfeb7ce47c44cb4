"""What was understood of a question: the kind, and everything named in it with its words."""

from __future__ import annotations

import datetime
from fractions import Fraction
from typing import Any, Literal

import msgspec

from assistant.kitchen.clock import Progress
from assistant.measure.amount import Amount
from assistant.measure.span import Span

MentionType = Literal[
    "recipe", "ingredient", "nutrient", "diet", "place", "state", "method", "share", "tool",
    "occasion", "amount", "number", "servings", "duration", "date", "clock", "temperature", "unit",
]  # fmt: skip


class Day(msgspec.Struct, frozen=True):
    """A day as it was named: a fixed date, a weekday, a day of the month, or a month.

    `weekday` counts from Monday = 0, `month` from January = 1; `week` is -1 for "last", 1 for
    "next", 0 for neither.
    """

    date: datetime.date | None = None
    weekday: int | None = None
    week: int = 0
    month_day: int | None = None
    month: int | None = None


class Mention(msgspec.Struct, frozen=True):
    """One thing named in the question: tokens `start` to `end` (exclusive), as `text` there.

    `id` is a record's id where it names one; `value` is what was read where it is a quantity.
    `corrected` says that the spelling was mended.
    """

    type: MentionType
    id: str
    text: str
    start: int
    end: int
    value: Amount | Span | Day | Fraction | str | None = None
    corrected: bool = False


class Matched(msgspec.Struct, frozen=True):
    """A cue that matched: its kind, its pattern, its weight and the words it took."""

    kind: str
    cue: str
    weight: float
    words: str


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """A question, understood. `assumed` is what was filled in, each as one line to print.

    `outside` are the words that name something neither the corpus nor its word lists know.
    """

    text: str
    words: tuple[str, ...]
    kind: str
    recipe: str = ""
    mentions: tuple[Mention, ...] = ()
    servings: Fraction | None = None
    factor: Fraction | None = None
    matched: tuple[Matched, ...] = ()
    scores: tuple[tuple[str, float], ...] = ()
    assumed: tuple[str, ...] = ()
    today: datetime.date
    rivals: tuple[str, ...] = ()
    progress: Progress | None = None
    outside: tuple[str, ...] = ()

    def all(self, kind: MentionType) -> tuple[Mention, ...]:
        """The mentions of one type, in the order of the words."""
        return tuple(m for m in self.mentions if m.type == kind)

    def ids(self, kind: MentionType) -> tuple[str, ...]:
        """The ids of the mentions of one type, each once."""
        return tuple(dict.fromkeys(m.id for m in self.all(kind)))

    @property
    def foods(self) -> tuple[str, ...]:
        """The ingredients named apart from the recipe: the salmon of "sheet-pan salmon" is not."""
        covered = {place for m in self.all("recipe") for place in range(m.start, m.end)}
        apart = (m for m in self.all("ingredient") if not covered & set(range(m.start, m.end)))
        return tuple(dict.fromkeys(m.id for m in apart))

    def has(self, *texts: str) -> bool:
        """Whether one of the words stands in the question."""
        return any(text in self.words for text in texts)


def to_object(reading: Reading) -> dict[str, Any]:
    """The reading as it stands in the machine-readable answer."""
    made: dict[str, Any] = {"recipe": reading.recipe or None}
    for group, name in (
        ("ingredient", "ingredients"), ("nutrient", "nutrients"), ("diet", "diets"),
        ("place", "places"), ("state", "states"), ("method", "methods"), ("tool", "tools"),
    ):  # fmt: skip
        made[name] = list(reading.ids(group))  # type: ignore[arg-type]
    made["servings"] = _number(reading.servings)
    made["factor"] = _number(reading.factor)
    for group, name in (
        ("amount", "amounts"), ("duration", "durations"), ("date", "dates"),
        ("temperature", "temperatures"),
    ):  # fmt: skip
        made[name] = [m.text for m in reading.all(group)]  # type: ignore[arg-type]
    made["words"] = [
        {"type": m.type, "id": m.id, "text": m.text, "corrected": m.corrected}
        for m in reading.mentions
    ]
    made["assumed"] = list(reading.assumed)
    return made


def _number(value: Fraction | None) -> int | float | None:
    if value is None:
        return None
    return value.numerator if value.denominator == 1 else float(value)
