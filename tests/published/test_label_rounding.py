"""Declared values and per cent Daily Value against the regulation and the FDA's sample label.

Rounding: 21 CFR 101.9(c), read in 9 CFR 317.309(c), which mirrors it (2015 annual edition), and
Appendix H of the FDA's Food Labeling Guide. Sample label: the one printed in 21 CFR 101.9(d)(12),
read in a secondary copy. Daily Values: 21 CFR 101.9(c)(8)(iv) and (c)(9), 2016 rule.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.kitchen.label import declared, declared_text, percent_daily_value


@pytest.mark.parametrize(
    ("value", "expect"),
    [("47", 45), ("52", 50), ("236", 240), ("4.9", 0), ("50", 50), ("55", 60), ("5", 5)],
)
def test_energy(value: str, expect: int) -> None:
    """317.309(c)(1): under 5 kcal 0; to 50 by fives; above by tens (55 lies midway and goes up)."""
    assert declared(Fraction(value), "energy") == expect


@pytest.mark.parametrize(
    ("value", "expect"),
    [("0.4", "0"), ("0.5", "0.5"), ("2.7", "2.5"), ("4.8", "5"), ("5.4", "5"), ("13.5", "14")],
)
def test_fats(value: str, expect: str) -> None:
    """317.309(c)(2): under 0.5 g 0; under 5 g by halves; from 5 g by grams."""
    assert declared_text(Fraction(value), "fat") == expect


@pytest.mark.parametrize(
    ("value", "expect"),
    [("1.9", "0"), ("2", "less than 5"), ("5", "less than 5"), ("7.4", "5"), ("7.5", "10")],
)
def test_cholesterol(value: str, expect: str) -> None:
    """317.309(c)(3): under 2 mg 0; 2 to 5 mg "less than 5"; else by fives."""
    assert declared_text(Fraction(value), "cholesterol") == expect


def test_two_milligrams_of_cholesterol_are_not_nothing() -> None:
    """317.309(c)(3): only below 2 mg may cholesterol be declared as 0."""
    assert declared(Fraction("1.99"), "cholesterol") == 0
    assert declared(Fraction("2.2"), "cholesterol") == 5


@pytest.mark.parametrize(
    ("value", "expect"),
    [("4.9", 0), ("5", 5), ("137", 135), ("138", 140), ("140", 140), ("144", 140), ("574", 570)],
)
def test_sodium(value: str, expect: int) -> None:
    """317.309(c)(4): under 5 mg 0; to 140 mg by fives; above by tens."""
    assert declared(Fraction(value), "sodium") == expect


@pytest.mark.parametrize(
    ("value", "expect"),
    [("0.4", "0"), ("0.5", "less than 1"), ("0.99", "less than 1"), ("1.4", "1"), ("7.5", "8")],
)
def test_grams(value: str, expect: str) -> None:
    """317.309(c)(6), (7): carbohydrate, fiber, sugars and protein by grams, under 0.5 g 0."""
    assert declared_text(Fraction(value), "gram") == expect


@pytest.mark.parametrize(
    ("nutrient", "amount", "percent"),
    [
        ("fat", "8", 10),
        ("saturated-fat", "1", 5),
        ("cholesterol", "0", 0),
        ("sodium", "160", 7),
        ("carbohydrate", "37", 13),
        ("fiber", "4", 14),
        ("vitamin-d", "2", 10),
        ("calcium", "260", 20),
        ("iron", "8", 45),
        ("potassium", "235", 6),
        ("potassium", "240", 6),
    ],
)
def test_the_sample_label(nutrient: str, amount: str, percent: int) -> None:
    """The FDA's sample label: 235 mg of potassium is 5.0 % and prints 6 %, so halves go up."""
    record = desk().corpus.nutrients[nutrient]
    assert record.daily_value is not None
    made = percent_daily_value(Fraction(amount), Fraction(record.daily_value), record.rounding)
    assert made == percent


@pytest.mark.parametrize(
    ("nutrient", "value"),
    [
        ("fat", "78"), ("saturated-fat", "20"), ("cholesterol", "300"), ("carbohydrate", "275"),
        ("sodium", "2300"), ("fiber", "28"), ("protein", "50"), ("vitamin-a", "900"),
        ("vitamin-c", "90"), ("calcium", "1300"), ("iron", "18"), ("vitamin-d", "20"),
        ("vitamin-e", "15"), ("vitamin-k", "120"), ("thiamin", "1.2"), ("riboflavin", "1.3"),
        ("niacin", "16"), ("vitamin-b6", "1.7"), ("folate", "400"), ("vitamin-b12", "2.4"),
        ("phosphorus", "1250"), ("magnesium", "420"), ("zinc", "11"), ("potassium", "4700"),
        ("choline", "550"),
    ],
)  # fmt: skip
def test_daily_values(nutrient: str, value: str) -> None:
    """21 CFR 101.9(c)(8)(iv) and (c)(9), 2016 rule, read in a secondary copy."""
    record = desk().corpus.nutrients[nutrient]
    assert record.daily_value is not None
    assert Fraction(record.daily_value) == Fraction(value)


@given(
    st.fractions(min_value=0, max_value=5000, max_denominator=1000),
    st.sampled_from(["energy", "fat", "sodium", "gram", "cholesterol"]),
)
def test_rounding_never_falls_as_the_value_grows(value: Fraction, band: str) -> None:
    """A larger amount is never declared as less."""
    assert declared(value, band) <= declared(value + Fraction(1, 7), band)
