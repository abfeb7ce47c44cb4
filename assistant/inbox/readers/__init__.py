"""Files of any of the known forms -> messages, in the order of the files and of their places."""

from __future__ import annotations

import hashlib
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from assistant.inbox.message import Message
from assistant.inbox.readers import mail, plain, table
from assistant.inbox.readers.decode import decode, one_line
from assistant.inbox.readers.forms import InboxError, Options, field_for, unreadable

_ENDINGS = {
    ".csv": "csv", ".tsv": "csv", ".jsonl": "jsonl", ".ndjson": "jsonl", ".json": "jsonl",
    ".mbox": "mbox", ".mbx": "mbox", ".eml": "eml",
}  # fmt: skip
_HEADERS = re.compile(
    rb"(?:[A-Za-z][A-Za-z0-9-]{1,40}:[^\n]*\n(?:[ \t][^\n]*\n)*){2,}", re.IGNORECASE
)
_MAIL_HEADERS = re.compile(
    rb"(?im)^(?:from|received|message-id|mime-version|return-path|delivered-to|subject|date):"
)


class Read(NamedTuple):
    """What was read: the messages, and what has to be said of the files."""

    messages: list[Message]
    said: list[str]


def read(paths: Sequence[str], options: Options) -> Read:
    """All messages of all files; `-` is standard input.

    The same file, or the same bytes under another name, is read once, and that is said; so is a
    file without any message. Raises InboxError, before reading any, for one that cannot be opened.
    """
    raws = [(path, _bytes(path)) for path in paths]
    seen: dict[bytes, str] = {}
    names: set[str] = set()
    messages: list[Message] = []
    said: list[str] = []
    for path, raw in raws:
        name = _name(path, names)
        digest = hashlib.blake2b(raw).digest()
        if raw and digest in seen:
            first = seen[digest]
            said.append(
                f"{path}: given twice; it is read once"
                if first == path
                else f"{path}: holds the same as {first}; it is read once"
            )
            continue
        seen[digest] = path
        found = list(read_bytes(raw, name, options, path))
        if not found:
            said.append(f"{path}: no message in it ({'empty file' if not raw else 'only blank'})")
        messages += found
    return Read(messages, said)


def read_bytes(raw: bytes, name: str, options: Options, path: str = "") -> Iterator[Message]:
    """The messages of one file's bytes. `path` gives the ending that hints at the form.

    Whatever the bytes, they are read as something: what no form fits is plain text.
    """
    form = options.format if options.format != "auto" else guess(raw, path or name)
    if form in {"mbox", "eml"}:
        yield from (mail.read_mbox if form == "mbox" else mail.read_eml)(raw, name)
        return
    text, note = decode(raw)
    if form == "auto-text":
        form = _text_form(text, options)
    reader = {
        "csv": table.read,
        "jsonl": plain.read_jsonl,
        "chat": plain.read_chat,
        "text": plain.read_text,
    }[form]
    first = True
    for made in reader(text, name, options):
        if first and note:
            first = False
            yield _noted(made, note)
            continue
        yield made


def _noted(made: Message, note: str) -> Message:
    import msgspec

    return msgspec.structs.replace(made, notes=(*made.notes, f"file {note}"))


def guess(raw: bytes, path: str) -> str:
    """The form of a file by its ending, else by how it begins."""
    ending = Path(path).suffix.lower()
    if ending in _ENDINGS:
        return _ENDINGS[ending]
    head = raw[:8192].lstrip(b"\xef\xbb\xbf\r\n ")
    if re.match(rb"From \S+[^\n]*\d{4}[^\n]*\n", head):
        return "mbox"
    block = _HEADERS.match(head.replace(b"\r\n", b"\n"))
    if block and len(_MAIL_HEADERS.findall(block.group())) >= 2:
        return "eml"
    return "auto-text"


def _text_form(text: str, options: Options) -> str:
    lines = [line for line in text[:40_000].splitlines() if line.strip()]
    if not lines:
        return "text"
    if lines[0].lstrip().startswith(("{", "[{", '["')) or lines[0].strip() == "[":
        return "jsonl"
    if plain.looks_like_chat(lines):
        return "chat"
    # Prose has commas too: a table is known by its first row, which names columns.
    delimiter = options.delimiter or table.guess_delimiter(lines)
    cells = next(iter(table.records(lines[:1], delimiter)), (1, [""], ""))[1]
    named = sum(bool(field_for(cell.strip(), options.words)) for cell in cells)
    if len(cells) >= 2 and (named >= 2 or options.columns or options.delimiter):
        return "csv"
    return "text"


def _bytes(path: str) -> bytes:
    if path == "-":
        return sys.stdin.buffer.read()
    place = Path(path)
    if place.is_dir():
        raise InboxError(f"{path}: a folder; give the files in it, for example {path}/*.eml")
    try:
        return place.read_bytes()
    except OSError as error:
        raise InboxError(
            f"{path}: cannot be read ({error.strerror or error}); nothing was written"
        ) from error


def _name(path: str, names: set[str]) -> str:
    """A file's short name for `source`, different for each file."""
    base = "stdin" if path == "-" else one_line(Path(path).name, 80)
    name, number = base, 1
    while name in names:
        number += 1
        name = f"{base}#{number}"
    names.add(name)
    return name


__all__ = ["InboxError", "Options", "Read", "read", "read_bytes", "unreadable"]
