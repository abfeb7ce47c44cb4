"""Names to complete while typing, looked up in a sorted list: a large corpus costs nothing."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names

MOST = 8
SHORTEST = 2
_WORDS = 8
# Sorts behind every letter that a name may go on with.
_LAST = "\U0010ffff"


class Completions:
    """The names of a corpus by their beginnings."""

    def __init__(self, names: Iterable[str]) -> None:
        # Sorted letter by letter: one great sort would hold up whoever types meanwhile.
        letters: dict[str, set[str]] = {}
        for name in names:
            if name:
                lowered = name.lower()
                letters.setdefault(lowered[0], set()).add(lowered)
        self.names = [name for letter in sorted(letters) for name in sorted(letters[letter])]

    def of(self, text: str) -> list[tuple[str, int]]:
        """Names that the last words of a text begin, the longest beginning first.

        Returns each with the number of characters at the end of the text that it replaces.
        """
        words = text.split(" ")
        found: list[tuple[str, int]] = []
        seen: set[str] = set()
        for count in range(min(_WORDS, len(words)), 0, -1):
            start = " ".join(words[-count:]).lower()
            if len(start.strip()) < SHORTEST or not words[-count]:
                continue
            for name in self._beginning(start, MOST - len(found)):
                if name != start and name not in seen:
                    seen.add(name)
                    found.append((name, len(start)))
            if len(found) >= MOST:
                break
        return found

    def _beginning(self, start: str, most: int) -> list[str]:
        at = bisect_left(self.names, start)
        end = bisect_left(self.names, start + _LAST)
        return self.names[at : min(end, at + most)]


def names_of(corpus: Corpus) -> list[str]:
    """Every name a cook may type: recipes and ingredients."""
    names = [name for r in corpus.recipes.values() for name in (r.title, *r.names)]
    names += [name for item in corpus.pantry.values() for name in all_names(item)]
    return names
