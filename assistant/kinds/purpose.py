"""Why a thing is done, or is in a dish: by the reasons that the recipe itself gives.

"Why press the tofu?" is answered by the `why` of the step that presses it, "why the low-sodium
broth?" by the recipe's reason for it and by what the regular kind would bring to a serving.
"""

from __future__ import annotations

import re
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
    reading = _asking_part(reading, shelf)
    recipe = shelf.recipe(reading)
    if not _asks_why(reading, shelf):
        return None if recipe is None else _makes(reading, recipe, shelf)
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
    if recipe is not None and _lacking(reading, recipe, shelf):
        return unknown(reading, shelf)
    return _less_salt_alone(reading, shelf) if recipe is None else None


def _asks_why(reading: Reading, shelf: Shelf) -> bool:
    """Whether a reason is asked for, and not why something went wrong."""
    said = " ".join(reading.words)
    if not any(_opens(f" {said} ", phrase) for phrase in words_in(shelf, "purpose-phrases")):
        return False
    by_cook = reading.has("you", "we", "i", "she", "they")
    return by_cook or not shelf.says(reading, "fault-words")


def _makes(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """What makes a dish as it is ("what makes it creamy?"), by the first reason that says so."""
    said = " ".join(reading.words)
    if not any(_opens(f" {said} ", phrase) for phrase in words_in(shelf, "making-phrases")):
        return None
    acts = _acts(reading, shelf) - _stems_in(shelf, "making-plain")
    for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
        of = line_for(recipe, reason.of, shelf.corpus.pantry)
        if of is not None and acts and acts <= stems(reason.text):
            found = _Found(recipe, _aloud(reason.text, acts), line_name(of, shelf), at, 1.0, of)
            return _told(reading, msgspec.structs.replace(found, whole=reason.text), shelf)
    return None


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
        names = {stem(word) for m in reading.all("ingredient") for word in m.text.split()}
        if _asks_why(part, shelf) and (part.foods or _acts(part, shelf) - names):
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
    # "Why is the coconut milk light": a word of what the recipe has is no act.
    acts = _acts(reading, shelf) - {w for line in lines for w in stems(line_name(line, shelf))}
    lacking = set() if at_large else _lacking(reading, recipe, shelf)
    if lacking:
        return _in_place_of(lacking, recipe, shelf)
    if at_large and not lines:
        return None
    words = {stem(w) for m in reading.all("ingredient") for w in m.text.split()}
    last = shelf.says(reading, "last-words")
    if acts:
        # "In the soup" says nothing of the red lentil soup.
        acts = acts - (stems(recipe.title) & _stems_in(shelf, "dish-nouns")) or acts
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
    asked = {stem(word) for word in reading.words} & _stems_in(shelf, "order-words")
    return _first_use(recipe, lines, words, asked, shelf, last)


def _in_place_of(named: set[str], recipe: Recipe, shelf: Shelf) -> _Found | None:
    """The reason that names what the recipe has not: "why is there no ham in it?"."""
    for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
        of = line_for(recipe, reason.of, shelf.corpus.pantry)
        if of is not None and named & stems(reason.text):
            return _Found(recipe, reason.text, line_name(of, shelf), at, 1.0, of)
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        if named & stems(step.why):
            return _Found(recipe, _aloud(step.why, named), step.id, at, 1.0, whole=step.why)
    return None


def _lacking(reading: Reading, recipe: Recipe, shelf: Shelf) -> set[str]:
    """The stems of the foods that a recipe does without, where that is asked about: "why no mayo";
    none where it has one of the foods named."""
    held = {line.item for line in recipe.lines}
    if not shelf.says(reading, "purpose-lack") or held & set(reading.foods):
        return set()
    named = [m.text for m in reading.all("ingredient") if m.id in reading.foods]
    named += [item.name for ident in reading.foods if (item := shelf.item(ident)) is not None]
    free = [m.text for m in reading.all("diet") if m.id.endswith("-free")]
    return {stem(text.split()[-1]) for text in (*named, *free)}


def _spoken_of(reason: _Found, acts: set[str], shelf: Shelf) -> _Found | None:
    """A reason, if it speaks of half of what is done, by whatever word, with what it says of it."""
    kin = [_kin(act, shelf) for act in acts]
    if sum(bool(one & stems(reason.text)) for one in kin) < _ENOUGH * len(acts):
        return None
    aloud = _aloud(reason.text, set().union(*kin))
    return msgspec.structs.replace(reason, text=aloud, whole=reason.text)


def _stems_in(shelf: Shelf, name: str) -> set[str]:
    return {stem(word) for word in words_in(shelf, name)}


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
    acts = {
        stem(word)
        for place, word in enumerate(reading.words)
        if place not in named and word not in plain
    }
    # What a thing is done in says little beside what is done.
    return acts - _stems_in(shelf, "vessel-words") or acts


def _step(
    recipe: Recipe,
    acts: set[str],
    lines: Sequence[Line],
    foods: set[str],
    shelf: Shelf,
    at_large: bool,
    last: bool,
) -> _Found | None:
    """The step with a reason that holds most of the acts, and uses what was named, in whose words
    (`foods`); the `last` of those that fit alike, or the first."""
    best: _Found | None = None
    items = {line.item for line in lines}
    kin = {act: _kin(act, shelf) for act in acts}
    for step, at in zip(recipe.steps, recipe.step_lines, strict=True):
        text, why = stems(f"{step.id} {step.text}"), stems(step.why)
        # Another word for it says a little less, and the reason less than the step.
        parts = [
            1.0 if act in text else 0.8 if kin[act] & text else 0.3 if kin[act] & why else 0.0
            for act in acts
        ]
        share = sum(parts) / len(acts)
        told = sum(bool(kin[act] & why) for act in acts) / len(acts)
        uses = {u.item for name in step.uses if (u := line_for(recipe, name, shelf.corpus.pantry))}
        said = items and any(_spoken(line, step.text, shelf) for line in lines)
        # What only the reason speaks of is meant less surely.
        meant = 1.0 if items & uses or said else 0.5 if foods & (why if items else text) else 0.0
        if not step.why or share < _ENOUGH or (foods and not meant):
            continue
        # One word alone may mean something else ("the rest"), unless the reason speaks of it.
        alone = at_large or (not items and len(acts) < 2)
        named = set().union(*kin.values()) & stems(f"{step.id} {recipe.title}")
        # Of several things that a step does, its reason may be that of another.
        first = set().union(*kin.values()) & stems(re.split("[,;.]", step.text)[0])
        other = not foods or not foods <= why or not first
        if not told and not named and (alone or other):
            continue
        fit = 2 * share + 1.2 * told + meant
        if best is None or fit > best.fit or (last and fit == best.fit):
            aloud = _aloud(step.why, set().union(*kin.values()), foods)
            best = _Found(recipe, aloud, step.id, at, fit, whole=step.why)
    return best


def _aloud(text: str, acts: set[str], foods: Collection[str] = ()) -> str:
    """The sentence of a reason that speaks most of what was asked; the first of several."""
    sentences = [part if part.endswith(".") else f"{part}." for part in text.split(". ")]
    spoken = [stems(one) for one in sentences]
    fits = [2 * len(acts & held) + len(held & set(foods)) for held in spoken]
    return sentences[fits.index(max(fits))]


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


def _first_use(
    recipe: Recipe,
    lines: Sequence[Line],
    foods: set[str],
    asked: set[str],
    shelf: Shelf,
    last: bool,
) -> _Found | None:
    """The first step that uses one of the lines, or the last one, where its reason speaks of the
    foods ("why the potatoes before the salmon": of most of them), or of the order `asked` about."""
    items = {line.item for line in lines}
    found = [
        _Found(
            recipe,
            _aloud(step.why, foods, asked),
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


def _told(reading: Reading, found: _Found, shelf: Shelf) -> Answer:
    """The reason aloud; for an ingredient with less salt, what the regular kind would bring."""
    recipe = found.recipe
    kind = reading.kind if reading.kind in {"ingredient", "technique"} else "technique"
    reading = msgspec.structs.replace(reading, kind=kind, recipe=recipe.id, rivals=())
    source = record_source(recipe, found.line)
    item = shelf.item(found.item.item) if found.item is not None else None
    salt = words_in(shelf, "less-salt-words") - {"no", "added"}
    asked = set(reading.words) & (salt | words_in(shelf, "regular-words"))
    # Light coconut milk has a regular kind, too, but it is not there for the salt.
    salty = asked and item is not None and salt & set(name_words(item.name))
    regular = regular_kind(item, shelf) if item is not None and salty else None
    change = with_other(recipe, regular, (item.id,), shelf) if item and regular else None
    if change is not None:
        made = of_change(reading, recipe, change, [shelf.corpus.nutrients["sodium"]], shelf)
        taken = [line for line in made.lines if line.startswith("Taken as:")]
        rest = [line for line in made.lines if line not in taken]
        lines = (*taken, f"{capital(found.of)}: {found.text}", *rest)
        return msgspec.structs.replace(
            made,
            headline=_regular_headline(made, regular or "", recipe, shelf),
            lines=lines,
            sources=(source, *made.sources),
        )
    text = f"{capital(found.of)}: {found.text}" if found.item is not None else found.text
    headline, _ = split_headline(text)
    if headline.endswith("…"):
        headline, _ = split_headline(found.text)
    cut = found.text[:LONGEST_HEADLINE].rfind("; ")
    if headline.endswith("…") and cut > 0:
        headline = f"{found.text[:cut]}."
    told = found.whole or found.text
    told = "" if headline.endswith(told) else told
    of = f"The {recipe.title.lower()} says so of its "
    of += f"{found.of}." if found.item is not None else f'step "{found.of.replace("-", " ")}".'
    lines = (told, of) if told else (of,)
    return make(reading, "quoted", headline, (), lines, (source,))


def _regular_headline(made: Answer, regular: str, recipe: Recipe, shelf: Shelf) -> str:
    """What the regular kind would bring: the figure after, before and the difference are there."""
    item, (after, _, more) = shelf.item(regular), made.figures[:3]
    if item is None or not more.value or more.value < 0:
        return made.headline
    name = next((n for n in item.names if n.startswith("regular ")), item.name)
    would = f"With {name} one {recipe.yields.unit} would have {after.shown} sodium"
    return f"{would}, {more.shown.removeprefix('+')} more."
