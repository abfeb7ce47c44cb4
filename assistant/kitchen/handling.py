"""Times of safe handling: standing out, thawing, and a power cut. Limits come from the corpus."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

import msgspec

from assistant.corpus.rules import SafetyLimit
from assistant.measure.amount import read_amount
from assistant.measure.span import minutes, read_span
from assistant.measure.units import convert

Range = tuple[Fraction, Fraction]


class Stood(msgspec.Struct, frozen=True):
    """How long food stood out in all, against the limit: minutes both."""

    total: Fraction
    limit: Fraction
    verdict: Literal["within", "at the limit", "over"]


def stood_out(periods: Sequence[Fraction], limit: SafetyLimit) -> Stood:
    """Periods out of the refrigerator add up: the germs do not start anew.

    More time out never makes the verdict safer. Source: the limit's own.
    """
    total = sum(periods, Fraction(0))
    most = minutes(read_span(limit.time))[0]
    if total > most:
        return Stood(total, most, "over")
    return Stood(total, most, "at the limit" if total == most else "within")


def out_limit(celsius_or_f: Fraction | None, cool: SafetyLimit, hot: SafetyLimit) -> SafetyLimit:
    """The limit that holds at an air temperature in °F: the shorter one above the hot limit."""
    if celsius_or_f is not None and hot.above is not None and celsius_or_f > hot.above:
        return hot
    return cool


def thaw_minutes(weight_grams: Fraction, limit: SafetyLimit) -> Range:
    """How long thawing takes by a limit "24 hours for each 4–5 lb": a range where `per` is one."""
    per = read_amount(limit.per)
    low_per, high_per = (convert(n, per.unit, "gram") for n in (per.low, per.high))
    low, high = minutes(read_span(limit.time))
    return weight_grams / high_per * low, weight_grams / low_per * high
