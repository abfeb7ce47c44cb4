"""Making a meal of a dish: what to put beside it, computed over all combinations."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Diet, Nutrient, Recipe
from assistant.kinds.meal.beside import asked, beside, excluded, says_beside
from assistant.kinds.meal.sides import candidates, desserts
from assistant.kinds.meal.week import week
from assistant.kinds.recipe.conditions import Limit, Order
from assistant.kinds.shelf import (
    Shelf,
    ask_which_recipe,
    capital,
    food_source,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.kitchen.meals import Candidate, Plate, Wish, plates, sums
from assistant.kitchen.nutrients import ZERO, Range
from assistant.question.reading import Reading

_TOLD = ("energy", "protein", "sodium", "fiber")
_SWEET = {"breakfast", "drink", "dessert"}
_BRIGHT = ("green", "red", "orange")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """Three plates in the programme's range; a plan for a week; or recipes for an ingredient."""
    if shelf.says(reading, "drink-words"):
        return unknown(reading, shelf, "I have no drinks on record to go with a dish.")
    if shelf.says(reading, "week-words"):
        return week(reading, shelf)
    recipe = shelf.recipe(reading)
    if recipe is None and reading.foods:
        return _recipes_with(reading, shelf)
    nutrients = {ident: shelf.corpus.nutrients[ident] for ident in _TOLD}
    known = _named_energy(reading)
    if recipe is None and known is not None and shelf.says(reading, "at-most-words"):
        return _list_or_ask(reading, shelf)  # "a lunch under 350 calories" names no dish
    if recipe is None and known is None:
        return _list_or_ask(reading, shelf)
    dish, gaps = _dish(recipe, known, nutrients, shelf)
    diets = [shelf.corpus.diets[ident] for ident in reading.ids("diet")]
    sides = candidates(recipe, diets, shelf, excluded(reading, shelf))
    group = _group(reading, shelf)
    low, high = _aim(reading, recipe, shelf)
    of_side = asked(reading, shelf)
    sweet = says_beside(reading, "sweet-thing-words", shelf)
    if recipe is not None and (of_side is not None or sweet):
        left = Limit(nutrients["energy"], True, max(high - dish["energy"][1], Fraction(0)))
        if sweet:
            sides = [side for side in sides if side.group == "fruit"] + desserts(diets, shelf)
            return beside(reading, recipe, sides, of_side or left, "", diets, shelf)
        return beside(reading, recipe, sides, of_side or left, group, diets, shelf)
    wish = Wish(low, high, group, _brown(recipe, shelf))
    fitting = _of_course(sides, recipe, group)
    found = plates(dish, fitting, nutrients, shelf.table, wish)
    if not found:
        found = plates(dish, sides, nutrients, shelf.table, wish)
    if (
        recipe is not None
        and group == "protein"
        and not any(side.group == "protein" for plate in found for side, _ in plate.sides)
    ):
        # No room is left for it within the aim: the sides that bring most, each by itself.
        most = Order(nutrients["protein"], False)
        return beside(reading, recipe, sides, most, "", diets, shelf)
    if not found:
        return _none(reading, recipe, dish, sides, wish, shelf)
    return _plates(reading, recipe, dish, gaps, found, diets, wish, shelf)


def _list_or_ask(reading: Reading, shelf: Shelf) -> Answer:
    """ "Ideas for a high-protein lunch": the recipes that fit; else the dish is asked for."""
    from assistant.kinds.recipe.catalog import answer_catalog
    from assistant.kinds.recipe.conditions import conditions

    looked_for = conditions(reading, shelf, certain=True)
    if looked_for:
        return answer_catalog(reading, looked_for, shelf)
    return ask_which_recipe(reading, shelf)


def _aim(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> tuple[Fraction, Fraction]:
    """The energy to come to: what the question names for a recipe, else the programme's own."""
    goal = shelf.corpus.programme.meal_energy
    low, high = Fraction(goal.low), Fraction(goal.high)
    # "It's only 250 calories" tells of the dish; "make it a 500 calorie lunch" sets the aim.
    aims = shelf.says(reading, "energy-aim-words") and not shelf.says(reading, "only-words")
    named = _named_energy(reading) if recipe is not None and aims else None
    return (named - (high - low), named) if named is not None else (low, high)


def _named_energy(reading: Reading) -> Fraction | None:
    """The energy that the question names: "only 250 calories"."""
    if "energy" not in reading.ids("nutrient"):
        return None
    numbers = [m.value for m in reading.all("number") if isinstance(m.value, Fraction)]
    return next((n for n in numbers if n > 20), None)


def _dish(
    recipe: Recipe | None,
    known: Fraction | None,
    nutrients: dict[str, Nutrient],
    shelf: Shelf,
) -> tuple[dict[str, Range], tuple[str, ...]]:
    """A serving of the dish; where only its energy is known, the rest counts from the sides."""
    if recipe is None:
        energy = known or Fraction(0)
        return {n: (energy, energy) if n == "energy" else ZERO for n in nutrients}, ()
    return sums(recipe.lines, nutrients, shelf.table, Fraction(recipe.yields.servings))


def _called(reading: Reading, shelf: Shelf) -> str:
    """A dish of the asker's own by its noun: the "soup" of "my soup is only 250 calories"."""
    nouns = shelf.corpus.lists.get("dish-nouns")
    return next((w for w in reading.outside if nouns and w in nouns.words), "dish")


def _of_course(sides: list[Candidate], recipe: Recipe | None, group: str) -> list[Candidate]:
    """Beside a breakfast, a drink or a dessert no vegetables or beans, unless asked for."""
    if group in {"vegetable", "protein"} or recipe is None or recipe.course not in _SWEET:
        return sides
    return [side for side in sides if side.pair or side.group in {"fruit", "grain"}]


def _group(reading: Reading, shelf: Shelf) -> str:
    for group in ("protein", "vegetable", "grain", "fruit"):
        if says_beside(reading, f"{group}-words", shelf):
            return group
    return ""


def _brown(recipe: Recipe | None, shelf: Shelf) -> bool:
    """Whether nothing in the dish brings color."""
    if recipe is None:
        return True
    pantry = shelf.corpus.pantry
    return not any("color" in pantry[line.item].role for line in recipe.lines if not line.optional)


def _text(side: Candidate, times: int) -> str:
    return f"{times} × {side.text}" if times > 1 else side.text


def _plates(
    reading: Reading,
    recipe: Recipe | None,
    dish: dict[str, Range],
    gaps: Sequence[str],
    found: Sequence[Plate],
    diets: Sequence[Diet],
    wish: Wish,
    shelf: Shelf,
) -> Answer:
    figures, lines = [], []
    sources: list[Source] = [record_source(recipe)] if recipe else []
    name = recipe.title.lower() if recipe else _called(reading, shelf)
    least = "at least " if gaps else ""
    lines.append(f"One serving of the {name}: {_totals(dish, shelf, recipe is not None, least)}.")
    for place, plate in enumerate(found, 1):
        beside = listed([_text(side, times) for side, times in plate.sides])
        told = _totals(plate.totals, shelf, recipe is not None, least)
        lines.append(f"Plate {place}: {name} with {beside}: {told}.")
        figures += _figures(place, plate, dish, shelf)
        for side, _ in plate.sides:
            sources.append(Source(id=side.id, title=side.text, where=side.record))
            sources += [food_source(shelf, line.food) for line in side.lines if line.food]
    if recipe is None:
        lines.append("Only the energy of the dish is known: the rest is of the sides alone.")
    if wish.needs_color:
        lines.append("The dish itself is short of color: something green, red or orange helps.")
    if gaps:
        lines.append(f"No figure for {listed(gaps)}, so the totals are lower bounds.")
    if diets:
        lines.append(f"All sides are {listed([d.name for d in diets])}, labels permitting.")
    lines.append(_aim_text(wish))
    goal = shelf.corpus.programme.meal_energy
    sources.append(reference_source(shelf, goal.source))
    alone = number(dish["energy"][1], 0) if shelf.says(reading, "enough-words") else ""
    headline = _headline(found[0], least, alone)
    return make(reading, "computed", headline, figures, lines, sources)


def _headline(best: Plate, least: str, alone: str) -> str:
    """The first plate aloud: with the amounts where there is room, else by its sides' names.

    `alone` is the energy of the dish where it was asked whether that is enough.
    """
    energy = f"{least}{number(best.totals['energy'][1], 0)} kcal in all"
    whole = listed([_text(side, times) for side, times in best.sides])
    names = listed([side.text.partition(" (")[0] for side, _ in best.sides])
    made = [
        f"Serve {whole} with it: {energy}.",
        f"Serve {names} with it: {energy}.",
        f"{capital(names)}: {energy}.",
    ]
    if alone:
        told = f"Not quite: {least}{alone} kcal"
        made = [f"{told}; with {whole} {energy}.", f"{told}; with {names} {energy}."]
    fitting = [text for text in made if len(text) <= 120]
    return fitting[0] if fitting else f"Plate 1 below comes to {energy}."


def _aim_text(wish: Wish) -> str:
    return f"The aim for a whole meal is {number(wish.low)}–{number(wish.high)} kcal."


def _totals(totals: dict[str, Range], shelf: Shelf, whole: bool, least: str) -> str:
    told = []
    for ident in _TOLD:
        nutrient = shelf.corpus.nutrients[ident]
        places = 0 if nutrient.unit in {"kcal", "mg"} else 1
        if whole or totals[ident][1]:
            told.append(
                f"{nutrient.name} {least}{number(totals[ident][1], places)} {nutrient.unit}"
            )
    return ", ".join(told)


def _figures(place: int, plate: Plate, dish: dict[str, Range], shelf: Shelf) -> list[Figure]:
    made = []
    for ident in _TOLD:
        nutrient = shelf.corpus.nutrients[ident]
        places = 0 if nutrient.unit in {"kcal", "mg"} else 1
        value = plate.totals[ident][1]
        sides = value - dish[ident][1]
        made.append(
            Figure(
                name=f"plate {place}: {nutrient.name}",
                value=value,
                unit=nutrient.unit,
                shown=f"{number(value, places)} {nutrient.unit}",
                working=(
                    f"dish {number(dish[ident][1], places)} + sides {number(sides, places)}"
                    f" {nutrient.unit}",
                    *(f"{_text(side, times)} ({side.record})" for side, times in plate.sides),
                ),
            )
        )
    return made


def _none(
    reading: Reading,
    recipe: Recipe | None,
    dish: dict[str, Range],
    sides: Sequence[Candidate],
    wish: Wish,
    shelf: Shelf,
) -> Answer:
    """No plate fits: the dish is a meal already, or too small for the sides there are."""
    goal = shelf.corpus.programme.meal_energy
    energy = number(dish["energy"][1], 0)
    name = recipe.title.lower() if recipe else "dish"
    sources = [record_source(recipe)] if recipe else []
    sources.append(reference_source(shelf, goal.source))
    figures = [
        Figure(
            name="energy of the dish",
            value=dish["energy"][1],
            unit="kcal",
            shown=f"{energy} kcal",
            working=("one serving as written",),
        )
    ]
    light = [s.text for s in sides if s.group == "vegetable" and s.color in _BRIGHT][:3]
    if dish["energy"][1] >= wish.low:
        headline = f"The {name} is a meal by itself at {energy} kcal; nothing filling is needed."
        lines = [_aim_text(wish)]
        if light:
            lines.append(f"For color and little energy: {listed(light, 'or')}.")
    else:
        aim = f"{number(wish.low)}–{number(wish.high)} kcal"
        headline = f"No sides on record bring {energy} kcal to {aim}."
        lines = ["Two servings of the dish, or a second recipe beside it, may do."]
    return make(reading, "computed", capital(headline)[:120], figures, lines, sources)


def _recipes_with(reading: Reading, shelf: Shelf) -> Answer:
    """ "What to do with kale?": the recipes that use one of the foods named."""
    from assistant.kinds.recipe.catalog import answer_catalog
    from assistant.kinds.recipe.conditions import Food, conditions

    looked_for = conditions(reading, shelf, certain=True)
    if not looked_for or not any(isinstance(one, Food) for one in looked_for):
        return unknown(reading, shelf)
    return answer_catalog(reading, looked_for, shelf)
