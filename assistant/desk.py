"""The whole way of a question, top to bottom: text -> care -> reading -> kind -> answer.

desk = Desk.open(folder)
desk.ask("how much broth for 14?", desk.context(recipe="red-lentil-soup"))
"""

from __future__ import annotations

import datetime
import importlib
from fractions import Fraction
from pathlib import Path
from typing import Protocol, cast

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import Corpus
from assistant.kinds import care, cautions
from assistant.kinds.shelf import Shelf, make
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.question.understand import Context, understand
from assistant.retrieval.words import stem, stop_words, tokens
from assistant.snapshot import Snapshot, open_snapshot

LONGEST_QUESTION = 20_000
# One unheard-of word among this many others is let pass.
_FEW = 4


class UnusableQuestion(ValueError):
    """A question that cannot be read at all; the message says why and what to do."""


class _Kind(Protocol):
    def answer(self, reading: Reading, shelf: Shelf) -> Answer: ...


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """What one text got: its answers in order, and what the conversation has settled by then."""

    answers: tuple[Answer, ...]
    context: Context


class Desk:
    """Corpus and index in one object; `ask` answers one question."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.corpus: Corpus = snapshot.corpus
        self.shelf = Shelf(snapshot.corpus, snapshot.passages, snapshot.all_foods, snapshot.food)

    @classmethod
    def open(cls, folder: Path, cache: bool = True) -> Desk:
        """Open a corpus folder, from the compiled snapshot where it is up to date.

        Raises CorpusError when the folder is no usable corpus.
        """
        return cls(open_snapshot(folder, cache))

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of question that there are, by name."""
        return tuple(kind for kind, _ in self.snapshot.kinds)

    def context(
        self,
        recipe: str = "",
        servings: Fraction | None = None,
        today: datetime.date | None = None,
    ) -> Context:
        """What is settled before the question: a pinned recipe, the servings, the date."""
        return Context(recipe=recipe, servings=servings, today=today or datetime.date.today())

    def read(self, text: str, context: Context) -> Reading:
        """The reading of a question, without answering it."""
        return understand(clean(text), self.snapshot.lexicon, self.corpus, context)

    def ask(self, text: str, context: Context) -> Answer:
        """Answer one question.

        Raises UnusableQuestion for text that holds no word at all, or is too long to read.
        """
        question = clean(text)
        reading = understand(question, self.snapshot.lexicon, self.corpus, context)
        found = care.find(reading, self.snapshot.care, self.corpus)
        if found.urgent:
            answer = care.urgent_answer(reading, found, self.shelf)
        else:
            answer = self._answer(reading)
            if found.medical:
                answer = care.refer(answer, found, self.shelf)
        answer = cautions.attach(answer, reading, self.shelf)
        return msgspec.structs.replace(answer, question=question, why=why(reading, found))

    def converse(self, text: str, context: Context) -> Turn:
        """Answer every question in a text, in order, each in the light of those before it.

        Returns the answers and the context to ask the next one with. Raises UnusableQuestion.
        """
        return Turn(answers=(self.ask(text, context),), context=context)

    def answer_kind(self, kind: str, context: Context) -> Answer:
        """What a kind says of the recipe in hand, without a question's words."""
        reading = Reading(
            text="",
            words=(),
            kind=kind,
            recipe=context.recipe,
            servings=context.servings,
            today=context.today,
        )
        return cautions.attach(kind_module(kind).answer(reading, self.shelf), reading, self.shelf)

    def _answer(self, reading: Reading) -> Answer:
        if not reading.kind:
            return unknown(reading, self.shelf)
        if reading.rivals:
            return _which(reading, dict(self.snapshot.kinds))
        answer = kind_module(reading.kind).answer(reading, self.shelf)
        if answer.verdict == "asks" and _is_elsewhere(reading, self.shelf):
            return unknown(reading, self.shelf)
        if answer.verdict in {"quoted", "computed", "partial"} and _misses(reading, answer, self.shelf):
            return unknown(reading, self.shelf)
        return answer


def kind_module(kind: str) -> _Kind:
    """The module that answers a kind: `assistant/kinds/<kind>/answer.py`."""
    return cast(_Kind, importlib.import_module(f"assistant.kinds.{kind}.answer"))


def clean(text: str) -> str:
    """The question without control characters and needless space.

    Raises UnusableQuestion where nothing readable is left, or it is longer than 20,000 characters.
    """
    if len(text) > LONGEST_QUESTION:
        raise UnusableQuestion(
            f"the question is {len(text):,} characters long; "
            f"ask with at most {LONGEST_QUESTION:,}, one thing at a time"
        )
    question = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if not any(c.isalnum() for c in question):
        raise UnusableQuestion(
            'there is no question to answer; ask for example: assistant ask "How much broth for 14?"'
        )
    return question


def why(reading: Reading, found: care.Found) -> tuple[str, ...]:
    """How the question was understood, a line each: what was found in it, which cues matched."""
    lines = [
        f'{m.type}: "{m.text}" is {m.id or m.text}' + (" (spelling mended)" if m.corrected else "")
        for m in reading.mentions
    ]
    lines += [
        f'cue for {m.kind}: {m.cue} matched "{m.words}" (weight {m.weight:g})'
        for m in reading.matched[:12]
    ]
    lines += [f"score of {kind}: {value:.2f}" for kind, value in reading.scores[:4]]
    lines += [
        f'{rule.level}: {rule.title}, by {cue} on "{words}"' for rule, cue, words in found.rules
    ]
    return tuple(lines)


def _is_elsewhere(reading: Reading, shelf: Shelf) -> bool:
    """Whether a question names something else, so that no missing detail would help.

    "How long does ceviche keep?" is about ceviche, "how long does it keep?" about a recipe that
    was not named. People to feed, or a word such as "it", say that one of ours is meant.
    """
    if reading.recipe or not reading.outside:
        return False
    if reading.servings is not None or reading.factor is not None:
        return False
    return not shelf.says(reading, "pointing-words")


def _misses(reading: Reading, answer: Answer, shelf: Shelf) -> bool:
    """Whether the answer passes over what the question is about.

    Outside a recipe, a dish that the question names and the answer does not ("butter cake"), or
    several unheard-of words, or one among few, say that the answer is about something else.
    """
    if reading.recipe or not reading.outside:
        return False
    told = {stem(token.text) for text in (answer.headline, *answer.lines) for token in tokens(text)}
    missed = [word for word in reading.outside if stem(word) not in told]
    dishes = shelf.corpus.lists.get("dish-nouns")
    if dishes and set(missed) & set(dishes.words):
        return True
    content = [word for word in reading.words if word not in stop_words()]
    return len(missed) * _FEW > len(content)


def _which(reading: Reading, kinds: dict[str, str]) -> Answer:
    """Two kinds fit equally well: ask, never toss a coin."""
    named = [kinds.get(kind, kind) for kind in (reading.kind, *reading.rivals)]
    return make(
        reading,
        "asks",
        f"Is this about {' or about '.join(named)}?",
        lines=("Both fit the words equally well. Ask again with one of them.",),
    )
