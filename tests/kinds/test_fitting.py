"""Notes that answer what no kind could work out: the sum, what passes and what does not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from desk_fixture import TODAY, desk

from assistant.kinds.fitting import BASE, WEIGHTS, Signs, fit

NOTES: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "notes.yaml").read_text(encoding="utf-8")
)


def test_the_fit_is_a_weighed_sum() -> None:
    """Nothing gives the base; every sign adds its weight, a share its part of it."""
    none = Signs(near=0, missed=0, outside=0, kind=False, foods=False, asks=False)
    assert fit(none) == BASE
    some = Signs(near=0.5, missed=0.25, outside=2, kind=True, foods=True, asks=True)
    near, missed, outside, kind, foods, asks = WEIGHTS
    by_hand = BASE + near / 2 + missed / 4 + outside * 2 + kind + foods + asks
    assert fit(some) == pytest.approx(by_hand)


def test_the_signs_pull_the_right_way() -> None:
    """Likeness, kind, foods and a question speak for a note; what it passes over against it."""
    near, missed, outside, kind, foods, asks = WEIGHTS
    assert min(near, kind, foods, asks) > 0 > max(missed, outside)


def test_notes_answer_questions_about_them() -> None:
    """At least seven in ten of the questions about the notes are answered with their own note."""
    context = desk().context(today=TODAY)
    answers = [(entry["note"], desk().ask(entry["ask"], context)) for entry in NOTES]
    right = [
        answer.verdict == "quoted" and note in {source.id for source in answer.sources}
        for note, answer in answers
    ]
    assert len(right) > 100
    assert sum(right) >= 0.7 * len(right)


@pytest.mark.parametrize(
    "text",
    [
        "I love the soup",
        "how do I cut a mango",
        "the stew was lovely",
        "advice for a better rye loaf",
        "why is the seasoning flaking off my cast iron pan",
    ],
)
def test_a_food_by_its_name_alone_carries_no_note(text: str) -> None:
    """A note on ripening a mango says nothing of cutting one."""
    assert desk().ask(text, desk().context(today=TODAY)).verdict == "unknown"


def test_the_audience_is_given_the_benefit_of_the_doubt() -> None:
    """What is asked of the cook, or with a recipe set, needs less to be taken for a note's."""
    text = "how do I ripen an avocado faster"
    plain = desk().ask(text, desk().context(today=TODAY))
    pinned = desk().ask(text, desk().context(recipe="black-bean-tacos", today=TODAY))
    asked = desk().ask("how did you pickle the onions so fast", desk().context(today=TODAY))
    assert plain.verdict == "unknown"
    assert pinned.sources[0].id == "ripening-fruit"
    assert asked.sources[0].id == "quick-pickling"
