"""Questions of the session that the page answers: only what anybody may read."""

from __future__ import annotations

import re

import msgspec

from assistant.answer import Answer, Caution, Source
from assistant.desk import Desk
from assistant.question.understand import Context

_TELLS = frozenset({"computed", "quoted", "partial"})
_LONGEST = 160
_MOST = 8
_MOST_LINES = 2
_ADDRESS = re.compile(r"[^\s@]{1,64}@[^\s@]{1,100}")
_PHONE = re.compile(r"\+?\d[\d\s().-]{6,18}\d")


class Asked(msgspec.Struct, frozen=True):
    """One question with what the desk says of it."""

    question: str
    headline: str
    lines: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]


class Gathered(msgspec.Struct, frozen=True):
    """The questions for the page, and what has to be told of those that are not on it."""

    asked: tuple[Asked, ...]
    said: tuple[str, ...]


def gather(path: str, desk: Desk, context: Context) -> Gathered:
    """Answer the questions of a file (a chat's export, a table, one question a line; `-` is stdin).

    A page goes to everybody: whatever is urgent or medical, and what could not be answered, is
    left out and counted. Raises OSError or ValueError where the file cannot be read.
    """
    from assistant.inbox.readers import read
    from assistant.inbox.readers.forms import Options

    found = read([path], Options())
    asked: dict[str, Asked] = {}
    private = open_ = more = 0
    for message in found.messages:
        for answer in _answers(desk, message.text, context):
            if answer.urgent or answer.medical:
                private += 1
            elif answer.verdict not in _TELLS:
                open_ += 1
            elif answer.headline not in asked:
                if len(asked) == _MOST:
                    more += 1
                    continue
                asked[answer.headline] = _asked(answer)
    said = list(found.said)
    if private:
        said.append(f"{_count(private)} urgent or medical: not put on the page, answer in person")
    if open_:
        said.append(f"{_count(open_)} without an answer of its own: not put on the page")
    if more:
        said.append(f"{_count(more)} more than the {_MOST} that a page has room for: left out")
    return Gathered(tuple(asked.values()), tuple(said))


def _count(number: int) -> str:
    return "1 question is" if number == 1 else f"{number} questions are"


def _answers(desk: Desk, text: str, context: Context) -> tuple[Answer, ...]:
    from assistant.desk import UnusableQuestion

    try:
        return desk.converse(text, context).answers
    except UnusableQuestion:
        return ()


def _asked(answer: Answer) -> Asked:
    lines = tuple(line for line in answer.lines if "  " not in line)[:_MOST_LINES]
    return Asked(_masked(answer.question), answer.headline, lines, answer.cautions, answer.sources)


def _masked(text: str) -> str:
    """The question without addresses and telephone numbers, cut where it goes on and on."""
    text = _PHONE.sub("[number]", _ADDRESS.sub("[address]", text))
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1].rstrip() + "…"
