"""Mails: .eml files and mbox folders -> messages, with their encodings, parts and faults."""

from __future__ import annotations

import email
import email.header
import email.policy
import re
from collections.abc import Iterator
from email.message import Message as Mail

from assistant.inbox.message import Message
from assistant.inbox.readers.decode import decode
from assistant.inbox.readers.forms import message, unreadable
from assistant.inbox.readers.markup import to_text

# Of a mail longer than this the beginning and the end are parsed: attachments make up the rest.
LONGEST_MAIL = 4_000_000
_TAIL = 200_000
_FROM = re.compile(rb"(?:\A|\n)From [^\n]{1,400}\n")
_DEEPEST = 40


def read_mbox(raw: bytes, name: str) -> Iterator[Message]:
    """The mails of an mbox folder: each begins with a `From ` line after an empty line."""
    raw = raw.replace(b"\r\n", b"\n")
    starts = [
        found
        for found in _FROM.finditer(raw)
        if found.start() == 0
        or raw[max(0, found.start() - 1) : found.start() + 1] in {b"\n\n", b"\n"}
    ]
    if not starts:
        yield from read_eml(raw, name)
        return
    ahead = raw[: starts[0].start()].strip()
    if ahead:
        yield unreadable(f"{name}:0", "text before the first mail of the folder", decode(ahead)[0])
    for number, found in enumerate(starts, 1):
        end = starts[number].start() if number < len(starts) else len(raw)
        body = re.sub(rb"(?m)^>(>*From )", rb"\1", raw[found.end() : end])
        yield _mail(body, f"{name}:{number}")


def read_eml(raw: bytes, name: str) -> Iterator[Message]:
    """One mail."""
    if raw.strip():
        yield _mail(raw.replace(b"\r\n", b"\n"), name)


def _mail(raw: bytes, source: str) -> Message:
    notes: list[str] = []
    if len(raw) > LONGEST_MAIL:
        notes.append(
            f"cut: {len(raw):,} bytes, the first {LONGEST_MAIL:,} and the last {_TAIL:,} were read"
        )
        raw = raw[:LONGEST_MAIL] + b"\n" + raw[-_TAIL:]
    if not raw.strip():
        return unreadable(source, "an empty mail")
    try:
        mail = email.message_from_bytes(raw, policy=email.policy.compat32)
    except (RecursionError, ValueError, LookupError, TypeError, AttributeError) as error:
        return _bare(
            raw, source, [*notes, f"broken mail, read as plain text ({type(error).__name__})"]
        )
    if not mail.keys():
        return _bare(raw, source, [*notes, "a mail without headers, read as plain text"])
    texts: list[str] = []
    nested: list[str] = []
    left: list[str] = []
    _walk(mail, texts, nested, left, 0)
    if left:
        named = ", ".join(left[:5]) + (" …" if len(left) > 5 else "")
        notes.append(f"{len(left)} attachment{'s' if len(left) > 1 else ''} left out: {named}")
    text = "\n\n".join(part for part in texts if part.strip())
    if nested:
        # A mail sent on as an attachment stands below a mark, like one sent on inside the text.
        text = "\n\n".join(
            [text, *(f"---------- Forwarded message ----------\n{n}" for n in nested)]
        )
    if any(part.defects for part in mail.walk()):
        notes.append("broken MIME: read as far as it goes")
    return message(
        source,
        text=text,
        id=_head(mail, "Message-ID").strip("<> "),
        received=_head(mail, "Date"),
        sender=_head(mail, "From"),
        subject=_head(mail, "Subject"),
        notes=notes,
    )


def _bare(raw: bytes, source: str, notes: list[str]) -> Message:
    text, note = decode(raw)
    return message(source, text=text, notes=[*notes, *([note] if note else [])])


def _walk(mail: Mail, texts: list[str], nested: list[str], left: list[str], depth: int) -> None:
    """The readable parts of a mail in order; of alternatives the plain one, else the HTML."""
    kind = mail.get_content_type()
    if depth > _DEEPEST:
        left.append("parts nested too deep")
        return
    if kind == "message/rfc822":
        for inner in _parts(mail):
            inside: list[str] = []
            _walk(inner, inside, nested, left, depth + 1)
            head = f"From: {_head(inner, 'From')}\nSubject: {_head(inner, 'Subject')}\n\n"
            nested.append(head + "\n".join(inside))
        return
    if mail.is_multipart():
        parts = _parts(mail)
        if kind == "multipart/alternative":
            chosen = next(
                (p for p in parts if p.get_content_type() == "text/plain" and _text(p).strip()),
                None,
            )
            chosen = chosen or next((p for p in parts if p.get_content_type() == "text/html"), None)
            parts = [chosen] if chosen else parts
        for part in parts:
            _walk(part, texts, nested, left, depth + 1)
        return
    if mail.get_content_disposition() == "attachment" or not kind.startswith("text/"):
        left.append(_file(mail) or kind)
    elif kind in {"text/plain", "text/html"} or not texts:
        texts.append(_text(mail))


def _parts(mail: Mail) -> list[Mail]:
    payload = mail.get_payload()
    return [part for part in payload if isinstance(part, Mail)] if isinstance(payload, list) else []


def _text(part: Mail) -> str:
    try:
        raw = part.get_payload(decode=True)
    except (ValueError, LookupError, TypeError, AttributeError):
        raw = None
    if not isinstance(raw, bytes):
        raw = str(part.get_payload()).encode("utf-8", "replace")
    charset = str(part.get_content_charset("") or "")
    text = ""
    if charset.lower() not in {"", "us-ascii", "ascii", "utf-8", "utf8"}:
        try:
            text = raw.decode(charset)
        except (LookupError, UnicodeError, ValueError):
            text = ""
    text = text or decode(raw)[0]
    return to_text(text[:1_000_000]) if part.get_content_type() == "text/html" else text


def _file(part: Mail) -> str:
    try:
        return str(part.get_filename() or "")[:60]
    except (ValueError, LookupError, TypeError, AttributeError):
        return ""


def _head(mail: Mail, name: str) -> str:
    """A header, its encoded words read. Never raises."""
    value = mail.get(name)
    if value is None:
        return ""
    try:
        pieces = email.header.decode_header(str(value))
    except (ValueError, LookupError, TypeError, AttributeError):
        return str(value)
    made = []
    for piece, charset in pieces:
        if isinstance(piece, str):
            made.append(piece)
            continue
        try:
            made.append(piece.decode(charset or "utf-8"))
        except (LookupError, UnicodeError):
            made.append(decode(piece)[0])
    return " ".join("".join(made).split())
