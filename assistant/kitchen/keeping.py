"""How long food keeps: the last day to eat it, counted from the day it was cooked or opened.

The day of cooking is day 0: "3–4 days" for a dish made on Tuesday ends on Friday, at the latest on
Saturday. The shorter end is the answer to plan by, the longer end is the last day. Days in the
freezer do not count: freezing stops the clock and does not set it back (Food Code 3-501.17, as
explained for North Carolina; common practice at home).
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

import msgspec

from assistant.measure.span import Span, after, read_span

State = Literal["fine", "last day", "past"]
Pause = tuple[datetime.date, datetime.date]
# A month and a year in days, for comparing an age with a figure; never for a date.
_ROUGH = {
    unit: Fraction(days) for unit, days in (("day", 1), ("week", 7), ("month", 30), ("year", 365))
}


class Kept(msgspec.Struct, frozen=True):
    """The outcome: best by `plan`, not after `last`; `left` counts whole days from `on`."""

    start: datetime.date
    plan: datetime.date
    last: datetime.date
    on: datetime.date
    left: int
    state: State


def keeps(
    fridge: str, start: datetime.date, on: datetime.date, frozen: Sequence[Pause] = ()
) -> Kept:
    """Whether something made on `start`, kept for `fridge` ("3–4 days"), is fine on the day `on`.

    `frozen` are stretches in the freezer, from the day it went in to the day it came out. A later
    start never gives an earlier last day; time in the freezer never shortens it.
    """
    span = read_span(fridge)
    paused = datetime.timedelta(days=sum(max(0, (out - went).days) for went, out in frozen))
    plan = after(start, span.low, span.unit) + paused
    last = after(start, span.high, span.unit) + paused
    left = (last - on).days
    state: State = "fine" if left > 0 else "last day" if left == 0 else "past"
    return Kept(start, plan, last, on, left, state)


def rough_days(span: Span) -> Fraction:
    """The longer end of a span in days, a month taken as 30 and a year as 365 days."""
    return span.high * _ROUGH.get(span.unit, Fraction(1, 1440))


def over(age: Span, limit: str) -> bool:
    """Whether an age is more than the longer end of a keeping time."""
    return rough_days(age) > rough_days(read_span(limit))


def shortest(fridges: Sequence[str]) -> int:
    """Which of several keeping times is the shortest, by its longer end, then by its shorter."""
    spans = [read_span(text) for text in fridges]
    ends = [(rough_days(span), span.low * _ROUGH.get(span.unit, Fraction(0))) for span in spans]
    return ends.index(min(ends))
