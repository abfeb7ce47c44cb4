"""Figures of the FDA Food Code as adopted by states, named beside the household figure.

Sections 3-401.11 (cooking), 3-403.11 (reheating), 3-501.13 to 3-501.17 (thawing, cooling, holding,
date marking), 3-501.19 (time as control), read in the texts of Minnesota, Maine, Wisconsin and the
Southern Nevada Health District. Typed from there.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import TODAY, desk

from assistant.answer import Answer
from assistant.kitchen.cooling import deepest, minutes_to_cool

# Question, the figure that must be told, the section, and the id of its source.
SAID = [
    ("safe temperature for ground beef?", "155 °F held 17 seconds", "3-401.11",
     "cooking-temperatures-2017"),
    ("safe temperature for ground beef?", "155 °F held 15 seconds", "3-401.11",
     "cooking-temperatures"),
    ("safe temperature for chicken?", "165 °F held 15 seconds", "3-401.11", "cooking-temperatures"),
    ("safe temperature for fish?", "145 °F held 15 seconds", "3-401.11", "cooking-temperatures"),
    ("what temperature should leftovers be reheated to?", "165 °F for 15 seconds", "3-403.11",
     "reheating"),
    ("what temperature should leftovers be reheated to?", "within 2 hours", "3-403.11",
     "reheating"),
    ("what temperature should leftovers be reheated to?", "135 °F", "3-403.11", "reheating"),
    ("how do I thaw chicken safely?", "70 °F or below", "3-501.13", "thawing"),
    ("how do I cool a big pot of soup?", "135 to 70 °F within 2 hours", "3-501.14", "cooling"),
    ("how do I cool a big pot of soup?", "41 °F within 6 hours in all", "3-501.14", "cooling"),
    ("how hot must food be kept on a buffet?", "135 °F or above", "3-501.16", "holding"),
    ("how cold must a salad be kept on a buffet?", "41 °F or below", "3-501.16", "holding"),
    ("how long does the turkey chili keep?", "7 days", "3-501.17", "date-marking"),
    ("how long can soup sit out?", "up to 4 hours", "3-501.19", "time-as-control"),
]  # fmt: skip


def _ask(text: str) -> Answer:
    return desk().ask(text, desk().context(today=TODAY))


@pytest.mark.parametrize(("question", "figure", "section", "source"), SAID)
def test_the_code_is_named_beside_the_household_figure(
    question: str, figure: str, section: str, source: str
) -> None:
    """The more careful figure leads; the code's figure is named with whom it is for."""
    answer = _ask(question)
    assert figure in " ".join((answer.headline, *answer.lines)), answer.lines
    assert source in {s.id for s in answer.sources}
    title = desk().corpus.references[source].title
    assert section in title or source == "cooking-temperatures-2017"


def test_local_codes_come_first() -> None:
    """Every answer on safe handling defers to local codes and licensed practice."""
    for question, *_ in SAID:
        answer = _ask(question)
        if answer.kind == "safety":
            assert "local-codes" in {caution.id for caution in answer.cautions}, question


def test_freezing_stops_the_count_without_setting_it_back() -> None:
    """Two days used of seven leave five after thawing (3-501.17); here two of four leave two."""
    answer = _ask("I made the minestrone on Nov 10 and froze it on Nov 12, how long once thawed?")
    assert answer.figures[0].value == 2


def test_the_cooling_estimate_is_newtons_law() -> None:
    """A 2 inch layer passes the first stage, a 6 inch pot does not; twice as deep, twice as long.

    By hand: τ = 4.18e6 × 0.0508 m ÷ (2 × 15) = 7,078 s; ln((135 − 38) ÷ (70 − 38)) = 1.109;
    7,078 s × 1.109 = 7,850 s = 131 min for 2 inches.
    """
    two = minutes_to_cool(Fraction(2), 135, 70, 38)
    assert two == pytest.approx(131, abs=1)
    assert minutes_to_cool(Fraction(4), 135, 70, 38) == pytest.approx(2 * two)
    assert minutes_to_cool(Fraction(6), 135, 70, 38) > 360
    assert 1.5 < deepest(Fraction(120), 135, 70, 38) < 2.1
