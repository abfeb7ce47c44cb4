"""Text -> Reading: fold and cut, find what is named, choose the kind, fill in from the context.

The order is fixed and nothing looks back: quantities, names, the recipe in hand, cues.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.lines import all_names
from assistant.kitchen.clock import Progress
from assistant.measure.exact import exact
from assistant.question.cues import Book, find, make_text, score
from assistant.question.local import local_names, prefer_local
from assistant.question.model import decide
from assistant.question.outside import Ordinary, make_ordinary, set_apart
from assistant.question.quantities import find_quantities
from assistant.question.reading import Mention, Reading
from assistant.question.vocabulary import Vocabulary, arrange
from assistant.retrieval.spelling import Found, Names, build_names
from assistant.retrieval.words import Token, singular, tokens

LONGEST = 4000
# Two kinds whose scores are nearer than this fit equally well.
NEAR = 0.01
# So many words behind "no" may name one food.
_LONGEST_FOOD = 4


class Context(msgspec.Struct, frozen=True, kw_only=True):
    """What the conversation has settled: the recipe in hand, for how many, and the date.

    `recipe` and `servings` are pinned and stay. `subject` is the recipe last spoken of and `about`
    the food, `asked` the last question as it was understood; `pending` says that a detail of it was
    asked for, `rivals` the kinds it might be and `offered` the recipes. `subjects` are the recipes
    last spoken of together, `people` the servings last named for the subject (a fraction as text),
    `tail` the end of `asked` that was only supposed, `trade` the swap just told of in words that
    suppose it ("with beef instead of the turkey"), `urgent` an urgent text just answered. All are
    text or numbers, so a context can be kept.
    """

    recipe: str = ""
    servings: Fraction | None = None
    today: datetime.date
    # How far the cooking has come, while a clock is running.
    progress: Progress | None = None
    subject: str = ""
    about: str = ""
    asked: str = ""
    pending: bool = False
    rivals: tuple[str, ...] = ()
    offered: tuple[str, ...] = ()
    subjects: tuple[str, ...] = ()
    people: str = ""
    tail: str = ""
    trade: str = ""
    urgent: str = ""


class Lexicon(msgspec.Struct, frozen=True, kw_only=True):
    """Everything the compiled snapshot keeps for reading questions."""

    names: Names
    book: Book
    vocabulary: Vocabulary
    ordinary: Ordinary = Ordinary()


def name_entries(corpus: Corpus) -> list[tuple[str, str]]:
    """Every name of the corpus with its type and id: `("soup", "recipe:red-lentil-soup")`."""
    entries: list[tuple[str, str]] = []
    for recipe in corpus.recipes.values():
        entries += [(name, f"recipe:{recipe.id}") for name in (recipe.title, *recipe.names)]
    for item in corpus.pantry.values():
        entries += [(name, f"ingredient:{item.id}") for name in all_names(item)]
    for nutrient in corpus.nutrients.values():
        entries += [(name, f"nutrient:{nutrient.id}") for name in nutrient.names]
    for diet in corpus.diets.values():
        entries += [(name, f"diet:{diet.id}") for name in diet.names]
    for term in corpus.terms.values():
        entries += [(name, f"{term.group}:{term.id}") for name in (term.name, *term.names)]
    return [*entries, *_spelled_otherwise(entries, corpus)]


def _spelled_otherwise(
    entries: Sequence[tuple[str, str]], corpus: Corpus
) -> Iterator[tuple[str, str]]:
    """Names in the spellings of other regions, by the pairs of the list "spellings"."""
    pairs = corpus.lists.get("spellings")
    for here, there in (pair.split() for pair in (pairs.words if pairs else ())):
        whole = re.compile(rf"\b{re.escape(here)}\b", re.IGNORECASE)
        for name, target in entries:
            if whole.search(name):
                yield whole.sub(there, name), target


def make_lexicon(corpus: Corpus, book: Book, extra_words: Collection[str]) -> Lexicon:
    """Compile the names of a corpus. `extra_words` are words never corrected into a name."""
    lists = corpus.lists
    never = lists["not-names"].words if "not-names" in lists else ()
    pairs = lists["lookalikes"].words if "lookalikes" in lists else ()
    dishes = lists["dish-nouns"].words if "dish-nouns" in lists else ()
    # Whole questions and the words that settle a rule name foods, as ordinary words do not.
    foods = ("dish-nouns", "rule-", "example-")
    plain = (record for record in lists.values() if not record.id.startswith(foods))
    every = [word for record in plain for word in record.words]
    names = build_names(
        name_entries(corpus),
        known={*never, *every, *dishes, *extra_words, *book.words},
        lookalikes=[(pair.split()[0], pair.split()[-1]) for pair in pairs],
    )
    servings = lists["servings-words"].words if "servings-words" in lists else ()
    return Lexicon(
        names=names,
        book=book,
        vocabulary=arrange(corpus.times.values(), corpus.quantity_lists.values(), servings),
        ordinary=make_ordinary(book, every, dishes),
    )


def understand(text: str, lexicon: Lexicon, corpus: Corpus, context: Context) -> Reading:
    """Read a question.

    Parameters: the text (cut at 4,000 characters), the compiled lexicon, the corpus, and what the
    conversation has settled. Returns a Reading whose kind is "" where no cue matched.
    """
    text = text[:LONGEST]
    found, recipe, assumed, mentions, outside = _named(text, lexicon, corpus, context)
    words = tuple(token.text for token in found)
    cues = find(lexicon.book, make_text(words, mentions))
    scores, matched = score(cues, words)
    scores = decide(scores, words, food_places(mentions))
    kind = scores[0][0] if scores else ""
    rivals = tuple(k for k, s in scores[1:] if scores[0][1] - s < NEAR)
    servings, factor = _servings(mentions, corpus, context)
    if servings is not None and not any(m.type == "servings" for m in mentions):
        shown = servings.numerator if servings.denominator == 1 else float(servings)
        before = context.people == f"{servings.numerator}/{servings.denominator}".removesuffix("/1")
        assumed = (*assumed, f"for {shown} servings, as {'before' if before else 'set'}")
    corrected = [m for m in mentions if m.corrected]
    for mention in corrected:
        assumed = (*assumed, f'read "{mention.text}" as {_name_of(mention, corpus)}')
    return Reading(
        text=text,
        words=words,
        kind=kind,
        recipe=recipe,
        mentions=tuple(mentions),
        servings=servings,
        factor=factor,
        matched=matched,
        scores=scores,
        assumed=assumed,
        today=context.today,
        rivals=rivals,
        progress=context.progress,
        outside=outside,
    )


def mentions_of(
    text: str, lexicon: Lexicon, corpus: Corpus, context: Context
) -> tuple[Mention, ...]:
    """What a question names, without a decision on its kind: the kinds are learnt from it."""
    return tuple(_named(text[:LONGEST], lexicon, corpus, context)[3])


def food_places(mentions: Iterable[Mention]) -> list[range]:
    """Where foods and recipes are named."""
    return [range(m.start, m.end) for m in mentions if m.type in {"ingredient", "recipe"}]


def _named(
    text: str, lexicon: Lexicon, corpus: Corpus, context: Context
) -> tuple[list[Token], str, tuple[str, ...], list[Mention], tuple[str, ...]]:
    """The tokens, the recipe in hand, what was assumed for it, the mentions, and other words."""
    found = tokens(text)
    quantities = find_quantities(text, found, lexicon.vocabulary, context.today)
    names = _without_parts(_names(found, lexicon.names), corpus, context)
    names = _put_in(names, found, corpus, context)
    recipe, assumed = _recipe(names, corpus, context)
    if recipe:
        names = prefer_local(names, found, local_names(corpus.recipes[recipe], corpus))
    # "The date to throw it out" is dried fruit in no recipe that has none.
    never = corpus.lists["never-names"].words if "never-names" in corpus.lists else ()
    held = {line.item for line in corpus.recipes[recipe].lines} if recipe else set()
    names = [m for m in names if m.text not in never or m.type != "ingredient" or m.id in held]
    arranged = _arrange(quantities, names)
    mentions, outside = set_apart(arranged, found, lexicon.ordinary, bool(recipe))
    return found, recipe, assumed, mentions, outside


def _names(found: Sequence[Token], names: Names) -> list[Mention]:
    made = []
    for hit in _whole_foods(names.find(found), found, names):
        for target in (hit.id, *hit.others):
            type_, _, ident = target.partition(":")
            made.append(
                Mention(type_, ident, hit.text, hit.start, hit.end, None, hit.corrected)  # type: ignore[arg-type]
            )
    return made


def _whole_foods(hits: Sequence[Found], found: Sequence[Token], names: Names) -> Iterator[Found]:
    """The names found, with the whole food where a diet's name holds only its first word: who has
    "no soy sauce" is not after food without soy."""
    end = 0
    for hit in hits:
        if hit.start < end:
            continue
        inner = hit.start + 1
        rest = found[inner : hit.end + _LONGEST_FOOD] if hit.id.startswith("diet:") else ()
        first = next(iter(names.find(rest)), None) if found[hit.start].text == "no" else None
        wider = first is not None and not first.start and first.end > hit.end - inner
        if first is not None and wider and first.id.startswith("ingredient:"):
            hit = msgspec.structs.replace(first, start=inner, end=inner + first.end)
        end = hit.end
        yield hit


def _without_parts(names: Sequence[Mention], corpus: Corpus, context: Context) -> list[Mention]:
    """The names without another recipe's where a part of the one in hand is meant: with tacos in
    hand that have a lime slaw, "the slaw" is theirs, and "oats" are those of the oat bites."""
    pinned = corpus.recipes.get(context.recipe)
    kept = list(names)
    if pinned is not None:
        parts = {name.lower().split()[-1] for name in (pinned.title, *pinned.names)}
        kept = [m for m in kept if m.type != "recipe" or m.id == pinned.id or m.text not in parts]
    foods = {(m.start, m.end): m.id for m in kept if m.type == "ingredient"}
    # "Pancakes" and "oat bites" name a dish for certain, "oats" is a food as well.
    named = [m for m in kept if m.type == "recipe" and (m.start, m.end) not in foods]
    homes = [corpus.recipes[m.id] for m in named] or ([pinned] if pinned is not None else [])
    short = {
        (m.start, m.end, m.id)
        for m in kept
        if m.type == "recipe"
        and m.end - m.start == 1
        and (m.start, m.end) in foods
        and any(
            home.id != m.id and (singular(m.text),) in local_names(home, corpus) for home in homes
        )
    }
    return [m for m in kept if m.type != "recipe" or (m.start, m.end, m.id) not in short]


def _put_in(
    names: Sequence[Mention], found: Sequence[Token], corpus: Corpus, context: Context
) -> list[Mention]:
    """The names without a recipe's where the food of that name is to go into the recipe in hand:
    "can I use salmon?", asked of the baked cod."""
    pinned = corpus.recipes.get(context.recipe)
    before = corpus.lists.get("brought-in-words")
    if pinned is None or before is None:
        return list(names)
    foods = {(m.start, m.end) for m in names if m.type == "ingredient"}
    return [
        m
        for m in names
        if m.type != "recipe"
        or m.id == pinned.id
        or (m.start, m.end) not in foods
        or not m.start
        or found[m.start - 1].text not in before.words
    ]


def _recipe(
    names: Sequence[Mention], corpus: Corpus, context: Context
) -> tuple[str, tuple[str, ...]]:
    """The recipe in hand: the one named (the longest name wins), else the one pinned."""
    named = [m for m in names if m.type == "recipe"]
    if named:
        best = max(named, key=lambda m: (m.end - m.start, not m.corrected, -m.start))
        return best.id, ()
    if context.recipe in corpus.recipes:
        return context.recipe, (f"about the {corpus.recipes[context.recipe].title.lower()}",)
    return "", ()


def _arrange(quantities: Sequence[Mention], names: Sequence[Mention]) -> list[Mention]:
    """All mentions in order; a quantity that lies inside a name ("half batch") gives way to it,
    and a name inside a longer quantity ("3 bowls") gives way to that."""
    # "Half a dozen" is six, but "half a batch" is half a batch.
    longer = [(q.end - q.start, range(q.start, q.end)) for q in quantities if q.type != "share"]
    names = [
        m
        for m in names
        if m.type != "share"
        or not any(m.start in place and size > m.end - m.start for size, place in longer)
    ]
    wide = [m for m in names if m.end - m.start > 1 or m.type == "share"]
    covered = {place for m in wide for place in range(m.start, m.end)}
    kept = [q for q in quantities if not {*range(q.start, q.end)} <= covered]
    inside = {place for q in kept if q.end - q.start > 1 for place in range(q.start, q.end)}
    rest = [n for n in names if n in wide or not {*range(n.start, n.end)} <= inside]
    return sorted([*kept, *rest], key=lambda m: (m.start, m.end, m.type, m.id))


def _servings(
    mentions: Sequence[Mention], corpus: Corpus, context: Context
) -> tuple[Fraction | None, Fraction | None]:
    """The servings asked for, or the factor ("double"), or what is pinned."""
    for mention in mentions:
        if mention.type == "servings" and isinstance(mention.value, Fraction):
            return mention.value, None
        if mention.type == "share":
            value = mention.value
            if isinstance(value, Fraction):
                return None, value
            return None, exact(corpus.terms[mention.id].value)
    return context.servings, None


def _name_of(mention: Mention, corpus: Corpus) -> str:
    tables: Mapping[str, Mapping[str, object]] = {
        "recipe": corpus.recipes,
        "ingredient": corpus.pantry,
        "nutrient": corpus.nutrients,
        "diet": corpus.diets,
    }
    record = tables.get(mention.type, corpus.terms).get(mention.id)
    name = str(getattr(record, "title", "") or getattr(record, "name", mention.id))
    return f'"{name.lower()}"'
