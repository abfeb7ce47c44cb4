"""Every row of the federal chart of safe minimum internal temperatures, asked as a cook would.

Source: FoodSafety.gov, "Cook to a Safe Minimum Internal Temperature" (read in 2025). The figures
below were typed from that page, not taken from the corpus.
"""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk

from assistant.answer import Answer

# The food as a cook names it, °F, °C and minutes of rest, None where the chart gives none.
CHART = [
    ("beef steak", 145, 63, 3),
    ("lamb chops", 145, 63, 3),
    ("a veal roast", 145, 63, 3),
    ("goat", 145, 63, 3),
    ("bison", 145, 63, 3),
    ("ground beef", 160, 71, None),
    ("ground lamb", 160, 71, None),
    ("ground veal", 160, 71, None),
    ("ground bison", 160, 71, None),
    ("sausage", 160, 71, None),
    ("a casserole", 165, 74, None),
    ("chicken", 165, 74, None),
    ("a whole turkey", 165, 74, None),
    ("chicken thighs", 165, 74, None),
    ("ground turkey", 165, 74, None),
    ("ground chicken", 165, 74, None),
    ("giblets", 165, 74, None),
    ("stuffing", 165, 74, None),
    ("a quiche", 160, 71, None),
    ("a frittata", 160, 71, None),
    ("raw ham", 145, 63, 3),
    ("cooked ham", 165, 74, None),
    ("leftovers", 165, 74, None),
    ("pork chops", 145, 63, 3),
    ("a pork roast", 145, 63, 3),
    ("ground pork", 160, 71, None),
    ("rabbit", 160, 71, None),
    ("venison", 160, 71, None),
    ("fish", 145, 63, None),
    ("salmon", 145, 63, None),
]
# Rows that give a sign instead of a temperature.
SIGNS = [
    ("eggs", "firm"),
    ("shrimp", "no longer see-through"),
    ("lobster", "no longer see-through"),
    ("scallops", "no longer see-through"),
    ("clams", "shells open"),
    ("oysters", "shells open"),
    ("mussels", "shells open"),
]


def _ask(text: str) -> Answer:
    return desk().ask(text, desk().context(today=TODAY))


@pytest.mark.parametrize(("food", "fahrenheit", "celsius", "rest"), CHART)
def test_a_row_of_the_chart(food: str, fahrenheit: int, celsius: int, rest: int | None) -> None:
    """The food's own row, in both scales, with its rest where it has one."""
    answer = _ask(f"what is the safe internal temperature for {food}?")
    assert answer.kind == "safety"
    first = next(figure for figure in answer.figures if figure.name.startswith("temperature"))
    assert first.shown == f"{fahrenheit} °F ({celsius} °C)"
    rests = [figure.shown for figure in answer.figures if figure.name.startswith("rest")]
    assert rests[:1] == ([f"{rest} min"] if rest else [])
    assert any(source.id == "safe-temperature-chart" for source in answer.sources)
    assert answer.cautions


@pytest.mark.parametrize(("food", "sign"), SIGNS)
def test_a_row_with_a_sign(food: str, sign: str) -> None:
    """Where the chart gives no temperature, none is made up."""
    answer = _ask(f"how do I know {food} are cooked and safe?")
    assert sign in " ".join((answer.headline, *answer.lines))
    assert not any(figure.name.startswith("temperature") for figure in answer.figures)


@pytest.mark.parametrize(("food", "fahrenheit", "celsius", "rest"), CHART)
def test_a_reading_is_held_against_the_row(
    food: str, fahrenheit: int, celsius: int, rest: int | None
) -> None:
    """One degree under is not enough, the chart's degree is, in either scale."""
    assert _ask(f"is {fahrenheit - 1} °F enough for {food}?").headline.startswith("No")
    assert _ask(f"is {fahrenheit} °F enough for {food}?").headline.startswith("Yes")
    assert _ask(f"is {celsius - 2} °C enough for {food}?").headline.startswith("No")
    assert _ask(f"is {celsius} °C enough for {food}?").headline.startswith("Yes")


def test_egg_dishes_with_meat_and_ham_from_a_plant() -> None:
    """The chart's two side rows: 165 °F for egg dishes with meat, 140 °F for plant-packed ham."""
    assert "165 °F" in " ".join(_ask("safe temperature for an egg casserole?").lines)
    assert "140 °F" in " ".join(_ask("safe temperature for cooked ham?").lines)
