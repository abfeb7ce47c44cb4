"""Ingredient lines as a cook writes them -> which pantry item, how much, what it weighs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from assistant.corpus.records import Food, Ingredient, Line, LineForm
from assistant.measure.amount import Amount, read_amount, take_amount
from assistant.measure.exact import MeasureError
from assistant.measure.weigh import Row, Weight, row, weigh

_WORD = re.compile(r"[a-z0-9%½¼¾]+")
_TO_TASTE = re.compile(r"\b(to taste|for serving|as needed|for garnish|a little|to serve)\b")
_OPTIONAL = re.compile(r"[,(]?\s*\boptional\b\)?")
_PAREN = re.compile(r"\(([^()]*)\)")
# Longest first: "drained and rinsed" holds "drained".
_STATES = ("drained and rinsed", "drained", "cooked", "undrained")


class Pantry:
    """The pantry's names, for finding the item that a line speaks of."""

    def __init__(self, items: Iterable[Ingredient], descriptors: Iterable[str]) -> None:
        self.items = {item.id: item for item in items}
        self.descriptors = frozenset(descriptors)
        self.names: dict[tuple[str, ...], str] = {}
        for item in self.items.values():
            for name in all_names(item):
                self.names.setdefault(words(name), item.id)

    def find(self, text: str) -> tuple[str, tuple[str, ...]] | None:
        """The id of the item that `text` names, and the words beside the name.

        The longest name wins; words that are left over must be descriptors ("chopped", "large"),
        so that "peanut butter" can never be read as butter.
        """
        have = words(text)
        for size in range(len(have), 0, -1):
            for start in range(len(have) - size + 1):
                ident = self.names.get(have[start : start + size])
                rest = have[:start] + have[start + size :]
                if ident and all(word in self.descriptors for word in rest):
                    return ident, rest
        return None


def all_names(item: Ingredient) -> tuple[str, ...]:
    """Every name of a pantry item, the plain one first."""
    return tuple(name for name in (item.name, item.plural, *item.names) if name)


@lru_cache(maxsize=16384)
def words(text: str) -> tuple[str, ...]:
    """The words of a name, hyphens taken as spaces."""
    return tuple(_WORD.findall(text.lower()))


def portion_rows(item: Ingredient, foods: Mapping[str, Food], state: str = "") -> list[Row]:
    """The rows that can weigh an item: its own portions, its label's, then those of its food."""
    found = []
    for own in item.portions:
        amount, rest = take_amount(own.measure) or (Amount(Fraction(1), Fraction(1)), own.measure)
        made = row(
            amount.low, _measure_text(amount, rest), Fraction(own.grams), own.source, own.state
        )
        found.append(made)
    if item.label:
        amount, rest = take_amount(item.label.serving) or (Amount(Fraction(1), Fraction(1)), "")
        measure = _measure_text(amount, rest)
        made = row(amount.low, measure, Fraction(item.label.grams), "the package's label")
        found.append(made)
    code = food_code(item, state)
    food = foods.get(code)
    for number, measure, grams in food.portions if food else ():
        found.append(row(Fraction(number), measure, Fraction(grams), f"SR28 {code}"))
    return found


def food_code(item: Ingredient, state: str = "") -> str:
    """The food code of an item in a state; its plain code where the state has none of its own."""
    return item.states.get(state, item.food)


def _measure_text(amount: Amount, rest: str) -> str:
    each = f" ({float(amount.each[0]):g} {amount.each[1]})" if amount.each else ""
    return f"{amount.unit}{each} {rest}".strip()


def read_line(
    form: str | LineForm, pantry: Pantry, foods: Mapping[str, Food], file: str, line: int
) -> Line:
    """Read one ingredient line.

    Raises MeasureError, in the cook's own words, when the amount or the ingredient cannot be read.
    """
    given = form if isinstance(form, LineForm) else LineForm(line=form)
    text = given.line.strip()
    lowered = text.lower()
    optional = given.optional or bool(_OPTIONAL.search(lowered))
    body = _OPTIONAL.sub("", lowered).strip(" ,")
    taken = take_amount(body)
    amount, rest = taken if taken else (None, body)
    head, _, prep = rest.partition(",")
    to_taste = bool(_TO_TASTE.search(rest))
    head = _PAREN.sub(" ", _TO_TASTE.sub("", head))
    if given.amount:
        amount = read_amount(given.amount)
    canned = amount is not None and amount.unit == "can"
    ident, beside = _item(given, head, text, pantry, canned)
    item = pantry.items[ident]
    prep = prep.strip()
    state = given.state or _state(rest)
    if amount is None and not to_taste and not optional:
        raise MeasureError(
            text,
            "it has no amount",
            expected='an amount, or ", to taste" after the name',
        )
    weight = _weigh(given, amount, item, foods, (*beside, *words(prep)), state)
    return Line(
        text=text,
        item=ident,
        name=head.strip() or item.name,
        amount=amount,
        grams=weight.grams,
        weighed=weight.how,
        food=food_code(item, state),
        prep=prep,
        state=state,
        optional=optional,
        counted=given.counted,
        eaten=Fraction(1) if given.eaten is None else Fraction(given.eaten),
        eaten_source=given.source if given.eaten is not None else "",
        file=file,
        line=line,
    )


def _state(rest: str) -> str:
    """The state a line names, by whole words: "uncooked" is not "cooked"."""
    have = " ".join(words(rest))
    return next((state for state in _STATES if re.search(rf"\b{state}\b", have)), "")


def _item(
    given: LineForm, head: str, text: str, pantry: Pantry, canned: bool
) -> tuple[str, tuple[str, ...]]:
    if given.item:
        if given.item not in pantry.items:
            raise MeasureError(
                text,
                f'there is no pantry item "{given.item}"',
                expected="the id of a pantry item",
                advice="see `assistant list ingredients`",
            )
        return given.item, ()
    # "1 can tomatoes" is canned tomatoes, not raw ones.
    found = (pantry.find(f"canned {head}") if canned else None) or pantry.find(head)
    if found is None:
        first, _, rest = head.strip().partition(" ")
        # "2 smidgeons oil": the name is known, but for a word that may have been meant as a unit.
        unread = text[:1].isdigit() and rest and pantry.find(rest)
        also = f', and "{first}" is no unit I know' if unread else ""
        raise MeasureError(
            text,
            f'no pantry item is called "{head.strip()}"{also}',
            expected="the name of a pantry item",
            advice="add it under pantry/, or name the item with `item:`",
        )
    return found


def _weigh(
    given: LineForm,
    amount: Amount | None,
    item: Ingredient,
    foods: Mapping[str, Food],
    hints: tuple[str, ...],
    state: str,
) -> Weight:
    if given.grams is not None:
        grams = Fraction(Decimal(given.grams))
        return Weight((grams, grams), f"stated in the recipe ({given.source or 'the recipe'})")
    if amount is None:
        return Weight(None, "no amount is given")
    return weigh(amount, portion_rows(item, foods, state), hints, state)
