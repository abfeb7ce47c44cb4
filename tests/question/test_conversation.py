"""Conversation: several questions in one text, follow-ups, and questions asked back."""

from __future__ import annotations

import msgspec
import pytest
from desk_fixture import TODAY, desk

from assistant.answer import Answer
from assistant.question.split import split
from assistant.question.understand import Context

OPENERS = desk().corpus.lists["question-openers"].words


def talk(*texts: str) -> list[tuple[Answer, ...]]:
    """The answers of a conversation, turn by turn."""
    context = desk().context(today=TODAY)
    made = []
    for text in texts:
        turn = desk().converse(text, context)
        context = turn.context
        made.append(turn.answers)
    return made


def last(*texts: str) -> Answer:
    """The answer to the last text of a conversation."""
    return talk(*texts)[-1][-1]


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
    "text", ["what can I use instead of eggplant?", "how long does ceviche keep?"]
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
