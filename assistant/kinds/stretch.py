"""How long something lasted, by what a message says: "since 8 last night", "from 11 to 4"."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

HOURS = {"hour", "hours", "hr", "hrs", "h"}
DAYS = {"day": 24.0, "days": 24.0, "night": 12.0, "nights": 12.0, "week": 168.0, "weeks": 168.0}
# A number before one of these counts something else and is no time of day.
_COUNTED = {
    "minute", "minutes", "min", "mins", "degrees", "degree", "deg", "f", "c", "cups", "cup", "oz",
    "lb", "lbs", "g", "kg", "months", "month", "mo", "years", "year", "people", "of", "servings",
    "kids", "times", "bites", "bite", "slices", "pieces", "bowls", "percent", "floor", "seconds",
}  # fmt: skip
_BEFORE_TIME = {
    "at", "since", "from", "till", "til", "until", "to", "by", "around", "about", "past", "gone",
    "before", "after", "now", "its", "only", "nearly", "almost", "the", "between", "and", "is",
    "serving", "lunch", "dinner",
}  # fmt: skip
_NUMBERS = {
    word: float(number)
    for number, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
            "twenty",
        ]
    )
} | {"couple": 2.0, "few": 3.0, "several": 4.0, "dozen": 12.0, "thirty": 30.0, "forty": 40.0}
_NAMED = {
    "noon": 12.0,
    "midday": 12.0,
    "midnight": 0.0,
    "lunchtime": 12.0,
    "lunch": 12.0,
    "bedtime": 22.0,
}
_PARTS = {
    "morning", "afternoon", "arvo", "evening", "night", "nite", "yesterday", "lunch", "lunchtime",
    "breakfast", "noon", "midday", "midnight", "dinner", "supper", "monday", "tuesday", "wednesday",
    "thursday", "friday", "saturday", "sunday", "dawn",
}  # fmt: skip
_WEEKDAYS = {
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
}  # fmt: skip
_PAST = {("was",), ("last",), ("since",), ("from",), ("after",)}
# Whole stretches, each longer than two hours by itself.
_LONG = {"overnight", "ages", "yesterday", "yesterdays", "weekend", "woke", "slept", "asleep"}
_LONG_PAIRS = {
    ("all", "day"), ("all", "night"), ("all", "nite"), ("all", "morning"), ("all", "afternoon"),
    ("all", "evening"), ("whole", "day"), ("whole", "night"), ("whole", "morning"),
    ("whole", "afternoon"), ("whole", "evening"), ("last", "night"), ("last", "nights"),
    ("last", "evening"), ("the", "night"), ("days", "ago"), ("before", "bed"), ("fell", "asleep"),
    ("other", "day"), ("over", "night"), ("half", "day"), ("for", "hours"), ("many", "hours"),
    ("yesterday", "evening"), ("work", "day"), ("entire", "day"), ("a", "night"),
    ("one", "night"), ("this", "morning"), ("after", "close"),
    ("after", "closing"), ("entire", "afternoon"),
}  # fmt: skip
_SHORT_CLOCK = 12.0


def longest(words: Sequence[str]) -> float:
    """The longest stretch that the words of a message speak of, in hours; 0.0 for none.

    Parameters: the words, folded ("8", "am", "9:30", "since"). Read are numbers of hours, days and
    weeks, in digits or words; whole stretches ("overnight", "all day", "since Monday"); and two
    times of day, from the first to the later one, on a dial of twelve hours unless both say
    morning or afternoon. A stretch without a number counts as the shortest it can well be.
    """
    words = tuple(words)
    return max((0.0, *_counted(words), *_whole(words), *_between(words)))


def _number(word: str) -> float | None:
    if word in _NUMBERS:
        return _NUMBERS[word]
    try:
        return float(word) if ":" not in word and "/" not in word else None
    except ValueError:
        return None


def _counted(words: Sequence[str]) -> Iterator[float]:
    """Numbers of hours, days and weeks; "two or three hours" is three."""
    for at, word in enumerate(words):
        each = 1.0 if word in HOURS else DAYS.get(word)
        if each is None or at == 0:
            continue
        before = words[at - 1]
        back = (
            at - 2 if before in {"of", "full", "whole", "long", "plus", "more", "good"} else at - 1
        )
        number = _number(words[back]) if back >= 0 else None
        if number is not None and not (word == "h" and words[max(0, back - 1)] in {"at", "since"}):
            half = back + 2 < len(words) and words[back + 2] == "and"
            yield (number + 0.5 if half and "half" in words[back + 2 : back + 5] else number) * each
        elif before == "a" and word in DAYS and words[at + 1 : at + 2] == ("and",):
            yield each
        elif word == "hour" and words[at + 1 : at + 2] == ("or",) and at + 2 < len(words):
            yield _number(words[at + 2]) or 0.0
        elif before == "half" and back >= 3 and words[back - 1] == "a":
            yield (_number(words[back - 3]) or 0.0) + 0.5
        elif word in {"hours", "hrs", "days", "weeks", "nights"}:
            yield 3.0 * each


def _whole(words: Sequence[str]) -> Iterator[float]:
    """Whole stretches: "overnight", "all afternoon", "since Monday", two different weekdays."""
    named = {word.removesuffix("s") for word in words} & _WEEKDAYS
    if len(named) > 1 or (named and {"today", "tonight"} & set(words)):
        yield 24.0
    for at, word in enumerate(words):
        past = word.removesuffix("s") in _WEEKDAYS and words[at - 1 : at] in _PAST
        if past and {"this", "now", "today", "tonight", "just"} & set(words[at:]):
            yield 24.0
    for at, word in enumerate(words):
        if word in _LONG or (at and (words[at - 1], word) in _LONG_PAIRS):
            yield 8.0
        if word in {"since", "from"}:
            for near in words[at + 1 : at + 5]:
                if near in _PARTS:
                    yield 4.0
            following = words[at + 1 : at + 3]
            times = [w for w in following if _clock(words, at + 1 + following.index(w)) is not None]
            if word == "since" and times:
                yield 3.0


def _clock(words: Sequence[str], at: int) -> tuple[float, str] | None:
    """The time of day at a word, in hours, and "am", "pm" or "" where neither is said."""
    word = words[at]
    after = words[at + 1] if at + 1 < len(words) else ""
    if word == "lunch" and not {"after", "since", "from"} & set(words[max(0, at - 2) : at]):
        return None
    if word in _NAMED:
        return _NAMED[word], "pm" if _NAMED[word] == _SHORT_CLOCK else "am"
    half = 0.5 if at > 1 and words[at - 2 : at] == ("half", "past") else 0.0
    hours, colon, minutes = word.partition(":")
    if colon and hours.isdigit() and minutes.isdigit():
        value = int(hours) + int(minutes) / 60
        sure = True
    else:
        number = _number(word)
        if number is None or number != int(number):
            return None
        value = number + half
        sure = after in {"am", "pm", "oclock", "h"}
        before = words[at - 1] if at else ""
        if not sure and (before not in _BEFORE_TIME or after in HOURS or after in DAYS):
            return None
        if after in _COUNTED:
            return None
    if not 0 <= value < 24 or (not sure and value > _SHORT_CLOCK + 1):
        return None
    half_of_day = after if after in {"am", "pm"} else ""
    if value > _SHORT_CLOCK + 1:
        return value - _SHORT_CLOCK, "pm"
    if after == "this" and at + 2 < len(words) and words[at + 2] == "morning":
        half_of_day = "am"
    return value, half_of_day


def _between(words: Sequence[str]) -> Iterator[float]:
    """From each time of day to the next one that is named."""
    times = [time for at in range(len(words)) if (time := _clock(words, at)) is not None]
    for (first, half), (then, later) in itertools.pairwise(times):
        if half and later:
            start = first % 12 + (12 if half == "pm" else 0)
            end = then % 12 + (12 if later == "pm" else 0)
            yield (end - start) % 24
        else:
            yield (then - first) % 12
