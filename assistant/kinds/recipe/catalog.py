"""A list of the programme's recipes by what is in them, what they suit and what they bring."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Figure, Source, Verdict
from assistant.corpus.lines import all_names
from assistant.corpus.records import Line, Recipe
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.nutrition.figures import figure, portion
from assistant.kinds.nutrition.portions import one_serving
from assistant.kinds.nutrition.serving import called, per_serving
from assistant.kinds.recipe.conditions import (
    Condition,
    Course,
    Fits,
    Food,
    Freezes,
    Limit,
    Order,
    Within,
)
from assistant.kinds.recipe.wording import headline, named
from assistant.kinds.shelf import (
    Shelf,
    capital,
    listed,
    make,
    record_source,
    reference_source,
)
from assistant.kitchen.clock import schedule, whole
from assistant.kitchen.diets import judge
from assistant.measure.span import show_minutes
from assistant.question.reading import Reading
from assistant.retrieval.words import singular

# How the line of a recipe begins that holds what is looked for.
_HOLDS = "contains it"
_BOUGHT = "Bought foods may hold it too: read the labels of broths, sauces and spice mixes."


class Met(msgspec.Struct, frozen=True):
    """How a recipe stands to one condition: whether it is met, in words, and a figure for it."""

    ok: bool
    told: str = ""
    figure: Figure | None = None
    rank: Fraction = Fraction(0)


class _Row(msgspec.Struct, frozen=True):
    recipe: Recipe
    met: tuple[Met, ...]

    @property
    def missed(self) -> int:
        return sum(not one.ok for one in self.met)

    @property
    def told(self) -> tuple[str, ...]:
        """What shows how it stands, each thing once."""
        return tuple(dict.fromkeys(one.told for one in self.met if one.told))


def answer_catalog(reading: Reading, wanted: Sequence[Condition], shelf: Shelf) -> Answer:
    """The recipes that meet every condition, with what shows it; the nearest ones where none does.

    Figures are of one serving as written. No condition lists them all by course.
    """
    recipes = sorted(shelf.corpus.recipes.values(), key=lambda r: r.title)
    if not wanted:
        return _all(reading, recipes, shelf)
    rows = [_Row(r, tuple(_judge(r, one, shelf) for one in wanted)) for r in recipes]
    rows.sort(key=lambda row: (*(met.rank for met in row.met), row.recipe.title))
    fitting = [row for row in rows if not row.missed]
    looked_for = "; ".join(named(one) for one in wanted)
    lines = [f"Looked for: {looked_for}.", *_lines(fitting)]
    if not fitting and len(wanted) > 1:
        near = [row for row in rows if row.missed == 1 and not _is_other(row, wanted)]
        lines += [f"But for one of these: {_short(row, wanted)}." for row in near[:5]]
    lines.append(f"Looked at: all {len(recipes)} recipes, as written; figures are for one serving.")
    diets = [one.diet for one in wanted if isinstance(one, Fits)]
    lines += [diet.note for diet in diets if diet.note]
    if any(isinstance(one, Food) and not one.wanted for one in wanted):
        lines.append(_BOUGHT)
    sources = [record_source(row.recipe) for row in fitting]
    for diet in diets:
        sources += [record_source(diet), *(reference_source(shelf, s) for s in diet.sources)]
    computed = not all(isinstance(one, Food | Course | Freezes) for one in wanted)
    verdict: Verdict = "computed" if computed else "quoted" if fitting else "unknown"
    made = make(
        reading,
        verdict,
        headline([row.recipe for row in fitting], wanted, len(recipes), _is_sure(fitting, wanted)),
        _figures(fitting),
        lines,
        sources or [_programme(shelf)],
    )
    return msgspec.structs.replace(made, kind="diet" if diets else "recipe")


def _programme(shelf: Shelf) -> Source:
    programme = shelf.corpus.programme
    return Source(id=programme.id, title=programme.name, where=programme.where)


def _lines(rows: Sequence[_Row]) -> list[str]:
    """A line a recipe with what shows that it fits; one line for those with nothing to show."""
    told = [
        (r.recipe.title, "; ".join(dict.fromkeys(m.told for m in r.met if m.told))) for r in rows
    ]
    plain = [title.lower() for title, text in told if not text]
    made = [f"{title}: {text}." for title, text in told if text]
    return [*made, *([capital(f"{'; '.join(plain)}.")] if plain else [])]


def _short(row: _Row, wanted: Sequence[Condition]) -> str:
    """`turkey chili (not vegan: ground turkey)`."""
    place = next(p for p, met in enumerate(row.met) if not met.ok)
    told = row.met[place].told
    reason = f"not {named(wanted[place])}" + (f": {told}" if told else "")
    return f"{row.recipe.title.lower()} ({reason})"


def _is_other(row: _Row, wanted: Sequence[Condition]) -> bool:
    """Whether a recipe fits but is of another course: a slaw comes nowhere near a dessert."""
    return any(
        isinstance(one, Course) and not met.ok for one, met in zip(wanted, row.met, strict=True)
    )


def _is_sure(rows: Sequence[_Row], wanted: Sequence[Condition]) -> bool:
    """Whether what the recipes hold of an allergen is in them, and not only by the label."""
    return all(
        not (isinstance(one, Fits) and not one.wanted) or met.told.startswith(_HOLDS)
        for row in rows
        for one, met in zip(wanted, row.met, strict=True)
    )


def _figures(rows: Sequence[_Row]) -> list[Figure]:
    count = Figure(
        name="recipes that fit", value=Fraction(len(rows)), unit="recipes", shown=str(len(rows))
    )
    return [count, *(met.figure for row in rows for met in row.met if met.figure is not None)]


def _all(reading: Reading, recipes: Sequence[Recipe], shelf: Shelf) -> Answer:
    courses: dict[str, list[str]] = {}
    for recipe in recipes:
        courses.setdefault(recipe.course, []).append(recipe.title.lower())
    lines = [f"{capital(course)}: {'; '.join(titles)}." for course, titles in courses.items()]
    count = Figure(
        name="recipes", value=Fraction(len(recipes)), unit="recipes", shown=str(len(recipes))
    )
    made = make(
        reading,
        "quoted",
        f"There are {len(recipes)} recipes; they are listed below by course.",
        (count,),
        lines,
        [_programme(shelf), *(record_source(recipe) for recipe in recipes)],
    )
    return msgspec.structs.replace(made, kind="recipe")


# ------------------------------------------------------------------------------------- conditions


def _judge(recipe: Recipe, one: Condition, shelf: Shelf) -> Met:
    match one:
        case Food():
            return _food(recipe, one, shelf)
        case Fits():
            return _fits(recipe, one, shelf)
        case Limit():
            return _limit(recipe, one, shelf)
        case Order():
            return _order(recipe, one, shelf)
        case Within():
            low, high = whole(schedule(recipe.steps))
            return Met(high <= one.minutes, show_minutes(low, high))
        case Course():
            return Met(_is_course(recipe, one.ident, shelf))
        case Freezes():
            return Met(recipe.storage.freezes == "well")


def _food(recipe: Recipe, one: Food, shelf: Shelf) -> Met:
    lines = [line for line in recipe.lines if _is_food(line, one, shelf)]
    if not one.wanted:
        left = [line for line in lines if not line.optional]
        told = f"leave out the optional {listed([line.name for line in lines])}" if lines else ""
        return Met(not left, listed([line.name for line in left]) if left else told)
    return Met(bool(lines), listed([line.text for line in lines]))


def _is_food(line: Line, one: Food, shelf: Shelf) -> bool:
    return any(_is_called(line, text, items, one.wanted, shelf) for text, items in one.named)


def _is_called(line: Line, text: str, items: Sequence[str], wanted: bool, shelf: Shelf) -> bool:
    """Whether a line is the food: one of the items named, or another of its name and sort.

    "Chickpeas" are the canned ones and those without salt; "milk" is no coconut milk. Without a
    food, all that bears its name counts: nobody who avoids onion wants onion powder.
    """
    if line.item in items:
        return True
    item = shelf.item(line.item)
    asked = {
        singular(word) for word in text.split() if word not in words_in(shelf, "catalog-words")
    }
    if item is None or not any(
        asked <= set(words) and (name == item.name or not wanted or words[-1] in asked)
        for name in all_names(item)
        if (words := _name_words(name))
    ):
        # By another of its names parmesan is a cheese, but hot pepper sauce is no pepper.
        return False
    others = [found for ident in items if (found := shelf.item(ident)) is not None]
    if not others:
        return singular(item.name.split()[-1]) in asked
    return any(
        item.origin == other.origin and (not wanted or bool(set(item.role) & set(other.role)))
        for other in others
    )


def _name_words(name: str) -> list[str]:
    return list(map(singular, name.lower().replace("-", " ").split()))


def _fits(recipe: Recipe, one: Fits, shelf: Shelf) -> Met:
    verdict = judge(recipe.lines, one.diet, shelf.corpus.pantry)
    found = list(dict.fromkeys(f.item.name for f in (*verdict.contains, *verdict.optional)))
    labels = list(dict.fromkeys(f.item.name for f in verdict.may))
    if not one.wanted:
        told = f"{_HOLDS}: {listed(found)}" if found else f"may, by the label: {listed(labels)}"
        return Met(bool(found or labels), told)
    if verdict.contains:
        return Met(False, listed(list(dict.fromkeys(f.item.name for f in verdict.contains))))
    left = [f.item.name for f in verdict.optional if f.grade == "contains"]
    advice = [
        *([f"leave out the optional {listed(left)}"] if left else []),
        *([f"read the label: {listed(labels)}"] if labels else []),
    ]
    return Met(True, "; ".join(advice))


def _limit(recipe: Recipe, one: Limit, shelf: Shelf) -> Met:
    made, high = per_serving(recipe, one.nutrient, shelf)
    share = one_serving(recipe).share
    low, _, lacking = portion(made, share)
    value = figure(made, share, f"one {recipe.yields.unit}", recipe.title.lower())
    told = called(value.shown, one.nutrient)
    # Over a gap there is only a lower bound: enough for "at least", never for "at most".
    ok = (high <= one.value and not lacking) if one.most else low >= one.value
    return Met(ok, told, value)


def _order(recipe: Recipe, one: Order, shelf: Shelf) -> Met:
    if one.nutrient is None:
        low, high = whole(schedule(recipe.steps))
        return Met(True, show_minutes(low, high), rank=high)
    made, high = per_serving(recipe, one.nutrient, shelf)
    share = one_serving(recipe).share
    value = figure(made, share, f"one {recipe.yields.unit}", recipe.title.lower())
    return Met(True, called(value.shown, one.nutrient), value, high if one.least else -high)


def _is_course(recipe: Recipe, course: str, shelf: Shelf) -> bool:
    """By the recipe's course, or where its title names it ("lentil salad")."""
    words = words_in(shelf, f"course-{course}") | words_in(shelf, f"courses-{course}")
    title = {singular(word) for word in recipe.title.lower().split()}
    return recipe.course in words or bool(title & {singular(word) for word in words})
