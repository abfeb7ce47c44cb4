"""The answers while a clock runs: where we are, how long until, whether it will be in time."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer
from assistant.kinds.shelf import capital, listed, make, record_source
from assistant.kinds.timing.plan import (
    Plan,
    at,
    clock,
    minutes_figure,
    place_of,
    row_of,
    rows,
    span,
    step_name,
    totals,
    working_of,
)
from assistant.kinds.timing.times import Time
from assistant.kitchen.clock import DAY, Progress, Range, Timed, show_time, whole

_HALF = DAY // 2


def due_at(plan: Plan, t: Timed) -> str:
    """When a step begins; while a clock runs also how far off that is, from now."""
    live = plan.live
    if live is None:
        return at(plan, t.start)
    current, later = live.due(plan.timed)
    if t in current:
        return f"under way until {clock(plan, t.end)}"
    if t not in later:
        return "is over"
    return f"{at(plan, t.start)}, {_in(t.start, live)}"


def by_the_clock(plan: Plan, t: Timed) -> str:
    """When a step that waits is over, by the clock."""
    return f"By the clock: {_step(plan, t)}, until {clock(plan, t.end)}."


def _in(when: Range, live: Progress) -> str:
    """How far off a moment is; whole minutes, rounded down, so that nothing is announced late."""
    low, high = (Fraction(max(value - live.now, Fraction(0)) // 1) for value in when)
    if high < 1:
        return "now"
    return f"in up to {span(high, high)}" if low < 1 else f"in {span(low, high)}"


def _step(plan: Plan, t: Timed) -> str:
    return f"step {place_of(plan, t)}, {step_name(t)}"


def _state(plan: Plan, live: Progress) -> list[str]:
    """What runs, and what is next, a line each."""
    current, later = live.due(plan.timed)
    made = [f"Now: {_step(plan, t)}, until {clock(plan, t.end)}." for t in current]
    if later:
        t = later[0]
        made.append(f"Next: {_step(plan, t)}, {at(plan, t.start)}.")
    return made


def where(plan: Plan, live: Progress) -> Answer:
    """Which step it is, and what comes next."""
    state = _state(plan, live)
    current, later = live.due(plan.timed)
    if not state:
        state = [f"All steps of the {plan.recipe.title.lower()} are over."]
    head, *lines = state
    if current or later:
        t = current[0] if current else later[0]
        lines.append(capital(t.step.text))
        if t.step.done:
            lines.append(f"Done when {t.step.done}.")
    return make(plan.reading, "computed", head, totals(plan), lines, (record_source(plan.recipe),))


def upcoming(plan: Plan, live: Progress) -> Answer:
    """What is due next, told in full."""
    current, later = live.due(plan.timed)
    if not later:
        return where(plan, live)
    t = later[0]
    head = f"Next: {_step(plan, t)}, {due_at(plan, t)}."
    lines = [f"Now: {_step(plan, c)}, until {clock(plan, c.end)}." for c in current]
    lines.append(capital(t.step.text))
    source = record_source(plan.recipe, plan.recipe.step_lines[place_of(plan, t) - 1])
    return make(plan.reading, "computed", head, totals(plan), lines, (source,))


def ready(plan: Plan, live: Progress) -> Answer:
    """When the whole is ready, and how long that is from now."""
    total = whole(plan.timed)
    title = plan.recipe.title
    if live.now >= total[1]:
        head = f"{title}: ready since {show_time(live.began + total[1])}, by the clock."
    else:
        head = f"{title} ready {at(plan, total)}, {_in(total, live)}."
    figure = minutes_figure(
        "ready, minutes from now",
        (max(total[0] - live.now, Fraction(0)), max(total[1] - live.now, Fraction(0))),
        (f"start {show_time(live.began)} + {span(*total)}", *working_of(plan)),
    )
    lines = [*_state(plan, live), *rows(plan)]
    return make(
        plan.reading, "computed", head, (figure, *totals(plan)), lines,
        (record_source(plan.recipe),),
    )  # fmt: skip


def since(plan: Plan, live: Progress) -> Answer:
    """How long ago cooking began."""
    passed = Fraction(max(live.began + live.now - live.planned, Fraction(0)) // 1)
    head = f"{span(passed, passed)} since the start at {show_time(live.planned)}."
    figure = minutes_figure("since the start", (passed, passed), ())
    return make(
        plan.reading, "computed", head, (figure,), _state(plan, live), (record_source(plan.recipe),)
    )


def remaining(plan: Plan, live: Progress) -> Answer:
    """The steps that run and that are still to come."""
    current, later = live.due(plan.timed)
    if not later:
        return where(plan, live)
    count = "1 step is" if len(later) == 1 else f"{len(later)} steps are"
    head = f"{count} still to begin: {listed([step_name(t) for t in later])}."
    if len(head) > 120:
        head = f"{count} still to begin, next {step_name(later[0])}."
    lines = [f"Now: {_step(plan, t)}, until {clock(plan, t.end)}." for t in current]
    lines += [row_of(plan, t) for t in later]
    return make(plan.reading, "computed", head, totals(plan), lines, (record_source(plan.recipe),))


def on_time(plan: Plan, live: Progress) -> Answer:
    """How the cooking stands to the plan as it was first set."""
    total = whole(plan.timed)
    first = whole(Progress("", live.planned, live.planned, live.now).plan(plan.recipe.steps))
    off = live.began + total[1] - live.planned - first[1]
    then = show_time(live.planned + first[1])
    now = clock(plan, total)
    if abs(off) < 1:
        head = f"On time: {plan.recipe.title.lower()} ready at {now}, as planned."
    else:
        by = Fraction(abs(off) // 1)
        which = "behind" if off > 0 else "ahead"
        head = f"{span(by, by)} {which}: {plan.recipe.title.lower()} ready at {now}."
    by = abs(off)
    figure = minutes_figure(
        "ahead of the plan" if off < 0 else "behind the plan", (by, by),
        (
            f"now ready at {show_time(live.began + total[1])} at the latest",
            f"planned from {show_time(live.planned)}: {then} at the latest",
        ),
    )  # fmt: skip
    planned = f"Planned from {show_time(live.planned)}: ready by {then} at the latest."
    lines = [
        *([planned] if abs(off) >= 1 else []),
        *_state(plan, live),
        "That is by the clock; if a step lags, say by how much (behind 5), or when it is over.",
    ]
    return make(plan.reading, "computed", head, (figure,), lines, (record_source(plan.recipe),))


def in_time(plan: Plan, live: Progress, end: Time) -> Answer:
    """Whether it will be ready by a time."""
    total = whole(plan.timed)
    low, high = live.began + total[0], live.began + total[1]
    by = end.at
    if end.face == "12":  # a plain time may lie on either side of noon: the one nearest is meant
        by = min((end.at + turn * _HALF for turn in range(-1, 4)), key=lambda t: abs(t - high))
    meal = show_time(end.at, end.face)
    when = f"{plan.recipe.title.lower()} ready {at(plan, total)}"
    name, spare = "to spare", (max(by - high, Fraction(0)), max(by - low, Fraction(0)))
    if high == by:
        head = f"Just: {when}."
    elif high < by:
        head = f"Yes: {when}, {span(*spare)} before {meal}."
    elif low > by:
        name, spare = "too late by", (low - by, high - by)
        head = f"No: {when}, {span(*spare)} after {meal}."
    else:
        head = f"Perhaps: {when}; only the shorter minutes make it by {meal}."
    figure = minutes_figure(name, spare, (f"{clock(plan, total)} beside {meal}",))
    return make(
        plan.reading, "computed", head, (figure,), _state(plan, live),
        (record_source(plan.recipe),),
    )  # fmt: skip


def ask_start(plan: Plan) -> Answer:
    """Nothing can be said of now while no clock runs."""
    head = f"When did you start? The {plan.recipe.title.lower()} takes {span(*whole(plan.timed))}."
    line = 'For example: "we started at 12:05, when is it ready?" In the chat: start 12:05'
    return make(plan.reading, "asks", head, totals(plan), (line,), (record_source(plan.recipe),))
