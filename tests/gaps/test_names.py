"""Names in logged questions: who asked is masked however it is told, and nothing else is."""

from __future__ import annotations

from functools import lru_cache

import pytest
from desk_fixture import desk

from assistant.inbox.mask import Masker


@lru_cache(maxsize=1)
def mask() -> Masker:
    """The masker that the command line uses."""
    return Masker(desk().corpus, ())


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("Sandra asked if miso freezes", "[name] asked if miso freezes"),
        ("from Priya: does miso freeze?", "from [name]: does miso freeze?"),
        ("From Kenji and Lea: miso?", "From [name] and [name]: miso?"),
        ("Question from Lena Marsh, floor 3: miso?", "Question from [name], floor 3: miso?"),
        ("Marcus would like to know about miso", "[name] would like to know about miso"),
        ("Asking for Dave - does miso freeze?", "Asking for [name] - does miso freeze?"),
        ("Is miso ok for Sandra's son?", "Is miso ok for [name]'s son?"),
        ("@Tomas what about miso", "@[name] what about miso"),
    ],
)
def test_a_name_that_is_only_told_is_masked(said: str, kept: str) -> None:
    """Who asked goes, however it is told; masking twice changes nothing."""
    assert mask().text(said) == kept
    assert mask().text(kept) == kept


@pytest.mark.parametrize(
    "said",
    [
        "The label says to keep it cold",
        "Cookbook says to knead it, why?",
        "Somebody asked if Greek yogurt melts",
        "What instead of Worcestershire sauce from India?",
        "For Thanksgiving: how much rice?",
        "Is Rosemary's flavor lost in the oven?",
    ],
)
def test_what_names_nobody_stays(said: str) -> None:
    """A label that says, a food with a capital and a feast are no names."""
    assert mask().text(said) == said
