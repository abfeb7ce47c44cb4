"""The nine major allergens against the acts, and gluten against 21 CFR 101.91."""

from __future__ import annotations

import pytest
from desk_fixture import desk

from assistant.kitchen.diets import ALLERGENS, grade_item

CORPUS = desk().corpus

# FALCPA (2004) names eight; the FASTER Act of 2021 adds sesame, on labels from January 1, 2023.
FALCPA = {"milk", "egg", "fish", "shellfish", "tree nuts", "peanut", "wheat", "soy"}
FASTER = {"sesame"}


def test_the_nine_allergens_are_those_of_the_acts() -> None:
    """Eight of FALCPA and sesame of the FASTER Act, no more and no fewer."""
    assert set(ALLERGENS) == FALCPA | FASTER
    assert len(ALLERGENS) == 9


def test_each_allergen_has_a_diet_without_it() -> None:
    """Every one of the nine can be asked for."""
    asked = {name for diet in CORPUS.diets.values() for name in diet.without_allergens}
    assert asked == set(ALLERGENS)


@pytest.mark.parametrize(
    ("item", "allergen"),
    [
        ("milk", "milk"), ("butter", "milk"), ("parmesan", "milk"), ("egg", "egg"),
        ("mayonnaise", "egg"), ("salmon", "fish"), ("worcestershire-sauce", "fish"),
        ("fish-sauce", "fish"), ("shrimp", "shellfish"), ("almonds", "tree nuts"),
        ("walnuts", "tree nuts"), ("peanut-butter", "peanut"), ("all-purpose-flour", "wheat"),
        ("couscous", "wheat"), ("soy-sauce", "wheat"), ("soy-sauce", "soy"), ("miso", "soy"),
        ("firm-tofu", "soy"), ("tahini", "sesame"), ("sesame-oil", "sesame"), ("farro", "wheat"),
    ],
)  # fmt: skip
def test_what_contains_an_allergen_says_so(item: str, allergen: str) -> None:
    """The usual carriers of each allergen are graded "contains"."""
    assert allergen in CORPUS.pantry[item].contains


@pytest.mark.parametrize(
    ("item", "grade"),
    [
        ("all-purpose-flour", "contains"), ("pearl-barley", "contains"), ("farro", "contains"),
        ("semolina", "contains"), ("beer", "contains"), ("soy-sauce", "contains"),
        ("tamari", "may"), ("rolled-oats", "may"), ("corn-pasta", "may"), ("curry-paste", "may"),
        ("quinoa", "free"), ("brown-rice", "free"), ("dry-red-lentils", "free"),
        ("rice-flour", "free"), ("millet", "free"),
    ],
)  # fmt: skip
def test_gluten_is_that_of_wheat_rye_and_barley(item: str, grade: str) -> None:
    """21 CFR 101.91: gluten comes from wheat (spelt too), rye, barley and their hybrids; where
    makers vary or crops mix, only a label (below 20 ppm) can tell."""
    assert CORPUS.pantry[item].gluten == grade
    assert grade_item(CORPUS.pantry[item], CORPUS.diets["gluten-free"])[0] == grade


def test_what_contains_wheat_contains_gluten() -> None:
    """No item is graded free of gluten and yet contains or may contain wheat."""
    for item in CORPUS.pantry.values():
        if "wheat" in item.contains:
            assert item.gluten == "contains", item.id
        if item.gluten == "free":
            assert "wheat" not in item.may, item.id


def test_curry_paste_may_hold_shellfish() -> None:
    """A paste may be made with shrimp: its label decides."""
    assert "shellfish" in CORPUS.pantry["curry-paste"].may


def test_animal_food_is_never_vegan() -> None:
    """Whatever comes from an animal is graded "contains" for the vegan diet."""
    vegan = CORPUS.diets["vegan"]
    animal = {"dairy", "egg", "honey", "gelatin", "meat", "pork", "poultry", "fish", "shellfish"}
    for item in CORPUS.pantry.values():
        if item.origin in animal:
            assert grade_item(item, vegan)[0] == "contains", item.id
