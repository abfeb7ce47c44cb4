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
        self.names = tuple(sorted(examples))
        counts = [
            Counter(f for text in examples[name] for f in set(features(text, foods)))
            for name in self.names
        ]
        size = len({f for found in counts for f in found}) or 1
        below = [math.log(found.total() + _SMALL * size) for found in counts]
        # What a feature adds to each class, beside what an unknown one would.
        self.told = {
            feature: tuple(math.log((found[feature] + _SMALL) / _SMALL) for found in counts)
            for feature in {f for found in counts for f in found}
        }
        self.unknown = tuple(math.log(_SMALL) - low for low in below)

    def classes(self, text: str) -> dict[str, float]:
        """The probability of each class, all of them together 1; {} without examples."""
        if not self.names:
            return {}
        found = sorted(set(features(text, self.foods)))
        logs = [len(found) * value for value in self.unknown]
        for feature in found:
            for place, value in enumerate(self.told.get(feature, ())):
                logs[place] += value
        top = max(logs)
        raised = [math.exp(value - top) for value in logs]
        whole = sum(raised)
        return {name: value / whole for name, value in zip(self.names, raised, strict=True)}


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
