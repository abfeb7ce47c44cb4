"""Corpus errors are values: each names a file, a line and what to do."""

from __future__ import annotations

import msgspec


class Problem(msgspec.Struct, frozen=True, order=True):
    """One thing wrong with the corpus; `record` is the id it makes unusable, if it has one."""

    file: str
    line: int
    message: str
    record: str = ""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.message}"


class CorpusError(Exception):
    """The corpus cannot be used at all; the message says what was expected and the next step."""
