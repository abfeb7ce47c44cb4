"""How well a note or a safety rule fits a question that no kind could work out.

A note of the programme is quoted where it is as good as certain that it answers: a weighed sum of
six signs must be above zero. The weights are those of a logistic regression, fitted by
scripts/calibrate_notes.py on the project's own questions about its notes against public questions,
nearly all of which the notes do not answer; the script prints how many of each pass.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from assistant.answer import Answer
from assistant.kinds.crossed import listed, stems
from assistant.kinds.quote import asked_words, is_its_own, is_of_other_food, likeness, quoted
from assistant.kinds.safety.tell import tell
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Reading
from assistant.retrieval.index import Passage, coverage
from assistant.retrieval.words import stem, stop_words

# Passages of any kind that are looked at, best first, and notes and rules among them; the share of
# the question's weight that one must hold.
_PASSAGES, _MOST = 12, 6
_LEAST = 0.3


class Signs(msgspec.Struct, frozen=True):
    """What speaks for a passage: `near` (0 to 1) how like the question is to its title or one of
    its asks, `missed` the share of the question's telling words that stand nowhere in it, `outside`
    how many of those are words the corpus does not know, `kind` whether it is of the question's
    kind, `foods` whether it is about every food that is named, `asks` whether the text asks or
    tells of something at all: a bare heading says too little to be sure."""

    near: float
    missed: float
    outside: int
    kind: bool
    foods: bool
    asks: bool


WEIGHTS = (5.24, -3.35, -1.19, 0.99, 1.11, 2.23)
BASE = -7.50
# What it adds that the programme's own audience asks: it asks about what it has seen cooked.
HOME = 1.5
# Below this fit a note that a kind has quoted by its words is not shown, and the kinds that do so.
DOUBT = -2.0
_BY_WORDS = {"technique", "equipment"}
# A fit above which a note answers better than asking back does.
SURE = 1.0


def fit(signs: Signs) -> float:
    """The weighed sum of the signs; above zero the passage answers."""
    values = (signs.near, signs.missed, signs.outside, signs.kind, signs.foods, signs.asks)
    return BASE + sum((w * value for w, value in zip(WEIGHTS, values, strict=True)), 0.0)


def answer_from_notes(reading: Reading, shelf: Shelf, above: float = 0.0) -> Answer | None:
    """The note or safety rule whose fit is above a value, quoted under its own kind; or None."""
    found = best_note(reading, shelf)
    if found is None:
        return None
    passage = found[1]
    its_own = is_its_own(reading, passage, shelf)
    if found[0] + (HOME if its_own or _is_at_home(reading, shelf) else 0.0) <= above:
        return None
    kind = reading.kind if reading.kind in passage.kinds else passage.kinds[0]
    asked = msgspec.structs.replace(reading, kind=kind)
    rule = shelf.corpus.safety.get(passage.record)
    return quoted(asked, shelf, passage) if rule is None else tell(asked, [rule], shelf)


def is_doubtful(reading: Reading, answer: Answer, shelf: Shelf) -> bool:
    """Whether an answer quotes a note that hardly fits: a kind finds its notes by words alone, and
    advice for a rye loaf is no rule on moldy loaves."""
    quoted_ = answer.sources[0].id if answer.verdict == "quoted" and answer.sources else ""
    if quoted_ not in shelf.corpus.notes and quoted_ not in shelf.corpus.safety:
        return False
    recipe = shelf.recipe(reading)
    its_own = recipe is not None and quoted_ in recipe.notes
    if answer.kind not in _BY_WORDS or its_own or _is_at_home(reading, shelf):
        return False
    fit_ = next((fit(s) for s, p in fits(reading, shelf) if p.record == quoted_), BASE)
    return fit_ < DOUBT


def _is_at_home(reading: Reading, shelf: Shelf) -> bool:
    """Whether somebody of the programme's own audience asks: a recipe is set beforehand, or the
    cook is spoken to ("why did you press the tofu?"). One telling word says too little for that
    to count: "how much per person?" is no question about dressing."""
    pinned = bool(reading.recipe) and not reading.all("recipe")
    text = f" {' '.join(reading.words)} "
    spoken_to = any(f" {phrase} " in text for phrase in listed(shelf, "audience-phrases"))
    return (pinned or spoken_to) and len(telling_words(reading, shelf)) > 1


def best_note(reading: Reading, shelf: Shelf) -> tuple[float, Passage] | None:
    """The note or safety rule that fits best, with its fit."""
    found = [(fit(signs), passage) for signs, passage in fits(reading, shelf)]
    return max(found, key=lambda one: (one[0], one[1].id), default=None)


def fits(reading: Reading, shelf: Shelf) -> list[tuple[Signs, Passage]]:
    """The notes and safety rules nearest to a question, each with its signs."""
    words = asked_words(reading.words, shelf)
    found = [(hit, shelf.passage(hit.passage)) for hit in shelf.index.search(words, k=_PASSAGES)]
    told = [(hit, p) for hit, p in found if p.source in {"note", "safety"}][:_MOST]
    foods = {word for m in reading.all("ingredient") for word in m.text.split()}
    dishes = listed(shelf, "dish-nouns")
    # That it is eaten says nothing of what is done to a food.
    plain = foods | dishes | listed(shelf, "eating-words")
    doing = [word for word in telling_words(reading, shelf) if word not in plain]
    if not doing and not shelf.says(reading, "question-openers"):
        return []  # "I love the soup" asks nothing
    return [
        (signs_of(reading, words, p, shelf), p)
        for hit, p in told
        if coverage(hit) >= _LEAST
        and _is_about(doing, foods, p)
        and not is_of_other_food(reading, p, shelf)
    ]


def _is_about(doing: Sequence[str], foods: Collection[str], passage: Passage) -> bool:
    """Whether a passage is asked for by more than one food's name: cutting a mango is not ripening
    one. `doing` are the question's words that name no food; where there are none, the food does,
    and two foods say as much as a food and what is done to it."""
    own = stems(passage.title, *passage.asks)
    named = {stem(word) for word in foods} & own
    return not doing or any(stem(word) in own for word in doing) or len(named) > 1


def signs_of(reading: Reading, words: Sequence[str], passage: Passage, shelf: Shelf) -> Signs:
    """The signs for one passage; `words` are the question's without those that only ask."""
    own = stems(passage.title, *passage.asks, *passage.ingredients)
    held = own | stems(passage.text)
    telling = [word for word in telling_words(reading, shelf) if word in words]
    missed = [word for word in telling if stem(word) not in held]
    foods = (stems(m.text) for m in reading.all("ingredient"))
    asks = passage.asks
    if shelf.says(reading, "why-words"):
        # What is done about a thing does not say why it is so.
        asks = tuple(ask for ask in asks if set(ask.lower().split()) & listed(shelf, "why-words"))
    return Signs(
        near=likeness(reading, words, msgspec.structs.replace(passage, asks=asks), shelf),
        missed=len(missed) / max(len(telling), 1),
        outside=sum(stem(word) not in held for word in reading.outside),
        kind=reading.kind in passage.kinds,
        foods=all(food & own for food in foods),
        asks=shelf.says(reading, "asking-openers"),
    )


def telling_words(reading: Reading, shelf: Shelf) -> list[str]:
    """The words of a question that tell what it is about."""
    plain = listed(shelf, "everyday-words") | listed(shelf, "filler-words") | stop_words()
    plain |= shelf.asking_words
    return [w for w in reading.words if w not in plain and w.isalpha() and len(w) > 1]
