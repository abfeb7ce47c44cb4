"""What kind a question is, learnt: a small linear model over words and pairs of words.

The model is a multinomial logistic regression, learnt by scripts/train_kinds.py from the program's
own example questions, and kept as plain numbers in model.json. It is applied here in plain Python:
the log of a kind's chance is its bias plus the weights of the question's stems and pairs of stems,
less the log of the sum of all. A unit of the log chance counts for one and a half units of a cue's
weight: the cues decide where they are sure, the model where they lie close or none matched.
"""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from functools import cached_property, lru_cache
from itertools import pairwise
from operator import add
from pathlib import Path

import msgspec

from assistant.retrieval.words import stem

FILE = Path(__file__).with_name("model.json")
# What one unit of the model's log chance weighs against one unit of a cue score.
SHARE = 1.5
# A kind is held against no more than this, however unlikely the model takes it to be.
FLOOR = -8.0
# Without any cue the model must be at least this sure of a kind; below, the kind stays open.
SURE = 0.3
# A weight is kept as a whole number of these steps, from -127 to 127, in one byte.
STEP = 1 / 24


class Model(msgspec.Struct, frozen=True, dict=True):
    """Features, one a line, and each one's weights by kind in the order of `kinds`.

    `weights` are signed bytes in base64, kinds within features, in steps of `STEP`; `digest` tells
    the texts that the model was learnt from.
    """

    kinds: tuple[str, ...]
    bias: tuple[float, ...]
    features: str
    weights: str
    digest: str = ""

    @cached_property
    def places(self) -> dict[str, int]:
        """Where the weights of each feature begin."""
        size = len(self.kinds)
        return {name: row * size for row, name in enumerate(self.features.split("\n"))}

    @cached_property
    def _bytes(self) -> memoryview:
        return memoryview(base64.b64decode(self.weights)).cast("b")

    @cached_property
    def _rows(self) -> dict[str, tuple[float, ...]]:
        """The features met so far, with their weights: most come again and again."""
        return {}

    def of(self, feature: str) -> Sequence[int]:
        """The weights of a feature in steps; none where it was not learnt."""
        place = self.places.get(feature)
        return () if place is None else self._bytes[place : place + len(self.kinds)]

    def row(self, feature: str) -> tuple[float, ...]:
        """The weights of a feature that was learnt."""
        row = self._rows.get(feature)
        if row is None:
            row = self._rows[feature] = tuple(step * STEP for step in self.of(feature))
        return row


def pack(weights: Sequence[Sequence[float]]) -> str:
    """Rows of weights as signed bytes in base64; a weight is held within what a byte can say."""
    steps = [max(-127, min(127, round(weight / STEP))) for row in weights for weight in row]
    return base64.b64encode(bytes(step & 0xFF for step in steps)).decode("ascii")


def features(words: Sequence[str], foods: Sequence[range] = ()) -> list[str]:
    """The stems of a question and its pairs of neighbors, each once; a figure is `#`.

    The pairs stand there a second time with each of `foods`, the places of the foods and recipes
    named, as one `<food>`: what is learnt of freezing soup holds for freezing stew.
    """
    stems = ["#" if word[:1].isdigit() else stem(word) for word in words]
    if not foods:
        pairs = [f"{a} {b}" for a, b in pairwise(["^", *stems, "$"])]
        return list(dict.fromkeys((*stems, *pairs)))
    inside = {place for span in foods for place in span[1:]}
    starts = {span[0] for span in foods if span}
    plain = [
        "<food>" if place in starts else text
        for place, text in enumerate(stems)
        if place in starts or place not in inside
    ]
    both = (*pairwise(["^", *stems, "$"]), *pairwise(["^", *plain, "$"]))
    return [*dict.fromkeys((*stems, *(f"{a} {b}" for a, b in both))), "<food>"]


def read_model(file: Path) -> Model:
    """A model as it is kept in a file."""
    return msgspec.json.decode(file.read_bytes(), type=Model)


@lru_cache(maxsize=1)
def load() -> Model:
    """The shipped model, read once."""
    return read_model(FILE)


def chances(model: Model, words: Sequence[str], foods: Sequence[range] = ()) -> dict[str, float]:
    """The log of each kind's chance."""
    totals = list(model.bias)
    places, row = model.places, model.row
    for feature in features(words, foods):
        if feature in places:
            totals = list(map(add, totals, row(feature)))
    top = max(totals)
    whole = top + math.log(math.fsum([math.exp(total - top) for total in totals]))
    return {kind: total - whole for kind, total in zip(model.kinds, totals, strict=True)}


def decide(
    scores: Sequence[tuple[str, float]], words: Sequence[str], foods: Sequence[range] = ()
) -> tuple[tuple[str, float], ...]:
    """Cue scores, each with what the model adds, highest first.

    They are shifted so that the best keeps the best cue score and stays comparable with the rest.
    Without any score, the one kind that the model is sure of, with a score of 0; else none.
    """
    model = load()
    learnt = chances(model, words, foods)
    if not scores:
        best = max(model.kinds, key=lambda kind: (learnt[kind], kind))
        return ((best, 0.0),) if learnt[best] >= math.log(SURE) else ()
    cued = dict(scores)
    made = [
        (-cued.get(kind, 0.0) - SHARE * (chance if chance > FLOOR else FLOOR), kind)
        for kind, chance in learnt.items()
    ]
    made += [(-score - SHARE * FLOOR, kind) for kind, score in scores if kind not in learnt]
    made.sort()
    shift = scores[0][1] + made[0][0]
    return tuple((kind, shift - below) for below, kind in made)
