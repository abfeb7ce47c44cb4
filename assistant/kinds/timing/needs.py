"""The answers about the order of steps: what can start earlier, beside or after another."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer
from assistant.kinds.shelf import capital, listed, make, record_source
from assistant.kinds.timing.live import due_at
from assistant.kinds.timing.plan import (
    Plan,
    at,
    minutes_figure,
    place_of,
    row_of,
    span,
    step_name,
    totals,
    working_of,
)
from assistant.kinds.timing.times import Time
from assistant.kitchen.clock import (
    Timed,
    beside,
    breaks,
    longest_chain,
    needs_of,
    running_order,
    shifted,
    show_time,
    show_times,
    whole,
)


def _named(plan: Plan, t: Timed) -> str:
    return f"step {place_of(plan, t)}, {step_name(t)}"


def _by_id(plan: Plan, idents: tuple[str, ...]) -> list[Timed]:
    return [t for t in plan.timed if t.step.id in idents]


def earlier(plan: Plan, t: Timed, what: str) -> Answer:
    """Whether a step can start earlier: it can once the steps that it needs are over."""
    needed = _by_id(plan, needs_of(plan.recipe.steps)[t.step.id])
    open_ = needed
    if plan.live is not None:
        current, later = plan.live.due(plan.timed)
        open_ = [one for one in needed if one in {*current, *later}]
    name = capital(what or step_name(t))
    if not needed:
        head = (
            f"Yes: {name[:1].lower()}{name[1:]} (step {place_of(plan, t)}) waits for no other step."
        )
    elif not open_:
        head = f"Yes: what {_named(plan, t)}, needs is over already."
    else:
        after = listed([_named(plan, one) for one in open_])
        until = max((one.end for one in open_), key=lambda end: end[1])
        are = "is" if len(open_) == 1 else "are"
        head = f"{name}: not before {after}, {are} over, {at(plan, until)}."
    lines = [f"Planned: {due_at(plan, t)}. It takes {span(*t.length)}."]
    if not open_:
        lines[0] += " One cook does one thing at a time; with a second pair of hands, at once."
    lines.append(capital(t.step.text))
    figure = minutes_figure(
        f"step {place_of(plan, t)} begins", t.start, working_of(plan, place_of(plan, t)),
        at(plan, t.start),
    )  # fmt: skip
    source = record_source(plan.recipe, plan.recipe.step_lines[place_of(plan, t) - 1])
    return make(plan.reading, "computed", head, (figure,), lines, (source,))


def meanwhile(plan: Plan, t: Timed) -> Answer:
    """What can be done while a step waits."""
    other = _by_id(plan, beside(plan.recipe.steps, t.step.id))
    gone = {ident for ident, _ in plan.live.over} if plan.live is not None else set()
    other = [one for one in other if one.step.id not in gone]
    when = f"while {_named(plan, t)}, waits ({span(*t.passive)})"
    if other:
        head = f"{capital(when)}: {listed([step_name(one) for one in other])}."
    else:
        head = f"Nothing of the recipe {when}: every other step comes before or after it."
    lines = [row_of(plan, one) for one in other]
    if not other:
        lines = ["Time to wash up, to show the leftovers' containers, or to take questions."]
    return make(plan.reading, "computed", head, totals(plan), lines, (record_source(plan.recipe),))


def free(plan: Plan) -> Answer:
    """When the hands are free, and for how long."""
    found = breaks(plan.timed)
    if plan.live is not None:
        current, later = plan.live.due(plan.timed)
        found = tuple(b for b in found if b.after in {*current, *later})
    source = (record_source(plan.recipe),)
    if not found:
        head = f"{plan.recipe.title}: no break in it; the hands are busy throughout."
        return make(plan.reading, "computed", head, totals(plan), (), source)
    best = max(found, key=lambda b: (b.length[0], b.length[1]))
    head = f"The longest break: {span(*best.length)}, {at(plan, best.begin)}."
    lines = [
        f"After {_named(plan, b.after)}, {at(plan, b.begin)}: {span(*b.length)}." for b in found
    ]
    figure = minutes_figure("longest break", best.length, working_of(plan))
    return make(plan.reading, "computed", head, (figure,), lines, source)


def neighbor(plan: Plan, t: Timed, after: bool) -> Answer:
    """The step that begins after another one, or before it."""
    order = running_order(plan.timed)
    place = order.index(t) + (1 if after else -1)
    side = "after" if after else "before"
    if not 0 <= place < len(order):
        head = f"Nothing comes {side} {_named(plan, t)}: it is the {'last' if after else 'first'}."
        return make(plan.reading, "computed", head, totals(plan), (), (record_source(plan.recipe),))
    found = order[place]
    head = f"{capital(side)} {_named(plan, t)}: {_named(plan, found)}, {due_at(plan, found)}."
    lines = [capital(found.step.text), f"It takes {span(*found.length)}."]
    source = record_source(plan.recipe, plan.recipe.step_lines[place_of(plan, found) - 1])
    return make(plan.reading, "computed", head, totals(plan), lines, (source,))


def catch_up(plan: Plan) -> Answer:
    """Where time can be won: the shorter minutes, and what other hands can do."""
    total = whole(plan.timed)
    passed = plan.live.now if plan.live is not None else Fraction(0)
    slack = total[1] - max(total[0], passed)
    slack = max(slack, Fraction(0))
    head = (
        f"{plan.recipe.title}: the shorter minutes win back at most {span(slack, slack)}."
        if slack
        else f"{plan.recipe.title}: there is nothing left to win back."
    )
    figure = minutes_figure("to win back", (slack, slack), (f"{span(*total)} as planned",))
    return make(
        plan.reading, "computed", head, (figure, *totals(plan)), savings(plan),
        (record_source(plan.recipe),),
    )  # fmt: skip


def savings(plan: Plan) -> list[str]:
    """What must not be cut short, and what others can do meanwhile."""
    left = list(plan.timed)
    if plan.live is not None:
        current, later = plan.live.due(plan.timed)
        left = [t for t in plan.timed if t in {*current, *later}]
    lines = []
    waits = [step_name(t) for t in left if t.passive[1]]
    if waits:
        lines.append(
            f"Do not cut short: {listed(waits)}. A step is over when it is done, not by the clock."
        )
    chain = longest_chain(plan.recipe.steps)
    given = [step_name(t) for t in left if t.step.id not in chain.steps]
    if given:
        lines.append(f"Give away what others can do meanwhile: {listed(given)}.")
    return lines


def longest(plan: Plan) -> Answer:
    """The one step that takes longest."""
    t = max(plan.timed, key=lambda one: (one.length[1], one.length[0]))
    waiting = f", of it {span(*t.passive)} waiting" if t.passive[1] and t.active[1] else ""
    head = f"The longest step: {_named(plan, t)}, {span(*t.length)}{waiting}."
    others = sorted((o for o in plan.timed if o is not t), key=lambda o: -o.length[1])[:2]
    lines = [capital(t.step.text)]
    lines += [f"Then {_named(plan, one)}, {span(*one.length)}." for one in others]
    figure = minutes_figure("longest step", t.length, working_of(plan))
    source = record_source(plan.recipe, plan.recipe.step_lines[place_of(plan, t) - 1])
    return make(plan.reading, "computed", head, (figure, *totals(plan)), lines, (source,))


def count(plan: Plan) -> Answer:
    """How many steps there are, and which."""
    names = listed([step_name(t) for t in plan.timed])
    head = f"The {plan.recipe.title.lower()} has {len(plan.timed)} steps: {names}."
    if len(head) > 120:
        head = f"The {plan.recipe.title.lower()} has {len(plan.timed)} steps."
    lines = [row_of(plan, t) for t in plan.timed]
    return make(plan.reading, "quoted", head, totals(plan), lines, (record_source(plan.recipe),))


def from_step(plan: Plan, t: Timed, start: Time) -> Answer:
    """When the dish is ready, where one of its steps begins at a time of day."""
    total = whole(plan.timed)
    left = sorted((total[0] - t.start[0], total[1] - t.start[1]))
    rest = (left[0], left[1])
    ready = show_times(shifted(rest, start.at), start.face)
    begin = show_time(start.at, start.face)
    head = f"{capital(_named(plan, t))}, at {begin}: {plan.recipe.title.lower()} ready at {ready}."
    lines = [f"From there it takes {span(*rest)}.", capital(t.step.text)]
    figure = minutes_figure("ready", rest, (f"{begin} + {span(*rest)} = {ready}",), ready)
    source = record_source(plan.recipe, plan.recipe.step_lines[place_of(plan, t) - 1])
    return make(plan.reading, "computed", head, (figure,), lines, (source,))
