"""The exact words of every message about numbers, units and amounts."""

from collections.abc import Callable
from fractions import Fraction as F
from typing import Any

import pytest

from assistant.measure.amount import Amount, add, amount, convert_amount, read_amount, scale
from assistant.measure.exact import MeasureError, exact
from assistant.measure.numbers import read_number, read_range
from assistant.measure.spoons import kitchen
from assistant.measure.units import convert, unit

ANY: Any = None
NUMBER = 'write a number such as "2", "1 1/2", "0.5", "2–3" or "half a dozen"'
PLAIN = 'write a number such as "2", "1/2" or "0.5"'
AMOUNT = 'write an amount such as "2 tbsp", "1 1/2–2 cups", "3 cloves" or "1 (15 oz) can"'
UNIT = 'write a unit such as "cup", "tbsp", "oz" or "clove"'
PORTION = "a portion row for the food is needed, which says what one"

MESSAGES: list[tuple[Callable[[], object], str]] = [
    (
        lambda: read_amount("2 smidgeons"),
        f'cannot read "2 smidgeons": "smidgeons" is not a unit I know; {UNIT}',
    ),
    (
        lambda: read_amount("2 pinchs"),
        'cannot read "2 pinchs": "pinchs" is not a unit I know; did you mean "pinches"?',
    ),
    (
        lambda: read_amount("2 tbps"),
        'cannot read "2 tbps": "tbps" is not a unit I know; did you mean "tbsp"?',
    ),
    (
        lambda: read_amount("1 C"),
        'cannot read "1 C": the single letter "C" is not certain; write the unit out in full',
    ),
    (lambda: read_amount(""), f'cannot read "": there is nothing in it; {AMOUNT}'),
    (lambda: read_amount("salt"), f'cannot read "salt": it does not say how much; {AMOUNT}'),
    (
        lambda: read_amount("1/0 cup"),
        f'cannot read "1/0 cup": nothing can be divided by zero; {AMOUNT}',
    ),
    (lambda: read_amount("2% milk"), f'cannot read "2% milk": "%" is no unit; {AMOUNT}'),
    (
        lambda: read_amount("2 cups of rice"),
        f'cannot read "2 cups of rice": "rice" is left over after the amount; {AMOUNT}',
    ),
    (
        lambda: read_amount("6-oz fillets"),
        f'cannot read "6-oz fillets": it leaves the amount open; {AMOUNT}',
    ),
    (
        lambda: read_amount("2 cups" + " " * 200),
        f'cannot read "2 cups...": it is longer than 200 characters; {AMOUNT}',
    ),
    (lambda: read_amount("2 \x1b[31m"), f'cannot read "2 ?[31m": "?[31m" is no unit; {AMOUNT}'),
    (lambda: read_number("2–3"), f'cannot read "2–3": it is a range, not one number; {NUMBER}'),
    (lambda: read_number("1/0"), f'cannot read "1/0": nothing can be divided by zero; {NUMBER}'),
    (lambda: read_range("few"), f'cannot read "few": it is not a number I know; {NUMBER}'),
    (
        lambda: read_range("2 cups"),
        f'cannot read "2 cups": "cups" is left over after the number; {NUMBER}',
    ),
    (
        lambda: exact(ANY or 0.5),  # type: ignore[arg-type]
        f'cannot read "0.5": a binary float is not an exact number; {PLAIN}',
    ),
    (lambda: exact(True), f'cannot read "True": a bool is not an exact number; {PLAIN}'),
    (lambda: exact("two"), f'cannot read "two": it is not a plain number; {PLAIN}'),
    (lambda: exact("1/0"), f'cannot read "1/0": nothing can be divided by zero; {PLAIN}'),
    (
        lambda: unit("galon"),
        'cannot read "galon": "galon" is not a unit I know; did you mean "gallon"?',
    ),
    (lambda: unit(""), f'cannot read "": the unit is missing; {UNIT}'),
    (
        lambda: convert(F(1), "cup", "gram"),
        'cannot convert "cup to gram": cup measures volume and gram measures weight; '
        f'{PORTION} measure of it weighs',
    ),
    (
        lambda: convert(F(1), "inch", "gram"),
        'cannot convert "inch to gram": inch measures length and gram measures weight; choose '
        'a unit of length',
    ),
    (
        lambda: convert(F(1), "clove", "head"),
        'cannot convert "clove to head": clove is only counted and head is only counted; '
        f'{PORTION} measure of it weighs',
    ),
    (
        lambda: convert_amount(amount(2), "g"),
        f'cannot convert "2 to g": a plain count has no measure; {PORTION} of it weighs',
    ),
    (
        lambda: add(amount(1, "cup"), amount(2, "g")),
        f'cannot add "1 cup and 2 g": cup measures volume and gram measures weight; {PORTION} '
        'measure of it weighs',
    ),
    (
        lambda: add(amount(1), amount(2, "clove")),
        'cannot add "1 and 2 cloves": they are counted differently; keep them as two lines',
    ),
    (
        lambda: scale(amount(2, "cup"), F(-1)),
        'cannot scale "2 cups x -1": an amount is never below zero; write a factor of at '
        'least zero',
    ),
    (
        lambda: Amount(F(2), F(1), "cup"),
        f'cannot use "2 to 1 cup": it must run from a low end, at least 0, to a high end; {AMOUNT}',
    ),
    (
        lambda: Amount(F(2), F(2), "smidgeon"),
        f'cannot read "2 smidgeon": "smidgeon" is not a unit I know; {UNIT}',
    ),
    (
        lambda: kitchen(amount(1, "cup"), ANY or "imperial"),  # type: ignore[arg-type]
        'cannot read "imperial": it is no system of measures; write "us" or "metric"',
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("call", "message"), MESSAGES, ids=[message[:50] for _, message in MESSAGES]
)
def test_the_message_points_and_advises(call: Callable[[], object], message: str) -> None:
    """Each error repeats the user's words, says what is wrong and gives one next step."""
    with pytest.raises(MeasureError) as caught:
        call()
    assert str(caught.value) == message
    assert caught.value.expected
    assert caught.value.advice


def test_the_error_keeps_the_users_own_words() -> None:
    """The attributes hold what was written, what was expected and the advice."""
    with pytest.raises(MeasureError) as caught:
        read_amount("2 galons")
    error = caught.value
    assert (error.words, error.advice) == ("2 galons", 'did you mean "gallons"?')
    assert error.expected == 'a unit such as "cup", "tbsp", "oz" or "clove"'
