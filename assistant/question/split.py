"""A text -> the questions in it, in order, each with the statements that lead up to it."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from assistant.retrieval.words import Token, tokens

MOST = 12
# What links a second question to the first. "Or" does not: what stands behind it is the other half
# of the same question ("Can I freeze it or does it turn to mush?").
_LINKS = frozenset({"and", "also", "plus", "then", "&"})
_ROUGHLY = frozenset({"roughly", "about", "exactly", "approximately"})
# "…, which is my mother's": no question.
_RELATIVE = frozenset({"which", "who", "where"})
_TOLD = frozenset(
    {"is", "was", "are", "were", "has", "had", "means", "i", "we", "he", "she", "they"}
)
# What may stand before a question's first word.
_SKIPPED = _ROUGHLY | {
    "and", "also", "but", "so", "ok", "okay", "hi", "hello", "hey", "plus", "or", "then", "please",
    "sorry", "thanks", "well", "oh",
}  # fmt: skip
# "Also calories, please" asks without a question's first word or mark.
_MORE = frozenset({"also", "plus", "and"})
_PLEASE = frozenset({"please", "pls", "plz"})
_SHORT = 6
_BARE = 4
_AMOUNTS = (["how", "much"], ["how", "many"])
_HOW = frozenset({"much", "many", "long", "hot", "big", "often"})
# How a question begins that only goes on with the one before it ("The broth or the sauce?").
_GOING_ON = frozenset({"the", "a", "an", "or", "like"})

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
    for sentence, numbered in _sentences(text):
        for piece in _joined(sentence, openers):
            if not tokens(piece):
                continue
            if made and not waiting and not numbered and _goes_on(piece, openers):
                made[-1] = _together([made[-1], piece])
                continue
            waiting.append(piece)
            asking = numbered or asks(piece, openers)
            if asking or (statements and _opens(piece, statements)):
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


def _sentences(text: str) -> list[tuple[str, bool]]:
    """The sentences of a text, and whether each is an item of a numbered list."""
    parts = _END.split(text)
    # One number alone is a step or a date; two or more are a list.
    listed = sum(len(_NUMBERED.findall(part)) for part in parts) > 1
    found: list[tuple[str, bool]] = []
    for part in parts:
        marks = list(_NUMBERED.finditer(part))
        if not listed and not (marks and marks[0].start() == 0):
            found.append((part, False))
            continue
        at = 0
        for mark in marks:
            found.append((part[at : mark.start()], at > 0))
            at = mark.end()
        found.append((part[at:], at > 0))
    stripped = [(part.strip(" ,;-–•*"), numbered) for part, numbered in found]
    return [(part, numbered) for part, numbered in stripped if part]


def _joined(sentence: str, openers: Collection[str]) -> list[str]:
    """ "How much broth for 14 and can I freeze it?" is two questions, "beans and rice" is one."""
    first = tokens(sentence)
    if not first or not _has_opener(sentence, openers):
        return [sentence]
    cuts: list[tuple[int, int]] = []
    for place, token in enumerate(first):
        whether = token.text == "whether" and first[place - 1].text in _LINKS
        if place < 3 or (token.text not in openers and not whether):
            continue
        start = place - 1 if first[place - 1].text in _ROUGHLY else place
        linked = first[start - 1].text in _LINKS
        after = first[place + 1].text if place + 1 < len(first) else ""
        told = token.text in _RELATIVE and after in _TOLD
        if told and not (linked and sentence.rstrip().endswith("?")):
            continue
        if not linked and not (token.after_break and place > 3):
            continue
        asked = start
        # "How many calories and how much sodium in the chili?" is one question.
        if place <= _BARE and [t.text for t in first[place : place + 2]] in _AMOUNTS:
            continue
        while start and first[start - 1].text in _LINKS:
            start -= 1
        if start >= 3 and len(first) - place >= (2 if linked else 3):
            cuts.append((first[start - 1].end, first[asked].start))
    pieces, at = [], 0
    for end, start in cuts:
        pieces.append(sentence[at:end])
        at = start
    return [*pieces, sentence[at:]]


def _has_opener(sentence: str, openers: Collection[str]) -> bool:
    return any(token.text in openers for token in tokens(sentence))


def _goes_on(piece: str, openers: Collection[str]) -> bool:
    """Whether a question only goes on with the one before it."""
    words = [token.text for token in tokens(piece)]
    if words[0] not in _GOING_ON or not piece.rstrip(" \"')").endswith("?"):
        return False
    return "or" in words and (words[0] == "or" or not any(word in openers for word in words))


def asks(piece: str, openers: Collection[str]) -> bool:
    """Whether a piece of a text asks: by its mark, or the first word of it or of a clause in it."""
    return piece.rstrip(" \"')").endswith("?") or _opens(piece, openers) or _wants(piece)


def _wants(piece: str) -> bool:
    """ "Also calories pls": a short wish that goes on from a question."""
    words = [token.text for token in tokens(piece)]
    if len(words) > 1 and len(words) <= _BARE and words[0] in _MORE and words[1] == "for":
        return True  # "And for the zucchini"
    return len(words) <= _SHORT and words[0] in _MORE and not _PLEASE.isdisjoint(words)


def _begins_clause(piece: str, found: Sequence[Token], place: int) -> bool:
    between = piece[found[place - 1].end : found[place].start].strip()
    return found[place].after_break or between in {"-", "–"}


def _opens(piece: str, openers: Collection[str]) -> bool:
    """Whether one of the words stands at the beginning of a piece or of a clause in it, a greeting
    or an "and" let pass: "Two things: what goes with the cod"."""
    found = tokens(piece)
    for place, token in enumerate(found):
        if place and not _begins_clause(piece, found, place):
            # "… how many calories" asks wherever it stands.
            if token.text == "how" and {t.text for t in found[place + 1 : place + 2]} & _HOW:
                return True
            continue
        ahead = found[place : place + 4]
        while ahead and ahead[0].text in _SKIPPED:
            ahead = ahead[1:]
        if not ahead or ahead[0].text not in openers:
            continue
        after = next((t.text for t in found[found.index(ahead[0]) + 1 :]), "")
        if not place or ahead[0].text not in _RELATIVE or after not in _TOLD:
            return True
    return False
