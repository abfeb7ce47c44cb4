"""Every row of the federal cold food storage chart, asked as a cook would.

Sources: FoodSafety.gov Cold Food Storage Chart (read in 2025), and, for rows that it has dropped,
the older edition of the Food Safety and Inspection Service (read in a copy). Typed from there.
"""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk

CHART = [
    ("egg salad", "3–4 days", ""),
    ("chicken salad", "3–4 days", ""),
    ("ham salad", "3–4 days", ""),
    ("tuna salad", "3–4 days", ""),
    ("macaroni salad", "3–4 days", ""),
    ("opened hot dogs", "1 week", "1–2 months"),
    ("unopened hot dogs", "2 weeks", "1–2 months"),
    ("opened lunch meat", "3–5 days", "1–2 months"),
    ("unopened lunch meat", "2 weeks", "1–2 months"),
    ("bacon", "1 week", "1 month"),
    ("raw sausage", "1–2 days", "1–2 months"),
    ("cooked sausage", "1 week", "1–2 months"),
    ("sausage bought frozen", "3–4 days", "1–2 months"),
    ("ground beef", "1–2 days", "3–4 months"),
    ("ground turkey", "1–2 days", "3–4 months"),
    ("raw steak", "3–5 days", "4–12 months"),
    ("pork chops", "3–5 days", "4–12 months"),
    ("raw lamb", "3–5 days", "4–12 months"),
    ("fresh ham", "3–5 days", "6 months"),
    ("cured ham uncooked", "5–7 days", "3–4 months"),
    ("vacuum sealed ham", "2 weeks", "1–2 months"),
    ("whole ham", "1 week", "1–2 months"),
    ("sliced ham", "3–5 days", "1–2 months"),
    ("country ham", "1 week", "1 month"),
    ("refrigerated canned ham", "6–9 months", ""),
    ("opened canned ham", "3–4 days", "1–2 months"),
    ("prosciutto", "2–3 months", "1 month"),
    ("whole chicken", "1–2 days", "1 year"),
    ("whole turkey", "1–2 days", "1 year"),
    ("raw chicken pieces", "1–2 days", "9 months"),
    ("raw salmon", "1–3 days", "2–3 months"),
    ("raw tuna", "1–3 days", "2–3 months"),
    ("raw cod", "1–3 days", "6–8 months"),
    ("fresh crab meat", "2–4 days", "2–4 months"),
    ("fresh lobster", "2–4 days", "2–4 months"),
    ("live crab", "1 day", ""),
    ("raw eggs", "3–5 weeks", ""),
    ("egg whites", "2–4 days", "12 months"),
]
OLDER = [
    ("vegetable soup", "3–4 days", "2–3 months"),
    ("cooked chicken", "3–4 days", "2–6 months"),
    ("cooked meat", "3–4 days", "2–6 months"),
    ("chicken nuggets", "3–4 days", "1–3 months"),
    ("pizza", "3–4 days", "1–2 months"),
    ("hard-cooked eggs", "1 week", ""),
    ("opened liquid eggs", "3 days", ""),
    ("unopened liquid eggs", "10 days", "1 year"),
    ("mayonnaise", "2 months", ""),
    ("corned beef", "5–7 days", "1 month"),
    ("pepperoni", "2–3 weeks", "1–2 months"),
]


@pytest.mark.parametrize(("food", "fridge", "freezer"), CHART + OLDER)
def test_a_row_of_the_chart(food: str, fridge: str, freezer: str) -> None:
    """Refrigerator and freezer as the chart has them; no freezer figure where it has none."""
    answer = desk().ask(f"how long does {food} keep?", desk().context(today=TODAY))
    assert answer.kind == "storage"
    shown = {figure.name: figure.shown for figure in answer.figures}
    assert shown.get("in the refrigerator") == fridge, answer.headline
    assert shown.get("in the freezer, for quality", "") == freezer
    assert answer.cautions, "every answer on keeping carries its caution"


def test_the_current_chart_is_the_source() -> None:
    """The rows of the current chart are cited from it."""
    for food, _, _ in CHART:
        answer = desk().ask(f"how long does {food} keep?", desk().context(today=TODAY))
        assert "cold-storage-chart" in {source.id for source in answer.sources}, food


def test_freezer_months_are_for_quality() -> None:
    """Frozen food stays safe; an answer on the freezer says so."""
    answer = desk().ask("how long does bacon keep in the freezer?", desk().context(today=TODAY))
    assert any("stays safe" in line for line in answer.lines)
