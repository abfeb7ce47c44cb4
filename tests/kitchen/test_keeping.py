"""Dates of keeping: what must hold for any food and any day."""

from __future__ import annotations

import datetime

from desk_fixture import TODAY, desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.kitchen.keeping import keeps, over, shortest
from assistant.measure.span import read_span

DAYS = st.dates(datetime.date(2020, 1, 1), datetime.date(2035, 12, 31))
RULES = st.sampled_from(
    sorted({rule.fridge for rule in desk().corpus.storage.values() if rule.fridge})
)


@given(RULES, DAYS, DAYS, DAYS)
def test_a_later_start_never_gives_an_earlier_last_day(
    rule: str, one: datetime.date, other: datetime.date, on: datetime.date
) -> None:
    """Cooked later, never to be eaten earlier."""
    early, late = sorted((one, other))
    assert keeps(rule, early, on).last <= keeps(rule, late, on).last


@given(RULES, DAYS, st.integers(0, 400), st.integers(0, 400))
def test_a_later_day_of_eating_never_looks_safer(
    rule: str, start: datetime.date, one: int, more: int
) -> None:
    """The verdict only goes from fine to the last day to past."""
    order = ["fine", "last day", "past"]
    first = keeps(rule, start, start + datetime.timedelta(one))
    later = keeps(rule, start, start + datetime.timedelta(one + more))
    assert order.index(first.state) <= order.index(later.state)


@given(RULES, DAYS, st.integers(0, 60), st.integers(0, 300))
def test_the_freezer_stops_the_count(
    rule: str, start: datetime.date, before: int, frozen: int
) -> None:
    """Days in the freezer move the last day by just as many days."""
    went = start + datetime.timedelta(before)
    out = went + datetime.timedelta(frozen)
    plain = keeps(rule, start, start).last
    assert keeps(rule, start, start, [(went, out)]).last == plain + datetime.timedelta(frozen)


def test_tuesday_to_saturday_by_hand() -> None:
    """Made on Tuesday, 3–4 days: plan for Friday, at the latest Saturday."""
    tuesday = datetime.date(2026, 11, 24)
    kept = keeps("3–4 days", tuesday, datetime.date(2026, 11, 28))
    assert (kept.plan.isoformat(), kept.last.isoformat()) == ("2026-11-27", "2026-11-28")
    assert kept.state == "last day"


def test_the_shortest_lived_thing() -> None:
    """Of several keeping times the one that ends first is chosen."""
    assert shortest(["3–4 days", "1–2 days", "1 week"]) == 1
    assert over(read_span("8 days"), "1 week")
    assert not over(read_span("1 week"), "7 days")


def test_a_shorter_rule_never_lasts_longer_in_an_answer() -> None:
    """Asked of the same day, rice is never given longer than soup."""
    last = {}
    for food in ("cooked rice", "vegetable soup"):
        answer = desk().ask(f"{food} made on Monday, still ok?", desk().context(today=TODAY))
        last[food] = answer.figures[0].exact
    assert last["cooked rice"] < last["vegetable soup"]
