"""Swaps: which records replace an item, and how much replaces the amount at hand."""

from __future__ import annotations

from fractions import Fraction

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names, words
from assistant.corpus.records import Ingredient, Line, Recipe, Swap
from assistant.measure.amount import Amount, convert_amount, read_amount, scale
from assistant.measure.exact import MeasureError


def find_swaps(item: str, corpus: Corpus, recipe: str = "") -> list[Swap]:
    """The swaps for a pantry item: those made for this recipe first, then in the files' order.

    A swap that names recipes is used in those only. No swap of a swap is ever made up.
    """
    found = [
        swap
        for swap in corpus.swaps.values()
        if item in swap.out and (not swap.recipes or recipe in swap.recipes)
    ]
    return sorted(found, key=lambda swap: recipe not in swap.recipes)


def replace_amount(swap: Swap, amount: Amount) -> Amount | None:
    """What replaces `amount` by a swap's ratio: give ÷ take × amount.

    None where the amount cannot be measured against the swap's `take` (a can against a cup).
    Ranges stay ranges.
    """
    take, give = read_amount(swap.take), read_amount(swap.give)
    try:
        have = convert_amount(amount, take.unit) if amount.unit != take.unit else amount
    except MeasureError:
        return None
    if take.high == 0:
        return None
    low, high = have.low / take.high, have.high / take.low
    made = Amount(give.low * low, give.high * high, give.unit, give.each)
    try:
        # A cup for a cup: keep the cook's own unit where the dimensions allow it.
        return (
            convert_amount(made, amount.unit) if made.unit != amount.unit and amount.unit else made
        )
    except MeasureError:
        return made


def replace_share(swap: Swap, amount: Amount) -> Fraction | None:
    """give ÷ take as one number, where both are single amounts of one unit."""
    take, give = read_amount(swap.take), read_amount(swap.give)
    if take.unit != give.unit or take.low != take.high or give.low != give.high:
        return None
    return give.low / take.low if amount else None


def closest_line(recipe: Recipe, item: Ingredient, corpus: Corpus) -> Line | None:
    """The line whose ingredient shares most words with `item`: regular broth stands for the
    recipe's low-sodium broth. None where no line shares its last word."""
    want = {word for name in all_names(item) for word in words(name)}
    last = words(item.name)[-1]
    best: tuple[int, Line] | None = None
    for line in recipe.lines:
        other = corpus.pantry.get(line.item)
        have = {word for name in all_names(other) for word in words(name)} if other else set()
        if last in have and (best is None or len(want & have) > best[0]):
            best = (len(want & have), line)
    return best[1] if best else None


def scaled_swap(swap: Swap, amount: Amount, factor: Fraction) -> Amount | None:
    """What replaces an amount that is first scaled."""
    return replace_amount(swap, scale(amount, factor))
