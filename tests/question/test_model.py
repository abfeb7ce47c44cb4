"""The small linear model: its arithmetic, when it is asked, and that it is up to date."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from desk_fixture import ROOT, TODAY, desk

from assistant.kinds.compile import kinds
from assistant.question.model import CLOSE, Model, chances, decide, features, load

TINY = Model(("a", "b"), (0.0, 0.0), {"how": (1.0, 0.0), "^ how": (0.5, 0.0), "keep": (0.0, 2.0)})


def test_features_are_stems_and_pairs() -> None:
    """Each stem and pair counts once, and every figure is the same."""
    assert features(["how", "how", "14"]) == ["how", "#", "^ how", "how how", "how #", "# $"]


def test_chances_are_a_softmax() -> None:
    """By hand: 1.5 against 2 gives chances of 0.378 and 0.622."""
    made = chances(TINY, ["how", "keep"])
    assert math.exp(made["a"]) == pytest.approx(math.exp(1.5) / (math.exp(1.5) + math.exp(2)))
    assert math.exp(made["a"]) + math.exp(made["b"]) == pytest.approx(1)


def test_a_clear_lead_of_the_cues_stands() -> None:
    """The model is not asked where the cues have decided."""
    scores = (("scale", 9.0), ("storage", 9.0 - CLOSE))
    assert decide(scores, ["freeze", "fridge"]) == scores


def test_no_words_no_kind() -> None:
    """Without a cue and without a word that was learnt the kind stays open."""
    assert decide((), ["zzz"]) == ()


def test_the_model_knows_the_kinds() -> None:
    """Every kind of the model is a kind of the program, with as many weights as kinds."""
    model = load()
    assert set(model.kinds) <= {form.kind for form in kinds()}
    assert all(len(weights) == len(model.kinds) for weights in model.weights.values())


def test_wordings_are_read_as_their_kind() -> None:
    """Of the plain wordings of the kinds at least nineteen in twenty are read as their own."""
    pairs = [(form.kind, text) for form in kinds() for text in form.wordings]
    context = desk().context(today=TODAY)
    wrong = [(k, t) for k, t in pairs if desk().read(t, context).kind != k]
    assert len(pairs) >= 300
    assert len(wrong) <= len(pairs) // 20, wrong


def test_the_model_is_learnt_from_the_present_examples() -> None:
    """When the examples change, scripts/train_kinds.py is run again."""
    made = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "train_kinds.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stdout
