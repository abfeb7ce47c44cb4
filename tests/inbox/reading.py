"""What the tests of the inbox share: options with the shipped word lists, and a run over bytes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from desk_fixture import TODAY, desk

from assistant.inbox.engine import Jobs, Triage, triage
from assistant.inbox.message import Message
from assistant.inbox.readers import Read, read, read_bytes
from assistant.inbox.readers.forms import Options
from assistant.inbox.sort import Settings

FIELDS = ("text", "id", "name", "date", "subject")


def options(**given: object) -> Options:
    """Options with the corpus's column names, and what is given."""
    lists = desk().corpus.lists
    words = {field: lists[f"inbox-{field}"].words for field in FIELDS}
    return Options(words=words, **given)  # type: ignore[arg-type]


def of_bytes(raw: bytes, name: str = "inbox.txt", **given: object) -> list[Message]:
    """The messages of bytes under a file's name."""
    return list(read_bytes(raw, name, options(**given), name))


def of_files(paths: Sequence[Path], **given: object) -> Read:
    """The messages of files."""
    return read([str(path) for path in paths], options(**given))


def sorted_of(messages: Sequence[Message], recipe: str = "", jobs: Jobs | None = None) -> Triage:
    """The messages, sorted by the shipped corpus."""
    return triage(messages, desk(), Settings(recipe=recipe, today=TODAY), jobs)
