"""Names within one recipe: its only broth is "the broth"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names
from assistant.corpus.records import Recipe
from assistant.question.reading import Mention
from assistant.retrieval.words import Token, singular, tokens

Local = Mapping[tuple[str, ...], str]
_LONGEST = 6


def local_names(recipe: Recipe, corpus: Corpus) -> Local:
    """Short names that are certain within a recipe: whole names, and their last words.

    A last word that two lines share ("beans") names neither. Keys are words in the singular.
    """
    return _local(_Home(recipe, corpus))


class _Home:
    """A recipe in its corpus, the same only as itself, so that its names are made out once."""

    __slots__ = ("corpus", "recipe")

    def __init__(self, recipe: Recipe, corpus: Corpus) -> None:
        self.recipe, self.corpus = recipe, corpus

    def __hash__(self) -> int:
        return hash((id(self.recipe), id(self.corpus)))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _Home):
            return False
        return self.recipe is other.recipe and self.corpus is other.corpus


@lru_cache(maxsize=256)
def _local(home: _Home) -> Local:
    return _made(_spelled(home.recipe, home.corpus), _kinds(home.recipe, home.corpus))


def _kinds(recipe: Recipe, corpus: Corpus) -> tuple[tuple[str, str], ...]:
    """Short names of another kind of what a line holds: the "chicken" of a stew with its thighs.

    The other kind must be of the same origin and do first of all the same in a dish: chicken broth
    is no chicken.
    """
    found = []
    own = {line.item for line in recipe.lines}
    for line in recipe.lines:
        item = corpus.pantry.get(line.item)
        if item is None or not item.role:
            continue
        inside = _key(item.name)
        for other in corpus.pantry.values():
            if other.id in own or other.origin != item.origin or other.role[:1] != item.role[:1]:
                continue
            keys = {_key(name) for name in all_names(other)}
            found += [(key[0], item.id) for key in keys if len(key) == 1 and key[0] in inside]
    return tuple(dict.fromkeys(found))


def _spelled(recipe: Recipe, corpus: Corpus) -> list[tuple[str, str]]:
    spelled = []
    for line in recipe.lines:
        item = corpus.pantry.get(line.item)
        spelled += [(name, line.item) for name in (line.name, *(all_names(item) if item else ()))]
    return spelled


def _made(spelled: Sequence[tuple[str, str]], kinds: Sequence[tuple[str, str]]) -> Local:
    owners: dict[tuple[str, ...], set[str]] = {}
    whole: dict[tuple[str, ...], str] = {}
    for name, item in spelled:
        key = _key(name)
        whole.setdefault(key, item)
        for start in range(1, len(key)):
            owners.setdefault(key[start:], set()).add(item)
    short = {key: next(iter(items)) for key, items in owners.items() if len(items) == 1}
    others: dict[tuple[str, ...], set[str]] = {}
    for word, item in kinds:
        others.setdefault((word,), set()).add(item)
    wide = {key: next(iter(items)) for key, items in others.items() if len(items) == 1}
    return {**wide, **short, **whole}


def _key(name: str) -> tuple[str, ...]:
    return tuple(singular(token.text) for token in tokens(name))


def prefer_local(names: Sequence[Mention], found: Sequence[Token], local: Local) -> list[Mention]:
    """The recipe's own names first; an outer ingredient survives where it is longer.

    "Broth" is this recipe's broth, but "chicken broth" asked of a recipe with vegetable broth is
    chicken broth, and "soy sauce instead of the reduced-sodium soy sauce" is the plain one. A
    mended spelling is looked up by what it was mended to.
    """
    own = {mention.id for mention in names}
    kept: list[Mention] = []
    # The "red lentil" of "red lentil soup" is no ingredient of its own.
    recipes = [m for m in names if m.type == "recipe"]
    taken = {place for m in recipes for place in range(m.start, m.end)}
    for mention in names:
        if mention.type != "ingredient":
            continue
        item = local.get(_key(mention.text), mention.id)
        item = mention.id if item in own else item
        kept.append(
            Mention(
                "ingredient",
                item,
                mention.text,
                mention.start,
                mention.end,
                None,
                mention.corrected,
            )
        )
        taken.update(range(mention.start, mention.end))
    keys = [singular(token.text) for token in found]
    at = 0
    while at < len(keys):
        end = _longest(keys, at, local, taken)
        if end == at:
            at += 1
            continue
        text = " ".join(token.text for token in found[at:end])
        kept.append(Mention("ingredient", local[tuple(keys[at:end])], text, at, end))
        at = end
    seen: dict[tuple[int, int, str], Mention] = {}
    for mention in kept:
        seen.setdefault((mention.start, mention.end, mention.id), mention)
    others = [mention for mention in names if mention.type != "ingredient"]
    return [*others, *seen.values()]


def _longest(keys: Sequence[str], at: int, local: Local, taken: set[int]) -> int:
    """Where the longest local name that starts at `at` ends; `at` itself where none does."""
    for end in range(min(at + _LONGEST, len(keys)), at, -1):
        if tuple(keys[at:end]) in local and not taken & set(range(at, end)):
            return end
    return at
