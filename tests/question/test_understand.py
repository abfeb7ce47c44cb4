"""Reading: the recipe in hand, local names, spelling, what lies outside the corpus."""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.answer import Answer
from assistant.desk import UnusableQuestion
from assistant.question.reading import Reading


def read(text: str, recipe: str = "") -> Reading:
    """The reading over the shipped corpus."""
    return desk().read(text, desk().context(recipe=recipe, today=TODAY))


def ask(text: str) -> Answer:
    """The answer over the shipped corpus."""
    return desk().ask(text, desk().context(today=TODAY))


def test_the_broth_is_the_recipes() -> None:
    """A short name means the ingredient of the recipe in hand, named or pinned."""
    named = read("how much broth for 14 in the red lentil soup")
    assert named.foods == ("low-sodium-vegetable-broth",)
    assert read("how much broth?", "turkey-chili").foods == ("low-sodium-chicken-broth",)


def test_a_longer_outer_name_survives() -> None:
    """Chicken broth asked of a soup with vegetable broth is chicken broth."""
    foods = read("can I use chicken broth in the red lentil soup").foods
    assert foods and all("chicken" in food for food in foods)


def test_a_food_inside_a_recipes_name_is_no_ingredient() -> None:
    """The salmon of "sheet-pan salmon" is the dish."""
    reading = read("how long does the sheet-pan salmon take")
    assert (reading.recipe, reading.foods) == ("sheet-pan-salmon", ())


def test_the_named_recipe_beats_the_pinned_one() -> None:
    """A recipe in the question is meant, whatever is pinned."""
    assert read("sodium in the turkey chili", "red-lentil-soup").recipe == "turkey-chili"


def test_a_pinned_recipe_is_said() -> None:
    """What was filled in is in the assumed lines."""
    assert any("red lentil soup" in line for line in read("how long?", "red-lentil-soup").assumed)


@pytest.mark.parametrize(
    ("text", "recipe"),
    [
        ("brothh for the red lentl soup", "red-lentil-soup"),
        ("calories in the chikpea curry", "chickpea-curry"),
        ("turkey chilli for 12", "turkey-chili"),
        ("sodium in the minestroni", "minestrone"),
    ],
)
def test_slips_of_the_keyboard(text: str, recipe: str) -> None:
    """A recipe is found in spite of a slip."""
    assert read(text).recipe == recipe


@pytest.mark.parametrize(
    "text",
    [
        "what time do we eat", "the roof has a leak", "a flower on the table", "in the desert",
        "light a fire", "the train was late", "steal the show", "the peaks of the hills",
        "wise words", "curcumin capsules", "a basic question", "the boiler is out",
    ],
)  # fmt: skip
def test_no_word_becomes_a_food(text: str) -> None:
    """Everyday words and look-alikes are never mended into a food."""
    assert [m for m in read(text).mentions if m.corrected] == []


def test_beside_a_foreign_word_a_food_is_part_of_another() -> None:
    """Outside a recipe, "butter cake" is no butter, and "corned beef" no beef."""
    assert read("how long does butter cake keep").foods == ()
    assert read("how long does butter keep").foods == ("butter",)
    assert "corned" in read("how long does corned beef keep").outside


def test_at_home_the_recipes_names_stay() -> None:
    """In a recipe its own names are certain, whatever stands beside them."""
    assert read("how much broth stuff", "red-lentil-soup").foods == ("low-sodium-vegetable-broth",)


def test_one_question_two_recipes_of_a_name() -> None:
    """ "Soup" alone names several recipes, so the tool asks."""
    assert ask("how much broth for 14 in the soup").verdict == "asks"


def test_the_same_text_gives_the_same_answer() -> None:
    """Twice asked, the answer is the same to the byte."""
    assert ask("how much broth for 14 in the lentil soup") == ask(
        "how much broth for 14 in the lentil soup"
    )


_PIECES = st.sampled_from([
    "how", "much", "many", "long", "broth", "salmon", "chili", "14", "1/2", "cups", "°F", "for",
    "and", "?", ".", "what", "about", "it", "27th", "noon", "freeze", "instead", "of", "without",
    "gluten", "vegan", "½", "x3", "-", "(", ")", "\u202e", "\x00", "é", "2026-11-27", "sodium",
])  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.text(max_size=120), st.lists(_PIECES, max_size=25).map(" ".join)))
def test_any_text_is_answered_or_refused(text: str) -> None:
    """Nothing a person can type makes it crash; the headline stays within bounds of sense."""
    context = desk().context(today=TODAY)
    try:
        turn = desk().converse(text, context)
    except UnusableQuestion:
        return
    assert turn.answers
    assert all(answer.headline for answer in turn.answers)
    assert desk().converse(text, context) == turn
