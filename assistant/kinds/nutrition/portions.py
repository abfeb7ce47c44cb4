"""How much of the dish is asked about: a serving, two bowls, 2 cups, 100 g, one taco, the whole."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.answer import Answer
from assistant.corpus.lines import words as name_words
from assistant.corpus.records import Recipe
from assistant.kinds.crossed import listed as listed_words
from assistant.kinds.shelf import Shelf, listed, make, number, record_source
from assistant.kitchen.nutrients import Range, batch_grams
from assistant.measure.amount import Amount, convert_amount, read_amount, show, take_amount
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.measure.units import unit
from assistant.question.reading import Reading

_EACH = frozenset({"a", "an", "one", "per", "each", "single", "every"})


class Portion(msgspec.Struct, frozen=True):
    """A share of the whole dish, in words, with what was assumed on the way."""

    share: Range
    words: str
    remarks: tuple[str, ...] = ()


def one_serving(recipe: Recipe) -> Portion:
    """One serving as the recipe counts them."""
    share = Fraction(1, recipe.yields.servings)
    return Portion((share, share), f"one {recipe.yields.unit}", (_makes(recipe),))


def read_portion(reading: Reading, recipe: Recipe, shelf: Shelf) -> Portion | Answer:
    """The share of the dish that is asked about; an answer that asks where it cannot be told."""
    whole = _whole(reading, shelf)
    if whole:
        one = Fraction(1)
        remark = f"The {whole} is all that the recipe makes."
        return Portion((one, one), "the whole recipe", (remark, _makes(recipe)))
    pieces = _pieces(reading, recipe)
    if pieces is not None:
        return pieces
    # "1,500 mg of sodium" is how much of a nutrient, and no helping of the dish.
    nutrients = {m.start for m in reading.all("nutrient")}
    amounts = [
        m.value
        for m in reading.all("amount")
        if isinstance(m.value, Amount) and not {m.end, m.end + 1} & nutrients
    ]
    if amounts:
        return _amount(amounts[0], reading, recipe, shelf)
    return _servings(reading, recipe, shelf)


def _makes(recipe: Recipe) -> str:
    made = recipe.yields
    return f"One {made.unit} is {made.measure}; the recipe makes {made.servings}."


def _whole(reading: Reading, shelf: Shelf) -> str:
    """The words for the whole, "" where it is not asked for: "whole pot", "entire recipe"."""
    lead, what = shelf.corpus.lists.get("whole-words"), shelf.corpus.lists.get("whole-batch-words")
    if lead is None or what is None:
        return ""
    pairs = set(zip(reading.words, reading.words[1:], strict=False))
    if ("not", "per") in pairs and set(reading.words) & {*lead.words, "all"}:
        return "whole dish"
    ends = {m.end for m in reading.all("recipe")}
    starts = {m.start for m in reading.all("recipe")}
    for i, word in enumerate(reading.words):
        after = reading.words[i + 1] if i + 1 < len(reading.words) else ""
        if word in lead.words and (after in what.words or i + 1 in starts):
            return f"{word} {after}" if after in what.words else f"{word} dish"
        if word in what.words and i in ends and word not in listed_words(shelf, "piece-nouns"):
            return f"whole {word}"
    return ""


def counts_pieces(reading: Reading, recipe: Recipe) -> bool:
    """Whether the question counts what a serving counts: "one apple", of baked apples."""
    return _pieces(reading, recipe) is not None


def pieces_named(reading: Reading, recipe: Recipe) -> Portion | None:
    """The share of the recipe that some of its pieces are: of a dozen muffins, 24 are two.

    None where the question counts no pieces, or one of them only.
    """
    taken = take_amount(recipe.yields.measure)
    names = set(name_words(taken[1])) if taken is not None else set()
    for m in reading.all("servings"):
        counted = {word for word in reading.words[m.start : m.end] if not word[:1].isdigit()}
        if len(counted) > 0 and not counted & names:
            return None  # "25 people, black bean tacos"
    made = _pieces(reading, recipe)
    return made if made is not None and not made.words.startswith("one ") else None


class Piece(msgspec.Struct, frozen=True):
    """What a serving counts, in the singular and the plural, and the share of the dish of one."""

    single: str
    plural: str
    share: Fraction
    count: Fraction


def piece_of(recipe: Recipe) -> Piece | None:
    """The pieces of which a serving has several ("2 muffins"); None where it has one, or none."""
    piece = _piece(recipe)
    return piece if piece is not None and piece.count > 1 else None


def _piece(recipe: Recipe) -> Piece | None:
    taken = take_amount(recipe.yields.measure)
    if taken is None or taken[0].unit or not taken[1]:
        return None
    names = name_words(taken[1].partition(" and ")[0])
    if len(names) != 1 or taken[0].low != taken[0].high:
        return None
    share = Fraction(1, recipe.yields.servings) / taken[0].high
    return Piece(names[0].removesuffix("s"), names[0], share, taken[0].high)


def _pieces(reading: Reading, recipe: Recipe) -> Portion | None:
    """ "one taco", "3 muffins", "per muffin": pieces that a serving counts ("2 muffins")."""
    piece = _piece(recipe)
    if piece is None:
        return None
    plural, single, share = piece.plural, piece.single, piece.share
    for m in (*reading.all("number"), *reading.all("servings")):
        inside = reading.words[m.start : m.end]
        after = reading.words[m.end] if m.end < len(reading.words) else ""
        if isinstance(m.value, Fraction) and {plural, single} & {after, *inside}:
            n = m.value
            name = f"one {single}" if n == 1 else f"{show_number(n)} {plural}"
            return Portion((share * n, share * n), name, (_makes(recipe),))
    starts = {m.end - 1: m.start for m in reading.all("recipe")}
    for i, word in enumerate(reading.words):
        at = starts.get(i, i)  # "one egg muffin": the piece's name ends the recipe's
        before = reading.words[at - 1] if at else ""
        number = next(
            (m.value for m in (*reading.all("number"), *reading.all("servings")) if m.end == at),
            None,
        )
        if word in {single, plural} and isinstance(number, Fraction):
            name = single if number == 1 else plural
            count = "one" if number == 1 else show_number(number)
            return Portion((share * number, share * number), f"{count} {name}", (_makes(recipe),))
        if word == single and before in _EACH:
            return Portion((share, share), f"one {single}", (_makes(recipe),))
    return None


def _amount(amount: Amount, reading: Reading, recipe: Recipe, shelf: Shelf) -> Portion | Answer:
    kind = unit(amount.unit).dimension if amount.unit else ""
    if kind == "volume":
        return _by_volume(amount, reading, recipe)
    if kind == "weight":
        return _by_weight(amount, reading, recipe, shelf)
    return one_serving(recipe)


def _by_volume(amount: Amount, reading: Reading, recipe: Recipe) -> Portion | Answer:
    """Cups of the dish by the measure of one serving, where that is one volume."""
    made = recipe.yields
    try:
        one = read_amount(made.measure)
        per = convert_amount(one, amount.unit)
    except MeasureError:
        return make(
            reading,
            "asks",
            f"How many {made.unit}s is that? One {made.unit} is {made.measure}.",
            lines=("A serving of it is no single volume, so cups of it cannot be told.",),
            sources=(record_source(recipe),),
        )
    low, high = amount.low / per.high, amount.high / per.low
    bowls = number(high, 2) if low == high else f"{number(low, 2)}–{number(high, 2)}"
    what = f"{made.unit}" if high == 1 else f"{made.unit}s"
    return Portion(
        (low / made.servings, high / made.servings),
        show(amount),
        (f"{show(amount)} is {bowls} {what}: one {made.unit} is {made.measure}.",),
    )


def serving_grams(recipe: Recipe, shelf: Shelf) -> tuple[Range | None, bool, str]:
    """The weight of a serving, whether it was measured, and in words where it comes from.

    Without a measured cooked weight it is the weight of all ingredients; None where one of them
    has no weight.
    """
    servings = recipe.yields.servings
    if recipe.yields.cooked_weight:
        cooked = convert_amount(read_amount(recipe.yields.cooked_weight), "gram")
        how = f"measured: the cooked batch weighs {recipe.yields.cooked_weight}"
        return (cooked.low / servings, cooked.high / servings), True, how
    grams, unknown = batch_grams(recipe.lines, shelf.table)
    if unknown:
        names = listed([line.name for line in unknown])
        return None, False, f"there is no weight for {names}"
    how = "the weight of its ingredients before cooking, since no cooked weight is given"
    return (grams[0] / servings, grams[1] / servings), False, how


def _by_weight(amount: Amount, reading: Reading, recipe: Recipe, shelf: Shelf) -> Portion | Answer:
    grams, measured, how = serving_grams(recipe, shelf)
    if grams is None:
        return make(reading, "partial", f"I cannot tell: {how}.", sources=(record_source(recipe),))
    wanted = convert_amount(amount, "gram")
    servings = recipe.yields.servings
    text = (
        f"{number(grams[0])} g"
        if grams[0] == grams[1]
        else f"{number(grams[0])}–{number(grams[1])} g"
    )
    remark = f"A {recipe.yields.unit} weighs {text}, {how}."
    if not measured:
        remark += " Water that boils off or is taken up moves this."
    share = (wanted.low / grams[1] / servings, wanted.high / grams[0] / servings)
    return Portion(share, show(amount), (remark,))


def _servings(reading: Reading, recipe: Recipe, shelf: Shelf) -> Portion:
    """Servings that are eaten; a number of people changes nothing for one of them."""
    base = Fraction(recipe.yields.servings)
    listed_ = shelf.corpus.lists.get("portion-words")
    eaten_words = set(listed_.words if listed_ else ()) | {
        recipe.yields.unit,
        f"{recipe.yields.unit}s",
    }
    for mention in reading.all("servings"):
        if not isinstance(mention.value, Fraction) or mention.value <= 0:
            continue
        inside = set(reading.words[mention.start : mention.end])
        made_for = {"for", "serves", "serve", "makes", "feeds"} & set(
            reading.words[max(0, mention.start - 1) : mention.start]
        )
        if inside & (eaten_words - listed_words(shelf, "people-words")):
            made_for -= {"for"}  # "sodium for 2 bowls" is that of two bowls
        halved = mention.value < 1  # half a serving is eaten; nothing is made for half a person
        if (inside & eaten_words and (halved or not made_for)) or shelf.says(
            reading, "eating-words"
        ):
            n = mention.value
            name = recipe.yields.unit if n <= 1 else f"{recipe.yields.unit}s"
            count = "one" if n == 1 else show_number(n)
            return Portion((n / base, n / base), f"{count} {name}", (_makes(recipe),))
        remark = (
            f"Made for {show_number(mention.value)}, one {recipe.yields.unit} has the same figures."
        )
        one = one_serving(recipe)
        return Portion(one.share, one.words, (*one.remarks, remark))
    for m in (*reading.all("number"), *reading.all("share")):
        part = m.value if m.type == "number" else reading.factor
        after = set(reading.words[m.end : m.end + 3]) - {"a", "of"}
        if isinstance(part, Fraction) and 0 < part < 1 and after & eaten_words:
            return Portion(
                (part / base, part / base),
                f"{show_number(part)} {recipe.yields.unit}",
                (_makes(recipe),),
            )
    return one_serving(recipe)
