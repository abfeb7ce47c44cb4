"""First-timers' notes, handling tips and the swaps worth offering beside a dish."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Figure, Source
from assistant.corpus.lines import all_names, words
from assistant.corpus.records import Ingredient, Line, Note, Recipe, Swap
from assistant.faces.handout.aside import named
from assistant.faces.handout.changes import Dish
from assistant.kinds.shelf import Shelf, capital, listed, record_source, reference_source
from assistant.kinds.swap.options import Asked, option
from assistant.kitchen.diets import diet_changes
from assistant.kitchen.scaling import scale_line
from assistant.kitchen.swaps import find_swaps, ranked, swapped_lines
from assistant.retrieval.excerpt import sentences

_MOST_NEW, _MOST_TIPS, _MOST_OFFERS = 4, 5, 3
_LONGEST = 200
_PER_SERVING = " Per serving: "


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
    """A first-timer's note for each unfamiliar ingredient, and the tips its notes give.

    Unfamiliar are the ingredients of the list `unfamiliar-items`, and whatever a swap brings in.
    The tips are the notes that the recipe calls for, and those that recipes of the same course call
    for on account of what a swap brings in. A note about what was swapped out is left away.
    """
    lists = shelf.corpus.lists
    unfamiliar = set(lists["unfamiliar-items"].words) if "unfamiliar-items" in lists else set()
    came = [line.item for change in dish.changes for line in change.new]
    have = [line.item for line in dish.recipe.lines]
    first = dict.fromkeys([*came, *(item for item in have if item in unfamiliar)])
    new = [_from_item(shelf.corpus.pantry[item], shelf) for item in first]
    notes = [n for n in _called(dish, came, shelf) if not _about_gone(n, dish, shelf)]
    tips = [_from_note(note, shelf) for note in notes]
    return tuple(tip for tip in new if tip)[:_MOST_NEW], tuple(tips[:_MOST_TIPS])


def _called(dish: Dish, came: Sequence[str], shelf: Shelf) -> list[Note]:
    notes = shelf.corpus.notes
    idents: dict[str, None] = {}
    for other in shelf.corpus.recipes.values():
        mine = {line.item for line in other.lines} & set(came)
        if other.course == dish.written.course and other.id != dish.written.id and mine:
            items = [shelf.corpus.pantry[ident] for ident in mine]
            idents |= {i: None for i in other.notes if i in notes and _names(notes[i].title, items)}
    # What is new comes first, since what a recipe calls for may go beyond the room there is.
    return [notes[i] for i in (idents | dict.fromkeys(dish.written.notes)) if i in notes]


def _names(title: str, items: Sequence[Ingredient]) -> bool:
    """Whether a title names one of the items, by a whole name of it."""
    have = words(title)
    for item in items:
        for name in map(words, all_names(item)):
            if any(have[at : at + len(name)] == name for at in range(len(have))):
                return True
    return False


def _about_gone(note: Note, dish: Dish, shelf: Shelf) -> bool:
    """Whether a note is about nothing but what was swapped out."""
    gone = {change.old.item for change in dish.changes}
    if not gone:
        return False
    stays = {line.item for line in dish.recipe.lines} & set(note.ingredients)
    only = not stays and bool(gone & set(note.ingredients))
    return only or bool(named(note.title, dish, shelf))


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


def _from_item(item: Ingredient, shelf: Shelf) -> Tip | None:
    """What is on record about an ingredient, less what only says where its figures come from."""
    asides = shelf.corpus.lists.get("figure-remarks")
    marks = asides.words if asides else ()
    kept = [s for s in sentences(item.about) if not any(mark in s.lower() for mark in marks)]
    return Tip(capital(item.name), " ".join(kept), (record_source(item),)) if kept else None


def make_offers(dish: Dish, factor: Fraction, shelf: Shelf) -> tuple[Offer, ...]:
    """The swaps worth offering, one an ingredient: those that open the dish to one more diet first,
    then those made for this recipe.

    Amounts are those of the page. What contains a thing that a promised diet forbids is never
    offered, nor is another swap for a line that was swapped already.
    """
    corpus, recipe = shelf.corpus, dish.recipe
    came = {line.item for change in dish.changes for line in change.new}
    found: list[tuple[bool, int, Line, Swap]] = []
    for place, line in enumerate(recipe.lines):
        item = shelf.item(line.item)
        if item is None or line.amount is None or line.item in came:
            continue
        usable = [s for s in find_swaps(item.id, corpus, recipe.id) if s.fit != "no"]
        best = ranked(_own(usable, recipe.id), item, corpus, dish.diets)
        if best:
            opens, own = _opens(line, best[0], recipe, shelf), recipe.id in best[0].recipes
            # Any other trade, one oil for another, is on record but not worth the paper.
            if opens or own:
                found.append((not opens, place, line, best[0]))
    found.sort(key=lambda one: one[:2])
    offers: list[Offer] = []
    seen: set[str] = set()
    for _, _, line, swap in found:
        if line.item in seen or len(offers) == _MOST_OFFERS:
            continue
        seen.add(line.item)
        amount = scale_line(line, factor).amount
        made = option(swap, Asked(corpus.pantry[line.item], recipe, line, amount), shelf)
        lead, _, text = made.text.partition(": ")
        text = f"{text.partition(_PER_SERVING)[0]}{_differences(made.figures)}"
        offers.append(Offer(lead, text, made.sources))
    return tuple(offers)


def _differences(figures: Sequence[Figure]) -> str:
    """What a swap changes per serving; what it does not change is not told."""
    told = [
        f"{figure.shown} {figure.name.rpartition(': ')[2].removesuffix(' per serving')}"
        for figure in figures
        if figure.name.endswith(" per serving") and not figure.shown.startswith("±0")
    ]
    return f"{_PER_SERVING}{listed(told)}." if told else ""


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
