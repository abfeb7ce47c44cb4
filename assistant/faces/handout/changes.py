"""The recipe that a page shows: as written, or with swaps and brought to the diets promised.

Everything on a page is computed over this one changed recipe, by the same kinds that answer
questions, so a figure on the page is the figure that `ask` gives.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence

import msgspec

from assistant.corpus.corpus import Corpus, line_for
from assistant.corpus.lines import all_names, words
from assistant.corpus.records import Diet, Line, Recipe, Step, Swap
from assistant.desk import Desk
from assistant.kinds.shelf import listed
from assistant.kitchen.sets import make_over
from assistant.kitchen.swaps import find_swaps, forbidden, swapped_lines

_BETWEEN = re.compile(r"[,;]|\band\b")


class HandoutError(ValueError):
    """A page that cannot be made; the message says why and what to do, in one line."""


class Changed(msgspec.Struct, frozen=True):
    """One line that a page's recipe changes: what was written, what stands there, by which record.

    `swap` is None and `new` is empty where an optional line is left out.
    """

    old: Line
    new: tuple[Line, ...]
    swap: Swap | None


class Dish(msgspec.Struct, frozen=True):
    """The recipe as the page shows it, what was changed, the diets promised, and the lines whose
    label decides whether the promise holds."""

    written: Recipe
    recipe: Recipe
    changes: tuple[Changed, ...]
    diets: tuple[Diet, ...]
    labels: tuple[tuple[Line, tuple[str, ...]], ...]


def make_dish(recipe: Recipe, swaps: Sequence[str], promised: str, corpus: Corpus) -> Dish:
    """The dish with swaps ("baby-spinach=kale") and diets ("vegan, gluten-free").

    The swaps named are made first; what the diets still forbid is then replaced by the smallest set
    of swaps on record. Raises HandoutError for a swap that is not on record, that does not do, or
    that brings what a promised diet forbids, and where no record brings the dish to a diet.
    """
    diets = read_diets(promised, corpus)
    slots: list[tuple[Line, Swap | None, tuple[Line, ...]]] = [
        (line, None, (line,)) for line in recipe.lines
    ]
    for text in swaps:
        places, swap = _read_swap(text, recipe, corpus)
        broken = forbidden(swap, corpus, diets)
        if broken:
            names = listed([diet.name for diet in diets], "or")
            raise HandoutError(
                f"--swap {text}: it brings {listed(broken)}, so the dish is not {names}; "
                "choose another swap, or leave the diet out of --for"
            )
        for place in places:
            line = slots[place][0]
            if slots[place][1] is not None:
                raise HandoutError(f"--swap {text}: {line.name} is swapped already; give it once")
            made = swapped_lines(line, swap, corpus)
            if made is None:
                raise HandoutError(
                    f"--swap {text}: its amount cannot be worked out for {line.text!r}"
                )
            slots[place] = (line, swap, tuple(_bare(new) for new in made))
    labels = _bring(slots, diets, recipe, corpus) if diets else ()
    changes = tuple(Changed(old, new, swap) for old, swap, new in slots if new != (old,))
    made_recipe = msgspec.structs.replace(
        recipe,
        # A batch was weighed as written; with other ingredients it weighs something else.
        yields=msgspec.structs.replace(recipe.yields, cooked_weight=""),
        lines=tuple(line for _, _, new in slots for line in new),
        steps=tuple(_step(step, recipe, changes, corpus) for step in recipe.steps),
    )
    return Dish(recipe, made_recipe if changes else recipe, changes, diets, labels)


def desk_for(desk: Desk, dish: Dish) -> Desk:
    """The desk with the changed recipe in the place of the written one, for further answers."""
    if not dish.changes:
        return desk
    recipes = {**desk.corpus.recipes, dish.recipe.id: dish.recipe}
    snapshot = copy.copy(desk.snapshot)
    snapshot.corpus = msgspec.structs.replace(desk.corpus, recipes=recipes)
    return Desk(snapshot)


def read_diets(text: str, corpus: Corpus) -> tuple[Diet, ...]:
    """The diets of "vegan, gluten-free", each once. Raises HandoutError for one not on record."""
    found: dict[str, Diet] = {}
    for part in _BETWEEN.split(text):
        want = words(part)
        if not want:
            continue
        diet = next(
            (
                diet
                for diet in corpus.diets.values()
                if want in [words(name) for name in (diet.id, diet.name, *diet.names)]
            ),
            None,
        )
        if diet is None:
            known = ", ".join(diet.name for diet in corpus.diets.values())
            raise HandoutError(f'--for: no diet is called "{part.strip()}"; on record are {known}')
        found[diet.id] = diet
    if text and not found:
        raise HandoutError(f'--for: "{text}" names no diet; write one, as in --for vegan')
    return tuple(found.values())


def _read_swap(text: str, recipe: Recipe, corpus: Corpus) -> tuple[list[int], Swap]:
    """The places of the lines that go out, and the record that says what comes in."""
    out_text, sign, use_text = text.partition("=")
    if not sign or not words(out_text) or not words(use_text):
        raise HandoutError(
            f'--swap: "{text}" is no swap; write OUT=USE, as in --swap baby-spinach=kale'
        )
    line = line_for(recipe, out_text, corpus.pantry)
    if line is None:
        have = ", ".join(dict.fromkeys(line.item for line in recipe.lines))
        raise HandoutError(f'--swap {text}: no "{out_text.strip()}" in {recipe.id}; it has {have}')
    known = find_swaps(line.item, corpus, recipe.id) or find_swaps(line.item, corpus)
    want = words(use_text)
    swap = next((s for s in known if want in _names(s.use, corpus)), None)
    if swap is None:
        uses = ", ".join(dict.fromkeys(s.use for s in known if s.fit != "no"))
        tail = f"on record: {uses}" if uses else "there is none for it"
        raise HandoutError(
            f'--swap {text}: no swap on record from {line.item} to "{use_text.strip()}"; {tail}'
        )
    if swap.fit == "no":
        raise HandoutError(f"--swap {text}: on record as one that does not do: {swap.how}")
    return [i for i, one in enumerate(recipe.lines) if one.item == line.item], swap


def _names(ident: str, corpus: Corpus) -> list[tuple[str, ...]]:
    return [words(ident), *(words(name) for name in all_names(corpus.pantry[ident]))]


def _bring(
    slots: list[tuple[Line, Swap | None, tuple[Line, ...]]],
    diets: Sequence[Diet],
    recipe: Recipe,
    corpus: Corpus,
) -> tuple[tuple[Line, tuple[str, ...]], ...]:
    """Bring the slots to the diets; returns the lines whose label decides."""
    flat = [line for _, _, new in slots for line in new]
    origin = [place for place, (_, _, new) in enumerate(slots) for _ in new]
    made = make_over(flat, diets, corpus, recipe.id)
    if not made.done:
        held = listed([f"{line.name} ({listed(why)})" for line, why in made.stuck])
        names = listed([diet.name for diet in diets], "or")
        raise HandoutError(
            f"--for: {recipe.title} cannot be made {names}: no swap on record replaces {held}; "
            "leave that diet out, or add a swap to the corpus"
        )
    for choice in made.choices:
        place = origin[choice.place]
        new = tuple(_bare(line) for line in choice.made)
        slots[place] = (slots[place][0], choice.swap, new)
    return made.labels


def _bare(line: Line) -> Line:
    """The preparation was that of what went out; the swap's own words tell how to handle it."""
    return msgspec.structs.replace(line, prep="")


def _step(step: Step, recipe: Recipe, changes: Sequence[Changed], corpus: Corpus) -> Step:
    """The step with its ingredients' new names, so that times and losses are those of the new."""
    uses: list[str] = []
    for name in step.uses:
        change = change_for(name, recipe, changes, corpus)
        uses += [name] if change is None else [line.name for line in change.new]
    return msgspec.structs.replace(step, uses=tuple(uses))


def change_for(
    name: str, recipe: Recipe, changes: Sequence[Changed], corpus: Corpus
) -> Changed | None:
    """The change of the line that a step's `uses` word speaks of, None where it stays."""
    line = line_for(recipe, name, corpus.pantry)
    return next((change for change in changes if change.old == line), None)
