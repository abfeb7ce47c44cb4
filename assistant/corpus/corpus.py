"""The corpus as answers use it: every sound record by id."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from assistant.corpus.lines import all_names, words
from assistant.corpus.problems import Problem
from assistant.corpus.records import (
    Diet,
    Estimate,
    Food,
    Ingredient,
    Line,
    Note,
    Nutrient,
    Programme,
    Recipe,
    Reference,
    Swap,
    Term,
    WordList,
)
from assistant.corpus.rules import (
    CarePhrases,
    CareRule,
    CautionRule,
    MessageClass,
    SafetyLimit,
    SafetyRule,
    StorageRule,
)
from assistant.corpus.serving import Aisle, Role, Side
from assistant.corpus.times import QuantityList, TimeWord
from assistant.corpus.yardsticks import (
    Claim,
    CookedYield,
    FoodGroup,
    ReferenceAmount,
    Retention,
    Yardstick,
)


class Corpus(msgspec.Struct, frozen=True, kw_only=True):
    """Everything sound in a corpus folder, by id, and what was left out with the reasons."""

    programme: Programme
    recipes: dict[str, Recipe]
    pantry: dict[str, Ingredient]
    notes: dict[str, Note]
    swaps: dict[str, Swap]
    storage: dict[str, StorageRule]
    safety: dict[str, SafetyRule]
    limits: dict[str, SafetyLimit]
    cautions: dict[str, CautionRule]
    care: dict[str, CareRule]
    care_phrases: dict[str, CarePhrases]
    references: dict[str, Reference]
    nutrients: dict[str, Nutrient]
    diets: dict[str, Diet]
    roles: dict[str, Role]
    aisles: dict[str, Aisle]
    sides: dict[str, Side]
    terms: dict[str, Term]
    estimates: dict[str, Estimate]
    lists: dict[str, WordList]
    times: dict[str, TimeWord] = {}
    quantity_lists: dict[str, QuantityList] = {}
    classes: dict[str, MessageClass] = {}
    claims: dict[str, Claim] = {}
    yardsticks: dict[str, Yardstick] = {}
    retention: dict[str, Retention] = {}
    food_groups: dict[str, FoodGroup] = {}
    reference_amounts: dict[str, ReferenceAmount] = {}
    cooked_yields: dict[str, CookedYield] = {}
    columns: tuple[str, ...]
    foods: dict[str, Food]
    problems: tuple[Problem, ...]


def line_for(recipe: Recipe, name: str, pantry: Mapping[str, Ingredient]) -> Line | None:
    """The line that a step's `uses` word speaks of: by item id, by name, or by its last words."""
    want = words(name)
    for line in recipe.lines:
        item = pantry.get(line.item)
        names = [words(line.item), words(line.name)]
        names += [words(text) for text in all_names(item)] if item else []
        if want in names:
            return line
    for line in recipe.lines:
        item = pantry.get(line.item)
        for text in (line.name, *(all_names(item) if item else ())):
            have = set(words(text))
            if have and set(want) <= have:
                return line
    return None
