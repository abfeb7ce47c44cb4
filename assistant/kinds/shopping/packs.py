"""An amount counted in what it is sold as: tubs of a size that is named, lemons for their juice."""

from __future__ import annotations

from fractions import Fraction

from assistant.kinds.crossed import listed
from assistant.kinds.shelf import Shelf, number
from assistant.kitchen.shopping import Need
from assistant.measure.amount import Amount, convert_amount, read_amount
from assistant.measure.units import unit
from assistant.question.reading import Reading
from assistant.retrieval.words import singular


def in_packs(reading: Reading, need: Need, shelf: Shelf) -> str:
    """`1 (32 oz) tub of plain Greek yogurt`, of the size that is named; "" where none is.

    Whole packs are bought, so the count is rounded up.
    """
    for m in reading.all("amount"):
        pack = singular(reading.words[m.end]) if m.end < len(reading.words) else ""
        amount = m.value
        if not isinstance(amount, Amount) or not amount.unit or need.bought is None:
            continue
        if unit(amount.unit).dimension != "weight" or pack not in listed(shelf, "pack-nouns"):
            continue
        each = convert_amount(amount, "gram").low
        count = -((-need.bought[1]) // each)
        size = f"{number(amount.low)} {unit(amount.unit).short or amount.unit}"
        packs = pack if count == 1 else f"{pack}{_ending(pack)}"
        return f"{count} ({size}) {packs} of {need.item.name}"
    return ""


def in_fruit(reading: Reading, need: Need, shelf: Shelf) -> str:
    """`3 lemons (1/2 cup of juice)`, where the fruit is asked for and its juice is in the recipe.

    By the list "juice-of-one": the juice's item, how much one fruit gives, and the fruit's name.
    """
    named = [m.text for m in reading.all("ingredient") if m.id == need.item.id]
    if not named or any("juice" in text for text in named) or len(need.amounts) != 1:
        return ""
    for entry in listed(shelf, "juice-of-one"):
        item, amount, name, fruit, fruits = entry.split()
        whole = need.amounts[0]
        if item != need.item.id or not whole.unit or unit(whole.unit).dimension != "volume":
            continue
        one = convert_amount(read_amount(f"{amount} {name}"), whole.unit).low
        count = int(-((-whole.high) // one))
        return f"{count} {fruit if Fraction(count) == 1 else fruits} for the juice"
    return ""


def _ending(word: str) -> str:
    return "es" if word.endswith("x") else "s"
