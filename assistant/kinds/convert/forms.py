"""One form of a food for another: the dried dill for a tablespoon of fresh, by the swap."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.answer import Answer, Figure
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Ingredient, Swap
from assistant.kinds.crossed import listed
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    make,
    record_source,
    reference_source,
)
from assistant.kitchen.swaps import replaced
from assistant.measure.amount import Amount, read_amount, show
from assistant.question.reading import Mention, Reading


def other_form(reading: Reading, shelf: Shelf) -> Answer | None:
    """How much of the other form stands for what is named; None where no swap says so.

    The amount is of the food that stands directly behind it, else of the other form: "how much
    fresh ginger is a teaspoon of ground".
    """
    for mention in reading.all("ingredient"):
        item = shelf.corpus.pantry[mention.id]
        for other in _others(reading, mention, item, shelf):
            own = _amount_before(reading, mention)
            first, second = (item, other) if own or not _amount(reading) else (other, item)
            swap = _swap(first, second, shelf)
            if swap is None:
                continue
            amount = own or _amount(reading) or read_amount(swap.take)
            made = replaced(swap, amount, None, shelf.corpus)
            if made is not None:
                return _told(reading, amount, first, made, second, swap, shelf)
    return None


def _others(
    reading: Reading, mention: Mention, item: Ingredient, shelf: Shelf
) -> Iterator[Ingredient]:
    """Foods of the same name in the other form that is said: "dried" beside fresh dill."""
    forms = listed(shelf, "form-of-food")
    own = set(name_words(item.name))
    said = set(reading.words[: mention.start] + reading.words[mention.end :]) & forms
    for other in shelf.corpus.pantry.values():
        names = set(name_words(other.name))
        if other.id != item.id and said & names and names - forms == own - forms:
            yield other


def _amount(reading: Reading) -> Amount | None:
    return next((m.value for m in reading.all("amount") if isinstance(m.value, Amount)), None)


def _amount_before(reading: Reading, mention: Mention) -> Amount | None:
    """The amount directly before a food, or with "of" between."""
    for m in reading.all("amount"):
        between = reading.words[m.end : mention.start]
        if isinstance(m.value, Amount) and m.end <= mention.start and between in {(), ("of",)}:
            return m.value
    return None


def _swap(first: Ingredient, second: Ingredient, shelf: Shelf) -> Swap | None:
    return next(
        (s for s in shelf.corpus.swaps.values() if first.id in s.out and s.use == second.id), None
    )


def _told(
    reading: Reading,
    amount: Amount,
    first: Ingredient,
    made: Amount,
    second: Ingredient,
    swap: Swap,
    shelf: Shelf,
) -> Answer:
    shown = amount_text(made, shelf.first)
    figure = Figure(
        name=f"{second.name} for {show(amount)} {first.name}",
        value=made.high,
        unit=made.unit,
        shown=shown,
        exact=show(made),
        working=(
            f"{swap.give} {second.name} for {swap.take} {first.name} ({swap.where})",
            f"for {show(amount)}: {show(made)}",
        ),
    )
    headline = f"{capital(show(amount))} of {first.name} is about {shown} of {second.name}."
    sources = [record_source(swap), *(reference_source(shelf, s) for s in swap.sources)]
    return make(reading, "computed", headline[:120], (figure,), (capital(swap.how),), sources)
