"""Dry and cooked: how much a cup of dry rice makes, how much dry for so much cooked."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure
from assistant.corpus.records import Ingredient
from assistant.corpus.yardsticks import CookedYield
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.kinds.weights import grams_of_amount
from assistant.measure.amount import Amount, convert_amount, read_amount, scale, show
from assistant.measure.exact import MeasureError
from assistant.question.reading import Mention, Reading

_DIFFER = "Yields differ with age, soaking and cooking; measure the first batch."


class _Asked(msgspec.Struct, frozen=True):
    """A food by the name it was given, its amount, whether that is of the cooked food, and whether
    cans of it are asked for."""

    name: str
    item: Ingredient
    amount: Amount
    of_cooked: bool
    canned: bool


def dry_and_cooked(reading: Reading, shelf: Shelf) -> Answer | None:
    """What a dry food makes when cooked, or the dry food that makes so much; None where a question
    is not about both. "I don't know" where no yield is on record: neither form's weight answers."""
    dry = _places(reading, shelf, "dry-state-words")
    cooked = _places(reading, shelf, "cooked-state-words")
    in_cans = shelf.says(reading, "can-words")
    canned = bool(dry) and in_cans
    food = next(iter(reading.all("ingredient")), None)
    item = shelf.item(food.id) if food is not None else None
    made = bool(cooked) and shelf.says(reading, "making-words")
    # "3 cans of beans in cups", "6 cups of cooked chickpeas is how many cans".
    measured = bool({"cup"} & set(reading.ids("unit"))) and any(
        map(_is_cans, reading.all("amount"))
    )
    measured = measured or (bool(cooked) and in_cans and bool(reading.all("amount")))
    both = bool(dry) and bool(cooked or canned)
    if food is None or item is None or not (both or made or measured):
        return None
    states = words_in(shelf, "dry-state-words") | words_in(shelf, "cooked-state-words")
    name = " ".join(word for word in food.text.split() if word not in states) or item.name
    found = next((y for y in shelf.corpus.cooked_yields.values() if item.id in y.of), None)
    if found is None and not dry:
        return None
    if found is None or (canned and not found.can):
        told = f"I have no figure for how much dry {name} makes when it is cooked."
        return unknown(reading, shelf, told)
    cans = next((m.value for m in reading.all("amount") if _is_cans(m)), None)
    if isinstance(cans, Amount) and found.can and (dry or cooked or measured):
        return _of_cans(reading, _Asked(name, item, cans, False, True), found, shelf)
    if measured and not dry:
        return _in_cans(reading, name, found, shelf)
    own = _in_recipe(reading, found, shelf) if not reading.all("amount") else None
    if own is not None:
        return _told(reading, _Asked(name, item, own, False, False), found, shelf)
    asked = _Asked(name, item, read_amount(found.takes), False, canned)
    for mention in reading.all("amount")[:1]:
        if isinstance(mention.value, Amount):
            behind = {mention.end, mention.end + 1} & set(cooked)
            # "A cup of rice makes how much cooked": without a "dry" only "a cup cooked" is cooked.
            of_cooked = _nearer(mention, cooked, dry) if dry else bool(behind)
            asked = _Asked(name, item, mention.value, of_cooked, canned)
    try:
        return _told(reading, asked, found, shelf)
    except MeasureError as error:
        return unknown(reading, shelf, capital(f"{error}."))


def _is_cans(mention: Mention) -> bool:
    return isinstance(mention.value, Amount) and mention.value.unit == "can"


def _in_recipe(reading: Reading, found: CookedYield, shelf: Shelf) -> Amount | None:
    """What the recipe in hand takes of the dry food: "how much cooked quinoa will I have?"."""
    recipe = shelf.recipe(reading)
    lines = [line for line in recipe.lines if line.item in found.of] if recipe else []
    if len(lines) != 1 or lines[0].amount is None or lines[0].state == "cooked":
        return None
    amount = lines[0].amount
    if not amount.unit or amount.unit == "can" or (item := shelf.item(lines[0].item)) is None:
        return None
    return None if "cooked" in item.name.split() else amount


def _of_cans(reading: Reading, asked: _Asked, found: CookedYield, shelf: Shelf) -> Answer:
    """Cans in cups of the cooked food, and in the dry food that makes as much."""
    can, takes, gives = (read_amount(text) for text in (found.can, found.takes, found.gives))
    drained = scale(can, asked.amount.high)
    cups = convert_amount(gives, drained.unit)
    dry = Amount(
        takes.low * drained.low / cups.high, takes.high * drained.high / cups.low, takes.unit
    )
    working = (
        f"a {found.can_size} can holds {found.can} drained",
        f"{found.takes} dry makes {found.gives} cooked ({found.where})",
        f"{number(asked.amount.high)} × {found.can} = {show(drained)}; {show(dry)} dry",
    )
    dry_item = next((i for i in found.of if i.startswith("dry-") and i.endswith(_tail(asked))), "")
    weight = grams_of_amount(dry, dry_item, shelf).grams if dry_item else None
    grams = f", {number(weight[1], 0)} g" if weight is not None else ""
    shown = [amount_text(one, shelf.first) for one in (drained, dry)]
    figures = [
        Figure(name=f"{asked.name}, {state}", value=one.high, unit=one.unit, shown=text,
               exact=show(one), working=working)
        for one, text, state in zip((drained, dry), shown, ("cooked", "dry"), strict=True)
    ]  # fmt: skip
    plural = "" if asked.amount.high == 1 else "s"
    count = f"{number(asked.amount.high)} can{plural} of {found.can_size}"
    headline = f"{count} {asked.name}: {shown[0]} cooked and drained, from {shown[1]}{grams} dry."
    sources = [record_source(found), *(reference_source(shelf, s) for s in found.sources)]
    lines = (f"By {working[1]}.", _DIFFER)
    return make(reading, "computed", capital(headline), figures, lines, sources)


def _in_cans(reading: Reading, name: str, found: CookedYield, shelf: Shelf) -> Answer | None:
    """Cups of the cooked food in cans, drained."""
    amount = next((m.value for m in reading.all("amount") if isinstance(m.value, Amount)), None)
    if amount is None or not found.can:
        return None
    try:
        can = convert_amount(read_amount(found.can), amount.unit)
    except MeasureError:
        return None
    count = amount.high / can.low
    shown = f"{number(count)} can{'' if count == 1 else 's'} of {found.can_size}"
    rule = f"a {found.can_size} can holds {found.can} drained ({found.where})"
    figure = Figure(
        name=f"cans of {name}",
        value=count,
        unit="can",
        shown=shown,
        working=(rule, f"{show(amount)} ÷ {found.can} = {number(count)}"),
    )
    headline = f"{show(amount)} of cooked {name} is about {shown}, drained."
    sources = [record_source(found), *(reference_source(shelf, s) for s in found.sources)]
    return make(reading, "computed", capital(headline), (figure,), (f"By {rule}.",), sources)


def _tail(asked: _Asked) -> str:
    """What tells a bean among the dry ones: the "black-beans" of "no-salt-added-black-beans"."""
    return asked.item.id.removeprefix("no-salt-added-").removeprefix("dry-")


def _places(reading: Reading, shelf: Shelf, name: str) -> list[int]:
    return [p for p, word in enumerate(reading.words) if word in words_in(shelf, name)]


def _nearer(amount: Mention, cooked: list[int], dry: list[int]) -> bool:
    """Whether an amount is of the cooked food: its word stands nearer, and behind before ahead."""

    def far(places: list[int]) -> float:
        behind = [place - amount.end + 1 for place in places if place >= amount.end]
        ahead = [2 * (amount.start - place) for place in places if place < amount.start]
        return min([*behind, *ahead], default=99)

    return far(cooked) < far(dry)


def _told(reading: Reading, asked: _Asked, found: CookedYield, shelf: Shelf) -> Answer:
    takes, gives = read_amount(found.takes), read_amount(found.gives)
    rule = f"{found.takes} dry makes {found.gives} cooked ({found.where})"
    have, made, state, other = takes, gives, "dry", "cooked"
    if asked.of_cooked:
        have, made, state, other = gives, takes, "cooked", "dry"
    low, high = _times(asked.amount, have, asked.item, shelf)
    made = Amount(scale(made, low).low, scale(made, high).high, made.unit)
    working = [rule, f"for {show(asked.amount)}: {show(made)}"]
    text, told = amount_text(made, shelf.first), other
    if asked.canned:
        can = convert_amount(read_amount(found.can), made.unit)
        working.append(f"a {found.can_size} can holds {found.can} drained")
        cans = _range(made.low / can.high, made.high / can.low)
        text, told = f"{cans} cans of {found.can_size}", "drained"
    figure = Figure(
        name=f"{asked.name}, {told}",
        value=made.high,
        unit=made.unit,
        shown=text,
        exact=show(made),
        working=tuple(working),
    )
    headline = f"{show(asked.amount)} of {state} {asked.name} is about {text}, {told}."
    lines = (f"By {rule}.", _DIFFER)
    sources = [record_source(found), *(reference_source(shelf, s) for s in found.sources)]
    return make(reading, "computed", capital(headline), (figure,), lines, sources)


def _range(low: Fraction, high: Fraction) -> str:
    return number(low) if number(low) == number(high) else f"{number(low)}–{number(high)}"


def _times(
    amount: Amount, base: Amount, item: Ingredient, shelf: Shelf
) -> tuple[Fraction, Fraction]:
    """How many times an amount holds another; by weight where the one is a volume and the other
    not. Raises MeasureError where no portion row gives the weight."""
    try:
        same = convert_amount(amount, base.unit)
        return same.low / base.high, same.high / base.low
    except MeasureError:
        have = grams_of_amount(amount, item.id, shelf).grams
        need = grams_of_amount(base, item.id, shelf).grams
        if have is None or need is None:
            raise MeasureError(
                show(amount),
                f"no portion row gives its weight as {item.name}",
                expected="an amount in cups",
            ) from None
        return have[0] / need[1], have[1] / need[0]
