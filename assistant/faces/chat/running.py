"""The kitchen clock of a demonstration and its timers. Every moment is handed in, none is read."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from fractions import Fraction

import msgspec

from assistant.corpus.records import Recipe
from assistant.kitchen.clock import Progress, Timed, shifted, show_times, whole

Moment = datetime.datetime
_MINUTE = datetime.timedelta(minutes=1)


class Running(msgspec.Struct, frozen=True):
    """Cooking that has a start: delays move it; steps that are over keep their own time."""

    recipe: Recipe
    began: Moment
    over: Mapping[str, Moment] = {}
    # Steps that were under way when a delay moved the plan: they go on, they do not begin again.
    begun: frozenset[str] = frozenset()
    # How far the plan has been moved altogether.
    moved: datetime.timedelta = datetime.timedelta(0)

    def minute(self, now: Moment) -> Fraction:
        """Minutes since the start, to the second."""
        return Fraction(int((now - self.began).total_seconds()), 60)

    @property
    def of_day(self) -> Fraction:
        """The start in minutes after midnight."""
        return _of_day(self.began)

    def progress(self, now: Moment) -> Progress:
        """The same as plain minutes, for a question about it."""
        return Progress(
            recipe=self.recipe.id,
            planned=_of_day(self.began - self.moved),
            began=self.of_day,
            now=self.minute(now),
            over=tuple((step, self.minute(when)) for step, when in self.over.items()),
            begun=tuple(sorted(self.begun)),
        )

    def plan(self) -> tuple[Timed, ...]:
        """The schedule, with what is over as it was."""
        return self.progress(self.began).plan(self.recipe.steps)

    def due(self, now: Moment) -> tuple[tuple[Timed, ...], tuple[Timed, ...]]:
        """What runs now, and what is to come, soonest first."""
        return self.progress(now).due(self.plan())

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
        return Running(self.recipe, self.began + by, over, begun, self.moved + by)

    def finished(self, step: str, now: Moment) -> Running:
        """With a step marked as over now."""
        over = {**self.over, step: now}
        return Running(self.recipe, self.began, over, self.begun, self.moved)

    def number(self, t: Timed) -> int:
        """The number of a step in the recipe."""
        return [step.id for step in self.recipe.steps].index(t.step.id) + 1

    def at(self, when: tuple[Fraction, Fraction]) -> str:
        """A moment of the plan as a time of day."""
        return show_times(shifted(when, self.of_day))

    def ready(self) -> str:
        """When the whole is ready."""
        return self.at(whole(self.plan()))


def _of_day(moment: Moment) -> Fraction:
    return moment.hour * 60 + moment.minute + Fraction(moment.second, 60)


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
