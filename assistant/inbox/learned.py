"""Classes learnt from examples: multinomial naive Bayes over words, for what the cues leave open.

The formula is the textbook one, all classes alike beforehand: the sum of log P(word | class), with
add-a-half smoothing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from assistant.retrieval.stems import stem
from assistant.retrieval.words import tokens

_PREFIX = "example-"
_SMALL = 0.5


class Learned:
    """A classifier made of example messages by class."""

    def __init__(
        self, examples: Mapping[str, Sequence[str]], foods: frozenset[str] = frozenset()
    ) -> None:
        self.foods = foods
        self.counts: dict[str, Counter[str]] = {}
        for name, texts in sorted(examples.items()):
            self.counts[name] = Counter(f for text in texts for f in set(features(text, foods)))
        self.totals = {name: sum(found.values()) for name, found in self.counts.items()}
        self.size = len({f for found in self.counts.values() for f in found}) or 1

    def classes(self, text: str) -> dict[str, float]:
        """The probability of each class, all of them together 1; {} without examples."""
        if not self.counts:
            return {}
        found = sorted(set(features(text, self.foods)))
        logs = {
            name: sum(
                math.log((counts[f] + _SMALL) / (self.totals[name] + _SMALL * self.size))
                for f in found
            )
            for name, counts in self.counts.items()
        }
        top = max(logs.values())
        raised = {name: math.exp(value - top) for name, value in logs.items()}
        whole = sum(raised.values())
        return {name: value / whole for name, value in raised.items()}


def features(text: str, foods: frozenset[str] = frozenset()) -> list[str]:
    """Stems, neighbouring words, how the text begins, whether it asks, exclaims or names food."""
    words = [token.text for token in tokens(text[:2_000])]
    stems = [stem(word) for word in words]
    made = [*stems, *(f"{a} {b}" for a, b in pairwise(words))]
    if words:
        made.append(f"^{words[0]}")
    named = sum(word in foods or base in foods for word, base in zip(words, stems, strict=True))
    made += [f"names food {min(named, 2)}"]
    made += [f"has {mark}" for mark in "?!" if mark in text]
    return made


def examples_of(lists: Mapping[str, object]) -> dict[str, tuple[str, ...]]:
    """The example messages of the corpus by class, from the lists called `example-<class>`."""
    return {
        ident.removeprefix(_PREFIX): tuple(getattr(record, "words", ()))
        for ident, record in lists.items()
        if ident.startswith(_PREFIX)
    }
