"""How long something lasted, by what a message says: "since 8 last night", "from 11 to 4"."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

import msgspec

from assistant.corpus.records import WordList
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import read_number
from assistant.measure.span import SPELLINGS

_HOURS_IN = {"hour": 1.0, "day": 24.0, "week": 168.0}
_LISTS = ("stretch-counted", "stretch-clock", "stretch-parts", "stretch-long", "stretch-vague",
          "stretch-named", "weekdays")  # fmt: skip
_HALF_DAY = 12.0
_PAST = {("was",), ("last",), ("since",), ("from",), ("after",)}


class Spoken(msgspec.Struct, frozen=True):
    """The words of the corpus by which people say how long: see the lists `stretch-…`."""

    counted: frozenset[str]
    clock: frozenset[str]
    parts: frozenset[str]
    long: frozenset[tuple[str, ...]]
    vague: dict[str, float]
    named: dict[str, float]
    weekdays: frozenset[str]


def spoken(lists: Mapping[str, WordList]) -> Spoken:
    """The corpus's words for stretches of time, arranged; a list that is missing is empty."""
    return _arranged(*(lists[name].words if name in lists else () for name in _LISTS))


@lru_cache(maxsize=8)
def _arranged(*words: tuple[str, ...]) -> Spoken:
    counted, clock, parts, long, vague, named, weekdays = words
    return Spoken(
        frozenset(counted),
        frozenset(clock),
        frozenset(parts),
        frozenset(tuple(text.split()) for text in long),
        dict(_valued(vague)),
        dict(_valued(named)),
        frozenset(weekdays),
    )


def _valued(rows: Sequence[str]) -> Iterator[tuple[str, float]]:
    """ "few 3": a word and what it stands for."""
    for row in rows:
        word, _, value = row.rpartition(" ")
        yield word, float(value)


def longest(words: Sequence[str], say: Spoken) -> float:
    """The longest stretch that the words of a message speak of, in hours; 0.0 for none.

    Parameters: the words, folded ("8", "am", "9:30", "since"), and the words of the corpus for
    stretches. Read are numbers of hours, days and
    weeks, in digits or words; whole stretches ("overnight", "all day", "since Monday"); and two
    times of day, from the first to the later one, on a dial of twelve hours unless both say
    morning or afternoon. A stretch without a number counts as the shortest it can well be.
    """
    words = tuple(words)
    return max((0.0, *_counted(words, say), *_whole(words, say), *_between(words, say)))


@lru_cache(maxsize=512)
def _plain_number(word: str) -> float | None:
    if ":" in word or "/" in word:
        return None
    try:
        return float(read_number(word))
    except MeasureError:
        return None


def _number(word: str, say: Spoken) -> float | None:
    if word in {"a", "an", "half", "quarter"}:
        return None
    return say.vague.get(word, _plain_number(word))


def _each(word: str) -> float | None:
    """The hours in one of a unit of time: hours, days, nights, weeks."""
    if word.removesuffix("s") == "night":
        return _HALF_DAY
    return _HOURS_IN.get(SPELLINGS.get(word, ""))


def _counted(words: Sequence[str], say: Spoken) -> Iterator[float]:
    """Numbers of hours, days and weeks; "two or three hours" is three."""
    for at, word in enumerate(words):
        each = _each(word)
        if each is None or at == 0:
            continue
        before = words[at - 1]
        back = (
            at - 2 if before in {"of", "full", "whole", "long", "plus", "more", "good"} else at - 1
        )
        number = _number(words[back], say) if back >= 0 else None
        if number is not None and not (word == "h" and words[max(0, back - 1)] in {"at", "since"}):
            half = back + 2 < len(words) and words[back + 2] == "and"
            yield (number + 0.5 if half and "half" in words[back + 2 : back + 5] else number) * each
        elif before == "a" and each > 1 and words[at + 1 : at + 2] == ("and",):
            yield each
        elif word == "hour" and words[at + 1 : at + 2] == ("or",) and at + 2 < len(words):
            yield _number(words[at + 2], say) or 0.0
        elif before == "half" and back >= 3 and words[back - 1] == "a":
            yield (_number(words[back - 3], say) or 0.0) + 0.5
        elif word in {"hours", "hrs", "days", "weeks", "nights"}:
            yield 3.0 * each


def _whole(words: Sequence[str], say: Spoken) -> Iterator[float]:
    """Whole stretches: "overnight", "all afternoon", "since Monday", two different weekdays."""
    named = {word.removesuffix("s") for word in words} & say.weekdays
    if len(named) > 1 or (named and {"today", "tonight"} & set(words)):
        yield 24.0
    for at, word in enumerate(words):
        past = word.removesuffix("s") in say.weekdays and words[at - 1 : at] in _PAST
        if past and {"this", "now", "today", "tonight", "just"} & set(words[at:]):
            yield 24.0
    for at, word in enumerate(words):
        if (word,) in say.long or (at and (words[at - 1], word) in say.long):
            yield 8.0
        if word in {"since", "from"}:
            for near in words[at + 1 : at + 5]:
                if near in say.parts:
                    yield 4.0
            following = words[at + 1 : at + 3]
            times = [
                w for w in following if _clock(words, at + 1 + following.index(w), say) is not None
            ]
            if word == "since" and times:
                yield 3.0


def _clock(words: Sequence[str], at: int, say: Spoken) -> tuple[float, str] | None:
    """The time of day at a word, in hours, and "am", "pm" or "" where neither is said."""
    word = words[at]
    after = words[at + 1] if at + 1 < len(words) else ""
    if word == "lunch" and not {"after", "since", "from"} & set(words[max(0, at - 2) : at]):
        return None
    if word in say.named:
        return say.named[word], "pm" if say.named[word] == _HALF_DAY else "am"
    half = 0.5 if at > 1 and words[at - 2 : at] == ("half", "past") else 0.0
    hours, colon, minutes = word.partition(":")
    if colon and hours.isdigit() and minutes.isdigit():
        value = int(hours) + int(minutes) / 60
        sure = True
    else:
        number = _number(word, say)
        if number is None or number != int(number):
            return None
        value = number + half
        sure = after in {"am", "pm", "oclock", "h"}
        before = words[at - 1] if at else ""
        if not sure and (before not in say.clock or _each(after)):
            return None
        if after in say.counted:
            return None
    if not 0 <= value < 24 or (not sure and value > _HALF_DAY + 1):
        return None
    half_of_day = after if after in {"am", "pm"} else ""
    if value > _HALF_DAY + 1:
        return value - _HALF_DAY, "pm"
    if after == "this" and at + 2 < len(words) and words[at + 2] == "morning":
        half_of_day = "am"
    return value, half_of_day


def _between(words: Sequence[str], say: Spoken) -> Iterator[float]:
    """From each time of day to the next one that is named."""
    times = [time for at in range(len(words)) if (time := _clock(words, at, say)) is not None]
    for (first, half), (then, later) in itertools.pairwise(times):
        if half and later:
            start = first % 12 + (12 if half == "pm" else 0)
            end = then % 12 + (12 if later == "pm" else 0)
            yield (end - start) % 24
        else:
            yield (then - first) % 12
