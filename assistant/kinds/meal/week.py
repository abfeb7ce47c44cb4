"""A simple plan for the week: the recipes by how long they keep, with the energy of a serving."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe
from assistant.kinds.shelf import Shelf, listed, make, number, record_source, reference_source
from assistant.kitchen.diets import judge
from assistant.kitchen.nutrients import total
from assistant.measure.exact import MeasureError
from assistant.measure.span import read_span
from assistant.question.reading import Reading

_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
_COURSES = frozenset({"main", "soup", "salad"})
# A span is counted in the safe direction: its low end.
_DAYS_IN = {"hour": Fraction(1, 24), "day": Fraction(1), "week": Fraction(7), "month": Fraction(30)}


def week(reading: Reading, shelf: Shelf) -> Answer:
    """Five lunches from one Sunday: what keeps least is eaten first, what freezes well last.

    Recipes that contain what the diets named forbid are left out.
    """
    diets = [shelf.corpus.diets[ident] for ident in reading.ids("diet")]
    fitting = [
        recipe
        for recipe in shelf.corpus.recipes.values()
        if recipe.course in _COURSES
        and not any(judge(recipe.lines, diet, shelf.corpus.pantry).contains for diet in diets)
    ]
    if len(fitting) < 2:
        return make(reading, "unknown", "Too few recipes fit that for a week of lunches.")
    early = sorted(fitting, key=lambda r: (r.storage.freezes == "well", _keeps(r, shelf), r.id))
    late = [recipe for recipe in early if recipe.storage.freezes == "well"]
    first = early[0]
    second = next((r for r in early if r is not first), first)
    third = next((r for r in late if r not in (first, second)), second)
    plan = [first, first, second, second, third]
    figures, lines = [], []
    for day, recipe in zip(_DAYS, plan, strict=True):
        kept = "from the freezer, thawed in the refrigerator" if day in _DAYS[3:] else "chilled"
        energy = _energy(recipe, shelf)
        lines.append(f"{day}: {recipe.title.lower()}, {kept}: {number(energy, 0)} kcal a serving.")
    for recipe in dict.fromkeys(plan):
        figures.append(
            Figure(
                name=f"servings of {recipe.title.lower()}",
                value=Fraction(plan.count(recipe)),
                unit="servings",
                shown=str(plan.count(recipe)),
                working=(f"keeps {_rule(recipe, shelf)}; freezes {recipe.storage.freezes}",),
            )
        )
        lines.append(f"{recipe.title} keeps {_rule(recipe, shelf)} in the refrigerator.")
    lines.append("Chill what is eaten by Wednesday; freeze the rest on the day it is cooked.")
    lines.append("Ask for the shopping list of these recipes to get what to buy.")
    titles = listed([recipe.title.lower() for recipe in dict.fromkeys(plan)])
    sources = [record_source(recipe) for recipe in dict.fromkeys(plan)]
    sources += [
        reference_source(shelf, rule.source)
        for recipe in dict.fromkeys(plan)
        if (rule := shelf.corpus.storage.get(recipe.storage.rule))
    ]
    headline = f"Five lunches from one Sunday: {titles}."
    if len(headline) > 120:
        headline = "Five lunches from one Sunday are listed below."
    return make(reading, "computed", headline, figures, lines, sources)


def _rule(recipe: Recipe, shelf: Shelf) -> str:
    rule = shelf.corpus.storage.get(recipe.storage.rule)
    return rule.fridge if rule and rule.fridge else "an unknown time"


def _keeps(recipe: Recipe, shelf: Shelf) -> Fraction:
    """The low end of the recipe's keeping time, in days."""
    try:
        span = read_span(_rule(recipe, shelf))
        return span.low * _DAYS_IN.get(span.unit, Fraction(1))
    except MeasureError:
        return Fraction(1)


def _energy(recipe: Recipe, shelf: Shelf) -> Fraction:
    made = total(recipe.lines, shelf.corpus.nutrients["energy"], shelf.table)
    return made.over(Fraction(recipe.yields.servings))[1]
