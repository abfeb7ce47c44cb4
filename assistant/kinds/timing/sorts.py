"""When the ingredients of a sort go in: "the vegetables" of a stew go in at several steps."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.corpus.corpus import line_for
from assistant.kinds.recipe.part import sort_named
from assistant.kinds.shelf import capital, line_name, listed, make, record_source
from assistant.kinds.timing.live import due_at
from assistant.kinds.timing.plan import Plan, assumed, minutes_figure, place_of, working_of
from assistant.kitchen.clock import Timed, running_order


def sort_turn(plan: Plan) -> Answer | None:
    """The cooking steps at which something of the sort named first goes in; None where none is.

    Cutting and measuring are no going in: a step counts that is heated or waits.
    """
    recipe, shelf = plan.recipe, plan.shelf
    found = sort_named(plan.reading, recipe, shelf)
    if found is None:
        return None
    sort, lines = found
    left = {line.line for line in lines}
    rows: list[tuple[Timed, list[str]]] = []
    for t in running_order(plan.timed):
        if not (t.step.heat or t.passive[1]):
            continue
        used = (line_for(recipe, name, shelf.corpus.pantry) for name in t.step.uses)
        new = [line for line in used if line is not None and line.line in left]
        left -= {line.line for line in new}
        if new:
            rows.append((t, [line_name(line, shelf) for line in new]))
    if not rows:
        return None
    first, last = rows[0][0], rows[-1][0]
    if last is first:
        of = f"step {place_of(plan, first)} of {len(plan.timed)}"
        headline = f"{capital(sort)}: {of}, {due_at(plan, first)}"
    else:
        headline = f"{capital(sort)}: from step {place_of(plan, first)}, {due_at(plan, first)}"
        headline += f"; the last at step {place_of(plan, last)}, {due_at(plan, last)}"
    told = [
        f"Step {place_of(plan, t)} of {len(plan.timed)}, {due_at(plan, t)}: {listed(names)}."
        for t, names in rows
    ]
    figures = [
        minutes_figure(
            f"step {place_of(plan, t)} begins", t.start, working_of(plan, place_of(plan, t))
        )
        for t, _ in rows
    ]
    sources = [record_source(recipe, recipe.step_lines[place_of(plan, t) - 1]) for t, _ in rows]
    lines_told = [*told, *assumed(plan)]
    return make(plan.reading, "computed", f"{headline}.", figures, lines_told, sources)
