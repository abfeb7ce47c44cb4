"""Whether an answer is about what was asked: a figure beside the point is worse than none."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words, tokens

# Of this many words that tell what is asked, one may be passed over.
FEW = 4
# Where the question names a recipe of ours, half of them may.
FEW_AT_HOME = 2
# A longer message that names a recipe of ours tells more than it asks.
SHORT = 10


def is_elsewhere(reading: Reading, shelf: Shelf) -> bool:
    """Whether a question names something else, so that no missing detail would help.

    "How long does ceviche keep?" is about ceviche, "how long does it keep?" about a recipe that
    was not named. People to feed, or a word such as "it", say that one of ours is meant.
    """
    if reading.recipe or not reading.outside:
        return False
    if reading.servings is not None or reading.factor is not None:
        return False
    return not shelf.says(reading, "pointing-words")


def misses(reading: Reading, answer: Answer, shelf: Shelf, general: bool = False) -> bool:
    """Whether the answer passes over what the question is about.

    A word that tells what is asked is accounted for when the answer holds it, when a cue of the
    answer's kind spells it out, or when it names an amount, a day and the like. The answer misses
    the point when it passes over a dish that was named ("butter cake"), or over too many words.
    Answers on the programme itself are let pass, and so is a recipe in hand that was pinned.
    `general` says that the answer's kind holds for foods that it does not name; half of the words
    must be accounted for then, too.
    """
    if shelf.corpus.programme.where in {source.where for source in answer.sources}:
        return False
    named = bool(reading.ids("recipe"))
    if reading.recipe and (not named or len(reading.words) > SHORT):
        return False
    told = {stem(token.text) for text in (answer.headline, *answer.lines) for token in tokens(text)}
    told |= _spelled_out(reading) | _asked_for(answer, shelf)
    cited = {source.id for source in answer.sources}
    covered = {
        place
        for m in reading.mentions
        if m.type not in {"ingredient", "method", "tool", "state"} or m.corrected
        for place in range(m.start, m.end)
    }
    covered |= {
        place
        for m in reading.all("ingredient")
        if m.id in reading.foods and (m.id in cited or _is_told(m.id, told, shelf))
        for place in range(m.start, m.end)
    }
    plain = _listed(shelf, "everyday-words") | _listed(shelf, "asking-words")
    content = {
        word
        for word in reading.words
        if word not in stop_words() and word.isalpha() and len(word) > 2 and word not in plain
    }
    open_ = {
        word for p, word in enumerate(reading.words) if p not in covered and stem(word) not in told
    }
    missed = content & open_
    if general:
        return len(missed) * 2 >= len(content) > 0
    if not reading.recipe and missed & set(reading.outside) & _listed(shelf, "dish-nouns"):
        return True
    # One word that the lists know ("list the vegan recipes") is no other food.
    if len(missed) == 1 and not missed & set(reading.outside):
        return False
    return len(missed) * (FEW_AT_HOME if named else FEW) > len(content)


def _spelled_out(reading: Reading) -> set[str]:
    """The stems of the words that the matched cues of the reading's kind spell out."""
    made: set[str] = set()
    for cue in reading.matched:
        if cue.kind != reading.kind:
            continue
        parts = [part.rstrip("?*") for part in cue.cue.replace("|", " ").split()]
        for word in cue.words.split():
            # A list named with @ is not spelled out in the pattern, so its words do not count.
            if any(word == part or (len(part) > 3 and word.startswith(part)) for part in parts):
                made.add(stem(word))
    return made


def _asked_for(answer: Answer, shelf: Shelf) -> set[str]:
    """The stems of the questions that the quoted notes and rules say they answer."""
    made: set[str] = set()
    for source in answer.sources:
        record = shelf.corpus.notes.get(source.id) or shelf.corpus.safety.get(source.id)
        if record is not None:
            texts = (record.title, *record.asks)
            made |= {stem(token.text) for text in texts for token in tokens(text)}
    return made


def _is_told(item: str, told: set[str], shelf: Shelf) -> bool:
    """Whether an answer speaks of a pantry item, by any word of its name."""
    found = shelf.item(item)
    return found is not None and any(stem(t.text) in told for t in tokens(found.name))


def _listed(shelf: Shelf, name: str) -> frozenset[str]:
    record = shelf.corpus.lists.get(name)
    return frozenset(record.words if record else ())
