"""Foods that a question crosses: side by side, in another form, on both sides of a swap.

Each rule returns the words by which a question asks for something else than the food it names, none
where it does not.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from assistant.answer import Answer
from assistant.kinds.shelf import Shelf
from assistant.question import stand
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import stem, stop_words, tokens

# Kinds for which the form of a food makes it another food.
_FORMED = {"storage", "ingredient", "swap"}


def crossed(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """The words that make the food named another one, or the question another one; none if not."""
    found = (
        _side_by_side(reading, answer, shelf)
        or _only_heat(reading, answer, shelf)
        or _other_form(reading, answer, shelf)
    )
    if not found and reading.kind == "ingredient":
        found = _one_sided(reading, answer, shelf)
    if not found and reading.kind == "swap":
        found = _twice_named(reading)
    if not found and reading.kind == "nutrition":
        found = _other_row(reading, answer)
    return found


def listed(shelf: Shelf, name: str) -> frozenset[str]:
    """The words of a list of the vocabulary; none where there is no such list."""
    return stand.listed(shelf.corpus, name)


# Titles, names and steps come again with every question.
@lru_cache(maxsize=4096)
def stems(*texts: str) -> frozenset[str]:
    """The stems of the words of texts."""
    return frozenset(stem(token.text) for text in texts for token in tokens(text))


def _only_heat(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """The words where how a food is cooked would be answered by a row of the chart of temperatures,
    or by a step of one of our recipes."""
    if reading.kind == "technique" and any(s.id in shelf.corpus.recipes for s in answer.sources):
        # A step of one of our recipes says nothing of anybody's.
        return reading.words
    rules = (shelf.corpus.safety.get(source.id) for source in answer.sources)
    heat = any(rule is not None and rule.names for rule in rules)
    return reading.words if heat and not shelf.says(reading, "must-chart") else ()


def _other_form(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """A word that makes a food another one, where neither its names nor the storage rule that
    answers hold it: "whipped cream"."""
    rules = (shelf.corpus.storage.get(source.id) for source in answer.sources)
    kept = {word for rule in rules if rule for name in rule.names for word in name.split()}
    forms = listed(shelf, "food-forms")
    if reading.kind not in _FORMED:
        return ()
    for m in reading.all("ingredient"):
        item = shelf.item(m.id)
        before = reading.words[m.start - 1] if m.start else ""
        held = {word for name in item.names for word in name.split()} if item is not None else set()
        if before in forms and before not in held | kept:
            return (before, m.text)
    return ()


def _side_by_side(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """Two foods with nothing between them, which make one that is neither: "sugar syrup". The
    chicken of the fajitas is no third thing, nor is what a safety rule is called by."""
    rules = (shelf.corpus.safety.get(source.id) for source in answer.sources)
    titles = [stems(rule.title) for rule in rules if rule is not None]
    recipe = shelf.recipe(reading)
    own = {line.item for line in recipe.lines} if recipe is not None else set()
    found = tokens(reading.text)
    if len(found) != len(reading.words):
        return ()
    short = [m for m in reading.all("recipe") if m.end - m.start == 1]
    foods = sorted((*reading.all("ingredient"), *short), key=lambda m: m.start)
    for first, second in pairwise(foods):
        between = reading.text[found[first.end - 1].end : found[second.start].start]
        if first.type == "recipe" and first.id == reading.recipe and second.id in own:
            continue
        if any(stems(f"{first.text} {second.text}") <= title for title in titles):
            continue
        if first.end == second.start and first.id != second.id and not between.strip(" -"):
            return (first.text, second.text)
    return ()


def _one_sided(reading: Reading, answer: Answer, shelf: Shelf) -> tuple[str, ...]:
    """What an answer on one food, or on two, would leave out of the question.

    The second food of a comparison; what "grape" is short for in "grape and cherry tomatoes"; the
    kinds of a food of which only one is on record ("what kind of rice").
    """
    foods = sorted(reading.all("ingredient"), key=lambda m: m.start)
    if not foods:
        # A note on one way of doing a thing does not list its kinds.
        return reading.words if shelf.says(reading, "kind-words") else ()
    plain = stop_words() | listed(shelf, "form-ingredient") | listed(shelf, "part-words")
    for m in foods:
        # "Potato starch" is no potato, and starch is no foreign word.
        after = reading.words[m.end : m.end + 1]
        if after and after[0].isalpha() and after[0] not in plain:
            return (m.text, after[0])
    if shelf.says(reading, "difference-certain"):
        cited = {source.id for source in answer.sources}
        held = len(cited & set(shelf.corpus.pantry))
        if held > 1 and foods[-1].id in cited and _by_half(foods, cited):
            return ()  # the other one was named by half: "red and brown lentils"
        if len({m.text for m in foods}) < 2 or not {m.id for m in foods} <= cited:
            return tuple(m.text for m in foods)
        if len({m.id for m in foods}) < 2 and _share_a_word(foods):
            return tuple(m.text for m in foods)
        for first, second in pairwise(foods):
            joined = reading.words[first.end : second.start]
            if len(foods) == 2 and not set(joined) & listed(shelf, "joining-words"):
                return (first.text, second.text)
            short = first.end - first.start == 1 < second.end - second.start
            if joined in {("and",), ("or",)} and short and not _swapped(first, second, shelf):
                return (first.text, second.text)
    elif shelf.says(reading, "kind-words"):
        item = shelf.item(foods[0].id)
        if item is not None and stems(foods[0].text) != stems(item.name):
            return (foods[0].text,)
    return ()


def _by_half(foods: list[Mention], cited: set[str]) -> bool:
    """Whether one food only is named in full: "olive and canola oil" speaks of no olives."""
    if len({m.text for m in foods}) == 1:
        return True
    first, *rest = (m.text.split() for m in foods)
    half = len(rest) == 1 and len(first) == 1 < len(rest[0])
    return half and foods[0].id not in cited


def _swapped(first: Mention, second: Mention, shelf: Shelf) -> bool:
    """Whether the one is on record in the place of the other, so that the two are of one sort."""
    return any(
        {first.id, second.id} <= {*swap.out, swap.use} for swap in shelf.corpus.swaps.values()
    )


def _share_a_word(foods: list[Mention]) -> bool:
    first, *rest = (stems(m.text) for m in foods)
    return any(first & other for other in rest)


def _twice_named(reading: Reading) -> tuple[str, ...]:
    """One food on both sides of a swap, where its kinds are meant ("bread flour for flour"); or two
    that are to be replaced together ("for thyme and oregano")."""
    foods = sorted(reading.all("ingredient"), key=lambda m: m.start)
    for first, second in pairwise(foods):
        if reading.words[first.end : second.start] == ("and",):
            return (first.text, second.text)
    if len(foods) > 1 and len({m.id for m in foods}) == 1:
        return tuple(m.text for m in foods)
    return ()


def _other_row(reading: Reading, answer: Answer) -> tuple[str, ...]:
    """The words of a question for which a row of the table was found that begins otherwise."""
    row = answer.sources[0].id.startswith("SR28") if answer.sources else False
    if not row or reading.foods or reading.recipe:
        return ()
    begins = stem(tokens(answer.headline)[0].text)
    return () if begins in {stem(word) for word in reading.words} else reading.words
