"""Label claims against worked cases of the rules.

Limits: 21 CFR 101.13 and 101.54 to 101.62, annual edition 2015, read in full. The two main dishes
of the sodium test are worked by hand from 101.61(b)(5). The limits of the 2024 rule on "healthy"
are from memory and are held to their record only.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from desk_fixture import desk

from assistant.kitchen.claims import Bounds, Dish, judge, judge_one, sort_of_dish, verdict_of

CLAIMS = desk().corpus.claims
NUTRIENTS = desk().corpus.nutrients


def _dish(grams: int | None = None, **amounts: str) -> Dish:
    made: dict[str, Bounds] = {
        name.replace("_", "-"): (Fraction(value), Fraction(value))
        for name, value in amounts.items()
    }
    weight = None if grams is None else (Fraction(grams), Fraction(grams))
    return Dish(made, weight, weighed=True)


def _outcome(claim: str, dish: Dish) -> str:
    return verdict_of(judge(CLAIMS[claim], dish, NUTRIENTS))


@pytest.mark.parametrize(
    ("grams", "sodium", "expect"),
    [(350, "600", "not met"), (300, "400", "met"), (100, "140", "met"), (100, "140.1", "not met")],
)
def test_low_sodium_main_dish(grams: int, sodium: str, expect: str) -> None:
    """101.61(b)(5): 600 mg in 350 g is 171 mg in 100 g, 400 mg in 300 g is 133 mg; limit 140."""
    assert _outcome("low-sodium-meal", _dish(grams, sodium=sodium)) == expect


def test_low_fat_main_dish_needs_both_limits() -> None:
    """101.62(b)(3): at most 3 g in 100 g and at most 30 % of the energy from fat."""
    assert (
        _outcome("low-fat-meal", _dish(300, fat="9", energy="270")) == "met"
    )  # 3 g; 81/270 = 30 %
    assert _outcome("low-fat-meal", _dish(300, fat="9", energy="200")) == "not met"  # 40.5 %
    assert _outcome("low-fat-meal", _dish(300, fat="9.1", energy="900")) == "not met"


def test_low_saturated_fat_main_dish_is_strict() -> None:
    """101.62(c)(3): under 10 % of the energy, so exactly 10 % is not met."""
    dish = _dish(300, saturated_fat="3", energy="270")  # 1 g in 100 g; 27/270 = 10 %
    assert _outcome("low-saturated-fat-meal", dish) == "not met"
    assert _outcome("low-saturated-fat-meal", _dish(300, saturated_fat="3", energy="271")) == "met"


@pytest.mark.parametrize(
    ("claim", "fiber", "expect"),
    [("high-source", "5.6", "met"), ("high-source", "5.5", "not met"),
     ("good-source", "2.8", "met"), ("good-source", "2.7", "not met")],
)  # fmt: skip
def test_sources_of_fiber(claim: str, fiber: str, expect: str) -> None:
    """101.54(b), (c): 20 % and 10 % of the Daily Value of 28 g are 5.6 g and 2.8 g."""
    record = CLAIMS[claim]
    dish = _dish(fiber=fiber)
    judged = [judge_one(record, c, "fiber", dish, NUTRIENTS) for c in record.criteria]
    assert verdict_of(judged) == expect


@pytest.mark.parametrize(
    ("claim", "nutrient", "limit", "section"),
    [
        ("low-calorie", "energy", "40", "101.60(b)(2)"),
        ("low-calorie-meal", "energy", "120", "101.60(b)(3)"),
        ("sodium-free", "sodium", "5", "101.61(b)(1)"),
        ("very-low-sodium", "sodium", "35", "101.61(b)(2)"),
        ("low-sodium", "sodium", "140", "101.61(b)(4)"),
        ("fat-free", "fat", "0.5", "101.62(b)(1)"),
        ("low-fat", "fat", "3", "101.62(b)(2)"),
        ("low-saturated-fat", "saturated-fat", "1", "101.62(c)(2)"),
        ("low-cholesterol", "cholesterol", "20", "101.62(d)(2)"),
        ("lean-meal", "fat", "10", "101.62(e)(3)"),
        ("disclosure-main-dish", "sodium", "720", "101.13(h)(3)"),
        ("disclosure-meal", "sodium", "960", "101.13(h)(2)"),
    ],
)
def test_limits_as_in_the_rule(claim: str, nutrient: str, limit: str, section: str) -> None:
    """Each limit and its section as the regulation gives it."""
    record = CLAIMS[claim]
    assert record.section == section
    assert {c.limit for c in record.criteria if c.nutrient == nutrient} >= {Decimal(limit)}


def test_a_gap_is_never_met() -> None:
    """With no upper bound a limit from above cannot be met, but can be broken."""
    open_above = Dish({"sodium": (Fraction(100), None)}, (Fraction(100), Fraction(100)), True)
    assert _outcome("low-sodium-meal", open_above) == "cannot tell"
    broken = Dish({"sodium": (Fraction(200), None)}, (Fraction(100), Fraction(100)), True)
    assert _outcome("low-sodium-meal", broken) == "not met"


def test_near_a_limit_an_unweighed_dish_is_left_open() -> None:
    """Without a cooked weight a value within a fifth of the limit is "cannot tell"."""
    rough = Dish({"sodium": (Fraction(125), Fraction(125))}, (Fraction(100), Fraction(100)))
    assert _outcome("low-sodium-meal", rough) == "cannot tell"
    low = Dish({"sodium": (Fraction(100), Fraction(100))}, (Fraction(100), Fraction(100)))
    assert _outcome("low-sodium-meal", low) == "met"


@pytest.mark.parametrize(
    ("recipe", "expect"),
    [("turkey-chili", "meal"), ("overnight-oats", "meal"), ("red-lentil-soup", "main dish")],
)
def test_meal_and_main_dish(recipe: str, expect: str) -> None:
    """101.13(l): 10 oz and three 40 g portions of two groups; (m): 6 oz and 40 g of each of two.

    Chili, 458 g: tomatoes, beans and turkey of 40 g and more each. Oats, over 300 g: 40.5 g oats,
    milk and yogurt, 74 g berries. Soup, 434 g: only tomatoes (68 g) and lentils (48 g) reach 40 g.
    """
    corpus = desk().corpus
    found = corpus.recipes[recipe]
    grams = sum((line.grams or (0, 0))[0] for line in found.lines if not line.optional)
    sort = sort_of_dish(
        found.lines,
        Fraction(found.yields.servings),
        Fraction(grams) / found.yields.servings,
        desk().shelf.table,
        corpus.pantry,
        corpus.food_groups,
    )
    assert sort.name == expect


def test_every_answer_on_a_claim_says_what_the_rules_are_for() -> None:
    """The legal remark stands in every answer that holds a dish against a claim."""
    for ask in ("can we call the minestrone low sodium?", "is the quinoa salad healthy?"):
        answer = desk().ask(ask, desk().context())
        assert any("legal advice" in line for line in answer.lines), ask


def test_healthy_is_never_said_outright() -> None:
    """Food-group equivalents are not reckoned, so the rule's outcome is never "met"."""
    answer = desk().ask("is the quinoa salad healthy?", desk().context())
    assert "cannot be told" in answer.headline
    assert answer.verdict == "partial"
