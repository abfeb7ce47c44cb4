"""Where the inbox touches the desk: care for a whole message, answers for its questions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import cast

import msgspec

from assistant.answer import Answer, Verdict
from assistant.desk import Desk, UnusableQuestion
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
# What stands before a part of a question that nothing was found for.
LEFT = "Not answered by the recipes and notes at hand:"
# Mentions that make a question one of its own; and how many words one that points back has at most.
_NAMING = frozenset({
    "recipe", "ingredient", "nutrient", "diet", "place", "method", "tool", "servings", "amount",
    "temperature", "duration", "date", "state", "share",
})  # fmt: skip
_SHORT = 10
# A line of at least this many characters may have been wrapped; where a sentence ends; a list.
_WRAPPED = 50
_ENDS = ".?!:;…"
_ITEM = re.compile(r"[-*•–]|\(?\w{1,2}[.)]\s")


def flowed(text: str) -> str:
    """A text whose lines are sentences: lines that a mail program wrapped are joined, and a line
    that ends for good ends in a mark, so that no sentence runs into the next.

    A line goes on in the next where it is long, ends without a mark, and no list or empty line
    follows.
    """
    lines = [line.strip() for line in text.split("\n")]
    made: list[str] = []
    before = ""
    for line in lines:
        wrapped = len(before) >= _WRAPPED and before[-1] not in _ENDS
        if wrapped and line and not _ITEM.match(line):
            made[-1] = f"{made[-1]} {line}"
        elif line:
            made.append(line)
        before = line
    return "\n".join(
        f"{line}." if line[-1].isalnum() and number < len(made) else line
        for number, line in enumerate(made, 1)
    )


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


def _with_rest(answer: Answer, rest: Answer) -> Answer:
    """An answer whose question goes on with a part that nothing was found for."""
    told = {"computed": "partial", "quoted": "partial"}.get(answer.verdict, answer.verdict)
    return msgspec.structs.replace(
        answer,
        question=f"{answer.question} {rest.question}",
        verdict=cast(Verdict, told),
        lines=(*answer.lines, f"{LEFT} {rest.question}"),
    )


class Care(msgspec.Struct, frozen=True):
    """Whether a message is urgent or medical, and by which rules; `perhaps` where it only sounds
    as if it might be urgent."""

    urgent: bool = False
    medical: bool = False
    rules: tuple[str, ...] = ()
    perhaps: bool = False


class Seam:
    """A desk as the inbox uses it; the same question is answered once."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        asks = desk.corpus.classes.get("asks")
        words = desk.corpus.lists.get("inbox-question-words")
        self.book = compile_classes([asks] if asks else [])[0]
        self.question_words = frozenset(words.words if words else ())
        below = desk.corpus.lists.get("inbox-look-below")
        self.below = tuple(below.words if below else ())
        links = desk.corpus.lists.get("inbox-links")
        backward = desk.corpus.lists.get("inbox-backward")
        self.backward = frozenset(backward.words if backward else ())
        told = desk.corpus.lists.get("inbox-no-question")
        self.told = frozenset(told.words if told else ())
        self.links = frozenset(links.words if links else ())
        self.answers = lru_cache(maxsize=_KEPT)(self._answers)
        self.faults: list[str] = []

    def readings(self, text: str, context: Context) -> list[Reading]:
        """The readings of a message's windows; [] where it holds no word."""
        made = []
        for window in windows(flowed(text)):
            try:
                made.append(self.desk.read(window, context))
            except UnusableQuestion:
                continue
        return made

    def care(self, readings: list[Reading]) -> Care:
        """What the care rules find in a message, in any of its windows."""
        urgent = medical = perhaps = False
        rules: dict[str, None] = {}
        for reading in readings:
            found = self.desk.cared(reading)
            urgent, medical = urgent or found.urgent, medical or found.medical
            perhaps = perhaps or found.perhaps
            rules.update(dict.fromkeys(rule.id for rule, _, _ in found.rules))
        return Care(urgent, medical, tuple(rules), perhaps and not urgent)

    def asks(self, text: str) -> bool:
        """Whether a text asks: a question mark, a question's first word, words that ask."""
        words = tuple(token.text for token in tokens(text))
        while len(words) > 1 and words[0] in self.links:
            words = words[1:]
        return bool(words) and (
            "?" in text or self.opens(words) or bool(find(self.book, make_text(words, ())))
        )

    def opens(self, words: tuple[str, ...]) -> bool:
        """Whether words begin as a question does: "do I", but not "do something with fish"."""
        return words[0] in self.question_words and " ".join(words[:2]) not in self.told

    def _told(self, answers: tuple[Answer, ...]) -> tuple[Answer, ...]:
        """The answers to what was asked: a remark beside the questions needs none of its own, one
        sentence cut in two is one question, and what only points back ("and what would change?")
        belongs to the question before it, which is then answered in part.
        """
        kept: list[Answer] = []
        for answer in answers:
            lost = answer.verdict in {"unknown", "asks"} and not (answer.urgent or answer.medical)
            if answer.verdict == "unknown" and lost and self._remark(answer):
                continue
            if any(
                a.kind == answer.kind and a.headline == answer.headline for a in kept if not lost
            ):
                continue
            if lost and kept and self._points_back(answer):
                kept[-1] = _with_rest(kept[-1], answer)
                continue
            kept.append(answer)
        return tuple(kept) or answers[:1]

    def _remark(self, answer: Answer) -> bool:
        """Whether a part of a message asks nothing, or only points at the mail sent on below."""
        low = answer.question.lower()
        named = any(m["type"] in _NAMING for m in answer.reading.get("words", ()))
        return not self.asks(low) or (not named and any(mark in low for mark in self.below))

    def _points_back(self, answer: Answer) -> bool:
        """Whether the rest of a sentence names nothing and says "it" or "that" instead."""
        if not answer.question[:1].islower():
            return False
        words = [token.text for token in tokens(answer.question)]
        named = any(m["type"] in _NAMING for m in answer.reading.get("words", ()))
        return not named and len(words) <= _SHORT and not self.backward.isdisjoint(words)

    def _answers(self, text: str, context: Context) -> tuple[Answer, ...]:
        text = flowed(text)
        short = text if len(text) <= LONGEST_ASKED else text[-LONGEST_ASKED:]
        try:
            return self._told(self.desk.converse(short, context).answers)
        except UnusableQuestion:
            return ()
        except Exception as error:  # a fault in one kind must not lose an inbox
            self.faults.append(f"could not be answered: {type(error).__name__}: {error}")
            return ()
