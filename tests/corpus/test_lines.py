"""Ingredient lines as a cook writes them: item, amount, state and weight."""

from __future__ import annotations

from fractions import Fraction

import pytest
from desk_fixture import desk

from assistant.corpus.lines import Pantry, read_line
from assistant.corpus.records import Line, LineForm
from assistant.measure.amount import Amount, read_amount
from assistant.measure.exact import MeasureError


def _read(text: str | LineForm) -> Line:
    corpus = desk().corpus
    pantry = Pantry(corpus.pantry.values(), corpus.lists["line-descriptors"].words)
    return read_line(text, pantry, corpus.foods, "test.yaml", 1)


@pytest.mark.parametrize(
    ("text", "item", "amount"),
    [
        ("2 tbsp canola oil", "canola-oil", "2 tbsp"),
        ("1 large onion, diced", "onion", "1 large"),
        ("3 cloves garlic, minced", "garlic", "3 cloves"),
        ("1 1/2–2 cups water", "water", "1 1/2–2 cups"),
        ("½ tsp ground cumin", "ground-cumin", "1/2 tsp"),
        ("2 tablespoons natural peanut butter", "natural-peanut-butter", "2 tbsp"),
        ("6 cups low-sodium vegetable broth", "low-sodium-vegetable-broth", "6 cups"),
        ("1 lb ground turkey", "ground-turkey", "1 lb"),
    ],
)
def test_a_line_gives_its_item_and_amount(text: str, item: str, amount: str) -> None:
    """The longest pantry name wins, whatever stands round it."""
    line = _read(text)
    assert line.item == item
    assert line.amount == read_amount(amount)


def test_peanut_butter_is_never_butter() -> None:
    """A word that is no descriptor may not be dropped from a name."""
    assert _read("2 tbsp peanut butter").item == "peanut-butter"
    with pytest.raises(MeasureError, match="no pantry item"):
        _read("2 tbsp rattlesnake butter")


def test_drained_beans_use_their_own_row() -> None:
    """Drained and rinsed beans take the food code of that state (SR28 16360: chickpeas, rinsed)."""
    line = _read("1 (15 oz) can chickpeas, drained and rinsed")
    assert line.state == "drained and rinsed"
    assert line.amount == Amount(Fraction(1), Fraction(1), "can", (Fraction(15), "ounce"))
    assert line.food == desk().corpus.pantry[line.item].states["drained and rinsed"]
    assert line.grams is not None
    # SR28's can of chickpeas, drained, holds 253 g; a can of 425 g drains to about 60 %.
    assert 230 <= line.grams[0] <= 280


def test_uncooked_is_not_cooked() -> None:
    """A state is a whole word."""
    assert _read("1 cup brown rice, uncooked").state == ""


def test_a_pound_is_weighed_exactly() -> None:
    """One pound is 453.59237 g by definition (NIST SP 811, appendix B)."""
    assert _read("1 lb ground turkey").grams == (Fraction("453.59237"), Fraction("453.59237"))


def test_a_volume_is_weighed_by_its_portion_row() -> None:
    """SR28 gives 192 g a cup for red lentils (16144), so a cup and a half weighs 288 g."""
    assert _read("1 1/2 cups dry red lentils").grams == (Fraction(288), Fraction(288))


def test_to_taste_has_no_amount_and_no_weight() -> None:
    """Salt to taste is named, never guessed."""
    line = _read("salt, to taste")
    assert line.amount is None
    assert line.grams is None


def test_the_override_form_wins() -> None:
    """`grams` and `item` of the override form are taken as given."""
    form = LineForm(line="one good fistful of spinach", item="baby-spinach", amount="1 handful",
                    grams=None, source="common-practice")  # fmt: skip
    assert _read(form).item == "baby-spinach"


def test_every_counted_line_of_the_corpus_is_weighed() -> None:
    """No shipped recipe has a counted line without a weight: its nutrition would have a hole."""
    holes = [
        f"{line.file}:{line.line}: {line.text}: {line.weighed}"
        for recipe in desk().corpus.recipes.values()
        for line in recipe.lines
        if line.amount is not None and line.grams is None and line.counted and not line.optional
    ]
    assert holes == []
