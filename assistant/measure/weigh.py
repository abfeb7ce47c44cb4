"""Grams from a household measure, by a portion row of the food and never by a guessed density."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction

import msgspec

from assistant.measure.amount import Amount
from assistant.measure.exact import exact
from assistant.measure.units import convert, take_unit, unit

_WORDS = re.compile(r"[a-z]+")
# A count with no size ("2 carrots") is taken as medium, then large (eggs), then whatever one is.
_PLAIN_COUNT = ("medium", "large", "", "small")


class Row(msgspec.Struct, frozen=True):
    """One portion row: `number` of `unit` (described by `words`) weighs `grams`."""

    text: str
    number: Fraction
    unit: str
    words: tuple[str, ...]
    grams: Fraction
    source: str
    state: str = ""
    each: tuple[Fraction, str] | None = None


class Weight(msgspec.Struct, frozen=True):
    """Grams from low to high, and in words where they come from. None means: no row gives them."""

    grams: tuple[Fraction, Fraction] | None
    how: str


def row(number: Fraction, measure: str, grams: Fraction, source: str, state: str = "") -> Row:
    """A portion row from a table's measure text: `cup, chopped`, `medium (2-1/2" dia)`.

    A measure without a known unit ("fruit", "leek") is a plain count described by its words.
    """
    text = measure.strip().lower()
    taken = take_unit(text)
    each = None
    if taken and taken[0].dimension in {"volume", "weight", "count"}:
        name, rest = taken[0].name, taken[1]
        if size := re.match(r"\W*\(?\s*(\d+(?:\.\d+)?)[ -]?(oz|ounce|g|ml)\b", rest):
            each = (exact(size[1]), unit(size[2]).name)
    else:
        name, rest = "", text
    words = tuple(_WORDS.findall(rest))
    return Row(measure, number, name, words, grams, source, state, each)


def weigh(
    amount: Amount, rows: Sequence[Row], hints: Collection[str] = (), state: str = ""
) -> Weight:
    """The weight in grams of `amount`, by the row that fits best.

    `hints` are the words that stand round the amount ("chopped", "drained"): among rows that could
    serve, the one sharing most of them wins, and among equals the one that comes first. A weight
    needs no row. A row of another state ("drained") is not used.
    """
    usable = [r for r in rows if not r.state or r.state == state]
    kind = unit(amount.unit).dimension if amount.unit else "count"
    if kind == "weight":
        low, high = (convert(n, amount.unit, "gram") for n in (amount.low, amount.high))
        return Weight((low, high), "weighed as written")
    if kind == "volume":
        return _by_volume(amount, usable, hints)
    if kind == "count":
        return _by_count(amount, usable, hints, state)
    return Weight(None, f"a {amount.unit} is not an amount of food")


def _by_volume(amount: Amount, rows: Iterable[Row], hints: Collection[str]) -> Weight:
    fit = [r for r in rows if r.unit and unit(r.unit).dimension == "volume"]
    if not fit:
        return Weight(None, "no portion row gives the weight of a volume of it")
    best = max(fit, key=lambda r: (_shared(r, hints), r.unit == amount.unit))
    return _times(amount, best, convert(Fraction(1), amount.unit, best.unit))


def _by_count(amount: Amount, rows: Sequence[Row], hints: Collection[str], state: str) -> Weight:
    if amount.each and unit(amount.each[1]).dimension == "weight":
        same = [r for r in rows if r.unit == amount.unit and r.each and _near(r.each, amount.each)]
        if same:
            return _times(amount, max(same, key=lambda r: _shared(r, hints)), Fraction(1))
        if state in {"drained", "drained and rinsed"}:
            return Weight(None, f"no portion row gives the {state} weight of this {amount.unit}")
        gram = convert(amount.each[0], amount.each[1], "gram")
        return Weight((amount.low * gram, amount.high * gram), "the net weight on the package")
    if amount.each and unit(amount.each[1]).dimension == "volume":
        inner = Amount(amount.low * amount.each[0], amount.high * amount.each[0], amount.each[1])
        return _by_volume(inner, rows, hints)
    own = [r for r in rows if not r.unit and not r.words]
    if not amount.unit and own:
        return _times(amount, own[0], Fraction(1))
    for name in (amount.unit,) if amount.unit else _PLAIN_COUNT:
        fit = [r for r in rows if r.unit == name]
        if fit:
            best = max(fit, key=lambda r: _shared(r, hints))
            return _times(amount, best, Fraction(1))
    what = (
        f'no portion row gives the weight of one "{amount.unit}"'
        if amount.unit
        else "no portion row gives the weight of one"
    )
    return Weight(None, what)


def _times(amount: Amount, best: Row, factor: Fraction) -> Weight:
    one = best.grams / best.number * factor
    shown = f"{float(best.grams):g} g" if best.grams.denominator < 10**6 else "?"
    how = f"{best.source}: {float(best.number):g} {best.text} = {shown}"
    return Weight((amount.low * one, amount.high * one), how)


def _shared(r: Row, hints: Collection[str]) -> float:
    """How well a row's words fit: one for each shared word, a little off for each other word."""
    hit = sum(1 for word in r.words if word in hints)
    return hit - 0.01 * (len(r.words) - hit)


def _near(one: tuple[Fraction, str], two: tuple[Fraction, str]) -> bool:
    """Package sizes within 5 % of one another: a 15 oz and a 15.5 oz can are one row."""
    a, b = convert(one[0], one[1], "gram"), convert(two[0], two[1], "gram")
    return abs(a - b) * 20 <= b
