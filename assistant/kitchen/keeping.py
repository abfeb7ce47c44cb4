"""How long food keeps: the last day to eat it, counted from the day it was cooked.

The day of cooking is day 0: "3–4 days" for a dish made on Tuesday ends on Friday, at the latest on
Saturday. The shorter end is the answer to plan by, the longer end is the last day.
"""

from __future__ import annotations

import datetime
from typing import Literal

import msgspec

from assistant.measure.span import Span, after, read_span

State = Literal["fine", "last day", "past", "open"]


class Kept(msgspec.Struct, frozen=True):
    """The outcome: best by `plan`, not after `last`; `left` counts whole days from `on`."""

    start: datetime.date
    plan: datetime.date
    last: datetime.date
    on: datetime.date
    left: int
    state: State


def keeps(fridge: str, start: datetime.date, on: datetime.date) -> Kept:
    """Whether something made on `start`, kept for `fridge` ("3–4 days"), is fine on the day `on`.

    A later start never gives an earlier last day.
    """
    span = read_span(fridge)
    plan = after(start, span.low, span.unit)
    last = after(start, span.high, span.unit)
    left = (last - on).days
    state: State = "fine" if left > 0 else "last day" if left == 0 else "past"
    return Kept(start, plan, last, on, left, state)


def in_days(span: Span) -> tuple[int, int] | None:
    """A span in days where it is days or weeks, for comparing rules; None for months."""
    factor = {"day": 1, "week": 7}.get(span.unit)
    return None if factor is None else (int(span.low * factor), int(span.high * factor))
