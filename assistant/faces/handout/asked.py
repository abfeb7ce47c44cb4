"""A question of the session as the page prints it."""

from __future__ import annotations

import msgspec

from assistant.answer import Caution, Source


class Asked(msgspec.Struct, frozen=True):
    """One question with what the desk says of it."""

    question: str
    headline: str
    lines: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
