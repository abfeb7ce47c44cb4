"""Handling tips from the notes that a dish calls for, and the swaps worth offering beside it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Source
from assistant.corpus.records import Line, Note, Recipe, Swap
from assistant.faces.handout.changes import Dish
from assistant.kinds.shelf import Shelf, capital, record_source, reference_source
from assistant.kinds.swap.options import Asked, option
from assistant.kitchen.diets import diet_changes
from assistant.kitchen.scaling import scale_line
from assistant.kitchen.swaps import find_swaps, ranked, swapped_lines
from assistant.retrieval.excerpt import sentences

_MOST_TIPS, _MOST_NEW, _MOST_OFFERS = 5, 5, 3
_LONGEST = 200


class Tip(msgspec.Struct, frozen=True):
    """The beginning of a note, or what is on record about an ingredient."""

    title: str
    text: str
    sources: tuple[Source, ...]


class Offer(msgspec.Struct, frozen=True):
    """A swap worth offering: `lead` is the exchange with its amounts, `text` the rest."""

    lead: str
    text: str
    sources: tuple[Source, ...]


def make_tips(dish: Dish, shelf: Shelf) -> tuple[tuple[Tip, ...], tuple[Tip, ...]]:
    """A first-timer's tip for each ingredient with a note of its own, and tips on the technique.

    The notes are those that the recipe calls for, and those of what a swap brings in. A note about
    nothing but what was swapped out is left away; what comes in without a note is told by its
    record.
    """
    corpus = shelf.corpus
    items = {line.item for line in dish.recipe.lines}
    came = {line.item for change in dish.changes for line in change.new}
    gone = {change.old.item for change in dish.changes} - items
    called = [corpus.notes[ident] for ident in dish.written.notes if ident in corpus.notes]
    called += [
        note
        for note in corpus.notes.values()
        if note not in called and "technique" in note.kinds and came & set(note.ingredients)
    ]
    kept = [n for n in called if items & set(n.ingredients) or not gone & set(n.ingredients)]
    about = [note for note in kept if items & set(note.ingredients)]
    told = {ident for note in about for ident in note.ingredients}
    new = [_from_item(line, shelf) for c in dish.changes for line in c.new if line.item not in told]
    first = [*(tip for tip in new if tip is not None), *(_from_note(n, shelf) for n in about)]
    rest = [_from_note(note, shelf) for note in kept if note not in about]
    return tuple(first[:_MOST_NEW]), tuple(rest[:_MOST_TIPS])


def _from_note(note: Note, shelf: Shelf) -> Tip:
    """The first sentence of a note, which is its answer, and whole sentences after it that fit."""
    text = whole = ""
    for sentence in sentences(note.text):
        longer = f"{text} {sentence}".strip()
        if text and len(longer) > _LONGEST:
            break
        text = longer
        # A question or a colon whose other half does not fit behind it says nothing.
        whole = whole if sentence.endswith(("?", ":")) else text
    cited = (record_source(note), *(reference_source(shelf, ident) for ident in note.sources))
    return Tip(note.title, whole or text, cited)


def _from_item(line: Line, shelf: Shelf) -> Tip | None:
    item = shelf.item(line.item)
    if item is None or not item.about:
        return None
    return Tip(capital(item.name), item.about, (record_source(item),))


def make_offers(dish: Dish, factor: Fraction, shelf: Shelf) -> tuple[Offer, ...]:
    """The swaps worth offering, one an ingredient: those that open the dish to one more diet first,
    then those made for this recipe.

    Amounts are those of the page. What contains a thing that a promised diet forbids is never
    offered, nor is another swap for a line that was swapped already.
    """
    corpus, recipe = shelf.corpus, dish.recipe
    came = {line.item for change in dish.changes for line in change.new}
    found: list[tuple[bool, bool, int, Line, Swap]] = []
    for place, line in enumerate(recipe.lines):
        item = shelf.item(line.item)
        if item is None or line.amount is None or line.item in came:
            continue
        usable = [s for s in find_swaps(item.id, corpus, recipe.id) if s.fit != "no"]
        best = ranked(_own(usable, recipe.id), item, corpus, dish.diets)
        if best:
            own = recipe.id in best[0].recipes
            found.append((not _opens(line, best[0], recipe, shelf), not own, place, line, best[0]))
    found.sort(key=lambda one: one[:3])
    offers: list[Offer] = []
    seen: set[str] = set()
    for _, _, _, line, swap in found:
        if line.item in seen or len(offers) == _MOST_OFFERS:
            continue
        seen.add(line.item)
        amount = scale_line(line, factor).amount
        made = option(swap, Asked(corpus.pantry[line.item], recipe, line, amount), shelf)
        lead, _, text = made.text.partition(": ")
        offers.append(Offer(lead, text, made.sources))
    return tuple(offers)


def _opens(line: Line, swap: Swap, recipe: Recipe, shelf: Shelf) -> bool:
    """Whether with the swap the dish contains nothing of what a diet forbids, as it did before."""
    made = swapped_lines(line, swap, shelf.corpus)
    if made is None:
        return False
    after = [new for old in recipe.lines for new in (made if old is line else (old,))]
    diets = shelf.corpus.diets.values()
    return bool(diet_changes(recipe.lines, after, diets, shelf.corpus.pantry)[0])


def _own(swaps: Sequence[Swap], recipe: str) -> list[Swap]:
    """The swaps made for this recipe, where there are any; else all."""
    own = [swap for swap in swaps if recipe in swap.recipes]
    return own or list(swaps)
