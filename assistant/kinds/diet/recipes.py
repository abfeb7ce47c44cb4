""" "Which recipes are vegan?": the recipes by grade, and those that a set of swaps brings there."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import Diet, Recipe
from assistant.kinds.crossed import listed as words_of_list
from assistant.kinds.diet.avoid import is_made
from assistant.kinds.shelf import Shelf, listed, make, record_source, reference_source
from assistant.kitchen.diets import Verdict, judge, worst
from assistant.kitchen.sets import make_over
from assistant.question.reading import Reading

LONGEST = 120
# Courses that are no dish's own name, so that one of them in the singular names the course.
_MEALS = {"breakfast", "brunch", "dessert", "snack"}


def which_recipes(reading: Reading, diets: Sequence[Diet], shelf: Shelf) -> Answer:
    """Every recipe against the diets named: free by ingredients, labels to read, after swaps."""
    free, labels, swaps, never = [], [], [], []
    made = any(is_made(diet) for diet in diets)
    courses = _courses(reading, shelf)
    chosen = [r for r in shelf.corpus.recipes.values() if not courses or r.course in courses]
    for recipe in sorted(chosen, key=lambda r: r.title):
        verdicts = [judge(recipe.lines, diet, shelf.corpus.pantry) for diet in diets]
        grade = worst(v.grade for v in verdicts)
        name = recipe.title.lower() + _leave_out(verdicts)
        if grade == "free":
            free.append((recipe, name))
        elif grade == "may":
            found = dict.fromkeys(f.item.name for v in verdicts for f in v.may)
            labels.append((recipe, f"{name} (label: {listed(list(found))})"))
        elif not made and make_over(recipe.lines, diets, shelf.corpus, recipe.id).done:
            swaps.append((recipe, name))
        else:
            never.append((recipe, name))
    names = listed([diet.name for diet in diets])
    lines = []
    for head, group in (
        (f"{names} by their ingredients", free),
        (f"{names} where the labels agree", labels),
        (f"{names} after swaps on record", swaps),
        (f"not {names}, and no set of swaps on record", never),
    ):
        if group:
            lines.append(f"{head[:1].upper()}{head[1:]}: {'; '.join(name for _, name in group)}.")
    whole = f"all {len(shelf.corpus.recipes)} dishes and recipes on record"
    of = f"the {len(chosen)} for {listed(courses, 'or')} of {whole}" if courses else whole
    lines.append(f"Listed over {of}.")
    lines += [diet.note for diet in diets if diet.note]
    fitting = [*free, *labels]
    sources = [record_source(recipe) for recipe, _ in fitting]
    sources += [s for d in diets for s in (record_source(d), *_references(d, shelf))]
    figures = [_count(f"{names} by their ingredients", free), _count(f"{names} by label", labels)]
    return make(
        reading, "computed", _headline(names, [r for r, _ in fitting]), figures, lines, sources
    )


def holds_asked(reading: Reading, shelf: Shelf) -> bool:
    """Whether the recipes that hold an allergen are asked for: "what has fish in it"."""
    holding = shelf.says(reading, "holding-words")
    return holding and not shelf.says(reading, "free-of-words")


def which_hold(reading: Reading, diet: Diet, shelf: Shelf) -> Answer:
    """The recipes that contain what a diet forbids, and those whose labels must be read."""
    holding, labels = [], []
    for recipe in sorted(shelf.corpus.recipes.values(), key=lambda r: r.title):
        verdict = judge(recipe.lines, diet, shelf.corpus.pantry)
        if verdict.contains:
            names = dict.fromkeys(finding.item.name for finding in verdict.contains)
            holding.append((recipe, f"{recipe.title.lower()} ({listed(list(names))})"))
        elif verdict.may:
            labels.append((recipe, recipe.title.lower()))
    titles = [recipe.title.lower() for recipe, _ in holding]
    s, be = ("", "is") if len(titles) == 1 else ("s", "are")
    headline = f"None of the {len(shelf.corpus.recipes)} recipes is known not to be {diet.name}."
    for count in range(len(titles), 0, -1):
        rest = [f"{len(titles) - count} more"] if count < len(titles) else []
        shown = listed([*titles[:count], *rest])
        headline = f"{len(titles)} recipe{s} {be} not {diet.name}: {shown}."
        if len(headline) <= LONGEST:
            break
    lines = [f"Contains it: {'; '.join(told for _, told in holding)}."] if holding else []
    if labels:
        lines.append(f"May contain it, by the label: {'; '.join(told for _, told in labels)}.")
    lines.append(f"Looked at all {len(shelf.corpus.recipes)} recipes, optional lines apart.")
    figures = (_count(f"not {diet.name}", holding),)
    sources = [*(record_source(recipe) for recipe, _ in holding), record_source(diet)]
    return make(reading, "computed", headline, figures, lines, sources)


def _courses(reading: Reading, shelf: Shelf) -> list[str]:
    """The courses named: breakfast, desserts and so on. "The tuna salad" names a dish."""
    every = dict.fromkeys(recipe.course for recipe in shelf.corpus.recipes.values())
    asked = {word for word in reading.words if word.endswith("s") or word in _MEALS}
    return [course for course in every if asked & words_of_list(shelf, f"course-{course}")]


def _references(diet: Diet, shelf: Shelf) -> list[Source]:
    return [reference_source(shelf, ident) for ident in diet.sources]


def _count(name: str, group: Sequence[tuple[Recipe, str]]) -> Figure:
    return Figure(name=name, value=Fraction(len(group)), unit="recipes", shown=str(len(group)))


def _leave_out(verdicts: Sequence[Verdict]) -> str:
    """` (without the plain yogurt)`, where an optional line would speak against it."""
    out = [f.item.name for v in verdicts for f in v.optional if f.grade == "contains"]
    return f" (without the {listed(list(dict.fromkeys(out)))})" if out else ""


def _headline(names: str, recipes: Sequence[Recipe]) -> str:
    titles = [recipe.title.lower() for recipe in recipes]
    if not titles:
        return f"None of the recipes is {names} as written."
    for count in range(len(titles), 0, -1):
        rest = len(titles) - count
        shown = [*titles[:count], *([f"{rest} more"] if rest else [])]
        s = "" if len(titles) == 1 else "s"
        text = f"{len(titles)} recipe{s} can be {names}: {listed(shown)}."
        if len(text) <= 120:
            return text
    return f"{len(titles)} recipes can be {names}; they are listed below."
