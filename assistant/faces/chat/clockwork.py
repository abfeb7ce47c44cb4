"""The commands about time: the clock of the recipe in hand, and kitchen timers."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from fractions import Fraction

from assistant.corpus.records import Recipe
from assistant.faces.chat.commands import BY_WORD, read_clock, read_minutes, take_time
from assistant.faces.chat.rows import Reply, Row, said
from assistant.faces.chat.running import Moment, Running, Timer
from assistant.kitchen.clock import Timed, running_order, show_time
from assistant.measure.span import show_minutes

_HALF_DAY = 12 * 60
_MOST_TIMERS = 20
_NO_CLOCK = "The clock is not running; for example: start 12:05"


class Clockwork:
    """The running clock, if any, and the timers."""

    def __init__(self, now: Callable[[], Moment]) -> None:
        self._now = now
        self.running: Running | None = None
        self.timers: list[Timer] = []
        self._announced: set[Timer] = set()

    def do(self, name: str, rest: str, recipe: Recipe | None) -> Reply:
        """Do one of the commands start, next, done, behind, ahead, timer."""
        if name == "timer":
            return self._timer(rest)
        if name == "start":
            return self._start(rest, recipe)
        if self.running is None:
            return said(head=f"{_NO_CLOCK}.")
        if name == "next":
            return self._next(self.running)
        if name == "done":
            return self._done(self.running, rest)
        return self._moved(self.running, rest, 1 if name == "behind" else -1)

    def reread(self, recipes: Mapping[str, Recipe]) -> None:
        """Go on with the recipe as it stands now; with the former one where it is left out."""
        if self.running is None:
            return
        recipe = recipes.get(self.running.recipe.id)
        now = self.running
        if recipe is not None:
            self.running = Running(recipe, now.began, now.over, now.begun, now.moved)

    # --------------------------------------------------------------------------- the bar

    def ringing(self) -> list[str]:
        """Timers that are up, for the beginning of the bar."""
        now = self._now()
        return [f"TIMER {t.name} RINGS" for t in self.timers if t.rings <= now]

    def state(self) -> list[str]:
        """The step and the timers that run, for the bar."""
        now = self._now()
        parts = []
        if self.running is not None:
            parts.append(self._step_now(self.running, now))
        parts += [f"{t.name} {t.left(now)}" for t in self.timers if t.rings > now]
        return parts

    def _step_now(self, running: Running, now: Moment) -> str:
        current, later = running.due(now)
        if current:
            t = current[-1]
            return f"step {running.number(t)} {_name(t)} to {show_time(t.end[1] + running.of_day)}"
        if later:
            t = later[0]
            return f"next {_name(t)} at {running.at(t.start)}"
        return "all steps over"

    @property
    def moves(self) -> bool:
        """Whether the bar changes by itself: a clock or a timer is running."""
        return self.running is not None or bool(self.timers)

    def rang(self) -> bool:
        """Whether a timer has come up that was not announced yet: the moment to ring the bell."""
        now = self._now()
        return any(t.rings <= now and t not in self._announced for t in self.timers)

    def heard(self) -> None:
        """The bell has been rung for every timer that is up."""
        self._announced.update(t for t in self.timers if t.rings <= self._now())

    def announce(self) -> list[str]:
        """Timers that are up, each said once above the next reply, and then ended."""
        now = self._now()
        up = [t for t in self.timers if t.rings <= now]
        self.timers = [t for t in self.timers if t.rings > now]
        self._announced.difference_update(up)
        return [f"{t.name} is up, since {_of(t.rings)}" for t in up]

    # -------------------------------------------------------------------------- commands

    def _start(self, rest: str, recipe: Recipe | None) -> Reply:
        if rest.lower() in {"off", "stop"}:
            was, self.running = self.running, None
            return said(head="The clock is off." if was is not None else f"{_NO_CLOCK}.")
        if recipe is None:
            return said(head="Which recipe? Pin one first, for example: recipe red lentil soup")
        now = self._now()
        began = now.replace(second=0, microsecond=0)
        if rest and rest.lower() != "now":
            at = read_clock(rest)
            if at is None:
                example = BY_WORD["start"].example
                return said(head=f'"{rest[:40]}" is no time of day; try: {example}')
            began = _nearest(now, at, plain=not rest.lower().rstrip().endswith("m"))
        self.running = Running(recipe, began)
        rows = [Row("text", _row(self.running, t)) for t in running_order(self.running.plan())]
        title = recipe.title
        start = show_time(self.running.of_day)
        head = Row("head", f"{title} from {start}: ready at {self.running.ready()}.")
        return Reply((head, *rows))

    def _next(self, running: Running) -> Reply:
        current, later = running.due(self._now())
        rows = [
            Row("text", f"Now: step {running.number(t)}, {_name(t)}, until {running.at(t.end)}.")
            for t in current
        ]
        if not later:
            head = "Nothing more is to begin." if current else "All steps are over."
            return Reply((Row("head", head), *rows))
        t = later[0]
        head = f"Next: step {running.number(t)}, {_name(t)}, at {running.at(t.start)}."
        return Reply((Row("head", head), *rows, *_how(t)))

    def _done(self, running: Running, rest: str) -> Reply:
        now = self._now()
        current, later = running.due(now)
        steps = running.recipe.steps
        if rest and not rest.isdigit():
            named = _step_called(running, rest)
            if named is None:
                names = ", ".join(f"{n} {s.id.replace('-', ' ')}" for n, s in enumerate(steps, 1))
                return said(f"The steps: {names}.", head=f'No step is called "{rest[:40]}".')
            finished = named
        elif rest:
            number = int(rest)
            if not 1 <= number <= len(steps):
                return said(head=f"There is no step {number}; the recipe has {len(steps)}.")
            finished = steps[number - 1].id
        elif current:
            # Of a step with hands on it and one that waits, the hands' step is the one just done.
            busy = [t for t in current if running.minute(now) < t.start[1] + t.active[1]]
            finished = (busy or list(current))[0].step.id
        elif later:
            finished = later[0].step.id
        else:
            return said(head="All steps are over.")
        self.running = running.finished(finished, now)
        number = [step.id for step in steps].index(finished) + 1
        over = Row("text", f"Step {number}, {finished.replace('-', ' ')}, is over at {_of(now)}.")
        begins = self._begins(self.running, now)
        following = self._next(self.running).rows
        rows = begins or (following[0], *following[1:])
        return Reply((rows[0], over, *rows[1:]))

    def _begins(self, running: Running, now: Moment) -> tuple[Row, ...]:
        """The step that begins just now, told in full; nothing where none does."""
        minute = running.minute(now)
        for t in running.due(now)[0]:
            if t.start[1] == minute:
                until = f", until {running.at(t.end)}" if t.length[1] else ""
                head = f"Now: step {running.number(t)}, {_name(t)}{until}."
                return (Row("head", head), *_how(t))
        return ()

    def _moved(self, running: Running, rest: str, sign: int) -> Reply:
        minutes = read_minutes(rest)
        if minutes is None:
            return said(head=f"By how many minutes? For example: {BY_WORD['behind'].example}")
        self.running = running.delayed(sign * minutes, self._now())
        which = "behind" if sign > 0 else "ahead"
        by = show_minutes(minutes, minutes)
        title = running.recipe.title.lower()
        head = Row("head", f"{by} {which}: {title} ready at {self.running.ready()}.")
        current = self.running.due(self._now())[0]
        following = self._next(self.running).rows[: 1 + len(current)]
        return Reply((head, *(Row("text", row.text) for row in following)))

    def _timer(self, rest: str) -> Reply:
        now = self._now()
        if not rest:
            rows = [f"{t.name}: {t.left(now)}" for t in self.timers]
            return said(*rows, head="Timers:" if rows else "No timer is running.")
        word, _, name = rest.partition(" ")
        if word.lower() in {"off", "stop"}:
            return self._ended(name.strip().lower())
        rest = rest.removeprefix("for ")
        taken = take_time(rest) or _time_last(rest)
        if taken is None:
            return said(head=f'"{rest[:40]}" is no time; try: {BY_WORD["timer"].example}')
        if len(self.timers) >= _MOST_TIMERS:
            return said(
                head=f"{_MOST_TIMERS} timers are running already; end one with: timer off all"
            )
        minutes, after = taken
        after = after.removeprefix("for ").removeprefix("the ").strip()
        name = _clean(after) or self._free_name()
        timer = Timer(name, now + datetime.timedelta(seconds=int(minutes * 60)))
        self.timers = sorted([*self.timers, timer], key=lambda t: t.rings)
        return said(head=f"Timer {name}: {timer.left(now)}, until {_of(timer.rings)}.")

    def _ended(self, name: str) -> Reply:
        name = name.removeprefix("the ")
        gone = [t for t in self.timers if name in {"", "all", t.name.lower()}]
        if not gone:
            names = ", ".join(t.name for t in self.timers) or "none is running"
            return said(head=f'No timer is called "{name[:40]}": {names}.')
        self.timers = [t for t in self.timers if t not in gone]
        return said(head=f"Timer off: {', '.join(t.name for t in gone)}.")

    def _free_name(self) -> str:
        names = {t.name for t in self.timers}
        return next(str(i) for i in range(1, _MOST_TIMERS + 2) if str(i) not in names)


def _time_last(text: str) -> tuple[Fraction, str] | None:
    """The time at the end of a text, and the name before it: "pasta 9 min"."""
    words = text.split()
    for at in range(1, len(words)):
        taken = take_time(" ".join(words[at:]))
        if taken is not None and not taken[1]:
            return taken[0], " ".join(words[:at]).removesuffix(" for")
    return None


def _step_called(running: Running, name: str) -> str | None:
    """The step of that name; None where no step is called so."""
    wanted = name.lower().removeprefix("the ").removeprefix("step ").strip()
    for step in running.recipe.steps:
        if wanted in {step.id.replace("-", " "), step.id}:
            return step.id
    return None


def _name(t: Timed) -> str:
    return t.step.id.replace("-", " ")


def _how(t: Timed) -> list[Row]:
    """What is done in a step, and how one sees that it is over."""
    done = [Row("text", f"Done when {t.step.done}.")] if t.step.done else []
    return [Row("text", t.step.text), *done]


def _row(running: Running, t: Timed) -> str:
    # The answers about time come with much else; the first prompt need not wait for it.
    from assistant.kinds.timing.plan import gist

    length = show_minutes(*t.length)
    return f"{running.at(t.start)} step {running.number(t)}: {gist(t.step.text, 44)} ({length})"


def _of(moment: Moment) -> str:
    return show_time(Fraction(moment.hour * 60 + moment.minute))


def _clean(text: str) -> str:
    return "".join(c for c in text if c.isprintable())[:24]


def _nearest(now: Moment, at: Fraction, plain: bool) -> Moment:
    """The moment with that time of day nearest to now; a plain time may lie either side of noon."""
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    shifts = [-1440, 0, 1440]
    if plain and at <= _HALF_DAY + 59:
        shifts += [-_HALF_DAY, _HALF_DAY]
    made = [midnight + datetime.timedelta(minutes=int(at) + shift) for shift in shifts]
    return min(made, key=lambda moment: abs(moment - now))
