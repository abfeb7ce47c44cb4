"""The log of questions: JSON Lines, only ever added to, with everything personal masked."""

from __future__ import annotations

import datetime
import os
import stat
from collections.abc import Iterable
from pathlib import Path
from typing import get_args

import msgspec

from assistant.answer import Answer, Verdict
from assistant.inbox.mask import Masker

# A log is for reading through: at this size it is full, and says so.
MOST_BYTES = 5_000_000
LONGEST_QUESTION = 500
# Lists of questions from elsewhere may be longer than a log; what lies behind this is named.
_MOST_READ = 32_000_000
_LONGEST_LINE = 100_000
# Not every system has these: without waiting, and without turning line ends.
_AS_IT_STANDS = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_VERDICTS = frozenset(get_args(Verdict))


class LogError(ValueError):
    """A log that cannot be read or written; the message says why and what to do."""


class Entry(msgspec.Struct, frozen=True, kw_only=True):
    """One question as it was asked: the date in ISO form, its kind and its verdict.

    A line of a plain list of questions has none of the three.
    """

    asked: str
    question: str
    kind: str
    verdict: str


class Read(msgspec.Struct, frozen=True, kw_only=True):
    """What the logs held: the entries in order, and each broken line as `file:line: reason`."""

    entries: tuple[Entry, ...]
    broken: tuple[str, ...]


def usable(path: Path) -> None:
    """Make sure that a log can be added to; it is made where there is none.

    Raises LogError for a folder, a file that is no log, one that is full or cannot be written.
    """
    os.close(_opened(path))


def record(path: Path, answer: Answer, today: datetime.date, mask: Masker) -> None:
    """Add one line to the log: the date, the masked question, its kind and its verdict.

    `mask` is `assistant.inbox.mask.Masker(corpus, ())`, made once and used for every question. The
    line is written in one piece and at once. Raises LogError as `usable` does.
    """
    entry = Entry(
        asked=today.isoformat(),
        question=_plain(mask.text(answer.question)),
        kind=answer.kind,
        verdict=answer.verdict,
    )
    line = msgspec.json.encode(entry) + b"\n"
    handle = _opened(path)
    try:
        size = os.fstat(handle).st_size
        # A line that a crash cut off must not swallow this one.
        if size and _byte(handle, size - 1) != b"\n":
            line = b"\n" + line
        os.write(handle, line)
    except OSError as error:
        raise LogError(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        os.close(handle)


def _opened(path: Path) -> int:
    """A log opened for adding to. It may tell of people's health: no one else may read it."""
    # Without waiting: the far end of a named pipe may never come.
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | _AS_IT_STANDS
    try:
        handle = os.open(path, flags, 0o600)
    except OSError as error:
        raise LogError(f"cannot write {path}: {error.strerror or error}") from error
    found = os.fstat(handle)
    reason = ""
    if not stat.S_ISREG(found.st_mode):
        reason = f"{path} is no plain file; name a file for the log"
    elif found.st_size and _byte(handle, 0) != b"{":
        reason = f"{path} is no log of questions; name a new file for the log"
    elif found.st_size >= MOST_BYTES:
        reason = f"{path} is full ({MOST_BYTES // 1_000_000} MB); name a new file for the log"
    if reason:
        os.close(handle)
        raise LogError(reason)
    return handle


def _byte(handle: int, place: int) -> bytes:
    """One byte of an open file; what is added goes to its end all the same."""
    os.lseek(handle, place, os.SEEK_SET)
    return os.read(handle, 1)


def read(paths: Iterable[Path], mask: Masker) -> Read:
    """Read logs, and plain lists with one question a line (a file without any `{` line).

    A broken line is named and left out. Raises LogError for a file that cannot be read at all, and
    where every line is broken.
    """
    entries: list[Entry] = []
    broken: list[str] = []
    for path in paths:
        lines, whole = _lines(path)
        listed = not any(line.lstrip().startswith(b"{") for line in lines)
        for number, line in enumerate(lines, 1):
            if not line.strip():
                continue
            made = _question(line) if listed else _entry(line)
            if isinstance(made, Entry):
                question = _plain(mask.text(made.question))
                entries.append(msgspec.structs.replace(made, question=question))
            else:
                broken.append(f"{path}:{number}: {made}")
        if not whole:
            broken.append(f"{path}:{len(lines) + 1}: longer than 32 MB; the rest was not read")
    if broken and not entries:
        raise LogError(
            f"{broken[0]}; no line can be read. Name a log that `assistant ask --log FILE` keeps, "
            "or a list with one question a line"
        )
    return Read(entries=tuple(entries), broken=tuple(broken))


def _lines(path: Path) -> tuple[list[bytes], bool]:
    """The lines of a file, and whether these are all of them."""
    try:
        # Opened like this, a named pipe or a device is looked at before anything is read from it.
        handle = os.open(path, os.O_RDONLY | _AS_IT_STANDS)
        with os.fdopen(handle, "rb") as stream:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise LogError(f"cannot read {path}: it is no plain file; name a log")
            data = stream.read(_MOST_READ + 1)
    except IsADirectoryError as error:
        raise LogError(f"{path} is a folder; name the log in it") from error
    except OSError as error:
        raise LogError(
            f"cannot read {path}: {error.strerror or error}; "
            "`assistant ask --log FILE` keeps a log of questions"
        ) from error
    lines = data.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    whole = len(data) <= _MOST_READ
    return (lines if whole else lines[:-1]), whole


def _question(line: bytes) -> Entry | str:
    try:
        text = line[:_LONGEST_LINE].decode("utf-8")
    except UnicodeDecodeError:
        return "not UTF-8 text; save the list as UTF-8"
    entry = Entry(asked="", question=text, kind="", verdict="")
    return entry if any(c.isalnum() for c in text) else "no question in it"


def _entry(line: bytes) -> Entry | str:
    """The entry of a line of a log, or what is wrong with the line."""
    if len(line) > _LONGEST_LINE:
        return "longer than any line of a log"
    try:
        entry = msgspec.json.decode(line, type=Entry)
    except msgspec.ValidationError as error:
        return f"no line of a log: {_plain(str(error))}"
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return "no line of a log, which has one JSON object a line"
    if not any(c.isalnum() for c in entry.question):
        return "no question in it"
    if entry.verdict not in _VERDICTS:
        return f'"{_plain(entry.verdict)}" is no verdict'
    try:
        datetime.date.fromisoformat(entry.asked)
    except ValueError:
        return f'"{_plain(entry.asked)}" is no date; expected one like 2026-10-06'
    return msgspec.structs.replace(entry, kind=_plain(entry.kind)[:40])


def _plain(text: str) -> str:
    """A text as one line without control characters, cut at 500 characters."""
    flat = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return flat if len(flat) <= LONGEST_QUESTION else flat[: LONGEST_QUESTION - 1] + "…"
