"""What the cues leave open, decided by a small linear model over words and pairs of words.

The model is a multinomial logistic regression, learnt by scripts/train_kinds.py from the program's
own example questions, and kept as plain numbers in model.json. It is applied here in plain Python:
the log of a kind's chance is its bias plus the weights of the question's stems and pairs of stems,
less the log of the sum of all. It is asked only where no cue matched, or two kinds lie close.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import msgspec

from assistant.retrieval.words import stem

FILE = Path(__file__).with_name("model.json")
# Kinds whose cue scores lie within this of the best are left for the model to decide between.
CLOSE = 0.8
# What one unit of the model's log chance weighs against one unit of a cue score.
SHARE = 0.25
# Without any cue the model must be at least this sure of a kind; below, the kind stays open.
SURE = 0.6


class Model(msgspec.Struct, frozen=True):
    """Weights by feature, in the order of `kinds`; `digest` tells the texts it was learnt from."""

    kinds: tuple[str, ...]
    bias: tuple[float, ...]
    weights: dict[str, tuple[float, ...]]
    digest: str = ""


def features(words: Sequence[str]) -> list[str]:
    """The stems of a question and its pairs of neighbors, each once; a figure is `#`."""
    stems = ["#" if word[:1].isdigit() else stem(word) for word in words]
    pairs = (f"{a} {b}" for a, b in zip(["^", *stems], [*stems, "$"], strict=True))
    return list(dict.fromkeys((*stems, *pairs)))


@lru_cache(maxsize=1)
def load() -> Model:
    """The shipped model, read once."""
    return msgspec.json.decode(FILE.read_bytes(), type=Model)


def chances(model: Model, words: Sequence[str]) -> dict[str, float]:
    """The log of each kind's chance."""
    totals = list(model.bias)
    for feature in features(words):
        for place, weight in enumerate(model.weights.get(feature, ())):
            totals[place] += weight
    top = max(totals)
    whole = top + math.log(math.fsum(math.exp(total - top) for total in totals))
    return {kind: total - whole for kind, total in zip(model.kinds, totals, strict=True)}


def decide(
    scores: Sequence[tuple[str, float]], words: Sequence[str]
) -> tuple[tuple[str, float], ...]:
    """Cue scores, highest first, with those near the top put in order by the model.

    Without any score, the one kind that the model is sure of, with a score of 0; else none.
    """
    if scores and (len(scores) < 2 or scores[0][1] - scores[1][1] >= CLOSE):
        return tuple(scores)
    model = load()
    learnt = chances(model, words)
    if not scores:
        best = max(model.kinds, key=lambda kind: (learnt[kind], kind))
        return ((best, 0.0),) if learnt[best] >= math.log(SURE) else ()
    floor = min(learnt.values())
    near = [(k, s + SHARE * learnt.get(k, floor)) for k, s in scores if scores[0][1] - s < CLOSE]
    top = scores[0][1]
    near.sort(key=lambda pair: (-pair[1], pair[0]))
    # The best keeps the best cue score, so that scores stay comparable with the rest.
    shift = top - near[0][1]
    return (*((k, s + shift) for k, s in near), *scores[len(near) :])
