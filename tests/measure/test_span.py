"""Stretches of time, and the calendar."""

from __future__ import annotations

import datetime
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.exact import MeasureError
from assistant.measure.span import Span, after, minutes, read_span, show_minutes, show_span


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("5–7 min", 5, 7, "minute"),
        ("1 1/2 hours", "3/2", "3/2", "hour"),
        ("3-4 days", 3, 4, "day"),
        ("2 to 3 months", 2, 3, "month"),
        ("1 week", 1, 1, "week"),
    ],
)
def test_a_time_is_read(text: str, low: str, high: str, unit: str) -> None:
    """Ranges stay ranges."""
    assert read_span(text) == Span(Fraction(low), Fraction(high), unit)


@given(
    st.integers(1, 200),
    st.integers(0, 100),
    st.sampled_from(["minute", "hour", "day", "week", "month", "year"]),
)
def test_a_shown_time_reads_back(low: int, more: int, unit: str) -> None:
    """`read_span(show_span(span))` gives the span back."""
    span = Span(Fraction(low), Fraction(low + more), unit)
    assert read_span(show_span(span)) == span


def test_a_month_has_no_minutes() -> None:
    """A month is no fixed length."""
    with pytest.raises(MeasureError):
        minutes(read_span("2 months"))


def test_a_month_after_the_last_of_january() -> None:
    """One month after 31 January 2026 is 28 February; a leap year gives the 29th."""
    assert after(datetime.date(2026, 1, 31), Fraction(1), "month") == datetime.date(2026, 2, 28)
    assert after(datetime.date(2028, 1, 31), Fraction(1), "month") == datetime.date(2028, 2, 29)


@given(st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)), st.integers(0, 60))
def test_days_are_added_as_the_calendar_does(start: datetime.date, days: int) -> None:
    """Adding days is what the standard library's calendar does."""
    assert after(start, Fraction(days), "day") - start == datetime.timedelta(days)


def test_minutes_are_shown_as_people_say_them() -> None:
    """Under an hour in minutes, above it in hours and minutes."""
    assert show_minutes(Fraction(25), Fraction(30)) == "25–30 min"
    assert show_minutes(Fraction(70), Fraction(70)) == "1 h 10 min"
    assert show_minutes(Fraction(45), Fraction(65)) == "45 min–1 h 5 min"
