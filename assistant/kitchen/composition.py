"""What 100 g of an ingredient hold: from a package's label, its own row, or a like food's row.

The order is fixed: the user's own label first, then the row of USDA SR28, then the row of the like
food that the pantry names (`fill`), converted by dry matter. Nothing else is ever filled in.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Food, Ingredient, Label, Nutrient
from assistant.kitchen.label import undeclared

WATER = "water_g"
# Vitamins and minerals are not filled in from a like food: they differ too much, and with cooking.
_FILLED = frozenset({"energy", "fat", "gram", "cholesterol", "sodium"})
# What a sweetener does in a dish; an item that does more (acid, umami, fat) is a made food.
_SWEETENER = frozenset({"sweet", "color"})


class Value(msgspec.Struct, frozen=True):
    """A nutrient in 100 g: the value to reckon with, the ends that rounding leaves, and its origin.

    `origin` is "row", "label", "fill" or "rule"; `how` names the row or the package in words.
    """

    amount: Fraction
    low: Fraction
    high: Fraction
    origin: str
    how: str


class Missing(msgspec.Struct, frozen=True):
    """Why there is no value, and the most it can be where the nutrient is part of a known whole."""

    why: str
    most: Fraction | None = None


class Table:
    """The foods and packages that a corpus uses, ready to be asked for values per 100 g."""

    def __init__(
        self,
        columns: Sequence[str],
        foods: Mapping[str, Food],
        pantry: Mapping[str, Ingredient] | None = None,
        nutrients: Mapping[str, Nutrient] | None = None,
        undeclared_groups: Collection[str] = (),
    ) -> None:
        self._place = {column: i for i, column in enumerate(columns)}
        self.foods = foods
        self.pantry = pantry or {}
        self.nutrients = nutrients or {}
        self._undeclared = frozenset(undeclared_groups)

    def value(self, code: str, nutrient: Nutrient) -> Fraction | None:
        """The nutrient in 100 g of a row; None where the table has no figure for it."""
        return self._cell(code, nutrient.column)

    def of(self, item: str, code: str, nutrient: Nutrient) -> Value | Missing:
        """The nutrient in 100 g of a pantry item that stands for the row `code` ("" for none)."""
        ingredient = self.pantry.get(item)
        label = ingredient.label if ingredient else None
        if label is not None and nutrient.id in label.values:
            return label_value(label, nutrient)
        if nutrient.rule == "added-sugars":
            return self._added_sugars(ingredient, code)
        own = self._cell(code, nutrient.column)
        if own is not None:
            return Value(own, own, own, "row", f"SR28 {code}")
        filled = self._fill(ingredient, code, nutrient)
        if filled is not None:
            return filled
        if not code:
            what = "its label does not give it" if label else "no row of the table fits it"
            return Missing(what)
        return Missing(f"SR28 {code} has no figure for {nutrient.name}", self._most(code, nutrient))

    def _cell(self, code: str, column: str) -> Fraction | None:
        food = self.foods.get(code)
        place = self._place.get(column)
        if food is None or place is None:
            return None
        value = food.values[place]
        return None if value is None else Fraction(value)

    def _fill(self, item: Ingredient | None, code: str, nutrient: Nutrient) -> Value | None:
        """The like food's figure, times the ratio of the two foods' dry matter."""
        if item is None or not item.fill or code != item.food or nutrient.rounding not in _FILLED:
            return None
        like = self._cell(item.fill, nutrient.column)
        water, other = self._cell(code, WATER), self._cell(item.fill, WATER)
        if like is None or water is None or other is None or other >= 100:
            return None
        value = like * (100 - water) / (100 - other)
        food = self.foods[item.fill]
        how = f"from SR28 {item.fill} {food.name}, by dry matter"
        return Value(value, value, value, "fill", how)

    def _most(self, code: str, nutrient: Nutrient) -> Fraction | None:
        """The whole less the parts beside it: sugars are at most carbohydrate less fiber."""
        whole = self.nutrients.get(nutrient.within)
        most = self._cell(code, whole.column) if whole else None
        if most is None:
            return None
        for ident in nutrient.beside:
            beside = self.nutrients.get(ident)
            part = self._cell(code, beside.column) if beside else None
            most -= part or 0
        return max(most, Fraction(0))

    def _added_sugars(self, item: Ingredient | None, code: str) -> Value | Missing:
        """Sugar, honey, syrup and juice concentrate count wholly; what grew or was milked, not.

        A made food (sauce, bread, candy) declares its own: without a label it is missing, and at
        most its total sugars.
        """
        sugars = self._cell(code, "sugars_g")
        food = self.foods.get(code)
        made = food is not None and food.group in self._undeclared
        if item is not None and item.added_sugar and _SWEETENER.issuperset(item.role):
            if sugars is None:
                return Missing(f"SR28 {code} has no figure for sugars")
            return Value(sugars, sugars, sugars, "rule", f"all sugars of SR28 {code} are added")
        if sugars == 0 or (item is not None and not item.added_sugar and not made):
            zero = Fraction(0)
            return Value(zero, zero, zero, "rule", "no added sugars in it")
        return Missing("a made food declares its own added sugars; its label is not here", sugars)


def label_value(label: Label, nutrient: Nutrient) -> Value:
    """A declared value per serving -> per 100 g, with the ends that the label's rounding leaves."""
    shown = Fraction(label.values[nutrient.id])
    per = 100 / Fraction(label.grams)
    low, high = undeclared(shown, nutrient.rounding) if nutrient.rounding else (shown, shown)
    how = f"label of {label.package}: {_plain(shown)} {nutrient.unit} in {_plain(label.grams)} g"
    return Value(shown * per, low * per, high * per, "label", how)


def _plain(value: object) -> str:
    return f"{float(value):g}"  # type: ignore[arg-type]
