"""What 100 g of an ingredient hold: label first, then its row, then a like food's."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import msgspec
import pytest
from desk_fixture import desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.corpus.records import Label, Line
from assistant.kitchen.composition import Missing, Value, label_value
from assistant.kitchen.energy import cross_check
from assistant.kitchen.label import declared, undeclared
from assistant.kitchen.nutrients import eaten_grams, total
from assistant.kitchen.retention import cooking_losses

BANDS = ["energy", "fat", "cholesterol", "sodium", "gram", "micro"]
TABLE = desk().shelf.table
NUTRIENTS = desk().corpus.nutrients


@given(st.sampled_from(BANDS), st.fractions(0, 3000, max_denominator=40))
def test_a_declared_value_stands_for_what_was_rounded(band: str, value: Fraction) -> None:
    """Whatever is declared, the amount behind it lies within the ends of its declared value."""
    low, high = undeclared(declared(value, band), band)
    assert low <= value < high


@pytest.mark.parametrize(
    ("band", "shown", "ends"),
    [
        ("sodium", "140", ("137.5", "145")),  # fives up to 140, tens above
        ("sodium", "150", ("145", "155")),
        ("energy", "50", ("47.5", "55")),
        ("fat", "0", ("0", "0.5")),
        ("fat", "5", ("4.75", "5.5")),
        ("gram", "3", ("2.5", "3.5")),
    ],
)
def test_the_ends_of_a_declared_value(band: str, shown: str, ends: tuple[str, str]) -> None:
    """Worked from the bands of 21 CFR 101.9(c)."""
    assert undeclared(Fraction(shown), band) == (Fraction(ends[0]), Fraction(ends[1]))


def test_a_label_becomes_values_in_100_g() -> None:
    """140 mg in a cup of 240 g is 58 1/3 mg in 100 g; its rounding leaves 57.3 to 60.4 mg."""
    label = Label(
        serving="1 cup", grams=Decimal(240), values={"sodium": Decimal(140)}, package="a carton"
    )
    made = label_value(label, NUTRIENTS["sodium"])
    assert made.amount == Fraction(140 * 100, 240)
    assert (made.low, made.high) == (Fraction("137.5") * 100 / 240, Fraction(145 * 100, 240))


def test_invented_labels_say_so() -> None:
    """The demo programme's own packages are marked as invented; their foods have no row."""
    labeled = [i for i in desk().corpus.pantry.values() if i.label is not None]
    assert {"low-sodium-vegetable-broth", "light-coconut-milk"} <= {i.id for i in labeled}
    assert all(i.label is not None and i.label.invented and not i.food for i in labeled)


def test_no_recipe_has_a_gap_in_the_main_figures_but_known_ones() -> None:
    """Energy, fat, sodium, carbohydrate, fiber and protein are whole for every recipe."""
    wanted = ["energy", "fat", "sodium", "carbohydrate", "protein"]
    gaps = [
        (recipe.id, ident, part.line.text, part.why)
        for recipe in desk().corpus.recipes.values()
        for ident in wanted
        for part in total(recipe.lines, NUTRIENTS[ident], TABLE).missing
    ]
    assert not gaps


def test_a_like_food_stands_in_by_dry_matter() -> None:
    """Red lentils lack sugars: 2.03 g of row 16069 × (100 − 7.82) ÷ (100 − 8.26)."""
    made = TABLE.of("dry-red-lentils", "16144", NUTRIENTS["sugars"])
    assert isinstance(made, Value)
    assert made.amount == Fraction("2.03") * Fraction("92.18") / Fraction("91.74")
    assert "16069" in made.how


def test_a_like_food_gives_no_vitamins() -> None:
    """Quinoa's missing vitamin C is not taken from cooked quinoa."""
    made = TABLE.of("quinoa", "20035", NUTRIENTS["vitamin-c"])
    assert isinstance(made, Missing)


def test_a_part_is_bounded_by_its_whole() -> None:
    """Chia lacks sugars: at most 42.12 g carbohydrate less 34.4 g fiber."""
    made = TABLE.of("chia-seeds", "12006", NUTRIENTS["sugars"])
    assert isinstance(made, Missing)
    assert made.most == Fraction("7.72")


@pytest.mark.parametrize(
    ("item", "expect"),
    [
        ("maple-syrup", "60.46"),
        ("sugar", "99.80"),
        ("blueberries", "0"),
        ("milk", "0"),
        ("salt", "0"),
        ("apple-juice-concentrate", "38.83"),
    ],
)
def test_added_sugars_by_what_it_is(item: str, expect: str) -> None:
    """Sweeteners count wholly, fruit and milk not; sugars of SR28 19353, 19335 and 09017."""
    code = desk().corpus.pantry[item].food
    made = TABLE.of(item, code, NUTRIENTS["added-sugars"])
    assert isinstance(made, Value)
    assert made.amount == Fraction(expect)


def test_a_made_food_declares_its_own_added_sugars() -> None:
    """Barbecue sauce without a label is missing, and at most its sugars."""
    code = desk().corpus.pantry["barbecue-sauce"].food
    assert isinstance(TABLE.of("barbecue-sauce", code, NUTRIENTS["added-sugars"]), Missing)


def _line(text: str, food: str, **more: Fraction) -> Line:
    grams = (Fraction(100), Fraction(100))
    from assistant.measure.amount import read_amount

    line = Line(
        text=text, item="banana", name="banana", amount=read_amount("100 g"), grams=grams,
        weighed="", food=food,
    )  # fmt: skip
    return msgspec.structs.replace(line, **more)


def _high(line: Line) -> Fraction:
    grams = eaten_grams(line, TABLE)
    assert grams is not None
    return grams[1]


def test_refuse_is_taken_off_only_as_purchased() -> None:
    """SR28 09040: 36 % of a banana is skin; an ordinary line is edible already."""
    assert _high(_line("100 g bananas", "09040")) == 100
    assert _high(_line("100 g bananas, as purchased", "09040")) == 64


def test_what_stays_behind_is_not_eaten() -> None:
    """A tenth of a frying oil eaten counts for a tenth of its grams."""
    line = _line("100 g oil", "04053", eaten=Fraction(1, 10))
    assert _high(line) == 10


def test_energy_cross_check() -> None:
    """FDA's sample label: 3 g protein, 37 g carbohydrate, 8 g fat are 232 kcal by 4-4-9."""
    check = cross_check(
        Fraction(230),
        {"protein": Fraction(3), "carbohydrate": Fraction(37), "fat": Fraction(8),
         "alcohol-content": Fraction(0), "fiber": Fraction(4)},
    )  # fmt: skip
    assert check.energy == 232
    assert not check.reasons


def test_a_wide_difference_is_explained() -> None:
    """Fiber of 20 g in 100 kcal: the sum is far off, and fiber is named."""
    check = cross_check(
        Fraction(100),
        {"protein": Fraction(5), "carbohydrate": Fraction(30), "fat": Fraction(1),
         "alcohol-content": Fraction(0), "fiber": Fraction(20)},
    )  # fmt: skip
    assert check.off == Fraction(49, 100)
    assert any("fiber" in reason for reason in check.reasons)


def test_retention_leaves_macronutrients_and_sodium_alone() -> None:
    """Factors apply to vitamins and minerals only, and name their row."""
    corpus = desk().corpus
    recipe = corpus.recipes["turkey-chili"]
    losses = cooking_losses(recipe, corpus.retention, corpus.pantry)
    tomato = next(line for line in recipe.lines if "tomatoes" in line.text)
    kept = losses(tomato, NUTRIENTS["vitamin-c"])
    assert kept is not None
    assert kept.share == Fraction(95, 100)
    assert "3751" in kept.how
    for ident in ("energy", "protein", "sodium", "fiber"):
        assert losses(tomato, NUTRIENTS[ident]) is None
    without = total(recipe.lines, NUTRIENTS["sodium"], TABLE)
    assert total(recipe.lines, NUTRIENTS["sodium"], TABLE, losses) == without
