"""A food that is not in the pantry: which row of the whole composition table its words name."""

from __future__ import annotations

from assistant.kinds.shelf import Shelf
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, tokens

_OTHERS = 4


def food_words(reading: Reading, shelf: Shelf) -> tuple[str, ...]:
    """The words of a question that are left when everything understood is taken away."""
    noise = shelf.corpus.lists.get("nutrition-noise")
    skip = set(noise.words if noise else ())
    taken = {
        place
        for m in reading.mentions
        if m.type not in {"ingredient", "state", "method"}
        for place in range(m.start, m.end)
    }
    return tuple(
        word
        for i, word in enumerate(reading.words)
        if i not in taken and word not in skip and any(c.isalpha() for c in word)
    )


def find_rows(words: tuple[str, ...], shelf: Shelf) -> list[tuple[str, str]]:
    """The rows whose names hold every word, the plainest first: code and name.

    Plainest: the name begins with the words, is raw, and is short. No word may be missing.
    """
    want = [stem(word) for word in words]
    if not want:
        return []
    found = []
    for code, name in shelf.every_food:
        lowered = name.lower()
        if want[0][:3] not in lowered:
            continue
        have = [stem(token.text) for token in tokens(name)]
        if not set(want) <= set(have):
            continue
        head = [stem(token.text) for token in tokens(name.split(",")[0])]
        starts = not set(want) <= set(head) and have[: len(want)] != want
        rank = (have[0] not in want, starts, "raw" not in have, len(have), code)
        found.append((rank, code, name))
    found.sort()
    return [(code, name) for _, code, name in found]


def other_names(rows: list[tuple[str, str]]) -> list[str]:
    """The next rows that fit, by name, and how many more there are."""
    rest = [name for _, name in rows[1 : 1 + _OTHERS]]
    more = len(rows) - 1 - len(rest)
    return [*rest, *([f"and {more} more (assistant foods)"] if more > 0 else [])]
