"""The answers about time, in words: each takes the plan of a recipe and what was asked of it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.kinds.shelf import capital, listed, make, record_source
from assistant.kinds.timing.live import due_at
from assistant.kinds.timing.needs import savings
from assistant.kinds.timing.plan import (
    Plan,
    assumed,
    at,
    minutes_figure,
    other_servings,
    place_of,
    row_of,
    rows,
    sources_of,
    span,
    step_name,
    totals,
    working_of,
)
from assistant.kinds.timing.times import Time
from assistant.kitchen.clock import (
    DAY,
    Timed,
    follows,
    hands_on,
    longest_chain,
    running_order,
    shifted,
    show_time,
    show_times,
    whole,
)
from assistant.measure.span import Span, minutes

# ------------------------------------------------------------ ingredients and steps


def turn(plan: Plan, item: str, steps: Sequence[Timed]) -> Answer:
    """When an ingredient goes in."""
    recipe = plan.recipe
    found = plan.shelf.item(item)
    name = (found.plural or found.name) if found else item
    steps = _to_come(plan, steps)
    first = next((t for t in steps if t.step.heat or t.passive[1]), steps[0])
    place = place_of(plan, first)
    headline = f"{capital(name)}: step {place} of {len(plan.timed)}, {due_at(plan, first)}."
    lines = [capital(first.step.text)]
    if first.step.done:
        lines.append(f"Done when {first.step.done}.")
    others = [t for t in steps if t is not first]
    if others:
        also = listed([f"{place_of(plan, t)} ({at(plan, t.start)})" for t in others])
        lines.append(f"It is also used in step {also}.")
    lines += assumed(plan)
    figure = minutes_figure(
        f"{name} goes in, minutes from the start", first.start, working_of(plan, place),
        at(plan, first.start),
    )  # fmt: skip
    source = record_source(recipe, recipe.step_lines[place - 1])
    return make(plan.reading, "computed", headline, (figure,), lines, (source,))


def _to_come(plan: Plan, steps: Sequence[Timed]) -> Sequence[Timed]:
    """While a clock runs, the steps that are not over, as long as there are any."""
    if plan.live is None:
        return steps
    current, later = plan.live.due(plan.timed)
    return [t for t in steps if t in {*current, *later}] or steps


def over(plan: Plan, item: str, steps: Sequence[Timed]) -> Answer | None:
    """When what is put in, or begun, with these steps is done.

    That is the end of the last step on the heat, of these or of those that need them: the carrots
    of a soup simmer on with it.
    """
    after = {ident for t in steps for ident in follows(plan.recipe.steps, t.step.id)}
    hot = [t for t in steps if t.step.heat not in {"", "off"}]
    if item:
        hot += [t for t in plan.timed if t.step.id in after and t.step.heat not in {"", "off"}]
    if not hot:
        return None
    last = max(hot, key=lambda t: (t.end[1], t.end[0]))
    found = plan.shelf.item(item) if item else None
    name = (found.plural or found.name) if found else item or step_name(last)
    place = place_of(plan, last)
    headline = (
        f"{capital(name)}: done with step {place} of {len(plan.timed)}, {at(plan, last.end)}."
    )
    lines = [f"Done when {last.step.done}."] if last.step.done else []
    lines += [capital(last.step.text), *assumed(plan)]
    figure = minutes_figure(
        f"{name} done, minutes from the start", last.end, working_of(plan, place),
        at(plan, last.end),
    )  # fmt: skip
    source = record_source(plan.recipe, plan.recipe.step_lines[place - 1])
    return make(plan.reading, "computed", headline, (figure,), lines, (source,))


def step_turn(plan: Plan, t: Timed, label: str = "") -> Answer:
    """When a step begins; `label` is what the question calls what goes in."""
    place = place_of(plan, t)
    step = f"step {place} of {len(plan.timed)}"
    headline = f"{capital(label or step_name(t))}: {step}, {due_at(plan, t)}."
    lines = [capital(t.step.text), f"It takes {span(*t.length)}.", *assumed(plan)]
    figure = minutes_figure(
        f"step {place} begins", t.start, working_of(plan, place), at(plan, t.start)
    )
    source = record_source(plan.recipe, plan.recipe.step_lines[place - 1])
    return make(plan.reading, "computed", headline, (figure,), lines, (source,))


def length(plan: Plan, steps: Sequence[Timed], item: str = "") -> Answer:
    """How long a step takes, or the steps in which an ingredient cooks."""
    recipe = plan.recipe
    total = (
        sum((t.length[0] for t in steps), Fraction(0)),
        sum((t.length[1] for t in steps), Fraction(0)),
    )
    waits = (
        sum((t.passive[0] for t in steps), Fraction(0)),
        sum((t.passive[1] for t in steps), Fraction(0)),
    )
    places = [place_of(plan, t) for t in steps]
    named = f"step {places[0]}" if len(places) == 1 else f"steps {listed([str(p) for p in places])}"
    found = plan.shelf.item(item) if item else None
    who = (
        f"{capital(found.plural or found.name)}, {recipe.title.lower()}" if found else recipe.title
    )
    waiting = f", of it {span(*waits)} unattended" if waits[1] and waits != total else ""
    lines = []
    for t in steps:
        lines.append(capital(t.step.text))
        if t.step.done:
            lines.append(f"Done when {t.step.done}.")
    lines += other_servings(plan)
    figure = minutes_figure(
        named, total,
        [
            f"step {p}: {span(*t.active)} active + {span(*t.passive)} waiting"
            for p, t in zip(places, steps, strict=True)
        ],
    )  # fmt: skip
    sources = [record_source(recipe, recipe.step_lines[p - 1]) for p in places]
    headline = f"{who}, {named}: {span(*total)}{waiting}."
    return make(plan.reading, "computed", headline, (figure,), lines, sources)


# ------------------------------------------------------------ the whole dish


def whole_dish(plan: Plan) -> Answer:
    """Start to finish, hands-on minutes apart."""
    recipe = plan.recipe
    total, busy = whole(plan.timed), hands_on(plan.timed)
    headline = f"{recipe.title}: {span(*total)} from start to finish, {span(*busy)} of it hands-on."
    lines = [*other_servings(plan), *rows(plan)]
    return make(
        plan.reading,
        "computed",
        headline,
        totals(plan),
        lines,
        sources_of(plan, record_source(recipe)),
    )


def hands(plan: Plan) -> Answer:
    """Active and waiting minutes apart, and the longest stretches without work."""
    recipe = plan.recipe
    busy, total = hands_on(plan.timed), whole(plan.timed)
    waits = [t for t in plan.timed if t.passive[1]]
    lines = [
        f"Step {place_of(plan, t)}, {step_name(t)}: {span(*t.passive)} waiting." for t in waits
    ] or ["No step waits: the hands are busy throughout."]
    headline = f"{recipe.title}: {span(*busy)} hands-on of {span(*total)} in all."
    figures = (totals(plan)[1], totals(plan)[0])
    return make(plan.reading, "computed", headline, figures, lines, (record_source(recipe),))


def chain(plan: Plan) -> Answer:
    """The steps that decide how long it takes."""
    recipe = plan.recipe
    found = longest_chain(recipe.steps)
    names = [ident.replace("-", " ") for ident in found.steps]
    total = whole(plan.timed)
    headline = f"{recipe.title}: the longest chain of steps takes {span(*found.minutes)}."
    lines = [f"It runs {', then '.join(names)}."]
    beside = [t for t in plan.timed if t.step.id not in found.steps]
    if beside:
        names = [step_name(t) for t in beside]
        lines.append(f"Beside it: {listed(names)}. A second pair of hands saves only there.")
    if total[1] > found.minutes[1]:
        lines.append(f"One cook alone needs {span(*total)}.")
    else:
        lines.append("One cook alone needs no longer: helpers make it no quicker.")
    figure = minutes_figure(
        "longest chain", found.minutes,
        [f"{t.step.id}: {span(*t.length)}" for t in plan.timed if t.step.id in found.steps],
    )  # fmt: skip
    return make(plan.reading, "computed", headline, (figure,), lines, (record_source(recipe),))


def forward(plan: Plan) -> Answer:
    """The times of every step from a start."""
    begin = plan.begin
    total = whole(plan.timed)
    if begin is None:
        return whole_dish(plan)
    ready = show_times(shifted(total, begin.at), begin.face)
    start = show_time(begin.at, begin.face)
    headline = f"Starting at {start}: {plan.recipe.title.lower()} ready at {ready}."
    figure = minutes_figure(
        "ready", total, (f"{start} + {span(*total)} = {ready}", *working_of(plan)), ready
    )
    figures = (figure, *totals(plan))
    lines = [*other_servings(plan), *rows(plan)]
    return make(
        plan.reading,
        "computed",
        headline,
        figures,
        lines,
        sources_of(plan, record_source(plan.recipe)),
    )


def backward(plan: Plan) -> Answer:
    """When to start for a meal at a time; with a start named too, whether it is enough."""
    if plan.end is None:
        return whole_dish(plan)
    recipe, end = plan.recipe, plan.end
    quick, slow = whole(plan.timed)
    title = recipe.title.lower()
    eat = show_time(end.at, end.face)
    if plan.start is not None:
        return _enough(plan, plan.start, end)
    start, last = show_time(end.at - slow, end.face), show_time(end.at - quick, end.face)
    day = " the day before" if end.at - slow < 0 else ""
    headline = f"Start the {title} by {start}{day} to eat at {eat}."
    lines = [f"It takes {span(quick, slow)}; if all goes quickly, {last} is early enough."]
    lines += [*other_servings(plan), *rows(plan)]
    figure = Figure(
        name="start",
        value=None,
        unit="",
        shown=start + day,
        exact=start,
        working=(f"{eat} − {span(slow, slow)} = {start}{day}", *working_of(plan)),
    )
    return make(
        plan.reading, "computed", headline, (figure, *totals(plan)), lines,
        sources_of(plan, record_source(recipe)),
    )  # fmt: skip


def enough(plan: Plan, have: Span, steps: Sequence[Timed]) -> Answer:
    """Whether so many minutes are enough for the dish, or for the steps that are named."""
    total = whole(plan.timed)
    what = plan.recipe.title
    if steps:
        total = (sum((t.length[0] for t in steps), Fraction(0)),
                 sum((t.length[1] for t in steps), Fraction(0)))  # fmt: skip
        what = f"{what}, {step_name(steps[0])}"
    low = minutes(have)[0]
    verdict = "Yes" if low >= total[1] else "Just" if low >= total[0] else "No"
    headline = f"{verdict}: {span(low, low)} for what takes {span(*total)} ({what.lower()})."
    figure = minutes_figure("it takes", total, working_of(plan))
    lines = [capital(t.step.text) for t in steps] or [*other_servings(plan), *rows(plan)]
    return make(plan.reading, "computed", headline, (figure,), lines, (record_source(plan.recipe),))


def _enough(plan: Plan, start: Time, end: Time) -> Answer:
    quick, slow = whole(plan.timed)
    # Plain times may lie on either side of noon: 12:15 to 1:00 is 45 minutes.
    plain = start.face == end.face == "12"
    have = (end.at - start.at) % (DAY // 2 if plain else DAY)
    title = plan.recipe.title.lower()
    begin, eat = show_time(start.at, start.face), show_time(end.at, end.face)
    verdict = "Yes" if have >= slow else "Just" if have >= quick else "No"
    there = f"from {begin} to {eat} is {span(have, have)}"
    headline = f"{verdict}: {there}; {title} takes {span(quick, slow)}."
    figure = minutes_figure("time there is", (have, have), (f"{eat} − {begin}",))
    return make(
        plan.reading, "computed", headline, (figure, *totals(plan)), rows(plan),
        (record_source(plan.recipe),),
    )  # fmt: skip


def ask_end(plan: Plan) -> Answer:
    """When to start depends on when to eat."""
    total = whole(plan.timed)
    headline = (
        f"At what time do you want to eat? The {plan.recipe.title.lower()} takes {span(*total)}."
    )
    line = 'For example: "what time must I start to eat at 6:30?"'
    return make(
        plan.reading, "asks", headline, totals(plan), (line,), (record_source(plan.recipe),)
    )


def order(plan: Plan) -> Answer:
    """What comes first, and what after."""
    first, *rest = running_order(plan.timed)
    name = step_name(first)
    headline = f"First: step {place_of(plan, first)}, {name}, {span(*first.length)}."
    lines = [capital(first.step.text), *[row_of(plan, t) for t in rest]]
    return make(
        plan.reading, "computed", headline, totals(plan), lines, (record_source(plan.recipe),)
    )


def behind(plan: Plan, late: Span) -> Answer:
    """Everything moves by the delay; what the shorter minutes can win back."""
    total = whole(plan.timed)
    low, high = minutes(late)
    moved = (total[0] + low, total[1] + high)
    slack = total[1] - total[0]
    begin = plan.begin
    by = span(low, high)
    if begin is not None and plan.end is None:
        ready = show_times(shifted(moved, begin.at), begin.face)
        headline = f"{by} behind: {plan.recipe.title.lower()} ready at {ready}."
    else:
        headline = (
            f"{by} behind: {plan.recipe.title.lower()} ready {span(*moved)}"
            " after the planned start."
        )
    lines = [
        f"As planned it takes {span(*total)}, so the shorter minutes win back at most"
        f" {span(slack, slack)}.",
        *savings(plan),
    ]
    figure = minutes_figure(
        "ready, minutes after the planned start",
        moved,
        (f"{span(*total)} + {by} = {span(*moved)}",),
    )
    return make(plan.reading, "computed", headline, (figure,), lines, (record_source(plan.recipe),))
