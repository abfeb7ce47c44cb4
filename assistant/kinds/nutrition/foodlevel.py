"""Is a single food high or low in something: the 5/20 guide, and claims by its reference amount."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Figure
from assistant.corpus.records import Nutrient
from assistant.kinds.nutrition.claiming import LEGAL, claims_of, judged_text
from assistant.kinds.nutrition.levels import guide_line
from assistant.kinds.shelf import Shelf
from assistant.kitchen.claims import Dish, Sort, judge, judge_one

_FOOD = Sort("food", None, ())


def lines_of(
    figures: Sequence[Figure], nutrients: Sequence[Nutrient], reference: bool, shelf: Shelf
) -> list[str]:
    """The lines for each nutrient; claims only where the amount is the food's reference amount.

    Parameters: the figures of the amount with their nutrients, and whether that amount is the
    reference amount of 21 CFR 101.12, by which a single food is judged.
    """
    known = shelf.corpus.nutrients
    amounts = {
        n.id: (f.value or Fraction(0), f.value) for f, n in zip(figures, nutrients, strict=True)
    }
    dish = Dish(amounts, None)
    found: list[str] = []
    for nutrient in nutrients:
        value = amounts[nutrient.id][0]
        found.append(guide_line(nutrient, value, value, open_above=False))
        if not reference:
            continue
        for claim in claims_of(nutrient, _FOOD, shelf, dish):
            judged = (
                [judge_one(claim, c, nutrient.id, dish, known) for c in claim.criteria]
                if claim.nutrients
                else judge(claim, dish, known)
            )
            found.append(judged_text(claim, claim.title, judged))
    if not reference:
        found.append("A label claim is judged by the food's reference amount, not at hand here.")
    return [*found, LEGAL] if reference else found
