"""Swap ratios against the published tables that they cite."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk

from assistant.measure.amount import convert_amount, read_amount

CORPUS = desk().corpus

# Utah State University Extension, Weber County: Ingredient Substitutions. Each figure as printed
# there; a range where it prints one.
EXTENSION = [
    ("cornstarch-to-flour", "1 tbsp", "2 tbsp"),
    ("flour-to-cornstarch", "2 tbsp", "1 tbsp"),
    ("cornstarch-to-tapioca", "1 tbsp", "2 tbsp"),
    ("garlic-to-powder", "1 clove", "1/8–1/4 tsp"),
    ("honey-to-sugar", "1 cup", "1 1/4 cups"),
    ("sugar-to-honey", "1 1/4 cups", "1 cup"),
    ("corn-syrup-to-sugar", "1 cup", "1 cup"),
    ("cake-flour-to-all-purpose", "1 cup", "7/8 cup"),
    ("baking-powder-to-soda", "1 tsp", "1/4 tsp"),
    ("baking-powder-to-buttermilk", "1 tsp", "1/4 tsp"),
    ("chocolate-to-cocoa", "1 oz", "3 tbsp"),
    ("egg-to-dried", "1 large", "2 1/2 tbsp"),
    ("allspice-to-mix", "1 tsp", "1/2 tsp"),
    ("buttermilk-to-yogurt", "1 cup", "1 cup"),
]
BESIDE = [
    ("honey-to-sugar", "water", "1/4 cup"),
    ("corn-syrup-to-sugar", "water", "1/4 cup"),
    ("cake-flour-to-all-purpose", "cornstarch", "2 tbsp"),
    ("baking-powder-to-buttermilk", "buttermilk", "1/2 cup"),
    ("chocolate-to-cocoa", "canola-oil", "1 tbsp"),
    ("egg-to-dried", "water", "2 1/2 tbsp"),
    ("allspice-to-mix", "ground-cloves", "1/2 tsp"),
]


def _ratio(take: str, give: str, unit: str) -> tuple[Fraction, Fraction]:
    out, into = read_amount(take), read_amount(give)
    if out.unit and out.unit not in {"clove", "large"}:
        out = convert_amount(out, unit) if out.unit not in {"ounce"} else out
    made = convert_amount(into, unit)
    return made.low / out.high, made.high / out.low


@pytest.mark.parametrize(("ident", "take", "give"), EXTENSION)
def test_a_ratio_is_the_extension_table_s(ident: str, take: str, give: str) -> None:
    """The swap's ratio equals the published one, and the table is cited."""
    swap = CORPUS.swaps[ident]
    assert "substitutions-extension" in swap.sources
    assert _ratio(swap.take, swap.give, "tsp") == _ratio(take, give, "tsp")


@pytest.mark.parametrize(("ident", "item", "amount"), BESIDE)
def test_what_goes_in_beside_it_is_the_table_s_too(ident: str, item: str, amount: str) -> None:
    """The second ingredient stands in the record with the published amount."""
    parts = {part.item: part.amount for part in CORPUS.swaps[ident].plus}
    assert parts[item] == amount


@pytest.mark.parametrize(
    "ident",
    [
        "dried-dill-to-fresh", "parsley-fresh-to-dried", "oregano-dried-to-fresh",
        "thyme-dried-to-fresh", "thyme-fresh-to-dried", "rosemary-dried-to-fresh",
        "basil-fresh-to-dried", "mint-dried-to-fresh", "dill-fresh-to-dried",
    ],
)  # fmt: skip
def test_leaf_herbs_go_three_fresh_to_one_dried(ident: str) -> None:
    """The published rule for dried leaves: 1 tbsp fresh for 1 tsp dried, three to one."""
    swap = CORPUS.swaps[ident]
    low, high = _ratio(swap.take, swap.give, "tsp")
    assert low == high and low in {Fraction(3), Fraction(1, 3)}
    assert "herb-substitutions" in swap.sources


def test_where_tables_disagree_the_range_says_who() -> None:
    """Fresh to ground ginger runs from 4:3 to 24:1; the record tells each with its source."""
    swap = CORPUS.swaps["ginger-fresh-to-ground"]
    for ratio in ("4:3", "3:1", "4:1", "12:1", "24:1"):
        assert ratio in swap.how
    assert len(swap.sources) >= 4


def test_baking_soda_never_goes_spoon_for_spoon() -> None:
    """One archived list prints a teaspoon of soda for a teaspoon of powder; every other says a
    quarter, and so does the record."""
    swap = CORPUS.swaps["baking-powder-to-soda"]
    assert _ratio(swap.take, swap.give, "tsp") == (Fraction(1, 4), Fraction(1, 4))
