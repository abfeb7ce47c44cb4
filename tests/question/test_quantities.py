"""Numbers in questions: people, amounts, clock times, days, temperatures, shares."""

from __future__ import annotations

import datetime
import time
from fractions import Fraction
from pathlib import Path

import pytest
from desk_fixture import TODAY, desk

from assistant.corpus.times import LISTS, QuantityList, TimeWord
from assistant.measure.amount import Amount
from assistant.question.quantities import find_quantities, resolve
from assistant.question.reading import Day, Mention
from assistant.question.vocabulary import arrange
from assistant.retrieval.words import tokens


def found(text: str) -> list[Mention]:
    """The quantities of a text, with the shipped vocabulary."""
    return find_quantities(text, tokens(text), desk().snapshot.lexicon.vocabulary, TODAY)


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


# Counted on a calendar from Wednesday, 25 November 2026: the Sundays before it are the 22nd and the
# 15th, the Mondays the 23rd, 16th and 9th, the Wednesdays the 18th and 11th.
@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("two Sundays ago", "2026-11-15"), ("three Mondays ago", "2026-11-09"),
        ("two Wednesdays ago", "2026-11-11"), ("a Sunday ago", "2026-11-22"),
        ("the Sunday before last", "2026-11-15"), ("since last week", "2026-11-16"),
        ("next week", "2026-11-30"), ("since last month", "2026-10-01"),
        ("next month", "2026-12-01"), ("last year", "2025-01-01"),
        ("froze it in September", "2026-09-01"), ("since March", "2026-03-01"),
        ("made in may and frozen", "2026-05-01"), ("from early August", "2026-08-01"),
        ("in November", "2026-11-01"), ("frozen since December", "2025-12-01"),
        ("last November", "2025-11-01"), ("last October", "2026-10-01"),
        ("next March", "2027-03-01"), ("September 2025", "2025-09-01"), ("May 2026", "2026-05-01"),
    ],
)  # fmt: skip
def test_weeks_and_months(text: str, date: str) -> None:
    """A week or a month without a day is its first day, so that nothing is taken for fresher."""
    (mention,) = found(text)
    assert isinstance(mention.value, Day)
    assert resolve(mention.value, TODAY, future=False) == datetime.date.fromisoformat(date)


@pytest.mark.parametrize(
    "text",
    [
        "may I freeze it", "what I put in may be off", "this may work", "one from may have it",
        "march in place", "a march of ants in it", "the second batch", "mar the pan",
        "my september chili", "an august crowd", "keeps for the next week", "in the sun",
    ],
)  # fmt: skip
def test_everyday_words_are_no_months(text: str) -> None:
    """ "May", "march" and "second" are months only where the words around them say so."""
    assert not [m for m in found(text) if m.type == "date"]


@pytest.mark.parametrize(
    ("day", "date"),
    [
        (Day(weekday=6), "2026-11-29"), (Day(month_day=3), "2026-12-03"),
        (Day(month=12), "2026-12-01"), (Day(month=3), "2027-03-01"),
        (Day(month=11), "2026-11-30"), (Day(month=10), "2027-10-01"),
    ],
)  # fmt: skip
def test_a_day_to_come(day: Day, date: str) -> None:
    """What is to come is the next one from today on; "until November" said in November ends it."""
    assert resolve(day, TODAY, future=True) == datetime.date.fromisoformat(date)


def test_december_ends_with_its_last_day() -> None:
    """The month that is running is counted to its end, also where a year ends with it."""
    said = datetime.date(2026, 12, 5)
    assert resolve(Day(month=12), said, future=True) == datetime.date(2026, 12, 31)


@pytest.mark.parametrize(
    ("text", "scale", "value"),
    [
        ("bake at 425", "", 425), ("425F oven", "f", 425), ("165 degrees", "", 165),
        ("74 °C", "c", 74), ("180 degrees celsius", "c", 180),
        ("180 degrees centigrade", "c", 180),
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


def test_a_long_text_takes_time_linear_in_it() -> None:
    """200 kB of numbers, days and units take about four times as long as 50 kB."""
    some = "last may 3 days ago a cup of two dozen x3 half past 2026-11-30 in march 12 oz at 425 "

    def spent(size: int) -> float:
        text = (some * (size // len(some)))[:size]
        words = tokens(text)
        started = time.perf_counter()
        find_quantities(text, words, desk().snapshot.lexicon.vocabulary, TODAY)
        return time.perf_counter() - started

    spent(10_000)
    assert spent(200_000) < 8 * spent(50_000) + 0.05


def test_the_words_are_the_corpus_s_own() -> None:
    """A day's word that the corpus adds is read, and without its lists nothing is."""
    times = [TimeWord(id="yesterday", days=-1, words=("yesterday", "the other night"))]
    vocabulary = arrange(times, [QuantityList(id="times", about="", words=("fold",))], ["guests"])
    text = "the other night 12 guests had 3 fold"
    mentions = find_quantities(text, tokens(text), vocabulary, TODAY)
    assert [(m.type, m.text) for m in mentions] == [
        ("date", "the other night"), ("servings", "12 guests"), ("share", "3 fold"),
    ]  # fmt: skip
    assert find_quantities("Sunday", tokens("Sunday"), vocabulary, TODAY) == []


def test_every_list_has_a_use() -> None:
    """The corpus gives every list that the program asks for, and the program uses each."""
    assert set(desk().corpus.quantity_lists) == set(LISTS)
    folder = Path(__file__).parents[2] / "assistant" / "question"
    code = "".join(
        (folder / name).read_text(encoding="utf-8")
        for name in ("days.py", "quantities.py", "vocabulary.py")
    )
    assert [name for name in LISTS if f'"{name}"' not in code] == []


@pytest.mark.parametrize(
    ("text", "low", "unit"),
    [
        ("a cup and a half of lentils", Fraction(3, 2), "cup"),
        ("2 pounds and a quarter", Fraction(9, 4), "pound"),
        ("1 tablespoon and a half", Fraction(3, 2), "tablespoon"),
        ("3 cups and bake", Fraction(3), "cup"),
    ],
)
def test_a_part_behind_the_unit_counts(text: str, low: Fraction, unit: str) -> None:
    """ "A cup and a half" is one and a half cups, and never one."""
    (mention,) = [m for m in found(text) if m.type == "amount"]
    assert isinstance(mention.value, Amount)
    assert (mention.value.low, mention.value.high, mention.value.unit) == (low, low, unit)


def test_two_amounts_with_an_and_stay_two() -> None:
    """The half of "1 cup and half a pound" is of the pound."""
    amounts = [m.value for m in found("1 cup and half a pound") if isinstance(m.value, Amount)]
    assert [(a.low, a.unit) for a in amounts] == [
        (Fraction(1), "cup"),
        (Fraction(1, 2), "pound"),
    ]
