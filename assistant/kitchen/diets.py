"""Diets and allergens: what an ingredient, and so a dish, contains, may contain, or is free of.

Three grades. "contains": it is so by what the food is, or always made with it. "may": makers vary,
so the label decides. "free": free of it by its nature; cross-contact is another matter, and nothing
here is ever called safe for an allergy. The nine major allergens are those of FALCPA (2004) and the
FASTER Act (2021); gluten is that of 21 CFR 101.91 (wheat, rye, barley and their hybrids).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import get_args

import msgspec

from assistant.corpus.records import Allergen, Diet, Grade, Ingredient, Line

ALLERGENS: tuple[str, ...] = get_args(Allergen)
_WORSE: dict[Grade, int] = {"free": 0, "may": 1, "contains": 2}


class Finding(msgspec.Struct, frozen=True):
    """One ingredient that decides: its line (None outside a recipe), its grade, what is in it."""

    item: Ingredient
    grade: Grade
    why: tuple[str, ...]
    line: Line | None = None


class Verdict(msgspec.Struct, frozen=True):
    """A dish against one diet: the worst grade, and every ingredient that decides.

    `optional` are lines that decide but can be left out; they do not count in `grade`.
    """

    diet: Diet
    grade: Grade
    contains: tuple[Finding, ...]
    may: tuple[Finding, ...]
    optional: tuple[Finding, ...] = ()


def worst(grades: Iterable[Grade]) -> Grade:
    """The worst of some grades; "free" of none."""
    return max(grades, key=_WORSE.__getitem__, default="free")


def grade_item(item: Ingredient, diet: Diet) -> tuple[Grade, tuple[str, ...]]:
    """An ingredient's grade for a diet, and what in it decides ("wheat", "gluten", "poultry")."""
    sure: list[str] = [a for a in item.contains if a in diet.without_allergens]
    sure += [o for o in (item.origin, *item.contains_origins) if o in diet.without_origins]
    perhaps: list[str] = [a for a in item.may if a in diet.without_allergens]
    perhaps += [o for o in item.may_origins if o in diet.without_origins]
    if item.id in diet.without_items:
        sure.append(item.name)
    if diet.without_gluten and item.gluten != "free":
        (sure if item.gluten == "contains" else perhaps).append("gluten")
    if sure:
        return "contains", _plain(sure)
    if perhaps:
        return "may", _plain(perhaps)
    return "free", ()


def _plain(found: Sequence[str]) -> tuple[str, ...]:
    """Each thing once: milk and dairy are one thing in print."""
    names = ["milk" if name == "dairy" else name for name in found]
    return tuple(dict.fromkeys(names))


def judge(lines: Sequence[Line], diet: Diet, pantry: Mapping[str, Ingredient]) -> Verdict:
    """A dish's lines against one diet.

    Optional lines are reported apart; every line's item is in the pantry, or its recipe is unsound.
    """
    contains, may, optional = [], [], []
    for line in lines:
        item = pantry.get(line.item)
        if item is None:
            continue
        grade, why = grade_item(item, diet)
        if grade == "free":
            continue
        finding = Finding(item, grade, why, line)
        if line.optional:
            optional.append(finding)
        elif grade == "contains":
            contains.append(finding)
        else:
            may.append(finding)
    grade = worst(f.grade for f in (*contains, *may))
    return Verdict(diet, grade, tuple(contains), tuple(may), tuple(optional))


def judge_item(item: Ingredient, diet: Diet) -> Verdict:
    """A single ingredient against one diet."""
    grade, why = grade_item(item, diet)
    found = (Finding(item, grade, why),)
    return Verdict(
        diet, grade, found if grade == "contains" else (), found if grade == "may" else ()
    )


def allergens(items: Iterable[Ingredient]) -> dict[str, Grade]:
    """The grade of each of the nine major allergens, and of gluten, over some ingredients."""
    grades: dict[str, Grade] = {}
    listed = tuple(items)
    for name in ALLERGENS:
        if any(name in item.contains for item in listed):
            grades[name] = "contains"
        else:
            grades[name] = "may" if any(name in item.may for item in listed) else "free"
    grades["gluten"] = worst(item.gluten for item in listed)
    return grades


def new_allergens(before: Iterable[Ingredient], after: Iterable[Ingredient]) -> dict[str, Grade]:
    """The allergens whose grade is worse after a change than before it."""
    old, new = allergens(before), allergens(after)
    return {name: grade for name, grade in new.items() if _WORSE[grade] > _WORSE[old[name]]}


def diet_changes(
    before: Sequence[Line],
    after: Sequence[Line],
    diets: Iterable[Diet],
    pantry: Mapping[str, Ingredient],
) -> tuple[list[Diet], list[Diet]]:
    """The diets that a change gains (it no longer contains what they forbid) and those it loses."""
    gained, lost = [], []
    for diet in diets:
        old, new = judge(before, diet, pantry), judge(after, diet, pantry)
        if old.contains and not new.contains:
            gained.append(diet)
        if new.contains and not old.contains:
            lost.append(diet)
    return gained, lost
