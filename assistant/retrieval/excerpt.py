"""The sentences of a Markdown text that answer a question best, as plain text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from assistant.retrieval.words import stem, stop_words, tokens

MOST_SENTENCES = 3
GAP = " … "

_BLANK = re.compile(r"^[ \t]*$")
_HEADING = re.compile(r"^ {0,3}#{1,6}(?:[ \t]|$)")
_UNDERLINE = re.compile(r"^ {0,3}(?:=+|-+|\*{3,}|_{3,}|(?:[*_-] ){2,}[*_-])[ \t]*$")
_FENCE = re.compile(r"^ {0,3}(?:```|~~~)")
_ITEM = re.compile(r"^[ \t]*(?:[-*+]|\d{1,3}[.)])[ \t]+")
_QUOTE = re.compile(r"^(?:[ \t]*>)+[ \t]?")
_TABLE = re.compile(r"^[ \t]*\|")
_LINK = re.compile(r"!?\[([^\[\]]*)\](?:\([^()\s]*\)|\[[^\[\]]*\])")
_ADDRESS = re.compile(r"<(https?:[^<>\s]*)>")
_MARKS = re.compile(r"\*{1,3}(?=\S)|(?<=\S)\*{1,3}|(?<!\w)_{1,3}(?=\S)|(?<=\S)_{1,3}(?!\w)|`+|~~")
_ESCAPE = re.compile(r"\\([\\`*_{}\[\]()#+\-.!~>|])")
_HIDDEN = re.compile("\x00")
_SPACE = re.compile(r"\s+")
_END = re.compile(r"[.!?…][\"'”’)\]]{0,3}(?=\s)")
# A full stop after these ends no sentence, unless the text ends there.
# fmt: off
_SHORT = frozenset((
    "e.g", "i.e", "approx", "ca", "vs", "etc", "no", "fig", "sec", "dr", "mr", "mrs", "ms", "st",
    "lb", "lbs", "oz", "tsp", "tbsp", "pt", "qt", "gal", "min", "hr", "hrs", "in", "pp", "ed",
    "u.s", "a.m", "p.m", "cf", "incl", "max", "temp",
))
# fmt: on


def _plain(text: str) -> str:
    """One line of text without Markdown's marks."""
    text = _LINK.sub(r"\1", text)
    text = _ADDRESS.sub(r"\1", text)
    # Escaped marks are hidden from the mark-stripping and come back as themselves.
    kept: list[str] = []

    def hide(match: re.Match[str]) -> str:
        kept.append(match.group(1))
        return "\x00"

    text = _MARKS.sub("", _ESCAPE.sub(hide, text.replace("\x00", " ")))
    back = iter(kept)
    text = _HIDDEN.sub(lambda _: next(back), text)
    return _SPACE.sub(" ", text).strip()


def _blocks(text: str) -> list[str]:
    """Paragraphs and list items, each on one line; without headings, rules, tables and code."""
    blocks: list[list[str]] = [[]]
    fenced = False
    for line in text.splitlines():
        if _FENCE.match(line):
            fenced = not fenced
            blocks.append([])
            continue
        if fenced:
            continue
        line = _QUOTE.sub("", line)
        if _UNDERLINE.match(line) and blocks[-1] and set(line.strip()) <= {"=", "-"}:
            blocks[-1] = []  # the lines before were a heading
            continue
        if _BLANK.match(line) or _HEADING.match(line) or _TABLE.match(line):
            blocks.append([])
            continue
        if _UNDERLINE.match(line):
            blocks.append([])
            continue
        item = _ITEM.match(line)
        if item:
            blocks.append([line[item.end() :]])
        else:
            blocks[-1].append(line)
    return [plain for block in blocks if (plain := _plain(" ".join(block)))]


def sentences(text: str) -> list[str]:
    """The sentences of a Markdown text in order, plain. A list item is cut no further than others.

    A full stop ends a sentence when a space follows, unless it closes a short form ("oz.",
    "approx.") or a small letter follows.
    """
    found: list[str] = []
    for block in _blocks(text):
        start = 0
        for match in _END.finditer(block):
            rest = match.end() + 1
            last = block[start : match.start()].rsplit(" ", 1)[-1].lower().lstrip("(\"'“‘")
            if block[match.start()] == "." and last in _SHORT:
                continue
            if rest < len(block) and block[rest].islower():
                continue
            found.append(block[start : match.end()])
            start = rest
        if start < len(block):
            found.append(block[start:])
    return found


def _keys(words: Iterable[str]) -> set[str]:
    stop = stop_words()
    return {stem(token.text) for word in words for token in tokens(word) if token.text not in stop}


def excerpt(text: str, words: Sequence[str], limit: int = 320, first: bool = False) -> str:
    """One to three whole sentences of a Markdown `text` that say most about `words`.

    The text's first sentence leads when it holds one of the words or `first` says that it must,
    otherwise the sentence that holds most of them (the earlier of equals); others join, in the
    order of the text, while each adds a word and all fit into `limit` characters. Left-out
    sentences between are marked "…". With no word in the text the first sentence comes back. A
    sentence is never cut: one that is longer than `limit` comes alone and whole, since half a
    safety rule says something else.
    A text without prose gives "".
    """
    all_sentences = sentences(text)
    if not all_sentences:
        return ""
    asked = _keys(words)
    held = [_keys([sentence]) & asked for sentence in all_sentences]
    lead = 0 if held[0] or first else max(range(len(held)), key=lambda n: (len(held[n]), -n))
    chosen = [lead]
    seen = set(held[lead])
    while len(chosen) < MOST_SENTENCES:
        fitting = [
            n
            for n in range(len(held))
            if held[n] - seen and len(_join(all_sentences, [*chosen, n])) <= limit
        ]
        if not fitting:
            break
        best = max(fitting, key=lambda n: (len(held[n] - seen), -n))
        chosen.append(best)
        seen |= held[best]
    return _join(all_sentences, chosen)


def _join(all_sentences: Sequence[str], chosen: Iterable[int]) -> str:
    text = ""
    last = -1
    for number in sorted(chosen):
        if last >= 0:
            text += " " if number == last + 1 else GAP
        text += all_sentences[number]
        last = number
    return text
