"""A changed recipe: "with regular soy sauce", "without the cheese", "half the oil"."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Source
from assistant.corpus.lines import food_code, words
from assistant.corpus.records import Ingredient, Line, Recipe, Swap
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.named import lines_called
from assistant.kinds.shelf import Shelf, capital, line_name, listed, record_source
from assistant.kinds.weights import grams_of_amount
from assistant.kitchen.scaling import same_item, scale_line
from assistant.kitchen.swaps import closest_line, find_swaps, replace_amount
from assistant.measure.amount import Amount, show
from assistant.measure.numbers import show_number
from assistant.question.reading import Reading
from assistant.retrieval.words import singular


class Change(msgspec.Struct, frozen=True):
    """The lines of the changed dish, the change in words, and what it rests on."""

    lines: tuple[Line, ...]
    words: str
    remarks: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()


def find_change(reading: Reading, recipe: Recipe, shelf: Shelf) -> Change | None:
    """The change a question asks about, or None where it asks about the recipe as written."""
    named = list(reading.foods)
    present = [item for item in named if same_item(recipe.lines, item)]
    present, new = _regular(reading, present, [i for i in named if i not in present], shelf)
    if new and not present:
        present, new = _going_out(reading, recipe, new, shelf)
    factor = _factor(reading)
    if shelf.says(reading, "adding-words") and named and factor is None:
        added = _added(reading, recipe, named[0], shelf)
        if added is not None:
            return added
    if not present and new and shelf.says(reading, "without-words"):
        # "Without the peanuts" in a dish whose peanuts are a butter.
        present, new = _made_of(recipe, new[0], shelf), []
    if present and not new and shelf.says(reading, "without-words"):
        return _without(recipe, present, shelf)
    if present and not new and factor is not None:
        return _times(recipe, present, factor, shelf)
    if new and shelf.says(reading, "with-words"):
        return with_other(recipe, new[0], present, shelf)
    return None


def _going_out(
    reading: Reading, recipe: Recipe, new: list[str], shelf: Shelf
) -> tuple[list[str], list[str]]:
    """ "Butter instead of oil", where the dish has oils of other names: its main one goes out."""
    for m in reading.all("ingredient"):
        before = reading.words[max(0, m.start - 3) : m.start]
        if m.id not in new or words_in(shelf, "in-place-words").isdisjoint(before):
            continue
        weighed = [line for line in lines_called(reading, recipe, m.id, shelf) if line.grams]
        if weighed and len(new) > 1:
            main = max(weighed, key=lambda line: line.grams or (Fraction(0), Fraction(0)))
            return [main.item], [ident for ident in new if ident != m.id]
    return [], new


def _made_of(recipe: Recipe, item: str, shelf: Shelf) -> list[str]:
    """The one item of a recipe whose name holds the name of another food; none where several do."""
    wanted = shelf.item(item)
    name = set(map(singular, words(wanted.name))) if wanted else set()
    held = [
        line.item
        for line in recipe.lines
        if (own := shelf.item(line.item)) is not None
        and name <= set(map(singular, words(own.name)))
    ]
    return held if name and len(held) == 1 else []


def _regular(
    reading: Reading, present: list[str], new: list[str], shelf: Shelf
) -> tuple[list[str], list[str]]:
    """ "regular broth" in a recipe with the low-sodium kind."""
    if new or len(present) != 1 or not shelf.says(reading, "regular-words"):
        return present, new
    own = shelf.item(present[0])
    other = regular_kind(own, shelf) if own is not None else None
    return (present, [other]) if other is not None else (present, new)


def regular_kind(item: Ingredient, shelf: Shelf) -> str | None:
    """The ordinary kind of an ingredient: the pantry item called "regular X" which shares most of
    its name, or that of its name without the words that tell of less salt ("canned black beans" for
    no-salt-added ones). None where there is none."""
    have = set(words(item.name))
    base = have - words_in(shelf, "less-salt-words")
    found = [
        (len(have & set(words(other.name))), other.id)
        for other in shelf.corpus.pantry.values()
        if other.id != item.id
        and set(words(other.name)) < have
        and any(name.startswith("regular ") for name in other.names)
    ]
    if not found and base != have:
        plain = words_in(shelf, "plain-kind-words")
        found = [
            (1, other.id)
            for other in shelf.corpus.pantry.values()
            if set(words(other.name)) - plain == base and other.id != item.id
        ]
    return max(found)[1] if found else None


def _factor(reading: Reading) -> Fraction | None:
    """ "halve the oil" (a share), "half the oil" (a number that stands before the food)."""
    if reading.factor is not None:
        return reading.factor
    starts = {m.start for m in reading.all("ingredient")}
    for m in reading.all("number"):
        near = set(range(m.end, m.end + 4)) & starts
        if isinstance(m.value, Fraction) and 0 < m.value < 1 and near:
            return m.value
    return None


def _added(reading: Reading, recipe: Recipe, item: str, shelf: Shelf) -> Change | None:
    """ "add 1 cup of spinach": the amount named, put to the dish. None where no amount is named."""
    amounts = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    found = shelf.item(item)
    if not amounts or found is None:
        return None
    weight = grams_of_amount(amounts[0], item, shelf)
    line = Line(
        text=f"{show(amounts[0])} {found.name}",
        item=item,
        name=found.name,
        amount=amounts[0],
        grams=weight.grams,
        weighed=weight.how,
        food=food_code(found),
    )
    how = f"{show(amounts[0])} {found.name} more in the whole recipe."
    words = f"with {show(amounts[0])} more {found.name}"
    return Change((*recipe.lines, line), words, (how,), (record_source(found),))


def _without(recipe: Recipe, items: Sequence[str], shelf: Shelf) -> Change:
    lines = tuple(line for line in recipe.lines if line.item not in items)
    gone = [line for line in recipe.lines if line.item in items]
    names = listed(list(dict.fromkeys(line_name(line, shelf) for line in gone)))
    uncounted = [line for line in gone if line.optional or line.amount is None]
    remark = f"{capital(names)} is optional or to taste, so it was never counted."
    return Change(
        lines,
        f"without {names}",
        (remark,) if len(uncounted) == len(gone) else (),
        tuple(record_source(recipe, line.line) for line in gone),
    )


def _times(recipe: Recipe, items: Sequence[str], factor: Fraction, shelf: Shelf) -> Change:
    lines = tuple(scale_line(line, factor) if line.item in items else line for line in recipe.lines)
    names = " and ".join(line_name(line, shelf) for line in recipe.lines if line.item in items)
    part = "half the" if factor == Fraction(1, 2) else f"{show_number(factor)} times the"
    places = tuple(record_source(recipe, line.line) for line in recipe.lines if line.item in items)
    return Change(lines, f"with {part} {names}", (), places)


def _replaced_by(recipe: Recipe, new: str, shelf: Shelf) -> Line | None:
    """The one line for which a swap on record puts the new ingredient: beef for turkey."""
    lines = [
        line
        for line in recipe.lines
        if any(swap.use == new for swap in find_swaps(line.item, shelf.corpus, recipe.id))
    ]
    return lines[0] if len(lines) == 1 else None


def _of_its_sort(recipe: Recipe, item: Ingredient, shelf: Shelf) -> Line | None:
    """The one line that does first of all the same in a dish and shares a word of its name: ground
    turkey where ground beef is to go in."""
    lines = [
        line
        for line in recipe.lines
        if (other := shelf.item(line.item)) is not None
        and other.role[:1] == item.role[:1]
        and set(words(other.name)) & set(words(item.name))
    ]
    return lines[0] if len(lines) == 1 else None


def stood_for_by(recipe: Recipe, item: Ingredient, shelf: Shelf) -> Line | None:
    """The line of a recipe in whose place another ingredient would go."""
    return (
        _replaced_by(recipe, item.id, shelf)
        or closest_line(recipe, item, shelf.corpus)
        or _of_its_sort(recipe, item, shelf)
    )


def with_other(recipe: Recipe, new: str, present: Sequence[str], shelf: Shelf) -> Change | None:
    """Another ingredient in the place of one of the recipe's: by a swap record where there is one,
    else the same amount in the place of the line that shares most of its name."""
    item = shelf.item(new)
    if item is None:
        return None
    line = same_item(recipe.lines, present[0])[0] if present else stood_for_by(recipe, item, shelf)
    if line is None or line.amount is None:
        return None
    swap: Swap | None = next(
        (s for s in find_swaps(line.item, shelf.corpus, recipe.id) if s.use == new), None
    )
    amount = replace_amount(swap, line.amount) if swap else line.amount
    if amount is None:
        amount, swap = line.amount, None
    weight = grams_of_amount(amount, new, shelf, line.state)
    replaced = msgspec.structs.replace(
        line,
        text=f"{show(amount)} {item.name}",
        item=new,
        name=item.name,
        amount=amount,
        grams=weight.grams,
        weighed=weight.how,
        food=food_code(item, line.state),
    )
    lines = tuple(replaced if one is line else one for one in recipe.lines)
    how = "by the swap's own ratio" if swap else "the same amount"
    remark = f"{show(amount)} {item.name} for {show(line.amount)} {line_name(line, shelf)}, {how}."
    sources = [record_source(recipe, line.line), record_source(item)]
    if swap:
        sources.append(record_source(swap))
    return Change(
        lines, f"with {item.name} for {line_name(line, shelf)}", (remark,), tuple(sources)
    )
