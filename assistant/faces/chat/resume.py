"""What a chat leaves behind when its window dies: the pin, the clock and the timers.

Nothing that was typed is in it. It is written as things change and removed when the chat is left,
so that it is only there where a chat ended early.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from fractions import Fraction

import msgspec

from assistant.corpus.records import Recipe
from assistant.faces.chat.clockwork import Clockwork
from assistant.faces.chat.rows import Row
from assistant.faces.chat.running import Moment, Running, Timer
from assistant.kitchen.clock import show_time
from assistant.kitchen.scaling import check_servings
from assistant.measure.exact import MeasureError, exact
from assistant.measure.numbers import show_number
from assistant.question.understand import Context

# A demonstration is over by then.
_KEEPS = datetime.timedelta(hours=6)


class Cooking(msgspec.Struct, frozen=True):
    """A running clock, its recipe by id."""

    recipe: str
    began: Moment
    over: dict[str, Moment]
    begun: list[str]
    moved: float


class Left(msgspec.Struct, frozen=True):
    """What a chat leaves behind; servings are a fraction as text."""

    at: Moment
    recipe: str = ""
    servings: str = ""
    cooking: Cooking | None = None
    timers: list[tuple[str, Moment]] = []

    @property
    def worth(self) -> bool:
        """Whether there is anything to take up again."""
        return bool(self.recipe or self.servings or self.cooking or self.timers)


def left(context: Context, clock: Clockwork, now: Moment) -> Left:
    """What there is to leave behind now."""
    running = clock.running
    cooking = None
    if running is not None:
        cooking = Cooking(
            recipe=running.recipe.id,
            began=running.began,
            over=dict(running.over),
            begun=sorted(running.begun),
            moved=running.moved.total_seconds(),
        )
    return Left(
        at=now,
        recipe=context.recipe,
        servings=str(context.servings) if context.servings is not None else "",
        cooking=cooking,
        timers=[(t.name, t.rings) for t in clock.timers],
    )


def encode(state: Left) -> bytes:
    """As it is kept on disk."""
    return msgspec.json.encode(state)


def decode(data: bytes) -> Left | None:
    """As it was kept; None for what cannot be read."""
    try:
        return msgspec.json.decode(data, type=Left)
    except (msgspec.MsgspecError, UnicodeDecodeError):
        return None


def take_up(
    state: Left, context: Context, clock: Clockwork, recipes: Mapping[str, Recipe], now: Moment
) -> tuple[Context, Row] | None:
    """Go on from what was left: the context, and what to say of it.

    None where it is too old, of another recipe than the one pinned now, or nothing of it is left.
    """
    if not datetime.timedelta(0) <= now - state.at <= _KEEPS:
        return None
    if context.recipe and context.recipe != state.recipe:
        return None
    told = []
    if state.recipe in recipes and not context.recipe:
        context = msgspec.structs.replace(context, recipe=state.recipe)
    servings = _servings(state.servings)
    if context.servings is None and servings is not None:
        context = msgspec.structs.replace(context, servings=servings)
    title = recipes[context.recipe].title if context.recipe in recipes else ""
    whom = f"for {show_number(context.servings)}" if context.servings else ""
    if title or whom:
        told.append(f"{title} {whom}".strip())
    cooking = state.cooking
    if cooking is not None and cooking.recipe in recipes:
        recipe = recipes[cooking.recipe]
        steps = {step.id for step in recipe.steps}
        clock.running = Running(
            recipe,
            cooking.began,
            {step: when for step, when in cooking.over.items() if step in steps},
            frozenset(cooking.begun) & steps,
            datetime.timedelta(seconds=cooking.moved),
        )
        told.append(f"the clock from {show_time(clock.running.of_day)}")
    clock.timers = sorted((Timer(name, rings) for name, rings in state.timers), key=_rings)
    told += [f"timer {t.name}, {t.left(now)}" for t in clock.timers]
    if not told:
        return None
    return context, Row("head", f"Taken up again: {'; '.join(told)}.")


def _rings(timer: Timer) -> Moment:
    return timer.rings


def _servings(text: str) -> Fraction | None:
    try:
        return check_servings(exact(text)) if text else None
    except MeasureError:
        return None
