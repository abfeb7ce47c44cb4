"""The clock of a recipe: when each step can start, and how long the whole takes.

Steps run when the steps they need are over; one cook has two hands, so active minutes of two steps
never overlap, while passive minutes (simmering, baking, soaking) run beside other work.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Literal

import msgspec

from assistant.corpus.records import Step
from assistant.measure.span import minutes, read_span

Range = tuple[Fraction, Fraction]
Face = Literal["12", "12pm", "24"]

DAY = 24 * 60
_ZERO = Fraction(0)


class Timed(msgspec.Struct, frozen=True):
    """One step with its minutes, counted from the start of cooking: the quick and the slow case."""

    step: Step
    start: Range
    end: Range
    active: Range
    passive: Range

    @property
    def length(self) -> Range:
        """Active and passive minutes together."""
        return self.active[0] + self.passive[0], self.active[1] + self.passive[1]


class Chain(msgspec.Struct, frozen=True):
    """The steps that decide how long the whole takes, one after the other, and their minutes."""

    steps: tuple[str, ...]
    minutes: Range


class Progress(msgspec.Struct, frozen=True):
    """Cooking that has begun, as far as it has come.

    `began` is the start in minutes after midnight with every delay in it, `planned` the start as
    it was first set; `now` and the ends of the steps that are `over` are minutes since `began`.
    `begun` are steps that were under way when a delay moved the plan.
    """

    recipe: str
    planned: Fraction
    began: Fraction
    now: Fraction
    over: tuple[tuple[str, Fraction], ...] = ()
    begun: tuple[str, ...] = ()

    def plan(self, steps: Sequence[Step]) -> tuple[Timed, ...]:
        """The schedule, with what is over as it was."""
        return schedule(steps, dict(self.over))

    def due(self, timed: Sequence[Timed]) -> tuple[tuple[Timed, ...], tuple[Timed, ...]]:
        """What runs now, and what is to come, soonest first."""
        current, later = due(timed, self.now, dict(self.over))
        under_way = tuple(t for t in later if t.step.id in self.begun)
        return (*under_way, *current), tuple(t for t in later if t not in under_way)


_EMPTY = Chain((), (_ZERO, _ZERO))


def needs_of(steps: Sequence[Step]) -> dict[str, tuple[str, ...]]:
    """Which steps must be over before each step: those it names, else the one before it."""
    made: dict[str, tuple[str, ...]] = {}
    before = ""
    for step in steps:
        made[step.id] = step.needs if step.needs is not None else ((before,) if before else ())
        before = step.id
    return made


def schedule(
    steps: Sequence[Step], over: Mapping[str, Fraction] | None = None
) -> tuple[Timed, ...]:
    """Every step with its start and end in minutes, in the order of the recipe.

    The quick case takes the shorter minutes throughout, the slow case the longer ones. What the
    hands do after what is planned once, on the longer minutes: each step in the recipe's order as
    early as its needs allow, in a gap of the hands that is long enough. Both cases keep that order,
    so shorter minutes never make anything later. `over` are the minutes at which steps that are
    done already ended.
    """
    ended = over or {}
    needs = needs_of(steps)
    lengths = {s.id: (minutes(read_span(s.active)), minutes(read_span(s.passive))) for s in steps}
    order = _order(steps, needs, lengths)
    at: dict[str, list[Fraction]] = {step.id: [_ZERO, _ZERO] for step in steps}
    end: dict[str, list[Fraction]] = {step.id: [_ZERO, _ZERO] for step in steps}
    for case in (0, 1):
        free = min([_ZERO, *ended.values()])
        for step in order:
            active, passive = lengths[step.id][0][case], lengths[step.id][1][case]
            if step.id in ended:
                end[step.id][case] = ended[step.id]
                at[step.id][case] = ended[step.id] - active - passive
                # The hands left a step that waits before its waiting began.
                free = max(free, ended[step.id] - passive)
                continue
            start = max((end[need][case] for need in needs[step.id]), default=_ZERO)
            if active:
                start = max(start, free)
                free = start + active
            at[step.id][case], end[step.id][case] = start, start + active + passive
    return tuple(
        Timed(step, (at[step.id][0], at[step.id][1]), (end[step.id][0], end[step.id][1]),
              *lengths[step.id])
        for step in steps
    )  # fmt: skip


def _order(
    steps: Sequence[Step],
    needs: Mapping[str, tuple[str, ...]],
    lengths: Mapping[str, tuple[Range, Range]],
) -> list[Step]:
    """The steps in the order in which the hands come to them."""
    busy: list[tuple[Fraction, Fraction]] = []
    start: dict[str, Fraction] = {}
    end: dict[str, Fraction] = {}
    for step in steps:
        active, passive = lengths[step.id][0][1], lengths[step.id][1][1]
        ready = max((end[need] for need in needs[step.id]), default=_ZERO)
        if active:
            for begun, until in sorted(busy):
                if ready + active <= begun:
                    break
                ready = max(ready, until)
            busy.append((ready, ready + active))
        start[step.id], end[step.id] = ready, ready + active + passive
    place = {step.id: i for i, step in enumerate(steps)}
    return sorted(steps, key=lambda step: (start[step.id], place[step.id]))


def whole(timed: Sequence[Timed]) -> Range:
    """From the first move to the last: quick and slow."""
    return (
        max((t.end[0] for t in timed), default=_ZERO),
        max((t.end[1] for t in timed), default=_ZERO),
    )


def hands_on(timed: Sequence[Timed]) -> Range:
    """The active minutes alone."""
    return (
        sum((t.active[0] for t in timed), _ZERO),
        sum((t.active[1] for t in timed), _ZERO),
    )


def longest_chain(steps: Sequence[Step]) -> Chain:
    """The longest way through the steps by which step needs which, taken on the longer minutes.

    No number of helping hands makes the dish quicker than this chain.
    """
    needs = needs_of(steps)
    timed = {t.step.id: t for t in schedule(steps)}
    best: dict[str, Chain] = {}
    for step in steps:
        quick, slow = timed[step.id].length
        before = max((best[need] for need in needs[step.id]), key=_slow, default=_EMPTY)
        best[step.id] = Chain(
            (*before.steps, step.id), (before.minutes[0] + quick, before.minutes[1] + slow)
        )
    return max(best.values(), key=_slow, default=_EMPTY)


class Break(msgspec.Struct, frozen=True):
    """A stretch in which the hands have nothing to do: after which step, from when, how long."""

    after: Timed
    begin: Range
    length: Range


def breaks(timed: Sequence[Timed]) -> tuple[Break, ...]:
    """The stretches between the active minutes of one step and those of the next.

    Only such as there are in the quick case and in the slow one.
    """
    busy = [t for t in running_order(timed) if t.active[1]]
    made = []
    for t, after in pairwise(busy):
        begin = (t.start[0] + t.active[0], t.start[1] + t.active[1])
        gaps = (after.start[0] - begin[0], after.start[1] - begin[1])
        if min(gaps) > 0:
            made.append(Break(t, begin, (min(gaps), max(gaps))))
    return tuple(made)


def beside(steps: Sequence[Step], ident: str) -> tuple[str, ...]:
    """The steps with work for the hands that can be done while another one waits.

    Neither does that step need them, nor do they need it, whether directly or through others.
    """
    needs = needs_of(steps)
    before = _before(needs, ident)
    return tuple(
        step.id
        for step in steps
        if step.id != ident
        and step.id not in before
        and ident not in _before(needs, step.id)
        and minutes(read_span(step.active))[1]
    )


def follows(steps: Sequence[Step], ident: str) -> tuple[str, ...]:
    """The steps that need a step, directly or through others."""
    needs = needs_of(steps)
    return tuple(step.id for step in steps if ident in _before(needs, step.id))


def _before(needs: Mapping[str, tuple[str, ...]], ident: str) -> set[str]:
    """Every step that a step needs, directly or through others."""
    found: set[str] = set()
    open_ = list(needs[ident])
    while open_:
        step = open_.pop()
        if step not in found:
            found.add(step)
            open_ += needs[step]
    return found


def _slow(chain: Chain) -> Fraction:
    return chain.minutes[1]


def running_order(timed: Sequence[Timed]) -> tuple[Timed, ...]:
    """The steps as they begin, which need not be the order they are written in."""
    return tuple(sorted(timed, key=lambda t: (t.start[1], t.start[0])))


def due(
    timed: Sequence[Timed], now: Fraction, over: Mapping[str, Fraction]
) -> tuple[tuple[Timed, ...], tuple[Timed, ...]]:
    """What is running at a minute, and what comes after it, soonest first.

    A step runs from its latest planned start to its latest planned end, or until it is marked as
    over; before that it is still to come, so that it is announced rather than taken as begun.
    """
    left = [t for t in running_order(timed) if t.step.id not in over]
    return (
        tuple(t for t in left if t.start[1] <= now < t.end[1]),
        tuple(t for t in left if t.start[1] > now),
    )


def read_face(hour: int, written: str) -> Face:
    """How a time of day was written: with am or pm, as 24 hours, or plain."""
    lowered = written.lower()
    if "am" in lowered or "pm" in lowered:
        return "12pm"
    # "Half past six" may be meant as 18:30, but was not written so.
    return "24" if (hour > 12 or hour == 0) and str(hour) in written else "12"


def show_time(at: Fraction, face: Face = "12", up: bool = False) -> str:
    """A time of day from minutes after midnight, as `12:05`, `12:05 pm` or `13:05`.

    Whole minutes, rounded down (or up): what is due is never announced late.
    """
    whole_minutes = -((-at) // 1) if up else at // 1
    hour, minute = divmod(int(whole_minutes) % DAY, 60)
    if face == "24":
        return f"{hour}:{minute:02}"
    shown = f"{hour % 12 or 12}:{minute:02}"
    return shown if face == "12" else f"{shown} {'pm' if hour >= 12 else 'am'}"


def show_times(span: Range, face: Face = "12") -> str:
    """`12:13–12:17`, or one time where both ends are the same minute."""
    low, high = show_time(span[0], face), show_time(span[1], face)
    if low == high:
        return low
    if face == "12pm" and low[-2:] == high[-2:]:
        return f"{low[:-3]}–{high}"
    return f"{low}–{high}"


def shifted(span: Range, by: Fraction) -> Range:
    """Both ends moved by so many minutes."""
    return span[0] + by, span[1] + by
