"""A recipe's schedule with what a question says of it, and the parts that answers are made of."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Figure, Source
from assistant.corpus.records import Recipe
from assistant.kinds.equipment.boil import growth
from assistant.kinds.shelf import Shelf, reference_source
from assistant.kinds.timing.times import Time
from assistant.kitchen.clock import (
    Progress,
    Range,
    Timed,
    hands_on,
    running_order,
    shifted,
    show_time,
    show_times,
    whole,
)
from assistant.measure.numbers import show_number
from assistant.measure.span import show_minutes
from assistant.question.reading import Reading

_SENTENCE = re.compile(r"(?:\. |; |: )")


class Plan(msgspec.Struct, frozen=True):
    """A recipe's schedule, the start and the meal time that were named, and the question.

    `live` is how far the cooking is, where it is this recipe's and the question names no start.
    """

    reading: Reading
    recipe: Recipe
    timed: tuple[Timed, ...]
    start: Time | None
    end: Time | None
    shelf: Shelf
    live: Progress | None = None

    @property
    def begin(self) -> Time | None:
        """When cooking starts: by the clock that runs, as said, or counted back from the meal on
        the longer minutes."""
        if self.live is not None:
            return Time(self.live.began, "12", "start", -1)
        if self.start is not None or self.end is None:
            return self.start
        return Time(self.end.at - whole(self.timed)[1], self.end.face, "start", -1)


def span(low: Fraction, high: Fraction) -> str:
    """Minutes as a person says them."""
    return show_minutes(low, high)


def at(plan: Plan, when: Range) -> str:
    """A moment of the schedule: a time of day where the start is known, else minutes after it."""
    begin = plan.begin
    if begin is not None:
        return f"at {clock(plan, when)}"
    return "at the start" if when[1] == 0 else f"{span(*when)} after the start"


def clock(plan: Plan, when: Range) -> str:
    """A moment of the schedule as a time of day; nothing where no start is known."""
    begin = plan.begin
    return show_times(shifted(when, begin.at), begin.face) if begin is not None else ""


def step_name(t: Timed) -> str:
    """What a step is called: its id in words."""
    return t.step.id.replace("-", " ")


def place_of(plan: Plan, t: Timed) -> int:
    return plan.timed.index(t) + 1


def gist(text: str, longest: int = 64) -> str:
    """What a step does, in its first clause; cut at a comma or a word where that is long."""
    first = _SENTENCE.split(text, maxsplit=1)[0].rstrip(".")
    if len(first) <= longest:
        return first
    comma = first.rfind(",", 30, longest)
    if comma > 0:
        return first[:comma]
    return first[: first.rfind(" ", 0, longest)] + " …"


def row_of(plan: Plan, t: Timed) -> str:
    begin = plan.begin
    when = (
        show_times(shifted(t.start, begin.at), begin.face)
        if begin is not None
        else ("start" if t.start[1] == 0 else f"+{span(*t.start)}")
    )
    waiting = f", of it {span(*t.passive)} waiting" if t.passive[1] and t.active[1] else ""
    return f"{when}: step {place_of(plan, t)}, {gist(t.step.text)} ({span(*t.length)}{waiting})."


def working_of(plan: Plan, until: int = 0) -> tuple[str, ...]:
    recipe = plan.recipe
    shown = plan.timed[: until or len(plan.timed)]
    return tuple(
        f"step {i}, {t.step.id}: starts at minute {_numbers(t.start)}, {span(*t.active)} active"
        f" and {span(*t.passive)} waiting ({recipe.file}:{recipe.step_lines[i - 1]})"
        for i, t in enumerate(shown, 1)
    )


def _numbers(when: Range) -> str:
    low, high = (show_number(value) for value in _not_before(when))
    return low if low == high else f"{low}–{high}"


def _not_before(when: Range) -> Range:
    """Minutes from the start; a step that was over sooner than planned began at the start."""
    return max(when[0], Fraction(0)), max(when[1], Fraction(0))


def minutes_figure(name: str, when: Range, working: Sequence[str], shown: str = "") -> Figure:
    when = _not_before(when)
    return Figure(
        name=name,
        value=when[1] if when[0] == when[1] else None,
        unit="min",
        shown=shown or span(*when),
        exact=span(*when),
        working=tuple(working),
    )


def assumed(plan: Plan) -> list[str]:
    """What a plan in times of day rests on."""
    if plan.live is not None:
        return [f"By the clock that started at {show_time(plan.live.began)}."]
    if plan.start is None and plan.end is not None:
        return ["Counted back on the longer minutes, so that it is ready in time."]
    return []


# ------------------------------------------------------------ other batch sizes


def servings_of(plan: Plan) -> Fraction:
    base = Fraction(plan.recipe.yields.servings)
    if plan.reading.factor is not None:
        return base * plan.reading.factor
    return plan.reading.servings if plan.reading.servings is not None else base


def other_servings(plan: Plan) -> list[str]:
    """What another number of servings changes: the minutes of a recipe are for its own batch."""
    servings, base = servings_of(plan), plan.recipe.yields.servings
    if servings == base:
        return []
    factor = servings / base
    times = (
        f"{show_number(factor)} times as long" if factor > 1 else f"{show_number(factor)} as long"
    )
    lines = [
        f"The minutes are for {base}. For {show_number(servings)} the cutting takes about {times};"
        " simmering, baking and soaking stay."
    ]
    grown = growth(plan.recipe, servings, plan.shelf) if servings > 0 else None
    if grown is not None:
        before, after = (_round(pair) for pair in grown)
        lines.append(
            f"Coming to the boil takes about {span(*after)} in place of {span(*before)}"
            " (an estimate for one pot on one burner)."
        )
    return lines


def _round(pair: Range) -> Range:
    low, high = (Fraction((value + Fraction(1, 2)).__floor__()) for value in pair)
    return max(low, Fraction(1)), max(high, Fraction(1))


def sources_of(plan: Plan, first: Source) -> list[Source]:
    """The recipe, and common practice where another batch size was reckoned with."""
    if servings_of(plan) == plan.recipe.yields.servings:
        return [first]
    return [first, reference_source(plan.shelf, "common-practice")]


def totals(plan: Plan) -> tuple[Figure, Figure]:
    total, busy = whole(plan.timed), hands_on(plan.timed)
    return (
        minutes_figure("start to finish", total, working_of(plan)),
        minutes_figure("hands-on", busy, ("the sum of the active minutes",)),
    )


def rows(plan: Plan) -> list[str]:
    """Every step with its time; while a clock runs only what is not over."""
    shown = running_order(plan.timed)
    if plan.live is not None:
        current, later = plan.live.due(plan.timed)
        shown = (*current, *later)
    return [row_of(plan, t) for t in shown]
