"""One measure in another: volumes, weights, volume to weight of a food, temperatures."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.kinds.convert.cooked import dry_and_cooked
from assistant.kinds.convert.forms import other_form
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import (
    SIZES,
    Shelf,
    capital,
    food_source,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.shelf import shown as kitchen_shown
from assistant.kinds.unknown import unknown
from assistant.kinds.weights import grams_of_amount
from assistant.measure.amount import Amount, read_amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.measure.units import convert, find_unit, to_celsius, to_fahrenheit, unit
from assistant.question.reading import Mention, Reading

# Below this many grams the ounces are nearly 0.
_LEAST_GRAMS = 3
_METRIC = {"milliliter", "centiliter", "deciliter", "liter", "gram", "kilogram", "milligram"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """Convert what is named: a temperature first, then amounts with or without a food."""
    temperature = next(iter(reading.all("temperature")), None)
    if temperature is not None or reading.has("celsius", "fahrenheit", "centigrade"):
        return _temperature(reading, temperature, shelf)
    amounts = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    targets = [m.id for m in reading.all("unit")]
    if not amounts and len(targets) >= 2:
        # "How many tablespoons in a cup", "cups to grams": the unit asked for, and the other.
        first, second = targets[0], targets[1]
        if reading.has("many", "much"):
            amounts, targets = [_one(second)], [first]
        else:
            amounts, targets = [_one(first)], [second]
    if not amounts:
        amounts = _a_count(reading)
    if not amounts and len(targets) == 1 and reading.ids("ingredient"):
        amounts = [_one(targets[0])]
        targets = []
    form = other_form(reading, shelf) or dry_and_cooked(reading, shelf)
    if form is not None:
        return form
    noted = None if _asks_weight(reading, amounts) else _noted(reading, shelf)
    if noted is not None:
        return noted
    if not amounts:
        amounts, targets = _one_piece(reading, shelf), []
    if not amounts:
        return make(
            reading,
            "asks",
            "Which amount should be converted?",
            lines=('For example: "how many grams is 1 1/2 cups of red lentils?"',),
        )
    items = reading.ids("ingredient")
    amount = amounts[0]
    target = next((t for t in targets if t != amount.unit), "")
    return _amount(reading, amount, target, items[0] if items else "", shelf)


def _noted(reading: Reading, shelf: Shelf) -> Answer | None:
    """What a note says on yields and on one form for another: "the juice of one lemon".

    None where no note fits, and where a figure of the food's own would do as well.
    """
    if not shelf.says(reading, "yield-of-words"):
        return None
    found = best(reading, shelf, ("convert", "technique"))
    return quoted(reading, shelf, found[1]) if found is not None else None


def _asks_weight(reading: Reading, amounts: list[Amount]) -> bool:
    """Whether units on both sides are named, so that it is worked out rather than looked up."""
    named = {unit(m.id).dimension for m in reading.all("unit")}
    return bool(amounts) and bool(amounts[0].unit) and bool(named & {"weight"})


def _a_count(reading: Reading) -> list[Amount]:
    """ "A stick of butter in grams": one of what is counted, between an article and the food."""
    for m in reading.all("ingredient"):
        before = [w for w in reading.words[: m.start] if w != "of"][-2:]
        found = find_unit(before[-1]) if len(before) == 2 and before[0] in {"a", "one"} else None
        if found is not None and found.dimension == "count":
            return [_one(found.name)]
    return []


def _one_piece(reading: Reading, shelf: Shelf) -> list[Amount]:
    """ "How much does a clove of garlic weigh": one of what is named before the food, or of it."""
    if not shelf.says(reading, "weight-words"):
        return []
    for m in reading.all("ingredient"):
        before = [w for w in reading.words[: m.start] if w not in {"of", "the"}][-1:]
        for name in (*before, "medium", ""):
            try:
                made = read_amount(f"1 {name}".strip())
            except MeasureError:
                continue
            if grams_of_amount(made, m.id, shelf).grams is not None:
                return [made]
    return []


def _one(name: str) -> Amount:
    return Amount(Fraction(1), Fraction(1), name)


def _amount(reading: Reading, amount: Amount, target: str, item: str, shelf: Shelf) -> Answer:
    dimension = unit(amount.unit).dimension if amount.unit else "count"
    aim = unit(target).dimension if target else ""
    if not target:
        target = (
            "gram" if item and dimension != "weight" else _default_target(amount.unit, dimension)
        )
        aim = unit(target).dimension if target else ""
    if not target:
        return _cannot(reading, f"{show(amount)} has no other measure without the food", shelf)
    if dimension == aim:
        return _plain(reading, amount, target, shelf)
    if not item:
        return make(
            reading,
            "asks",
            f"Of which food? {capital(show(amount))} weighs differently from food to food.",
            lines=("A volume turns into a weight only through a food's own portion weight.",),
        )
    return _by_food(reading, amount, target, item, shelf)


def _default_target(name: str, dimension: str) -> str:
    if dimension == "volume":
        return "cup" if name in _METRIC else "milliliter"
    if dimension == "weight":
        return "ounce" if name in _METRIC else "gram"
    return ""


def _plain(reading: Reading, amount: Amount, target: str, shelf: Shelf) -> Answer:
    one = convert(Fraction(1), amount.unit, target)
    value = amount.high * one
    shown = f"{_simple(value)} {unit(target).label(value)}"
    figure = Figure(
        name=f"{show(amount)} in {unit(target).plural}",
        value=value,
        unit=target,
        shown=shown,
        working=(
            f"1 {unit(amount.unit).singular} = {number(one, 4)} {unit(target).label(one)}"
            " (by definition)",
            f"{show(amount)} = {show_number(amount.high)} × {number(one, 4)} = {number(value, 3)} "
            f"{unit(target).label(value)}",
        ),
    )
    # A measure is the same of every food; the one that was named is said all the same.
    named = next((m.text for m in reading.all("ingredient")), "")
    of = f" of {named}" if named else ""
    return make(
        reading,
        "computed",
        f"{capital(show(amount))}{of} is {shown}.",
        (figure,),
        sources=(reference_source(shelf, "nist-sp811"),),
    )


def _by_food(reading: Reading, amount: Amount, target: str, item: str, shelf: Shelf) -> Answer:
    found = shelf.item(item)
    if found is None:
        return unknown(reading, shelf)
    state = next((s for s in found.states if s in reading.text.lower()), "")
    hints = reading.words
    sources: list[Source] = [record_source(found)]
    if found.food:
        sources.append(food_source(shelf, found.states.get(state, found.food)))
    aim = unit(target).dimension
    weight = grams_of_amount(amount, item, shelf, state, hints)
    name = found.name
    if weight.grams is None:
        return make(
            reading,
            "partial",
            f"I have no weight for {show(amount)} of {name}: {weight.how}.",
            sources=sources,
        )
    grams = weight.grams[1]
    working = [f"{weight.how}", f"{show(amount)} of {name} = {number(grams)} g"]
    one = weight
    if aim == "weight":
        value = convert(grams, "gram", target)
        if target != "gram":
            working.append(f"{number(grams)} g = {number(value, 2)} {unit(target).label(value)}")
    else:
        one = grams_of_amount(_one(target), item, shelf, state, hints)
        if one.grams is None:
            return make(
                reading,
                "partial",
                f"I have no {unit(target).singular} of {name}: {one.how}.",
                sources=sources,
            )
        value = grams / one.grams[1]
        working += [one.how, f"{number(grams)} g ÷ {number(one.grams[1])} g = {number(value, 2)}"]
    shown = _value(value, target)
    figure = Figure(
        name=f"{show(amount)} of {name}",
        value=value,
        unit=target,
        shown=shown,
        working=tuple(working),
    )
    lines = [f"By {weight.how if aim == 'weight' else one.how}."]
    # Of a pinch the ounces say nothing.
    if aim == "weight" and target == "gram" and value >= _LEAST_GRAMS:
        lines.append(f"In ounces: {number(convert(grams, 'gram', 'ounce'), 1)} oz.")
    of = " " if not amount.unit or amount.unit in SIZES else " of "
    return make(
        reading,
        "computed",
        f"{capital(show(amount))}{of}{name} is {shown}.",
        (figure,),
        lines,
        sources,
    )


def _value(value: Fraction, target: str) -> str:
    """A converted value: kitchen fractions for spoons and cups, figures for the rest."""
    made = unit(target)
    if target in {"cup", "tablespoon", "teaspoon"} and value:
        kitchen = kitchen_shown(Amount(value, value, target), "us")
        plain = f"{number(value, 2)} {made.label(value)}"
        same = not kitchen.moved and kitchen.text.split()[-1] in {
            made.plural,
            made.singular,
            made.short,
        }
        return kitchen.text if same else f"{plain} (measure {kitchen.text})"
    return f"{number(value, 0 if value >= 20 else 1)} {made.label(value)}"


def _simple(value: Fraction) -> str:
    """A kitchen fraction where it is one, else a figure."""
    if value.denominator in {1, 2, 3, 4, 8}:
        return show_number(value)
    return number(value, 0 if value >= 20 else 2)


def _cannot(reading: Reading, why: str, shelf: Shelf) -> Answer:
    return unknown(reading, shelf, f"I cannot convert that: {why}.")


def _temperature(reading: Reading, found: Mention | None, shelf: Shelf) -> Answer:
    value = found.value if found else next((m.value for m in reading.all("number")), None)
    if not isinstance(value, Fraction):
        return make(reading, "asks", "Which temperature, in °F or °C?")
    scale = found.id if found else ""
    wants_c = reading.has("celsius", "centigrade", "c", "°c")
    wants_f = reading.has("fahrenheit", "f", "°f")
    assumed = ""
    if not scale:
        # An oven at 425 can only be Fahrenheit, one at 180 whose owner asks for °F only Celsius.
        scale = "c" if wants_f and not wants_c else "f" if wants_c or value >= 250 else "c"
        assumed = f"{show_number(value)} was taken as °{scale.upper()}."
    try:
        other = to_celsius(value) if scale == "f" else to_fahrenheit(value)
    except MeasureError as error:
        return _cannot(reading, str(error), shelf)
    target = "C" if scale == "f" else "F"
    rule = "(°F − 32) × 5/9" if scale == "f" else "°C × 9/5 + 32"
    shown = f"{number(other, 0)} °{target}"
    figure = Figure(
        name=f"{show_number(value)} °{scale.upper()}",
        value=other,
        unit=f"°{target}",
        shown=shown,
        working=(f"{rule}, with {show_number(value)}: {number(other, 1)} °{target}",),
    )
    return make(
        reading,
        "computed",
        f"{show_number(value)} °{scale.upper()} is {shown}.",
        (figure,),
        (assumed,) if assumed else (),
        (reference_source(shelf, "nist-sp811"),),
    )
