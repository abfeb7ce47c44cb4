"""Words for days, months and times of day, and the words that tell what a number is.

Fields are those of vocabulary/times.yaml and vocabulary/quantities.yaml.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from assistant.corpus.records import Record

# The lists of quantities.yaml; the program asks for each by this name.
LISTS = (
    "about", "after-verb", "ago", "at-table", "before-clock", "before-date", "before-last",
    "before-month", "before-ordinal", "before-unsure-month", "before-weekday", "celsius", "coming",
    "degrees", "fahrenheit", "feeds", "groups", "guests", "heated", "of-recipe", "of-us",
    "ordinal-endings", "timed", "times", "whole",
)  # fmt: skip
_RANGES = {
    "weekday": (1, 7),
    "month": (1, 12),
    "days": (-7, 7),
    "turn": (-1, 1),
    "minutes": (0, 1439),
    "past": (-59, 59),
}
_WORDS = re.compile(r"[^\W\d_A-Z]+( [^\W\d_A-Z]+){0,2}\Z")


class TimeWord(Record, frozen=True, kw_only=True):
    """Words for one day, month or time of day; one field besides `words` and `unsure` says which.

    `weekday` is 1 for Monday to 7, `month` 1 to 12, `days` days from today, `turn` -1 for last, 0
    for this and 1 for next, `minutes` minutes after midnight, `past` minutes to add to the hour
    named next. `unsure` are everyday words too, which count only beside certain others.
    """

    words: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    weekday: int | None = None
    month: int | None = None
    days: int | None = None
    turn: int | None = None
    minutes: int | None = None
    past: int | None = None

    @property
    def fields(self) -> list[str]:
        """The fields that say what the words mean; one, where the record is sound."""
        return [name for name in _RANGES if getattr(self, name) is not None]


class QuantityList(Record, frozen=True, kw_only=True):
    """Words beside a number, a day or a month that say what it is; the id is one of LISTS."""

    about: str
    words: tuple[str, ...]


Fault = tuple[Record, tuple[str | int, ...], str]


def faults(times: Iterable[TimeWord], lists: Iterable[QuantityList]) -> Iterator[Fault]:
    """What is wrong with words for times: the record, the field, and a message for its author."""
    owners: dict[tuple[str, str], str] = {}
    for row in times:
        yield from _meaning(row)
        for field in ("words", "unsure"):
            for i, word in enumerate(getattr(row, field)):
                if not _WORDS.match(word):
                    message = f"{word!r}: write one to three words in small letters, without marks"
                    yield row, (field, i), message
                owner = owners.setdefault((word, " ".join(row.fields)), row.id)
                if owner != row.id or getattr(row, field).index(word) != i:
                    yield row, (field, i), f"{word!r} already stands for {owner!r}; use it once"
    for given in lists:
        if given.id not in LISTS:
            known = ", ".join(LISTS)
            yield given, ("id",), f"the program asks for no list {given.id!r}; it knows {known}"
        for i, word in enumerate(given.words):
            if word != word.lower() or not word.strip() or len(word.split()) > 2:
                message = f"{word!r}: write one or two words in small letters"
                yield given, ("words", i), message


def _meaning(row: TimeWord) -> Iterator[Fault]:
    if len(row.fields) != 1:
        given = " and ".join(row.fields) or "none"
        yield row, (), f"give exactly one of {', '.join(_RANGES)}; there is {given}"
    for field in row.fields:
        low, high = _RANGES[field]
        if not low <= getattr(row, field) <= high:
            yield row, (field,), f"{field} is {getattr(row, field)}; it goes from {low} to {high}"
    if not (row.words or row.unsure):
        yield row, (), "there are no words; add `words: [...]`"
    if row.unsure and not (row.weekday or row.month):
        yield row, ("unsure",), "only words for weekdays and months may be unsure"
    if any(" " in word for word in row.unsure):
        yield row, ("unsure",), "unsure words are single words"
    if any(" " in word for word in row.words) and (
        row.weekday or row.month or row.turn is not None
    ):
        yield row, ("words",), "words for weekdays, months and turns are single words"
