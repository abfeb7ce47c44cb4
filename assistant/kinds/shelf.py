"""What a kind may consult, and the parts that answers are made of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from assistant.answer import Answer, Figure, Source, Verdict
from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Food, Ingredient, Line, Recipe, Record, Reference
from assistant.kitchen.composition import Table
from assistant.measure.amount import Amount, convert_amount
from assistant.measure.spoons import Shown, System, kitchen
from assistant.measure.units import to_fahrenheit, unit
from assistant.question import reading as reading_module
from assistant.question.reading import Reading
from assistant.retrieval.index import Index, Passage
from assistant.retrieval.words import singular, tokens


class Shelf:
    """The corpus, its composition table and its index, for answering."""

    def __init__(
        self,
        corpus: Corpus,
        found: Callable[[], tuple[tuple[Passage, ...], Index]],
        all_foods: Callable[[], tuple[tuple[str, str], ...]],
        one_food: Callable[[str], Food | None] | None = None,
    ) -> None:
        self.corpus = corpus
        self._found = found
        self._all_foods = all_foods
        self._one_food = one_food
        self._weighed: dict[str, dict[str, float]] = {}

    @cached_property
    def table(self) -> Table:
        """The composition table of the foods that the pantry names."""
        made = self.corpus.lists.get("made-food-groups")
        return Table(
            self.corpus.columns,
            self.corpus.foods,
            self.corpus.pantry,
            self.corpus.nutrients,
            made.words if made else (),
        )

    @property
    def index(self) -> Index:
        """The passages of recipes, notes, rules and swaps."""
        return self._found()[1]

    def passage(self, number: int) -> Passage:
        """A passage by its number in the index."""
        return self._found()[0][number]

    @cached_property
    def asking_words(self) -> frozenset[str]:
        """Words that only ask, and name nothing that a passage would have to hold."""
        asking = self.corpus.lists.get("asking-words")
        return frozenset(asking.words) if asking else frozenset()

    def weighed(self, text: str) -> dict[str, float]:
        """The terms of a title or an ask with their weights, kept for the next question."""
        if text not in self._weighed:
            words = [token.text for token in tokens(text) if token.text not in self.asking_words]
            self._weighed[text] = self.index.weigh(words)
        return self._weighed[text]

    @cached_property
    def every_food(self) -> tuple[tuple[str, str], ...]:
        """Code and name of every row of the composition table."""
        return self._all_foods()

    def food(self, code: str) -> Food | None:
        """A row of the composition table by its code, also one that no pantry item names."""
        known = self.corpus.foods.get(code)
        return known if known or self._one_food is None else self._one_food(code)

    @property
    def first(self) -> System:
        """Which measures stand first: "us" or "metric"."""
        return self.corpus.programme.first

    def says(self, reading: Reading, words: str) -> bool:
        """Whether the question holds a word of a list of vocabulary/lists.yaml, by its id."""
        listed_ = self.corpus.lists.get(words)
        return listed_ is not None and not set(reading.words).isdisjoint(listed_.words)

    def recipe(self, reading: Reading) -> Recipe | None:
        """The recipe in hand, if there is one."""
        return self.corpus.recipes.get(reading.recipe)

    def item(self, ident: str) -> Ingredient | None:
        """A pantry item by id."""
        return self.corpus.pantry.get(ident)


# ---------------------------------------------------------------------------------------- sources


def record_source(record: Record, line: int = 0) -> Source:
    """A record of the corpus, with the line that was used."""
    title = getattr(record, "title", "") or getattr(record, "name", record.id)
    return Source(id=record.id, title=title, where=f"{record.file}:{line or record.line}")


def food_source(shelf: Shelf, code: str) -> Source:
    """A row of the composition table."""
    food = shelf.corpus.foods.get(code)
    return Source(id=f"SR28 {code}", title=food.name if food else code, where="foods.csv")


def reference_source(shelf: Shelf, ident: str) -> Source:
    """A published reference, or the mark that there is none."""
    reference = shelf.corpus.references.get(ident)
    if reference is None:
        return Source(id=ident, title=ident, where="references.yaml")
    return Source(id=ident, title=_cited(reference), where=reference.where)


def _cited(reference: Reference) -> str:
    """The title with its section; publisher and year stand in `assistant show ID`."""
    told = not reference.section or reference.section in reference.title
    return reference.title if told else f"{reference.title}, {reference.section}"


def unique(sources: Iterable[Source]) -> tuple[Source, ...]:
    """Each source once, in order."""
    return tuple(dict.fromkeys(sources))


# ---------------------------------------------------------------------------------------- amounts

SIZES = ("small", "medium", "large")


def shown(amount: Amount, first: System) -> Shown:
    """An amount as spoons and cups measure it."""
    return kitchen(amount, first)


def amount_text(amount: Amount, first: System) -> str:
    """`14 cups (3,300 mL)`: what is measured, with the other system beside it."""
    made = kitchen(amount, first)
    return f"{made.text} ({made.also})" if made.also else made.text


def moved_text(amount: Amount, first: System) -> str:
    """The exact amount, where the kitchen rounding moved it; else nothing."""
    made = kitchen(amount, first)
    return f"exactly {made.exact}" if made.moved else ""


def line_name(line: Line, shelf: Shelf, amount: Amount | None = None) -> str:
    """What a line's ingredient is called in print, in the number that a counted amount asks for."""
    item = shelf.item(line.item)
    name = line.name or (item.name if item else line.item)
    written = line.text.lower().find(name)
    if written >= 0:
        # As the line writes it: "Greek yogurt".
        name = line.text[written : written + len(name)]
    counted = amount is not None and (not amount.unit or amount.unit in SIZES)
    if item is None or not item.plural or not counted or amount is None:
        return name
    if amount.high > 1:
        return item.plural if name == item.name else name
    return item.name if name == item.plural else name


def number(value: Fraction, places: int = 1) -> str:
    """A value rounded half up for reading, with no needless zeros: `12.5`, `3`, `1,250`."""
    if abs(value) >= 100:
        places = 0
    scale = 10**places
    scaled = (abs(value) * scale + Fraction(1, 2)).__floor__()
    whole, rest = divmod(scaled, scale)
    text = f"{whole:,}" + (f".{rest:0{places}d}".rstrip("0").rstrip(".") if places else "")
    return f"-{text}" if value < 0 and scaled else text


def degrees_f(reading: Reading, lowest: int, highest: int) -> Fraction | None:
    """The temperature named, in °F; a bare number counts only from `lowest` to `highest`."""
    for mention in reading.all("temperature"):
        if isinstance(mention.value, Fraction):
            return to_fahrenheit(mention.value) if mention.id == "c" else mention.value
    for mention in reading.all("number"):
        if isinstance(mention.value, Fraction) and lowest <= mention.value <= highest:
            return mention.value
    return None


def same_kind(amount: Amount, target: str) -> Amount | None:
    """The amount in another unit of the same dimension, None where there is no way."""
    if not amount.unit or unit(amount.unit).dimension != unit(target).dimension:
        return None
    return convert_amount(amount, target)


# ---------------------------------------------------------------------------------------- answers


def make(
    reading: Reading,
    verdict: Verdict,
    headline: str,
    figures: Sequence[Figure] = (),
    lines: Sequence[str] = (),
    sources: Iterable[Source] = (),
) -> Answer:
    """An answer to a reading; what the reading assumed stands in its first lines."""
    assumed = (f"Taken as: {'; '.join(reading.assumed)}.",) if reading.assumed else ()
    return Answer(
        question=reading.text,
        kind=reading.kind,
        verdict=verdict,
        headline=headline,
        figures=tuple(figures),
        lines=(*assumed, *lines),
        sources=unique(sources),
        reading=reading_module.to_object(reading),
    )


def dishes_named(reading: Reading, shelf: Shelf) -> set[str]:
    """The dish nouns ("soup") with which the titles of several recipes end and that are named."""
    heads = Counter(_head(recipe.title) for recipe in shelf.corpus.recipes.values())
    record = shelf.corpus.lists.get("dish-nouns")
    nouns = {singular(word) for word in (record.words if record else ())}
    said = {singular(word) for word in reading.words}
    return {noun for noun in nouns & said if heads[noun] > 1}


def points_at_dish(reading: Reading, shelf: Shelf) -> bool:
    """Whether one of our dishes is meant by its noun alone: "the soup", "your salad"."""
    record = shelf.corpus.lists.get("our-words")
    pointing = {*(record.words if record else ()), "this", "that"}
    nouns = dishes_named(reading, shelf) if not reading.recipe else set()
    return any(
        before in pointing and singular(word) in nouns for before, word in pairwise(reading.words)
    )


def _head(title: str) -> str:
    return singular(title.lower().split()[-1])


def ask_which_recipe(reading: Reading, shelf: Shelf) -> Answer:
    """The recipe is missing: ask for it, naming those that hold what was asked about."""
    wanted = set(reading.ids("ingredient"))
    fitting = [
        recipe.title
        for recipe in shelf.corpus.recipes.values()
        if not wanted or wanted & {line.item for line in recipe.lines}
    ]
    # "The soup" is one of the soups.
    nouns = dishes_named(reading, shelf)
    fitting = [title for title in fitting if _head(title) in nouns] or fitting
    titles = fitting or [recipe.title for recipe in shelf.corpus.recipes.values()]
    named = ", ".join(title.lower() for title in sorted(titles)[:6])
    more = "" if len(titles) <= 6 else f" and {len(titles) - 6} more"
    return make(
        reading,
        "asks",
        "Which recipe is this about?",
        lines=(f"For example: {named}{more}. Name it in the question, or pin it with --recipe.",),
    )


def listed(items: Sequence[str], last: str = "and") -> str:
    """`a, b and c`."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]
