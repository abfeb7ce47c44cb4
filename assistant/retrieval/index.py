"""BM25 over passages: a compact index that is built once and asked many times.

The score of a passage D for the words of a question is

    sum over words t of  idf(t) * tf * (k1 + 1) / (tf + k1 * (1 - b + b * |D| / avg|D|))
    idf(t) = ln(1 + (N - n + 0.5) / (n + 0.5))

with tf how often t stands in D, n the number of the N passages that hold t, k1 = 1.2, b = 0.75
(Robertson & Zaragoza 2009, "The Probabilistic Relevance Framework: BM25 and Beyond"). The 1 inside
the logarithm keeps the idf above zero for words that stand in more than half of the passages.
Fields are weighted by repeating their terms, title three times, ingredients and asks twice, text
once, in tf and in |D| alike; that is BM25F with one b for all fields. Everything but the sum is
worked out when the index is built, so that a question costs one pass over its words' postings and
no passage is scored that holds none of them: the best k are those of scoring all, ties aside.
This idf is bm25s's "lucene"; rank-bm25's own, ln((N - n + 0.5) / (n + 0.5)), ranks otherwise.
"""

from __future__ import annotations

import heapq
import math
import sys
from array import array
from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Literal

import msgspec

from assistant.retrieval.words import stem, stop_words, tokens

K1 = 1.2
B = 0.75
MOST_HITS = 50
# Leaves room for what a product of floats may lose in its last digits.
_ROUNDING = 1 - 1e-9
TITLE, INGREDIENTS, ASKS, TEXT = 3, 2, 2, 1

Source = Literal["recipe", "note", "safety", "swap", "pantry"]


class Passage(msgspec.Struct, frozen=True):
    """A piece of the corpus that can be shown by itself. Several may come from one record.

    `record` is the id of the record, `where` its file and line, `asks` are questions it answers.
    """

    id: str
    record: str
    source: Source
    kinds: tuple[str, ...]
    title: str
    text: str
    where: str
    ingredients: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()


class Hit(msgspec.Struct, frozen=True):
    """A passage found: its number in the list the index was built from, and how well it fits.

    `words` are the question's words it holds, in the question's order; `held` and `asked` the idf
    weight of those and of the whole question (see `coverage`).
    """

    passage: int
    score: float
    words: tuple[str, ...]
    held: float
    asked: float


def coverage(hit: Hit) -> float:
    """The share (0 to 1) of the question's idf weight that the passage holds.

    It tells whether a passage answers a question where the score only tells which answers best.
    A word that stands nowhere in the corpus weighs as much as a word can, so a question about
    something that is not covered stays low; a figure that stands nowhere ("for 14") is left out,
    since it is the asker's own.
    """
    return hit.held / hit.asked if hit.asked > 0 else 0.0


def idf(passages: int, holding: int) -> float:
    """The weight of a word that `holding` of `passages` passages hold (see the module's text)."""
    return math.log(1 + (passages - holding + 0.5) / (holding + 0.5))


class Index(msgspec.Struct, frozen=True):
    """The built index. Goes through `msgspec.msgpack` both ways; arrays are kept as bytes.

    `rows` gives each term its row; row r's postings are `starts[r]` to `starts[r + 1]` in `numbers`
    (passage numbers, rising) and `impacts` (that term's share of that passage's score, 4-byte
    floats). `kinds` has one bit per kind in `kind_names`. Arrays are in the machine's byte order;
    decoding those of another machine raises.
    """

    ids: tuple[str, ...]
    records: tuple[str, ...]
    kind_names: tuple[str, ...]
    kinds: bytes
    rows: dict[str, int]
    starts: bytes
    numbers: bytes
    impacts: bytes
    stop: frozenset[str]
    synonyms: dict[str, str]
    byte_order: str = sys.byteorder

    def __post_init__(self) -> None:
        """Refuse arrays that this machine would misread."""
        if self.byte_order != sys.byteorder:
            raise ValueError(f"the index was built on a {self.byte_order}-endian machine")

    def search(
        self,
        question_words: Sequence[str],
        k: int = 5,
        kinds: Collection[str] = (),
        boost: Mapping[str, float] | None = None,
    ) -> list[Hit]:
        """The best `k` passages (50 at most) that hold a word of the question, best first.

        `question_words` may be plain words or `Token.text`s; repeats count once and their order
        does not matter. `kinds`, where given, keeps passages that have one of them. `boost` maps
        the id of a record (the recipe in hand) to a factor above zero on its passages' scores.
        Equal scores go by passage id. No known word gives an empty list. Raises ValueError for a
        factor that is not above zero.
        """
        boost = boost or {}
        if not all(0 < factor < math.inf for factor in boost.values()):
            raise ValueError("a boost must be above zero")
        asked = self._asked(question_words)
        rows = sorted(row for term in asked if (row := self.rows.get(term)) is not None)
        k = min(k, MOST_HITS)
        scores = self._scores(rows) if k > 0 else {}
        if kinds:
            scores = self._of_kinds(scores, kinds)
        if not scores:
            return []
        # No boost can lift a passage from below this floor among the best; few stand above it.
        factors = (1.0, *boost.values())
        spread = min(factors) / max(factors)
        floor = heapq.nlargest(k, scores.values())[-1] * spread * _ROUNDING
        near = [(n, score) for n, score in scores.items() if score >= floor]
        ranked = [(-score * boost.get(self.records[n], 1.0), self.ids[n], n) for n, score in near]
        return self._hits([(n, -score) for score, _, n in heapq.nsmallest(k, ranked)], asked)

    def weigh(self, words: Sequence[str]) -> dict[str, float]:
        """The terms of some words, stop words left out, each with its idf; the rarest weigh most.

        A term that stands nowhere weighs as much as a term can.
        """
        weighed: dict[str, float] = {}
        for term in self._asked(words):
            row = self.rows.get(term)
            low, high = self._span(row) if row is not None else (0, 0)
            weighed[term] = idf(len(self.ids), high - low)
        return weighed

    def _asked(self, question_words: Sequence[str]) -> dict[str, str]:
        """The question's terms, each with the first of its words that gave it."""
        asked: dict[str, str] = {}
        for word in question_words:
            for token in tokens(word):
                term = _term(token.text, self.stop, self.synonyms)
                if term:
                    asked.setdefault(term, token.text)
        return asked

    def _span(self, row: int) -> tuple[int, int]:
        starts = memoryview(self.starts).cast("I")
        return starts[row], starts[row + 1]

    def _scores(self, rows: Sequence[int]) -> dict[int, float]:
        """The score of each passage that holds a term: no other passage is looked at."""
        numbers = memoryview(self.numbers).cast("I")
        impacts = memoryview(self.impacts).cast("f")
        scores: dict[int, float] = {}
        for row in rows:
            low, high = self._span(row)
            if not scores:
                scores = dict(zip(numbers[low:high], impacts[low:high], strict=True))
                continue
            for number, impact in zip(numbers[low:high], impacts[low:high], strict=True):
                scores[number] = scores.get(number, 0.0) + impact
        return scores

    def _of_kinds(self, scores: dict[int, float], kinds: Collection[str]) -> dict[int, float]:
        masks = memoryview(self.kinds).cast("Q")
        wanted = sum(1 << bit for bit, name in enumerate(self.kind_names) if name in kinds)
        return {number: score for number, score in scores.items() if masks[number] & wanted}

    def _hits(self, best: list[tuple[int, float]], asked: Mapping[str, str]) -> list[Hit]:
        numbers = memoryview(self.numbers).cast("I")
        weighed: list[tuple[str, float, int, int]] = []
        for term, word in asked.items():
            row = self.rows.get(term)
            low, high = self._span(row) if row is not None else (0, 0)
            if low < high or not any(char.isdigit() for char in term):
                weighed.append((word, idf(len(self.ids), high - low), low, high))
        total = math.fsum(weight for _, weight, _, _ in weighed)
        hits: list[Hit] = []
        for number, score in best:
            words: list[str] = []
            weights: list[float] = []
            for word, weight, low, high in weighed:
                place = bisect_left(numbers, number, low, high)
                if place < high and numbers[place] == number:
                    words.append(word)
                    weights.append(weight)
            hits.append(Hit(number, score, tuple(words), math.fsum(weights), total))
        return hits


def _term(word: str, stop: Collection[str], synonyms: Mapping[str, str]) -> str:
    """What a folded word is indexed as, "" for a stop word."""
    if word in stop:
        return ""
    key = stem(word)
    return synonyms.get(key, key)


def _terms(texts: Iterable[str], stop: Collection[str], synonyms: Mapping[str, str]) -> list[str]:
    words = (token.text for text in texts for token in tokens(text))
    return [term for word in words if (term := _term(word, stop, synonyms))]


def _one_stem(word: str) -> str:
    found = tokens(word)
    if len(found) != 1:
        raise ValueError(f"a synonym must be one word: {word!r}")
    return stem(found[0].text)


def _weighted_terms(
    passage: Passage, stop: Collection[str], synonyms: Mapping[str, str]
) -> Counter[str]:
    counts: Counter[str] = Counter()
    for texts, weight in (
        ((passage.title,), TITLE),
        (passage.ingredients, INGREDIENTS),
        (passage.asks, ASKS),
        ((passage.text,), TEXT),
    ):
        for term in _terms(texts, stop, synonyms):
            counts[term] += weight
    return counts


def build(passages: Sequence[Passage], synonyms: Mapping[str, str] | None = None) -> Index:
    """The index over `passages`; a hit's number is a place in that list.

    `synonyms` maps a word to the word it is indexed and asked as ("garbanzo" to "chickpea"), one
    step, both in any form. Raises ValueError when two passages share an id, a synonym is not one
    word, or there are more than 64 kinds.
    """
    ids = tuple(passage.id for passage in passages)
    if len(set(ids)) < len(ids):
        twice = sorted(name for name, count in Counter(ids).items() if count > 1)
        raise ValueError(f"two passages have the id {twice[0]!r}")
    kind_names = tuple(sorted({kind for passage in passages for kind in passage.kinds}))
    if len(kind_names) > 64:
        raise ValueError(f"at most 64 kinds, not {len(kind_names)}")
    stop = stop_words()
    known = {_one_stem(word): _one_stem(other) for word, other in (synonyms or {}).items()}
    # Of each term: number of a passage, how often it stands there, number, how often, …
    postings: dict[str, array[int]] = {}
    lengths = array("I")
    for number, passage in enumerate(passages):
        counts = _weighted_terms(passage, stop, known)
        lengths.append(counts.total())
        for term, count in counts.items():
            postings.setdefault(term, array("I")).extend((number, count))
    average = sum(lengths) / len(lengths) if any(lengths) else 1.0
    norms = [K1 * (1 - B + B * length / average) for length in lengths]
    starts, numbers, impacts = array("I", [0]), array("I"), array("f")
    rows = {term: row for row, term in enumerate(sorted(postings))}
    for term in rows:
        own = postings.pop(term)
        holders, often = own[::2], own[1::2]
        weight = idf(len(passages), len(holders)) * (K1 + 1)
        numbers += holders
        impacts.extend(weight * tf / (tf + norms[n]) for n, tf in zip(holders, often, strict=True))
        starts.append(len(numbers))
    bits = {name: 1 << bit for bit, name in enumerate(kind_names)}
    masks = array("Q", [sum(bits[kind] for kind in set(p.kinds)) for p in passages])
    return Index(
        ids=ids,
        records=tuple(passage.record for passage in passages),
        kind_names=kind_names,
        kinds=masks.tobytes(),
        rows=rows,
        starts=starts.tobytes(),
        numbers=numbers.tobytes(),
        impacts=impacts.tobytes(),
        stop=stop,
        synonyms=known,
    )
