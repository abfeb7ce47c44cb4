"""Urgent and medical messages are found, harmless look-alikes are not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from desk_fixture import TODAY, desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.kinds.care import Found, find_in, sentences
from assistant.kinds.stretch import longest, spoken

HERE = Path(__file__).parent


def _load(name: str) -> list[Any]:
    made: list[Any] = yaml.safe_load((HERE / name).read_text(encoding="utf-8"))
    return made


def _find(text: str) -> Found:
    return find_in(text, desk().snapshot.care, desk().corpus)


def _ids(found: Found) -> list[str]:
    return [rule.id for rule, _, _ in found.rules]


URGENT = _load("urgent.yaml")
HARMLESS = _load("harmless.yaml")
MEDICAL = _load("medical.yaml")


def test_there_are_enough_examples() -> None:
    """At least 60 urgent, 60 harmless and 40 medical messages, none twice."""
    assert len({e["text"] for e in URGENT}) >= 60
    assert len(set(HARMLESS)) >= 60
    assert len({e["text"] for e in MEDICAL}) >= 40


@pytest.mark.parametrize("entry", URGENT, ids=lambda e: e["text"][:40])
def test_an_urgent_message_is_urgent(entry: dict[str, str]) -> None:
    """It is found, by the rule that fits, and leads with what to do now."""
    found = _find(entry["text"])
    assert found.urgent
    assert entry.get("rule", _ids(found)[0]) in _ids(found)
    answer = desk().ask(entry["text"], desk().context(today=TODAY))
    assert answer.urgent
    assert answer.verdict == "refer"
    assert not answer.figures
    assert len(answer.headline) <= 120


@pytest.mark.parametrize("text", HARMLESS, ids=lambda t: t[:40])
def test_a_harmless_message_is_neither(text: str) -> None:
    """Being alarmed by harmless words is a defect too."""
    assert _ids(_find(text)) == []


@pytest.mark.parametrize("entry", MEDICAL, ids=lambda e: e["text"][:40])
def test_a_medical_message_is_medical(entry: dict[str, str]) -> None:
    """It is found, by the rule that fits, is not urgent, and refers to a licensed person."""
    found = _find(entry["text"])
    assert found.medical
    assert not found.urgent
    assert entry.get("rule", _ids(found)[0]) in _ids(found)
    answer = desk().ask(entry["text"], desk().context(today=TODAY))
    assert answer.verdict == "refer"
    assert answer.medical
    assert any(caution.id == "medical-refer" for caution in answer.cautions)


def test_every_rule_has_an_example() -> None:
    """Each care rule is set off by at least one example, and its headline can be read aloud."""
    used = {ident for e in (*URGENT, *MEDICAL) for ident in _ids(_find(e["text"]))}
    rules = desk().corpus.care
    assert set(rules) <= used
    assert all(len(rule.first) <= 120 for rule in rules.values())


def test_a_cue_is_excused_only_where_it_stands() -> None:
    """Being sick of cooking does not hide that somebody is sick after the soup."""
    assert not _find("I am sick of cooking.").urgent
    assert _find("I am sick of cooking. My son is sick after eating the soup.").urgent


def test_what_stands_along_may_be_in_another_sentence() -> None:
    """The allergy and the bite need not share a sentence."""
    assert not _find("My neighbor has a walnut allergy.").urgent
    assert _find("My neighbor has a walnut allergy. She just ate the pesto.").urgent


def test_figures_are_withheld_where_they_could_harm() -> None:
    """Signs of an eating disorder get no calorie figures."""
    answer = desk().ask(
        "My daughter hardly eats, how many calories in the red lentil soup?",
        desk().context(today=TODAY),
    )
    assert answer.medical
    assert not answer.figures
    assert not any("kcal" in line or "calories in" in line for line in answer.lines)


def test_sentences_end_where_they_end() -> None:
    """Full stops, empty lines and list items end one; a wrapped line and an abbreviation do not."""
    text = "Left it at room temp. for an\nhour. Fine?\n\n- one\n- two"
    assert [" ".join(s) for s in sentences(text)] == [
        "left it at room temp for an hour", "fine", "one", "two",
    ]  # fmt: skip


@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    """No text makes the rules fail."""
    assert isinstance(_find(text), Found)


BATCHES = _load("batches.yaml")
_URGENT = [(b["batch"], text) for b in BATCHES for text in b["urgent"]]
_HARMLESS = [(b["batch"], text) for b in BATCHES for text in b["harmless"]]
_WRONG = [(text, True) for b in BATCHES for text in b["misses"]]
_WRONG += [(text, False) for b in BATCHES for text in b["alarms"]]


@pytest.mark.parametrize(("batch", "text"), _URGENT, ids=lambda part: part[:40])
def test_an_urgent_message_of_the_batches_is_urgent(batch: str, text: str) -> None:
    """Whatever its wording, it leads with what to do."""
    assert _find(text).urgent, batch


@pytest.mark.parametrize(("batch", "text"), _HARMLESS, ids=lambda part: part[:40])
def test_a_harmless_message_of_the_batches_is_not_urgent(batch: str, text: str) -> None:
    """A general question, a plan, praise or an old story sets off no alarm."""
    assert not _find(text).urgent, batch


def test_what_is_still_wrong_in_the_batches() -> None:
    """A known miss or false alarm that has been mended is taken off the list."""
    assert [text for text, urgent in _WRONG if _find(text).urgent is urgent] == []


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("out since 8 last night", 8.0),
        ("on the table from 11 to 4", 5.0),
        ("at noon, back in the fridge by 12:40", 40 / 60),
        ("left at 7:15 am, now 5:40 pm", 10 + 25 / 60),
        ("two and a half hours", 2.5),
        ("an hour or three ago", 3.0),
        ("6.5hrs in the car", 6.5),
        ("left overnight", 8.0),
        ("10 minutes on the counter", 0.0),
        ("for 14 people", 0.0),
    ],
)
def test_stretches_of_time_are_read(text: str, hours: float) -> None:
    """Hours in digits and words, whole stretches, and from one time of day to the next."""
    words = tuple(word for sentence in sentences(text) for word in sentence)
    assert longest(words, spoken(desk().corpus.lists)) == pytest.approx(hours)
