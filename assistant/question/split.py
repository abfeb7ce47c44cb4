"""A text -> the questions in it, in order, each with the statements that lead up to it."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from itertools import pairwise

from assistant.retrieval.words import tokens

MOST = 12

# Where a new question or statement begins: after an end mark, on a new line, at a list's number.
_END = re.compile(r"(?<=[?!])\s+|(?<=[a-z0-9)\"'][.])\s+(?=[A-Z\"'])|\s*[\r\n]+\s*")
_NUMBERED = re.compile(r"(?:^|(?<=\s))\(?(?:[1-9]|[a-e])[.)]\s+(?=[A-Za-z])")


def split(text: str, openers: Collection[str], statements: Collection[str] = ()) -> list[str]:
    """The questions of a text, at most twelve; what is over is left with the last.

    Parameters: the text; the words that open a question (vocabulary, "question-openers"); and those
    that make a sentence without a question mark worth answering by itself. A statement belongs to
    the question behind it ("I made the chili on Sunday. Is it still fine?"), at the end to the one
    before it. A text without any question is one question.
    """
    made: list[str] = []
    waiting: list[str] = []
    for sentence in _sentences(text):
        for piece in _joined(sentence, openers):
            if not tokens(piece):
                continue
            waiting.append(piece)
            if _asks(piece, openers) or (statements and _opens(piece, statements)):
                made.append(_together(waiting))
                waiting = []
    if waiting:
        if made:
            made[-1] = _together([made[-1], *waiting])
        else:
            made.append(_together(waiting))
    return made if len(made) <= MOST else [*made[: MOST - 1], _together(made[MOST - 1 :])]


def _together(pieces: Sequence[str]) -> str:
    """Pieces as one text, with a mark between them that no name runs across."""
    return " ".join(p if not p[-1].isalnum() or p is pieces[-1] else f"{p}," for p in pieces)


def _sentences(text: str) -> list[str]:
    found: list[str] = []
    for part in _END.split(text):
        marks = list(_NUMBERED.finditer(part))
        # One number alone is a step or a date; two or more are a list.
        if len(marks) < 2 and not (marks and marks[0].start() == 0):
            found.append(part)
            continue
        starts = [0, *(m.start() for m in marks if m.start()), len(part)]
        pieces = (part[a:b] for a, b in pairwise(starts))
        found += [_NUMBERED.sub("", piece, count=1) for piece in pieces]
    return [part.strip(" ,;-–•*") for part in found if part.strip(" ,;-–•*")]


def _joined(sentence: str, openers: Collection[str]) -> list[str]:
    """ "How much broth for 14 and can I freeze it?" is two questions, "beans and rice" is one."""
    first = tokens(sentence)
    if not first or not _has_opener(sentence, openers):
        return [sentence]
    cuts: list[tuple[int, int]] = []
    for place, token in enumerate(first):
        if place < 3 or token.text not in openers:
            continue
        before = first[place - 1]
        linked = before.text in {"and", "also", "plus", "or", "then"}
        if not linked and not (token.after_break and place > 3):
            continue
        start = place - 1 if linked else place
        while start and first[start - 1].text in {"and", "also", "plus", "or"}:
            start -= 1
        if start >= 3 and len(first) - place >= 3:
            cuts.append((first[start - 1].end, token.start))
    pieces, at = [], 0
    for end, start in cuts:
        pieces.append(sentence[at:end])
        at = start
    return [*pieces, sentence[at:]]


def _has_opener(sentence: str, openers: Collection[str]) -> bool:
    return any(token.text in openers for token in tokens(sentence))


def _asks(piece: str, openers: Collection[str]) -> bool:
    return piece.rstrip(" \"')").endswith("?") or _opens(piece, openers)


def _opens(piece: str, openers: Collection[str]) -> bool:
    """Whether one of the words stands at the beginning, a greeting or an "and" let pass."""
    words = [token.text for token in tokens(piece)[:4]]
    skipped = {"and", "also", "but", "so", "ok", "okay", "hi", "hello", "hey", "plus", "or", "then"}
    while words and words[0] in skipped:
        words.pop(0)
    return bool(words) and words[0] in openers
