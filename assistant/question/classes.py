"""The classes of messages, compiled: the cues by which a sentence is praise, an idea, and so on."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.corpus.rules import MessageClass
from assistant.question.cues import Book, Cue, CueError, compile_cue, make_book


def compile_classes(classes: Iterable[MessageClass]) -> tuple[Book, list[tuple[str, str]]]:
    """The classes' cues as one book, and (class id, message) for patterns that cannot be used."""
    cues: list[Cue] = []
    faults: list[tuple[str, str]] = []
    for record in classes:
        seen: set[str] = set()
        for given in record.cues:
            pattern, weight = (given, None) if isinstance(given, str) else (given.cue, given.weight)
            if pattern in seen:
                faults.append((record.id, f"cue {pattern!r} stands twice; keep one"))
                continue
            seen.add(pattern)
            try:
                cues.append(compile_cue(record.id, pattern, weight))
            except CueError as error:
                faults.append((record.id, str(error)))
    return make_book(cues), faults
