"""Why a thing is done, or is in a dish: by the reasons that the recipe itself gives.

"Why press the tofu?" is answered by the `why` of the step that presses it, "why the low-sodium
broth?" by the recipe's reason for it and by what the regular kind would bring to a serving.
"""

from __future__ import annotations

from itertools import pairwise

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import line_for
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Recipe
from assistant.kinds.change import regular_kind, with_other
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.crossed import stems
from assistant.kinds.named import the_one
from assistant.kinds.nutrition.changed import of_change
from assistant.kinds.nutrition.compare import two_foods
from assistant.kinds.quote import LONGEST_HEADLINE, split_headline
from assistant.kinds.reasons import Found, acts_of, aloud, in_recipe, lacking, stems_in
from assistant.kinds.shelf import Shelf, capital, line_name, make, record_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, tokens


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
        found = in_recipe(reading, recipe, shelf)
    else:
        every = (in_recipe(reading, r, shelf, True) for r in shelf.corpus.recipes.values())
        # The first of those that fit best: the reasons for one act are much alike.
        found = max((f for f in every if f), key=lambda f: f.fit, default=None)
    if found is not None:
        return _told(reading, found, shelf)
    if recipe is not None and lacking(reading, recipe, shelf):
        return unknown(reading, shelf)
    return _less_salt_alone(reading, shelf) if recipe is None else None


def _asks_why(reading: Reading, shelf: Shelf) -> bool:
    """Whether a reason is asked for, and not why something went wrong."""
    said = " ".join(reading.words)
    if not any(_opens(f" {said} ", phrase) for phrase in words_in(shelf, "purpose-phrases")):
        return False
    by_cook = shelf.says(reading, "cook-pronouns")
    return by_cook or not shelf.says(reading, "fault-words")


def _makes(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """What makes a dish as it is ("what makes it creamy?"), by the first reason that says so."""
    said = " ".join(reading.words)
    if not any(_opens(f" {said} ", phrase) for phrase in words_in(shelf, "making-phrases")):
        return None
    acts = acts_of(reading, shelf) - stems_in(shelf, "making-plain")
    for reason, at in zip(recipe.why, recipe.why_lines, strict=True):
        of = line_for(recipe, reason.of, shelf.corpus.pantry)
        if of is not None and acts and acts <= stems(reason.text):
            found = Found(recipe, aloud(reason.text, acts), line_name(of, shelf), at, 1.0, of)
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
        if _asks_why(part, shelf) and (part.foods or acts_of(part, shelf) - names):
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


def _less_salt_alone(reading: Reading, shelf: Shelf) -> Answer | None:
    """A food with less salt beside the regular kind, where no dish is meant."""
    items = [item for ident in reading.foods if (item := shelf.item(ident)) is not None]
    regular = regular_kind(items[0], shelf) if len(items) == 1 else None
    if regular is None or acts_of(reading, shelf):
        return None
    reading = msgspec.structs.replace(reading, kind="nutrition")
    sodium = [shelf.corpus.nutrients["sodium"]]
    return two_foods(reading, (items[0].id, regular), sodium, shelf)


def _told(reading: Reading, found: Found, shelf: Shelf) -> Answer:
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
