"""What the lists of the vocabulary say of the pantry holds of the pantry."""

from __future__ import annotations

from typing import get_args

import pytest
from desk_fixture import TODAY, desk

from assistant.corpus.records import Origin


def test_the_food_laws_name_origins_that_a_food_can_have() -> None:
    """A misspelled origin would be told as absent from every dish, so none may be."""
    entries = desk().snapshot.corpus.lists["rule-faith-origins"].words
    laws = dict(entry.split(" ", 1) for entry in entries)
    assert set(laws) == {"halal", "kosher"}
    for origins in laws.values():
        assert set(origins.split(" + ")) <= set(get_args(Origin))


@pytest.mark.parametrize(
    ("question", "bought"),
    [
        ("how many 16 oz boxes of quinoa to buy for 20", "Buy 2 (16 oz) boxes of quinoa"),
        ("how many 16 oz boxes of quinoa to buy for 6", "Buy 1 (16 oz) box of quinoa"),
    ],
)
def test_boxes_are_counted_as_boxes(question: str, bought: str) -> None:
    """1 1/2 cups of quinoa for 6 are 1 1/2 × 170 g (SR28 20035) = 255 g; for 20 they are 850 g,
    and a box of 16 oz holds 454 g."""
    context = desk().context("quinoa-salad", None, TODAY)
    assert desk().ask(question, context).headline.startswith(bought)
