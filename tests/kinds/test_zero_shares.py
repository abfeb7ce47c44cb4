"""Shares of a nutrient of which a dish has nothing."""

from __future__ import annotations

import pytest
from desk_fixture import TODAY, desk

CORPUS = desk().corpus


@pytest.mark.parametrize("ident", sorted(CORPUS.recipes))
def test_what_an_ingredient_brings_is_told_for_every_nutrient(ident: str) -> None:
    """Nothing of nothing is no error: cholesterol in a dish of plants."""
    recipe = CORPUS.recipes[ident]
    names = [CORPUS.pantry[line.item].name for line in recipe.lines]
    context = desk().context(recipe=ident, today=TODAY)
    for place, nutrient in enumerate(CORPUS.nutrients.values()):
        text = f"how much {nutrient.names[0]} does the {names[place % len(names)]} bring"
        assert desk().ask(text, context).headline
