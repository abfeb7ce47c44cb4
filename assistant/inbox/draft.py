"""A drafted reply: greets, answers one question after the other, and is marked as a draft.

Nothing is ever sent. A draft says which figures were computed and from what.
"""

from __future__ import annotations

import re

import msgspec

from assistant.answer import Answer, Figure
from assistant.desk import Desk
from assistant.inbox.message import Item
from assistant.inbox.seam import LEFT, Seam
from assistant.inbox.sort import Settings, context_of

MARK = "DRAFT – read it through, complete it, send it yourself"
_FIGURES, _STEPS = 6, 3
# Where something stands in the corpus is for whoever keeps it, not for who asked; what was taken
# over from a setting is said once, above.
_PLACE = re.compile(r" ?\((?:[\w-]+/)*[\w-]+\.(?:yaml|csv|md)(?::\d+)?\)")
TAKEN = "Taken as:"
_LEVELS = {"stop": "STOP", "warn": "Caution", "note": "Note"}


class Block(msgspec.Struct, frozen=True, kw_only=True):
    """The answer to one question of a message, as lines to print. `note` is for whoever sends it:
    what is to be written or completed before that.
    """

    question: str
    kind: str
    verdict: str
    headline: str
    note: str = ""
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
        own = desk.corpus.lists.get("inbox-own-kinds")
        self.own = frozenset(own.words if own else ())

    def draft(self, item: Item) -> Draft:
        """The draft for a message (and its group)."""
        opening = self._said(item.state.replace(" ", "-"))
        if not item.asked:
            return Draft(opening=opening)
        answers = self.seam.answers(item.words, context_of(item, self.settings))
        blocks = [self._block(answer) for answer in answers if answer.question]
        # One note to complete is enough where nothing else is said.
        if opening and all(b.note and not b.headline for b in blocks):
            notes = tuple(dict.fromkeys(b.note for b in blocks))
            return Draft(opening=notes)
        if item.state in {"programme", "write"} and all(not b.note for b in blocks):
            opening = ()
        if item.state == "write":
            opening = ()
        return Draft(opening=opening, blocks=tuple(blocks))

    def _block(self, answer: Answer) -> Block:
        """An answer as it may be sent, or a note on what is to be written instead."""
        if answer.kind in self.own:
            note = " ".join(self._said("programme"))
            return Block(
                question=answer.question,
                kind=answer.kind,
                verdict=answer.verdict,
                headline="",
                note=note,
            )
        made = block(answer)
        if answer.verdict != "unknown" or answer.urgent or answer.medical:
            left = [line for line in made.lines if line.startswith(LEFT)]
            lines = tuple(line for line in made.lines if line not in left)
            return msgspec.structs.replace(
                made, lines=lines, note=" ".join(f"[{line}]" for line in left)
            )
        told = [line for line in made.lines if not line.startswith(TAKEN)]
        note = " ".join((*self._said("write"), f"[{' '.join((made.headline, *told))}]"))
        return msgspec.structs.replace(
            made, headline="", note=note, lines=(), figures=(), sources=()
        )

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
    """An answer as the lines of a draft: nothing twice, no places in the corpus."""
    figures = [
        f"{figure.name}: {figure.shown}" + _worked(figure)
        for figure in answer.figures
        if figure.working and figure.value is not None
    ]
    lines = dict.fromkeys(map(_plain, answer.lines))
    lines.pop(_plain(answer.headline), None)
    return Block(
        question=answer.question,
        kind=answer.kind,
        verdict=answer.verdict,
        headline=_plain(answer.headline),
        lines=tuple(lines),
        figures=tuple(figures[:_FIGURES]),
        cautions=tuple(f"{_LEVELS[c.level]}: {c.text}" for c in answer.cautions),
        sources=tuple(dict.fromkeys(_plain(s.title) for s in answer.sources[:6])),
    )


def _worked(figure: Figure) -> str:
    """How a figure was computed, in brackets: the first steps, and how many more there are."""
    steps = list(dict.fromkeys(s for line in figure.working for s in _plain(line).split("; ")))
    more = f"; and {len(steps) - _STEPS} more" if len(steps) > _STEPS else ""
    return f" (computed: {'; '.join(steps[:_STEPS])}{more})"


def _plain(text: str) -> str:
    return _PLACE.sub("", text)
