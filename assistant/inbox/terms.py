"""What two messages are compared by: concepts, what they name, and stems of their words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import WordList
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import stem, stop_words, tokens

# What a message is about stands apart from what it asks: the two halves of its vector.
ABOUT = "about "
_OBJECTS = {"recipe", "ingredient"}
_NAMED = {"nutrient", "diet", "place", "state", "method", "tool", "occasion"}
_LONGEST = 1_500
_PREFIX = "concept-"
_SUBJECT = "-about-"
# How often a term counts: what is named and what is meant tell more than the rest.
_CONCEPT, _MENTION, _WORD, _KIND, _RULE = 4, 4, 2, 2, 2
# How alike (as the cosine of their terms) two messages must be to count as one question, what is
# taken off where both ask for the same number of people; and the same for all that asks no food.
ALIKE, SERVED, TALK = 0.51, 0.1, 0.45
LEAST = min(TALK, ALIKE - SERVED)
# The share of each part in how alike two messages are: what they are about, what they mean or name,
# the other words; first for questions about food, then for all the rest.
SHARES = (0.35, 0.61, 0.04, 0.4, 0.48, 0.12)
TALK_MARK = "~"
ASKING = frozenset({"ready", "check", "write", "clinician", "act now"})


class Guard(msgspec.Struct, frozen=True):
    """What must agree before two messages may share a draft.

    The same state (the three that answer a question count as one), and in common, where both name
    some: recipes, foods (a dish is also what its name says), care rules, nutrients and diets, the
    servings. Where the kind of question is about the foods it names, those must agree by their last
    word (chicken is not chicken broth).
    """

    state: str
    recipes: frozenset[str] = frozenset()
    foods: frozenset[str] = frozenset()
    titles: frozenset[str] = frozenset()
    heads: frozenset[str] = frozenset()
    rules: frozenset[str] = frozenset()
    numbers: tuple[str, ...] = ()
    measures: frozenset[str] = frozenset()
    kinds: tuple[str, ...] = ()
    objects: bool = False


class Namer:
    """Makes terms and guards, by the concepts of the corpus."""

    def __init__(self, corpus: Corpus) -> None:
        self.concepts = {
            True: concepts(corpus.lists, "talk"),
            False: concepts(corpus.lists, "food"),
        }
        talk = corpus.lists.get("inbox-talk")
        objects = corpus.lists.get("inbox-object-kinds")
        self.objects = frozenset(objects.words if objects else ())
        self.plain = stop_words() | frozenset(talk.words if talk else ())

    def terms(
        self,
        state: str,
        gist: str,
        aside: str,
        subject: str,
        readings: Sequence[Reading],
        kinds: Sequence[str],
        rules: Sequence[str],
    ) -> tuple[str, ...]:
        """The terms of a message, the weightier ones several times.

        `gist` is what it asks or says and `aside` the talk around it, of which only concepts count;
        `rules` are the care rules.
        """
        made: dict[str, int] = {}
        mentions = readings[0].mentions if readings else ()
        named = {word for m in mentions if m.type in _OBJECTS | _NAMED for word in m.text.split()}
        asking = state in ASKING
        concepts = self.concepts[asking]
        for token in tokens(f"{gist[:_LONGEST]} . {subject}"):
            word = token.text
            found = concepts.get(word) or concepts.get(stem(word))
            if found:
                # What is named already need not be told twice.
                made.update(dict.fromkeys(found, _WORD if word in named else _CONCEPT))
            elif word not in self.plain and len(word) > 1 and word not in named:
                made.setdefault(stem(word), _WORD)
        for token in tokens(aside[:_LONGEST]):
            for concept in concepts.get(token.text) or concepts.get(stem(token.text), ()):
                made.setdefault(concept, _WORD)
        for mention in mentions:
            if mention.type in _OBJECTS:
                made[f"{ABOUT}{mention.type}:{mention.id}"] = 1
                made.update({f"{ABOUT}{word}": 1 for word in _words([mention])})
            elif mention.type in _NAMED:
                made[f"{mention.type}:{mention.id}"] = _MENTION
        if asking:
            made.update({f"kind:{kind}": _KIND for kind in kinds})
        for rule in rules:
            made[f"care:{rule}"] = _RULE
        if not made:
            # Nothing but small words: the same only as what says exactly the same.
            made = {" ".join(t.text for t in tokens(gist[:_LONGEST])): _WORD}
        mark = "" if asking else TALK_MARK
        return tuple(f"{mark}{term}" for term in sorted(made) for _ in range(made[term]))

    def guard(
        self, state: str, readings: Sequence[Reading], kinds: Sequence[str], rules: Sequence[str]
    ) -> Guard:
        """What must agree, see Guard."""
        if state not in ASKING or not readings:
            return Guard(state)
        reading = readings[0]
        recipes = frozenset(reading.ids("recipe"))
        apart = [m for m in reading.all("ingredient") if m.id in reading.foods]
        foods = _words(apart)
        titles = _words(reading.all("recipe"))
        numbers = tuple(
            str(m.value) for m in reading.mentions if m.type == "servings" and m.value is not None
        )
        measures = frozenset((*reading.ids("nutrient"), *reading.ids("diet")))
        asking = "question" if state in {"ready", "check", "write"} else state
        return Guard(
            state=asking,
            recipes=recipes,
            foods=foods,
            titles=titles,
            heads=frozenset(stem(m.text.split()[-1]) for m in apart),
            rules=frozenset(rules),
            numbers=numbers[:1],
            measures=measures,
            kinds=tuple(sorted(kinds)),
            objects=not self.objects.isdisjoint(kinds),
        )


def agree(one: Guard, other: Guard) -> bool:
    """Whether two messages may share a draft."""
    if one.state != other.state:
        return False
    if one.recipes and other.recipes and not one.recipes & other.recipes:
        return False
    if one.numbers and other.numbers and one.numbers != other.numbers:
        return False
    if one.rules and other.rules and not one.rules & other.rules:
        return False
    if one.measures and other.measures and not one.measures & other.measures:
        return False
    if one.recipes and other.recipes:
        # What is said of a dish may name other foods; what is swapped or measured may not differ.
        objects = one.objects and other.objects and one.heads and other.heads
        return not objects or bool(one.heads & other.heads)
    if one.objects and other.objects and bool(one.foods) != bool(other.foods):
        return bool(one.titles or other.titles)
    mine, yours = one.foods | one.titles, other.foods | other.titles
    return not (mine and yours) or bool(mine & yours)


def together(one: Guard, other: Guard) -> Guard:
    """The guard of two messages that share a draft: who joins them must agree with both."""
    return Guard(
        state=one.state,
        recipes=one.recipes | other.recipes,
        foods=one.foods | other.foods,
        titles=one.titles | other.titles,
        heads=one.heads | other.heads,
        rules=one.rules | other.rules,
        numbers=one.numbers or other.numbers,
        measures=one.measures | other.measures,
        kinds=one.kinds,
        objects=one.objects,
    )


def threshold(one: Guard, other: Guard) -> float:
    """How alike two messages whose guards agree must be to share a draft."""
    if one.state not in ASKING | {"question"}:
        return TALK
    same = set(one.kinds) & set(other.kinds)
    return ALIKE - (SERVED if same and one.numbers and one.numbers == other.numbers else 0.0)


def concepts(lists: Mapping[str, WordList], without: str) -> dict[str, tuple[str, ...]]:
    """The concepts that a word (and its stem) belongs to, but for those of one sort."""
    made: dict[str, dict[str, None]] = {}
    for ident, record in lists.items():
        if ident.startswith(_PREFIX) and not ident.startswith(f"{_PREFIX}{without}-"):
            for word in record.words:
                term = f"{ABOUT}{ident}" if _SUBJECT in ident else ident
                made.setdefault(word, {})[term] = None
                made.setdefault(stem(word), {})[term] = None
    return {word: tuple(ids) for word, ids in made.items()}


def _words(mentions: Sequence[Mention]) -> frozenset[str]:
    """Stems of what is named, as it was named; a recipe's also as its title says."""
    texts = [m.text for m in mentions] + [
        m.id.replace("-", " ") for m in mentions if m.type == "recipe"
    ]
    return frozenset(stem(word) for text in texts for word in text.split())


def part_of(term: str) -> int:
    """Which part of a message a term belongs to, by its place in SHARES."""
    bare = term.removeprefix(TALK_MARK)
    part = 0 if bare.startswith(ABOUT) else 1 if ":" in bare or bare.startswith(_PREFIX) else 2
    return part + (3 if bare != term else 0)
