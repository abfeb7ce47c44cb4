"""Whether it fits and how long to the boil, in the words of a cook with a pot in the hand.

The lentil soup weighs 2,605.85 g for 6 (the SR28 household weights are listed in
tests/kitchen/test_vessels.py). At 1 mL a gram and three quarters full, common practice without a
source, 6 need 3.67 quarts of pot and 12 need 7.34; quarts go up to the quarter. Pans go by area and
tins by hollows, in proportion to the recipe's own vessel.
"""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk

_TWELVE = "12 servings of red lentil soup need 7 1/2 quarts of pot"


@pytest.mark.parametrize(
    ("recipe", "question", "said"),
    [
        ("red-lentil-soup", "will a double batch fit?", _TWELVE),
        ("red-lentil-soup", "can I double it in the same pot?", _TWELVE),
        ("red-lentil-soup", "will it overflow if I make 12?", _TWELVE),
        ("red-lentil-soup", "double batch in a 7 quart pot?", f"No: {_TWELVE}; yours holds 7"),
        ("red-lentil-soup", "double batch in an 8 quart pot?", f"Yes: {_TWELVE}, and yours holds"),
        ("red-lentil-soup", "is my 12 quart stockpot too big", "Not too large: 6 servings"),
        ("red-lentil-soup", "is a 2 quart pot too small?", "Too small: 6 servings"),
        ("red-lentil-soup", "will it boil over?", "need a pot of 3 3/4 quarts"),
        ("red-lentil-soup", "which pot should I get out", "A soup pot is used"),
        # 2,455.35 g in the pot: 6.77 and 13.53 minutes at 2 and 1 kilowatts, twice that for 12.
        ("red-lentil-soup", "how much longer does a double batch take to boil", "About 14–27 min"),
        ("red-lentil-soup", "how much longer to boil if I double it?", "for 6 it is 7–14 min"),
        ("red-lentil-soup", "how long before it boils with 12 servings", "About 14–27 min"),
        # A tin of 12 hollows for 6 is two of 6.
        ("egg-muffins", "my tin has 6 cups", "No: for 6 it takes 2 muffin tins"),
        ("egg-muffins", "can I use a 12-cup muffin tin?", "Yes, one muffin tin"),
        # One sheet pan for 4: 8 take two, 18 × 13 = 234 square inches; 9 × 13 = 117 is half of it.
        ("sheet-pan-salmon", "does 8 servings fit on one sheet pan", "No: for 8 it takes 2"),
        ("sheet-pan-salmon", "do 8 servings fit on two sheet pans", "Yes, 2 rimmed sheet pans"),
        ("sheet-pan-salmon", "can I use a 9x13 instead", "No: for 4 it takes 2"),
        # A 12-inch skillet for 4: 10 / 4 = 2.5; 12² / 10² = 1.44.
        (
            "vegetable-fried-rice",
            "can I fry all of it in one skillet for 10?",
            "No: for 10 it takes 3",
        ),
        ("vegetable-fried-rice", "my pan is 10 inches wide", "No: for 4 it takes 2 skillets"),
        ("overnight-oats", "how many pint jars for 12", "For 12: 12 jars with lids"),
        ("overnight-oats", "can I use one big bowl instead of jars", "Instead of the jars: one"),
        ("peanut-noodles", "is a 4 quart pot ok for the noodles", "It will do: a 4-quart pot if"),
        ("baked-apples", "what dish do I bake them in", "A baking dish is used"),
    ],
)
def test_a_question_about_a_vessel(recipe: str, question: str, said: str) -> None:
    """The verdict comes first, with the figure that it rests on."""
    answer = desk().ask(question, desk().context(recipe, None, TODAY))
    assert answer.headline.startswith(said) or said in answer.headline
