"""What real spoons, cups and scales measure: cases worked by hand and the 5 % property."""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.amount import Amount, amount, convert_amount, read_amount, scale, show
from assistant.measure.spoons import TOLERANCE, Shown, System, kitchen
from assistant.measure.units import UNITS

VOLUMES = [name for name, one in UNITS.items() if one.dimension == "volume"]
WEIGHTS = [name for name, one in UNITS.items() if one.dimension == "weight"]
LENGTHS = [name for name, one in UNITS.items() if one.dimension == "length"]
COUNTED = [name for name, one in UNITS.items() if one.dimension == "count"]
NUMBER = st.fractions(min_value=F(1, 1000), max_value=2000, max_denominator=1000)
SYSTEMS: list[System] = ["us", "metric"]

# exact amount, US text, worked by hand: 1 cup = 16 tbsp = 48 tsp
US = [
    ("3 tsp", "1 tbsp"),
    ("48 tsp", "1 cup"),
    ("4 tbsp", "1/4 cup"),
    ("16 tbsp", "1 cup"),
    ("6 tbsp", "1/4 cup + 2 tbsp"),
    ("5 tbsp", "1/4 cup + 1 tbsp"),
    ("5/8 cup", "1/2 cup + 2 tbsp"),
    ("7/8 cup", "3/4 cup + 2 tbsp"),
    ("1 1/8 cups", "1 cup + 2 tbsp"),
    ("1/3 cup", "1/3 cup"),
    ("2/3 cup", "2/3 cup"),
    ("14 cups", "14 cups"),
    ("2.1 cups", "2 cups"),  # 4.8 % off
    ("2.11 cups", "2 cups + 2 tbsp"),  # 2 cups is 5.2 % off; 2.125 is 0.7 % off
    ("7/6 tbsp", "1 tbsp + 1/2 tsp"),  # 3 1/2 tsp
    ("1 1/2 tbsp", "1 tbsp + 1 1/2 tsp"),
    ("7/24 cup", "1/4 cup + 2 tsp"),  # 14 tsp; 1/4 and 1/3 cup are both 14 % off
    ("9 1/2 tbsp", "1/2 cup + 1 tbsp + 1 1/2 tsp"),  # 9 and 10 tbsp are both 5.3 % off
    ("3/8 tsp", "1/4 tsp + 1/8 tsp"),
    ("7/8 tsp", "3/4 tsp + 1/8 tsp"),
    ("1/8 tsp", "1/8 tsp"),
    ("1 dash", "1/8 tsp"),
    ("1 pinch", "a pinch (about 1/16 tsp)"),
    ("1/12 tsp", "1/12 tsp (between a pinch and 1/8 tsp)"),
    ("1/40 tsp", "0.025 tsp (less than a pinch)"),
    ("3/16 tsp", "3/16 tsp (between 1/8 and 1/4 tsp)"),
    ("8 fl oz", "1 cup"),
    ("1 gallon", "16 cups"),
    ("1 1/2–2 cups", "1 1/2–2 cups"),
    ("1–1 1/4 cups", "1–1 1/4 cups"),
    ("3–4 tbsp", "3 tbsp to 1/4 cup"),
    ("5/8–1 cup", "1/2 cup + 2 tbsp to 1 cup"),
    ("0–1/2 cup", "0–1/2 cup"),
    ("0–5/8 cup", "up to 1/2 cup + 2 tbsp"),
    ("20 oz", "1 lb 4 oz"),
    ("2 lb", "2 lb"),
    ("15.9 oz", "1 lb"),
    ("8 oz", "8 oz"),
    ("6.3 oz", "6 1/4 oz"),
    ("1.1 oz", "1.1 oz"),  # the nearest quarter ounce is 9 % off
    ("1–2 lb", "1–2 lb"),
    ("400 g", "14 oz"),  # 14.11 oz
    ("1 g", "1 g"),  # 0.035 oz: too little for a kitchen scale in ounces
    ("9 inches", "9 inches"),
    ("25 cm", "9 3/4 inches"),  # 9.84 inches
    ("120 kcal", "120 kcal"),
    ("0 cups", "0 cups"),
]

# exact amount, metric text
METRIC = [
    ("1 tsp", "5 mL"),
    ("1/4 tsp", "1.2 mL"),  # 1.23: 1 mL would be 19 % off
    ("1 tbsp", "15 mL"),
    ("1/3 cup", "80 mL"),  # 78.9
    ("1 cup", "235 mL"),  # 236.6
    ("14 cups", "3.3 L"),  # 3312
    ("1 quart", "945 mL"),  # 946.4
    ("1 1/2–2 cups", "355–475 mL"),  # 354.9 and 473.2
    ("1 oz", "28 g"),
    ("1 lb", "455 g"),  # 453.6
    ("3 lb", "1.36 kg"),  # 1360.8
    ("1 inch", "2.5 cm"),
    ("9 inches", "23 cm"),  # 22.9
]


@pytest.mark.parametrize(("exact", "text"), US)
def test_known_amounts_in_cups_spoons_and_pounds(exact: str, text: str) -> None:
    """Each exact amount prints as the measures a cook would reach for."""
    assert kitchen(read_amount(exact)).text == text


@pytest.mark.parametrize(("exact", "text"), METRIC)
def test_known_amounts_in_metric(exact: str, text: str) -> None:
    """The metric text stands beside the US text, and comes first when asked to."""
    assert kitchen(read_amount(exact)).also == text
    assert kitchen(read_amount(exact), "metric").text == text


def test_metric_first_puts_us_measures_beside() -> None:
    """Turned round, the same two texts change places."""
    us, metric = kitchen(amount(14, "cup")), kitchen(amount(14, "cup"), "metric")
    assert (us.text, us.also) == (metric.also, metric.text) == ("14 cups", "3.3 L")


@pytest.mark.parametrize(
    ("exact", "aside"),
    [
        ("14 cups", "3 1/2 quarts"), ("4 cups", "1 quart"), ("3 cups", ""), ("4 1/2 cups", ""),
        ("16 cups", "1 gallon"), ("17 cups", "4 1/4 quarts"), ("40 cups", "2 1/2 gallons"),
        ("4–8 cups", ""), ("2 lb", ""),
    ],
)  # fmt: skip
def test_whole_quarts_and_gallons_are_an_aside(exact: str, aside: str) -> None:
    """Large whole cups stay cups, with quarts or gallons beside them."""
    assert kitchen(read_amount(exact)).aside == aside


@pytest.mark.parametrize(
    ("exact", "text", "buy", "also"),
    [
        ("3 1/2 cans", "3 1/2 cans", 4, ""),
        ("3 1/2 (15 oz) cans", "3 1/2 (15 oz) cans", 4, "425 g each"),
        ("1 (15 oz) can", "1 (15 oz) can", 1, "425 g"),
        ("2 (400 g) cans", "2 (400 g) cans", 2, "14 oz each"),
        ("7/3", "2 1/3", 3, ""),
        ("2–2 1/2 large", "2–2 1/2 large", 3, ""),
        ("3 heads", "3 heads", 3, ""),
        ("2 1/2 servings", "2 1/2 servings", None, ""),
    ],
)
def test_counted_things_keep_the_need_and_say_how_many_to_buy(
    exact: str, text: str, buy: int | None, also: str
) -> None:
    """The exact need is printed and the number to buy is rounded up."""
    assert kitchen(read_amount(exact)) == Shown(text, text, moved=False, also=also, buy=buy)


def test_six_cups_for_six_become_fourteen_for_fourteen() -> None:
    """14/6 of 6 cups is 14 cups, unmoved."""
    shown = kitchen(scale(amount(6, "cup"), F(14, 6)))
    assert (shown.text, shown.exact, shown.moved) == ("14 cups", "14 cups", False)


def test_a_moved_amount_says_so_and_keeps_the_exact_one() -> None:
    """Rounding to a cup is marked, with the exact amount beside it."""
    shown = kitchen(read_amount("2.1 cups"))
    assert (shown.text, shown.exact, shown.moved) == ("2 cups", "2.1 cups", True)


def printed(shown: Shown, name: str, text: str | None = None) -> Amount:
    """Return the amount that a printed text says, read by the ordinary reader."""
    words = (shown.text if text is None else text).split(" (")[0]
    return convert_amount(read_amount(words), name)


@given(NUMBER, st.sampled_from([*VOLUMES, *WEIGHTS, *LENGTHS]), st.sampled_from(SYSTEMS))
def test_what_is_printed_is_within_five_percent(number: F, name: str, first: System) -> None:
    """The text, read back, is at most 5 % from the exact amount, and `moved` tells the truth."""
    exact = amount(number, name)
    shown = kitchen(exact, first)
    read = printed(shown, name)
    assert abs(read.low - number) <= TOLERANCE * number
    assert shown.moved == (read.low != number)
    assert shown.exact == show(exact)
    if shown.also:
        beside = printed(shown, name, shown.also)
        assert abs(beside.low - number) <= TOLERANCE * number


@given(NUMBER, NUMBER, st.sampled_from(["cup", "tablespoon", "ounce", "gram"]))
def test_both_ends_of_a_printed_range_are_within_five_percent(one: F, other: F, name: str) -> None:
    """A printed range reads back with each end at most 5 % off."""
    low, high = min(one, other), max(one, other)
    shown = kitchen(Amount(low, high, name))
    if "(" in shown.text:
        return
    read = printed(shown, name)
    assert abs(read.low - low) <= TOLERANCE * low
    assert abs(read.high - high) <= TOLERANCE * high


@given(st.integers(min_value=1, max_value=48 * 6 * 4))
def test_no_single_measure_is_missed(quarter_teaspoons: int) -> None:
    """Two measures are printed only where no single spoon or cup comes within 5 %."""
    need = F(quarter_teaspoons, 4)
    spoons = [F(n, 4) for n in range(1, 12)] + [F(1, 8), F(3), F(6), F(9)]
    cups = [48 * (w + F(p)) for w in range(7) for p in ("0", "1/4", "1/3", "1/2", "2/3", "3/4")]
    possible = any(abs(one - need) <= need * TOLERANCE for one in [*spoons, *cups] if one)
    assert (" + " not in kitchen(amount(need, "teaspoon")).text) == possible


@pytest.mark.parametrize("first", SYSTEMS)
def test_more_never_prints_less(first: System) -> None:
    """Walking up from a quarter teaspoon to six cups, the printed amount never falls."""
    last = F(0)
    for step in range(2, 48 * 6 * 8 + 1):
        need = F(step, 8)
        value = printed(kitchen(amount(need, "teaspoon"), first), "teaspoon").low
        assert value >= last, need
        last = value


@given(NUMBER, st.sampled_from(["", *COUNTED]), st.sampled_from(SYSTEMS))
def test_buying_covers_the_need(number: F, name: str, first: System) -> None:
    """Whole things bought are at least the need and less than one more."""
    shown = kitchen(amount(number, name), first)
    assert read_amount(shown.text) == amount(number, name)
    assert shown.buy is None or number <= shown.buy < number + 1
