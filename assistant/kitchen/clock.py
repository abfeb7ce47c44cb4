"""The clock of a recipe: when each step can start, and how long the whole takes.

Steps run when the steps they need are over; one cook has two hands, so active minutes of two steps
never overlap, while passive minutes (simmering, baking, soaking) run beside other work.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.records import Step
from assistant.measure.span import minutes, read_span

Range = tuple[Fraction, Fraction]


class Timed(msgspec.Struct, frozen=True):
    """One step with its minutes, counted from the start of cooking: the quick and the slow case."""

    step: Step
    start: Range
    end: Range
    active: Range
    passive: Range


def schedule(steps: Sequence[Step]) -> tuple[Timed, ...]:
    """Every step with its start and end, in the order of the recipe.

    The quick case takes the shorter minutes throughout, the slow case the longer ones.
    """
    made: dict[str, Timed] = {}
    free = [Fraction(0), Fraction(0)]
    before = ""
    for step in steps:
        needs = step.needs if step.needs is not None else ((before,) if before else ())
        active, passive = minutes(read_span(step.active)), minutes(read_span(step.passive))
        ends = []
        starts = []
        for case in (0, 1):
            ready = max((made[need].end[case] for need in needs), default=Fraction(0))
            start = max(ready, free[case]) if active[case] else ready
            free[case] = max(free[case], start + active[case])
            starts.append(start)
            ends.append(start + active[case] + passive[case])
        made[step.id] = Timed(step, (starts[0], starts[1]), (ends[0], ends[1]), active, passive)
        before = step.id
    return tuple(made.values())


def whole(timed: Sequence[Timed]) -> Range:
    """From the first move to the last: quick and slow."""
    return (
        max((t.end[0] for t in timed), default=Fraction(0)),
        max((t.end[1] for t in timed), default=Fraction(0)),
    )


def hands_on(timed: Sequence[Timed]) -> Range:
    """The active minutes alone."""
    return (
        sum((t.active[0] for t in timed), Fraction(0)),
        sum((t.active[1] for t in timed), Fraction(0)),
    )
