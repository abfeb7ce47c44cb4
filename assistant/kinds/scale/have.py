"""How many times the recipe an amount is: of what is at hand, or of the dish that is wanted."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Line, Recipe
from assistant.kinds.crossed import listed
from assistant.kinds.named import lines_named
from assistant.kinds.nutrition.portions import piece_of
from assistant.kinds.shelf import Shelf, number
from assistant.kinds.weights import grams_of_amount
from assistant.measure.amount import Amount, convert_amount, read_amount, show
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.measure.units import unit
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import singular

# A share with a greater denominator is told as a decimal.
_PLAIN = 16


class Have(msgspec.Struct, frozen=True):
    """Times the recipe, in words for whom or what, the line that told it, and what was assumed."""

    factor: Fraction
    words: str
    line: Line | None = None
    remark: str = ""


def by_amount(reading: Reading, recipe: Recipe, shelf: Shelf) -> Have | None:
    """ "I have 2 lb of turkey", "a gallon of the tea", "40" of what a serving counts two of.

    None where no single amount says it.
    """
    mentions = [m for m in reading.all("amount") if isinstance(m.value, Amount)]
    if len(mentions) > 1:
        return None
    if not mentions and reading.servings is not None:
        return None
    if not mentions:
        return _by_pieces(reading, recipe, shelf)
    amount = mentions[0].value
    if not isinstance(amount, Amount):
        return None
    each = _for_each(reading, recipe, mentions[0], amount, shelf)
    if each is not None:
        return each
    if reading.servings is not None:
        return None
    line = _line_of(reading, recipe, mentions[0], amount, shelf)
    if line is not None:
        factor = ratio(amount, line, shelf)
        return Have(factor, "", line) if factor is not None else None
    return _by_yield(reading, recipe, mentions[0], amount)


def _line_of(
    reading: Reading, recipe: Recipe, m: Mention, amount: Amount, shelf: Shelf
) -> Line | None:
    """The line whose food stands behind an amount; the only food named, where none does."""
    start = m.end + 1 if reading.words[m.end : m.end + 1] == ("of",) else m.end
    behind = tuple(x for x in reading.all("ingredient") if x.start == start)
    if not behind:
        # "The rice is 6 cups", "leftover rice 6 cups".
        ends = {m.start, m.start - 1} if reading.words[m.start - 1] in {"is", "are"} else {m.start}
        behind = tuple(x for x in reading.all("ingredient") if x.end in ends)
    if not behind and shelf.says(reading, "rest-words") and len(reading.foods) == 1:
        behind = reading.all("ingredient")
    only = msgspec.structs.replace(reading, mentions=behind)
    lines = lines_named(only, recipe, shelf)[0] if behind else []
    if behind and not lines:
        # "Rice" that is read as another kind is the only rice that the recipe has.
        last = {singular(x.text.split()[-1]) for x in behind}
        lines = [line for line in recipe.lines if _last_word(line, shelf) in last]
    if not behind:
        # "A can of beans": of the beans of the recipe only one kind is in cans.
        said = {singular(word) for word in reading.words[start : start + 1]}
        lines = [
            line
            for line in recipe.lines
            if line.amount is not None
            and line.amount.unit == amount.unit
            and _last_word(line, shelf) in said
        ]
    return lines[0] if len(lines) == 1 else None


def _last_word(line: Line, shelf: Shelf) -> str:
    item = shelf.item(line.item)
    return singular(name_words(item.name)[-1]) if item is not None else ""


def _for_each(
    reading: Reading, recipe: Recipe, m: Mention, amount: Amount, shelf: Shelf
) -> Have | None:
    """ "2 cups per person for 10": so much of the dish for each of the people."""
    after = reading.words[m.end : m.end + 1]
    one = _one_serving(recipe, amount)
    if not set(after) & listed(shelf, "for-each-words") or reading.servings is None or one is None:
        return None
    people = reading.servings
    servings = amount.high * people / one
    words = f"{show_number(people)}, {show(amount)} each"
    remark = f"That is {_told(servings)} servings of {recipe.yields.measure}."
    return Have(servings / recipe.yields.servings, words, None, remark)


def _one_serving(recipe: Recipe, amount: Amount) -> Fraction | None:
    """A serving in the unit of a volume; None where it is no single volume."""
    if not amount.unit or unit(amount.unit).dimension != "volume" or amount.low != amount.high:
        return None
    try:
        one = convert_amount(read_amount(recipe.yields.measure), amount.unit)
    except MeasureError:
        return None
    return one.high if one.low == one.high else None


def _told(servings: Fraction) -> str:
    return show_number(servings) if servings.denominator <= _PLAIN else number(servings)


def _by_yield(reading: Reading, recipe: Recipe, m: Mention, amount: Amount) -> Have | None:
    """ "I need a gallon": of the dish, where a serving of it is one measure."""
    after = reading.words[m.end : m.end + 1]
    if any(x.start == m.end or (x.start == m.end + 1 and after == ("of",))
           for x in reading.all("ingredient") if x.id in reading.foods):  # fmt: skip
        return None
    wanted = amount
    if amount.unit and unit(amount.unit).dimension == "volume":
        # Metric measures of a dish made by the cup, to a quarter of one.
        cups = convert_amount(amount, "cup")
        if cups.high.denominator > _PLAIN:
            quarters = Fraction(round(cups.high * 4), 4)
            wanted = Amount(quarters, quarters, "cup")
    one = _one_serving(recipe, wanted)
    if one is None:
        return None
    servings = wanted.high / one
    about = f"about {show(wanted)}, " if wanted is not amount else ""
    remark = f"{show(amount)} is {about}{_told(servings)} servings of {recipe.yields.measure}."
    return Have(servings / recipe.yields.servings, show(amount), None, remark)


def _by_pieces(reading: Reading, recipe: Recipe, shelf: Shelf) -> Have | None:
    """ "I need 40", of bites: what is made is counted in pieces, where a serving has several."""
    piece = piece_of(recipe)
    numbers = [m for m in reading.all("number") if isinstance(m.value, Fraction)]
    if piece is None or len(numbers) != 1 or not isinstance(numbers[0].value, Fraction):
        return None
    n, at = numbers[0].value, numbers[0].start
    found = shelf.corpus.lists.get("piece-verbs")
    if found is None or reading.words[max(0, at - 1) : at][:1] == () or n < 2:
        return None
    if reading.words[at - 1] not in found.words:
        return None
    words = f"{show_number(n)} {piece.plural}"
    remark = (
        f"Taken as {words}, since a serving is {recipe.yields.measure};"
        f" for {show_number(n)} people it is every amount ×"
        f" {show_number(n / recipe.yields.servings)}."
    )
    return Have(piece.share * n, words, None, remark)


def ratio(have: Amount, line: Line, shelf: Shelf) -> Fraction | None:
    """How many times the amount of a line another amount is; None where neither weight is known."""
    if line.amount is None:
        return None
    if have.unit == line.amount.unit:
        return have.low / line.amount.high
    need = line.grams
    weight = grams_of_amount(have, line.item, shelf, line.state)
    if need is None or weight.grams is None or not need[1]:
        return None
    return weight.grams[0] / need[1]
