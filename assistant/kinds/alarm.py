"""A second ear for urgent messages: a small linear model beside the rules of safety/care.yaml.

The rules name what is dangerous and say why; people put it in ways that no rule foresees ("the stew
spent the night on the hob, lunch is at noon"). The model is a logistic regression over the words
and pairs of words of a message, the signs of safety/care-phrases.yaml in it and the rules it sets
off, learnt by scripts/train_alarm.py from invented messages (alarm_messages/) and kept as plain
numbers in alarm.json. It hears each sentence, and sentences running together, for what is told is
often scattered: "Saw the pot on the hob this morning. The lunch boxes are packed." It only ever
adds an alarm, it never silences a rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from assistant.question.model import STEP, Model, features, read_model

FILE = Path(__file__).with_name("alarm.json")
# What the model is learnt from: a file for each writer of messages, each with both levels.
MESSAGES = FILE.with_name("alarm_messages")
LEVELS = ("urgent", "harmless")
# So many sentences running are heard together, here and by the rules (care.py).
WINDOW = 3
# The log of the odds above which sentences are urgent, and above which they may be. They are set so
# that an inbox is not flooded: see `scripts/train_alarm.py --measure` for what each finds.
URGENT = 1.5
PERHAPS = 0.5


def signs(words: Sequence[str], told: Iterable[str], rules: Iterable[str], asks: bool) -> list[str]:
    """What the model hears of some sentences: the words and pairs, the signs and rules found."""
    made = [*features(words), *(f"sign {sign}" for sign in told)]
    made += [f"rule {rule}" for rule in rules]
    return [*made, "?"] if asks else made


S = TypeVar("S")


def windows(sentences: Sequence[S]) -> Iterator[Sequence[S]]:
    """The sentences that are heard together: each alone, and every two and three running."""
    for length in range(1, min(WINDOW, len(sentences)) + 1):
        for first in range(len(sentences) - length + 1):
            yield sentences[first : first + length]


@lru_cache(maxsize=1)
def load() -> Model:
    """The shipped model, read once."""
    return read_model(FILE)


def odds(model: Model, heard: Iterable[str]) -> float:
    """The log of the odds that a message is urgent, from what is heard of it."""
    return model.bias[0] + sum(steps[0] * STEP for name in heard if (steps := model.of(name)))


def loudest(model: Model, heard: Iterable[str], count: int = 3) -> list[str]:
    """What spoke most for an alarm: the reason that `ask --why` gives."""
    ranked = sorted(((model.of(name) or (0,))[0], name) for name in set(heard))
    return [name for weight, name in reversed(ranked[-count:]) if weight > 0]
