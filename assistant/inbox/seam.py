"""Where the inbox touches the desk: care for a whole message, answers for its questions."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import msgspec

from assistant.answer import Answer
from assistant.desk import Desk, UnusableQuestion
from assistant.kinds import care
from assistant.question.classes import compile_classes
from assistant.question.cues import find, make_text
from assistant.question.reading import Reading
from assistant.question.understand import Context
from assistant.retrieval.words import tokens

# A reading takes in at most 4,000 characters: a longer message is read in overlapping windows.
WINDOW, OVERLAP = 3_500, 500
# Of a message that goes on and on, this much is looked through for questions; the signs that it is
# urgent or medical are looked for in all of it.
LONGEST_ASKED = 8_000
_KEPT = 8_192


def windows(text: str) -> Iterator[str]:
    """The text in pieces that a reading takes in, overlapping, cut at spaces."""
    start = 0
    while True:
        end = min(start + WINDOW, len(text))
        if end < len(text):
            space = text.rfind(" ", start + WINDOW - OVERLAP, end)
            end = space if space > start else end
        yield text[start:end]
        if end >= len(text):
            return
        start = max(end - OVERLAP, start + 1)


class Care(msgspec.Struct, frozen=True):
    """Whether a message is urgent or medical, and by which rules."""

    urgent: bool = False
    medical: bool = False
    rules: tuple[str, ...] = ()


class Seam:
    """A desk as the inbox uses it; the same question is answered once."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        asks = desk.corpus.classes.get("asks")
        words = desk.corpus.lists.get("inbox-question-words")
        self.book = compile_classes([asks] if asks else [])[0]
        self.question_words = frozenset(words.words if words else ())
        self.answers = lru_cache(maxsize=_KEPT)(self._answers)
        self.faults: list[str] = []

    def readings(self, text: str, context: Context) -> list[Reading]:
        """The readings of a message's windows; [] where it holds no word."""
        made = []
        for window in windows(text):
            try:
                made.append(self.desk.read(window, context))
            except UnusableQuestion:
                continue
        return made

    def care(self, readings: list[Reading]) -> Care:
        """What the care rules find in a message, in any of its windows."""
        urgent = medical = False
        rules: dict[str, None] = {}
        for reading in readings:
            found = care.find(reading, self.desk.snapshot.care, self.desk.corpus)
            urgent, medical = urgent or found.urgent, medical or found.medical
            rules.update(dict.fromkeys(rule.id for rule, _, _ in found.rules))
        return Care(urgent, medical, tuple(rules))

    def asks(self, text: str) -> bool:
        """Whether a text asks: a question mark, a question's first word, words that ask."""
        words = tuple(token.text for token in tokens(text))
        return bool(words) and (
            "?" in text
            or words[0] in self.question_words
            or bool(find(self.book, make_text(words, ())))
        )

    def _told(self, answers: tuple[Answer, ...]) -> tuple[Answer, ...]:
        """The answers to what was asked: a remark beside the questions needs none of its own, and
        one sentence cut in two is one question."""
        kept: list[Answer] = []
        for answer in answers:
            lost = answer.verdict == "unknown" and not (answer.urgent or answer.medical)
            if lost and not self.asks(answer.question):
                continue
            if any(
                a.kind == answer.kind and a.headline == answer.headline for a in kept if not lost
            ):
                continue
            kept.append(answer)
        return tuple(kept) or answers[:1]

    def _answers(self, text: str, context: Context) -> tuple[Answer, ...]:
        short = text if len(text) <= LONGEST_ASKED else text[-LONGEST_ASKED:]
        try:
            return self._told(self.desk.converse(short, context).answers)
        except UnusableQuestion:
            return ()
        except Exception as error:  # a fault in one kind must not lose an inbox
            self.faults.append(f"could not be answered: {type(error).__name__}: {error}")
            return ()
