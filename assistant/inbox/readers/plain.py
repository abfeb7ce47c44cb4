"""Plain text, JSON Lines and chat exports -> messages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec

from assistant.inbox.message import Message
from assistant.inbox.readers.decode import harmless
from assistant.inbox.readers.forms import Options, field_for, message, unreadable

_RULE = re.compile(r"\s*(?:-{3,}|={3,}|\*{3,}|_{3,})\s*\Z")


def read_text(text: str, name: str, options: Options) -> Iterator[Message]:
    """One message a line; or between lines of dashes, where there are any; or as `split` says.

    `split` is "line", "blank" (messages stand between empty lines) or "whole" (all is one).
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if options.split == "whole":
        if text.strip():
            yield message(f"{name}:1", text=text, received=options.date)
        return
    ruled = sum(bool(_RULE.match(line)) for line in lines)
    if not ruled and options.split == "line":
        for number, line in enumerate(lines, 1):
            if line.strip():
                yield message(f"{name}:{number}", text=line, received=options.date)
        return
    block: list[str] = []
    start = 1
    for number, line in enumerate([*lines, "---"], 1):
        if _RULE.match(line) or (options.split == "blank" and not line.strip()):
            if any(part.strip() for part in block):
                yield message(f"{name}:{start}", text="\n".join(block), received=options.date)
            block = []
            continue
        if not block:
            start = number
        block.append(line)


# ------------------------------------------------------------------------------------- JSON Lines


def read_jsonl(text: str, name: str, options: Options) -> Iterator[Message]:
    """One JSON object a line (or one array of them); a line that is none is an unreadable row."""
    stripped = text.strip()
    if stripped.startswith("["):
        try:
            rows = msgspec.json.decode(stripped.encode("utf-8", "replace"))
        except (msgspec.DecodeError, RecursionError):
            rows = None
        if isinstance(rows, list):
            for number, row in enumerate(rows, 1):
                yield _row(row, f"{name}:{number}", options)
            return
    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip():
            continue
        source = f"{name}:{number}"
        try:
            row = msgspec.json.decode(line.encode("utf-8", "replace"))
        except (msgspec.DecodeError, RecursionError) as error:
            plain = str(error).split(" (byte")[0]
            yield unreadable(source, f"not a line of JSON: {plain}", line)
            continue
        yield _row(row, source, options)


def _row(row: Any, source: str, options: Options) -> Message:
    if isinstance(row, str):
        return message(source, text=row)
    if not isinstance(row, dict):
        return unreadable(
            source, "a line of JSON, but no object with a text in it", repr(row)[:200]
        )
    fields: dict[str, str] = {}
    for field, names in options.columns.items():
        fields[field] = "\n".join(_plain(row[n]) for n in names if n in row)
    for key, value in row.items():
        field = field_for(str(key), options.words)
        if field and field not in fields and not isinstance(value, dict):
            fields[field] = _plain(value)
    if "text" not in fields and "subject" not in fields:
        texts = [v for k, v in row.items() if isinstance(v, str) and len(v.split()) >= 3]
        if not texts:
            named = ", ".join(map(str, list(row)[:8])) or "nothing"
            return unreadable(
                source, f"no field holds a text (it has {named}); name it with --text-column"
            )
        fields["text"] = "\n".join(texts)
    return message(
        source,
        text=fields.get("text", ""),
        id=fields.get("id", ""),
        received=fields.get("date", ""),
        sender=fields.get("name", ""),
        subject=fields.get("subject", ""),
    )


def _plain(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, list):
        return "\n".join(_plain(part) for part in value)
    return str(value)


# ----------------------------------------------------------------------------------- chat exports

_TIME = (
    r"(?:(?P<day>\d{4}-\d\d-\d\d|\d{1,2}/\d{1,2}/\d{2,4}),?[ T])?"
    r"(?P<time>\d{1,2}:\d\d(?::\d\d)?(?:\s?[AaPp][Mm])?)"
)
_NAME = r"(?P<name>[^\s:\[\]][^:\n\t]{0,60}?)"
_AM_PM = r"(?:(?P<day>\d{1,2}/\d{1,2}/\d{2,4}),? )?(?P<time>\d{1,2}:\d\d(?::\d\d)?\s?[AaPp][Mm])"
_CHAT = (
    re.compile(rf"\[?{_TIME}\]?\s*<(?P<name>[^<>]{{1,60}})>\s*(?P<text>.*)\Z"),
    re.compile(rf"\[?{_TIME}\]?[\s,–-]+(?:[Ff]rom\s+)?{_NAME}\s*(?::|\t)\s*(?P<text>.*)\Z"),
    re.compile(rf"{_NAME}\s*[\[(]{_TIME}[\])]\s*:?\s*(?P<text>.*)\Z"),
    re.compile(rf"{_NAME}\s{{2,}}{_TIME}\s*(?P<text>)\Z"),
    # One space between name and time: only with AM or PM, and a name of at most four words.
    re.compile(rf"(?P<name>[^\W\d_][^\s:]*(?: [^\s:]+){{0,3}}) {_AM_PM}\s*(?P<text>)\Z"),
)
_TO = re.compile(r"\s+[Tt]o\s+\S.{0,40}\Z")


def looks_like_chat(lines: list[str]) -> bool:
    """Whether at least half of the lines (three of the first ones) begin with a time and a name."""
    head = [line for line in lines[:60] if line.strip()]
    hits = sum(_chat(line) is not None for line in head)
    return (hits >= 1 and hits * 2 >= len(head)) or hits >= 6


def read_chat(text: str, name: str, options: Options) -> Iterator[Message]:
    """A meeting's chat as it is saved: a time and a name before each text, which may run on."""
    start: tuple[int, str, str] | None = None
    block: list[str] = []

    def made() -> Message | None:
        words = "\n".join(block).strip()
        if start is None:
            return message(f"{name}:1", text=words) if words else None
        return message(f"{name}:{start[0]}", text=words, received=start[1], sender=start[2])

    for number, line in enumerate(text.replace("\r", "").split("\n"), 1):
        found = _chat(line)
        if found is None:
            block.append(line)
            continue
        done = made()
        if done is not None:
            yield done
        start, block = (number, _clock(found, options.date), _who(found["name"])), [found["text"]]
    done = made()
    if done is not None:
        yield done


def _chat(line: str) -> re.Match[str] | None:
    short = harmless(line.strip())
    return next((m for pattern in _CHAT if (m := pattern.match(short[:6000]))), None)


def _who(name: str) -> str:
    return _TO.sub("", name).strip()


def _clock(found: re.Match[str], date: str) -> str:
    """The day (that of the line, else the session's) and the time, where both are known."""
    day, time = found["day"] or date, found["time"].strip()
    half = time[-2:].lower()
    if half in {"am", "pm"}:
        hour, _, rest = time[:-2].strip().partition(":")
        time = f"{int(hour) % 12 + (12 if half == 'pm' else 0):02d}:{rest}"
    elif time[1] == ":":
        time = f"0{time}"
    if not day:
        return time
    return f"{day}T{time}" if "-" in day else f"{day} {time}"
