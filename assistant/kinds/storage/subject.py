"""What a storage question is about: the rule in play, found by recipe, pantry item or rule name."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from assistant.answer import Source
from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names
from assistant.corpus.records import Ingredient, Recipe
from assistant.corpus.rules import StorageRule
from assistant.kinds.shelf import Shelf, record_source
from assistant.kitchen.keeping import shortest
from assistant.question.reading import Mention, Reading
from assistant.question.stand import listed as words_in
from assistant.retrieval.words import singular, tokens

# A rule's title is a name too where it is no longer than this: "Bacon", "Cut fruit".
_SHORT_TITLE = 3
ANY_LEFTOVERS = "leftovers"
# What is "a can of" something is canned, however the food of that name is sold.
_CANNED, _OPENED = "canned-unopened", "canned-opened"


class Subject(msgspec.Struct, frozen=True):
    """A rule, what it is told of ("the turkey chili"), its records, and why it is this rule.

    `recipe` is set where the answer is about that recipe's own dish; `others` are the rules of
    other things that were named beside it.
    """

    rule: StorageRule
    name: str
    sources: tuple[Source, ...] = ()
    recipe: Recipe | None = None
    why: str = ""
    others: tuple[tuple[str, StorageRule], ...] = ()


def subject(reading: Reading, shelf: Shelf) -> Subject | None:
    """The thing asked about; of several the one that keeps the shortest, since it sets the date."""
    found = list(_candidates(reading, shelf))
    # "Leftover chicken" is chicken; the rule for leftovers of any kind is for what has no other.
    found = [one for one in found if one.rule.id != ANY_LEFTOVERS] or found
    # "The vegetables for the fajitas" are vegetables.
    found = [one for one in found if one.recipe is None or not _is_purpose(reading)] or found
    recipe = shelf.recipe(reading)
    if recipe is not None and [one.rule.id for one in found] == [recipe.storage.rule]:
        # "The soup", where the soup in hand is kept by the rule for soups.
        return found[0] if found[0].recipe else of_recipe(recipe, shelf.corpus)
    if not found:
        return None
    dated = [one for one in found if one.rule.fridge]
    if len(found) == 1 or len(dated) < 2:
        return found[0]
    best = dated[shortest([one.rule.fridge for one in dated])]
    others = tuple((one.name, one.rule) for one in found if one.rule.id != best.rule.id)
    return msgspec.structs.replace(best, others=others)


def _candidates(reading: Reading, shelf: Shelf) -> Iterator[Subject]:
    corpus = shelf.corpus
    named = _named(reading, corpus)
    taken: set[int] = set()
    seen: set[str] = set()
    recipe = shelf.recipe(reading)
    told = tuple(m for m in reading.all("recipe") if not _is_raw(m, reading, corpus))
    foods = reading.all("ingredient")
    for rule, start, end in named:
        if any(_is_nearer(mention, start, end, reading, rule) for mention in told):
            continue
        if any(_is_nearer(m, start, end, reading, rule) for m in foods):
            continue
        fitting = _in_state(rule, reading, corpus)
        # "Half a can of coconut milk" is coconut milk.
        if any(_keeps_so(m, start, end, fitting, reading, corpus) for m in foods):
            continue
        if any(_of_can(m, reading, corpus) and m.start - 2 in range(start, end) for m in foods):
            continue
        taken.update(range(start, end))
        if fitting.id not in seen:
            seen.add(fitting.id)
            name = " ".join(reading.words[start:end])
            yield Subject(fitting, name, why=_why(rule, fitting))
    for mention in foods:
        item = corpus.pantry.get(mention.id)
        covered = {place for m in told for place in range(m.start, m.end)}
        places = set(range(mention.start, mention.end))
        if item is None or places & (taken | covered):
            continue
        if recipe is not None and not told and _is_the_dish(mention, reading, recipe, corpus):
            continue
        canned = _of_can(mention, reading, corpus)
        rule_ = corpus.storage.get(canned or item.storage)
        if rule_ is None or (recipe is not None and told and _is_in(item, recipe)):
            continue
        fitting = _in_state(rule_, reading, corpus)
        if _is_half(mention, reading) and "cut" in rule_.forms:
            fitting = corpus.storage.get(rule_.forms["cut"], fitting)
        if fitting.id not in seen:
            seen.add(fitting.id)
            name = mention.text if mention.text in all_names(item) else item.name
            yield Subject(fitting, name, (record_source(item),), why=_why(rule_, fitting))
    if recipe is not None and (told or not seen):
        uncovered = [m for m in told if not set(range(m.start, m.end)) <= taken]
        if uncovered or not told:
            yield of_recipe(recipe, corpus)


def _of_can(mention: Mention, reading: Reading, corpus: Corpus) -> str:
    """The rule for "a can of tomatoes", opened or not; "" where no can stands before the food."""
    before = reading.words[: mention.start]
    if len(before) < 2 or before[-1] != "of" or before[-2] not in words_in(corpus, "can-words"):
        return ""
    part = words_in(corpus, "opened-can-words") & set(reading.words)
    return _OPENED if part else _CANNED


def _keeps_so(
    mention: Mention, start: int, end: int, rule: StorageRule, reading: Reading, corpus: Corpus
) -> bool:
    """Whether a pantry item named elsewhere in the question is kept by the same rule."""
    item = corpus.pantry.get(mention.id)
    own = corpus.storage.get(item.storage) if item is not None else None
    apart = mention.end <= start or end <= mention.start
    return apart and own is not None and _in_state(own, reading, corpus).id == rule.id


def _is_raw(mention: Mention, reading: Reading, corpus: Corpus) -> bool:
    """Whether a recipe's short name ("salmon") is said of the raw food: "thawed salmon"."""
    raw = corpus.lists.get("state-raw")
    before = reading.words[mention.start - 1] if mention.start else ""
    if mention.end - mention.start > 1 or raw is None:
        return False
    # "We thawed the salmon, cook it tonight?"
    to_cook = reading.has(*words_in(corpus, "to-cook-verbs"))
    thawed = to_cook and set(reading.words) & set(raw.words)
    return before in raw.words or bool(thawed)


def _is_purpose(reading: Reading) -> bool:
    """Whether every recipe named is what a thing is meant for: "the sauce for the noodles"."""
    told = reading.all("recipe")
    before = [reading.words[max(0, m.start - 2) : m.start] for m in told]
    return bool(told) and all("for" in words for words in before)


def _is_the_dish(mention: Mention, reading: Reading, recipe: Recipe, corpus: Corpus) -> bool:
    """Whether a food is the dish in hand or a part made in it: the "leftover apples" of baked ones,
    the bare "sauce" of the noodles."""
    before = reading.words[mention.start - 1] if mention.start else ""
    title = {singular(token.text) for token in tokens(recipe.title)}
    named = {singular(word) for word in mention.text.split()}
    if named <= words_in(corpus, "part-of-dish-words"):
        return True  # "the sauce" is the dish's own, and no soy sauce
    return before in words_in(corpus, "leftover-words") and named <= title


def _is_half(mention: Mention, reading: Reading) -> bool:
    """Whether "half", "half a" or "half an" stands right before a food: it has been cut."""
    before = reading.words[max(0, mention.start - 2) : mention.start]
    return before[-1:] == ("half",) or (
        before[:1] == ("half",) and before[-1:] in {("a",), ("an",)}
    )


def _is_in(item: Ingredient, recipe: Recipe) -> bool:
    return any(line.item == item.id for line in recipe.lines)


def of_recipe(recipe: Recipe, corpus: Corpus) -> Subject:
    """The recipe's own rule, or that of a cooked thing in it that keeps shorter."""
    rule = corpus.storage[recipe.storage.rule]
    why = ""
    for line in recipe.lines:
        item = corpus.pantry.get(line.item)
        own = corpus.storage.get(item.storage) if item else None
        if own is None or own.state != "cooked" or not own.fridge or not rule.fridge:
            continue
        if shortest([rule.fridge, own.fridge]) == 1 and own.fridge != rule.fridge:
            rule = own
            why = f"The shortest-lived thing in it sets the date: {line.name}, {own.fridge}."
    name = f"the {recipe.title.lower()}"
    return Subject(rule, name, (record_source(recipe),), recipe, why)


def _named(reading: Reading, corpus: Corpus) -> list[tuple[StorageRule, int, int]]:
    """The storage rules named in the question, the longest names first, none overlapping."""
    # "The date to throw it out" is no dried fruit.
    never = words_in(corpus, "never-names")
    words = ["" if word in never else singular(word) for word in reading.words]
    found: list[tuple[int, int, StorageRule]] = []
    for rule in corpus.storage.values():
        for name in _names(rule):
            key = [singular(token.text) for token in tokens(name)]
            for at in range(len(words) - len(key) + 1):
                if key and words[at : at + len(key)] == key:
                    found.append((at, at + len(key), rule))
    found.sort(key=lambda f: (f[0] - f[1], f[0], f[2].id))
    taken: set[int] = set()
    kept = []
    for start, end, rule in found:
        places = set(range(start, end))
        if not places & taken:
            taken |= places
            kept.append((rule, start, end))
    return sorted(kept, key=lambda k: k[1])


def _names(rule: StorageRule) -> tuple[str, ...]:
    if len(tokens(rule.title)) <= _SHORT_TITLE:
        return (*rule.names, rule.title)
    return rule.names


def _is_nearer(mention: Mention, start: int, end: int, reading: Reading, rule: StorageRule) -> bool:
    """Whether a recipe or pantry item names these words at least as well as a rule's name does."""
    if mention.end <= start or end <= mention.start:
        return False
    if mention.corrected:
        return False
    longer = mention.end - mention.start >= end - start
    if mention.type != "recipe":
        return longer
    # "Raw salmon" is no sheet-pan salmon, however that recipe is called.
    return longer and not (rule.state == "raw" and "raw" in reading.ids("state"))


def _in_state(rule: StorageRule, reading: Reading, corpus: Corpus) -> StorageRule:
    """The rule of the same food in the state that the question names: cooked, opened, cut."""
    words = set(reading.words)
    if rule.state == "raw":
        # A "beef roast" is not roasted yet.
        words -= {word for name in rule.names for word in name.split()}
    for state in ("unopened", "opened", "cooked", "raw", "cut"):
        listed = corpus.lists.get(f"state-{state}")
        if listed is None or not words & set(listed.words):
            continue
        if rule.state == state:
            return rule
        if state in rule.forms:
            return corpus.storage.get(rule.forms[state], rule)
    # Rice in the refrigerator, or rice of some days ago, is cooked rice.
    aged = reading.all("date") or reading.all("duration") or "fridge" in reading.ids("place")
    if rule.state == "dry" and "cooked" in rule.forms and aged:
        return corpus.storage.get(rule.forms["cooked"], rule)
    return rule


def _why(rule: StorageRule, fitting: StorageRule) -> str:
    return "" if rule.id == fitting.id else f"Taken as: {fitting.title.lower()}."
