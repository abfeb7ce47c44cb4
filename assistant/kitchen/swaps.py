"""Swaps: which records replace an item, how much replaces the amount at hand, what that changes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names, food_code, portion_rows, words
from assistant.corpus.records import Diet, Ingredient, Line, Nutrient, Recipe, Swap
from assistant.kitchen.diets import grade_item
from assistant.kitchen.nutrients import Range, Table, total
from assistant.measure.amount import Amount, convert_amount, read_amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.weigh import Weight, weigh

_FIT = {"good": 0, "care": 1, "no": 2}


def find_swaps(item: str, corpus: Corpus, recipe: str = "") -> list[Swap]:
    """The swaps for a pantry item: those made for this recipe first, then in the files' order.

    A swap that names recipes is used in those only, and one meant for elsewhere in none of them;
    where no recipe is in hand all are shown. No swap of a swap is ever made up.
    """
    found = [
        swap
        for swap in corpus.swaps.values()
        if item in swap.out
        and (not recipe or recipe in swap.recipes or not (swap.recipes or swap.elsewhere))
    ]
    return sorted(found, key=lambda swap: (recipe not in swap.recipes, _FIT[swap.fit]))


def ranked(
    swaps: Sequence[Swap], out: Ingredient, corpus: Corpus, diets: Sequence[Diet] = ()
) -> list[Swap]:
    """Swaps by how well they fill the role: first those that fit well and share most roles with
    what goes out, then those that bring fewest new allergens; equal ones in the order given.

    With diets named, whatever contains what they forbid is left out, and what is free of it by its
    nature comes before what only a label can tell.
    """

    def key(swap: Swap) -> tuple[int, int, int, int]:
        use = corpus.pantry[swap.use]
        doubt = sum(grade_item(use, diet)[0] == "may" for diet in diets)
        shared = len(set(use.role) & set(out.role))
        first = bool(out.role and use.role and out.role[0] in use.role)
        new = len(set(use.contains) - set(out.contains))
        return doubt, _FIT[swap.fit], -shared - first, new

    fitting = [swap for swap in swaps if not forbidden(swap, corpus, diets)]
    return sorted(fitting, key=key)


def forbidden(swap: Swap, corpus: Corpus, diets: Sequence[Diet]) -> tuple[str, ...]:
    """What in a swap's ingredients the diets forbid; nothing where the swap serves them all."""
    found: list[str] = []
    for ident in (swap.use, *(part.item for part in swap.plus)):
        for diet in diets:
            grade, why = grade_item(corpus.pantry[ident], diet)
            if grade == "contains":
                found += why
    return tuple(dict.fromkeys(found))


def share(swap: Swap, amount: Amount, line: Line | None, corpus: Corpus) -> Range | None:
    """How many times the swap's `take` the amount is: by measure, or else by the weight of the
    line that it is the amount of. None where neither can be compared."""
    take = read_amount(swap.take)
    if take.high == 0:
        return None
    try:
        have = convert_amount(amount, take.unit) if amount.unit != take.unit else amount
        if have.each == take.each or not have.each:
            return have.low / take.high, have.high / take.low
    except MeasureError:
        pass
    if line is None or line.amount is None or line.grams is None or not amount.high:
        return None
    item = corpus.pantry[line.item]
    one = _weight(take, item, corpus, line.state, line.prep).grams
    if one is None or not line.amount.high or not one[0]:
        return None
    times = amount.high / line.amount.high
    return line.grams[0] * times / one[1], line.grams[1] * times / one[0]


def replaced(swap: Swap, amount: Amount, line: Line | None, corpus: Corpus) -> Amount | None:
    """What replaces `amount`: give ÷ take × amount, by weight where a can meets a cup."""
    if amount == read_amount(swap.take):
        return read_amount(swap.give)
    plain = replace_amount(swap, amount)
    if plain is not None:
        return plain
    times = share(swap, amount, line, corpus)
    if times is None:
        return None
    give = read_amount(swap.give)
    return Amount(give.low * times[0], give.high * times[1], give.unit, give.each)


def swapped_lines(line: Line, swap: Swap, corpus: Corpus) -> tuple[Line, ...] | None:
    """The lines that stand in a recipe after a swap; None where the amount cannot be worked out.

    The first is the replacement, the rest are what the swap adds beside it. They are counted even
    where the line was optional: somebody asked for them.
    """
    if line.amount is None:
        return None
    made = replaced(swap, line.amount, line, corpus)
    times = share(swap, line.amount, line, corpus)
    if made is None or times is None:
        return None
    lines = [_line(line, corpus.pantry[swap.use], made, corpus)]
    for part in swap.plus:
        amount = read_amount(part.amount)
        beside = Amount(amount.low * times[0], amount.high * times[1], amount.unit, amount.each)
        lines.append(_line(line, corpus.pantry[part.item], beside, corpus))
    return tuple(lines)


def _line(line: Line, item: Ingredient, amount: Amount, corpus: Corpus) -> Line:
    state = line.state if line.state in item.states else ""
    weight = _weight(amount, item, corpus, state, line.prep)
    return msgspec.structs.replace(
        line,
        text=f"{show(amount)} {item.name}",
        item=item.id,
        name=item.name,
        amount=amount,
        grams=weight.grams,
        weighed=weight.how,
        food=food_code(item, state),
        state=state,
        optional=False,
        counted=True,
    )


def _weight(amount: Amount, item: Ingredient, corpus: Corpus, state: str, prep: str) -> Weight:
    return weigh(amount, portion_rows(item, corpus.foods, state), words(prep), state)


class Difference(msgspec.Struct, frozen=True):
    """How much more (or less, below 0) of a nutrient a serving holds after a change."""

    nutrient: Nutrient
    low: Fraction
    high: Fraction


def difference(
    before: Sequence[Line],
    after: Sequence[Line],
    nutrient: Nutrient,
    table: Table,
    servings: Fraction,
) -> Difference | str:
    """The change of one nutrient per serving between two sets of lines.

    Where a line lacks the figure, the reason in words: a difference over a gap would be invented.
    """
    old, new = total(_counted(before), nutrient, table), total(_counted(after), nutrient, table)
    for part in (*old.missing, *new.missing):
        return f"{part.line.name}: {part.why}"
    low, high = sorted(((new.low - old.low) / servings, (new.high - old.high) / servings))
    return Difference(nutrient, low, high)


def _counted(lines: Collection[Line]) -> list[Line]:
    return [msgspec.structs.replace(line, optional=False, counted=True) for line in lines]


def replace_amount(swap: Swap, amount: Amount) -> Amount | None:
    """What replaces `amount` by a swap's ratio: give ÷ take × amount.

    None where the amount cannot be measured against the swap's `take` (a can against a cup).
    Ranges stay ranges.
    """
    take, give = read_amount(swap.take), read_amount(swap.give)
    try:
        have = convert_amount(amount, take.unit) if amount.unit != take.unit else amount
    except MeasureError:
        return None
    if take.high == 0:
        return None
    low, high = have.low / take.high, have.high / take.low
    made = Amount(give.low * low, give.high * high, give.unit, give.each)
    try:
        # A cup for a cup: keep the cook's own unit where the dimensions allow it.
        return (
            convert_amount(made, amount.unit) if made.unit != amount.unit and amount.unit else made
        )
    except MeasureError:
        return made


def closest_line(recipe: Recipe, item: Ingredient, corpus: Corpus) -> Line | None:
    """The line whose ingredient shares most words with `item`: regular broth stands for the
    recipe's low-sodium broth. None where no line shares its last word."""
    want = {word for name in all_names(item) for word in words(name)}
    last = words(item.name)[-1]
    best: tuple[int, Line] | None = None
    for line in recipe.lines:
        other = corpus.pantry.get(line.item)
        have = {word for name in all_names(other) for word in words(name)} if other else set()
        if last in have and (best is None or len(want & have) > best[0]):
            best = (len(want & have), line)
    return best[1] if best else None
