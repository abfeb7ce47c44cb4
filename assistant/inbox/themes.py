"""Ideas for demonstrations, gathered into themes with their words and counts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import msgspec

from assistant.inbox.message import Item
from assistant.retrieval.words import stem, stop_words, tokens

_WIDEST = 0.5


class Theme(msgspec.Struct, frozen=True, kw_only=True):
    """Ideas that share a word: its commonest spelling, the words beside it, the ideas."""

    word: str
    beside: tuple[str, ...]
    items: tuple[Item, ...]


def themes(items: Sequence[Item], plain: frozenset[str] = frozenset()) -> list[Theme]:
    """Themes of the ideas among `items`, the largest first; what shares no word stands alone, last.

    `plain` are words that say only that something is an idea ("session", "please"). The word that
    most ideas share makes a theme, its ideas are set aside, and so on. A word that over half of
    many ideas share says nothing.
    """
    ideas = [item for item in items if item.state == "idea"]
    words = {item.place: _words(item.words, plain) for item in ideas}
    spelled: dict[str, Counter[str]] = {}
    for found in words.values():
        for base, spellings in found.items():
            spelled.setdefault(base, Counter()).update(spellings)
    left = list(ideas)
    made: list[Theme] = []
    while left:
        counts = Counter(base for item in left for base in words[item.place])
        widest = len(ideas) * _WIDEST if len(ideas) >= 8 else len(ideas)
        usable = [(n, base) for base, n in counts.items() if 2 <= n <= widest]
        if not usable:
            break
        _, best = min((-n, base) for n, base in usable)
        inside = [item for item in left if best in words[item.place]]
        left = [item for item in left if best not in words[item.place]]
        beside = Counter(b for item in inside for b in words[item.place] if b != best)
        ordered = sorted(beside.items(), key=lambda pair: (-pair[1], pair[0]))[:4]
        made.append(
            Theme(
                word=_spelling(spelled[best]),
                beside=tuple(_spelling(spelled[base]) for base, _ in ordered),
                items=tuple(inside),
            )
        )
    return [*made, *(Theme(word="", beside=(), items=(item,)) for item in left)]


def _words(text: str, plain: frozenset[str]) -> dict[str, list[str]]:
    stops = stop_words()
    found: dict[str, list[str]] = {}
    for token in tokens(text[:2_000]):
        if len(token.text) > 2 and token.text not in stops and token.text not in plain:
            found.setdefault(stem(token.text), []).append(token.text)
    return found


def _spelling(counts: Counter[str]) -> str:
    return min(counts, key=lambda word: (-counts[word], word))
