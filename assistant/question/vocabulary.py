"""The corpus's words for times and beside numbers, arranged for looking up word by word."""

from __future__ import annotations

from collections.abc import Collection, Iterable

import msgspec

from assistant.corpus.times import LISTS, QuantityList, TimeWord
from assistant.measure.numbers import STARTERS, WORDS
from assistant.measure.span import SPELLINGS
from assistant.measure.units import UNITS

# The signs of a share ("x3", "3 x"), which are no words.
SIGNS = frozenset({"x"})
HALVES = {"am": 0, "pm": 12}
"""The halves of the day, and the hours that they add to twelve."""


class Vocabulary(msgspec.Struct, frozen=True, kw_only=True):
    """What quantities are read by; `lists` has every list of corpus.times.LISTS.

    The words of one to three that mean a day, a turn and so on stand with their values; `unsure`
    are weekdays and months that are everyday words too. `starts` are the words at which a quantity
    may begin: nothing is tried at any other word. `day_starts` are those of `days`, `counted` the
    words that "a" and "an" count.
    """

    servings: frozenset[str] = frozenset()
    weekdays: dict[str, int] = {}
    months: dict[str, int] = {}
    days: dict[str, int] = {}
    turns: dict[str, int] = {}
    clocks: dict[str, int] = {}
    past: dict[str, int] = {}
    unsure: frozenset[str] = frozenset()
    lists: dict[str, frozenset[str]] = {}
    starts: frozenset[str] = frozenset()
    day_starts: frozenset[str] = frozenset()
    units: frozenset[str] = frozenset()
    counted: frozenset[str] = frozenset()


def arrange(
    times: Iterable[TimeWord], lists: Iterable[QuantityList], servings: Collection[str]
) -> Vocabulary:
    """The vocabulary of a corpus. A list that the corpus does not give is empty."""
    every = list(times)
    given = {one.id: frozenset(one.words) for one in lists}
    full = {name: given.get(name, frozenset[str]()) for name in LISTS}
    measures = {
        spelling.replace(".", " ").replace("-", " ").split()[0].lower()
        for unit in UNITS.values()
        if unit.dimension in {"volume", "weight"}
        for spelling in unit.spellings
    }
    # A measure may be named without a number ("how many grams"), but not by a single letter.
    units = frozenset(word for word in measures if len(word) > 1)
    words = (word for row in every for word in (*row.words, *row.unsure))
    starts = {word.split()[0] for word in words}
    return Vocabulary(
        servings=frozenset(servings),
        weekdays=_valued(every, "weekday"),
        months=_valued(every, "month"),
        days=_valued(every, "days"),
        turns=_valued(every, "turn"),
        clocks=_valued(every, "minutes"),
        past=_valued(every, "past"),
        unsure=frozenset(word for row in every for word in row.unsure),
        lists=full,
        starts=frozenset({*starts, *units, *STARTERS, *SIGNS, *full["times"]}),
        day_starts=frozenset(word.split()[0] for word in _valued(every, "days")),
        units=units,
        counted=frozenset(
            {*measures, *SPELLINGS, *WORDS, *full["whole"], *HALVES}
            | full["degrees"]
            | full["fahrenheit"]
            | full["celsius"]
        ),
    )


def _valued(rows: Iterable[TimeWord], field: str) -> dict[str, int]:
    return {
        word: value
        for row in rows
        if (value := getattr(row, field)) is not None
        for word in (*row.words, *row.unsure)
    }
