"""Questions of the session that the page answers: only what anybody may read.

A page goes to everybody. So nobody is named on it, and what is urgent, medical, or tells of
somebody's health is left out, counted, and answered in person instead.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import msgspec

from assistant.answer import Answer
from assistant.desk import Desk
from assistant.faces.handout.asked import Asked
from assistant.faces.handout.sheets import plain_line, read_sheet
from assistant.inbox.engine import triage
from assistant.inbox.mask import Masker, masker
from assistant.inbox.message import Item, Message
from assistant.inbox.readers import read
from assistant.inbox.readers.forms import Options, message
from assistant.inbox.sheet import OTHER_TOPICS, PRIVATE_TOPICS
from assistant.inbox.sort import Settings, context_of
from assistant.kinds.shelf import Shelf, capital
from assistant.retrieval.words import fold, tokens

_TELLS = frozenset({"computed", "quoted", "partial"})
_PRIVATE = frozenset({"act now", "clinician"})
_ASKS = frozenset({"ready", "check"})
_LONGEST = 160
_MOST = 6
_MOST_LINES = 1
_LONGEST_LINES = 160
_MASK = re.compile(r"\[(?:name|address|phone|number)\]")
_SENTENCE = re.compile(r"[^.!?]+[.!?]*\s*")
_TAKEN = "Taken as:"


class Gathered(msgspec.Struct, frozen=True):
    """The questions for the page, and what has to be told of those that are not on it."""

    asked: tuple[Asked, ...]
    said: tuple[str, ...]


def gather(path: str, desk: Desk, settings: Settings) -> Gathered:
    """The questions of a file with their answers: a sheet of `assistant sheet`, a chat's export, a
    table of comments, one question a line; `-` is standard input.

    Every answer is worked out anew. Raises OSError or ValueError where the file cannot be read.
    """
    messages, topics, said = _messages(path, desk)
    result = triage(messages, desk, settings)
    hide = masker(desk.corpus, result.items)
    asked: dict[str, Asked] = {}
    left: dict[str, list[str]] = {}
    for item in result.items:
        for one in _sorted_out(item, desk, settings, hide, topics.get(item.message.source, "")):
            if isinstance(one, str):
                left.setdefault(one, []).append(item.message.source)
            elif one.headline not in asked and len(asked) == _MOST:
                left.setdefault(_ROOM, []).append(item.message.source)
            else:
                asked.setdefault(one.headline, one)
    return Gathered(tuple(asked.values()), (*said, *_told(left)))


_PERSONAL = "urgent, medical or about somebody's health; answer in person"
_OPEN = "without an answer of its own"
_OTHER = "no question about food"
_NAMES = "nothing but what names somebody"
_ROOM = f"more than the {_MOST} that the page has room for"


def _told(left: dict[str, list[str]]) -> list[str]:
    """One line for each reason, with the places where the questions stand."""
    said = []
    for reason, places in left.items():
        once = list(dict.fromkeys(places))
        shown = ", ".join(once[:6]) + (f" and {len(once) - 6} more" if len(once) > 6 else "")
        said.append(f"not on the page: {reason} ({len(once)}: {shown})")
    return said


def _messages(path: str, desk: Desk) -> tuple[list[Message], dict[str, str], list[str]]:
    """The messages, the topics of a sheet's by their places, and remarks."""
    entries = None if path == "-" else read_sheet(path)
    if entries is None:
        words = {
            field: desk.corpus.lists[f"inbox-{field}"].words
            for field in ("text", "id", "name", "date", "subject")
            if f"inbox-{field}" in desk.corpus.lists
        }
        found = read([path], Options(words=words))
        kept = [msgspec.structs.replace(m, text=_unlisted(m.text)) for m in found.messages]
        return [m for m in kept if m.text or m.unreadable], {}, found.said
    name = Path(path).name
    made = [message(f"{name}:{entry.line}", text=entry.text) for entry in entries]
    topics = {m.source: entry.topic for entry, m in zip(entries, made, strict=True)}
    return made, topics, [] if made else [f"{path}: a sheet without a question"]


def _unlisted(text: str) -> str:
    return text if "\n" in text.strip() else plain_line(text)


def _sorted_out(
    item: Item, desk: Desk, settings: Settings, hide: Masker, topic: str
) -> list[Asked | str]:
    """What a message gives the page; or the reason why it, or a question of it, is left out.

    `topic` is what a sheet has it under: there it was sorted by all its words, some masked by now.
    """
    if item.state in _PRIVATE or topic in PRIVATE_TOPICS or _of_health(item, desk.shelf):
        return [_PERSONAL]
    masked = hide.text(item.words, item.message.sender)
    named = _MASK.search(masked) is not None
    # Who asks can drown what is asked: such a message is judged by what is left without it.
    if not named and item.state not in _ASKS and (not topic or topic in OTHER_TOPICS):
        return [_OPEN if item.state == "write" else _OTHER]
    text = _anybody(masked) if named else item.words
    if not text:
        return [_NAMES]
    found: list[Asked | str] = []
    for answer in _answers(desk, text, item, settings):
        words = _anybody(hide.text(answer.question, item.message.sender))
        if answer.urgent or answer.medical:
            return [_PERSONAL]
        if answer.verdict not in _TELLS:
            found.append(_OPEN)
        elif not words:
            found.append(_NAMES)
        else:
            found.append(_asked(answer, words))
    return found


def _of_health(item: Item, shelf: Shelf) -> bool:
    """Whether somebody speaks of a health, their own or that of somebody near."""
    have = {fold(token.text).replace("'", "") for token in tokens(item.words)}
    return all(
        have & set(shelf.corpus.lists[name].words)
        for name in ("health-words", "person-words")
        if name in shelf.corpus.lists
    )


def _answers(desk: Desk, text: str, item: Item, settings: Settings) -> Sequence[Answer]:
    from assistant.desk import UnusableQuestion

    try:
        return desk.converse(text, context_of(item, settings)).answers
    except UnusableQuestion:
        return ()


def _asked(answer: Answer, words: str) -> Asked:
    lines: list[str] = []
    for line in answer.lines:
        if line.startswith(_TAKEN):
            continue
        # The first ones tell most: what follows one without room would stand out of its place.
        full = len(lines) == _MOST_LINES or len(" ".join([*lines, line])) > _LONGEST_LINES
        if full or "  " in line:
            break
        lines.append(line)
    words = words if len(words) <= _LONGEST else words[: _LONGEST - 1].rstrip() + "…"
    return Asked(words, answer.headline, tuple(lines), answer.cautions, answer.sources)


def _anybody(text: str) -> str:
    """The question itself, of masked words: without the sentences and clauses that name somebody.

    "" where nothing is left.
    """
    parts = [part.strip() for part in _SENTENCE.findall(" ".join(text.split()))]
    asking = [part for part in parts if part.endswith("?")] or parts
    kept = []
    for part in asking:
        masks = list(_MASK.finditer(part))
        if masks:
            # "this is [name] from billing, can I freeze it?": from the next clause on.
            _, comma, part = part[masks[-1].end() :].partition(",")
            part = part.strip() if comma else ""
        if len(part.split()) > 1:
            kept.append(capital(part))
    return " ".join(kept)
