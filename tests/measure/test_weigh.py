"""Grams by a portion row, never by a guessed density."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.amount import read_amount
from assistant.measure.weigh import row, weigh

# SR28 11282, onions, raw: the household weights as the table prints them.
ONION = [
    row(Fraction(1), "cup, chopped", Fraction(160), "SR28 11282"),
    row(Fraction(1), "tbsp chopped", Fraction(10), "SR28 11282"),
    row(Fraction(1), "cup, sliced", Fraction(115), "SR28 11282"),
    row(Fraction(1), "large", Fraction(150), "SR28 11282"),
    row(Fraction(1), 'medium (2-1/2" dia)', Fraction(110), "SR28 11282"),
    row(Fraction(1), "small", Fraction(70), "SR28 11282"),
    row(Fraction(1), "slice, thin", Fraction(9), "SR28 11282"),
]


def _grams(text: str, hints: tuple[str, ...] = (), state: str = "") -> Fraction | None:
    made = weigh(read_amount(text), ONION, hints, state).grams
    return None if made is None else made[0]


def test_the_words_beside_the_amount_choose_the_row() -> None:
    """Sliced and chopped onions weigh differently by the cup (SR28 11282: 115 g and 160 g)."""
    assert _grams("1 cup", ("sliced",)) == 115
    assert _grams("2 cups", ("chopped",)) == 320


def test_a_spoon_is_weighed_by_the_spoons_own_row() -> None:
    """Where spoon and cup both have a row, the one in the amount's own unit is used."""
    assert _grams("1 tbsp", ("chopped",)) == 10


def test_sizes_have_their_rows() -> None:
    """Large, medium and a plain count (SR28 11282: 150 g and 110 g; plain is taken as medium)."""
    assert _grams("1 large") == 150
    assert _grams("2") == 220


def test_no_row_no_weight() -> None:
    """Without a row there is no weight, and it says so."""
    made = weigh(read_amount("1 bunch"), ONION)
    assert made.grams is None
    assert "bunch" in made.how


def test_a_drained_row_is_used_only_for_drained_food() -> None:
    """A row of a state serves that state alone."""
    rows = [row(Fraction(1), "can (15 oz)", Fraction(253), "test", "drained")]
    can = read_amount("1 (15 oz) can")
    assert weigh(can, rows, state="drained").grams == (Fraction(253), Fraction(253))
    net = weigh(can, rows).grams
    assert net is not None and round(net[0]) == 425


@given(st.fractions(min_value="1/16", max_value=500, max_denominator=48))
def test_weight_grows_with_the_amount(number: Fraction) -> None:
    """Twice the amount weighs twice as much."""
    one = weigh(read_amount("1 cup"), ONION, ("chopped",)).grams
    many = weigh(read_amount("1 cup"), ONION, ("chopped",)).grams
    assert one is not None and many is not None
    from assistant.measure.amount import scale

    scaled = weigh(scale(read_amount("1 cup"), number), ONION, ("chopped",)).grams
    assert scaled is not None and scaled[0] == one[0] * number
