"""An answer for a glance, unfolded, and as a short form to paste into a meeting's chat."""

from __future__ import annotations

import textwrap

from assistant.answer import Answer, Caution
from assistant.faces.chat.rows import Row, Style

LINES = 3
# So many characters of lines are a glance; the first line stands whatever its length.
ROOM = 360
COPY = 500
_LEVELS = {"stop": "STOP", "warn": "Caution", "note": "Note"}
_TAKEN = "Taken as:"


def glance(answer: Answer, question: str = "") -> list[Row]:
    """Headline, a few lines, cautions, and what `more` would add.

    Urgent and referred answers are shown whole; a caution of level stop or warn is never folded.
    """
    rows = [Row("asked", f"> {question}")] if question else []
    rows += _head(answer)
    whole = answer.urgent or answer.medical
    lines = _urgent(answer) if answer.urgent else list(answer.lines)
    shown = lines if whole else _at_a_glance(lines)
    rows += [Row("text", line) for line in shown]
    folded = [c for c in answer.cautions if c.level == "note" and not whole]
    rows += [_caution(c) for c in answer.cautions if c not in folded]
    rest = _rest(len(lines) - len(shown), len(folded), answer)
    if rest:
        rows.append(Row("small", f"more: {rest}"))
    return rows


def _at_a_glance(lines: list[str]) -> list[str]:
    """What was taken as settled, and the first lines as far as they can be read at a glance."""
    taken = lines[:1] if lines[:1] and _taken(lines[0]) else []
    shown: list[str] = []
    for line in lines[len(taken) : len(taken) + LINES]:
        if shown and sum(map(len, shown)) + len(line) > ROOM:
            break
        shown.append(line)
    return [*taken, *shown]


def _urgent(answer: Answer) -> list[str]:
    """What to do now, without what was taken as settled: every word there is one too many."""
    return [line for line in answer.lines if not _taken(line)]


def _taken(line: str) -> bool:
    return line.startswith(_TAKEN)


def _head(answer: Answer) -> list[Row]:
    if answer.urgent:
        return [Row("urgent", f"URGENT. {answer.headline}")]
    return [Row("head", answer.headline)]


def _caution(caution: Caution) -> Row:
    style: Style = "stop" if caution.level == "stop" else "text"
    return Row(style, f"{_LEVELS[caution.level]}: {caution.text}")


def _rest(lines: int, notes: int, answer: Answer) -> str:
    parts = []
    if lines > 0:
        parts.append(_count(lines, "line"))
    if notes:
        parts.append(_count(notes, "note"))
    if any(figure.working for figure in answer.figures):
        parts.append("the working")
    if answer.sources:
        parts.append(_count(len(answer.sources), "source"))
    return ", ".join(parts)


def _count(number: int, name: str) -> str:
    return f"{number} {name}" if number == 1 else f"{number} {name}s"


def unfolded(answer: Answer) -> list[Row]:
    """Everything: all lines and cautions with their sources, the working, the sources."""
    rows = _head(answer)
    rows += [Row("text", line) for line in answer.lines]
    for c in answer.cautions:
        row = _caution(c)
        rows.append(Row(row.style, f"{row.text} [{c.source}]"))
    if any(figure.working for figure in answer.figures):
        rows.append(Row("text", "Working:"))
        for figure in answer.figures:
            exact = figure.exact if figure.exact != figure.shown else ""
            rows.append(Row("text", f"{figure.name}: {figure.shown}{exact and f' ({exact})'}"))
            rows += [Row("text", f"- {line}") for line in figure.working]
    if answer.sources:
        rows.append(Row("text", "Sources:"))
        rows += [Row("text", f"- {source.title} ({source.where})") for source in answer.sources]
    return rows


def copied(answer: Answer) -> str:
    """The answer in fewer than 500 characters, cautions included, for a meeting's chat.

    The headline and the gravest caution always stand whole as far as 500 characters reach; then
    the other cautions, then the lines, each whole or not at all.
    """
    head = f"URGENT. {answer.headline}" if answer.urgent else answer.headline
    cautions = [f"{_LEVELS[c.level]}: {c.text}" for c in answer.cautions]
    kept: list[str] = []
    room = COPY - 1 - len(head)
    for text in cautions:
        if len(text) + 1 <= room:
            kept.append(text)
            room -= len(text) + 1
        elif not kept:
            kept.append(textwrap.shorten(text, max(room - 1, 40), placeholder=" …"))
            room = 0
    lines: list[str] = []
    told = _urgent(answer) if answer.urgent or answer.medical else _urgent(answer)[:2]
    for line in told:
        if len(line) + 1 > room:
            break
        lines.append(line)
        room -= len(line) + 1
    return "\n".join([head, *lines, *kept])[: COPY - 1]
