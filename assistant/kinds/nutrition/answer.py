"""What a nutrition question is about -> the module that answers it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import msgspec

from assistant.answer import Answer
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.change import find_change
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.nutrition import alcohol, claiming, compare, contribution, food, levels, lookup
from assistant.kinds.nutrition.changed import of_change
from assistant.kinds.nutrition.portions import counts_pieces, one_serving, read_portion
from assistant.kinds.nutrition.serving import of_dish, wanted
from assistant.kinds.shelf import (
    Shelf,
    ask_which_recipe,
    listed,
    make,
    number,
    points_at_dish,
    same_kind,
)
from assistant.kinds.unknown import unknown
from assistant.kitchen.scaling import same_item
from assistant.measure.amount import Amount
from assistant.question.reading import Reading

# Words that may stand between an amount and the food it is of.
_BETWEEN = {"of", "the", "large", "medium", "small", "cooked", "raw", "dry"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """A dish's figures; those of a food, where a food and no recipe is named."""
    if reading.has("alcohol") and shelf.says(reading, "alcohol-left-words"):
        return alcohol.left(reading, shelf)
    nutrients, named = wanted(reading, shelf)
    recipe = shelf.recipe(reading)
    if shelf.says(reading, "effect-words") and shelf.says(reading, "good-or-bad-words"):
        return _no_effects(reading, shelf)
    if not named and shelf.says(reading, "uncounted-words"):
        return _uncounted(reading, shelf)
    two = compare.recipes_named(reading, shelf)
    if len(two) > 1:
        return compare.two_recipes(reading, two, nutrients, shelf)
    if not two and _ranks(reading, shelf):
        return compare.ranked(reading, nutrients[0], shelf)
    meant = _as_nutrient(reading, recipe, shelf)
    if recipe is not None and meant is not None:
        return _of_recipe(reading, recipe, [meant], True, shelf)
    of_pieces = recipe is not None and counts_pieces(reading, recipe)
    if recipe is None and _points_at_dish(reading, shelf):
        return ask_which_recipe(reading, shelf)
    other = None if of_pieces else _food(reading, recipe, nutrients, shelf)
    if other is not None:
        return other
    if recipe is None:
        return ask_which_recipe(reading, shelf)
    made = _of_recipe(reading, recipe, nutrients, named, shelf)
    return _without_the_new(reading, recipe, made, shelf)


def _without_the_new(reading: Reading, recipe: Recipe, made: Answer, shelf: Shelf) -> Answer:
    """The answer with a word on what the question brings into the dish and no amount is known of:
    "with chicken" changes every figure, and the figures are those of the dish as written."""
    told = made.headline.lower()
    new = []
    verbs = words_in(shelf, "brought-with-words") | words_in(shelf, "brought-in-words")
    for m in reading.all("ingredient"):
        item = shelf.item(m.id)
        brought = _verb_before(reading, m.start, shelf) in verbs
        if m.id not in reading.foods or item is None or not brought:
            continue
        if m.text not in told and item.name.lower() not in told:
            new += [item.name] if not same_item(recipe.lines, m.id) else []
    if not new or made.verdict not in {"computed", "partial"}:
        return made
    line = (
        f"Not in the recipe and not counted: {listed(new)}. "
        f'Say how much, for example "add 1 cup of {new[0]}".'
    )
    return msgspec.structs.replace(made, verdict="partial", lines=(line, *made.lines))


def _verb_before(reading: Reading, place: int, shelf: Shelf) -> str:
    """The word before a food, small words let pass: the "use" of "use regular soy sauce"."""
    while place and reading.words[place - 1] in words_in(shelf, "between-words"):
        place -= 1
    return reading.words[place - 1] if place else ""


def _of_recipe(
    reading: Reading, recipe: Recipe, nutrients: Sequence[Nutrient], named: bool, shelf: Shelf
) -> Answer:
    change = find_change(reading, recipe, shelf)
    if change is not None:
        return of_change(reading, recipe, change, nutrients, shelf)
    brings = shelf.says(reading, "contribution-words")
    brings = brings and not shelf.says(reading, "level-only-words")
    present = [item for item in reading.foods if same_item(recipe.lines, item)]
    if named and (brings or (shelf.says(reading, "cause-words") and not present)):
        return contribution.of_all(reading, recipe, nutrients[0], shelf)
    if named and present and not counts_pieces(reading, recipe):
        return contribution.of_one(reading, recipe, present[0], nutrients[0], shelf)
    pairs = {" ".join(pair) for pair in pairwise(reading.words)}
    if shelf.says(reading, "claim-words") or pairs & words_in(shelf, "claim-pairs"):
        return claiming.of_claims(reading, recipe, nutrients, named, shelf)
    part = read_portion(reading, recipe, shelf)
    if isinstance(part, Answer):
        return part
    if named and (shelf.says(reading, "level-words") or shelf.says(reading, "day-words")):
        made = levels.of_level(reading, recipe, part, nutrients, shelf)
        own = _own_limit(reading, nutrients[0], made)
        return msgspec.structs.replace(made, lines=(*own, *made.lines)) if own else made
    if shelf.says(reading, "salt-words") and not named:
        sodium = [shelf.corpus.nutrients["sodium"]]
        return levels.of_level(reading, recipe, one_serving(recipe), sodium, shelf)
    return of_dish(reading, recipe, part, nutrients, named, shelf)


def _as_nutrient(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Nutrient | None:
    """The nutrient that a food's name stands for where the dish in hand has no such food: "sugar?"
    of overnight oats. The list "food-as-nutrient" pairs them by id."""
    if recipe is None or len(reading.foods) != 1 or reading.all("amount"):
        return None
    food = reading.foods[0]
    meant = _as_nutrients(shelf).get(food, "")
    if same_item(recipe.lines, food) or set(reading.ids("nutrient")) - {meant}:
        return None
    return shelf.corpus.nutrients.get(meant)


def _as_nutrients(shelf: Shelf) -> dict[str, str]:
    """The nutrients that the names of foods stand for, by the foods' ids."""
    pairs = (pair.partition(" ") for pair in words_in(shelf, "food-as-nutrient"))
    return {food: nutrient for food, _, nutrient in pairs}


def _points_at_dish(reading: Reading, shelf: Shelf) -> bool:
    """ "The salt in the recipe": a dish in hand is meant, and no food by itself."""
    nouns, pointing = (
        words_in(shelf, "piece-nouns"),
        words_in(shelf, "our-words") | {"this", "that"},
    )
    pairs = zip(reading.words, reading.words[1:], strict=False)
    named = any(before in pointing and word in nouns for before, word in pairs)
    return named or points_at_dish(reading, shelf)


def _uncounted(reading: Reading, shelf: Shelf) -> Answer:
    """A substance that the table does not hold: every other figure would be beside the point."""
    known = words_in(shelf, "uncounted-words")
    name = next(word for word in reading.words if word in known)
    return unknown(
        reading,
        shelf,
        f"I have no figures for {name}: the composition table here does not hold it.",
    )


def _no_effects(reading: Reading, shelf: Shelf) -> Answer:
    """ "Is turmeric good for inflammation?": figures are told here, and no effects on the body."""
    known = words_in(shelf, "effect-words")
    name = next(word for word in reading.words if word in known)
    return unknown(
        reading,
        shelf,
        f"I tell figures, and not what a food does to the body ({name}).",
        ("Ask the dietitian or your clinician about that; a figure can be asked for here.",),
    )


def _own_limit(reading: Reading, nutrient: Nutrient, made: Answer) -> tuple[str, ...]:
    """The dish held against a day's amount that the question itself names: "1,500 mg of sodium"."""
    value = made.figures[0].value if made.figures else None
    for m in reading.all("amount"):
        if not isinstance(m.value, Amount) or value is None:
            continue
        day = same_kind(m.value, nutrient.unit) if nutrient.unit != "kcal" else None
        if day is not None and day.high:
            share = number(value / day.high * 100, 0)
            return (f"Of the {number(day.high)} {nutrient.unit} that you name it is {share} %.",)
    return ()


def _ranks(reading: Reading, shelf: Shelf) -> bool:
    """ "which recipe has the most protein?": the dishes against one another, none named."""
    if reading.recipe and shelf.says(reading, "part-nouns"):
        return False
    return shelf.says(reading, "dish-words") and (
        shelf.says(reading, "most-words") or shelf.says(reading, "least-words")
    )


def _food(
    reading: Reading, recipe: Recipe | None, nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer | None:
    """The answer about a food by itself; None where the question is about the recipe in hand."""
    named = bool(reading.all("recipe"))
    foods = reading.foods or _behind_amount(reading)
    stands = _as_nutrients(shelf)
    if recipe is None and len(foods) == 2 and foods[0] in stands:
        # "How much salt is in 1 tbsp of soy sauce": the sodium of the other.
        nutrient = shelf.corpus.nutrients[stands[foods[0]]]
        other = shelf.item(foods[1])
        if other is not None:
            made = food.of_item(reading, other, [nutrient], shelf)
            said = next(m.text for m in reading.all("ingredient") if m.id == foods[0])
            line = f"The {said} in it is told by its {nutrient.name}."
            return msgspec.structs.replace(made, lines=(*made.lines, line))
    if named and not _amount_of_food(reading):
        return None
    if recipe is not None and foods and not _amount_of_food(reading):
        inside = [item for item in foods if same_item(recipe.lines, item)]
        if inside or find_change(reading, recipe, shelf) is not None:
            return None
    if recipe is not None and foods and shelf.says(reading, "with-words") and not _alone(reading):
        return None
    if len(foods) > 2 and foods[0] in stands and not reading.all("nutrient"):
        # "Sugar in a banana or an apple" sets two foods against each other.
        nutrients, foods = [shelf.corpus.nutrients[stands[foods[0]]]], foods[1:]
    if len(foods) > 1 and shelf.says(reading, "compare-words"):
        both = compare.two_foods(reading, foods, nutrients, shelf)
        if both is not None:
            return both
    if foods:
        item = shelf.item(foods[0])
        return (
            unknown(reading, shelf)
            if item is None
            else food.of_item(reading, item, nutrients, shelf)
        )
    words = lookup.food_words(reading, shelf)
    if not words or (recipe is not None and not _alone(reading)):
        return None
    rows = lookup.find_rows(words, shelf)
    if not rows:
        if recipe is not None:
            return None
        return _no_food(reading, words)
    row = shelf.food(rows[0][0])
    if row is None:
        return None
    return food.of_row(reading, row, lookup.other_names(rows), nutrients, shelf)


def _no_food(reading: Reading, words: Sequence[str]) -> Answer:
    return make(
        reading,
        "unknown",
        f'I have no recipe and no food called "{" ".join(words)[:60]}".',
        lines=(
            "Name a recipe, or a food in plainer words; "
            "`assistant foods WORD` shows the table's names.",
        ),
    )


def _alone(reading: Reading) -> bool:
    """ "calories in a mango": a food after "in a", not something done to the recipe in hand."""
    pairs = set(zip(reading.words, reading.words[1:], strict=False))
    return bool(pairs & {("in", "a"), ("in", "an"), ("of", "a"), ("of", "an"), ("in", "one")})


def _behind_amount(reading: Reading) -> tuple[str, ...]:
    """The food that stands behind an amount and is hidden by a dish's short name."""
    ends = {m.end for m in reading.all("amount")}
    near = [m for m in reading.all("ingredient") if {m.start, m.start - 1, m.start - 2} & ends]
    return tuple(dict.fromkeys(m.id for m in near)) if _amount_of_food(reading) else ()


def _amount_of_food(reading: Reading) -> bool:
    """ "2 tbsp of olive oil": an amount that stands directly before a food."""
    foods = {(m.start, m.end) for m in reading.all("ingredient")}
    # After an amount the "salmon" of "3 oz of salmon" is the fish, not the dish that is called so.
    covered = {
        place
        for m in reading.all("recipe")
        if (m.start, m.end) not in foods or m.start == 0
        for place in range(m.start, m.end)
    }
    ends = {m.end for m in (*reading.all("amount"), *reading.all("number"))}
    return any(
        m.start not in covered
        and (
            m.start in ends
            or (m.start - 1 in ends and reading.words[m.start - 1] in _BETWEEN)
            or (m.start - 2 in ends and set(reading.words[m.start - 2 : m.start]) <= _BETWEEN)
        )
        for m in reading.all("ingredient")
    )
