"""Answers that quote a note or a rule: found by words, shown only when they cover the question."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from assistant.answer import Answer, Source
from assistant.corpus.records import Note
from assistant.corpus.rules import SafetyRule
from assistant.kinds.crossed import listed, stems
from assistant.kinds.shelf import Shelf, make, reference_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.retrieval.excerpt import excerpt
from assistant.retrieval.index import Hit, Passage, coverage
from assistant.retrieval.words import stem, stop_words, tokens

# Below this share of the question's weight a passage is about something else. Calibrated on the
# project's own examples (see scripts/evaluate.py).
ENOUGH = 0.6
# Below this likeness to what a passage says it answers, it answers something else. Calibrated on
# the technique examples, all but a few of which lie above 0.7.
NEAR = 0.6
# Away from our own recipes a likeness must be greater: of public questions below it most got a note
# beside the point, above it few.
NEAR_AWAY = 0.7
# How like a step of the recipe in hand is taken to be that holds every word of the question.
_ALL_HELD = 0.8
MOST = 5
# How much more than another a note counts that the recipe in hand refers to.
_ITS_NOTES = 1.2
# What is added to its likeness: of two notes nearly as like, the recipe's own is meant.
_OWN = 0.1
LONGEST_HEADLINE = 120


def quote(reading: Reading, shelf: Shelf, kinds: Collection[str], own: float = 1.3) -> Answer:
    """The best passage of these kinds, quoted with its source; `unknown` where none covers it."""
    found = best(reading, shelf, kinds, own=own)
    if found is None:
        return unknown(reading, shelf)
    return quoted(reading, shelf, found[1])


def best(
    reading: Reading,
    shelf: Shelf,
    kinds: Collection[str],
    enough: float = ENOUGH,
    own: float = 1.3,
) -> tuple[Hit, Passage] | None:
    """The passage that fits best, if it covers enough of the question and is about its foods.

    `own` weighs the passages of the recipe in hand.
    """
    words = asked_words(reading.words, shelf)
    recipe = shelf.recipe(reading)
    boost = {recipe.id: own, **dict.fromkeys(recipe.notes, _ITS_NOTES)} if recipe else None
    found: list[tuple[float, int, Hit, Passage]] = []
    amiss = shelf.says(reading, "amiss-words")
    for place, hit in enumerate(shelf.index.search(words, k=MOST, kinds=kinds, boost=boost)):
        passage = shelf.passage(hit.passage)
        if amiss and passage.source == "recipe":
            # A step says how a thing is done, and not what to do when it went wrong.
            continue
        if coverage(hit) < enough or not _is_about(reading, hit, passage, shelf):
            continue
        if is_of_other_food(reading, passage, shelf):
            continue
        if passage.source == "recipe" and not _tells_more(reading, words, passage):
            continue
        near = NEAR if passage.source == "recipe" else likeness(reading, words, passage, shelf)
        if passage.source == "recipe" and passage.record == reading.recipe and coverage(hit) >= 1:
            # A step of the recipe in hand that holds every word tells more than a note like it.
            near = _ALL_HELD
        near += _OWN if is_its_own(reading, passage, shelf) else 0.0
        if near >= (NEAR if reading.recipe else NEAR_AWAY) or passage.source == "recipe":
            found.append((-near, place, hit, passage))
    if not found:
        return None
    _, _, hit, passage = min(found, key=lambda f: f[:2])
    return hit, passage


def likeness(reading: Reading, words: Sequence[str], passage: Passage, shelf: Shelf) -> float:
    """How like a question is to a passage, whether it names the note's food or one of its kind."""
    texts = (passage.title, *passage.asks)
    note = shelf.corpus.notes.get(passage.record)
    held = set(note.ingredients) if note is not None else set()
    foods = {w for m in reading.all("ingredient") if m.id in held for w in m.text.split()}
    other = [word for word in words if word not in foods]
    near = max(nearness(words, texts, shelf), nearness(other, texts, shelf) if foods else 0.0)
    recipe = shelf.recipe(reading)
    if recipe and is_its_own(reading, passage, shelf) and _speaks_of(words, texts, shelf):
        # "Mine are not crunchy", of the roasted chickpeas, leaves the dish unsaid.
        title = [token.text for token in tokens(recipe.title)]
        near = max(near, nearness([*words, *title], texts, shelf))
    return near


def is_its_own(reading: Reading, passage: Passage, shelf: Shelf) -> bool:
    """Whether a note is one that the recipe in hand refers to, and more than a reason is asked for:
    what to do is no reason why."""
    recipe = shelf.recipe(reading)
    reason = shelf.says(reading, "why-words") and not shelf.says(reading, "fault-words")
    return recipe is not None and passage.record in recipe.notes and not reason


def _speaks_of(words: Sequence[str], texts: Sequence[str], shelf: Shelf) -> bool:
    """Whether a word that tells of more than a dish ("the stew was lovely") stands in the texts."""
    plain = stop_words() | listed(shelf, "dish-nouns")
    own = stems(*texts)
    return any(stem(word) in own for word in words if word not in plain)


def nearness(words: Sequence[str], texts: Sequence[str], shelf: Shelf) -> float:
    """How like a question is to the nearest of a passage's title and its questions: 0 to 1.

    Dice's coefficient of their terms weighed by idf: a passage may hold every word of a question
    somewhere in its text and still be about something else.
    """
    asked = shelf.index.weigh(words)
    best = 0.0
    for text in texts:
        other = shelf.weighed(text)
        total = math.fsum(asked.values()) + math.fsum(other.values())
        shared = math.fsum(weight for term, weight in asked.items() if term in other)
        best = max(best, 2 * shared / total if total else 0.0)
    return best


def asked_words(words: Sequence[str], shelf: Shelf) -> list[str]:
    """The words without those that only ask."""
    return [word for word in words if word not in shelf.asking_words]


def is_of_other_food(reading: Reading, passage: Passage, shelf: Shelf) -> bool:
    """Whether a note is about foods that neither the recipe in hand has nor the question names:
    how fish is turned says nothing of pancakes."""
    recipe, note = shelf.recipe(reading), shelf.corpus.notes.get(passage.record)
    if recipe is None or note is None or reading.foods or note.id in recipe.notes:
        return False
    named = {stem(word) for word in reading.words if word not in stop_words()}
    if not note.ingredients or named & stems(note.title):
        return False
    return not {line.item for line in recipe.lines} & set(note.ingredients)


def _is_about(reading: Reading, hit: Hit, passage: Passage, shelf: Shelf) -> bool:
    """Whether the passage holds every food and dish that the question names.

    A step belongs to its recipe and answers for no other. A passage on tomatoes says nothing of
    tomato jam.
    """
    if passage.source == "recipe":
        return passage.record == reading.recipe
    held = set(hit.words)
    foods = (m.text.split() for m in reading.all("ingredient") if m.id in reading.foods)
    if not all(held & set(words) for words in foods):
        return False
    dishes = shelf.corpus.lists.get("dish-nouns")
    named = set(reading.outside) & set(dishes.words) if dishes else set()
    return named <= held


def _tells_more(reading: Reading, words: Sequence[str], passage: Passage) -> bool:
    """Whether a step holds half of what a question says besides the dish it is of."""
    named = {w for m in reading.all("recipe") for w in m.text.split()}
    rest = [stem(word) for word in words if word not in named and word not in stop_words()]
    held = stems(passage.text)
    return bool(rest) and 2 * sum(word in held for word in rest) >= len(rest)


def quoted(reading: Reading, shelf: Shelf, passage: Passage) -> Answer:
    """A passage as an answer: its first fitting sentence aloud, the rest below."""
    # A note's first sentence is its answer.
    text = excerpt(passage.text, reading.words, limit=420, first=passage.source == "note")
    headline, rest = split_headline(text)
    sources = [Source(id=passage.record, title=passage.title, where=passage.where)]
    sources += [reference_source(shelf, ident) for ident in _cited(passage, shelf)]
    return make(reading, "quoted", headline, lines=(rest,) if rest else (), sources=sources)


def split_headline(text: str) -> tuple[str, str]:
    """The first sentence of a text as a headline, and what follows."""
    for end in (". ", "! ", "? "):
        place = text.find(end)
        if 0 < place < LONGEST_HEADLINE:
            return text[: place + 1], text[place + 2 :].strip()
    if len(text) <= LONGEST_HEADLINE:
        return text, ""
    cut = text.rfind(" ", 0, LONGEST_HEADLINE - 1)
    return text[:cut] + " …", text


def _cited(passage: Passage, shelf: Shelf) -> tuple[str, ...]:
    corpus = shelf.corpus
    record: Note | SafetyRule | None = (
        corpus.notes.get(passage.record)
        if passage.source == "note"
        else corpus.safety.get(passage.record)
        if passage.source == "safety"
        else None
    )
    if isinstance(record, Note):
        return record.sources
    if isinstance(record, SafetyRule):
        return (record.source,)
    if passage.source == "swap":
        return corpus.swaps[passage.record].sources
    return ("common-practice",) if passage.source == "recipe" else ()
