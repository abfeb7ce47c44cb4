"""What settles a matter calms the urgent rules, and only where it settles it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import pytest
import yaml
from desk_fixture import TODAY, desk

from assistant.corpus.rules import Calm
from assistant.kinds.care import compile_rules, find_in

NEAR: dict[str, list[str]] = yaml.safe_load(
    Path(__file__).with_name("near.yaml").read_text(encoding="utf-8")
)


def _urgent(text: str) -> list[str]:
    """The urgent rules that a message sets off, without the second ear."""
    found = find_in(text, desk().snapshot.care, desk().corpus, ear=False)
    return [rule.id for rule, _, _ in found.rules if rule.level == "urgent"]


def _ask(text: str) -> Any:
    return desk().ask(text, desk().context(today=TODAY))


@pytest.mark.parametrize("text", NEAR["urgent"], ids=lambda t: t[:40])
def test_words_that_settle_nothing_calm_nothing(text: str) -> None:
    """A meal half thrown away, a second person who ate it, a freezer frozen again: still urgent."""
    assert _urgent(text)


@pytest.mark.parametrize("text", NEAR["harmless"], ids=lambda t: t[:40])
def test_a_settled_matter_is_no_alarm(text: str) -> None:
    """Thrown away and not eaten, kept cold or hot by measure, long ago, or no food at all."""
    assert _urgent(text) == []


def test_what_is_still_missed() -> None:
    """A known miss that has been mended is taken off the list."""
    assert [text for text in NEAR["misses"] if _urgent(text)] == []


def test_what_calms_stands_where_the_alarm_is() -> None:
    """A remark on other food in the next sentence silences nothing; "it went in the bin" does."""
    left = "I left the chicken on the counter overnight."
    assert _urgent(left)
    assert _urgent(f"{left} The old spices went in the bin.")
    assert _urgent(f"{left} We kept the soup at 165 all day.")
    assert _urgent(f"{left} It went in the bin.") == []
    assert _urgent(f"It went in the bin. {left}") == []


def test_what_calms_is_not_far_away() -> None:
    """Two sentences on, another thing is spoken of."""
    left = "I left the chicken on the counter overnight."
    assert _urgent(f"{left} Thanks for the class. The banana was brown, so it went in the bin.")


def test_that_nobody_had_any_is_heard_a_little_further_on() -> None:
    """Up to three sentences on, what is thrown away and was touched by nobody is settled."""
    left, on = "The salad stood on the porch all day.", "We sang. It was a fine party."
    end = "Nobody had any of it, I put it in the bin."
    assert _urgent(f"{left} {on}")
    assert _urgent(f"{left} {on} {end}") == []
    assert _urgent(f"{left} {on} {on} {end}")
    assert _urgent(f"{left} {on} {end} May I eat the one in the pan?")


def test_i_will_is_not_ill() -> None:
    """Apostrophes drop out of words, but "I'll bring it" tells of nobody who is ill."""
    assert _urgent("I'll bring the soup, we've had it twice since the class.") == []
    assert _urgent("I’ll bring the soup, we've had it twice since the class.") == []
    assert _urgent("I'm ill since the soup.")


def test_what_stands_against_it_may_be_anywhere() -> None:
    """That somebody had some counts wherever it is told."""
    told = "I left the chicken on the counter overnight. It went in the bin."
    assert _urgent(f"Dad had already had a bite of it. Nice class, by the way. Well. {told}")
    assert _urgent(f"{told} Nice class, by the way. Well. Dad had already had a bite of it.")


def test_one_alarm_is_calmed_and_another_is_not() -> None:
    """Two matters far apart in one message are judged apart."""
    first = "The milk stood in the sun all morning, so I poured it down the drain."
    second = "The fish sat in the car for six hours and dinner is at noon."
    assert _urgent(first) == []
    assert _urgent(f"{first} Loved the class. The slides were clear. {second}") == ["left-out"]


def test_a_group_that_is_not_there_is_told() -> None:
    """A slip in `calm` is named with the rule and the group."""
    corpus = desk().corpus
    rule = msgspec.structs.replace(
        corpus.care["left-out"], calm=(Calm(all=("thrown-awey",), without=("still-here",)),)
    )
    _, faults = compile_rules([rule], corpus.care_phrases)
    assert faults == [("left-out", "calm: there is no group thrown-awey")]


@pytest.mark.parametrize(
    "text",
    ["the butter stood on the counter for three days", "butter left out two days, may I use it?"],
)
def test_butter_out_for_days_is_urgent(text: str) -> None:
    """At the end of the 1–2 days of the chart, and past it, the answer errs on the safe side."""
    assert _ask(text).urgent


@pytest.mark.parametrize(
    "text",
    [
        "I left the butter out overnight",
        "how long can butter sit out",
        "my butter was on the counter for nine hours",
    ],
)
def test_butter_may_stand_out(text: str) -> None:
    """1–2 days at room temperature, by the federal food-keeping chart (read in copies of it)."""
    answer = _ask(text)
    assert not answer.urgent
    assert "1–2 days" in answer.headline or "1–2 days" in " ".join(answer.lines)
    assert "food-keeping-chart" in [source.id for source in answer.sources]


@pytest.mark.parametrize(
    "text",
    [
        "I left the bread dough out overnight",
        "I left the cookies out overnight",
        "left the bread and butter out overnight",
        "left the apples on the counter for 3 hours",
    ],
)
def test_plain_dry_food_may_stand_out(text: str) -> None:
    """Bread, cookies, whole fruit, dough without egg or milk (common practice, no source)."""
    answer = _ask(text)
    assert not answer.urgent
    assert answer.headline.startswith("Bread, cookies, crackers, whole fruit and plain bread dough")


@pytest.mark.parametrize(
    "text",
    [
        "left the cookie dough out overnight",
        "I left the sliced melon out overnight",
        "left the butter and the milk out overnight",
        "left the bread and cheese out overnight",
        "I left the garlic butter on the counter overnight",
    ],
)
def test_what_goes_with_it_may_not(text: str) -> None:
    """Dough with egg, cut fruit, milk, cheese and garlic in fat follow the two-hour rule."""
    answer = _ask(text)
    said = " ".join([answer.headline, *answer.lines])
    assert answer.headline.startswith(("No", "Do not"))
    assert "2 h" in said
