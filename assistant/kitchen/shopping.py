"""A shopping list: what several recipes need together, as purchased, in whole packages.

Edible grams become grams as purchased by the refuse that USDA SR28 gives for the food: bought =
edible ÷ (1 − refuse). A package is a portion row of the pantry whose measure is one ("1 can",
"1 bunch"); the count is rounded up and what is left over is said.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import portion_rows
from assistant.corpus.records import Food, Ingredient, Line
from assistant.corpus.serving import Aisle
from assistant.measure.amount import Amount, add
from assistant.measure.exact import MeasureError
from assistant.measure.weigh import Row

Range = tuple[Fraction, Fraction]


class Packages(msgspec.Struct, frozen=True):
    """Whole packages to buy: how many of what, and the edible grams left over (None = unknown)."""

    count: int
    measure: str
    left: Fraction | None


class Need(msgspec.Struct, frozen=True):
    """What is needed of one pantry item over all lines.

    `amounts` are sums by measure (cups and counts stand apart), `grams` the edible weight and
    `bought` the weight as purchased, None where a line has no weight. `lines` are its parts.
    """

    item: Ingredient
    amounts: tuple[Amount, ...]
    grams: Range | None
    bought: Range | None
    refuse: Fraction
    packages: Packages | None
    lines: tuple[Line, ...]
    optional: bool


def merge(lines: Iterable[Line], corpus: Corpus) -> tuple[Need, ...]:
    """All lines of the recipes (already scaled), merged by pantry item, in order of appearance."""
    by_item: dict[str, list[Line]] = {}
    for line in lines:
        if line.counted:
            by_item.setdefault(line.item, []).append(line)
    return tuple(_need(corpus.pantry[ident], found, corpus) for ident, found in by_item.items())


def _need(item: Ingredient, lines: Sequence[Line], corpus: Corpus) -> Need:
    amounts = add_up(line.amount for line in lines if line.amount is not None)
    grams = _grams(lines)
    refuse = refuse_of(lines[0].food, corpus.foods)
    bought = None if grams is None else as_purchased(grams, refuse)
    return Need(
        item,
        amounts,
        grams,
        bought,
        refuse,
        _packages(item, amounts, grams, lines[0].state, corpus),
        tuple(lines),
        all(line.optional for line in lines),
    )


def add_up(amounts: Iterable[Amount]) -> tuple[Amount, ...]:
    """Sums of amounts that can be added (cups and spoons), the others apart (cups and counts)."""
    sums: list[Amount] = []
    for amount in amounts:
        for i, have in enumerate(sums):
            try:
                sums[i] = add(have, amount)
            except MeasureError:
                continue
            break
        else:
            sums.append(amount)
    return tuple(sums)


def _grams(lines: Sequence[Line]) -> Range | None:
    weights = [line.grams for line in lines if line.amount is not None]
    known = [grams for grams in weights if grams is not None]
    if not known or len(known) < len(weights):
        return None
    return sum((low for low, _ in known), Fraction(0)), sum((h for _, h in known), Fraction(0))


def refuse_of(code: str, foods: Mapping[str, Food]) -> Fraction:
    """The share of a food, as purchased, that is thrown away: 0 where SR28 gives none."""
    food = foods.get(code)
    if food is None or food.refuse_pct is None:
        return Fraction(0)
    return Fraction(food.refuse_pct) / 100


def as_purchased(grams: Range, refuse: Fraction) -> Range:
    """The weight to buy for an edible weight."""
    return grams[0] / (1 - refuse), grams[1] / (1 - refuse)


PACKAGES: Collection[str] = frozenset({"can", "carton", "bunch", "package", "block", "bag", "head"})


def _packages(
    item: Ingredient,
    amounts: Sequence[Amount],
    grams: Range | None,
    state: str,
    corpus: Corpus,
) -> Packages | None:
    """Whole packages: cans counted as such, the rest by weight against the package's row."""
    if len(amounts) == 1 and amounts[0].unit in PACKAGES:
        count = -((-amounts[0].high) // 1)
        return Packages(int(count), _measure(amounts[0]), None)
    rows = [
        row
        for row in portion_rows(item, corpus.foods, state)[: len(item.portions)]
        if row.unit in PACKAGES and (not row.state or row.state == state) and row.number == 1
    ]
    if not rows or grams is None or not grams[1]:
        return None
    best = min(rows, key=lambda row: _left(row, grams[1]))
    count = -((-grams[1]) // best.grams)
    return Packages(int(count), best.text, best.grams * count - grams[1])


def _measure(amount: Amount) -> str:
    size = f" ({float(amount.each[0]):g} {_short(amount.each[1])})" if amount.each else ""
    return f"{amount.unit}{size}"


def _short(unit: str) -> str:
    return {"ounce": "oz"}.get(unit, unit)


def _left(row: Row, grams: Fraction) -> Fraction:
    return row.grams * -((-grams) // row.grams) - grams


def aisle_of(item: Ingredient, aisles: Mapping[str, Aisle]) -> Aisle | None:
    """Where in the store an item stands: by its own entry, else by its pantry file."""
    for aisle in aisles.values():
        if item.id in aisle.items:
            return aisle
    stem = item.file.rpartition("/")[2].removesuffix(".yaml")
    return next((aisle for aisle in aisles.values() if stem in aisle.files), None)


def by_aisle(
    needs: Sequence[Need], aisles: Mapping[str, Aisle]
) -> list[tuple[str, tuple[Need, ...]]]:
    """The list grouped by aisle, in the order of aisles.yaml; what has no aisle comes last."""
    groups: dict[str, list[Need]] = {aisle.name: [] for aisle in aisles.values()}
    for need in needs:
        aisle = aisle_of(need.item, aisles)
        groups.setdefault(aisle.name if aisle else "other", []).append(need)
    return [(name, tuple(found)) for name, found in groups.items() if found]
