"""A simple plan for the week: the recipes by how long they keep, with the energy of a serving."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from assistant.answer import Answer, Figure
from assistant.corpus.records import Diet, Recipe
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.meal.beside import excluded
from assistant.kinds.plural import agree
from assistant.kinds.shelf import Shelf, listed, make, number, record_source, reference_source
from assistant.kitchen.diets import judge
from assistant.kitchen.nutrients import total
from assistant.measure.exact import MeasureError
from assistant.measure.span import Span, read_span
from assistant.question.reading import Reading
from assistant.retrieval.words import singular

_NUMBERS = {2: "Two", 3: "Three", 4: "Four", 5: "Five"}
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
_COURSES = frozenset({"main", "soup", "salad"})
# A span is counted in the safe direction: its low end.
_DAYS_IN = {"hour": Fraction(1, 24), "day": Fraction(1), "week": Fraction(7), "month": Fraction(30)}


def week(reading: Reading, shelf: Shelf) -> Answer:
    """Lunches from one Sunday: what keeps least is eaten first, what freezes well last.

    Recipes that contain what the diets named forbid, or a food that is not wanted, are left out.
    As many as are named, five at most; each day's is within its days in the refrigerator, or comes
    from the freezer.
    """
    diets = [shelf.corpus.diets[ident] for ident in reading.ids("diet")]
    unwanted = _unwanted(reading, shelf)
    fitting = [
        recipe
        for recipe in shelf.corpus.recipes.values()
        if recipe.course in _COURSES
        and not _holds(recipe, unwanted, shelf)
        and not any(judge(recipe.lines, diet, shelf.corpus.pantry).contains for diet in diets)
    ]
    plan = _plan(fitting, _count(reading, shelf), shelf)
    if not plan:
        return make(reading, "unknown", "Too few recipes fit that for a week of lunches.")
    figures, lines = [], []
    for place, recipe in enumerate(plan):
        chilled = place + 1 <= _keeps(recipe, shelf)
        kept = "chilled" if chilled else "from the freezer, thawed in the refrigerator"
        energy = _energy(recipe, shelf)
        name = f"{_DAYS[place]}: {recipe.title.lower()}, {kept}"
        lines.append(f"{name}: {number(energy, 0)} kcal a serving.")
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
        keep = agree(recipe.title, "keeps", "keep")
        lines.append(f"{recipe.title} {keep} {_rule(recipe, shelf)} in the refrigerator.")
    lines += _labels(dict.fromkeys(plan), diets, shelf)
    if unwanted:
        lines.append(f"Left out: recipes with {listed(sorted(unwanted))}.")
    lines.append("Freeze on the day it is cooked what is not eaten chilled.")
    lines.append("Ask for the shopping list of these recipes to get what to buy.")
    titles = listed([recipe.title.lower() for recipe in dict.fromkeys(plan)])
    sources = [record_source(recipe) for recipe in dict.fromkeys(plan)]
    sources += [
        reference_source(shelf, rule.source)
        for recipe in dict.fromkeys(plan)
        if (rule := shelf.corpus.storage.get(recipe.storage.rule))
    ]
    count = _NUMBERS[len(plan)]
    headline = f"{count} lunches from one Sunday: {titles}."
    if len(headline) > 120:
        headline = f"{count} lunches from one Sunday are listed below."
    return make(reading, "computed", headline, figures, lines, sources)


def _labels(plan: Iterable[Recipe], diets: Sequence[Diet], shelf: Shelf) -> list[str]:
    """What only a label can tell, for each recipe of a plan and the diets that were named."""
    told = []
    for recipe in plan:
        for diet in diets:
            may = judge(recipe.lines, diet, shelf.corpus.pantry).may
            names = list(dict.fromkeys(finding.item.name for finding in may))
            if names:
                told.append(f"{recipe.title}: {diet.name} if the label agrees: {listed(names)}.")
    return told


def _count(reading: Reading, shelf: Shelf) -> int:
    """How many lunches, as "3 lunches" or "4 days" say; five where nothing does."""
    for m in (*reading.all("number"), *reading.all("servings")):
        after = reading.words[m.start : m.end + 1]
        if isinstance(m.value, Fraction) and words_in(shelf, "meal-nouns") & set(after):
            return max(2, min(int(m.value), len(_DAYS)))
    for m in reading.all("duration"):
        if isinstance(m.value, Span) and m.value.unit == "day":
            return max(2, min(int(m.value.high), len(_DAYS)))
    return len(_DAYS)


def _unwanted(reading: Reading, shelf: Shelf) -> frozenset[str]:
    """The words, in the singular, of foods that are named right behind a "no" or "without"."""
    negators = words_in(shelf, "catalog-negators")
    found = set(excluded(reading, shelf))
    for word, after in pairwise(reading.words):
        if word in negators:
            found.add(singular(after))
    # "No meat" is no poultry either, and "no fish" no shellfish.
    for entry in words_in(shelf, "origins-of"):
        name, *origins = entry.split()
        found |= set(origins) if name in found else set()
    return frozenset(found)


def _holds(recipe: Recipe, unwanted: Collection[str], shelf: Shelf) -> bool:
    """Whether a line is of a food whose name ends so, or that comes from there ("fish")."""
    for line in recipe.lines:
        item = shelf.item(line.item)
        names = {singular(item.name.split()[-1]), item.origin} if item is not None else set()
        if names & set(unwanted):
            return True
    return False


def _plan(fitting: Sequence[Recipe], count: int, shelf: Shelf) -> list[Recipe]:
    """A recipe for each day, two days running of each: what keeps least and freezes worst first.

    Only a recipe that freezes well stands on a day to which it does not keep. Empty where no two
    recipes do.
    """
    ordered = sorted(fitting, key=lambda r: (r.storage.freezes == "well", _keeps(r, shelf), r.id))
    plan: list[Recipe] = []
    while len(plan) < count:
        last = min(len(plan) + 2, count)
        fit = (
            r
            for r in ordered
            if r not in plan and (r.storage.freezes == "well" or last <= _keeps(r, shelf))
        )
        found = next(fit, None)
        if found is None:
            return []
        plan += [found] * (last - len(plan))
    return plan


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
