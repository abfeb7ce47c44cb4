"""The panel of three recipes worked out by hand from the composition table and the regulation.

Sums: grams of each line × the table's value / 100 / servings, read straight from foods.csv here and
by none of the program's own code. Grams are the rows of SR28's weights unless said otherwise.
Rounding: 21 CFR 101.9(c)(1)–(7), per cent by (c)(8)(iii) and (d)(7)(ii), written out by hand beside
each unrounded sum. Daily Values: (c)(8)(iv) and (c)(9) of the 2016 rule.
"""

from __future__ import annotations

import csv
from fractions import Fraction

import pytest
from desk_fixture import CORPUS
from handout.pages import page

from assistant.faces.handout.write import render

GRAMS = {
    # 7 1/2 cups of 236.6 g; 1/2 cup of ginger slices at 24 g a quarter; 9 tsp of sugar at 4.2 g;
    # 1/3 cup of juice at 244 g. The mint is optional and not counted. Six glasses.
    "ginger-lemon-iced-tea": (6, {"14411": "1774.5", "11216": "48", "19335": "37.8",
                                  "09152": "81.33"}),
    # 4 medium apples of 182 g, 1/4 cup walnuts at 117 g chopped, 1/4 cup raisins at 145 g.
    "baked-apples": (4, {"09003": "728", "12155": "29.25", "09298": "36.25", "02010": "2.6",
                         "19353": "20", "09016": "124"}),
    # 3/4 cup of yogurt at 245 g (the cup of row 01117), 1 medium banana, 2 tbsp flaxseed at 7 g.
    "berry-smoothie": (2, {"01082": "244", "01256": "183.75", "09040": "118", "09054": "155",
                           "09318": "149", "12220": "14"}),
}  # fmt: skip
COLUMNS = {
    "energy": "energy_kcal", "fat": "fat_g", "saturated-fat": "saturated_g",
    "cholesterol": "cholesterol_mg", "sodium": "sodium_mg", "carbohydrate": "carbohydrate_g",
    "fiber": "fiber_g", "sugars": "sugars_g", "protein": "protein_g", "vitamin-d": "vitamin_d_ug",
    "calcium": "calcium_mg", "iron": "iron_mg", "potassium": "potassium_mg",
}  # fmt: skip
# Per nutrient: the unrounded sum, what is declared, the per cent.
BY_HAND = {
    "ginger-lemon-iced-tea": {
        "energy": ("33.76", "35", ""),  # to 50 by fives
        "fat": ("0.093", "0 g", "0 %"),  # below 0.5 g nothing
        "saturated-fat": ("0.022", "0 g", "0 %"),
        "cholesterol": ("0", "0 mg", "0 %"),
        "sodium": ("13.06", "15 mg", "1 %"),  # to 140 by fives; 13.06/2300 = 0.57
        "carbohydrate": ("8.656", "9 g", "3 %"),  # 8.656/275 = 3.1
        "fiber": ("0.201", "0 g", "1 %"),  # 0.201/28 = 0.7, from the actual amount
        "sugars": ("6.765", "7 g", ""),
        "protein": ("0.193", "0 g", ""),
        "vitamin-d": ("0", "0 mcg", "0 %"),
        "calcium": ("11.02", "11 mg", "0 %"),  # 11/1300 = 0.8, below 2 nothing
        "iron": ("0.062", "0.1 mg", "0 %"),
        "potassium": ("47.29", "47 mg", "0 %"),  # 47/4700 = 1.0
    },
    "baked-apples": {
        "energy": ("198.43", "200", ""),  # above 50 by tens
        "fat": ("5.171", "5 g", "7 %"),  # above 5 g whole; 5.171/78 = 6.6
        "saturated-fat": ("0.514", "0.5 g", "3 %"),  # by halves; 0.514/20 = 2.6
        "cholesterol": ("0", "0 mg", "0 %"),
        "sodium": ("4.868", "0 mg", "0 %"),  # below 5 mg nothing
        "carbohydrate": ("40.69", "41 g", "15 %"),  # 14.8
        "fiber": ("5.600", "6 g", "20 %"),  # 5.6/28 = 20.0
        "sugars": ("30.48", "30 g", ""),
        "protein": ("1.924", "2 g", ""),
        "vitamin-d": ("0", "0 mcg", "0 %"),
        "calcium": ("36.71", "37 mg", "2 %"),  # 2.8, to 10 by twos
        "iron": ("0.698", "0.7 mg", "4 %"),  # 3.9
        "potassium": ("339.6", "340 mg", "8 %"),  # 7.2
    },
    "berry-smoothie": {
        "energy": ("260.94", "260", ""),
        "fat": ("5.266", "5 g", "7 %"),  # 6.75
        "saturated-fat": ("1.248", "1 g", "6 %"),  # 6.2
        "cholesterol": ("10.69", "10 mg", "4 %"),  # by fives; 3.6
        "sodium": ("91.71", "90 mg", "4 %"),  # 3.99
        "carbohydrate": ("41.13", "41 g", "15 %"),  # 14.96
        "fiber": ("7.102", "7 g", "25 %"),  # 25.4
        "sugars": ("26.59", "27 g", ""),
        "protein": ("16.04", "16 g", ""),
        "vitamin-d": ("1.464", "1.5 mcg", "8 %"),  # 7.3
        "calcium": ("292.5", "290 mg", "20 %"),  # 22.499, to 50 by fives
        "iron": ("1.354", "1.4 mg", "8 %"),  # 7.5
        "potassium": ("732.8", "730 mg", "15 %"),  # 15.6
    },
}


def table() -> dict[str, dict[str, str]]:
    """The rows of the composition table by code."""
    with (CORPUS / "foods.csv").open(encoding="utf-8", newline="") as stream:
        return {row["code"]: row for row in csv.DictReader(stream)}


@pytest.mark.parametrize("recipe", sorted(BY_HAND))
def test_the_panel_by_hand(recipe: str) -> None:
    """Every declared amount and per cent is that of the sum worked out beside it."""
    rows = table()
    servings, grams = GRAMS[recipe]
    made = page(recipe).panel
    assert made.energy is not None
    shown = {row.id: row for row in (made.energy, *made.rows, *made.vitamins)}
    for nutrient, (unrounded, declared, daily) in BY_HAND[recipe].items():
        column = COLUMNS[nutrient]
        total = sum(
            (Fraction(rows[code][column]) * Fraction(weight) for code, weight in grams.items()),
            Fraction(0),
        )
        amount = total / 100 / servings
        assert abs(amount - Fraction(unrounded)) <= max(Fraction(1, 100), amount / 1000), nutrient
        assert (shown[nutrient].amount, shown[nutrient].daily) == (declared, daily), nutrient


def test_added_sugars_by_hand() -> None:
    """Tea: 37.8 g × 0.998 / 6 = 6.3 g, 12.6 %; apples: 20 g syrup × 0.6046 / 4 = 3.0 g, 6 %."""
    for recipe, amount, daily in (
        ("ginger-lemon-iced-tea", "6 g", "13 %"), ("baked-apples", "3 g", "6 %"),
        ("berry-smoothie", "0 g", "0 %"),
    ):  # fmt: skip
        made = page(recipe)
        row = next(row for row in made.panel.rows if row.id == "added-sugars")
        assert (row.amount, row.daily, row.level) == (amount, daily, 2)
        assert f"Includes {amount} Added Sugars" in " ".join(render(made, "html").split())


def test_the_order_is_that_of_the_regulation() -> None:
    """101.9(c) and (d): calories, the fats, cholesterol, sodium, carbohydrate with fiber and
    sugars, protein; then vitamin D, calcium, iron, potassium."""
    made = page("turkey-chili").panel
    assert [row.name for row in made.rows] == [
        "Total Fat", "Saturated Fat", "Trans Fat", "Cholesterol", "Sodium", "Total Carbohydrate",
        "Dietary Fiber", "Total Sugars", "Added Sugars", "Protein",
    ]  # fmt: skip
    assert [row.name for row in made.vitamins] == ["Vitamin D", "Calcium", "Iron", "Potassium"]
    assert [row.level for row in made.rows] == [0, 1, 1, 0, 0, 0, 1, 1, 2, 0]


def test_what_has_no_figure_is_marked_and_never_a_bare_zero() -> None:
    """Tempeh has no fiber figure: the row says "at least", bears the mark, and the line below it
    names the food; the plain words say so too."""
    made = page("tofu-broccoli-stir-fry", swaps=("extra-firm-tofu=tempeh",))
    fiber = next(row for row in made.panel.rows if row.id == "fiber")
    assert fiber.lacking
    assert fiber.amount.startswith("at least ")
    assert any("dietary fiber" in gap and "tempeh" in gap for gap in made.panel.gaps)
    html = " ".join(render(made, "html").split())
    assert f"Dietary Fiber {fiber.amount} †" in html
    assert f"{fiber.daily.replace(' ', '')}</b> †" in html
    assert f"Dietary Fiber: {fiber.amount}, at least" in " ".join(made.panel.plain)


def test_the_footnote_says_what_the_regulation_asks_for() -> None:
    """101.9(d)(9): that the per cent tells what a nutrient in a serving adds to a day's diet, and
    that 2,000 calories a day are general advice; and what the figures are not."""
    made = page("red-lentil-soup").panel
    for words in ("% Daily Value", "nutrient", "one serving", "day's diet", "2,000 calories a day"):
        assert words in made.footnote
    assert "not a laboratory analysis" in made.origin
    assert "USDA SR28" in made.origin
    assert made.left_out == "Not counted (optional or to taste): plain yogurt."
