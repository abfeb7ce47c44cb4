"""The headline of a list of recipes, as one would say it: "4 of 36 recipes contain sesame: …"."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.corpus.records import Diet, Recipe
from assistant.kinds.nutrition.serving import called
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
from assistant.kinds.shelf import listed, number
from assistant.measure.span import show_minutes

_LONGEST = 120
_COURSES = {
    "meal": "for lunch or dinner",
    "main": "a main dish",
    "side": "a side dish",
    "breakfast": "for breakfast",
}


def substance(diet: Diet) -> str:
    """What a diet goes without, by its name: "sesame" of "sesame-free"; "" of "vegan"."""
    for before, behind in (("without ", ""), ("", "-free")):
        if diet.name.startswith(before) and diet.name.endswith(behind):
            return diet.name.removeprefix(before).removesuffix(behind)
    return ""


def named(one: Condition) -> str:
    """A condition in words: "with mushrooms", "at most 400 kcal"."""
    match one:
        case Food():
            return f"{'with' if one.wanted else 'without'} {one.text}"
        case Fits():
            held = substance(one.diet)
            if one.wanted:
                return one.diet.name
            return f"with {held}" if held else f"not {one.diet.name}"
        case Limit():
            amount = f"{number(one.value)} {one.nutrient.unit}"
            return f"{'at most' if one.most else 'at least'} {called(amount, one.nutrient)}"
        case Order():
            name = one.nutrient.name if one.nutrient else "time"
            return f"{'least' if one.least else 'most'} {name} first"
        case Within():
            return f"done in {show_minutes(one.minutes, one.minutes)}"
        case Course():
            return one.ident
        case Freezes():
            return "freezes well"


def _said(one: Condition, many: bool, sure: bool) -> str:
    """A condition as a predicate of one recipe or `many`; `sure` that none goes by its label."""
    be, s = ("are", "") if many else ("is", "s")
    match one:
        case Food():
            return f"use{s} {one.text}" if one.wanted else f"{be} without {one.text}"
        case Fits():
            held = substance(one.diet)
            if one.wanted or not held:
                return f"{be} {named(one)}"
            return f"contain{s} {held}" if sure else f"contain{s} or may contain {held}"
        case Limit():
            return f"{'have' if many else 'has'} {named(one)}"
        case Within():
            return f"{be} {named(one)}"
        case Course():
            return f"{be} {_course(one.ident, many)}"
        case Freezes():
            return f"freeze{s} well"
        case Order():
            return ""


def _course(ident: str, many: bool) -> str:
    """`for lunch or dinner`, `soups`, `a soup`."""
    if ident in _COURSES:
        text = _COURSES[ident]
        return text.removeprefix("a ") + "es" if many and text.startswith("a ") else text
    return f"{ident}s" if many else f"a {ident}"


def headline(
    fitting: Sequence[Recipe], wanted: Sequence[Condition], of: int, sure: bool = True
) -> str:
    """`2 of 36 recipes use tofu: tofu and broccoli stir-fry and tofu scramble.`

    `sure` says that what the recipes contain stands in them by itself and not by a label.
    """
    many = len(fitting) > 1
    parts = _together([part for one in wanted if (part := _said(one, many, sure))])
    orders = [named(one) for one in wanted if isinstance(one, Order)]
    told = ", ".join([*([listed(parts)] if parts else []), *orders])
    count = f"{len(fitting)} of {of} recipes" if fitting else f"None of the {of} recipes"
    if not parts:
        heads = [f"All {of} recipes" if len(fitting) == of else count]
        heads[0] += f", {told}" if told else ""
    else:
        heads = [f"{count} {told}", f"{count} fit{'' if many else 's'}"]
    if not fitting:
        return f"{heads[0] if len(heads[0]) < _LONGEST else heads[-1]}."
    titles = [recipe.title.lower() for recipe in fitting]
    for head in heads:
        for shown in range(len(titles), 0, -1):
            rest = len(titles) - shown
            text = listed([*titles[:shown], *([f"{rest} more"] if rest else [])])
            if len(f"{head}: {text}.") <= _LONGEST:
                return f"{head}: {text}."
    return f"{heads[-1]}; they are listed below."


def _together(parts: Sequence[str]) -> list[str]:
    """The predicates with one verb for those that share it: "are soups, vegan" as "are soups" and
    "vegan"."""
    made: list[str] = []
    verb = ""
    for part in sorted(parts, key=lambda text: text.split()[0]):
        first, _, rest = part.partition(" ")
        made.append(rest if first == verb else part)
        verb = first
    return made
