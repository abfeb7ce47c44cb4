"""Which ingredient goes out, which comes in, which are ruled out, by the words around them."""

from __future__ import annotations

import msgspec

from assistant.corpus.records import Ingredient, Recipe
from assistant.kinds.shelf import Shelf
from assistant.kitchen.scaling import same_item
from assistant.kitchen.swaps import find_swaps
from assistant.question.reading import Mention, Reading

_STRONG, _STANDS_FOR, _WEAK, _COMES_IN = 40, 35, 20, -10


class Who(msgspec.Struct, frozen=True):
    """What goes out, what would come in, what is ruled out as a replacement."""

    out: Ingredient | None
    use: Ingredient | None = None
    ruled_out: tuple[Ingredient, ...] = ()


def who(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Who:
    """Read the parts of a swap question.

    The words directly before an ingredient decide ("instead of X", "replace X with Y"); where they
    do not, what is in the recipe goes out. "Can I use Y?" takes out what a record lets it replace.
    """
    named = _named(reading, shelf)
    if not named:
        return Who(None)
    scored = [(_score(m, reading, recipe, shelf), -i, m) for i, m in enumerate(named)]
    score, _, first = max(scored)
    out = shelf.item(first.id)
    rest = [m for m in named if m.id != first.id]
    if not rest:
        return _alone(first, score, reading, recipe, shelf)
    ruled: list[Mention] = []
    ins: list[Mention] = []
    for mention in rest:
        before = _before(mention, reading, shelf)
        target = ruled if shelf_has(shelf, "swap-not-words", before) else ins
        target.append(mention)
    known = {s.use for s in find_swaps(first.id, shelf.corpus, reading.recipe)}
    use = next((m for m in ins if m.id in known), ins[0] if ins else None)
    item = shelf.item(use.id) if use is not None else None
    return Who(out, item, tuple(i for m in ruled if (i := shelf.item(m.id))))


def _named(reading: Reading, shelf: Shelf) -> list[Mention]:
    """The ingredients named apart from the recipe's name, each once, the longest at a place."""
    wide = reading.all("recipe")
    apart = [
        m
        for m in reading.all("ingredient")
        # "Salmon" may also be a short name of a recipe: here the ingredient is meant.
        if not any(
            r.start <= m.start and m.end <= r.end and r.end - r.start > m.end - m.start
            for r in wide
        )
    ]
    kept: dict[str, Mention] = {}
    taken: set[int] = set()
    for mention in sorted(apart, key=lambda m: (m.start - m.end, m.start)):
        place = set(range(mention.start, mention.end))
        if mention.id in shelf.corpus.pantry and not place & taken:
            kept.setdefault(mention.id, mention)
            taken |= place
    return sorted(kept.values(), key=lambda m: m.start)


def shelf_has(shelf: Shelf, list_id: str, word: str) -> bool:
    """Whether a word stands in a list of the vocabulary."""
    found = shelf.corpus.lists.get(list_id)
    return found is not None and word in found.words


def _before(mention: Mention, reading: Reading, shelf: Shelf) -> str:
    """The word before a mention, passing over "the", "my" and the like."""
    at = mention.start - 1
    while at >= 0 and shelf_has(shelf, "between-words", reading.words[at]):
        at -= 1
    return reading.words[at] if at >= 0 else ""


def _score(mention: Mention, reading: Reading, recipe: Recipe | None, shelf: Shelf) -> int:
    """How much the words say that a mention goes out; below zero that it comes in."""
    before = _before(mention, reading, shelf)
    inside = 15 if recipe is not None and same_item(recipe.lines, mention.id) else 0
    if shelf_has(shelf, "swap-out-strong", before):
        return inside + _STRONG
    pair = " ".join(reading.words[max(0, mention.start - 4) : mention.start])
    if "instead of" in pair or "place of" in pair or "rather than" in pair or "out of" in pair:
        return inside + _STANDS_FOR
    if shelf_has(shelf, "swap-in-words", before):
        return inside + _COMES_IN
    if shelf_has(shelf, "swap-out-weak", before):
        return inside + _WEAK
    return inside


def _alone(
    mention: Mention, score: int, reading: Reading, recipe: Recipe | None, shelf: Shelf
) -> Who:
    """One ingredient named: it goes out, unless it is not in the recipe and would come in."""
    item = shelf.item(mention.id)
    if item is None or recipe is None or same_item(recipe.lines, item.id):
        return Who(item)
    after = reading.words[mention.end : mention.end + 2]
    if score >= _WEAK and "instead" not in after and after != ("in", "place"):
        return Who(item)
    out = replaced_by(item.id, recipe, shelf)
    return Who(out, item) if out is not None else Who(item)


def replaced_by(use: str, recipe: Recipe, shelf: Shelf) -> Ingredient | None:
    """The ingredient of a recipe that a swap record lets `use` replace."""
    for line in recipe.lines:
        if any(swap.use == use for swap in find_swaps(line.item, shelf.corpus, recipe.id)):
            return shelf.item(line.item)
    return None
