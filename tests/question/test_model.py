"""The small linear model: its arithmetic, when it is asked, and that it is up to date."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from desk_fixture import ROOT, TODAY, desk

from assistant.kinds.compile import kinds, wordings
from assistant.question.model import (
    FLOOR,
    SHARE,
    STEP,
    Model,
    chances,
    decide,
    features,
    load,
    pack,
)

# Weights of whole steps, so that packing changes nothing: 1 and 0, 1/2 and 0, 0 and 2.
TINY = Model(("a", "b"), (0.0, 0.0), "how\n^ how\nkeep", pack([(1.0, 0.0), (0.5, 0.0), (0.0, 2.0)]))


def test_features_are_stems_and_pairs() -> None:
    """Each stem and pair counts once, and every figure is the same."""
    assert features(["how", "how", "14"]) == ["how", "#", "^ how", "how how", "how #", "# $"]


def test_chances_are_a_softmax() -> None:
    """By hand: 1.5 against 2 gives chances of 0.378 and 0.622."""
    made = chances(TINY, ["how", "keep"])
    assert math.exp(made["a"]) == pytest.approx(math.exp(1.5) / (math.exp(1.5) + math.exp(2)))
    assert math.exp(made["a"]) + math.exp(made["b"]) == pytest.approx(1)


def test_weights_are_kept_to_half_a_step() -> None:
    """A weight comes back within half a step; one that a byte cannot hold as the largest it can."""
    model = Model(("a",), (0.0,), "x\ny\nz", pack([(0.333,), (-1.21,), (99.0,)]))
    assert model.of("x")[0] * STEP == pytest.approx(0.333, abs=STEP / 2)
    assert model.of("y")[0] * STEP == pytest.approx(-1.21, abs=STEP / 2)
    assert model.of("z")[0] == 127
    assert model.row("z") == (127 * STEP,)
    assert list(model.of("never learnt")) == []


def test_a_clear_lead_of_the_cues_stands() -> None:
    """However sure the model is, it cannot make up a lead greater than its floor weighs."""
    lead = SHARE * -FLOOR
    scores = (("scale", 9.0 + lead), ("storage", 9.0))
    made = decide(scores, ["freeze", "fridge"])
    assert made[0] == scores[0]
    assert made[1][1] >= 9.0 - lead


def test_no_words_no_kind() -> None:
    """Without a cue and without a word that was learnt the kind stays open."""
    assert decide((), ["zzz"]) == ()


def test_the_model_knows_the_kinds() -> None:
    """Every kind of the model is a kind of the program, with as many weights as kinds."""
    model = load()
    assert set(model.kinds) <= {form.kind for form in kinds()}
    names = model.features.split("\n")
    assert all(len(model.of(name)) == len(model.kinds) for name in names)


def test_wordings_are_read_as_their_kind() -> None:
    """Of the wordings the model was learnt from at least four in five are read as their own."""
    pairs = wordings()
    context = desk().context(today=TODAY)
    right = sum(desk().read(text, context).kind == kind for text, kind in pairs)
    assert len(pairs) >= 4000
    assert right * 5 >= len(pairs) * 4


def test_the_model_is_learnt_from_the_present_examples() -> None:
    """When the examples change, scripts/train_kinds.py is run again."""
    made = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "train_kinds.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stdout
