"""The weight of an amount that a question names."""

from __future__ import annotations

from assistant.corpus.lines import portion_rows
from assistant.kinds.shelf import Shelf
from assistant.measure.amount import Amount
from assistant.measure.weigh import Weight, weigh


def grams_of_amount(
    amount: Amount, item: str, shelf: Shelf, state: str = "", hints: tuple[str, ...] = ()
) -> Weight:
    """The edible grams of an amount of a pantry item, by its portion rows."""
    found = shelf.item(item)
    if found is None:
        return Weight(None, f"{item} is not in the pantry")
    return weigh(amount, portion_rows(found, shelf.corpus.foods, state), hints, state)
