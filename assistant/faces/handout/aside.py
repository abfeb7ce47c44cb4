"""What a swap makes untrue in the recipe's own words, and how the page says so at that place.

The words of a recipe (its summary, steps, tools, storage, reheating) are written for its own
ingredients. Nothing here rewrites them: where they speak of what was swapped away, the page says so
beside them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from assistant.corpus.lines import all_names, words
from assistant.corpus.records import Ingredient, Line, Recipe, Step
from assistant.faces.handout.changes import Changed, Dish, change_for
from assistant.kinds.nutrition.portions import serving_grams
from assistant.kinds.shelf import Shelf, capital, line_name, listed, number
from assistant.kitchen.diets import diet_changes, new_allergens

_LONGEST_NAME = 4
# What a cook calls a thing by what it is, where the recipe has only one such thing.
_BY_ORIGIN = {"fish": ("fish",), "shellfish": ("shellfish",), "meat": ("meat",),
              "poultry": ("meat", "bird"), "egg": ("egg",)}  # fmt: skip
# Temperatures inside the food; ovens are hotter than boiling water.
_INSIDE = re.compile(r"\b1\d\d °F")
# A batch whose weight moved by more than this no longer fills the measure that was written.
_SAME = Fraction(1, 10)


def named(text: str, dish: Dish, shelf: Shelf) -> tuple[Changed, ...]:
    """The changes whose old ingredient a text speaks of, by any of its names, the longest first.

    A single word counts only where it fits no other line of the recipe: "oil" does not speak of the
    sesame oil where there is canola oil too.
    """
    if not dish.changes:
        return ()
    found: dict[int, Changed] = {}
    have = words(text)
    place = 0
    while place < len(have):
        step = 1
        for size in range(min(_LONGEST_NAME, len(have) - place), 0, -1):
            line = _line_of(have[place : place + size], dish.written, shelf)
            if line is None:
                continue
            step = size
            change = next((c for c in dish.changes if c.old == line), None)
            if change is not None:
                found[id(change)] = change
            break
        place += step
    return tuple(found.values())


def _line_of(want: Sequence[str], recipe: Recipe, shelf: Shelf) -> Line | None:
    """The one line that some words speak of: by a whole name, or by a word that only it has."""
    hits: dict[str, Line] = {}
    for line in recipe.lines:
        item = shelf.item(line.item)
        names = [words(t) for t in (line.name, *(all_names(item) if item else ()))]
        if tuple(want) in names:
            return line
        if len(want) == 1 and want[0] in _single_words(item, names, shelf):
            hits.setdefault(line.item, line)
    return next(iter(hits.values())) if len(hits) == 1 else None


def _single_words(
    item: Ingredient | None, names: Sequence[tuple[str, ...]], shelf: Shelf
) -> set[str]:
    """The single words that may stand for an item: what its names end in ("tofu"); for meat and
    fish also what it is cut from ("chicken" of a breast), and what it is ("fish")."""
    found = {name[-1] for name in names if name}
    kin = _BY_ORIGIN.get(item.origin, ()) if item else ()
    if item is None or not kin:
        return found
    described = shelf.corpus.lists.get("line-descriptors")
    told = set(described.words if described else ())
    return found | set(kin) | {w for w in words(item.name) if w.isalpha() and w not in told}


def aside(text: str, dish: Dish, shelf: Shelf) -> str:
    """`written for extra-firm tofu; here with chicken breast`; "" where the text still holds."""
    return "; ".join(_aside(change, shelf) for change in named(text, dish, shelf))


def with_aside(text: str, dish: Dish, shelf: Shelf) -> str:
    """The text, and in brackets what is other than it says."""
    said = aside(text, dish, shelf)
    if not said:
        return text
    return f"{text} ({capital(said)}.)" if text.endswith(".") else f"{text} ({said})"


def _aside(change: Changed, shelf: Shelf) -> str:
    return f"written for {old_name(change, shelf)}; here {_instead(change, shelf)}"


def old_name(change: Changed, shelf: Shelf) -> str:
    """What was swapped away, as the recipe calls it."""
    return line_name(change.old, shelf, change.old.amount)


def _instead(change: Changed, shelf: Shelf) -> str:
    if not change.new:
        return "without it"
    return f"with {listed([line_name(line, shelf) for line in change.new])}"


def in_steps(dish: Dish, shelf: Shelf) -> list[tuple[str, ...]]:
    """For each step what the changes mean in it; how a swap is handled is told in the first step
    that uses it."""
    steps = dish.written.steps
    used = [
        [change_for(name, dish.written, dish.changes, shelf.corpus) for name in step.uses]
        for step in steps
    ]
    # The words of the step, and those that the record says it uses.
    spoken = [named(f"{step.text} {step.done}", dish, shelf) for step in steps]
    here = [
        {id(c) for c in (*uses, *told) if c is not None}
        for uses, told in zip(used, spoken, strict=True)
    ]
    made: list[list[str]] = [[] for _ in steps]
    for change in dish.changes:
        using = [n for n, uses in enumerate(used) if any(c is change for c in uses)]
        speaking = [n for n, changes in enumerate(here) if id(change) in changes]
        first = (using or speaking or [len(steps) - 1])[0]
        for n in sorted({*speaking, first}):
            only = bool(used[n]) and all(c is change for c in used[n])
            made[n].append(_in_step(change, n == first, only, shelf))
    return [
        tuple(dict.fromkeys([*lines, *_temperature(step, dish, shelf)]))
        for step, lines in zip(steps, made, strict=True)
    ]


def _in_step(change: Changed, first: bool, only: bool, shelf: Shelf) -> str:
    """What a change means in a step; `only` that the step handles nothing else."""
    old = old_name(change, shelf)
    if not change.new:
        return f"Here without the {old}."
    written = f"Written for {old}; leave out what only that needs" if only else f"Written for {old}"
    if first and change.swap is not None:
        return f"{written}. {capital(_instead(change, shelf))}: {change.swap.how}"
    return f"{written}; here {_instead(change, shelf)}."


def _temperature(step: Step, dish: Dish, shelf: Shelf) -> list[str]:
    """That an inside temperature was set for what is no longer in the dish."""
    if not _INSIDE.search(f"{step.text} {step.done}"):
        return []
    gone = [c for c in weighty(dish, shelf) if _protein(c.old, shelf)]
    return [f"That temperature was set for {old_name(c, shelf)}." for c in gone]


def _origin(line: Line, shelf: Shelf) -> str:
    item = shelf.item(line.item)
    return item.origin if item else ""


def weighty(dish: Dish, shelf: Shelf) -> list[Changed]:
    """The changes of what a dish is made of, by origin: beans for meat, fish for beans."""
    return [
        change
        for change in dish.changes
        if change.new
        and _origin(change.old, shelf) not in {_origin(n, shelf) for n in change.new}
        and any(_protein(line, shelf) for line in (change.old, *change.new))
    ]


def _protein(line: Line, shelf: Shelf) -> bool:
    item = shelf.item(line.item)
    return item is not None and "protein" in item.role and item.origin in {*_BY_ORIGIN, "plant"}


def effects(dish: Dish, shelf: Shelf) -> tuple[str, ...]:
    """What all changes together do to diets and allergens, the promised diets left out."""
    if not dish.changes:
        return ()
    pantry = shelf.corpus.pantry
    before, after = dish.written.lines, dish.recipe.lines
    gained, lost = diet_changes(before, after, shelf.corpus.diets.values(), pantry)
    new = new_allergens(
        [pantry[line.item] for line in before if not line.optional],
        [pantry[line.item] for line in after if not line.optional],
    )
    named_new = [
        name if grade == "contains" else f"{name} (read the label)" for name, grade in new.items()
    ]
    found = [f"New allergen: {listed(named_new)}."] if named_new else []
    # An allergen that is named says by itself which diets it takes the dish from.
    others = [d.name for d in lost if not set(d.without_allergens) & set(new) or d.without_origins]
    found += [f"No longer: {listed(others)}."] if others else []
    more = [] if dish.diets else [d.name for d in gained]
    return (*found, *([f"Fits now, labels permitting: {listed(more)}."] if more else ()))


def title_of(dish: Dish, shelf: Shelf) -> str:
    """The recipe's title with what was made of it, so that it is not taken for the written one."""
    title = dish.recipe.title
    if not dish.changes:
        return title
    if dish.diets:
        return f"{title}, made {listed([diet.name for diet in dish.diets])}"
    swapped = [c for c in dish.changes if c.new]
    if len(swapped) == 1:
        old = old_name(swapped[0], shelf)
        return f"{title}, {_instead(swapped[0], shelf)} instead of {old}"
    return f"{title}, with changes"


def measure_holds(dish: Dish, shelf: Shelf) -> bool:
    """Whether a serving still fills the measure that the recipe gives, by the batch's weight."""
    if not dish.changes:
        return True
    before, after = (serving_grams(one, shelf)[0] for one in (dish.written, dish.recipe))
    if before is None or after is None or not before[1]:
        return False
    return abs(after[1] / before[1] - 1) <= _SAME


def serving_of(dish: Dish, servings: Fraction, shelf: Shelf) -> tuple[str, str]:
    """One serving in a household measure, and a remark where that is no longer the written one."""
    measure = dish.recipe.yields.measure
    if measure_holds(dish, shelf):
        return measure, ""
    part = f"1/{servings}" if servings.denominator == 1 else f"1 of {number(servings)} parts"
    return f"{part} of the batch", f"{measure} in the recipe as written"
