"""What a question for a list of recipes asks of them: "vegan, with tofu, under 400 calories"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Diet, Nutrient
from assistant.kinds.crossed import listed
from assistant.kinds.diet.avoid import avoided, diets_without, is_made
from assistant.kinds.shelf import Shelf, same_kind
from assistant.measure.amount import Amount
from assistant.measure.span import Span, minutes
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular, stop_words

# A figure belongs to a nutrient that stands at most this many words away.
_NEAR = 3
# So many words may stand between an article and its noun: "a peanut allergy friendly snack".
_FAR = 5


class Food(msgspec.Struct, frozen=True):
    """With one of some foods, or without a food: each as it was put, with the items it names."""

    named: tuple[tuple[str, tuple[str, ...]], ...]
    wanted: bool

    @property
    def text(self) -> str:
        """`turkey or beef`."""
        return " or ".join(text for text, _ in self.named)


class Fits(msgspec.Struct, frozen=True):
    """Fit for a diet, or (`wanted` False) holding what the diet forbids."""

    diet: Diet
    wanted: bool


class Limit(msgspec.Struct, frozen=True):
    """A nutrient in one serving, at most or at least so much, in the nutrient's own unit."""

    nutrient: Nutrient
    most: bool
    value: Fraction


class Order(msgspec.Struct, frozen=True):
    """Most of a nutrient first, or least first; `nutrient` None orders by the whole time."""

    nutrient: Nutrient | None
    least: bool


class Within(msgspec.Struct, frozen=True):
    """Done in so many minutes, passive ones included."""

    minutes: Fraction


class Course(msgspec.Struct, frozen=True):
    """One of the courses, by the words of the list `course-<id>`."""

    ident: str


class Freezes(msgspec.Struct, frozen=True):
    """Freezes well."""


Condition = Food | Fits | Limit | Order | Within | Course | Freezes


def conditions(
    reading: Reading, shelf: Shelf, certain: bool = False
) -> tuple[Condition, ...] | None:
    """What a list of recipes is asked for; None where the question asks for no such list.

    `certain` says that nothing else can be meant: "a high-protein lunch" then needs no "recipes".

    Every word must be accounted for: "recipes for my waffle iron" is no list that can be made here.
    "All the recipes" has no condition and gives ().
    """
    words = reading.words
    if not certain and (not _asks_for_recipes(reading, shelf) or _plans_days(reading, shelf)):
        return None
    if _names_one(reading) or _is_beside(reading, shelf):
        return None
    parts = (
        _foods(reading, shelf),
        _limits(reading, shelf),
        _orders(reading, shelf),
        _minutes(reading, shelf),
        _courses(reading, shelf),
        _freezing(reading, shelf),
    )
    found = [pair for part in parts for pair in part]
    covered = {place for _, places in found for place in places}
    # For how many it is changes no list.
    covered |= {p for m in reading.all("servings") for p in range(m.start, m.end)}
    plain = _plain(shelf)
    if any(p not in covered and word not in plain for p, word in enumerate(words)):
        return None
    made = tuple(condition for condition, _ in found)
    if not made and not set(words) & listed(shelf, "all-words"):
        return None
    # A diet alone, or the one with the most of something, is asked of their own kinds.
    if made and all(isinstance(c, Fits) and c.wanted for c in made) and reading.kind == "diet":
        return None
    extreme = set(words) & listed(shelf, "extreme-words")
    if extreme and all(isinstance(c, Order) for c in made) and reading.kind == "nutrition":
        return None
    return made


def _plain(shelf: Shelf) -> frozenset[str]:
    """The words that only fill a question for a list of recipes."""
    names = ("catalog-words", "recipe-nouns", "single-nouns", "vague-nouns")
    return stop_words().union(*(listed(shelf, name) for name in names))


def _is_beside(reading: Reading, shelf: Shelf) -> bool:
    """ "A side dish without dairy", with a recipe in hand: for that recipe."""
    words = set(reading.words)
    return bool(reading.recipe and words & {"side", "sides"} and not words & {"recipe", "recipes"})


def _plans_days(reading: Reading, shelf: Shelf) -> bool:
    """ "A week of vegan lunches" is a plan, not a list."""
    return reading.kind == "meal" and shelf.says(reading, "week-words")


_Found = tuple[Condition, tuple[int, ...]]


def _asks_for_recipes(reading: Reading, shelf: Shelf) -> bool:
    """Whether recipes are asked for at large, not one of them: "any dish with tofu", but not "in a
    dish"; "anything with tofu", but not "anything I can use for tofu"."""
    words = set(reading.words)
    if words & listed(shelf, "recipe-nouns"):
        return True
    if {"what", "with"} <= words and words & listed(shelf, "make-with-words"):
        return True
    given = bool(reading.all("duration")) or bool(avoided(reading, shelf))
    if given and words & listed(shelf, "at-large-words") and _is_at_large(reading):
        return True
    if "anything" in words and reading.all("diet") and words & listed(shelf, "holds-words"):
        return True
    if _wants_one(reading, shelf):
        return True
    if words & listed(shelf, "vague-nouns"):
        names = ("catalog-resets", "catalog-negators", "at-most-words", "quick-words")
        return any(words & listed(shelf, name) for name in names)
    single, any_ = listed(shelf, "single-nouns"), listed(shelf, "any-words")
    pairs = zip(reading.words, reading.words[1:], strict=False)
    return any(before in any_ and word in single for before, word in pairs)


def _wants_one(reading: Reading, shelf: Shelf) -> bool:
    """ "A dessert under 200 calories", "do you have a nut-free snack": any that there is."""
    words = reading.words
    if shelf.says(reading, "pronouns"):
        return False  # "is it a good dinner?" is asked of one dish
    if words[:1] not in {("a",), ("an",)} and not set(words) & listed(shelf, "wanting-words"):
        return False
    single = {p for p, word in enumerate(words) if word in listed(shelf, "single-nouns")}
    articles = {p for p, word in enumerate(words) if word in {"a", "an"}}
    return any(p - _FAR <= article < p for p in single for article in articles)


def _is_at_large(reading: Reading) -> bool:
    """ "What can she have": what there is, without a dish that is pointed at."""
    pairs = set(zip(reading.words, reading.words[1:], strict=False))
    return bool(pairs & {("what", "can"), ("what", "could"), ("what", "may"), ("what", "should")})


def _names_one(reading: Reading) -> bool:
    """Whether one recipe is named for certain: by more than the name of a food in it."""
    foods = {(m.start, m.end) for m in reading.all("ingredient")}
    return any((m.start, m.end) not in foods for m in reading.all("recipe"))


def _negated(reading: Reading, shelf: Shelf) -> list[bool]:
    """For each word, whether it stands under a "without", "no" or "not"."""
    negators, resets = listed(shelf, "catalog-negators"), listed(shelf, "catalog-resets")
    state, made = False, []
    for word in reading.words:
        state = True if word in negators else False if word in resets else state
        made.append(state)
    return made


def _foods(reading: Reading, shelf: Shelf) -> Iterator[_Found]:
    """Foods and diets, each with or without, the longest name at a place."""
    negated = _negated(reading, shelf)
    out = avoided(reading, shelf)
    named = [m for m in reading.mentions if m.type in {"ingredient", "diet"}]
    named.sort(key=lambda m: (m.start - m.end, m.type != "ingredient", m.start))
    taken: set[int] = set()
    foods: list[tuple[int, int, str, tuple[str, ...]]] = []
    for mention in named:
        span = set(range(mention.start, mention.end))
        if taken & span:
            continue
        taken |= span
        if mention.type == "diet":
            yield _diet(mention, reading, negated[mention.start], shelf), tuple(span)
            continue
        ruled = diets_without([mention], shelf) if mention in out else []
        if ruled and not any(is_made(diet) for diet in ruled):
            # Who is allergic to eggs must do without mayonnaise, too.
            for diet in ruled:
                yield Fits(diet, True), tuple(span)
            continue
        negated[mention.start] = negated[mention.start] or bool(ruled)
        same = dict.fromkeys(m.id for m in reading.all("ingredient") if m.start == mention.start)
        foods.append((mention.start, mention.end, mention.text, tuple(same)))
    known = _line_words(shelf)
    plain = _plain(shelf)
    for place, word in enumerate(reading.words):
        if place not in taken and word not in plain and singular(word) in known:
            foods.append((place, place + 1, word, ()))
    foods.sort()
    while foods:
        start, end, text, items = foods.pop(0)
        either = [(text, items)]
        wanted = not negated[start]
        # Of "turkey or beef" one will do; "without turkey or beef" is without both.
        while wanted and foods and reading.words[end : foods[0][0]] == ("or",):
            _, end, text, items = foods.pop(0)
            either.append((text, items))
        yield Food(tuple(either), wanted), tuple(range(start, end))


def _line_words(shelf: Shelf) -> set[str]:
    """The last words of what stands in the recipes: the "beans" of "kidney beans"."""
    return {
        singular(line.name.split()[-1])
        for recipe in shelf.corpus.recipes.values()
        for line in recipe.lines
        if line.name
    }


def _diet(mention: Mention, reading: Reading, negated: bool, shelf: Shelf) -> Fits:
    """A diet by name must fit; a bare allergen must be in it or not, as the words around it say."""
    diet = shelf.corpus.diets[mention.id]
    if mention.text not in listed(shelf, "bare-allergens"):
        before = reading.words[max(0, mention.start - _NEAR) : mention.start]
        return Fits(diet, not set(before) & listed(shelf, "not-words"))
    return Fits(diet, negated or not shelf.says(reading, "holds-words"))


def _figures(reading: Reading, nutrient: Nutrient) -> Iterator[tuple[Mention, Fraction]]:
    """The numbers of a question that may be an amount of the nutrient, in its unit."""
    for mention in (*reading.all("number"), *reading.all("amount")):
        if mention.start and reading.words[mention.start - 1] == "top":
            continue  # "the top 3" counts recipes
        if isinstance(mention.value, Fraction):
            yield mention, mention.value
        elif isinstance(mention.value, Amount):
            amount = same_kind(mention.value, nutrient.unit) if nutrient.unit != "kcal" else None
            if amount is not None:
                yield mention, amount.high


Wanted = Limit | Order


def nutrients_wanted(reading: Reading, shelf: Shelf) -> list[Wanted]:
    """The limits on nutrients that a question names, then those it wants much or little of."""
    found = [*_limits(reading, shelf), *_orders(reading, shelf)]
    return [one for one, _ in found if isinstance(one, Limit | Order) and one.nutrient is not None]


def _limits(reading: Reading, shelf: Shelf) -> Iterator[_Found]:
    for named in reading.all("nutrient"):
        nutrient = shelf.corpus.nutrients[named.id]
        near = [
            (mention, value)
            for mention, value in _figures(reading, nutrient)
            if 0 <= named.start - mention.end < _NEAR or 0 <= mention.start - named.end < _NEAR
        ]
        if not near:
            continue
        mention, value = near[0]
        first, last = min(mention.start, named.start), max(mention.end, named.end)
        before = reading.words[max(0, first - _NEAR - 1) : last]
        yield Limit(nutrient, _at_most(before, nutrient, shelf), value), tuple(range(first, last))


def _at_most(words: Sequence[str], nutrient: Nutrient, shelf: Shelf) -> bool:
    """ "At least" and "over" ask for more; "no more than", "under" and a bare figure for less, but
    a bare figure of what people want enough of ("ideas with 20 g protein") for more."""
    less = bool(set(words) & (listed(shelf, "at-most-words") | {"no", "not"}))
    more = set(words) & listed(shelf, "at-least-words")
    return less or not (more or nutrient.id in listed(shelf, "wanted-nutrients"))


def _orders(reading: Reading, shelf: Shelf) -> Iterator[_Found]:
    limited = {place for _, places in _limits(reading, shelf) for place in places}
    high, low = listed(shelf, "order-high-words"), listed(shelf, "order-low-words")
    for named in reading.all("nutrient"):
        if named.start in limited:
            continue
        around = reading.words[max(0, named.start - 2) : named.end + 2]
        if set(around) & (high | low):
            places = tuple(range(named.start, named.end))
            yield Order(shelf.corpus.nutrients[named.id], bool(set(around) & low)), places
    for place, word in enumerate(reading.words):
        if word in listed(shelf, "quick-words"):
            yield Order(None, True), (place,)


def _minutes(reading: Reading, _: Shelf) -> Iterator[_Found]:
    for mention in reading.all("duration"):
        if isinstance(mention.value, Span) and mention.value.unit in {"minute", "hour"}:
            yield Within(minutes(mention.value)[1]), tuple(range(mention.start, mention.end))


def _courses(reading: Reading, shelf: Shelf) -> Iterator[_Found]:
    seen: set[str] = set()
    for ident, record in shelf.corpus.lists.items():
        course = ident.removeprefix("course-")
        if course == ident:
            continue
        places = tuple(p for p, word in enumerate(reading.words) if word in record.words)
        if places and course not in seen:
            seen.add(course)
            yield Course(course), places


def _freezing(reading: Reading, shelf: Shelf) -> Iterator[_Found]:
    foods = {m.start for m in reading.all("ingredient")}
    places = tuple(
        p
        for m in reading.all("place")
        # "Frozen shrimp" is the state of the shrimp, not of the dish.
        if m.id == "freezer" and m.end not in foods
        for p in range(m.start, m.end)
    )
    if places:
        yield Freezes(), places
