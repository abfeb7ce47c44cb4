"""Whether an answer is about what was asked: a figure beside the point is worse than none."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.kinds.crossed import crossed, listed, stems
from assistant.kinds.quote import nearness
from assistant.kinds.shelf import Shelf, points_at_dish
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
# Kinds that quote a note for what it says, and how like its own questions one must be to be taken
# as one of them.
_NOTED = {"technique", "equipment", "timing", "ingredient"}
_ITS_OWN = 0.8
# From this score on the cues of a kind are sure of it.
_SURE = 9
# How far behind "for" a dish is named: "for bean salad".
_DISH = 4
# Lines that only say the question's words again.
_ECHOES = ("Asked about:", "Not for a recipe on record")
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
    if reading.recipe or not reading.outside or points_at_dish(reading, shelf):
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
    if reading.kind == "swap":
        covered |= _used_in(reading, shelf)
    plain = listed(shelf, "everyday-words") | listed(shelf, "asking-words")
    content = {
        word
        for word in reading.words
        if word not in stop_words() and word.isalpha() and len(word) > 2 and word not in plain
    }
    open_ = {
        word for p, word in enumerate(reading.words) if p not in covered and stem(word) not in told
    }
    passed = listed(shelf, "filler-words") | listed(shelf, f"also-{reading.kind}")
    missed = content & open_ - passed
    if general:
        return len(missed) * 2 >= len(content) > 0
    if not reading.recipe and missed & set(reading.outside) & listed(shelf, "dish-nouns"):
        return True
    # One word that the lists know ("list the vegan recipes") is no other food.
    if len(missed) == 1 and not missed & set(reading.outside):
        return False
    return len(missed) * (FEW_AT_HOME if named else FEW) > len(content)


def by_definition(reading: Reading, answer: Answer, shelf: Shelf) -> bool:
    """Whether the answer is a temperature in another scale, which holds whatever it is for: "350
    °F to Celsius for my mother". Only where the cues are sure that it is asked for."""
    cited = {source.id for source in answer.sources}
    sure = bool(reading.scores) and reading.scores[0][1] >= _SURE
    return (
        sure
        and bool(reading.all("temperature"))
        and bool(cited)
        and cited <= listed(shelf, "sources-by-definition")
    )


def strays(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """The words by which a question asks for something else than the answer tells; none if it fits.

    Away from our own recipes every word must be accounted for: by the answer, by the word lists of
    the forms in which its kind is asked (`form-storage` …), or as a word that only fills. "How do I
    stop jam from turning brown?" is no question about how long jam keeps, for all that it names
    jam. Two foods side by side name a third one ("turkey bacon"). A kind without a list of its own
    has `form-other` and the words of its cues.
    """
    kind = reading.kind
    if _is_at_home(reading, shelf) or _is_programme(reading, answer, shelf):
        return ()
    form = f"form-{kind}" if f"form-{kind}" in shelf.corpus.lists else "form-other"
    must = f"must-{kind}"
    lacks = must in shelf.corpus.lists and not shelf.says(reading, must)
    if lacks and not (kind == "swap" and _pairs(reading, answer, shelf)):
        return reading.words
    other = crossed(reading, answer, shelf)
    if other:
        return other
    cited = {source.id for source in answer.sources}
    told = _told(reading, answer, shelf)
    told |= _spelled_out(reading) if form == "form-other" else set()
    plain = listed(shelf, "filler-words") | listed(shelf, form) | _states(answer, shelf)
    plain |= listed(shelf, f"also-{kind}")
    if cited & listed(shelf, "rules-for-any-food"):
        plain |= listed(shelf, "form-any-food")
    # A rule says what to do, not why.
    asks_why = listed(shelf, "why-words")
    asks_why -= frozenset() if cited & set(shelf.corpus.safety) else plain
    covered = _covered(reading, cited, told, shelf)
    told &= _shown(reading, answer, told, shelf)
    return tuple(
        word
        for place, word in _asking(reading)
        if place not in covered
        and (word in asks_why or (word not in plain and word not in stop_words()))
        and stem(word) not in told
        and (word.isalpha() and len(word) > 1)
    )


def _is_programme(reading: Reading, answer: Answer, shelf: Shelf) -> bool:
    """Whether the answer is on the programme, and no dish of others is named."""
    told = shelf.corpus.programme.where in {source.where for source in answer.sources}
    return told and not set(reading.outside) & listed(shelf, "dish-nouns")


def _is_at_home(reading: Reading, shelf: Shelf) -> bool:
    """Whether one of our recipes is meant for certain: set beforehand, scaled, or pointed at.

    "Salmon" and "pancakes" are short names of recipes, and words for anybody's; "the pancakes" and
    "tomorrow's salmon" are ours, and so is a recipe named by all of its title.
    """
    if not reading.recipe:
        return False
    if reading.servings is not None or reading.factor is not None:
        return True
    named = reading.all("recipe")
    pointing = listed(shelf, "our-words")
    recipe = shelf.recipe(reading)
    title = stems(recipe.title) if recipe is not None else set()
    return (
        not named
        # How a step of ours is done is asked of the recipe in hand, not by its name alone.
        or (reading.kind != "technique" and any(title <= stems(m.text) for m in named))
        or any(m.start and reading.words[m.start - 1] in pointing for m in named)
    )


def _asking(reading: Reading) -> list[tuple[int, str]]:
    """The words that ask, with their places: the parts of a longer message that name a food.

    "My oven is old. What is 425 for the salmon?" asks in its second part only.
    """
    found = tokens(reading.text)
    numbered = list(enumerate(reading.words))
    if len(found) != len(numbered):
        return numbered
    ends = ".?!,;:" if len(numbered) > SHORT else ".?!"
    parts: list[list[tuple[int, str]]] = [[]]
    last = 0
    for (place, word), token in zip(numbered, found, strict=True):
        if any(end in reading.text[last : token.start] for end in ends):
            parts.append([])
        parts[-1].append((place, word))
        last = token.end
    named = {
        p
        for m in reading.mentions
        if m.type in {"ingredient", "recipe"}
        for p in range(m.start, m.end)
    }
    told = [part for part in parts if any(place in named for place, _ in part)]
    # A part of a word or two ("Onion soup: …") is a heading of what follows.
    if not told or all(len(part) < FEW for part in told):
        return numbered
    return [one for part in told for one in part]


def _covered(reading: Reading, cited: set[str], told: set[str], shelf: Shelf) -> set[int]:
    """The places of the words that the answer accounts for."""
    covered = {p for m in reading.mentions if m.type in _MEASURES for p in range(m.start, m.end)}
    anything = bool(cited & listed(shelf, "rules-for-any-food"))
    held = set(cited)
    for ident in cited:
        swap, note = shelf.corpus.swaps.get(ident), shelf.corpus.notes.get(ident)
        held |= {*swap.out, swap.use} if swap is not None else set()
        held |= set(note.ingredients) if note is not None else set()
    for m in reading.all("ingredient"):
        if anything or m.id in held or stems(m.text) <= told:
            covered |= set(range(m.start, m.end))
    if anything:
        dishes = listed(shelf, "dish-nouns")
        covered |= {p for p, word in enumerate(reading.words) if word in dishes}
    if reading.kind == "swap":
        covered |= _used_in(reading, shelf)
    return covered


def _pairs(reading: Reading, answer: Answer, shelf: Shelf) -> bool:
    """Whether a swap is cited that puts one of the foods named for another: "tilapia for the
    cod" asks for it without a word of replacing."""
    swaps = (shelf.corpus.swaps.get(source.id) for source in answer.sources)
    foods = set(reading.foods)
    return any(s is not None and s.use in foods and not foods.isdisjoint(s.out) for s in swaps)


def _used_in(reading: Reading, shelf: Shelf) -> set[int]:
    """The places of the dish in which a food is replaced: "celery in a soup", "for the soup"."""
    words = reading.words
    ends = listed(shelf, "use-ends")
    places: set[int] = set()
    for m in reading.all("ingredient"):
        after = words[m.end : m.end + 2]
        inside = after[:1] == ("in",) and after[1:] != ("place",)
        # A bare "for" names the food that is replaced: "oil for butter".
        named = set(words[m.end + 1 : m.end + _DISH]) & listed(shelf, "dish-nouns")
        article = after[1:] and after[1] in listed(shelf, "dish-articles")
        if inside or (after[:1] == ("for",) and (article or named)):
            at = m.end + 1
            while at < len(words) and words[at] not in ends:
                places.add(at)
                at += 1
    return places


def _told(reading: Reading, answer: Answer, shelf: Shelf) -> set[str]:
    """The stems of what the answer tells, and of the ways in which its sources say to be asked."""
    lines = answer.lines[: _LINES.get(reading.kind, len(answer.lines))]
    if reading.kind in _NOTED and any(s.id in shelf.corpus.notes for s in answer.sources):
        # A note holds many words in passing; its title and its asks tell its subject.
        lines = lines if reading.kind == "ingredient" and reading.foods else ()
    texts = [answer.headline, *(line for line in lines if not line.startswith(_ECHOES))]
    for source in answer.sources:
        rule = shelf.corpus.safety.get(source.id)
        item = shelf.corpus.pantry.get(source.id)
        kept = shelf.corpus.storage.get(source.id)
        texts += (*kept.names, kept.title) if kept is not None else ()
        texts += rule.names if rule is not None else ()
        texts += item.names if item is not None else ()
    told = {stem(token.text) for text in texts for token in tokens(text)}
    told |= _asked_for(answer, shelf)
    return told


def _shown(reading: Reading, answer: Answer, told: set[str], shelf: Shelf) -> set[str]:
    """Of what a note says it answers, what stands in the part of it that is shown.

    All of it, where the question is one of the note's own.
    """
    notes = [note for s in answer.sources if (note := shelf.corpus.notes.get(s.id)) is not None]
    if reading.kind not in _NOTED or not notes or (reading.kind == "ingredient" and reading.foods):
        return told
    own = [text for note in notes for text in (note.title, *note.asks)]
    held = {ident for note in notes for ident in note.ingredients}
    named = {word for m in reading.all("ingredient") if m.id in held for word in m.text.split()}
    plain = listed(shelf, "asking-words")
    words = [word for word in reading.words if word not in plain]
    other = [word for word in words if word not in named]
    if max(nearness(words, own, shelf), nearness(other, own, shelf)) >= _ITS_OWN:
        return told
    return set(stems(" ".join((answer.headline, *answer.lines, *(note.title for note in notes)))))


def _states(answer: Answer, shelf: Shelf) -> frozenset[str]:
    """The words for the state that a cited storage rule is for: "boiled" where it is for cooked."""
    found: frozenset[str] = frozenset()
    for source in answer.sources:
        rule = shelf.corpus.storage.get(source.id)
        if rule is None:
            continue
        for state in ("cooked", "raw", "opened", "unopened", "cut"):
            if state == rule.state or state in stems(rule.title):
                found |= listed(shelf, f"state-{state}")
        if rule.state == "dry":
            found |= listed(shelf, "state-unopened")
    return found


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
