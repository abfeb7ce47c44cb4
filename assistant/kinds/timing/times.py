"""Times of day in a question: which it names, and whether one is the start or the meal."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

import msgspec

from assistant.kinds.shelf import Shelf
from assistant.kitchen.clock import Face, read_face
from assistant.question.reading import Mention, Reading

Role = Literal["start", "end", ""]

_NOON = Fraction(12 * 60)
_BEFORE_CLOCK = frozenset({"at", "by", "until", "till", "around", "about", "before"})
_PAST = {"half past": 30, "quarter past": 15, "quarter to": -15}
_NAMED = {"noon": _NOON, "midday": _NOON, "midnight": Fraction(0)}
# How far before a time of day its word stands: "to eat at about 6:30".
_REACH = 6


class Time(msgspec.Struct, frozen=True):
    """A time of day in minutes after midnight, how it was written, and what it is the time of."""

    at: Fraction
    face: Face
    role: Role
    place: int


def times(reading: Reading, shelf: Shelf) -> tuple[Time, ...]:
    """Every time of day named, left to right, with the part it plays where the words tell."""
    found = [(m.start, m.value, m.text) for m in reading.all("clock")]
    found += [(p, at, text) for p, at, text in _spoken(reading) if p not in {f[0] for f in found}]
    return tuple(
        Time(at, read_face(int(at) // 60, text), _role(reading, place, shelf), place)
        for place, at, text in sorted(found, key=lambda f: f[0])
        if isinstance(at, Fraction)
    )


def _spoken(reading: Reading) -> list[tuple[int, Fraction, str]]:
    """ "noon", "half past six", "quarter to 1", "at 6", "6 o'clock"."""
    made = []
    words = reading.words
    for place, word in enumerate(words):
        if word in _NAMED:
            made.append((place, _NAMED[word], "12:00"))
    for m in reading.all("number") + reading.all("servings"):
        hour = m.value
        if not isinstance(hour, Fraction) or not 1 <= hour <= 12:
            continue
        at = _spoken_hour(words, m, hour)
        if at is not None:
            made.append((m.start, at, m.text))
    return made


def _spoken_hour(words: Sequence[str], m: Mention, hour: Fraction) -> Fraction | None:
    before = " ".join(words[max(0, m.start - 2) : m.start])
    for text, shift in _PAST.items():
        if before.endswith(text):
            return hour * 60 + shift
    if hour.denominator != 1:
        # "12.30" is a time of day where it stands for one.
        minutes = (hour % 1) * 100
        hour = Fraction(int(hour))
        if minutes.denominator != 1 or minutes >= 60:
            return None
    else:
        minutes = Fraction(0)
    after = words[m.end : m.end + 1]
    last = words[m.start - 1] if m.start else ""
    if after and after[0] in {"oclock", "o'clock"}:
        return hour * 60 + minutes
    if m.type == "number" and (last in _BEFORE_CLOCK or minutes):
        return hour * 60 + minutes
    return None


def _role(reading: Reading, place: int, shelf: Shelf) -> Role:
    """What the nearest telling word before the time says; a word just after it counts too."""
    starts, ends = _list(shelf, "clock-start"), _list(shelf, "clock-end")
    near = reading.words[max(0, place - _REACH) : place][::-1]
    after = reading.words[place + 1 : place + 3]
    if near[:1] == ("for",) and "when" in reading.words:
        return "end"  # "when do I start for 12:00?"
    for word in (*near, *after):
        if word in starts:
            return "start"
        if word in ends:
            return "end"
    return ""


def says(reading: Reading, shelf: Shelf, ident: str) -> bool:
    """Whether the question holds a word of a list, or a phrase of it."""
    text = f" {' '.join(reading.words)} "
    return any(f" {word} " in text for word in _list(shelf, ident))


def _list(shelf: Shelf, ident: str) -> tuple[str, ...]:
    found = shelf.corpus.lists.get(ident)
    return found.words if found else ()


def meant(reading: Reading, shelf: Shelf) -> tuple[Time | None, Time | None]:
    """The start and the meal time that the question names.

    A time whose part the words do not tell is the meal where the question asks when to start, and
    the start otherwise.
    """
    named = times(reading, shelf)
    start = next((t for t in named if t.role == "start"), None)
    end = next((t for t in named if t.role == "end"), None)
    loose = next((t for t in named if not t.role), None)
    asks_start = any(word in _list(shelf, "clock-start") for word in reading.words)
    if loose is not None:
        if end is None and (asks_start or start is not None):
            end = loose
        elif start is None:
            start = loose
    return start, end
