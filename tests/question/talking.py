"""A conversation for tests: the answers, turn by turn."""

from __future__ import annotations

from desk_fixture import TODAY, desk

from assistant.answer import Answer


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
