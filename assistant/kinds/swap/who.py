"""Which ingredient goes out, which comes in, which are ruled out, by the words around them."""

from __future__ import annotations

import msgspec

from assistant.corpus.lines import words
from assistant.corpus.records import Ingredient, Recipe
from assistant.kinds.shelf import Shelf
from assistant.kinds.swap.elided import completed, meant
from assistant.kitchen.scaling import same_item
from assistant.kitchen.swaps import find_swaps
from assistant.measure.amount import Amount
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular

_STRONG, _STANDS_FOR, _WEAK, _COMES_IN = 40, 35, 20, -10
# How many words before a food may say that it is missing ("I don't have any").
_REACH = 4


class Who(msgspec.Struct, frozen=True):
    """What goes out, what would come in, what is ruled out as a replacement.

    `comes_in` says that `out`, alone, is what would be used, for nobody said what. `use_amount` is
    the amount named of what would come in.
    """

    out: Ingredient | None
    use: Ingredient | None = None
    ruled_out: tuple[Ingredient, ...] = ()
    comes_in: bool = False
    use_amount: Amount | None = None


def who(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Who:
    """Read the parts of a swap question.

    The words directly before an ingredient decide ("instead of X", "replace X with Y"); where they
    do not, what is in the recipe goes out. "Can I use Y?" takes out what a record lets it replace.
    """
    named = completed(_named(reading, shelf), reading, shelf)
    if not named:
        return Who(_by_sort(reading, recipe, shelf))
    scored: list[tuple[int, int, Mention]] = []
    for i, m in enumerate(named):
        points = _score(m, reading, recipe, shelf)
        # "No farro or barley": both are out, and the one of the recipe is meant.
        joined = i and reading.words[named[i - 1].end : m.start] == ("or",)
        if joined and scored[-1][0] >= _WEAK:
            inside = recipe is not None and same_item(recipe.lines, m.id)
            points = max(points, scored[-1][0] + (1 if inside else -1))
        scored.append((points, -i, m))
    score, _, first = max(scored)
    first = _turned(first, scored, reading, recipe, shelf)
    out = shelf.item(first.id)
    rest = [m for m in named if m.id != first.id]
    if not rest:
        return _alone(first, score, reading, recipe, shelf)
    ruled: list[Mention] = []
    ins: list[Mention] = []
    for mention in rest:
        if _is_dish(mention, reading):
            continue
        target = ruled if _is_ruled_out(mention, reading, shelf) else ins
        target.append(mention)
    known = {s.use for s in find_swaps(first.id, shelf.corpus, reading.recipe)}
    use = next((m for m in ins if m.id in known), ins[0] if ins else None)
    item = shelf.item(use.id) if use is not None else None
    return Who(
        out,
        item,
        tuple(one for m in ruled if (one := shelf.item(m.id))),
        use_amount=_amount_before(use, reading) if use is not None else None,
    )


def _turned(
    first: Mention,
    scored: list[tuple[int, int, Mention]],
    reading: Reading,
    recipe: Recipe | None,
    shelf: Shelf,
) -> Mention:
    """ "Swap beef for the turkey" is said both ways: what the recipe in hand holds goes out."""
    either = shelf_has(shelf, "swap-either-words", _before(first, reading, shelf))
    if recipe is None or not either or _holds(recipe, first, shelf):
        return first
    inside = [m for _, _, m in scored if _holds(recipe, m, shelf)]
    return inside[0] if len(inside) == 1 else first


def _holds(recipe: Recipe, mention: Mention, shelf: Shelf) -> bool:
    """Whether a recipe holds a food, or one that bears its name ("no-salt-added kidney beans")."""
    named = {singular(word) for word in words(mention.text)}
    items = (shelf.item(line.item) for line in recipe.lines)
    names = ({singular(word) for word in words(item.name)} for item in items if item is not None)
    return bool(same_item(recipe.lines, mention.id)) or any(named <= held for held in names)


def _amount_before(mention: Mention, reading: Reading) -> Amount | None:
    """The amount that stands right before a food: "1 tablespoon (of) fresh thyme"."""
    for amount in reading.all("amount"):
        gap = reading.words[amount.end : mention.start]
        if amount.end <= mention.start and set(gap) <= {"of"} and isinstance(amount.value, Amount):
            return amount.value
    return None


def _is_dish(mention: Mention, reading: Reading) -> bool:
    """Whether a food is the dish that another one is in: "instead of shrimp in the pasta"."""
    before = reading.words[max(0, mention.start - 2) : mention.start]
    if before[-1:] == ("in",) or before in {("in", "the"), ("in", "a"), ("in", "my")}:
        return True
    # "For the salmon", where that is also what a recipe is called.
    place = (mention.start, mention.end)
    return before == ("for", "the") and any(
        (m.start, m.end) == place for m in reading.all("recipe")
    )


def _is_ruled_out(mention: Mention, reading: Reading, shelf: Shelf) -> bool:
    """Whether a food may not come in: "but no milk or cream"; "thighs or breasts" are a choice."""
    before = _before(mention, reading, shelf)
    if not shelf_has(shelf, "swap-not-words", before):
        return False
    if before not in {"or", "nor"}:
        return True
    return any(
        shelf_has(shelf, "swap-not-words", word) and word not in {"or", "nor"}
        for word in reading.words[: mention.start]
    )


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
    found = sorted(kept.values(), key=lambda m: m.start)
    # "Is that a problem for the salt?" asks for a figure, and not for another salt.
    other = [m for m in found if m.id != "salt" or not _is_figure(m, reading)]
    return other or found


def _is_figure(mention: Mention, reading: Reading) -> bool:
    before = reading.words[max(0, mention.start - 2) : mention.start]
    return before in {("for", "the"), ("about", "the"), ("with", "the")}


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
    if shelf_has(shelf, "swap-in-words", before) or _is_at_hand(mention, reading, shelf):
        return inside + _COMES_IN
    if shelf_has(shelf, "swap-out-weak", before):
        return inside + _WEAK
    return inside


def is_used(reading: Reading, item: Ingredient, shelf: Shelf) -> bool:
    """Whether a food is only asked to be used ("can I use tahini?"), and nothing in its place."""
    if shelf.says(reading, "swap-replace-words"):
        return False
    mentions = [m for m in reading.all("ingredient") if m.id == item.id]
    return bool(mentions) and all(
        shelf_has(shelf, "swap-used-words", _before(m, reading, shelf)) for m in mentions
    )


def _is_at_hand(mention: Mention, reading: Reading, shelf: Shelf) -> bool:
    """Whether a food is what there is, and not what is missing: "I have canned lentils"."""
    if not shelf_has(shelf, "having-words", _before(mention, reading, shelf)):
        return False
    near = reading.words[max(0, mention.start - _REACH) : mention.start]
    return not any(shelf_has(shelf, "not-having-words", word) for word in near)


def _by_sort(reading: Reading, recipe: Recipe | None, shelf: Shelf) -> Ingredient | None:
    """The recipe's food of a sort that is named: its salmon by "what other fish works"."""
    if recipe is None or not shelf.says(reading, "other-words"):
        return None
    named = {singular(word) for word in reading.words}
    for line in recipe.lines:
        item = shelf.item(line.item)
        if item is not None and named & {item.origin, singular(words(item.name)[-1])}:
            return item
    return None


def _alone(
    mention: Mention, score: int, reading: Reading, recipe: Recipe | None, shelf: Shelf
) -> Who:
    """One ingredient named: it goes out, unless it is not in the recipe and would come in."""
    item = shelf.item(mention.id)
    if item is None or recipe is None or same_item(recipe.lines, item.id):
        return Who(item, comes_in=score < 0)
    after = reading.words[mention.end : mention.end + 2]
    if score >= _WEAK and "instead" not in after and after != ("in", "place"):
        return Who(item)
    out = replaced_by(item.id, recipe, shelf) or _replaced_by_kind(item, recipe, shelf)
    return Who(out, item) if out is not None else Who(item)


def _replaced_by_kind(item: Ingredient, recipe: Recipe, shelf: Shelf) -> Ingredient | None:
    """As `replaced_by`, where the record names a kind of the food: cooked white rice for rice."""
    for line in recipe.lines:
        if meant(item, find_swaps(line.item, shelf.corpus, recipe.id), shelf) is not None:
            return shelf.item(line.item)
    return None


def replaced_by(use: str, recipe: Recipe, shelf: Shelf) -> Ingredient | None:
    """The ingredient of a recipe that a swap record lets `use` replace."""
    for line in recipe.lines:
        if any(swap.use == use for swap in find_swaps(line.item, shelf.corpus, recipe.id)):
            return shelf.item(line.item)
    return None
