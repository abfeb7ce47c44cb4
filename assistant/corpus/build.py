"""Records -> the corpus that answers: lines read, everything that refers to something checked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TypeVar

from assistant.corpus.corpus import Corpus, line_for
from assistant.corpus.foods import nutrient_columns, read_foods
from assistant.corpus.lines import Pantry, all_names, read_line, words
from assistant.corpus.load import Loaded, load, unknown_ids
from assistant.corpus.problems import CorpusError
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
    RecipeForm,
    Record,
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
from assistant.corpus.times import QuantityList, TimeWord, faults
from assistant.corpus.yardsticks import (
    Claim,
    CookedYield,
    FoodGroup,
    ReferenceAmount,
    Retention,
    Yardstick,
)
from assistant.measure.amount import read_amount
from assistant.measure.exact import MeasureError
from assistant.measure.span import read_span


def build(folder: Path) -> Corpus:
    """Read and check the corpus in `folder`.

    Raises CorpusError when there is nothing to answer from: no such folder, one of the files every
    corpus has is missing, or programme.yaml itself is unsound. All else is in `problems`.
    """
    loaded = load(folder)
    programmes = list(loaded.all(Programme).values())
    if not programmes:
        why = "; ".join(str(p) for p in loaded.problems if p.file == "programme.yaml")
        raise CorpusError(why or f"{folder}: programme.yaml has no programme")
    pantry = loaded.all(Ingredient)
    codes = {
        code
        for item in pantry.values()
        for code in (item.food, item.fill, *item.states.values())
        if code
    }
    columns, foods = read_foods(folder, loaded.problems, codes)
    _check_references(loaded)
    _check_pantry(loaded, foods)
    _check_nutrients(loaded, nutrient_columns(columns))
    _check_nutrition(loaded, foods)
    _check_times(loaded)
    times, lists = loaded.all(TimeWord), loaded.all(QuantityList)
    for record, field, message in faults(times.values(), lists.values()):
        loaded.problem(record, field, message)
    broken = {problem.record for problem in loaded.problems if problem.record}
    sound = {ident: item for ident, item in pantry.items() if ident not in broken}
    recipes = _recipes(loaded, sound, foods)
    _check_links(loaded, sound, recipes)
    broken = {problem.record for problem in loaded.problems if problem.record}
    return Corpus(
        programme=programmes[0],
        recipes={ident: recipe for ident, recipe in recipes.items() if ident not in broken},
        pantry=sound,
        notes=_sound(loaded.all(Note), broken),
        swaps=_sound(loaded.all(Swap), broken),
        storage=_sound(loaded.all(StorageRule), broken),
        safety=_sound(loaded.all(SafetyRule), broken),
        limits=_sound(loaded.all(SafetyLimit), broken),
        cautions=_sound(loaded.all(CautionRule), broken),
        care=_sound(loaded.all(CareRule), broken),
        care_phrases=_sound(loaded.all(CarePhrases), broken),
        references=loaded.all(Reference),
        nutrients=_sound(loaded.all(Nutrient), broken),
        diets=_sound(loaded.all(Diet), broken),
        roles=_sound(loaded.all(Role), broken),
        aisles=_sound(loaded.all(Aisle), broken),
        sides=_sound(loaded.all(Side), broken),
        terms=_sound(loaded.all(Term), broken),
        estimates=_sound(loaded.all(Estimate), broken),
        lists=_sound(loaded.all(WordList), broken),
        times=_sound(times, broken),
        quantity_lists=_sound(lists, broken),
        classes=_sound(loaded.all(MessageClass), broken),
        claims=_sound(loaded.all(Claim), broken),
        yardsticks=_sound(loaded.all(Yardstick), broken),
        retention=_sound(loaded.all(Retention), broken),
        food_groups=_sound(loaded.all(FoodGroup), broken),
        cooked_yields=_sound(loaded.all(CookedYield), broken),
        reference_amounts=_sound(loaded.all(ReferenceAmount), broken),
        columns=columns,
        foods=foods,
        problems=tuple(sorted(set(loaded.problems))),
    )


R = TypeVar("R", bound=Record)


def _sound(records: Mapping[str, R], broken: set[str]) -> dict[str, R]:
    return {ident: record for ident, record in records.items() if ident not in broken}


def _recipes(
    loaded: Loaded, pantry: Mapping[str, Ingredient], foods: Mapping[str, Food]
) -> dict[str, Recipe]:
    lists = loaded.all(WordList)
    descriptors = lists["line-descriptors"].words if "line-descriptors" in lists else ()
    names = Pantry(pantry.values(), descriptors)
    made: dict[str, Recipe] = {}
    for form in loaded.all(RecipeForm).values():
        lines: list[Line] = []
        for i, given in enumerate(form.ingredients):
            try:
                at = loaded.line(form, "ingredients", i)
                lines.append(read_line(given, names, foods, form.file, at))
            except MeasureError as error:
                loaded.problem(form, ("ingredients", i), str(error))
        made[form.id] = Recipe(
            lines=tuple(lines),
            step_lines=tuple(loaded.line(form, "steps", i) for i in range(len(form.steps))),
            why_lines=tuple(loaded.line(form, "why", i) for i in range(len(form.why))),
            **{
                field: getattr(form, field)
                for field in form.__struct_fields__
                if field != "ingredients"
            },
        )
    return made


def _references(record: Record) -> Iterable[tuple[tuple[str | int, ...], str]]:
    """The reference ids a record names, each with the field it stands in."""
    for field in ("source", "sources"):
        value = getattr(record, field, ())
        for i, ident in enumerate((value,) if isinstance(value, str) else value):
            yield ((field,) if isinstance(value, str) else (field, i)), ident
    for i, other in enumerate(getattr(record, "also", ())):
        yield ("also", i, "source"), other.source
    label = getattr(record, "label", None)
    if label is not None and label.source:
        yield ("label", "source"), label.source
    if older := getattr(record, "older_source", ""):
        yield ("older_source",), older
    for i, portion in enumerate(getattr(record, "portions", ())):
        if portion.source:
            yield ("portions", i, "source"), portion.source


def _check_references(loaded: Loaded) -> None:
    known = loaded.all(Reference)
    for records in loaded.records.values():
        for record in records.values():
            for field, ident in _references(record):
                if ident not in known:
                    loaded.problem(
                        record,
                        field,
                        f"there is no reference {ident!r}; add it to references.yaml "
                        "or see `assistant list references`",
                    )


def _check_pantry(loaded: Loaded, foods: Mapping[str, Food]) -> None:
    owners: dict[tuple[str, ...], str] = {}
    rules = loaded.all(StorageRule)
    for item in loaded.all(Ingredient).values():
        for field, code in (("food", item.food), *(("states", c) for c in item.states.values())):
            if code and code not in foods:
                loaded.problem(
                    item, (field,), f"there is no food {code!r} in foods.csv; see `assistant foods`"
                )
        for i, own in enumerate(item.portions):
            try:
                read_amount(own.measure)
                if own.grams <= 0:
                    loaded.problem(item, ("portions", i), "grams must be more than 0")
            except MeasureError as error:
                loaded.problem(item, ("portions", i, "measure"), str(error))
        for name in all_names(item):
            owner = owners.setdefault(words(name), item.id)
            if owner != item.id:
                loaded.problem(
                    item, ("names",), f"the name {name!r} already belongs to {owner!r}; use it once"
                )
        if item.storage and item.storage not in rules:
            loaded.problem(item, ("storage",), f"there is no storage rule {item.storage!r}")


def _check_nutrients(loaded: Loaded, columns: tuple[str, ...]) -> None:
    for nutrient in loaded.all(Nutrient).values():
        if nutrient.column not in columns and not nutrient.rule:
            loaded.problem(nutrient, ("column",), f"foods.csv has no column {nutrient.column!r}")


def _check_nutrition(loaded: Loaded, foods: Mapping[str, Food]) -> None:
    """Labels, claims, yardsticks and retention rows name nutrients and items that there are."""
    nutrients, pantry = loaded.all(Nutrient), loaded.all(Ingredient)
    wanted: list[tuple[Record, str, Iterable[str]]] = []
    for item in pantry.values():
        if item.fill and item.fill not in foods:
            loaded.problem(item, ("fill",), f"there is no food {item.fill!r} in foods.csv")
        if item.label is None:
            continue
        wanted.append((item, "label", item.label.values))
        try:
            read_amount(item.label.serving)
        except MeasureError as error:
            loaded.problem(item, ("label", "serving"), str(error))
        if item.label.grams <= 0:
            loaded.problem(item, ("label", "grams"), "grams must be more than 0")
    for claim in loaded.all(Claim).values():
        wanted.append((claim, "criteria", (c.nutrient for c in claim.criteria)))
        wanted.append((claim, "nutrients", claim.nutrients))
    wanted += [(r, "factors", r.factors) for r in loaded.all(Retention).values()]
    wanted += [(y, "nutrient", (y.nutrient,)) for y in loaded.all(Yardstick).values()]
    for record, field, idents in wanted:
        for ident in unknown_ids(idents, nutrients):
            loaded.problem(record, (field,), f"there is no nutrient {ident!r}")
    named: list[tuple[Record, str, Iterable[str]]] = []
    named += [(row, "items", row.items) for row in loaded.all(Retention).values()]
    named += [(row, "items", row.items) for row in loaded.all(ReferenceAmount).values()]
    named += [(row, "of", row.of) for row in loaded.all(CookedYield).values()]
    for row, field, idents in named:
        for ident in unknown_ids(idents, pantry):
            loaded.problem(row, (field,), f"there is no pantry item {ident!r}")
    for made in loaded.all(CookedYield).values():
        for field in ("takes", "gives", "can", "can_size"):
            try:
                read_amount(getattr(made, field) or "1 cup")
            except MeasureError as error:
                loaded.problem(made, (field,), str(error))


def _check_times(loaded: Loaded) -> None:
    for rule in loaded.all(StorageRule).values():
        for field in ("fridge", "freezer", "pantry"):
            _check_span(loaded, rule, (field,), getattr(rule, field))
        for i, other in enumerate(rule.also):
            for field in ("fridge", "freezer"):
                _check_span(loaded, rule, ("also", i, field), getattr(other, field))
    for limit in loaded.all(SafetyLimit).values():
        _check_span(loaded, limit, ("time",), limit.time)
    for form in loaded.all(RecipeForm).values():
        for i, step in enumerate(form.steps):
            for field in ("active", "passive"):
                _check_span(loaded, form, ("steps", i, field), getattr(step, field))


def _check_span(loaded: Loaded, record: Record, field: tuple[str | int, ...], text: str) -> None:
    if not text:
        return
    try:
        span = read_span(text)
    except MeasureError as error:
        loaded.problem(record, field, str(error))
        return
    if span.low > span.high:
        loaded.problem(record, field, f'"{text}" runs backwards; write the shorter time first')


def _check_links(
    loaded: Loaded, pantry: Mapping[str, Ingredient], recipes: Mapping[str, Recipe]
) -> None:
    rules, notes = loaded.all(StorageRule), loaded.all(Note)
    broken = {problem.record for problem in loaded.problems if problem.record}
    owners: dict[tuple[str, ...], str] = {}
    for recipe in recipes.values():
        for name in (recipe.title, *recipe.names):
            owner = owners.setdefault(words(name), recipe.id)
            if owner != recipe.id:
                loaded.problem(
                    recipe,
                    ("names",),
                    f"the name {name!r} already belongs to {owner!r}; use it once",
                )
        if recipe.storage.rule not in rules:
            loaded.problem(
                recipe, ("storage", "rule"), f"there is no storage rule {recipe.storage.rule!r}"
            )
        for ident in unknown_ids(recipe.notes, notes):
            loaded.problem(recipe, ("notes",), f"there is no note {ident!r}")
        if recipe.yields.servings < 1:
            loaded.problem(recipe, ("yields", "servings"), "servings must be 1 or more")
        _check_pairs(loaded, recipe, pantry, recipes)
        _check_steps(loaded, recipe, pantry, whole=recipe.id not in broken)
    for rule in rules.values():
        for ident in unknown_ids(rule.forms.values(), rules):
            loaded.problem(rule, ("forms",), f"there is no storage rule {ident!r}")
    for swap in loaded.all(Swap).values():
        for ident in unknown_ids((*swap.out, swap.use, *(p.item for p in swap.plus)), pantry):
            loaded.problem(swap, ("out",), f"there is no pantry item {ident!r}")
        for ident in unknown_ids(swap.recipes, recipes):
            loaded.problem(swap, ("recipes",), f"there is no recipe {ident!r}")
        for text in (swap.take, swap.give, *(p.amount for p in swap.plus)):
            try:
                read_amount(text)
            except MeasureError as error:
                loaded.problem(swap, ("take",), str(error))
    for side in loaded.all(Side).values():
        if side.item not in pantry:
            loaded.problem(side, ("item",), f"there is no pantry item {side.item!r}")
        try:
            read_amount(side.amount)
        except MeasureError as error:
            loaded.problem(side, ("amount",), str(error))
    for aisle in loaded.all(Aisle).values():
        for ident in unknown_ids(aisle.items, pantry):
            loaded.problem(aisle, ("items",), f"there is no pantry item {ident!r}")
    for records in (loaded.all(Note), loaded.all(SafetyRule)):
        for record in records.values():
            for ident in unknown_ids(record.ingredients, pantry):
                loaded.problem(record, ("ingredients",), f"there is no pantry item {ident!r}")
    for caution in loaded.all(CautionRule).values():
        for ident in unknown_ids(caution.items, pantry):
            loaded.problem(caution, ("items",), f"there is no pantry item {ident!r}")
        for ident in unknown_ids(caution.rules, rules):
            loaded.problem(caution, ("rules",), f"there is no storage rule {ident!r}")


def _check_pairs(
    loaded: Loaded,
    recipe: Recipe,
    pantry: Mapping[str, Ingredient],
    recipes: Mapping[str, Recipe],
) -> None:
    for i, pair in enumerate(recipe.pairs):
        if pair.item and pair.item not in pantry:
            loaded.problem(recipe, ("pairs", i, "item"), f"there is no pantry item {pair.item!r}")
        if pair.recipe and pair.recipe not in recipes:
            loaded.problem(recipe, ("pairs", i, "recipe"), f"there is no recipe {pair.recipe!r}")
        if pair.amount:
            try:
                read_amount(pair.amount)
            except MeasureError as error:
                loaded.problem(recipe, ("pairs", i, "amount"), str(error))


def _check_steps(
    loaded: Loaded, recipe: Recipe, pantry: Mapping[str, Ingredient], whole: bool
) -> None:
    """`whole` says that every line was read; without them all, what a step uses cannot be told."""
    seen: set[str] = set()
    for i, step in enumerate(recipe.steps):
        if step.id in seen:
            loaded.problem(recipe, ("steps", i, "id"), f"the step {step.id!r} is there twice")
        for need in unknown_ids(step.needs or (), seen):
            loaded.problem(
                recipe, ("steps", i, "needs"), f"no step before this one is called {need!r}"
            )
        seen.add(step.id)
        for used in step.uses:
            if whole and not line_for(recipe, used, pantry):
                loaded.problem(
                    recipe, ("steps", i, "uses"), f"{used!r} is not among the ingredients"
                )
    for i, reason in enumerate(recipe.why):
        if whole and not line_for(recipe, reason.of, pantry):
            message = f"{reason.of!r} is not among the ingredients"
            loaded.problem(recipe, ("why", i, "of"), message)
