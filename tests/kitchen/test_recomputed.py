"""Two recipes worked out a second time, straight from the two CSV files, with Decimal.

Nothing of the program's reading, weighing or adding is used: the amounts are copied by hand from
the recipes' text, each with its row and household measure in portions.csv, and the sums are made
here. The carton's declared values are copied from the pantry record.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest
from desk_fixture import CORPUS, desk

from assistant.kitchen.nutrients import total

# Row, how many of the measure, the measure as portions.csv names it ("" for grams as such).
RED_LENTIL_SOUP = [
    ("04053", "2", "tablespoon"),  # 2 tbsp olive oil
    ("11282", "1", "large"),  # 1 large onion
    ("11124", "2", "medium"),  # 2 medium carrots
    ("11215", "3", "clove"),  # 3 cloves garlic
    ("02014", "2", "tsp, whole"),  # 2 tsp ground cumin, by the row's only teaspoon
    ("02028", "0.5", "tsp"),  # 1/2 tsp sweet paprika
    ("16144", "1.5", "cup"),  # 1 1/2 cups dry red lentils
    ("11885", "411", ""),  # 1 (14.5 oz) can, 14.5 × 28.35 = 411 g
    ("02047", "0.5", "tsp"),  # 1/2 tsp salt
    ("11457", "4", "cup"),  # 4 cups baby spinach
    ("09152", "0.125", "cup"),  # 2 tbsp lemon juice are an eighth of a cup
]
EGG_MUFFINS = [
    ("04582", "1.5", "tbsp"),
    ("11282", "1", "small"),
    ("11821", "119", ""),  # 1 medium red bell pepper
    ("11507", "1", 'sweetpotato, 5" long'),
    ("11457", "3", "cup"),
    ("01123", "12", "large"),
    ("01082", "0.25", "cup"),
    ("02047", "0.25", "tsp"),
    ("02030", "0.25", "tsp, ground"),
    ("01009", "0.75", "cup, shredded"),
]
COLUMNS = {"energy": "energy_kcal", "protein": "protein_g", "fat": "fat_g", "sodium": "sodium_mg",
           "carbohydrate": "carbohydrate_g", "fiber": "fiber_g"}  # fmt: skip
# One cup of the carton, as its record declares it; the soup takes six.
CARTON = {"energy": 15, "protein": 0, "fat": 0, "sodium": 140, "carbohydrate": 3, "fiber": 0}


@cache
def _foods() -> dict[str, dict[str, str]]:
    with (CORPUS / "foods.csv").open(encoding="utf-8", newline="") as stream:
        return {row["code"]: row for row in csv.DictReader(stream)}


@cache
def _portions() -> dict[tuple[str, str], Decimal]:
    with (CORPUS / "portions.csv").open(encoding="utf-8", newline="") as stream:
        return {
            (row["code"], row["measure"]): Decimal(row["grams"]) / Decimal(row["amount"])
            for row in csv.DictReader(stream)
        }


def _sum(lines: list[tuple[str, str, str]], nutrient: str) -> Decimal:
    made = Decimal(0)
    for code, number, measure in lines:
        grams = Decimal(number) * (_portions()[code, measure] if measure else 1)
        made += grams * Decimal(_foods()[code][COLUMNS[nutrient]]) / 100
    return made


def _program(ident: str, nutrient: str) -> Fraction:
    corpus = desk().corpus
    made = total(corpus.recipes[ident].lines, corpus.nutrients[nutrient], desk().shelf.table)
    assert not made.missing
    assert made.low == made.high
    return made.high


@pytest.mark.parametrize("nutrient", sorted(COLUMNS))
def test_the_egg_muffins(nutrient: str) -> None:
    """Every line of the egg muffins has a row, so the two sums are the same to the last digit."""
    assert _program("egg-muffins", nutrient) == Fraction(_sum(EGG_MUFFINS, nutrient))


@pytest.mark.parametrize("nutrient", sorted(COLUMNS))
def test_the_red_lentil_soup(nutrient: str) -> None:
    """The soup's broth has no row: six cups of the carton's declared values are put to the sum."""
    expected = _sum(RED_LENTIL_SOUP, nutrient) + 6 * CARTON[nutrient]
    assert _program("red-lentil-soup", nutrient) == Fraction(expected)


def test_eggs_weigh_fifty_grams_each() -> None:
    """SR28 01123: a large egg is 50 g; two are 100 g and 143 kcal."""
    answer = desk().ask("calories in 2 eggs", desk().context())
    assert answer.figures[0].value == 143
