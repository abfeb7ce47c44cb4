"""Unanswered questions, the same one in other words counted as one, the most asked first.

Two questions are the same when half of their terms are common (Jaccard) and they name the same
foods, or when they are of one kind and lack the record of the same food. Only questions that share
a rare term are compared at all (prefix filtering; Bayardo, Ma and Srikant, "Scaling up all pairs
similarity search", 2007), which keeps the work near-linear.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import islice

import msgspec

from assistant.desk import Desk
from assistant.gaps.log import Entry
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words, tokens

ALIKE = 0.5
ALIKE_FIRST = 1 / 3
_MOST_TERMS = 24
# A group is found by any of its members: this many under each term are enough.
_KEPT = 6
# With how many earlier questions one is compared, those that share its rarest terms first. A term
# so common that it brings more tells little, and the work stays in proportion to the log.
_NEAR = 200
_MASKS = re.compile(r"\[(?:name|address|phone|number)\]")
_WHOSE = re.compile(r"\[name\]['’]s\b")
# What only tells who asked: "from [name]: …", "[name] wants to know if …", "call [phone], …".
_TELLING = re.compile(
    r"^[^,:?.!]{0,40}\[(?:name|address|phone|number)\]"
    r"(?:[^,:?.!'’]{0,30}(?:,[^,:?.!'’]{0,20})?:|[^,:?.!'’]{0,30}\s(?:if|whether)|,)\s(?=.*\w)"
)
# Kinds that answer from a food's own pantry record; a food they do not know lacks such a record.
OF_PANTRY = frozenset({"nutrition", "ingredient", "storage", "diet", "shopping", "convert"})
OF_SWAPS = "swap"
_OPEN = frozenset({"unknown", "asks"})


class Gap(msgspec.Struct, frozen=True, kw_only=True):
    """One question that went unanswered `count` times, in its `wordings`, the commonest first.

    `outside` are the foods and words the corpus does not know, `foods` the pantry items named,
    `asks` whether a detail was asked back each time; `last` the latest date, where one is known.
    """

    count: int
    wordings: tuple[str, ...]
    kind: str
    asks: bool
    outside: tuple[str, ...] = ()
    foods: tuple[str, ...] = ()
    last: str = ""

    @property
    def question(self) -> str:
        """The example: the wording asked most often."""
        return self.wordings[0]


class _One(msgspec.Struct, kw_only=True):
    """A wording with its entries, and what it is compared by."""

    entries: list[Entry]
    kind: str
    terms: frozenset[str]
    foods: frozenset[str]
    known: tuple[str, ...]
    outside: tuple[str, ...]
    lacks: bool


def find(entries: Iterable[Entry], desk: Desk) -> tuple[Gap, ...]:
    """What the corpus could not answer: entries with the verdict unknown or asks, grouped.

    A question of a plain list, which has no verdict, is asked once more to get one. A greeting or
    thanks alone asks nothing and is passed over.
    """
    waiting: dict[tuple[str, ...], list[Entry]] = {}
    for entry in entries:
        if entry.verdict in _OPEN or not entry.verdict:
            key = tuple(token.text for token in tokens(unmasked(entry.question)))
            waiting.setdefault(key, []).append(entry)
    asking = plain_words(desk)
    aside = asking | words_of(desk, "inbox-greetings", "inbox-sign-offs", "inbox-fillers")
    ones = []
    for words, found in sorted(waiting.items()):
        if aside.issuperset(words):
            continue
        kept = [entry for entry in _judged(found, desk) if entry.verdict in _OPEN]
        if kept:
            ones.append(_one(kept, desk, asking))
    groups: dict[int, list[_One]] = {}
    for place, root in enumerate(group([one.terms for one in ones], ones)):
        groups.setdefault(root, []).append(ones[place])
    gaps = sorted((_gap(members) for members in groups.values()), key=lambda g: g.wordings)
    gaps.sort(key=lambda g: (g.count, g.last), reverse=True)
    return tuple(gaps)


def unmasked(text: str) -> str:
    """A question without the marks that stand for what was masked, and without who asked it."""
    asked = _WHOSE.sub("somebody's", _TELLING.sub("", text))
    return " ".join(_MASKS.sub(" ", asked).split()) or text


def _judged(entries: list[Entry], desk: Desk) -> list[Entry]:
    """The entries of one wording, those of a plain list with kind and verdict."""
    if all(entry.verdict for entry in entries):
        return entries
    answer = desk.ask(entries[0].question, desk.context())
    return [
        entry
        if entry.verdict
        else msgspec.structs.replace(entry, kind=answer.kind, verdict=answer.verdict)
        for entry in entries
    ]


def plain_words(desk: Desk) -> frozenset[str]:
    """Words that tell no question from another: stop words, and those that only ask."""
    return stop_words() | words_of(desk, "asking-words")


def words_of(desk: Desk, *lists: str) -> frozenset[str]:
    """The words of some word lists of the corpus."""
    found = (desk.corpus.lists[name].words for name in lists if name in desk.corpus.lists)
    return frozenset(word for words in found for word in words)


def _one(entries: list[Entry], desk: Desk, asking: frozenset[str]) -> _One:
    text = unmasked(entries[0].question)
    reading = desk.read(text, desk.context())
    named = [m for m in reading.mentions if m.type in {"ingredient", "recipe"}]
    covered = {place for m in named for place in range(m.start, m.end)}
    words = [t.text for place, t in enumerate(tokens(text)) if place not in covered]
    terms = {f"={m.id}" for m in named} | {stem(word) for word in words if word not in asking}
    terms = terms or {stem(word) for word in words} or {text}
    # The kinds of the log were settled with what the conversation knew, so they go first.
    kind = _kind(entries) or reading.kind
    return _One(
        entries=entries,
        kind=kind,
        terms=frozenset(sorted(terms)[:_MOST_TERMS]),
        foods=frozenset((*reading.foods, *(stem(word) for word in reading.outside))),
        known=reading.foods,
        outside=_phrases(reading),
        lacks=bool(reading.outside) and (kind in OF_PANTRY or kind == OF_SWAPS),
    )


def _phrases(reading: Reading) -> tuple[str, ...]:
    """The words from outside the corpus, those that stand side by side as one name."""
    found: list[str] = []
    last = -2
    for place, token in enumerate(tokens(reading.text)):
        if token.text in reading.outside:
            joined = place == last + 1 and not token.after_break
            found = [*found[:-1], f"{found[-1]} {token.text}"] if joined else [*found, token.text]
            last = place
    return tuple(dict.fromkeys(found))


def group(terms: Sequence[frozenset[str]], ones: Sequence[_One]) -> list[int]:
    """For each question the place of the first that asks the same, often its own."""
    counts = Counter(term for own in terms for term in own)
    owner = list(range(len(ones)))
    whole = {place: one.foods for place, one in enumerate(ones)}
    postings: dict[str, list[int]] = {}
    held: Counter[tuple[str, int]] = Counter()
    first: dict[tuple[frozenset[str], frozenset[str], str], int] = {}
    for place, own in enumerate(terms):
        rare = sorted(own, key=lambda term: (counts[term], term))
        rare = rare[: len(rare) - math.ceil(ALIKE * len(rare)) + 1]
        one = ones[place]
        # What lacks one food's record asks for the same draft, in whatever words.
        same = frozenset() if one.lacks else own
        alike = first.setdefault((same, one.foods, one.kind), place)
        if alike != place:
            owner[place] = alike
            continue
        near = dict.fromkeys(other for term in rare for other in postings.get(term, [])[-_NEAR:])
        for other in islice(near, _NEAR):
            low, high = sorted((_root(owner, place), _root(owner, other)))
            if low == high or not _same(one, ones[other]):
                continue
            # Not by a chain of small steps: the first questions of both must have much in common.
            if _share(ones[low], ones[high]) < ALIKE_FIRST:
                continue
            if not whole[low] or not whole[high] or whole[low] & whole[high]:
                owner[high] = low
                whole[low] = whole[low] | whole[high]
        root = _root(owner, place)
        for term in rare:
            if held[term, root] < _KEPT:
                held[term, root] += 1
                postings.setdefault(term, []).append(place)
    return [_root(owner, place) for place in range(len(ones))]


def _same(one: _One, other: _One) -> bool:
    """Whether two wordings ask the same.

    Where they were taken for different kinds, or only one names a food, one common term is too
    little: "sodium in miso" is not "swap miso". A food alone is too little ever: "potatoes" is not
    "how to peel potatoes".
    """
    if _share(one, other) < ALIKE:
        return False
    both = one.terms & other.terms
    telling = {term for term in both - one.foods if not term.startswith("=")}
    if not telling and one.terms != other.terms:
        return False
    common = len(both)
    if one.foods and other.foods and not one.foods & other.foods:
        return False
    close = one.kind == other.kind and bool(one.foods) == bool(other.foods)
    return close or common >= 2


def _share(one: _One, other: _One) -> float:
    """The share of common terms among all terms of two wordings (Jaccard), 0 to 1."""
    return len(one.terms & other.terms) / len(one.terms | other.terms)


def _kind(entries: Sequence[Entry]) -> str:
    """The commonest kind. What was asked back was not sure of it, so it counts after the rest."""
    sure = Counter(entry.kind for entry in entries if entry.verdict != "asks")
    every = Counter(entry.kind for entry in entries)
    named = sorted(kind for kind in every if kind)
    return max(named, key=lambda kind: (sure[kind], every[kind]), default="")


def _root(owner: list[int], place: int) -> int:
    while owner[place] != place:
        owner[place] = owner[owner[place]]
        place = owner[place]
    return place


def _gap(members: Sequence[_One]) -> Gap:
    entries = [entry for one in members for entry in one.entries]
    ranked = sorted(
        members,
        key=lambda o: (-len(o.entries), len(o.entries[0].question), o.entries[0].question),
    )
    return Gap(
        count=len(entries),
        wordings=tuple(one.entries[0].question for one in ranked),
        kind=_kind(entries) or ranked[0].kind,
        asks=all(entry.verdict == "asks" for entry in entries),
        outside=tuple(dict.fromkeys(word for one in ranked for word in one.outside)),
        foods=tuple(dict.fromkeys(food for one in ranked for food in one.known)),
        last=max(entry.asked for entry in entries),
    )
