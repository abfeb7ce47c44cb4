"""What an inbox is made of: messages as read, and what was made of each."""

from __future__ import annotations

import hashlib
from typing import Literal, get_args

import msgspec

from assistant.inbox.terms import Guard

State = Literal[
    "act now", "clinician", "ready", "check", "write",
    "programme", "complaint", "idea", "thanks", "empty",
]  # fmt: skip
STATES: tuple[State, ...] = get_args(State)

# A message longer than this is cut in the middle: its end is kept, since that is where people
# put "one more thing".
HEAD, TAIL = 60_000, 20_000


class Message(msgspec.Struct, frozen=True, kw_only=True):
    """One message as it came: `source` is `file:place`, `received` ISO where it could be read.

    `unreadable` is the reason why nothing could be read; such a message is still counted. `notes`
    say what was done to it (cut, decoded as something else, attachments left out).
    """

    source: str
    id: str = ""
    received: str = ""
    sender: str = ""
    subject: str = ""
    text: str = ""
    notes: tuple[str, ...] = ()
    unreadable: str = ""

    @property
    def key(self) -> str:
        """What a later run knows the message by, wherever it stands then: 16 hex digits."""
        parts = (self.id, self.sender, self.received, self.subject, self.text, self.unreadable)
        joined = "\x1f".join(parts).encode("utf-8", "surrogatepass")
        return hashlib.blake2b(joined, digest_size=8).hexdigest()


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """One question of a message and what the desk made of it."""

    text: str
    kind: str
    verdict: str


class Item(msgspec.Struct, frozen=True, kw_only=True):
    """A message, sorted. `words` are its new words, without quotes and signature.

    `perhaps` says that it may be urgent, though it was not sorted so. `recipe` is the recipe in
    hand (`pinned` where its own words do not name one) and `because` says where it was taken from;
    `terms` are what grouping compares and `guard` what must agree; `group` is the place of the
    first message that asks the same, counted from 1 (0: not grouped yet).
    """

    place: int
    message: Message
    words: str
    state: State
    urgent: bool = False
    medical: bool = False
    perhaps: bool = False
    rules: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    asked: tuple[Asked, ...] = ()
    recipe: str = ""
    pinned: str = ""
    because: str = ""
    terms: tuple[str, ...] = ()
    guard: Guard = Guard("")
    group: int = 0
    notes: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The message's own id, or where it came from."""
        return self.message.id or self.message.source


def cut(text: str) -> tuple[str, str]:
    """A text that is too long without its middle, and a note saying so; else as it is, and ""."""
    if len(text) <= HEAD + TAIL:
        return text, ""
    note = f"cut: {len(text):,} characters, the first {HEAD:,} and the last {TAIL:,} were read"
    return f"{text[:HEAD]}\n[…]\n{text[-TAIL:]}", note
