"""Pots, pans and tools: does the batch fit, how many, what instead, how long to the boil."""

from __future__ import annotations

import re
from collections.abc import Collection
from fractions import Fraction

import msgspec

from assistant.answer import Answer
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Equipment, Recipe
from assistant.kinds.equipment.boil import boil
from assistant.kinds.equipment.fit import asked_capacity, fit, vessels_given
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import (
    Shelf,
    ask_which_recipe,
    capital,
    listed,
    make,
    record_source,
)
from assistant.kinds.unknown import unknown
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular, stop_words

_ARTICLE = re.compile(r"^(?:an?|the|my) ", re.I)
_KINDS = ("equipment", "technique")
_WHICH = {"what", "which", "whats"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The vessel, the tool or the boil that the question is about, in that order of certainty."""
    recipe = shelf.recipe(reading)
    cooker = _cooker(reading, shelf)
    if cooker is not None and not shelf.says(reading, "equipment-fit"):
        return _in_a_cooker(reading, recipe, cooker, shelf)
    if recipe is None:
        found = best(reading, shelf, _KINDS)
        if found:
            return quoted(reading, shelf, found[1])
        # Of a tool by itself nothing is known; a batch, or "it", is one of ours.
        ours = ("pointing-words", "equipment-fit", "equipment-all", "boil-words", "dish-words")
        if reading.foods or any(shelf.says(reading, words) for words in ours):
            return ask_which_recipe(reading, shelf)
        return unknown(reading, shelf)
    if shelf.says(reading, "boil-words") and not shelf.says(reading, "equipment-fit"):
        made = boil(reading, recipe, shelf)
        if made is not None:
            return made
    tool = _replaced(reading, recipe, shelf) or find_equipment(reading, recipe, shelf)
    sized = asked_capacity(reading) is not None
    if shelf.says(reading, "equipment-instead") and reading.all("tool") and not sized:
        return _instead(reading, recipe, tool, shelf)
    if _asks_for_all(reading, shelf):
        return _everything(reading, recipe)
    sized = sized or reading.factor is not None or vessels_given(reading) is not None
    # "What pot do I need for 30?" asks for one that holds 30.
    sized = sized or bool(tool and reading.all("servings"))
    if shelf.says(reading, "equipment-fit") or sized or reading.has("many"):
        fitting = fit(reading, recipe, tool, shelf)
        if fitting is not None:
            return fitting
    asks_which = bool(_WHICH & set(reading.words))
    needed = shelf.says(reading, "equipment-need") and bool(reading.all("tool"))
    if needed or (asks_which and tool is not None):
        return _needed(reading, recipe, tool, shelf)
    found = best(reading, shelf, _KINDS)
    # A step that speaks of the pot says nothing of another one.
    if found and not (tool is not None and found[1].source == "recipe"):
        return quoted(reading, shelf, found[1])
    return _needed(reading, recipe, tool, shelf) if tool else unknown(reading, shelf)


def find_equipment(reading: Reading, recipe: Recipe, shelf: Shelf) -> Equipment | None:
    """The piece of the recipe's equipment that the question names: by its words, then by the other
    names of the tool ("stockpot" for the soup pot)."""
    said = {singular(word) for word in reading.words} - stop_words()
    named = reading.all("tool")
    spoken = {singular(w) for m in named for w in name_words(m.text)}
    heads = said & {singular(_plain(item).split()[-1]) for item in recipe.equipment}
    for have in (spoken & said, _other_names(named, shelf), heads):
        scored = [(len(have & _words(item)), -i) for i, item in enumerate(recipe.equipment)]
        top = max(scored, default=(0, 0))
        if top[0]:
            return recipe.equipment[-top[1]]
    return None


def _replaced(reading: Reading, recipe: Recipe, shelf: Shelf) -> Equipment | None:
    """The jars of "one big bowl instead of jars": what stands behind "instead of"."""
    text = " ".join(reading.words)
    if "instead of" not in text and "in place of" not in text:
        return None
    place = next(p for p, word in enumerate(reading.words) if word in {"instead", "place"})
    behind = tuple(m for m in reading.mentions if m.start > place)
    words = tuple(word if p > place else "" for p, word in enumerate(reading.words))
    rest = msgspec.structs.replace(reading, mentions=behind, words=words)
    return find_equipment(rest, recipe, shelf)


def _words(item: Equipment) -> set[str]:
    return {singular(word) for word in name_words(item.item)} - stop_words()


def _other_names(named: Collection[Mention], shelf: Shelf) -> set[str]:
    terms = (shelf.corpus.terms.get(m.id) for m in named)
    return {
        singular(word)
        for term in terms
        if term is not None
        for name in term.names
        for word in name_words(name)
    } - stop_words()


# ------------------------------------------------------------------------------------------ tools


def _cooker(reading: Reading, shelf: Shelf) -> Mention | None:
    """A slow cooker and its like: machines that a note speaks of, not the recipe."""
    listed_ = shelf.corpus.lists.get("cookers")
    known = listed_.words if listed_ else ()
    return next((m for m in reading.all("tool") if m.id in known), None)


def _in_a_cooker(reading: Reading, recipe: Recipe | None, cooker: Mention, shelf: Shelf) -> Answer:
    term = shelf.corpus.terms[cooker.id]
    words = name_words(term.names[0] if term.names else term.name)
    hits = shelf.index.search(tuple(words), k=8, kinds=("equipment",))
    passages = [shelf.passage(hit.passage) for hit in hits]
    # A note about the machine itself before a safety rule that mentions it.
    passages.sort(key=lambda p: (p.source != "note", not set(words) <= set(name_words(p.title))))
    said = " ".join(words)
    passage = next((p for p in passages if said in f"{p.title} {p.text}".lower()), None)
    if passage is None:
        return unknown(reading, shelf)
    # The note's own beginning: the words of the question would pick a sentence out of its middle.
    made = quoted(msgspec.structs.replace(reading, words=()), shelf, passage)
    told = recipe is not None and passage.record in recipe.notes
    if recipe is None or told:
        return made
    line = (
        f"The {recipe.title.lower()} itself was not tried in {term.name};"
        " its minutes do not carry over."
    )
    return msgspec.structs.replace(made, lines=(*made.lines, line))


def _instead(reading: Reading, recipe: Recipe, tool: Equipment | None, shelf: Shelf) -> Answer:
    if tool is None:
        return _not_used(reading, recipe, shelf)
    if not tool.instead:
        found = best(reading, shelf, _KINDS)
        if found:
            return quoted(reading, shelf, found[1])
        return make(
            reading,
            "unknown",
            f"The {recipe.title.lower()} names nothing to use instead of the {_plain(tool)}.",
            lines=(f"It is for {tool.use}.",) if tool.use else (),
            sources=(record_source(recipe),),
        )
    head, _, rest = tool.instead.partition("; ")
    headline = f"Instead of the {_plain(tool)}: {head}."
    lines = [f"{capital(rest)}."] if rest else []
    if len(headline) > 120:
        headline, lines = (
            f"There is something instead of the {_plain(tool)}.",
            [f"{capital(tool.instead)}."],
        )
    lines.append(f"The recipe uses the {_plain(tool)} for {tool.use}.")
    return make(reading, "quoted", headline, lines=lines, sources=(record_source(recipe),))


def _plain(tool: Equipment) -> str:
    """ "soup pot" of "soup pot with a lid"; the number in front of "2 small bowls" goes too."""
    return re.sub(r"^\d+ ", "", tool.item).split(" with ")[0]


def _article(tool: Equipment) -> str:
    name = _plain(tool)
    return f"an {name}" if name[0] in "aeiou" else f"a {name}"


def _not_used(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    named = listed([_ARTICLE.sub("", m.text) for m in reading.all("tool")][:2], "or")
    return make(
        reading,
        "quoted",
        f"No {named} is used for the {recipe.title.lower()}.",
        lines=(_all_line(recipe),),
        sources=(record_source(recipe),),
    )


def _needed(reading: Reading, recipe: Recipe, tool: Equipment | None, shelf: Shelf) -> Answer:
    if tool is None:
        return _not_used(reading, recipe, shelf)
    size = f" ({tool.capacity})" if tool.capacity else ""
    lines = [f"Instead of it: {tool.instead}."] if tool.instead else []
    many = tool.item[0].isdigit()
    what = f"{tool.item} are" if many else f"{capital(_article(tool))} is"
    headline = f"{what} used for the {recipe.title.lower()}{size}: {tool.use}."
    return make(reading, "quoted", headline, lines=lines, sources=(record_source(recipe),))


def _asks_for_all(reading: Reading, shelf: Shelf) -> bool:
    return shelf.says(reading, "equipment-all") and not reading.all("amount")


def _everything(reading: Reading, recipe: Recipe) -> Answer:
    if not recipe.equipment:
        return make(reading, "unknown", f"The {recipe.title.lower()} lists no equipment.")
    names = [_plain(tool) for tool in recipe.equipment]
    lines = [
        capital(tool.item)
        + (f", {tool.capacity}" if tool.capacity else "")
        + (f": {tool.use}." if tool.use else ".")
        for tool in recipe.equipment
    ]
    headline = f"{recipe.title}: {listed(names)}."
    if len(headline) > 120:
        headline = f"{recipe.title}: {len(names)} pieces of equipment, first a {names[0]}."
    return make(reading, "quoted", headline, lines=lines, sources=(record_source(recipe),))


def _all_line(recipe: Recipe) -> str:
    return f"It is made with {listed([_plain(tool) for tool in recipe.equipment])}."


def servings_of(reading: Reading, recipe: Recipe) -> Fraction:
    """The servings asked for, else those of the recipe."""
    if reading.factor is not None:
        return recipe.yields.servings * reading.factor
    return reading.servings if reading.servings is not None else Fraction(recipe.yields.servings)
