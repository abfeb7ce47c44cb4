"""Standing out, thawing and power cuts: what must hold for any time and weight."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import TODAY, desk
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.answer import Answer
from assistant.kitchen.cooling import minutes_to_cool, pot_depth
from assistant.kitchen.handling import out_limit, stood_out, thaw_minutes

MINUTES = st.fractions(min_value=0, max_value=3000, max_denominator=60)
ORDER = ["within", "at the limit", "over"]


def _ask(text: str) -> Answer:
    return desk().ask(text, desk().context(today=TODAY))


@given(st.lists(MINUTES, max_size=5), MINUTES)
def test_more_time_out_never_makes_it_safer(periods: list[Fraction], more: Fraction) -> None:
    """Another period out can only make the verdict worse."""
    limit = desk().corpus.limits["out"]
    before, after = stood_out(periods, limit), stood_out([*periods, more], limit)
    assert ORDER.index(before.verdict) <= ORDER.index(after.verdict)


@given(st.lists(MINUTES, min_size=1, max_size=4), st.integers(0, 130))
def test_heat_never_makes_it_safer(periods: list[Fraction], degrees: int) -> None:
    """Above 90 °F the verdict is as bad or worse."""
    cool, hot = desk().corpus.limits["out"], desk().corpus.limits["out-hot"]
    at_room = stood_out(periods, out_limit(None, cool, hot))
    there = stood_out(periods, out_limit(Fraction(degrees), cool, hot))
    assert ORDER.index(at_room.verdict) <= ORDER.index(there.verdict)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 600))
def test_the_answer_follows_the_limit(out: int) -> None:
    """Asked in words, up to two hours is within or at the limit, and more is over."""
    answer = _ask(f"how bad is it if the stew was out of the fridge {out} minutes?")
    if not answer.urgent and answer.kind == "safety" and answer.figures:
        assert answer.headline.startswith("No") == (out > 120)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(95, 35), (104, 40), (77, 25), (68, 20)])
def test_both_scales_give_the_same_answer(fahrenheit: int, celsius: int) -> None:
    """°F and °C wordings of one temperature give one answer: F = C × 9/5 + 32, exactly."""
    one = _ask(f"egg muffins out for 90 minutes in {fahrenheit} °F weather, ok?")
    other = _ask(f"egg muffins out for 90 minutes in {celsius} °C weather, ok?")
    assert one.headline == other.headline


@given(st.integers(1, 20000), st.integers(0, 5000))
def test_a_heavier_bird_never_thaws_sooner(grams: int, more: int) -> None:
    """Thawing time rises with weight."""
    for name in ("thaw-fridge", "thaw-water"):
        limit = desk().corpus.limits[name]
        light, heavy = (thaw_minutes(Fraction(g), limit) for g in (grams, grams + more))
        assert light[0] <= heavy[0]
        assert light[1] <= heavy[1]


def test_thawing_a_twenty_pound_bird_by_hand() -> None:
    """20 lb: 24 h for each 4–5 lb is 96–120 h, 30 min a lb is 10 h."""
    answer = _ask("how long to thaw a 20 lb turkey?")
    fridge, water = answer.figures
    assert fridge.value == 20 * 24 * 60 // 4
    assert water.value == 600
    assert fridge.shown == "4–5 days"


@given(st.integers(1, 40), st.integers(1, 40))
def test_a_deeper_pan_never_cools_sooner(one: int, other: int) -> None:
    """Cooling time rises with depth."""
    low, high = sorted((one, other))
    assert minutes_to_cool(Fraction(low), 135, 70, 38) <= minutes_to_cool(
        Fraction(high), 135, 70, 38
    )


def test_the_depth_of_a_stockpot_by_hand() -> None:
    """12 quarts are 11,356 mL; a pot as wide as deep is (4 × 11356 ÷ π)^(1/3) = 24.4 cm, 9.6 in."""
    assert pot_depth(Fraction(11356)) == Fraction(96, 10)


def test_air_that_is_too_warm_cannot_cool() -> None:
    """The estimate refuses surroundings that are not colder than the end."""
    with pytest.raises(ValueError, match="colder"):
        minutes_to_cool(Fraction(2), 135, 70, 70)
