"""Pots and pans: volume with headspace, pots or batches, minutes to the boil."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.corpus.records import Recipe
from assistant.kitchen.vessels import (
    batch,
    boiling_step,
    how_many,
    lines_until,
    minutes_to_boil,
    quarters,
    read_capacity,
    vessels,
    water_step,
)

# NIST Handbook 44, Appendix C: 1 liquid quart is 57.75 cubic inches, 1 inch is 2.54 cm, so
# 57.75 × 16.387064 mL; 1 cup is a quarter of it.
QUART = Fraction(946352946, 1_000_000)

# The red lentil soup as written, in grams. SR28 household weights, code by code: olive oil 04053,
# 2 tbsp of 13.5; onion 11282, large 150; carrots 11124, 2 medium of 61; garlic 11215, 3 cloves of
# 3; cumin 02014, 2 tsp of 2.1; paprika 02028, 1/2 tsp of 2.3; lentils 16144, 1 1/2 cups of 192;
# salt 02047, 1/2 tsp of 6. The can is 14.5 oz × 28.35 = 411; broth is counted as water, 6 × 240.
IN_THE_POT = 27 + 150 + 122 + 9 + Fraction(42, 10) + Fraction(115, 100) + 288 + 411 + 1440 + 3
# Spinach 11457, 4 cups of 30; lemon juice 09152, 2 tbsp of 244/16.
IN_ALL = IN_THE_POT + 120 + Fraction(305, 10)


def _soup() -> Recipe:
    return desk().corpus.recipes["red-lentil-soup"]


@pytest.mark.parametrize(
    ("text", "item", "measure", "size"),
    [
        ("5 quarts", "soup pot", "volume", 5 * QUART),
        ("2 cups", "jar", "volume", QUART / 2),
        ("18 x 13 inches", "sheet pan", "area", Fraction(18 * 13)),
        ("9 by 13 inch", "baking dish", "area", Fraction(9 * 13)),
        ("8.5 x 4.5 inches", "loaf pan", "area", Fraction(85 * 45, 100)),
        ("12 inches", "skillet", "area", Fraction(144)),  # with the square on its width
        ("12 cups", "muffin tin", "holes", Fraction(12)),
    ],
)
def test_a_capacity_is_read(text: str, item: str, measure: str, size: Fraction) -> None:
    """Volumes in milliliters, pans by their area in square inches, tins by their hollows."""
    found = read_capacity(text, item)
    assert found is not None
    assert found.measure == measure
    assert abs(found.size - size) < Fraction(1, 1000)


@pytest.mark.parametrize("text", ["", "large", "2 lb", "a pot"])
def test_what_says_no_size_has_none(text: str) -> None:
    """A weight or a word is no capacity."""
    assert read_capacity(text) is None


def test_how_many_of_a_thing() -> None:
    """The number in front of it, and one where there is none."""
    assert [how_many(item) for item in ("4 jars with lids", "large pot", "2 racks")] == [4, 1, 2]


def test_a_batch_weighs_what_its_lines_weigh() -> None:
    """The soup for 6, and for 14 a third more than twice that; what is optional is left out."""
    soup = _soup()
    once = batch(soup.lines, Fraction(1))
    assert once.grams == (IN_ALL, IN_ALL)
    assert once.missing == ()
    assert batch(soup.lines, Fraction(14, 6)).grams[1] == IN_ALL * 14 / 6


def test_volume_with_headspace_for_fourteen() -> None:
    """2,605.85 g × 14/6 = 6,080.3 mL = 6.43 quarts; filled three quarters, 8.57 quarts of pot.

    1 mL a gram and three quarters full are common practice, no source. A 6-quart pot takes it in
    two; a 10-quart pot holds it whole.
    """
    volume = IN_ALL * 14 / 6
    assert Fraction(642, 100) < volume / QUART < Fraction(643, 100)
    assert quarters(volume / QUART, up=True) == Fraction(13, 2)
    pot = volume / Fraction(3, 4)
    assert quarters(pot / QUART, up=True) == Fraction(35, 4)
    assert vessels(volume, 6 * QUART, Fraction(3, 4)) == 2
    assert vessels(volume, 10 * QUART, Fraction(3, 4)) == 1


@pytest.mark.parametrize(
    ("need", "size", "many"),
    [(10, 10, 1), (Fraction(1001, 100), 10, 2), (20, 10, 2), (1, 10, 1), (0, 10, 1), (95, 10, 10)],
)
def test_vessels_are_counted_up(need: Fraction, size: Fraction, many: int) -> None:
    """A pot that is exactly full is one pot; anything over takes another; never fewer than one."""
    assert vessels(Fraction(need), Fraction(size)) == many


def test_quarters_round_to_the_safe_side() -> None:
    """A need of 5.1 quarts is 5 1/4, a pot of 5.9 quarts holds 5 3/4; whole quarts stay."""
    assert quarters(Fraction(51, 10), up=True) == Fraction(21, 4)
    assert quarters(Fraction(59, 10), up=False) == Fraction(23, 4)
    assert quarters(Fraction(5), up=True) == quarters(Fraction(5), up=False) == 5


def test_what_is_in_the_pot_when_it_boils() -> None:
    """At the soup's third step all is in but spinach and lemon juice, which come after it."""
    soup = _soup()
    step = boiling_step(soup)
    assert step is not None
    assert step.id == "simmer"
    used = lines_until(soup, step, desk().corpus.pantry)
    assert {line.item for line in soup.lines} - {line.item for line in used} == {
        "baby-spinach", "lemon-juice", "plain-yogurt",
    }  # fmt: skip
    assert batch(used, Fraction(1)).grams == (IN_THE_POT, IN_THE_POT)


def test_a_pot_of_water_is_no_boiling_dish() -> None:
    """The noodles' first step boils water alone; the soup has no such step."""
    noodles = desk().corpus.recipes["peanut-noodles"]
    water = water_step(noodles)
    assert water is not None
    assert water.id == "water"
    assert water_step(_soup()) is None


def test_minutes_to_the_boil() -> None:
    """Weight × 4.186 J/g °C × 79 °C ÷ power (the heat of water, from memory).

    A kilogram of water at 1,000 W: 4,186 × 79 ÷ 1,000 = 330.7 s = 5.51 min, and half of that at
    2,000 W. The soup: 2,455 g, 6.77–13.53 min; for 14 it is 15.8–31.6 min.
    """
    heat, degrees = Fraction(4186, 1000), Fraction(79)
    watts = (Fraction(1000), Fraction(2000))
    kilogram = (Fraction(1000), Fraction(1000))
    low, high = minutes_to_boil(kilogram, watts, heat, degrees)
    assert Fraction(551, 100) < high < Fraction(552, 100)
    assert low == high / 2
    soup = minutes_to_boil((IN_THE_POT, IN_THE_POT), watts, heat, degrees)
    assert [round(float(value), 2) for value in soup] == [6.77, 13.53]
    grown = minutes_to_boil((IN_THE_POT * 14 / 6,) * 2, watts, heat, degrees)
    assert [round(float(value), 1) for value in grown] == [15.8, 31.6]


@given(st.integers(1, 50_000), st.integers(1, 40), st.sampled_from([500, 1000, 1800]))
def test_the_minutes_grow_as_the_batch_does(grams: int, factor: int, watts: int) -> None:
    """So many times as much takes so many times as long on the same burner."""
    power = (Fraction(watts), Fraction(watts))
    once = minutes_to_boil((Fraction(grams),) * 2, power, Fraction(4), Fraction(80))
    more = minutes_to_boil((Fraction(grams * factor),) * 2, power, Fraction(4), Fraction(80))
    assert more == (once[0] * factor, once[1] * factor)


@given(st.integers(1, 100_000), st.integers(1, 20_000))
def test_so_many_vessels_hold_it_and_one_fewer_does_not(need: int, size: int) -> None:
    """The number of pots is the smallest that is enough."""
    many = vessels(Fraction(need), Fraction(size), Fraction(3, 4))
    assert many * size * 3 >= need * 4
    assert many == 1 or (many - 1) * size * 3 < need * 4
