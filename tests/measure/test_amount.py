"""Amounts: reading ingredient lines, exact text, scaling, adding, converting, encoding."""

import time
from fractions import Fraction as F
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.amount import (
    Amount,
    add,
    amount,
    convert_amount,
    dec_hook,
    enc_hook,
    read_amount,
    scale,
    show,
    take_amount,
)
from assistant.measure.exact import MeasureError
from assistant.measure.units import UNITS

NUMBER = st.fractions(min_value=0, max_value=10_000, max_denominator=10_000)
MEASURED = [name for name, one in UNITS.items() if one.dimension != "count"]
COUNTED = ["", *(name for name, one in UNITS.items() if one.dimension == "count")]
FACTOR = st.fractions(min_value=F(1, 1000), max_value=1000)


@st.composite
def amounts(draw: Any) -> Amount:
    """Draw any amount: measured, counted, a range, with or without the size of one."""
    low, high = sorted((draw(NUMBER), draw(NUMBER)))
    low = draw(st.sampled_from([low, high]))
    name = draw(st.sampled_from([*MEASURED, *COUNTED]))
    size = st.tuples(NUMBER.filter(bool), st.sampled_from(MEASURED))
    each = draw(st.none() | size) if name in COUNTED else None
    return Amount(low, high, name, each)


# line, shown amount, what follows
LINES = [
    ("2 tbsp canola oil", "2 tbsp", "canola oil"),
    ("2 Tbsp. canola oil", "2 tbsp", "canola oil"),
    ("2T canola oil", "2 tbsp", "canola oil"),
    ("3 t salt", "3 tsp", "salt"),
    ("200g flour", "200 g", "flour"),
    ("1 1/2–2 cups water", "1 1/2–2 cups", "water"),
    ("1 cup to 1 1/2 cups water", "1–1 1/2 cups", "water"),
    ("3 tbsp to 1/4 cup water", "3–4 tbsp", "water"),
    ("2 or 3 cloves garlic", "2–3 cloves", "garlic"),
    ("3 cloves garlic", "3 cloves", "garlic"),
    ("1 large onion", "1 large", "onion"),
    ("2 eggs", "2", "eggs"),
    ("half an onion", "1/2", "onion"),
    ("half a dozen eggs", "6", "eggs"),
    ("half a cup of sugar", "1/2 cup", "sugar"),
    ("two-thirds of a cup of rice", "2/3 cup", "rice"),
    ("a cup and a half of rice", "1 1/2 cups", "rice"),
    ("a cup", "1 cup", ""),
    ("a pinch of salt", "1 pinch", "salt"),
    ("Pinch of salt", "1 pinch", "salt"),
    ("2 fl. oz. lime juice", "2 fl oz", "lime juice"),
    ("8 fluid ounces milk", "8 fl oz", "milk"),
    ("1 (15 oz) can black beans", "1 (15 oz) can", "black beans"),
    ("1 15-ounce can black beans", "1 (15 oz) can", "black beans"),
    ("a 15-ounce can black beans", "1 (15 oz) can", "black beans"),
    ("one 15 oz. can black beans", "1 (15 oz) can", "black beans"),
    ("15-oz can black beans", "1 (15 oz) can", "black beans"),
    ("1 can (15 oz) black beans", "1 (15 oz) can", "black beans"),
    ("2 (15-ounce) cans tomatoes", "2 (15 oz) cans", "tomatoes"),
    ("2 x 400 g cans tomatoes", "2 (400 g) cans", "tomatoes"),
    ("1 1/2 (14.5 oz) cans tomatoes", "1 1/2 (14 1/2 oz) cans", "tomatoes"),
    ("1–2 (15 oz) cans beans", "1–2 (15 oz) cans", "beans"),
    ("2 half-pint jars salsa", "2 (1/2 pint) jars", "salsa"),
    ("5 lb bag potatoes", "1 (5 lb) bag", "potatoes"),
    ("two 6-ounce salmon fillets", "2 (6 oz)", "salmon fillets"),
    ("4 (6 oz each) fillets cod", "4 (6 oz) fillets", "cod"),
    ("1-inch piece ginger", "1 (1 inch) piece", "ginger"),
    ("1 1-inch piece ginger", "1 (1 inch) piece", "ginger"),
    ("1/2 inch piece ginger", "1 (1/2 inch) piece", "ginger"),
    ("1 1/2-inch piece ginger", "1 (1 1/2 inches) piece", "ginger"),
    ("12-inch skillet", "12 inches", "skillet"),
    ("1 lb 4 oz chicken", "20 oz", "chicken"),
    ("1 lb. 4 oz. chicken", "20 oz", "chicken"),
    ("1 cup + 2 tbsp", "18 tbsp", ""),
    ("1 cup plus 2 tablespoons flour", "18 tbsp", "flour"),
    ("1 cup and a half teaspoon salt", "48 1/2 tsp", "salt"),
    ("1/4 cup plus more for the pan", "1/4 cup", "plus more for the pan"),
    ("2 large cloves garlic", "2 cloves", "large garlic"),
    ("1 packed cup brown sugar", "1 cup", "packed brown sugar"),
    ("1 heaping tbsp flour", "1 tbsp", "heaping flour"),
    ("2 cups leaf lettuce", "2 cups", "leaf lettuce"),
    ("2 cups 1% milk", "2 cups", "1% milk"),
    ("2 T-bone steaks", "2", "T-bone steaks"),
    ("1 cup (240 mL) water", "1 cup", "(240 mL) water"),
    ("8 oz or 225 g fish", "8 oz", "or 225 g fish"),
    ("2 (optional) lemons", "2", "(optional) lemons"),
]

NOT_AMOUNTS = [
    "", "salt to taste", "2% milk", "350°F oven", "9 x 13-inch pan", "9x13 pan", "3rd rack", "7up",
    "6-ounce fillets", "2-15 oz cans", "one-pot meal", "1 C sugar", "2 cups and half an onion",
    "1 2 3", "1/0 cup", "3 cups to 2 cups", "11/25/2025", "2 -", "fl oz",
]  # fmt: skip


@pytest.mark.parametrize(("line", "shown", "rest"), LINES)
def test_the_amount_of_an_ingredient_line_is_taken(line: str, shown: str, rest: str) -> None:
    """The amount at the start is read exactly and what follows is handed back."""
    taken = take_amount(line)
    assert taken is not None
    assert (show(taken[0]), taken[1]) == (shown, rest)


@pytest.mark.parametrize("line", NOT_AMOUNTS)
def test_what_only_looks_like_an_amount_is_left_alone(line: str) -> None:
    """Percentages, pan sizes, ordinals and open amounts give None, not a wrong amount."""
    assert take_amount(line) is None


def test_a_package_keeps_its_size() -> None:
    """The parts of a sized can stand in their own fields."""
    assert read_amount("1 (15 oz) can") == Amount(F(1), F(1), "can", (F(15), "ounce"))


@given(amounts())
def test_showing_then_reading_gives_the_amount_back(a: Amount) -> None:
    """read_amount(show(a)) is a for every amount."""
    assert read_amount(show(a)) == a


@given(amounts(), FACTOR)
def test_scaling_there_and_back_changes_nothing(a: Amount, factor: F) -> None:
    """Scaling by n and then by 1/n gives the same amount."""
    assert scale(scale(a, factor), 1 / factor) == a


@given(amounts(), FACTOR, FACTOR)
def test_scaling_twice_is_scaling_by_the_product(a: Amount, one: F, other: F) -> None:
    """The order and number of scalings do not matter."""
    assert scale(scale(a, one), other) == scale(a, one * other)


@given(amounts(), amounts())
def test_adding_does_not_depend_on_the_order(a: Amount, b: Amount) -> None:
    """Both orders give the same sum, or both are refused."""
    try:
        total = add(a, b)
    except MeasureError:
        with pytest.raises(MeasureError):
            add(b, a)
        return
    assert total == add(b, a)
    if a.unit in MEASURED:
        factors = [UNITS[one.unit].factor for one in (a, b, total)]
        assert a.high * factors[0] + b.high * factors[1] == total.high * factors[2]


@given(amounts(), st.sampled_from(MEASURED))
def test_converting_an_amount_there_and_back(a: Amount, name: str) -> None:
    """A measured amount survives a conversion within its dimension and is refused outside it."""
    if a.unit in MEASURED and UNITS[a.unit].dimension == UNITS[name].dimension:
        assert convert_amount(convert_amount(a, name), a.unit) == a
    elif a.each is None:
        with pytest.raises(MeasureError):
            convert_amount(a, name)


def test_cans_become_what_they_hold() -> None:
    """Two 15-ounce cans are 30 ounces, worked by hand."""
    assert convert_amount(read_amount("2 (15 oz) cans"), "oz") == amount(30, "oz")


@given(amounts())
def test_json_and_msgpack_carry_amounts_exactly(a: Amount) -> None:
    """Both encodings give the same amount back."""
    text = msgspec.json.encode(a, enc_hook=enc_hook)
    assert msgspec.json.decode(text, type=Amount, dec_hook=dec_hook) == a
    packed = msgspec.msgpack.encode(a, enc_hook=enc_hook)
    assert msgspec.msgpack.decode(packed, type=Amount, dec_hook=dec_hook) == a


def test_a_fraction_is_encoded_as_text() -> None:
    """JSON holds "a/b", never a float."""
    encoded = msgspec.json.encode(amount("1/3", "cup"), enc_hook=enc_hook)
    assert encoded == b'{"low":"1/3","high":"1/3","unit":"cup","each":null}'


@pytest.mark.parametrize(
    "text",
    [
        b'{"low":0.5,"high":0.5}', b'{"low":"2/1","high":"1/1"}', b'{"low":"-1/1","high":"1/1"}',
        b'{"low":"1/1","high":"1/1","unit":"smidgeon"}', b'{"low":"1/0","high":"1/0"}',
        b'{"low":"1/1","high":"1/1","unit":"cup","each":["1/1","ounce"]}',
        b'{"low":"1/1","high":"1/1","unit":"can","each":["1/1","clove"]}',
        b'{"low":"1/1","high":"1/1","unit":"can","each":["0/1","ounce"]}',
    ],
)  # fmt: skip
def test_an_impossible_amount_is_not_decoded(text: bytes) -> None:
    """Floats, falling ranges, unknown units and sizes without sense are refused when decoded."""
    with pytest.raises((msgspec.ValidationError, MeasureError)):
        msgspec.json.decode(text, type=Amount, dec_hook=dec_hook)


def test_the_short_maker_takes_plain_values() -> None:
    """amount() accepts whole numbers, text and any spelling of the unit."""
    assert amount(2) == Amount(F(2), F(2))
    assert amount("1/2", "Tbsp.") == Amount(F(1, 2), F(1, 2), "tablespoon")
    assert amount(2, "cups", 3) == Amount(F(2), F(3), "cup")


def test_scaling_below_zero_is_refused() -> None:
    """A negative factor raises; zero gives nothing of it."""
    with pytest.raises(MeasureError, match="never below zero"):
        scale(amount(2, "cup"), F(-1))
    assert scale(amount(2, "cup"), F(0)) == amount(0, "cup")


@given(st.text())
def test_any_line_gives_an_amount_or_nothing(line: str) -> None:
    """No text breaks the reader, and reading whole text raises only the package's own error."""
    take_amount(line)
    try:
        read_amount(line)
    except MeasureError as error:
        assert str(error).isprintable()


PARTS = [
    "1", "2", "1/2", "½", "-", "–", "(", ")", "a", "half", "of", "and", "+", "plus", "to", "or",
    "x", "cup", "oz", "15-ounce", "can", "large", "%", "inch", "piece", ".", "T",
]  # fmt: skip


@given(st.lists(st.sampled_from(PARTS), max_size=10))
def test_scrambled_lines_give_an_amount_or_nothing(parts: list[str]) -> None:
    """Words of ingredient lines in any order never raise from take_amount."""
    take_amount(" ".join(parts))
    take_amount("".join(parts))


@pytest.mark.parametrize(
    "part",
    ["1 cup + ", "1 cup ", "(", "2 (15 oz) ", "large ", "1 ", "a", " ", "-", "1 cup and ", "."],
)
def test_long_hostile_lines_take_no_time(part: str) -> None:
    """A line of some hundred thousand characters is read in a few milliseconds."""
    for text in (part * 50_000, "1 " + part * 50_000, "1 cup" + part * 50_000):
        start = time.perf_counter()
        take_amount(text)
        assert time.perf_counter() - start < 0.25
