"""What the demo corpus does not hold is not answered: no figure, no quotation."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk_fixture import TODAY, desk

FILE = Path(__file__).with_name("questions.txt")


def _questions() -> list[str]:
    lines = FILE.read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def test_there_are_a_hundred() -> None:
    """A file that was emptied must not pass."""
    assert len(set(_questions())) >= 100


@pytest.mark.parametrize("question", _questions())
def test_it_is_unknown(question: str) -> None:
    """The answer says that it does not know, or asks for what is missing."""
    answer = desk().ask(question, desk().context(today=TODAY))
    assert answer.verdict in {"unknown", "asks"}, answer.headline
    assert not answer.figures
