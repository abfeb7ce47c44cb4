"""That a recipe lacks an ingredient is said only where nothing in it holds that ingredient."""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk


@pytest.mark.parametrize("question", ["how much peanut for 14?", "how many peanuts are in it?"])
def test_peanut_butter_is_no_absence_of_peanut(question: str) -> None:
    """The dish with peanut butter is never said to have no peanut in it."""
    answer = desk().ask(question, desk().context("peanut-noodles", None, TODAY))
    assert "no peanut in it" not in answer.headline
    assert "natural peanut butter" in answer.headline


def test_what_nothing_holds_is_absent() -> None:
    """The lentil soup has no shrimp, and nothing in it is or holds shellfish."""
    answer = desk().ask("how much shrimp for 14?", desk().context("red-lentil-soup", None, TODAY))
    assert answer.headline == "The red lentil soup has no shrimp in it."


def test_an_allergy_is_not_read_into_the_question_before() -> None:
    """ "What if a guest is allergic?" after "how much peanut butter?" asks for itself."""
    context = desk().context("peanut-noodles", None, TODAY)
    context = desk().converse("how much peanut butter for 14?", context).context
    (answer,) = desk().converse("what if my guest is allergic to peanuts?", context).answers
    assert answer.question == "what if my guest is allergic to peanuts?"
    assert "no peanut in it" not in answer.headline
