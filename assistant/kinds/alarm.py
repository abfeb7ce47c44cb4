"""A second ear for urgent messages: a small linear model beside the rules of safety/care.yaml.

The rules name what is dangerous and say why; people put it in ways that no rule foresees ("the stew
spent the night on the hob, lunch is at noon"). The model is a logistic regression over the words
and pairs of words of a message, the signs of safety/care-phrases.yaml in it and the rules it sets
off, learnt by scripts/train_alarm.py from invented messages (alarm_urgent.yaml and
alarm_harmless.yaml) and kept as plain numbers in alarm.json. It only ever adds an alarm, it never
silences a rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path

from assistant.question.model import STEP, Model, features, read_model

FILE = Path(__file__).with_name("alarm.json")
# What the model is learnt from, by level.
MESSAGES = {level: FILE.with_name(f"alarm_{level}.yaml") for level in ("harmless", "urgent")}
# The log of the odds above which a sentence is urgent, and above which it may be. They are set so
# that an inbox is not flooded: see `scripts/train_alarm.py --measure` for what each finds.
URGENT = 2.6
PERHAPS = 0.5


def signs(words: Sequence[str], told: Iterable[str], rules: Iterable[str], asks: bool) -> list[str]:
    """What the model hears of some sentences: the words and pairs, the signs and rules found."""
    made = [*features(words), *(f"sign {sign}" for sign in told)]
    made += [f"rule {rule}" for rule in rules]
    return [*made, "?"] if asks else made


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
