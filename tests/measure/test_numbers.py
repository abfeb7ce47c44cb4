"""The numbers cooks write and say, and the exact text they are shown as."""

import time
from decimal import Decimal
from fractions import Fraction as F
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.exact import MeasureError, exact
from assistant.measure.numbers import (
    STARTERS,
    WORDS,
    read_number,
    read_range,
    show_number,
    take_number,
)

NUMBERS = {
    "1 1/2": F(3, 2), "1½": F(3, 2), "1-1/2": F(3, 2), "1 ½": F(3, 2), "1–1/2": F(3, 2),
    "1⁄2": F(1, 2), "1 1⁄2": F(3, 2), "⅟4": F(1, 4), ".5": F(1, 2), "0.5": F(1, 2), "2.25": F(9, 4),
    "1 and 1/2": F(3, 2), "2 and a half": F(5, 2), "1 & 3/4": F(7, 4), "1,200": F(1200),
    "12,345,678": F(12345678), "a dozen": F(12), "half a dozen": F(6), "a half dozen": F(6),
    "1/2 dozen": F(6), "two dozen": F(24), "a dozen and a half": F(18), "half a": F(1, 2),
    "half": F(1, 2), "a half": F(1, 2), "half an": F(1, 2), "one and a half": F(3, 2),
    "two and a quarter": F(9, 4), "two and three quarters": F(11, 4), "three quarters": F(3, 4),
    "three-quarters": F(3, 4), "a quarter": F(1, 4), "quarter": F(1, 4), "a third": F(1, 3),
    "two-thirds": F(2, 3), "2 thirds": F(2, 3), "one eighth": F(1, 8), "three fourths": F(3, 4),
    "3/4 of a": F(3, 4), "a couple of": F(2), "a couple": F(2), "zero": F(0), "one": F(1),
    "a": F(1), "an": F(1), "fourteen": F(14), "Twenty-five": F(25), "twenty five": F(25),
    "ninety-nine": F(99), "hundred": F(100), "a hundred": F(100), "two hundred": F(200),
    "one hundred and twenty": F(120), "a hundred fifty": F(150), "100": F(100), "  2  ": F(2),
}  # fmt: skip

RANGES = {
    "1/2 to 3/4": (F(1, 2), F(3, 4)), "2–3": (F(2), F(3)), "2-3": (F(2), F(3)),
    "2 - 3": (F(2), F(3)), "2—3": (F(2), F(3)), "2 or 3": (F(2), F(3)), "2 to 3": (F(2), F(3)),
    "1 1/2–2": (F(3, 2), F(2)), "1-1/2-2": (F(3, 2), F(2)), "1-1 1/2": (F(1), F(3, 2)),
    "½–¾": (F(1, 2), F(3, 4)), "0–1/2": (F(0), F(1, 2)), "one or two dozen": (F(12), F(24)),
    "half to one": (F(1, 2), F(1)), "a quarter to a half": (F(1, 4), F(1, 2)),
    "ten to twelve": (F(10), F(12)), "7": (F(7), F(7)),
}  # fmt: skip

NOT_NUMBERS = [
    "", "   ", "salt", "1/0", "0/0", "1 1/0", "11/25/2025", "1:30", "3rd", "2nd", "1,5", "1.2.3",
    "1/2/3", "½½", "½2", "2 5/4", "-2", "3-2", "4 to 1", "one's", "a.m", "third", "hundredth",
    "½/0", "٣", "²", "nan", "inf", "1e5x/0",
]  # fmt: skip

VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞↉"


@pytest.mark.parametrize(("text", "number"), NUMBERS.items())
def test_a_written_or_spoken_number_is_read_exactly(text: str, number: F) -> None:
    """Each phrasing gives its exact fraction."""
    assert read_number(text) == number


@pytest.mark.parametrize(("text", "ends"), RANGES.items())
def test_a_range_is_read_with_both_ends(text: str, ends: tuple[F, F]) -> None:
    """Each range gives its low and high end, and a single number gives equal ends."""
    assert read_range(text) == ends


@pytest.mark.parametrize("text", NOT_NUMBERS)
def test_what_only_looks_like_a_number_is_refused(text: str) -> None:
    """Dates, times, ordinals, divisions by zero and falling ranges are neither taken nor read."""
    taken = take_number(text)
    assert taken is None or taken[2] != ""
    with pytest.raises(MeasureError):
        read_range(text)


@pytest.mark.parametrize(
    ("text", "number", "rest"),
    [
        ("2 cups", 2, "cups"), ("15-ounce can", 15, "-ounce can"), ("200g flour", 200, "g flour"),
        ("1 15-ounce can", 1, "15-ounce can"), ("2 or so", 2, "or so"),
        ("1 to taste", 1, "to taste"),
        ("half an onion", F(1, 2), "onion"), ("two-thirds of a cup", F(2, 3), "cup"),
        ("half of the rice", F(1, 2), "of the rice"), ("2. Stir", 2, ". Stir"),
        ("2, then", 2, ", then"),
        ("two half-pint jars", 2, "half-pint jars"), ("an apple", 1, "apple"),
    ],
)  # fmt: skip
def test_what_follows_a_number_is_handed_back(text: str, number: F, rest: str) -> None:
    """The rest is the end of the text after the number."""
    assert take_number(text) == (number, number, rest)


def test_every_vulgar_fraction_character_is_read() -> None:
    """Each one-character fraction equals its Unicode numeric value."""
    import unicodedata

    for character in VULGAR:
        value = F(unicodedata.numeric(character)).limit_denominator(10)
        assert read_number(character) == value
        assert read_number(f"2{character}") == read_number(f"2 {character}") == 2 + value


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (F(3, 2), "1 1/2"), (F(3), "3"), (F(0), "0"), (F(7, 20), "0.35"), (F(2, 7), "2/7"),
        (F(9, 7), "1 2/7"), (F(1, 16), "1/16"), (F(1, 32), "1/32"), (F(6, 5), "1.2"),
        (F(5, 6), "5/6"), (F(1200), "1200"), (F(1, 10000), "0.0001"), (F(141, 100), "1.41"),
    ],
)  # fmt: skip
def test_a_number_is_shown_as_a_cook_would_write_it(number: F, text: str) -> None:
    """Kitchen fractions stay fractions, short decimals are decimals, the rest are fractions."""
    assert show_number(number) == text


@given(st.fractions(min_value=0))
def test_showing_then_reading_gives_the_number_back(number: F) -> None:
    """read_number(show_number(x)) is x for every x of at least zero."""
    assert read_number(show_number(number)) == number


@given(st.fractions(min_value=0), st.fractions(min_value=0))
def test_a_shown_range_reads_back(one: F, other: F) -> None:
    """An en dash between two shown numbers always reads as the range between them."""
    low, high = min(one, other), max(one, other)
    assert read_range(f"{show_number(low)}–{show_number(high)}") == (low, high)


def test_a_number_below_zero_is_not_shown() -> None:
    """A negative amount is an error, never text."""
    with pytest.raises(MeasureError, match="never below zero"):
        show_number(F(-1))


@given(st.text())
def test_any_text_gives_a_number_or_nothing(text: str) -> None:
    """No text breaks the reader, the ends never fall, and the rest is the end of the text."""
    taken = take_number(text)
    if taken is not None:
        low, high, rest = taken
        assert 0 <= low <= high
        assert text.endswith(rest)


@given(st.text(alphabet="0123456789 /.-–½a¼ndhlfortw", max_size=24))
def test_text_made_of_number_parts_gives_a_number_or_nothing(text: str) -> None:
    """Scrambled number parts give a number or nothing, never another exception."""
    taken = take_number(text)
    assert taken is None or 0 <= taken[0] <= taken[1]


def test_more_than_two_hundred_characters_are_refused() -> None:
    """A whole text over the limit is an error; at the start of a long text the number is found."""
    with pytest.raises(MeasureError, match="longer than 200"):
        read_number(" " * 200 + "2")
    assert take_number("2 " + "cups " * 1000) is not None
    assert take_number("1" * 500) is None


@pytest.mark.parametrize(
    "part", ["1", "1 ", "1/", "½", "twenty ", "a ", "1,000", "-", "half a ", " "]
)
def test_long_hostile_text_takes_no_time(part: str) -> None:
    """A hundred thousand repeats are looked at for a few milliseconds at most."""
    text = part * 100_000
    start = time.perf_counter()
    take_number(text)
    assert time.perf_counter() - start < 0.25


@pytest.mark.parametrize(
    ("value", "number"),
    [
        (3, F(3)), ("1/2", F(1, 2)), ("0.5", F(1, 2)), (".5", F(1, 2)), ("1,200", F(1200)),
        ("1,200.5", F(2401, 2)), ("-4", F(-4)), ("−4", F(-4)), ("+4", F(4)), ("-1/2", F(-1, 2)),
        (Decimal("0.1"), F(1, 10)), (F(2, 7), F(2, 7)), (" 2 ", F(2)), ("3⁄4", F(3, 4)),
    ],
)  # fmt: skip
def test_the_door_lets_exact_numbers_in(value: Any, number: F) -> None:
    """Whole numbers, decimals, fractions and their plain text keep their exact value."""
    assert exact(value) == number


@pytest.mark.parametrize(
    "value",
    [
        0.5, 2.0, float("nan"), True, False, None, [1], "1/0", "", " ", "-", ".", "1.", "1,5",
        "12,34",
        "1e5", "nan", "1 1/2", "two", "1_000", "٣", "9" * 201, Decimal("NaN"), Decimal("Infinity"),
        Decimal("1E+1000000"), Decimal("1E-1000000"), b"1",
    ],
)  # fmt: skip
def test_the_door_refuses_everything_else(value: Any) -> None:
    """Floats, booleans, words and broken numbers raise the package's own error."""
    with pytest.raises(MeasureError):
        exact(value)


def test_the_words_that_begin_a_number() -> None:
    """A word begins a number where it is one by itself; "zero" is left out on purpose."""
    assert {word for word in WORDS if take_number(word)} == STARTERS | {"zero"}
