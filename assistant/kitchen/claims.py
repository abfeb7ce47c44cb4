"""Label claims as a yardstick: each limit of a claim held against a dish or a food.

The rules (21 CFR 101.13 and 101.54 to 101.65) govern labels of packaged food. Every limit comes
from corpus/nutrition/claims.yaml; nothing here knows a number of its own but the margin below.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal

import msgspec

from assistant.corpus.records import Ingredient, Line, Nutrient
from assistant.corpus.yardsticks import Claim, Criterion, FoodGroup
from assistant.kitchen.composition import Table
from assistant.kitchen.nutrients import Range, eaten_grams

Verdict = Literal["met", "not met", "cannot tell"]
Bounds = tuple[Fraction, Fraction | None]

# Without a measured cooked weight a value in 100 g rests on what goes into the pot; boiling off or
# taking up water moves it. Within this share of a limit it is "cannot tell" (an assumption).
MARGIN = Fraction(1, 5)
OUNCE = Fraction("28.349523125")
KCAL = {
    "fat": 9,
    "saturated-fat": 9,
    "added-sugars": 4,
    "sugars": 4,
    "protein": 4,
    "carbohydrate": 4,
}


class Judged(msgspec.Struct, frozen=True):
    """One limit: the value on the claim's basis (None: unknown), its unit, and the verdict."""

    criterion: Criterion
    nutrient: Nutrient
    value: Bounds | None
    unit: str
    verdict: Verdict


class Dish(msgspec.Struct, frozen=True):
    """What is judged: amounts in one serving as bounds (high None: no upper bound), its weight.

    `weighed` says that the weight is a measured one, so that no margin is needed.
    """

    amounts: Mapping[str, Bounds]
    grams: Range | None
    weighed: bool = False


def judge(claim: Claim, dish: Dish, nutrients: Mapping[str, Nutrient]) -> list[Judged]:
    """Every limit of a claim against a dish or, on the basis of a reference amount, a food."""
    return [judge_one(claim, c, c.nutrient, dish, nutrients) for c in claim.criteria]


def judge_one(
    claim: Claim, criterion: Criterion, ident: str, dish: Dish, nutrients: Mapping[str, Nutrient]
) -> Judged:
    """One limit, for the nutrient `ident` (a claim open for several is asked for each)."""
    nutrient = nutrients[ident]
    value = _value(criterion, nutrient, claim, dish)
    unit = (
        nutrient.unit
        if criterion.of == "amount"
        else "% DV"
        if criterion.of == "dv"
        else "% of energy"
    )
    rough = claim.basis == "100 g" and criterion.of == "amount" and not dish.weighed
    return Judged(criterion, nutrient, value, unit, _verdict(criterion, value, rough))


def verdict_of(judged: Sequence[Judged]) -> Verdict:
    """The claim's outcome: not met where one limit is not, met where all are."""
    if any(one.verdict == "not met" for one in judged):
        return "not met"
    return "met" if judged and all(one.verdict == "met" for one in judged) else "cannot tell"


def _value(criterion: Criterion, nutrient: Nutrient, claim: Claim, dish: Dish) -> Bounds | None:
    bounds = dish.amounts.get(nutrient.id)
    if bounds is None:
        return None
    if criterion.of == "dv":
        if nutrient.daily_value is None:
            return None
        return _times(bounds, 100 / Fraction(nutrient.daily_value))
    if criterion.of == "energy":
        energy = dish.amounts.get("energy")
        factor = KCAL.get(nutrient.id)
        if energy is None or energy[0] <= 0 or energy[1] is None or factor is None:
            return None
        low, high = bounds[0] * factor / energy[1], bounds[1]
        return low * 100, None if high is None else high * factor / energy[0] * 100
    if claim.basis == "100 g":
        if dish.grams is None or dish.grams[0] <= 0:
            return None
        low, high = bounds[0] / dish.grams[1], bounds[1]
        return low * 100, None if high is None else high / dish.grams[0] * 100
    return bounds


def _times(bounds: Bounds, factor: Fraction) -> Bounds:
    return bounds[0] * factor, None if bounds[1] is None else bounds[1] * factor


def _verdict(criterion: Criterion, value: Bounds | None, rough: bool) -> Verdict:
    if value is None:
        return "cannot tell"
    low, high = value
    if rough:
        low, high = low * (1 - MARGIN), None if high is None else high * (1 + MARGIN)
    limit = Fraction(criterion.limit)
    if criterion.sign in {"<", "<="}:
        if high is not None and holds(high, criterion.sign, limit):
            return "met"
        return "cannot tell" if holds(low, criterion.sign, limit) else "not met"
    if holds(low, criterion.sign, limit):
        return "met"
    return (
        "not met" if high is not None and not holds(high, criterion.sign, limit) else "cannot tell"
    )


def holds(value: Fraction, sign: str, limit: Fraction | Decimal) -> bool:
    """Whether `value sign limit` is true."""
    edge = Fraction(limit)
    return {
        "<": value < edge,
        "<=": value <= edge,
        ">=": value >= edge,
        ">": value > edge,
    }[sign]


class Sort(msgspec.Struct, frozen=True):
    """Whether a serving is a meal, a main dish or neither, with the grams of each food group."""

    name: Literal["food", "main dish", "meal"]
    grams: Fraction | None
    groups: tuple[tuple[str, Fraction], ...]


def sort_of_dish(
    lines: Sequence[Line],
    servings: Fraction,
    serving_grams: Fraction | None,
    table: Table,
    pantry: Mapping[str, Ingredient],
    groups: Mapping[str, FoodGroup],
) -> Sort:
    """The definitions of 101.13(l) and (m), by the weight of what goes into one serving.

    A meal: at least 10 oz with three portions of 40 g from two or more food groups. A main dish: at
    least 6 oz with 40 g from each of two. Several foods of 40 g in one group are several portions.
    """
    by_group: dict[str, Fraction] = {}
    portions = 0
    for line in lines:
        if line.optional or not line.counted or line.amount is None:
            continue
        grams, name = eaten_grams(line, table), _group(line, table, pantry, groups)
        if grams is None or not name:
            continue
        share = grams[0] / servings
        by_group[name] = by_group.get(name, Fraction(0)) + share
        portions += share >= 40
    named = tuple(sorted(by_group.items(), key=lambda pair: (-pair[1], pair[0])))
    full = sum(1 for _, grams in named if grams >= 40)
    if serving_grams is None:
        return Sort("food", None, named)
    if serving_grams >= 10 * OUNCE and full >= 2 and max(portions, full) >= 3:
        return Sort("meal", serving_grams, named)
    if serving_grams >= 6 * OUNCE and full >= 2:
        return Sort("main dish", serving_grams, named)
    return Sort("food", serving_grams, named)


def _group(
    line: Line, table: Table, pantry: Mapping[str, Ingredient], groups: Mapping[str, FoodGroup]
) -> str:
    food, item = table.foods.get(line.food), pantry.get(line.item)
    if food is None or item is None:
        return ""
    for group in groups.values():
        if food.group in group.groups and (not group.origins or item.origin in group.origins):
            return group.name
    return ""
