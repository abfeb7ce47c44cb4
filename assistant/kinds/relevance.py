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
# Where only the beginning of an answer answers: how many of its lines count beside the headline.
_LINES = {"storage": 0, "ingredient": 1, "swap": 1}
# What is counted or dated asks for nothing more, and names no other food.
_MEASURES = {
    "amount", "number", "servings", "duration", "date", "clock", "temperature", "unit", "share",
    "nutrient", "diet", "recipe",
}  # fmt: skip


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


def strays(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """The words by which a question asks for something else than the answer tells; none if it fits.

    Away from our own recipes every word must be accounted for: by the answer, by the word lists of
    the forms in which its kind is asked (`form-storage` …), or as a word that only fills. "How do I
    stop jam from turning brown?" is no question about how long jam keeps, for all that it names
    jam. Two foods side by side name a third one ("turkey bacon").
    """
    if _is_at_home(reading) or shelf.corpus.programme.where in {s.where for s in answer.sources}:
        return ()
    kind = reading.kind
    if f"must-{kind}" in shelf.corpus.lists and not shelf.says(reading, f"must-{kind}"):
        return reading.words
    side_by_side = _side_by_side(reading)
    if side_by_side:
        return side_by_side
    if kind == "ingredient" and shelf.says(reading, "difference-certain"):
        single = _one_sided(reading, answer)
        if single:
            return single
    told = _told(reading, answer, shelf)
    plain = _listed(shelf, "filler-words") | _listed(shelf, f"form-{kind}") | _states(answer, shelf)
    asks_why = _listed(shelf, "why-words") - plain
    covered = _covered(reading, answer, told, shelf)
    return tuple(
        word
        for place, word in enumerate(reading.words)
        if place not in covered
        and word not in plain
        and (word in asks_why or word not in stop_words())
        and stem(word) not in told
        and (word.isalpha() and len(word) > 1)
    )


def _is_at_home(reading: Reading) -> bool:
    """Whether one of our recipes is meant for certain: set beforehand, scaled, or named in full.

    "Salmon" and "pancakes" are short names of recipes, and words for anybody's.
    """
    if not reading.recipe:
        return False
    if reading.servings is not None or reading.factor is not None:
        return True
    named = reading.all("recipe")
    return not named or any(m.end - m.start > 1 for m in named)


def _side_by_side(reading: Reading) -> tuple[str, ...]:
    """Two foods with nothing between them, which make one that is neither: "sugar syrup"."""
    found = tokens(reading.text)
    if len(found) != len(reading.words):
        return ()
    foods = sorted(reading.all("ingredient"), key=lambda m: m.start)
    for first, second in zip(foods, foods[1:], strict=False):
        between = reading.text[found[first.end - 1].end : found[second.start].start]
        if first.end == second.start and first.id != second.id and not between.strip(" -"):
            return (first.text, second.text)
    return ()


def _one_sided(reading: Reading, answer: Answer) -> tuple[str, ...]:
    """What a comparison leaves out: a second food, or what "cherry" is short for in "grape and
    cherry tomatoes"."""
    foods = sorted(reading.all("ingredient"), key=lambda m: m.start)
    if not foods and answer.sources:
        return ()
    if len({m.text for m in foods}) < 2:
        return tuple(m.text for m in foods) or reading.words
    for first, second in zip(foods, foods[1:], strict=False):
        joined = reading.words[first.end : second.start]
        short = first.end - first.start == 1 < second.end - second.start
        if joined in {("and",), ("or",)} and short and first.id != second.id:
            return (first.text, second.text)
    return ()


def _covered(reading: Reading, answer: Answer, told: set[str], shelf: Shelf) -> set[int]:
    """The places of the words that the answer accounts for."""
    covered = {p for m in reading.mentions if m.type in _MEASURES for p in range(m.start, m.end)}
    cited = {source.id for source in answer.sources}
    anything = bool(cited & _listed(shelf, "rules-for-any-food"))
    for m in reading.all("ingredient"):
        words = {stem(word) for word in m.text.split()}
        if anything or m.id in cited or m.corrected or words <= told:
            covered |= set(range(m.start, m.end))
    if anything:
        dishes = _listed(shelf, "dish-nouns")
        covered |= {p for p, word in enumerate(reading.words) if word in dishes}
    if reading.kind == "swap":
        covered |= _used_in(reading, shelf)
    return covered


def _used_in(reading: Reading, shelf: Shelf) -> set[int]:
    """The places of the dish in which a food is replaced: "celery in a soup", "cookies without"."""
    words = reading.words
    foods = reading.all("ingredient")
    places: set[int] = set()
    for m in foods:
        if words[m.end : m.end + 1] == ("in",) and not any(f.start > m.end for f in foods):
            places |= set(range(m.end, len(words)))
        if "without" in words[: m.start] and "make" in words[: m.start]:
            places |= set(range(words.index("make"), words.index("without")))
    return places


def _told(reading: Reading, answer: Answer, shelf: Shelf) -> set[str]:
    """The stems of what the answer tells, and of the ways in which its sources say to be asked."""
    texts = [answer.headline, *answer.lines[: _LINES.get(reading.kind, len(answer.lines))]]
    for source in answer.sources:
        rule = shelf.corpus.safety.get(source.id)
        item = shelf.corpus.pantry.get(source.id)
        texts += rule.names if rule is not None else ()
        texts += item.names if item is not None else ()
    told = {stem(token.text) for text in texts for token in tokens(text)}
    told |= _asked_for(answer, shelf)
    if f"form-{reading.kind}" not in shelf.corpus.lists:
        told |= _spelled_out(reading)
    return told


def _states(answer: Answer, shelf: Shelf) -> frozenset[str]:
    """The words for the state that a cited storage rule is for: "boiled" where it is for cooked."""
    rules = (shelf.corpus.storage.get(source.id) for source in answer.sources)
    found = [_listed(shelf, f"state-{rule.state}") for rule in rules if rule is not None]
    return frozenset().union(*found)


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
