"""Conversation: several questions in one text, follow-ups, and questions asked back."""

from __future__ import annotations

import msgspec
import pytest
from desk_fixture import TODAY, desk
from question.talking import last, talk

from assistant.answer import Answer
from assistant.question.split import split
from assistant.question.understand import Context

OPENERS = desk().corpus.lists["question-openers"].words


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("How much broth for 14?", 1),
        ("How much broth for 14 and can I freeze it?", 2),
        ("I made the turkey chili on Sunday. Is it still fine?", 1),
        ("1. how many calories 2. how long does it keep 3. can I use kale", 3),
        ("Can I freeze it? Also how much sodium? Thanks!", 2),
        ("beans and rice for 20", 1),
        ("how long does it simmer, and what can I use instead of kale", 2),
        ("red or green lentils", 1),
        ("can I skip the chia or does it go to soup", 1),
        ("Should I thaw the cod first? Or can it go in frozen?", 1),
        ("Is there pork in the chili? The broth or the sauce?", 1),
        ("My mother made it, which is a first, and liked it. Does it freeze?", 1),
        ("can I mix the soups, and roughly how many cans is that", 2),
        ("how many calories and how much sodium in the chili", 1),
    ],
)
def test_split(text: str, count: int) -> None:
    """Questions are told apart, statements stay with the question they lead up to."""
    assert len(split(text, OPENERS)) == count


def test_answers_come_in_order() -> None:
    """Several questions are answered one by one, the recipe taken over."""
    text = "How much broth for 14 in the red lentil soup? And can I freeze it? How much sodium?"
    (answers,) = talk(text)
    assert [a.kind for a in answers] == ["scale", "storage", "nutrition"]
    assert all(a.reading["recipe"] == "red-lentil-soup" for a in answers)


def test_another_number() -> None:
    """ "And for 40?" asks the same for 40 and says so."""
    answer = last("how much broth for 14 in the red lentil soup?", "and for 40?")
    # 6 cups for 6, so 40 cups for 40.
    assert [f.value for f in answer.figures] == [40]
    assert any("for 40" in line for line in answer.lines)


def test_another_ingredient_then_another_recipe() -> None:
    """A follow-up leans on the question before it, completed."""
    broth = "how much broth for 14 in the red lentil soup?"
    lentils = last(broth, "and for 40?", "what about the lentils?")
    # 1 1/2 cups for 6, so 10 cups for 40.
    assert [f.value for f in lentils.figures] == [10]
    chili = last("how much sodium per serving of the red lentil soup?", "same for the turkey chili")
    assert (chili.kind, chili.reading["recipe"]) == ("nutrition", "turkey-chili")


def test_without_an_ingredient() -> None:
    """ "What about without the peanut butter?" asks for the same figure without it."""
    answer = last("calories in the peanut noodles?", "what about without the peanut butter?")
    assert (answer.kind, answer.reading["recipe"]) == ("nutrition", "peanut-noodles")
    assert "without" in answer.headline.lower()


def test_a_pronoun_stands_for_the_recipe() -> None:
    """ "How long does that keep?" is about what was spoken of."""
    answer = last("how much broth for 14 in the red lentil soup?", "how long does that keep?")
    assert (answer.kind, answer.reading["recipe"]) == ("storage", "red-lentil-soup")


def test_a_pronoun_stands_for_the_food() -> None:
    """A food that was spoken of is taken over too."""
    answer = last("can I freeze kale?", "how long does it keep in the fridge?")
    assert "kale" in answer.headline.lower()


@pytest.mark.parametrize(
    "text", ["what can I use instead of eggplant?", "how many days does ceviche keep?"]
)
def test_the_subject_changes(text: str) -> None:
    """A food that is not the recipe's leaves the recipe behind."""
    answer = last("how much broth for 14 in the red lentil soup?", text)
    assert answer.reading["recipe"] is None


def test_what_was_asked_back_completes_the_question() -> None:
    """The recipe, or the number, named in a short reply completes what was asked."""
    answer = last("how much broth for 14?", "the red lentil soup")
    assert [f.value for f in answer.figures] == [14]
    answer = last("scale the chickpea curry", "40")
    assert answer.verdict == "computed"
    assert "for 40" in answer.headline


def test_two_recipes_are_answered_one_by_one() -> None:
    """One question about two recipes gives an answer for each; a comparison is one question."""
    (answers,) = talk("calories in the turkey chili and the red lentil soup?")
    assert [a.reading["recipe"] for a in answers] == ["turkey-chili", "red-lentil-soup"]


def test_an_urgent_text_is_answered_first() -> None:
    """Whatever else is asked, what to do now comes first."""
    (answers,) = talk("How many calories in the chili? My throat is swelling after the noodles!")
    assert answers[0].urgent


def test_a_greeting_gets_no_answer_of_its_own() -> None:
    """Thanks and greetings beside a question are let pass."""
    (answers,) = talk("Hi there! How much broth for 14 in the red lentil soup? Thanks so much!")
    assert [a.kind for a in answers] == ["scale"]


def test_a_context_can_be_kept() -> None:
    """A context goes through JSON and back."""
    turn = desk().converse(
        "how much broth for 14 in the red lentil soup", desk().context(today=TODAY)
    )
    raw = msgspec.json.encode(turn.context)
    assert msgspec.json.decode(raw, type=Context) == turn.context


def test_a_pinned_recipe_stays_pinned() -> None:
    """Speaking of another recipe does not change what is pinned."""
    context = desk().context(recipe="minestrone", today=TODAY)
    turn = desk().converse("sodium in the turkey chili?", context)
    assert turn.context.recipe == "minestrone"


# ------------------------------------------------------------------- what leans on what was said

SOUP = "how much broth for 14 in the red lentil soup?"


def said_of(answer: Answer) -> str:
    """The line that says what was taken over."""
    return " ".join(line for line in answer.lines if line.startswith("Taken as:"))


@pytest.mark.parametrize(
    ("before", "correction", "recipe"),
    [
        ("sodium in the fried rice?", "no sorry, I meant the stir-fry", "tofu-broccoli-stir-fry"),
        ("protein in the tomato soup?", "oops, not the soup, the turkey chili", "turkey-chili"),
        (
            "protein in the tomato soup?",
            "actually the chicken stew",
            "chicken-vegetable-stew",
        ),
    ],
)
def test_a_correction_replaces_the_recipe(before: str, correction: str, recipe: str) -> None:
    """What is taken back leaves no word in the question."""
    answer = last(before, correction)
    assert (answer.kind, answer.reading["recipe"]) == ("nutrition", recipe)
    assert not {"meant", "sorry", "oops", "actually"} & set(answer.question.lower().split())


def test_a_corrected_number() -> None:
    """ "No, 52" counts people, as the 25 before it did: 8 cups for 8, so 52 cups."""
    answer = last("how much broth for 25 in the minestrone?", "no, 52")
    assert [f.value for f in answer.figures] == [52]
    assert "52" in said_of(answer)


def test_half_of_the_servings_before() -> None:
    """Half of 50 people is 25; half a batch is half of the recipe's own 6 cups."""
    broth = "how much broth for 50 in the red lentil soup?"
    # 6 cups for 6, so 25 cups for 25.
    assert [f.value for f in last(broth, "half that").figures] == [25]
    assert [f.value for f in last(broth, "what about half a batch").figures] == [3]


def test_the_number_of_people_stays_with_the_dish() -> None:
    """Who scales for 12 and asks on is told for 12, and that it was taken over."""
    answer = last("scale the baked apples for 12", "how much cinnamon?")
    # 1 tsp for 4 is 3 tsp, 1 tbsp, for 12.
    assert "1 tbsp" in answer.headline
    assert "for 12 servings, as before" in said_of(answer)
    other = last("scale the baked apples for 12", "how much cumin is in the chili?")
    assert "12" not in other.headline + said_of(other)


def test_people_are_not_mentioned_where_they_change_nothing() -> None:
    """How long a dish keeps does not hang on how many it is for."""
    assert "servings" not in said_of(last(SOUP, "how long does it keep?"))


def test_another_number_in_a_conversion() -> None:
    """ "And 5?" counts the cups, "what about flour?" the flour: 5 × 125 g."""
    three = "convert 3 cups of all-purpose flour to grams"
    assert "625 g" in last(three, "and 5?").headline
    oats = talk("convert 3 cups of rolled oats to grams", "and 5?", "what about flour?")
    assert "625 g" in oats[-1][-1].headline


@pytest.mark.parametrize("remark", ["is that per bowl?", "does it matter?", "is that high?"])
def test_a_remark_on_the_figure(remark: str) -> None:
    """What is asked of the figure just given is no question on flour or egg sizes."""
    answer = last("how much sodium is in the turkey chili?", remark)
    assert (answer.kind, answer.reading["recipe"]) == ("nutrition", "turkey-chili")
    assert "sodium" in answer.headline


def test_a_remark_on_the_figure_is_no_part_of_the_next_question() -> None:
    """After "is that high?" another question is the plain one."""
    answer = last(
        "how much sodium is in the turkey chili?", "is that high?", "and the tomato soup?"
    )
    assert answer.reading["recipe"] == "tomato-soup"
    assert "high" not in answer.question


def test_what_was_supposed_ends_with_a_correction() -> None:
    """ "With chicken" was supposed of the soup, not of the tacos."""
    protein = "how much protein is in the black bean soup?"
    answer = last(protein, "same but with chicken", "no I meant the black bean tacos")
    assert answer.reading["recipe"] == "black-bean-tacos"
    assert "chicken" not in answer.question


def test_a_food_in_the_place_of_the_dish() -> None:
    """Kale is in no smoothie: it is asked about for itself."""
    answer = last("can I freeze the smoothie?", "and kale?")
    assert answer.reading["recipe"] is None
    assert "kale" in answer.headline.lower()


def test_two_dishes_compared_then_asked_about_again() -> None:
    """ "Which keeps longer?" is about both: each 3–4 days, by the rule for soups and stews."""
    both = "calories in the tomato soup and the minestrone?"
    (answer,) = talk(both, "which keeps longer?")[-1]
    assert "tomato soup" in answer.headline
    assert "minestrone" in answer.headline
    assert [f.shown for f in answer.figures] == ["3–4 days", "3–4 days"]
    (frozen,) = talk(both, "which keeps longer?", "and which freezes better?")[-1]
    # The tomato soup's file says "well", the minestrone's "fairly", for its pasta.
    assert frozen.headline.startswith("The tomato soup freezes well")


def test_one_of_two_dishes_is_named_by_a_part() -> None:
    """ "Apples" after apples and oat bites were compared are the baked apples: 4 × 3 = 12."""
    answer = last(
        "compare the baked apples and the oat bites for sugar", "which keeps longer?",
        "ok, apples for 12",
    )  # fmt: skip
    assert (answer.kind, answer.reading["recipe"]) == ("scale", "baked-apples")
    assert "× 3" in answer.headline


def test_the_questions_show_no_torn_words() -> None:
    """Of two dishes each question stands whole."""
    (answers,) = talk("how many calories in the fajitas and the tacos?")
    assert [a.question for a in answers] == [
        "how many calories in the fajitas?",
        "how many calories in the tacos?",
    ]
