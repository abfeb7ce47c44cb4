"""Stretches of time: "5–7 min", "3–4 days", "2–3 months". Ranges stay ranges."""

from __future__ import annotations

import datetime
import re
from fractions import Fraction

import msgspec

from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number, take_number

_UNITS = {
    "second": ("second", "seconds", "sec", "secs", "s"),
    "minute": ("minute", "minutes", "min", "mins", "m"),
    "hour": ("hour", "hours", "hr", "hrs", "h"),
    "day": ("day", "days", "d"),
    "week": ("week", "weeks", "wk", "wks"),
    "month": ("month", "months", "mo", "mos"),
    "year": ("year", "years", "yr", "yrs"),
}
SPELLINGS = {word: name for name, words in _UNITS.items() for word in words}
_MINUTES = {
    "second": Fraction(1, 60),
    "minute": Fraction(1),
    "hour": Fraction(60),
    "day": Fraction(1440),
    "week": Fraction(10080),
}
_ENDS = re.compile(r"\s*(\d{1,6})\s*[-–]\s*(\d{1,6})\b")
_MONTHS = {"month": 1, "year": 12}


class Span(msgspec.Struct, frozen=True):
    """A stretch of time from `low` to `high` in one unit."""

    low: Fraction
    high: Fraction
    unit: str


def read_span(text: str) -> Span:
    """Read a stretch of time. Raises MeasureError in the words that were given."""
    taken = take_number(text.strip())
    word = taken[2].strip().rstrip(".").lower() if taken else ""
    if taken is None and _backwards(text):
        raise MeasureError(
            text, "it runs backwards", expected="the shorter time first, such as 5–7 min"
        )
    if taken is None or word not in SPELLINGS:
        raise MeasureError(text, "it is no time", expected='a time such as "5–7 min" or "3–4 days"')
    return Span(taken[0], taken[1], SPELLINGS[word])


def _backwards(text: str) -> bool:
    ends = _ENDS.match(text)
    return ends is not None and int(ends[1]) > int(ends[2])


def show_span(span: Span) -> str:
    """The span as a person writes it; `read_span` of it gives the span back."""
    low, high = show_number(span.low), show_number(span.high)
    name = span.unit if span.high == 1 else span.unit + "s"
    name = {"minute": "min", "minutes": "min"}.get(name, name)
    return f"{low} {name}" if span.low == span.high else f"{low}–{high} {name}"


def minutes(span: Span) -> tuple[Fraction, Fraction]:
    """The span in minutes. Raises MeasureError for months and years, which are no fixed length."""
    if span.unit not in _MINUTES:
        raise MeasureError(
            show_span(span),
            f"a {span.unit} has no fixed number of minutes",
            expected="a time in weeks or less",
            doing="convert",
        )
    return span.low * _MINUTES[span.unit], span.high * _MINUTES[span.unit]


def show_minutes(low: Fraction, high: Fraction) -> str:
    """Minutes as a person says them: "25–30 min", "1 h 10 min", "45 min–1 h 5 min"."""
    if low == high:
        return _one(low)
    if high < 60:
        return f"{show_number(low)}–{show_number(high)} min"
    return f"{_one(low)}–{_one(high)}"


def _one(value: Fraction) -> str:
    hours, rest = divmod(value, 60)
    if not hours:
        return f"{show_number(rest)} min"
    return f"{hours} h {show_number(rest)} min" if rest else f"{hours} h"


def after(start: datetime.date, number: Fraction, unit: str) -> datetime.date:
    """The calendar date `number` units after `start`; days are rounded down, to be careful.

    A month is a calendar month: one month after 31 January is the last day of February.
    """
    if unit in _MONTHS:
        months = int(number * _MONTHS[unit])
        year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
        for day in range(start.day, 27, -1):
            try:
                return datetime.date(year, month + 1, day)
            except ValueError:
                continue
        return datetime.date(year, month + 1, start.day)
    return start + datetime.timedelta(days=int(number * _MINUTES[unit] / 1440))
