"""The second ear for urgent messages: its arithmetic, what it may do, and that it is up to date."""

from __future__ import annotations

import subprocess
import sys

import pytest
from desk_fixture import ROOT, TODAY, desk, may_be_urgent

from assistant.kinds import alarm
from assistant.kinds.care import SOUNDS_URGENT, find_in, hear_all, signs_of
from assistant.question.model import Model, pack

# Weights of whole steps, so that packing changes nothing.
TINY = Model(("urgent",), (-1.0,), "left\nsign standing-out\n?", pack([(1.5,), (2.0,), (-0.5,)]))


def test_odds_are_a_sum() -> None:
    """By hand: -1 + 1.5 + 2 - 0.5 = 2; what was not learnt adds nothing."""
    heard = ["left", "sign standing-out", "?", "never learnt"]
    assert alarm.odds(TINY, heard) == pytest.approx(2.0)
    assert alarm.odds(TINY, []) == -1.0


def test_the_loudest_speak_for_an_alarm() -> None:
    """The reasons are those with the greatest weights above zero, the greatest first."""
    assert alarm.loudest(TINY, ["?", "left", "sign standing-out"]) == ["sign standing-out", "left"]


def test_signs_and_rules_are_heard_beside_the_words() -> None:
    """A sentence is heard as its stems and pairs, the signs and rules in it, and its mark."""
    heard = signs_of(hear_all("Stew stood out since noon?", desk().snapshot.care))
    assert {"stew", "^ stew", "sinc noon", "sign standing-out", "?"} <= set(heard)


def test_the_ear_only_adds() -> None:
    """A message that a rule calls urgent is urgent by that rule; the ear's own rule stays away."""
    text = "We all ate the rice that was out overnight"
    found = find_in(text, desk().snapshot.care, desk().corpus)
    assert found.urgent
    assert SOUNDS_URGENT not in [rule.id for rule, _, _ in found.rules]
    assert not found.perhaps


def test_what_may_be_urgent_carries_a_caution() -> None:
    """Whatever the answer is, "unknown" too, the caution is attached and stops the reader."""
    answer = desk().ask(may_be_urgent(), desk().context(today=TODAY))
    assert not answer.urgent
    assert ("may-be-urgent", "stop") in [(c.id, c.level) for c in answer.cautions]


def test_the_thresholds_are_in_order() -> None:
    """What is urgent is more certain than what may be."""
    assert alarm.PERHAPS < alarm.URGENT


def test_the_ear_is_learnt_from_the_present_messages() -> None:
    """When messages or examples change, scripts/train_alarm.py is run again."""
    made = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "train_alarm.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stdout
