"""A drafted reply: greets, answers one question after the other, and is marked as a draft.

Nothing is ever sent. A draft says which figures were computed and from what.
"""

from __future__ import annotations

import msgspec

from assistant.answer import Answer
from assistant.desk import Desk
from assistant.inbox.message import Item
from assistant.inbox.seam import Seam
from assistant.inbox.sort import Settings, context_of

MARK = "DRAFT – read it through, complete it, send it yourself"
_FIGURES = 8
_LEVELS = {"stop": "STOP", "warn": "Caution", "note": "Note"}


class Block(msgspec.Struct, frozen=True, kw_only=True):
    """The answer to one question of a message, as lines to print."""

    question: str
    kind: str
    verdict: str
    headline: str
    lines: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class Draft(msgspec.Struct, frozen=True, kw_only=True):
    """A reply to a message and to all that ask the same: opening sentences, answers."""

    opening: tuple[str, ...]
    blocks: tuple[Block, ...] = ()


class Drafter:
    """Drafts replies over a desk; shares the answers that sorting got."""

    def __init__(self, desk: Desk, settings: Settings, seam: Seam | None = None) -> None:
        self.desk = desk
        self.settings = settings
        self.seam = seam or Seam(desk)

    def draft(self, item: Item) -> Draft:
        """The draft for a message (and its group)."""
        opening = self._said(item.state.replace(" ", "-"))
        if not item.asked:
            return Draft(opening=opening)
        answers = self.seam.answers(item.words, context_of(item, self.settings))
        blocks = tuple(block(answer) for answer in answers if answer.question)
        if item.state == "programme" and all(b.verdict != "unknown" for b in blocks):
            opening = ()
        return Draft(opening=opening, blocks=blocks)

    def _said(self, state: str) -> tuple[str, ...]:
        found = self.desk.corpus.lists.get(f"reply-{state}")
        programme = self.desk.corpus.programme.name
        return tuple(w.replace("{programme}", programme) for w in found.words) if found else ()


def greeting(desk: Desk, name: str = "") -> tuple[str, ...]:
    """The first lines of a reply, with the sender's first name where names are shown."""
    found = desk.corpus.lists.get("reply-greeting")
    called = f" {name}" if name else ""
    programme = desk.corpus.programme.name
    words = found.words if found else ("Hello{name},",)
    return tuple(w.replace("{name}", called).replace("{programme}", programme) for w in words)


def block(answer: Answer) -> Block:
    """An answer as the lines of a draft."""
    figures = [
        f"{figure.name}: {figure.shown}"
        + (f" (computed: {'; '.join(figure.working[:2])})" if figure.working else "")
        for figure in answer.figures[:_FIGURES]
    ]
    left = len(answer.figures) - _FIGURES
    if left > 0:
        figures.append(f"and {left} more figures: assistant ask --why")
    return Block(
        question=answer.question,
        kind=answer.kind,
        verdict=answer.verdict,
        headline=answer.headline,
        lines=answer.lines,
        figures=tuple(figures),
        cautions=tuple(f"{_LEVELS[c.level]}: {c.text}" for c in answer.cautions),
        sources=tuple(dict.fromkeys(f"{s.title} ({s.where})" for s in answer.sources[:6])),
    )
