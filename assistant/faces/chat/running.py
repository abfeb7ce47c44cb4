"""The kitchen clock of a demonstration and its timers. Every moment is handed in, none is read."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from fractions import Fraction

import msgspec

from assistant.corpus.records import Recipe
from assistant.kitchen.clock import Timed, due, schedule, shifted, show_times, whole

Moment = datetime.datetime
_MINUTE = datetime.timedelta(minutes=1)


class Running(msgspec.Struct, frozen=True):
    """Cooking that has a start: delays move it; steps that are over keep their own time."""

    recipe: Recipe
    began: Moment
    over: Mapping[str, Moment] = {}
    # Steps that were under way when a delay moved the plan: they go on, they do not begin again.
    begun: frozenset[str] = frozenset()

    def minute(self, now: Moment) -> Fraction:
        """Minutes since the start, to the second."""
        return Fraction(int((now - self.began).total_seconds()), 60)

    @property
    def of_day(self) -> Fraction:
        """The start in minutes after midnight."""
        return Fraction(self.began.hour * 60 + self.began.minute)

    def _over(self) -> dict[str, Fraction]:
        return {step: self.minute(when) for step, when in self.over.items()}

    def plan(self) -> tuple[Timed, ...]:
        """The schedule, with what is over as it was."""
        return schedule(self.recipe.steps, self._over())

    def due(self, now: Moment) -> tuple[tuple[Timed, ...], tuple[Timed, ...]]:
        """What runs now, and what is to come, soonest first."""
        current, later = due(self.plan(), self.minute(now), self._over())
        under_way = tuple(t for t in later if t.step.id in self.begun)
        return (*under_way, *current), tuple(t for t in later if t not in under_way)

    def delayed(self, minutes: Fraction, now: Moment) -> Running:
        """The same cooking, so many minutes later from now on (earlier where negative)."""
        current, later = self.due(now)
        by = _MINUTE * float(minutes)
        # What the plan has passed is over; moved along, it holds what is left back by the delay.
        left = {t.step.id for t in (*current, *later)}
        passed = {
            t.step.id: self.began + _MINUTE * float(t.end[1])
            for t in self.plan()
            if t.step.id not in left
        }
        over = {step: when + by for step, when in {**passed, **self.over}.items()}
        begun = self.begun | {t.step.id for t in current}
        return Running(self.recipe, self.began + by, over, begun)

    def finished(self, step: str, now: Moment) -> Running:
        """With a step marked as over now."""
        return Running(self.recipe, self.began, {**self.over, step: now}, self.begun)

    def number(self, t: Timed) -> int:
        """The number of a step in the recipe."""
        return [step.id for step in self.recipe.steps].index(t.step.id) + 1

    def at(self, when: tuple[Fraction, Fraction]) -> str:
        """A moment of the plan as a time of day."""
        return show_times(shifted(when, self.of_day))

    def ready(self) -> str:
        """When the whole is ready."""
        return self.at(whole(self.plan()))


class Timer(msgspec.Struct, frozen=True):
    """A kitchen timer: what it is for, and when it rings."""

    name: str
    rings: Moment

    def left(self, now: Moment) -> str:
        """`3:07`, or `1:02:30`; `RINGS` once it is up."""
        seconds = int((self.rings - now).total_seconds() + 0.999)
        if seconds <= 0:
            return "RINGS"
        minutes, rest = divmod(seconds, 60)
        hours, minutes = divmod(minutes, 60)
        return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
