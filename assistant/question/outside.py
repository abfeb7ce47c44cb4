"""What a question names that lies outside the corpus: other foods, other dishes, unheard-of words.

A figure for butter does not answer a question about butter cake. Outside a recipe, an ingredient
that stands beside such a word is taken for part of another food's name, and is no mention of its
own; what is left over tells the kinds that the question may be about something the corpus lacks.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import msgspec

from assistant.question.cues import Book
from assistant.question.reading import Mention
from assistant.retrieval.words import Token, singular, stem, stop_words, tokens

SHORTEST = 3


class Ordinary(msgspec.Struct, frozen=True):
    """Words that name no food: `words` in the singular and as stems, `prefixes` of cues, and the
    `dishes` ("cake", "sauce") that are foods whatever else lists them."""

    words: frozenset[str] = frozenset()
    prefixes: tuple[str, ...] = ()
    dishes: frozenset[str] = frozenset()

    def is_foreign(self, word: str) -> bool:
        """Whether a folded word names something that neither the cues nor the lists know."""
        if len(word) < SHORTEST or not word.isalpha() or word in stop_words():
            return False
        key = singular(word)
        if key in self.dishes:
            return True
        return not (key in self.words or stem(word) in self.words or word.startswith(self.prefixes))


def make_ordinary(book: Book, lists: Iterable[str], dishes: Iterable[str]) -> Ordinary:
    """Compile: the cues' words, the words of the corpus's lists, and the names of dishes."""
    words = {token.text for text in (*book.words, *lists) for token in tokens(text)}
    prefixes = {
        text
        for cue in book.cues
        for element in cue.elements
        for text in element.begins
        if len(text) > SHORTEST
    }
    keys = {singular(word) for word in words} | {stem(word) for word in words}
    return Ordinary(frozenset(keys), tuple(sorted(prefixes)), frozenset(map(singular, dishes)))


def set_apart(
    mentions: Sequence[Mention], found: Sequence[Token], ordinary: Ordinary, at_home: bool
) -> tuple[list[Mention], tuple[str, ...]]:
    """The mentions that stand for themselves, and the words that name something else.

    `at_home` says that a recipe is in hand, whose own short names are certain: then no mention is
    taken away. "Soy sauce" is one name and stays; the "soy" of "soy cake" goes.
    """
    covered = _covered(mentions)
    foreign = [
        place not in covered and ordinary.is_foreign(token.text)
        for place, token in enumerate(found)
    ]
    kept = list(mentions)
    if not at_home:
        kept = [m for m in mentions if m.type != "ingredient" or not _beside(m, found, foreign)]
        gone = _covered([m for m in mentions if m not in kept]) - _covered(kept)
        for place in gone:
            foreign[place] = True
    words = (token.text for token, other in zip(found, foreign, strict=True) if other)
    return kept, tuple(dict.fromkeys(words))


def _covered(mentions: Collection[Mention]) -> set[int]:
    return {place for m in mentions for place in range(m.start, m.end)}


def _beside(mention: Mention, found: Sequence[Token], foreign: Sequence[bool]) -> bool:
    """Whether a foreign word stands directly before or behind, with no punctuation between."""
    after = mention.end
    if after < len(found) and foreign[after] and not found[after].after_break:
        return True
    before = mention.start - 1
    return before >= 0 and foreign[before] and not found[mention.start].after_break
