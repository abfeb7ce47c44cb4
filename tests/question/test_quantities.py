"""Numbers in questions: people, amounts, clock times, days, temperatures, shares."""

from __future__ import annotations

import datetime
from fractions import Fraction

import pytest
from desk_fixture import TODAY, desk

from assistant.question.quantities import find_quantities, resolve
from assistant.question.reading import Day, Mention
from assistant.retrieval.words import tokens


def found(text: str) -> list[Mention]:
    """The quantities of a text, with the shipped vocabulary."""
    return find_quantities(text, tokens(text), desk().snapshot.lexicon.servings_words, TODAY)


@pytest.mark.parametrize(
    ("text", "people"),
    [
        ("for 14", 14), ("14 people", 14), ("14ppl", 14), ("feed 20", 20), ("the four of us", 4),
        ("fourteen of us", 14), ("for half a dozen people", 6), ("two dozen coworkers", 24),
        ("a family of five", 5), ("party of 12", 12), ("one hundred and twenty people", 120),
        ("for 20 to 25 people", 20), ("twenty-five servings", 25), ("we are 14", 14),
    ],
)  # fmt: skip
def test_people(text: str, people: int) -> None:
    """People are counted in figures and in words."""
    (mention,) = found(text)
    assert (mention.type, mention.value) == ("servings", Fraction(people))


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("11:30", 690), ("at noon", 720), ("5 pm", 1020), ("12 am", 0), ("half past eleven", 690),
        ("quarter to one", 765), ("quarter past 2", 855), ("ready by 12", 720), ("eat at 1", 780),
    ],
)  # fmt: skip
def test_clock_times(text: str, minutes: int) -> None:
    """A clock time is minutes after midnight; a bare one to six is the afternoon's."""
    (mention,) = found(text)
    assert (mention.type, mention.value) == ("clock", Fraction(minutes))


@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("2026-11-28", "2026-11-28"), ("Nov 27", "2026-11-27"), ("27th of November", "2026-11-27"),
        ("27 November", "2026-11-27"), ("on 11/27", "2026-11-27"), ("yesterday", "2026-11-24"),
        ("tomorrow", "2026-11-26"), ("last night", "2026-11-24"), ("3 days ago", "2026-11-22"),
        ("two weeks ago", "2026-11-11"), ("day before yesterday", "2026-11-23"),
        ("January 2", "2027-01-02"), ("on Sunday", "2026-11-22"), ("last Tuesday", "2026-11-24"),
        ("next Friday", "2026-11-27"), ("until the 3rd", "2026-11-03"),
    ],
)  # fmt: skip
def test_dates(text: str, date: str) -> None:
    """Days are read against a fixed today, a Wednesday; without more said the latest one counts."""
    (mention,) = found(text)
    assert isinstance(mention.value, Day)
    assert resolve(mention.value, TODAY, future=False) == datetime.date.fromisoformat(date)


def test_a_day_to_come() -> None:
    """A weekday that is to come is the next one from today on."""
    assert resolve(Day(weekday=6), TODAY, future=True) == datetime.date(2026, 11, 29)
    assert resolve(Day(month_day=3), TODAY, future=True) == datetime.date(2026, 12, 3)


@pytest.mark.parametrize(
    ("text", "scale", "value"),
    [
        ("bake at 425", "", 425), ("425F oven", "f", 425), ("165 degrees", "", 165),
        ("74 °C", "c", 74), ("180 degrees celsius", "c", 180),
    ],
)  # fmt: skip
def test_temperatures(text: str, scale: str, value: int) -> None:
    """A temperature needs a sign, or an oven and a number that an oven has."""
    (mention,) = [m for m in found(text) if m.type == "temperature"]
    assert (mention.id, mention.value) == (scale, Fraction(value))


@pytest.mark.parametrize("text", ["425 people", "gas mark 6", "bake 12 muffins"])
def test_no_temperature(text: str) -> None:
    """A count is no temperature, and a gas mark is not read as one."""
    assert not [m for m in found(text) if m.type == "temperature"]


@pytest.mark.parametrize(
    ("text", "share"),
    [("3x the recipe", 3), ("x3", 3), ("times three", 3), ("1.5 times the recipe", Fraction(3, 2))],
)
def test_shares(text: str, share: Fraction) -> None:
    """A number of times the recipe is a share of it."""
    assert [(m.type, m.value) for m in found(text)] == [("share", share)]


@pytest.mark.parametrize(
    "text", ["can I use the can", "an ear of corn", "head of garlic", "serving dish", "I sat down"]
)
def test_everyday_words_are_no_units(text: str) -> None:
    """Without a number "can", "ear", "head" and "serving" are just words, and "sat" no day."""
    assert found(text) == []
