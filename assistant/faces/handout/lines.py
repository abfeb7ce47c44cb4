"""The lines and steps of a page: amounts in both systems, and what a change means for each."""

from __future__ import annotations

from fractions import Fraction

import msgspec

from assistant.corpus.records import Line
from assistant.faces.handout.aside import in_steps
from assistant.faces.handout.changes import Changed, Dish
from assistant.kinds.shelf import Shelf, capital, line_name, listed
from assistant.kitchen.scaling import scale_line
from assistant.measure.amount import Amount
from assistant.measure.spoons import System, kitchen
from assistant.measure.units import unit

# A gram a milliliter, within a tenth: a liquid, whose weight tells a cook nothing more.
_LIKE_WATER = Fraction(1, 10)
_CUPS = frozenset({"cup", "pint", "quart", "gallon"})
_NO_TIME = "0 min"


class Ingredient(msgspec.Struct, frozen=True):
    """One line: its amount in both systems, its name, its preparation, what else is to be said."""

    us: str
    metric: str
    name: str
    prep: str
    remark: str


class Act(msgspec.Struct, frozen=True):
    """One step: what to do, heat and minutes, what done looks like, what a swap changes in it."""

    text: str
    times: str
    done: str
    changed: tuple[str, ...]


def make_ingredient(line: Line, dish: Dish, factor: Fraction, shelf: Shelf) -> Ingredient:
    scaled = scale_line(line, factor)
    remarks = []
    change = next((c for c in dish.changes if line in c.new), None)
    if change is not None:
        remarks.append(f"for the {line_name(change.old, shelf)}")
    if line.optional:
        remarks.append("optional")
    if scaled.amount is None:
        return Ingredient("to taste", "", line_name(line, shelf), line.prep, "; ".join(remarks))
    made = kitchen(scaled.amount, "us")
    if made.buy is not None and scaled.amount.high != made.buy:
        remarks.append(f"buy {made.buy}")
    return Ingredient(
        made.text,
        _metric(scaled),
        line_name(line, shelf, scaled.amount),
        line.prep,
        "; ".join(remarks),
    )


def _metric(line: Line) -> str:
    """The metric amount; with the weight of counted things, and of cups of what is no liquid."""
    if line.amount is None:
        return ""
    made = kitchen(line.amount, "metric")
    weight = _weight(line)
    kind = unit(line.amount.unit).dimension if line.amount.unit else "count"
    if kind == "count":
        return f"about {weight}" if weight else ""
    if kind != "volume" or not weight or line.grams is None or line.amount.unit not in _CUPS:
        return made.text
    milliliters = line.amount.high * unit(line.amount.unit).factor
    liquid = abs(line.grams[1] / milliliters - 1) <= _LIKE_WATER
    return made.text if liquid else f"{made.text} (about {weight})"


def _weight(line: Line) -> str:
    if line.grams is None or not line.grams[1]:
        return ""
    return kitchen(Amount(line.grams[0], line.grams[1], "gram"), "metric").text


def amount_text(line: Line, first: System) -> str:
    """An amount for a sentence, in the first system with the other beside it; "" for none."""
    if line.amount is None:
        return ""
    made = kitchen(line.amount, first)
    return f"{made.text} ({made.also}) " if made.also else f"{made.text} "


def tell_change(change: Changed, factor: Fraction, shelf: Shelf) -> str:
    old = scale_line(change.old, factor)
    gone = f"{amount_text(old, shelf.first)}{line_name(change.old, shelf)}"
    if not change.new:
        return f"Leave out the {line_name(change.old, shelf)}; it is optional."
    new = [
        f"{amount_text(scale_line(line, factor), shelf.first)}{line_name(line, shelf)}"
        for line in change.new
    ]
    text = f"{listed(new)} in the place of {gone}."
    if change.swap is not None:
        parts = (change.swap.taste, change.swap.watch)
        text = " ".join([text, *(capital(p.rstrip(".")) + "." for p in parts if p)])
    return capital(text)


def make_steps(dish: Dish, shelf: Shelf) -> tuple[Act, ...]:
    changed = in_steps(dish, shelf)
    return tuple(
        Act(step.text, _times(step.active, step.passive, step.heat), step.done, told)
        for step, told in zip(dish.written.steps, changed, strict=True)
    )


def _times(active: str, passive: str, heat: str) -> str:
    parts = [
        capital(heat) if heat else "",
        f"{active} hands-on" if active != _NO_TIME else "",
        f"{passive} waiting" if passive != _NO_TIME else "",
    ]
    return "; ".join(part for part in parts if part)
