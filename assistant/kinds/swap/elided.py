"""Foods that share a word with another and leave it out: "brown lentils in place of red"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from assistant.corpus.lines import all_names, words
from assistant.corpus.records import Ingredient, Swap
from assistant.kinds.crossed import listed
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular

# As many words as may stand for a food whose last word is left out ("reduced sodium").
_MOST = 3


def completed(named: Sequence[Mention], reading: Reading, shelf: Shelf) -> list[Mention]:
    """The foods named, with one more that is named by half: "red" beside "brown lentils" is red
    lentils, "breasts" beside "chicken thighs" chicken breasts, "olive" beside "canola oil" olive
    oil. The half must stand after a word such as "of", "for" or "or"."""
    if not named:
        return []
    ids = _ids(shelf)
    for whole in named:
        for start, end in _halves(whole, reading, shelf):
            ident = _joined(reading.words[start:end], whole.text.split(), ids)
            if ident and ident not in {m.id for m in named}:
                text = " ".join(reading.words[start:end])
                kept = [m for m in named if m.end <= start or end <= m.start]
                made = Mention("ingredient", ident, text, start, end)
                return sorted([*kept, made], key=lambda m: m.start)
    return list(named)


def _halves(whole: Mention, reading: Reading, shelf: Shelf) -> Iterator[tuple[int, int]]:
    """The places of what may be such a half, the longest first."""
    before, between = listed(shelf, "half-name-words"), listed(shelf, "between-words")
    taken = set(range(whole.start, whole.end))
    taken |= {place for m in reading.all("recipe") for place in range(m.start, m.end)}
    count = len(reading.words)
    for size in range(_MOST, 0, -1):
        for start in range(count - size + 1):
            span = range(start, start + size)
            if taken & set(span):
                continue
            at = start - 1
            while at > 0 and reading.words[at] in between:
                at -= 1
            first = start == 0 and set(reading.words[size : size + 1]) & listed(shelf, "half-ends")
            if first or (at >= 0 and reading.words[at] in before):
                yield start, start + size


def _joined(half: Sequence[str], whole: Sequence[str], ids: dict[tuple[str, ...], str]) -> str:
    """The item whose name the half makes with the end, or the beginning, of the whole name."""
    half = _key(half)
    for size in range(len(whole) - 1, 0, -1):
        for name in ((*half, *_key(whole[-size:])), (*_key(whole[:size]), *half)):
            if name in ids:
                return ids[name]
    return ""


def _key(text: Iterable[str]) -> tuple[str, ...]:
    return tuple(singular(word) for word in text)


def _ids(shelf: Shelf) -> dict[tuple[str, ...], str]:
    """Every name of the pantry by its words in the singular, hyphens taken as spaces."""
    found: dict[tuple[str, ...], str] = {}
    for item in shelf.corpus.pantry.values():
        for name in all_names(item):
            found.setdefault(_key(words(name)), item.id)
    return found


def meant(item: Ingredient, swaps: Sequence[Swap], shelf: Shelf) -> Swap | None:
    """Of the swaps on record the one for a kind of `item`: brown rice, where "rice" is named.

    The record's own name must hold every word of one of the item's names, none of which it may
    say otherwise ("white" for "brown").
    """
    asked = [_key(words(name)) for name in all_names(item)]
    for swap in swaps:
        use = shelf.corpus.pantry[swap.use]
        for name in all_names(use):
            key = _key(words(name))
            # "Chicken" is no chicken broth: the last word says what a thing is.
            if any(key[-1:] == own[-1:] and set(own) <= set(key) for own in asked):
                return swap
    return None
