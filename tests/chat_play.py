"""A chat without a terminal whose clock on the wall a test moves."""

from __future__ import annotations

import datetime
from collections.abc import Hashable
from fractions import Fraction

from desk_fixture import TODAY, desk

from assistant.faces.chat.keep import Keep
from assistant.faces.chat.rows import Row
from assistant.faces.chat.session import Corner, Session

NOON = datetime.datetime.combine(TODAY, datetime.time(12, 0))


class Wall:
    """A clock on the wall that a test moves."""

    def __init__(self) -> None:
        self.at = NOON

    def __call__(self) -> datetime.datetime:
        return self.at

    def forward(self, minutes: float) -> None:
        """Let minutes pass."""
        self.at += datetime.timedelta(minutes=minutes)


class Play:
    """A session with its wall clock; `say` gives the reply as text."""

    def __init__(
        self, recipe: str = "", servings: int | None = None, keep: Keep | None = None
    ) -> None:
        self.wall = Wall()
        self.stamp: Hashable = 0
        corner = Corner(open=desk, stamp=lambda: self.stamp)
        pinned = None if servings is None else Fraction(servings)
        context = desk().context(recipe, pinned, TODAY)
        self.session = Session(corner, desk(), context, self.wall, keep)

    def rows(self, line: str) -> tuple[Row, ...]:
        """The rows of a reply."""
        return self.session.line(line).rows

    def say(self, line: str) -> str:
        """The text of a reply, one row a line."""
        return "\n".join(row.text for row in self.rows(line))
