"""The whole way of a question, top to bottom: text -> care -> reading -> kind -> answer.

desk = Desk.open(folder)
desk.ask("how much broth for 14?", desk.context(recipe="red-lentil-soup"))
"""

from __future__ import annotations

import datetime
import importlib
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Protocol, cast

import msgspec

from assistant.answer import Answer
from assistant.conversation import Talk, Turn
from assistant.corpus.corpus import Corpus
from assistant.kinds import care, cautions
from assistant.kinds.fitting import SURE, answer_from_notes, is_doubtful
from assistant.kinds.named import the_one
from assistant.kinds.recipe.conditions import conditions
from assistant.kinds.relevance import by_definition, is_elsewhere, misses, strays
from assistant.kinds.shelf import Shelf, make, points_at_dish
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.question.stand import is_courtesy
from assistant.question.understand import Context, understand
from assistant.snapshot import Snapshot, open_snapshot

LONGEST_QUESTION = 20_000
# What people type for two words that a question turns on.
_SHORTENED = (
    (re.compile(r"\bw/o\b(?!/)", re.IGNORECASE), "without"),
    (re.compile(r"\bw/(?=\s)", re.IGNORECASE), "with"),
    (re.compile(r"\bwith out\b", re.IGNORECASE), "without"),
    (re.compile(r"\bw[au]t(?=\s|$)", re.IGNORECASE), "what"),
    (re.compile(r"\bu\b(?![.])", re.IGNORECASE), "you"),
)


class UnusableQuestion(ValueError):
    """A question that cannot be read at all; the message says why and what to do."""


class _Kind(Protocol):
    def answer(self, reading: Reading, shelf: Shelf) -> Answer: ...


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
        return self._understood(clean(text), context)

    def cared(self, reading: Reading) -> care.Found:
        """The care rules that a text sets off: whether it is urgent or medical."""
        return self._cared(reading.text)

    def ask(self, text: str, context: Context) -> Answer:
        """Answer one question.

        Raises UnusableQuestion for text that holds no word at all, or is too long to read.
        """
        return self.answered(clean(text), context)[0]

    def converse(self, text: str, context: Context) -> Turn:
        """Answer every question in a text, in order, each in the light of those before it.

        Returns the answers and the context to ask the next one with. An urgent text is answered as
        a whole first, whatever else it asks. Raises UnusableQuestion.
        """
        return Talk(self).turn(clean(text), context)

    @cached_property
    def _understood(self) -> Callable[[str, Context], Reading]:
        """Reading a question; answering one looks at the same text several times over."""
        lexicon, corpus = self.snapshot.lexicon, self.corpus
        return lru_cache(maxsize=64)(
            lambda text, context: understand(text, lexicon, corpus, context)
        )

    @cached_property
    def _cared(self) -> Callable[[str], care.Found]:
        """Care rules found in a text; a message is looked at as a whole and then by its parts."""
        book, corpus = self.snapshot.care, self.corpus
        return lru_cache(maxsize=64)(lambda text: care.find_in(text, book, corpus))

    def answered(
        self, question: str, context: Context, said: tuple[str, ...] = (), kind: str = ""
    ) -> tuple[Answer, Reading]:
        """The answer to one cleaned question, with its reading. `said` is what was taken over from
        the conversation, `kind` settles what is asked for."""
        reading = self._understood(question, context)
        reading = msgspec.structs.replace(reading, assumed=(*said, *reading.assumed))
        if kind:
            reading = msgspec.structs.replace(reading, kind=kind, rivals=())
        found = self._cared(reading.text)
        if found.urgent:
            answer = care.urgent_answer(reading, found, self.shelf)
        else:
            answer = self._answer(reading)
            if found.medical:
                answer = care.refer(answer, found, self.shelf)
        answer = cautions.attach(answer, reading, self.shelf, found.perhaps)
        answer = msgspec.structs.replace(answer, question=question, why=why(reading, found))
        return answer, reading

    def answer_kind(self, kind: str, context: Context, words: tuple[str, ...] = ()) -> Answer:
        """What a kind says of the recipe in hand, without a question (or with a few bare words)."""
        reading = Reading(
            text="",
            words=words,
            kind=kind,
            recipe=context.recipe,
            servings=context.servings,
            today=context.today,
        )
        return cautions.attach(kind_module(kind).answer(reading, self.shelf), reading, self.shelf)

    def _answer(self, reading: Reading) -> Answer:
        if is_courtesy(reading.text, self.corpus):
            return make(reading, "unknown", "There is no question in this.")
        # A list of recipes may be asked for in the words of any kind: what they hold or bring.
        looked_for = conditions(reading, self.shelf)
        if looked_for is not None:
            from assistant.kinds.recipe.catalog import answer_catalog

            return answer_catalog(reading, looked_for, self.shelf)
        if self.shelf.says(reading, "purpose-signs"):
            from assistant.kinds.purpose import purpose

            reason = purpose(reading, self.shelf)
            if reason is not None:
                return reason
        answer = self._of_kind(reading)
        if answer.verdict == "asks" and not reading.recipe:
            answer = self._of_the_one(reading) or answer
        # What no kind could answer a note may, and better than a question back.
        if answer.verdict == "unknown":
            # That one food is not on record in the place of another is an answer, and what is in
            # another's stew no note tells.
            for_dish = len(reading.foods) > 1 or bool(reading.recipe and reading.foods)
            swapped = answer.kind == "swap" and for_dish
            told = swapped or answer.kind == "recipe"
            return answer if told else answer_from_notes(reading, self.shelf) or answer
        if answer.verdict == "asks" and not points_at_dish(reading, self.shelf):
            return answer_from_notes(reading, self.shelf, SURE) or answer
        return answer

    def _of_the_one(self, reading: Reading) -> Answer | None:
        """The answer for the only recipe that what is pointed at can be: "the cod" is baked cod."""
        found = the_one(reading, self.shelf)
        if found is None:
            return None
        recipe, mentions = found
        said = f"about the {recipe.title.lower()}, the only recipe it can be"
        read = msgspec.structs.replace(
            reading, recipe=recipe.id, mentions=mentions, assumed=(*reading.assumed, said)
        )
        answer = self._of_kind(read)
        return answer if answer.verdict in {"computed", "quoted", "partial"} else None

    def _of_kind(self, reading: Reading) -> Answer:
        """The kind's answer; "I don't know" where it passes over what is asked."""
        if not reading.kind:
            return unknown(reading, self.shelf)
        if reading.rivals:
            return _which(reading, dict(self.snapshot.kinds))
        answer = kind_module(reading.kind).answer(reading, self.shelf)
        at_large = not reading.recipe and self.shelf.says(reading, "at-large-nouns")
        if answer.verdict == "asks" and (at_large or is_elsewhere(reading, self.shelf)):
            return unknown(reading, self.shelf)
        told = answer.verdict in {"quoted", "computed", "partial"}
        told = told and not by_definition(reading, answer, self.shelf)
        general = getattr(kind_module(reading.kind), "GENERAL", False)
        if told and (
            misses(reading, answer, self.shelf, general)
            or strays(reading, answer, self.shelf)
            or is_doubtful(reading, answer, self.shelf)
        ):
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
    for short, whole in _SHORTENED:
        question = short.sub(whole, question)
    if not any(c.isalnum() for c in question):
        raise UnusableQuestion(
            "there is no question to answer; ask for example: "
            'assistant ask "How much broth for 14?"'
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
    lines += [f"score of {kind}: {value:.2f}" for kind, value in reading.scores[:4] if value > 0]
    lines += [
        f'{rule.level}: {rule.title}, by {cue} on "{words}"' for rule, cue, words in found.rules
    ]
    return tuple(lines)


def _which(reading: Reading, kinds: dict[str, str]) -> Answer:
    """Two kinds fit equally well: ask, never toss a coin."""
    named = [kinds.get(kind, kind) for kind in (reading.kind, *reading.rivals)]
    return make(
        reading,
        "asks",
        f"Is this about {' or about '.join(named)}?",
        lines=("Both fit the words equally well. Ask again with one of them.",),
    )
