"""The commands of the chat: few plain words with an example each, told apart from questions."""

from __future__ import annotations

import re
from fractions import Fraction

import msgspec

from assistant.measure.exact import MeasureError
from assistant.measure.numbers import read_number, take_number
from assistant.measure.span import SPELLINGS, Span, minutes


class Command(msgspec.Struct, frozen=True):
    """A command: its word, an example of it, and what it does."""

    name: str
    example: str
    about: str
    also: tuple[str, ...] = ()


COMMANDS = (
    Command("recipe", "recipe red lentil soup", "pin the recipe that questions are about"),
    Command("servings", "servings 14", "pin for how many people"),
    Command("start", "start 12:05", "start the clock, at a time or now; start off stops it"),
    Command("next", "next", "what runs now, and what is due next"),
    Command("done", "done", "the step that runs now is over; done 3, or its name, for another"),
    Command(
        "behind", "behind 10", "everything left moves 10 minutes; ahead 5 moves it back", ("ahead",)
    ),
    Command(
        "timer", "timer 9 min pasta", "set a timer; timer shows them, timer off pasta ends one"
    ),
    Command("more", "more", "the whole last answer: working, cautions, sources"),
    Command("copy", "copy", "the last answer in under 500 characters, to paste"),
    Command("quiet", "quiet on", "keep no history of what is typed; quiet off keeps it again"),
    Command("log", "log on", "keep the questions in a file for `assistant gaps`; off at first"),
    Command("help", "help timer", "the commands, or one of them"),
    Command("leave", "leave", "end the chat (Ctrl-D does too)", ("quit", "exit", "bye")),
)
BY_WORD = {word: c for c in COMMANDS for word in (c.name, *c.also)}

_CLOCK = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*([ap]m)?")
_TIMER = re.compile(r"(?:set|start) (?:a |the )?(?:timer (?:for |to )?(.+)|(.+) timer)\Z")
_REMIND = re.compile(r"remind me (?:to (.+) in (.+)|in (.+?)(?: to (.+))?)\Z")
_TIMER_OFF = re.compile(
    r"(?:cancel|stop|end|clear|turn off) (?:the |my )?"
    r"(?:timers?(?: for)?(?: the)?(?: (.+))?|(.+) timers?)\Z"
)
_STEP_OVER = re.compile(r"step (\d+)(?: is|'s)? (?:done|over|finished)\Z")
_STOPPED = frozenset({"stop the clock", "stop clock", "clock off", "end the clock"})
_TIMERS = frozenset({"timers", "show timers", "show the timers", "what timers are running",
                     "how long on the timer", "how long is left on the timer",
                     "how long on the timers"})  # fmt: skip
_FILLER = frozenset(
    ["we", "we're", "are", "i", "i'm", "im", "am", "running", "now", "about", "by", "roughly",
     "the", "is", "it", "at", "cooking"]
)  # fmt: skip
_STARTING = frozenset({"start", "starting", "started"})
_LATE = frozenset({"behind", "late", "lost"})
_NEXT = frozenset({"next", "what's next", "whats next", "what is next", "what's due",
                   "what is due", "what is due next", "what's due next", "what's up next",
                   "what is up next", "what now", "next step", "next up"})  # fmt: skip


class Said(msgspec.Struct, frozen=True):
    """A line that is a command: its name, and the words after it."""

    name: str
    rest: str


def told(line: str) -> Said | None:
    """The command that a line is, None where it is a question.

    A command is its word alone, or its word with what it takes; "next week, is it still fine?" and
    "copy of the recipe?" are questions. A few ways of saying it count too: "we are 10 minutes
    behind", "starting at 12:05", "what's next?".
    """
    text = " ".join(line.replace("’", "'").split())
    bare = text.rstrip(" .!?")
    lowered = bare.lower()
    if lowered in _NEXT:
        return Said("next", "")
    if lowered in _TIMERS:
        return Said("timer", "")
    word, _, rest = bare.partition(" ")
    command = BY_WORD.get(word.lower())
    if command is not None and not text.endswith("?"):
        name = command.name if word.lower() != "ahead" else "ahead"
        if not rest or _takes(name, rest):
            return Said(name, rest.strip())
    return _spoken(lowered) if not text.endswith("?") else None


def _takes(name: str, rest: str) -> bool:
    """Whether words after a command's word can be meant for it."""
    first = rest.split(maxsplit=1)[0].lower()
    if name in {"recipe", "help"}:
        return first not in {"for", "with", "without", "that", "is", "are", "has"}
    if name in {"more", "copy", "next", "leave"}:
        return False
    if name in {"quiet", "log"}:
        return rest.lower() in {"on", "off"}
    if name == "done":
        return first not in {"when", "with", "by", "in", "and"}
    if name == "start" and "timer" in rest.lower().split():
        return False
    return len(rest.split()) <= 6


def _spoken(lowered: str) -> Said | None:
    if lowered in _STOPPED:
        return Said("start", "off")
    step = _STEP_OVER.match(lowered)
    if step is not None:
        return Said("done", step[1])
    timer = _timer(lowered)
    if timer is not None:
        return timer
    words = [word for word in lowered.split() if word not in _FILLER]
    if len(words) == 2 and words[0] in _STARTING and read_clock(words[1]) is not None:
        return Said("start", words[1])
    late = [word for word in words if word in _LATE or word == "ahead"]
    rest = " ".join(word for word in words if word not in late)
    if len(late) == 1 and read_minutes(rest) is not None:
        return Said("ahead" if late[0] == "ahead" else "behind", rest)
    return None


def _timer(lowered: str) -> Said | None:
    """A timer that is set, or ended, in other words than the command's own."""
    off = _TIMER_OFF.match(lowered)
    if off is not None:
        return Said("timer", f"off {off[1] or off[2] or 'all'}")
    made = _TIMER.match(lowered)
    if made is not None:
        return Said("timer", made[1] or made[2])
    asked = _REMIND.match(lowered)
    if asked is None:
        return None
    what, when = asked[1] or asked[4] or "", asked[2] or asked[3]
    return Said("timer", f"{when} {what}".strip()) if take_time(when) is not None else None


def read_clock(text: str) -> Fraction | None:
    """A time of day in minutes after midnight: "12:05", "12.05", "9 am"; None where it is none."""
    found = _CLOCK.fullmatch(text.strip().lower().removeprefix("at ").strip())
    if found is None or (found[2] is None and found[3] is None and len(found[1]) > 2):
        return None
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    return Fraction(hour * 60 + minute) if hour < 24 and minute < 60 else None


def read_minutes(text: str) -> Fraction | None:
    """Minutes: "10", "10 min", "1 1/2 hours", "90 s"; None where the text is no time."""
    made = take_time(text)
    return made[0] if made is not None and not made[1] else None


def take_time(text: str) -> tuple[Fraction, str] | None:
    """The minutes that a text begins with, and what follows; a bare number counts minutes."""
    taken = take_number(text.strip())
    if taken is None or taken[0] != taken[1] or not 0 < taken[0] <= 6000:
        return None
    rest = taken[2].strip()
    word, _, after = rest.partition(" ")
    unit = SPELLINGS.get(word.lower().rstrip("."))
    if unit is None:
        return taken[0], rest
    if unit not in {"second", "minute", "hour"}:
        return None
    return minutes(Span(taken[0], taken[0], unit))[0], after.strip()


def read_count(text: str) -> Fraction | None:
    """A number of servings; None where the text is none."""
    words = text.lower().removeprefix("for ").split()
    if len(words) == 2 and words[1] in {"people", "servings", "portions"}:
        words = words[:1]
    try:
        return read_number(" ".join(words))
    except MeasureError:
        return None


def help_rows(word: str = "") -> list[str]:
    """The commands with their examples, or one of them."""
    command = BY_WORD.get(word.lower())
    shown = (command,) if command else COMMANDS
    return [f"{c.example} – {c.about}" for c in shown]
