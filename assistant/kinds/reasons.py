"""The reasons of a recipe: which of them speaks of what is asked.

A question is met by the step that does what it names, in the same words or others for the same act
(the list "purpose-kin"), or by the reason on record for an ingredient.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

import msgspec

from assistant.corpus.corpus import line_for
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.change import regular_kind, stood_for_by
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.crossed import stems
from assistant.kinds.named import lines_named
from assistant.kinds.shelf import Shelf, line_name
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words

# Of the words of a question that tell what is done, a step must hold so much.
_ENOUGH = 0.5


class Found(msgspec.Struct, frozen=True):
    """A reason with what it is of, the line of the file it stands in, and how well it fits; `text`
    is what of the `whole` is said aloud."""

    recipe: Recipe
    text: str
    of: str
    line: int
    fit: float
    item: Line | None = None
    whole: str = ""


def in_recipe(
    reading: Reading, recipe: Recipe, shelf: Shelf, at_large: bool = False
) -> Found | None:
    """The reason in one recipe. `at_large`, where no recipe is meant, both an act and a food must
    be the recipe's."""
    lines = _lines(reading, recipe, shelf)
    # "Why is the coconut milk light": a word of what the recipe has is no act.
    acts = acts_of(reading, shelf) - {w for line in lines for w in stems(line_name(line, shelf))}
    missing = set() if at_large else lacking(reading, recipe, shelf)
    if missing:
        # "Why not just water?": the reason of what stands in its place.
        return _in_place_of(missing, recipe, shelf) or _reason(recipe, lines, shelf)
    if at_large and (not lines or reading.outside):
        return None
    words = {stem(w) for m in reading.all("ingredient") for w in m.text.split()}
    last = shelf.says(reading, "last-words")
    if acts:
        # "In the soup" says nothing of the red lentil soup.
        acts = acts - (stems(recipe.title) & stems_in(shelf, "dish-nouns")) or acts
        found = _step(recipe, acts, lines, words, shelf, at_large, last)
        if found is not None or at_large:
            return found
    if at_large or (reading.foods and not lines):
        return None
    ordered = shelf.says(reading, "order-words")
    reason = _reason(recipe, lines, shelf)
    putting = words_in(shelf, "purpose-putting") | words_in(shelf, "dish-nouns")
    acts -= {stem(word) for word in putting}
    if acts:
        return _spoken_of(reason, acts, shelf) if reason is not None else None
    if not ordered and reason is not None:
        return reason
    if shelf.says(reading, "purpose-none"):
        return None
    asked = {stem(word) for word in reading.words} & stems_in(shelf, "order-words")
    return _first_use(recipe, lines, words, asked, shelf, last)


def _in_place_of(named: set[str], recipe: Recipe, shelf: Shelf) -> Found | None:
    """The reason that names what the recipe has not: "why is there no ham in it?"."""
    for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
        of = line_for(recipe, reason.of, shelf.corpus.pantry)
        if of is not None and named & stems(reason.text):
            return Found(recipe, reason.text, line_name(of, shelf), at, 1.0, of)
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        if named & stems(step.why):
            return Found(recipe, aloud(step.why, named), step.id, at, 1.0, whole=step.why)
    return None


def lacking(reading: Reading, recipe: Recipe, shelf: Shelf) -> set[str]:
    """The stems of the foods that a recipe does without, where that is asked about: "why no mayo";
    none where it has one of the foods named."""
    held = {line.item for line in recipe.lines}
    if not shelf.says(reading, "purpose-lack") or held & set(reading.foods):
        return set()
    named = [m.text for m in reading.all("ingredient") if m.id in reading.foods]
    named += [item.name for ident in reading.foods if (item := shelf.item(ident)) is not None]
    free = [m.text for m in reading.all("diet") if m.id.endswith("-free")]
    return {stem(text.split()[-1]) for text in (*named, *free)}


def _spoken_of(reason: Found, acts: set[str], shelf: Shelf) -> Found | None:
    """A reason, if it speaks of half of what is done, by whatever word, with what it says of it."""
    kin = [_kin(act, shelf) for act in acts]
    if sum(bool(one & stems(reason.text)) for one in kin) < _ENOUGH * len(acts):
        return None
    said = aloud(reason.text, set().union(*kin))
    return msgspec.structs.replace(reason, text=said, whole=reason.text)


def _lines(reading: Reading, recipe: Recipe, shelf: Shelf) -> list[Line]:
    """The lines asked about: those named, those that another food named would stand in for, and
    those with less salt where only that is named."""
    lines, absent = lines_named(reading, recipe, shelf)
    for ident in absent if shelf.says(reading, "rather-words") else ():
        item = shelf.item(ident)
        line = stood_for_by(recipe, item, shelf) if item is not None else None
        lines += [line] if line is not None and not lines else []
    if not lines and not reading.foods and "sodium" in reading.ids("nutrient"):
        lines = [line for line in recipe.lines if _less_salt(line, shelf)]
    return lines


def _less_salt(line: Line, shelf: Shelf) -> bool:
    item = shelf.item(line.item)
    return item is not None and regular_kind(item, shelf) is not None


def acts_of(reading: Reading, shelf: Shelf) -> set[str]:
    """The stems of the words that tell what is done: without those that only ask, and foods."""
    named = {
        p
        for m in reading.mentions
        if m.type in {"ingredient", "recipe", "nutrient"}
        for p in range(m.start, m.end)
    }
    plain = stop_words() | words_in(shelf, "purpose-plain") | words_in(shelf, "order-words")
    plain |= words_in(shelf, "less-salt-words") | words_in(shelf, "regular-words")
    # "Light coconut milk, why light?": a word of its name is no act.
    plain |= {word for m in reading.all("ingredient") for word in m.text.split()}
    acts = {
        stem(word)
        for place, word in enumerate(reading.words)
        if place not in named and word not in plain
    }
    # What a thing is done in says little beside what is done.
    return acts - stems_in(shelf, "vessel-words") or acts


def _step(
    recipe: Recipe,
    acts: set[str],
    lines: Sequence[Line],
    foods: set[str],
    shelf: Shelf,
    at_large: bool,
    last: bool,
) -> Found | None:
    """The step with a reason that holds most of the acts, and uses what was named, in whose words
    (`foods`); the `last` of those that fit alike, or the first."""
    best: Found | None = None
    items = {line.item for line in lines}
    kin = {act: _kin(act, shelf) for act in acts}
    acting = set().union(*kin.values())
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        if not step.why:
            continue
        text, why = stems(f"{step.id} {step.text}"), stems(step.why)
        # Another word for it says a little less, and the reason less than the step.
        parts = [
            1.0 if act in text else 0.8 if kin[act] & text else 0.3 if kin[act] & why else 0.0
            for act in acts
        ]
        share = sum(parts) / len(acts)
        # Where no dish is meant, the step must tell of all that is asked.
        if share < _ENOUGH or (at_large and not all(parts)):
            continue
        told = sum(bool(kin[act] & why) for act in acts) / len(acts)
        uses = {u.item for name in step.uses if (u := line_for(recipe, name, shelf.corpus.pantry))}
        said = items and any(_spoken(line, step.text, shelf) for line in lines)
        # What only the reason speaks of is meant less surely.
        meant = 1.0 if items & uses or said else 0.5 if foods & (why if items else text) else 0.0
        if foods and not meant:
            continue
        # One word alone may mean something else ("the rest"), unless the reason speaks of it.
        alone = at_large or (not items and len(acts) < 2)
        named = acting & stems(f"{step.id} {recipe.title}")
        # Of several things that a step does, its reason may be that of another.
        first = acting & stems(re.split("[,;.]", step.text)[0])
        other = not foods or not foods <= why or not first
        if not told and not named and (alone or other):
            continue
        fit = 2 * share + 1.2 * told + meant
        if best is None or fit > best.fit or (last and fit == best.fit):
            told_ = aloud(step.why, acting, foods)
            best = Found(recipe, told_, step.id, at, fit, whole=step.why)
    return best


def _reason(recipe: Recipe, lines: Sequence[Line], shelf: Shelf) -> Found | None:
    """The recipe's reason for the first of some lines that has one."""
    for line in lines:
        for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
            of = line_for(recipe, reason.of, shelf.corpus.pantry)
            if of is not None and of.item == line.item:
                return Found(recipe, reason.text, line_name(line, shelf), at, 1.0, line)
    return None


def _first_use(
    recipe: Recipe,
    lines: Sequence[Line],
    foods: set[str],
    asked: set[str],
    shelf: Shelf,
    last: bool,
) -> Found | None:
    """The first step that uses one of the lines, or the last one, where its reason speaks of the
    foods ("why the potatoes before the salmon": of most of them), or of the order `asked` about."""
    items = {line.item for line in lines}
    found = [
        Found(
            recipe,
            aloud(step.why, foods, asked),
            step.id,
            at,
            len(foods & stems(step.why)),
            whole=step.why,
        )
        for step, at in zip(recipe.steps, recipe.step_lines, strict=True)
        if step.why
        and items
        & {u.item for name in step.uses if (u := line_for(recipe, name, shelf.corpus.pantry))}
    ]
    if last:
        found.reverse()
    best = max(found, key=lambda one: one.fit, default=None)
    return best if best is not None and (best.fit or asked) else None


def aloud(text: str, acts: set[str], foods: Collection[str] = ()) -> str:
    """The sentence of a reason that speaks most of what was asked; the first of several."""
    sentences = [part if part.endswith(".") else f"{part}." for part in text.split(". ")]
    spoken = [stems(one) for one in sentences]
    fits = [2 * len(acts & held) + len(held & set(foods)) for held in spoken]
    return sentences[fits.index(max(fits))]


def _spoken(line: Line, text: str, shelf: Shelf) -> bool:
    """Whether a text names a line's food by the last word of its name."""
    name = name_words(line_name(line, shelf))
    return bool(name) and stem(name[-1]) in stems(text)


def _kin(act: str, shelf: Shelf) -> set[str]:
    """The stems of the words that tell of the same act: to rest a batter is to let it stand."""
    groups = (group.split() for group in words_in(shelf, "purpose-kin"))
    return {act}.union(*(found for g in groups if act in (found := {stem(word) for word in g})))


def stems_in(shelf: Shelf, name: str) -> set[str]:
    return {stem(word) for word in words_in(shelf, name)}
