"""What the readers share: the options of a run, and making one message of what was found."""

from __future__ import annotations

import datetime
import email.utils
import re
from collections.abc import Mapping, Sequence

import msgspec

from assistant.inbox.message import Message, cut
from assistant.inbox.readers.decode import harmless, one_line
from assistant.inbox.readers.markup import looks_like_html, to_text


class InboxError(ValueError):
    """Files or options that cannot be used; the message says which and what to do."""


class Options(msgspec.Struct, frozen=True, kw_only=True):
    """How to read: what is empty is guessed.

    `columns` maps a field (text, id, name, date, subject) to columns by name, or by number counted
    from 1. `words` are the names that columns and fields usually have, by field.
    """

    format: str = "auto"
    delimiter: str = ""
    header: str = "auto"
    split: str = "line"
    date: str = ""
    columns: Mapping[str, Sequence[str]] = {}
    words: Mapping[str, Sequence[str]] = {}


def message(
    source: str,
    *,
    text: str,
    id: str = "",
    received: str = "",
    sender: str = "",
    subject: str = "",
    notes: Sequence[str] = (),
) -> Message:
    """A message of raw parts: markup made plain, harm taken out, what is too long cut."""
    short, note = cut(text)
    said = [*notes, *([note] if note else [])]
    if "\0" in short or "\0" in subject:
        said.append("NUL characters taken out")
    if looks_like_html(short):
        short = to_text(short)
    return Message(
        source=source,
        id=one_line(id, 120),
        received=when(received),
        sender=one_line(sender, 200),
        subject=one_line(subject),
        text=harmless(short).strip("\n "),
        notes=tuple(dict.fromkeys(said)),
    )


def unreadable(source: str, reason: str, raw: str = "") -> Message:
    """A message of which nothing can be read, with the reason; what is there is kept as text."""
    return Message(source=source, text=harmless(cut(raw)[0]), unreadable=one_line(reason, 300))


_US_DATE = re.compile(
    r"(\d{1,2})/(\d{1,2})/(\d{4}|\d\d)(?:[ ,T]+(\d{1,2}):(\d{2})(?::(\d{2}))?\s*([ap]m)?)?\Z", re.I
)


def when(text: str) -> str:
    """A date as ISO text, in UTC where it names a zone; what cannot be read stays as written."""
    text = one_line(text, 60)
    if not text:
        return ""
    try:
        made = datetime.datetime.fromisoformat(text)
    except ValueError:
        made = _other(text) or None  # type: ignore[assignment]
    if made is None:
        return text
    try:
        if made.tzinfo is not None:
            made = made.astimezone(datetime.UTC)
    except OverflowError:
        return text
    return made.isoformat(timespec="seconds").replace("+00:00", "Z")


def _other(text: str) -> datetime.datetime | None:
    found = _US_DATE.match(text)
    if found:
        month, day, year, hour, minute, second, half = found.groups()
        year = year if len(year) == 4 else f"20{year}"
        hours = int(hour or 0)
        if half:
            hours = hours % 12 + (12 if half.lower() == "pm" else 0)
        try:
            return datetime.datetime(
                int(year), int(month), int(day), hours, int(minute or 0), int(second or 0)
            )
        except ValueError:
            return None
    try:
        return email.utils.parsedate_to_datetime(text)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None


def field_for(name: str, words: Mapping[str, Sequence[str]]) -> str:
    """The field that a column or key stands for by its name; "" where none.

    The whole name decides first, then one of its words.
    """
    flat = " ".join(re.sub(r"[^\w]+|_", " ", name.lower()).split())
    for field, known in words.items():
        if flat in known:
            return field
    parts = flat.split()
    if len(parts) <= 3:
        for field, known in words.items():
            if any(part in known for part in parts):
                return field
    return ""
