"""What to buy: one merged list for one or several recipes, as purchased, by aisle, in packages."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Line, Recipe
from assistant.kinds.ingredient.where import where_answer
from assistant.kinds.scale.have import by_amount
from assistant.kinds.shelf import (
    SIZES,
    Shelf,
    amount_text,
    ask_which_recipe,
    capital,
    line_name,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.shopping.athand import at_hand
from assistant.kinds.shopping.packs import in_fruit, in_packs
from assistant.kitchen.scaling import check_servings, scale_lines
from assistant.kitchen.shopping import Need, Range, by_aisle, merge
from assistant.measure.amount import Amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.units import unit
from assistant.question.reading import Reading

# Lighter than this an edible weight is no help in a store.
_LEAST = Fraction(56)
_WITH_BONES = {"meat", "pork", "poultry", "fish", "shellfish"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The list; or, where an ingredient is named, what of it to buy or where it stands."""
    foods = [ident for ident in reading.foods if ident in shelf.corpus.pantry]
    if not foods and shelf.says(reading, "how-much-words"):
        # The salmon of "what weight of salmon" is also a short name of the recipe.
        foods = [ident for ident in reading.ids("ingredient") if ident in shelf.corpus.pantry]
    if foods and shelf.says(reading, "where-words") and not reading.all("servings"):
        return where_answer(reading, [shelf.corpus.pantry[i] for i in foods], shelf)
    recipes, assumed = _recipes(reading, foods, shelf)
    if not recipes:
        return ask_which_recipe(reading, shelf)
    try:
        lines, servings = _scaled(reading, recipes, shelf)
    except MeasureError as error:
        return make(reading, "asks", f"{capital(str(error))}."[:120])
    have, there = at_hand(reading, recipes, shelf)
    left_out = {line.item for line in have}
    free = shelf.corpus.lists.get("not-bought")
    bought = [x for x in lines if not free or x.item not in free.words]
    needs = merge([x for x in bought if x.item not in left_out], shelf.corpus)
    spared = {m.id for m in there}
    wanted = [need for need in needs if need.item.id in foods and need.item.id not in spared]
    if wanted:
        return _some(reading, recipes, wanted, servings, assumed, shelf)
    return _list(reading, recipes, needs, servings, have, shelf)


def _recipes(
    reading: Reading, foods: Sequence[str], shelf: Shelf
) -> tuple[list[Recipe], tuple[str, ...]]:
    """The recipes named; else the one in hand; else the one that holds the ingredient named."""
    book = shelf.corpus.recipes
    named = [book[m.id] for m in reading.all("recipe") if m.id in book]
    if named:
        return list(dict.fromkeys(named)), ()
    if reading.recipe:
        return [book[reading.recipe]], ()
    for recipe in book.values() if foods else ():
        if any(line.item in foods for line in recipe.lines):
            return [recipe], (f"Taken from the {recipe.title.lower()}.",)
    return [], ()


def _yields(reading: Reading, recipe: Recipe, shelf: Shelf) -> Fraction:
    """ "Need 5 quarts": times the recipe, where so much of the dish is wanted; else once."""
    have = by_amount(reading, recipe, shelf)
    return have.factor if have is not None and have.line is None else Fraction(1)


def _scaled(reading: Reading, recipes: Sequence[Recipe], shelf: Shelf) -> tuple[list[Line], str]:
    """Every line at the servings asked for, and those in words. Raises MeasureError."""
    lines: list[Line] = []
    told = []
    for recipe in recipes:
        own = Fraction(recipe.yields.servings)
        servings = reading.servings or own * (reading.factor or _yields(reading, recipe, shelf))
        check_servings(servings)
        lines += scale_lines(recipe.lines, servings / own)
        told.append(number(servings))
    return lines, listed(list(dict.fromkeys(told)))


def _figure(need: Need, shelf: Shelf) -> Figure:
    text = buy_text(need, shelf)
    amount = need.amounts[0] if need.amounts else None
    working = [f"{line.text} → {show(line.amount)}" for line in need.lines if line.amount]
    if need.grams and need.refuse and need.bought:
        working.append(
            f"{number(need.grams[1])} g edible ÷ (1 − {number(need.refuse * 100)}%)"
            f" = {number(need.bought[1])} g as purchased (SR28 {need.lines[0].food})"
        )
    return Figure(
        name=need.item.name,
        value=amount.high if amount else None,
        unit=amount.unit if amount else "",
        shown=text,
        exact=" + ".join(show(a) for a in need.amounts),
        working=tuple(working),
    )


def buy_text(need: Need, shelf: Shelf) -> str:
    """`2 large (11 oz as bought)`, `3 (15 oz) cans`, `4 cups, 1 bunch`."""
    if not need.amounts:
        return "as needed"
    parts = [amount_text(a, shelf.first) for a in _whole(need)]
    text = listed(parts)
    packed = need.packages
    weight = _weight(need.bought, shelf)
    weighed = any(a.unit in {"pound", "ounce", "gram"} for a in need.amounts)
    weighed = weighed or "liquid" in need.item.role
    if weight and (not weighed or need.refuse) and need.bought and need.bought[1] >= _LEAST:
        text += f", {weight} as bought" if need.refuse else f", about {weight}"
    if packed and not any(a.unit == packed.measure.split()[0] for a in need.amounts):
        left = _weight((packed.left, packed.left), shelf) if packed.left else ""
        text += f": buy {_packed(packed.count, packed.measure)}"
        text += f", {left} left over" if left else ""
    return text + (", optional" if need.optional else "")


def _aloud(need: Need, weighed: bool, shelf: Shelf) -> str:
    """What to put in the basket: packages, else the weight as bought, else the amount.

    `1 bunch of fresh cilantro`, `2 lb 3 oz (990 g) of broccoli`, `3 large onions`. `weighed` asks
    for the weight.
    """
    name = need.item.name
    if weighed and (heavy := _weight(need.bought, shelf)):
        return f"{heavy} of {name}"
    if need.packages:
        return f"{_packed(need.packages.count, need.packages.measure)} of {name}"
    counted = [a for a in _whole(need) if not a.unit or a.unit in SIZES]
    if len(counted) == len(need.amounts) == 1:
        plural = need.item.plural if counted[0].high > 1 and need.item.plural else name
        return f"{amount_text(counted[0], shelf.first)} {plural}"
    weight = _weight(need.bought, shelf)
    loose = all(a.unit and unit(a.unit).dimension == "volume" for a in need.amounts)
    if weight and loose and need.amounts and need.bought and need.bought[1] >= _LEAST:
        return f"{weight} of {name}"
    return f"{buy_text(need, shelf)} of {name}"


def _packed(count: int, measure: str) -> str:
    """`3 cartons (32 oz)`."""
    package, _, rest = measure.replace("ounce", "oz").partition(" ")
    ending = "" if count == 1 else "es" if package.endswith("ch") else "s"
    return f"{count} {package}{ending} {rest}".strip()


def _whole(need: Need) -> list[Amount]:
    """Counted things rounded up: nobody sells a third of an onion or of a can."""
    return [
        Amount(Fraction(-((-a.low) // 1)), Fraction(-((-a.high) // 1)), a.unit, a.each)
        if not a.unit or a.unit in {"small", "medium", "large", "can"}
        else a
        for a in need.amounts
    ]


def _weight(grams: Range | None, shelf: Shelf) -> str:
    if grams is None:
        return ""
    return amount_text(Amount(grams[1], grams[1], "gram"), shelf.first)


def _list(
    reading: Reading,
    recipes: Sequence[Recipe],
    needs: Sequence[Need],
    servings: str,
    have: Sequence[Line],
    shelf: Shelf,
) -> Answer:
    """The whole list, an aisle a line; `have` are the lines left out of it, being at hand."""
    groups = by_aisle(needs, shelf.corpus.aisles)
    lines = [
        f"{capital(aisle)}: {'; '.join(f'{n.item.name}, {buy_text(n, shelf)}' for n in found)}."
        for aisle, found in groups
    ]
    if have:
        names = list(dict.fromkeys(line_name(line, shelf) for line in have))
        lines.insert(0, f"Left out, being at hand: {listed(names)}.")
    lines.append("Counted things and cans are rounded up; weights as bought include peel and trim.")
    titles = listed([recipe.title.lower() for recipe in recipes])
    headline = (
        f"To buy for the {titles} for {servings}: {len(needs)} things in {len(groups)} aisles."
    )
    if len(headline) > 120:
        headline = f"To buy for {len(recipes)} recipes for {servings}: {len(needs)} things."
    sources = [*(record_source(recipe) for recipe in recipes), reference_source(shelf, "sr28")]
    figures = [_figure(need, shelf) for need in needs]
    return make(reading, "computed", headline, figures, lines, sources)


def _some(
    reading: Reading,
    recipes: Sequence[Recipe],
    wanted: Sequence[Need],
    servings: str,
    assumed: Sequence[str],
    shelf: Shelf,
) -> Answer:
    """What of the ingredients named to buy."""
    weighed = any(unit(m.id).dimension == "weight" for m in reading.all("unit"))
    told = [
        in_packs(reading, need, shelf)
        or in_fruit(reading, need, shelf)
        or _aloud(need, weighed, shelf)
        for need in wanted
    ]
    headline = f"Buy {listed(told)}, for {servings}."
    if len(headline) > 120:
        headline = f"For {servings}, buy what the lines below say of {len(wanted)} things."
    lines = [*assumed]
    for need in wanted:
        lines += [f"{capital(need.item.name)}: {buy_text(need, shelf)}."]
        if need.refuse:
            lines.append(
                f"{number(need.refuse * 100)}% of it is trim (SR28); the weight includes it."
            )
        elif need.bought and need.item.origin in _WITH_BONES:
            lines.append("The weight is of what is cooked; with bones or shell buy more.")
        if need.item.about:
            lines.append(need.item.about)
    sources = [
        Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}")
        for need in wanted
        for line in need.lines
        for recipe in recipes
        if line.file == recipe.file
    ]
    sources += [record_source(need.item) for need in wanted]
    figures = [_figure(need, shelf) for need in wanted]
    return make(reading, "computed", headline, figures, lines, sources)
