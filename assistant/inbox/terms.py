"""What two messages are compared by: concepts, what they name, and stems of their words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import WordList
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words, tokens

# What a question names tells more than the words around it.
_NAMED = {
    "recipe",
    "ingredient",
    "nutrient",
    "diet",
    "place",
    "state",
    "method",
    "tool",
    "occasion",
}
_LONGEST = 1_500
_PREFIX = "concept-"
# How alike (as the cosine of their terms) two messages must be to count as one question, and what
# is added or taken off where they ask for different kinds of thing, or for the same.
ALIKE, KINDS, COUNTS = 0.38, 0.05, 0.1
LEAST = ALIKE - KINDS
ASKING = frozenset({"ready", "check", "write", "clinician", "act now"})


class Guard(msgspec.Struct, frozen=True):
    """What must agree before two messages may share a draft.

    The same state (the three that answer a question count as one), the same recipe where both name
    one, foods in common where both name some, the same servings. The kinds of question decide how
    alike they must be.
    """

    state: str
    recipes: frozenset[str] = frozenset()
    foods: frozenset[str] = frozenset()
    all_foods: frozenset[str] = frozenset()
    numbers: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()


class Namer:
    """Makes terms and guards, by the concepts of the corpus."""

    def __init__(self, corpus: Corpus) -> None:
        self.corpus = corpus
        self.concepts = concepts(corpus.lists)
        self._items = lru_cache(maxsize=512)(self._recipe_words)

    def terms(
        self, gist: str, subject: str, readings: Sequence[Reading], rules: Sequence[str]
    ) -> tuple[str, ...]:
        """The terms of a message, the weightier ones several times.

        `gist` is what it asks or says, without the talk around it; `rules` are the care rules.
        """
        made: dict[str, int] = {}
        stops = stop_words()
        for token in tokens(f"{gist[:_LONGEST]} . {subject}"):
            for concept in self.concepts.get(token.text, ()):
                made[concept] = 3
            if token.text not in stops and len(token.text) > 1:
                made.setdefault(stem(token.text), 1)
        for reading in readings[:1]:
            for mention in reading.mentions:
                if mention.type in _NAMED:
                    made[f"{mention.type}:{mention.id}"] = 2
            if reading.kind:
                made[f"kind:{reading.kind}"] = 1
        for rule in rules:
            made[f"care:{rule}"] = 3
        return tuple(term for term, times in made.items() for _ in range(times))

    def guard(self, state: str, readings: Sequence[Reading], kinds: Sequence[str]) -> Guard:
        """What must agree, see Guard."""
        if state not in ASKING or not readings:
            return Guard(state)
        reading = readings[0]
        recipes = frozenset(reading.ids("recipe"))
        foods = _words(reading.ids("ingredient"))
        every = foods | _words(recipes) | {w for r in recipes for w in self._items(r)}
        numbers = tuple(
            str(m.value) for m in reading.mentions if m.type == "servings" and m.value is not None
        )
        asking = "question" if state in {"ready", "check", "write"} else state
        return Guard(asking, recipes, foods, every, numbers[:1], tuple(sorted(kinds)))

    def _recipe_words(self, ident: str) -> frozenset[str]:
        recipe = self.corpus.recipes.get(ident)
        return _words(line.item for line in recipe.lines) if recipe else frozenset()


def agree(one: Guard, other: Guard) -> bool:
    """Whether two messages may share a draft."""
    if one.state != other.state:
        return False
    if one.recipes and other.recipes and not one.recipes & other.recipes:
        return False
    if one.numbers and other.numbers and one.numbers != other.numbers:
        return False
    for a, b in ((one, other), (other, one)):
        if a.foods and b.all_foods and not a.foods & b.all_foods:
            return False
    return True


def together(one: Guard, other: Guard) -> Guard:
    """The guard of two messages that share a draft: who joins them must agree with both."""
    return Guard(
        one.state,
        one.recipes | other.recipes,
        one.foods | other.foods,
        one.all_foods | other.all_foods,
        one.numbers or other.numbers,
        one.kinds,
    )


def threshold(one: Guard, other: Guard) -> float:
    """How alike two messages whose guards agree must be to share a draft."""
    if one.state in {"idea", "complaint"}:
        return LEAST
    if one.state == "programme":
        return ALIKE
    kinds = -KINDS if set(one.kinds) & set(other.kinds) else KINDS
    return ALIKE + kinds + (COUNTS if len(one.kinds) != len(other.kinds) else 0.0)


def concepts(lists: Mapping[str, WordList]) -> dict[str, tuple[str, ...]]:
    """The concepts that a word belongs to, by word."""
    made: dict[str, list[str]] = {}
    for ident, record in lists.items():
        if ident.startswith(_PREFIX):
            for word in record.words:
                made.setdefault(word, []).append(ident)
    return {word: tuple(ids) for word, ids in made.items()}


def _words(ids: Iterable[str]) -> frozenset[str]:
    return frozenset(word for ident in ids for word in ident.split("-"))
