"""Why a thing is done, or is in a dish: by the reasons that the recipe itself gives.

"Why press the tofu?" is answered by the `why` of the step that presses it, "why the low-sodium
broth?" by the recipe's reason for it and by what the regular kind would bring to a serving.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import line_for
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.change import regular_kind, stood_for_by, with_other
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.crossed import stems
from assistant.kinds.named import lines_named, the_one
from assistant.kinds.nutrition.changed import of_change
from assistant.kinds.nutrition.compare import two_foods
from assistant.kinds.quote import LONGEST_HEADLINE, split_headline
from assistant.kinds.shelf import Shelf, capital, line_name, make, record_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words, tokens

# Of the words of a question that tell what is done, a step must hold so much.
_ENOUGH = 0.5


class _Found(msgspec.Struct, frozen=True):
    """A reason with what it is of, the line of the file it stands in, and how well it fits; `text`
    is what of the `whole` is said aloud."""

    recipe: Recipe
    text: str
    of: str
    line: int
    fit: float
    item: Line | None = None
    whole: str = ""


def purpose(reading: Reading, shelf: Shelf) -> Answer | None:
    """The reason asked for; None where none is asked for or none is on record."""
    if not _asks_why(reading, shelf):
        return None
    reading = _asking_part(reading, shelf)
    recipe = shelf.recipe(reading)
    if recipe is None and (one := the_one(reading, shelf)) is not None:
        recipe = one[0]
        reading = msgspec.structs.replace(reading, recipe=recipe.id, mentions=one[1])
    if recipe is not None:
        found = _in_recipe(reading, recipe, shelf)
    else:
        every = (_in_recipe(reading, r, shelf, True) for r in shelf.corpus.recipes.values())
        # The first of those that fit best: the reasons for one act are much alike.
        found = max((f for f in every if f), key=lambda f: f.fit, default=None)
    if found is not None:
        return _told(reading, found, shelf)
    if recipe is not None and _left_out(reading, recipe, shelf):
        return unknown(reading, shelf)
    return _less_salt_alone(reading, shelf) if recipe is None else None


def _asks_why(reading: Reading, shelf: Shelf) -> bool:
    """Whether a reason is asked for, and not why something went wrong."""
    said = " ".join(reading.words)
    if not any(_opens(f" {said} ", phrase) for phrase in words_in(shelf, "purpose-phrases")):
        return False
    by_cook = reading.has("you", "we", "i", "she", "they")
    return by_cook or not shelf.says(reading, "fault-words")


def _asking_part(reading: Reading, shelf: Shelf) -> Reading:
    """The reading without what only goes with the question: "why garlic so late, my mother always
    starts with it", "why rinse them if there is no salt". The whole where the rest asks nothing."""
    found = tokens(reading.text)
    if tuple(token.text for token in found) != reading.words:
        return reading
    aside = words_in(shelf, "purpose-asides")
    cuts = [0]
    cuts += [at for at, t in enumerate(found) if at and (t.after_break or t.text in aside)]
    cuts.append(len(found))
    signs = words_in(shelf, "purpose-signs")
    for start, end in pairwise(cuts):
        if not signs & set(reading.words[start:end]):
            continue
        part = msgspec.structs.replace(
            reading,
            words=reading.words[start:end],
            mentions=tuple(
                msgspec.structs.replace(m, start=m.start - start, end=m.end - start)
                for m in reading.mentions
                if start <= m.start and m.end <= end
            ),
        )
        if _asks_why(part, shelf) and (part.foods or _acts(part, shelf)):
            return part
    return reading


def _opens(said: str, phrase: str) -> bool:
    """Whether a text holds a phrase's parts in order; `...` stands for anything between them, `$`
    for the end."""
    whole, end, _ = phrase.partition(" $")
    at = 0
    for part in whole.split(" ... "):
        place = said.find(f" {part} ", at)
        if place < 0:
            return False
        at = place + len(part) + 1
    return not end or not said[at:].strip()


def _in_recipe(
    reading: Reading, recipe: Recipe, shelf: Shelf, at_large: bool = False
) -> _Found | None:
    """The reason in one recipe. `at_large`, where no recipe is meant, both an act and a food must
    be the recipe's."""
    lines = _lines(reading, recipe, shelf)
    acts = _acts(reading, shelf)
    if reading.foods and not lines:
        return None if at_large else _in_place_of(reading, recipe, shelf)
    last = shelf.says(reading, "last-words")
    if acts:
        if at_large and not lines:
            return None
        found = _step(recipe, acts, lines, shelf, at_large, last)
        if found is not None or at_large:
            return found
        reason = _reason(recipe, lines, shelf)
        if reason is not None and _tells(reason.text, acts, shelf):
            return reason
        putting = words_in(shelf, "purpose-putting") | words_in(shelf, "dish-nouns")
        if not acts <= {stem(word) for word in putting}:
            return None
    if at_large:
        return None
    ordered = shelf.says(reading, "order-words")
    if not ordered and (reason := _reason(recipe, lines, shelf)) is not None:
        return reason
    return _first_use(recipe, lines, shelf, last)


def _in_place_of(reading: Reading, recipe: Recipe, shelf: Shelf) -> _Found | None:
    """The reason that names a food which the recipe has not: "why is there no ham in it?"."""
    if not _left_out(reading, recipe, shelf):
        return None
    named = {stem(m.text.split()[-1]) for m in reading.all("ingredient") if m.id in reading.foods}
    for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
        of = line_for(recipe, reason.of, shelf.corpus.pantry)
        if of is not None and named & stems(reason.text):
            return _Found(recipe, reason.text, line_name(of, shelf), at, 1.0, of)
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        if named & stems(step.why):
            return _Found(recipe, _aloud(step.why, named), step.id, at, 1.0, whole=step.why)
    return None


def _left_out(reading: Reading, recipe: Recipe, shelf: Shelf) -> bool:
    """Whether the question is why a recipe does without a food: "why no mayo"."""
    held = {line.item for line in recipe.lines}
    without = shelf.says(reading, "purpose-lack")
    return without and bool(reading.foods) and not held & set(reading.foods)


def _tells(text: str, acts: set[str], shelf: Shelf) -> bool:
    """Whether a text speaks of half of what is done, by whatever word."""
    held = stems(text)
    return sum(bool(_kin(act, shelf) & held) for act in acts) >= _ENOUGH * len(acts)


def _kin(act: str, shelf: Shelf) -> set[str]:
    """The stems of the words that tell of the same act: to rest a batter is to let it stand."""
    groups = (group.split() for group in words_in(shelf, "purpose-kin"))
    return {act}.union(*(found for g in groups if act in (found := {stem(word) for word in g})))


def _less_salt_alone(reading: Reading, shelf: Shelf) -> Answer | None:
    """A food with less salt beside the regular kind, where no dish is meant."""
    items = [item for ident in reading.foods if (item := shelf.item(ident)) is not None]
    regular = regular_kind(items[0], shelf) if len(items) == 1 else None
    if regular is None or _acts(reading, shelf):
        return None
    reading = msgspec.structs.replace(reading, kind="nutrition")
    sodium = [shelf.corpus.nutrients["sodium"]]
    return two_foods(reading, (items[0].id, regular), sodium, shelf)


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


def _acts(reading: Reading, shelf: Shelf) -> set[str]:
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
    return {
        stem(word)
        for place, word in enumerate(reading.words)
        if place not in named and word not in plain
    }


def _step(
    recipe: Recipe,
    acts: set[str],
    lines: Sequence[Line],
    shelf: Shelf,
    at_large: bool,
    last: bool,
) -> _Found | None:
    """The step with a reason that holds most of the acts, and uses what was named; the `last` of
    those that fit alike, or the first."""
    best: _Found | None = None
    items = {line.item for line in lines}
    kin = {act: _kin(act, shelf) for act in acts}
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        text, why = stems(f"{step.id} {step.text}"), stems(step.why)
        # Another word for it says a little less.
        parts = [1.0 if act in text else 0.8 if kin[act] & text else 0.0 for act in acts]
        share = sum(parts) / len(acts)
        told = sum(bool(kin[act] & why) for act in acts) / len(acts)
        uses = {u.item for name in step.uses if (u := line_for(recipe, name, shelf.corpus.pantry))}
        said = items and any(_spoken(line, step.text, shelf) for line in lines)
        meant = bool(items & uses or said)
        if not step.why or share < _ENOUGH or (items and not meant):
            continue
        # One word alone may mean something else ("the rest"), unless the reason speaks of it.
        alone = at_large or (not items and len(acts) < 2)
        named = set().union(*kin.values()) & stems(step.id)
        # Of several things that a step does, its reason may be that of another.
        other = not any(_spoken(line, step.why, shelf) for line in lines)
        if not told and not named and (alone or other):
            continue
        fit = 2 * share + told + meant
        if best is None or fit > best.fit or (last and fit == best.fit):
            words = set().union(*kin.values())
            foods = {stem(name_words(line_name(line, shelf))[-1]) for line in lines}
            aloud = _aloud(step.why, words, foods)
            best = _Found(recipe, aloud, step.id, at, fit, whole=step.why)
    return best


def _aloud(text: str, acts: set[str], foods: Collection[str] = ()) -> str:
    """The sentence of a reason that speaks most of what was asked; the first of several."""
    sentences = [part if part.endswith(".") else f"{part}." for part in text.split(". ")]
    return max(sentences, key=lambda one: len((acts | set(foods)) & stems(one)))


def _spoken(line: Line, text: str, shelf: Shelf) -> bool:
    """Whether a text names a line's food by the last word of its name."""
    name = name_words(line_name(line, shelf))
    return bool(name) and stem(name[-1]) in stems(text)


def _reason(recipe: Recipe, lines: Sequence[Line], shelf: Shelf) -> _Found | None:
    """The recipe's reason for the first of some lines that has one."""
    for line in lines:
        for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
            of = line_for(recipe, reason.of, shelf.corpus.pantry)
            if of is not None and of.item == line.item:
                return _Found(recipe, reason.text, line_name(line, shelf), at, 1.0, line)
    return None


def _first_use(recipe: Recipe, lines: Sequence[Line], shelf: Shelf, last: bool) -> _Found | None:
    """The first step that uses one of the lines, or the last one, where it says why; of several
    foods ("why the potatoes before the salmon") the one whose reason speaks of most of them."""
    items = {line.item for line in lines}
    found = [
        _Found(recipe, step.why, step.id, at, sum(_spoken(line, step.why, shelf) for line in lines))
        for step, at in zip(recipe.steps, recipe.step_lines, strict=True)
        if step.why
        and items
        & {u.item for name in step.uses if (u := line_for(recipe, name, shelf.corpus.pantry))}
    ]
    if len(items) > 1:
        return max(found[::-1] if last else found, key=lambda one: one.fit, default=None)
    return (found[-1] if last else found[0]) if found else None


def _told(reading: Reading, found: _Found, shelf: Shelf) -> Answer:
    """The reason aloud; for an ingredient with less salt, what the regular kind would bring."""
    recipe = found.recipe
    kind = reading.kind if reading.kind in {"ingredient", "technique"} else "technique"
    reading = msgspec.structs.replace(reading, kind=kind, recipe=recipe.id, rivals=())
    source = record_source(recipe, found.line)
    item = shelf.item(found.item.item) if found.item is not None else None
    regular = regular_kind(item, shelf) if item is not None else None
    change = with_other(recipe, regular, (item.id,), shelf) if item and regular else None
    if change is not None:
        made = of_change(reading, recipe, change, [shelf.corpus.nutrients["sodium"]], shelf)
        taken = [line for line in made.lines if line.startswith("Taken as:")]
        rest = [line for line in made.lines if line not in taken]
        lines = (*taken, f"{capital(found.of)}: {found.text}", *rest)
        return msgspec.structs.replace(made, lines=lines, sources=(source, *made.sources))
    named = f"{capital(found.of)}: {found.text}"
    text = named if found.item is not None else found.text
    headline, more = split_headline(text)
    if headline.endswith("…"):
        text, (headline, more) = found.text, split_headline(found.text)
    cut = found.text[:LONGEST_HEADLINE].rfind("; ")
    if headline.endswith("…") and cut > 0:
        headline = f"{found.text[:cut]}."
    told = found.whole if found.whole != found.text else more
    of = f"The {recipe.title.lower()} says so of its "
    of += f"{found.of}." if found.item is not None else f'step "{found.of.replace("-", " ")}".'
    lines = (told, of) if told and told != headline else (of,)
    return make(reading, "quoted", headline, (), lines, (source,))
