"""Shares of a nutrient of which a dish has nothing."""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk

CORPUS = desk().corpus


def _names(ident: str) -> list[str]:
    """The ingredients of a recipe, in its order."""
    return [CORPUS.pantry[line.item].name for line in CORPUS.recipes[ident].lines]


def _of_plants(ident: str) -> bool:
    """Whether every line of a recipe is of a plant, or salt or water."""
    origins = {CORPUS.pantry[line.item].origin for line in CORPUS.recipes[ident].lines}
    return origins <= {"plant", "mineral"}


PLANTS = [i for i in sorted(CORPUS.recipes) if _of_plants(i) and any("oil" in n for n in _names(i))]


@pytest.mark.parametrize("ident", sorted(CORPUS.recipes))
def test_what_an_ingredient_brings_is_told_for_every_nutrient(ident: str) -> None:
    """Nothing of nothing is no error: cholesterol in a dish of plants."""
    names = _names(ident)
    context = desk().context(recipe=ident, today=TODAY)
    for place, nutrient in enumerate(CORPUS.nutrients.values()):
        text = f"how much {nutrient.names[0]} does the {names[place % len(names)]} bring"
        assert desk().ask(text, context).verdict in {"computed", "partial", "quoted"}, text


@pytest.mark.parametrize("ident", PLANTS)
def test_plants_bring_no_cholesterol(ident: str) -> None:
    """Every plant has 0 mg in the food table, so any line of a dish of plants brings 0 mg."""
    context = desk().context(recipe=ident, today=TODAY)
    oil = next(name for name in _names(ident) if name.endswith(" oil"))
    answer = desk().ask(f"how much cholesterol does the {oil} bring", context)
    assert "0 mg cholesterol" in answer.headline
