"""The questions of a sheet that `assistant sheet` wrote, in either form, and of a plain list."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import msgspec

from assistant.inbox.draft import MARK

_LARGEST = 20_000_000
_BULLET = re.compile(r"\s*(?:[-*+•]|\(?\d{1,3}[.)])\s+")
_ESCAPED = re.compile(r"\\([\\`*_\[\]<>#|~&.+=-])")


class Entry(msgspec.Struct, frozen=True):
    """One question of a sheet: its words, its line, and the topic that it stands under."""

    text: str
    line: int
    topic: str


def read_sheet(path: str) -> list[Entry] | None:
    """The questions of a sheet, None for a file that is none. Raises OSError, and ValueError for a
    web page that is no sheet, whose tags would else be taken for questions."""
    place = Path(path)
    if place.is_dir():
        raise ValueError(f"{path}: a folder; name one file of it")
    if place.stat().st_size > _LARGEST:
        return None
    raw = place.read_bytes()
    text = raw.decode("utf-8", "replace").removeprefix("\ufeff")
    head = text[:4000].lower()
    if "<html" in head or head.lstrip().startswith("<!doctype"):
        found = _Headings(text)
        if not found.marked:
            raise ValueError(
                f"{path}: a web page, but no sheet of `assistant sheet`; "
                "give a sheet, a chat's export, or one question a line"
            )
        return found.entries
    if MARK not in text[:4000]:
        return None
    return _markdown(text)


def plain_line(text: str) -> str:
    """A line of a plain list without its bullet or number; "" for a heading of Markdown."""
    if re.match(r"#{1,6}\s", text):
        return ""
    return _BULLET.sub("", text, count=1).strip()


def _markdown(text: str) -> list[Entry]:
    topic, found = "", []
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("## "):
            topic = _ESCAPED.sub(r"\1", line[3:]).strip()
        elif line.startswith("### "):
            found.append(Entry(_ESCAPED.sub(r"\1", line[4:]).strip(), number, topic))
    return found


class _Headings(HTMLParser):
    """The second and third headings of a page, and whether it bears the sheet's mark."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.entries: list[Entry] = []
        self.marked = MARK in text
        self._topic = ""
        self._open = ""
        self._words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in {"h2", "h3"}:
            self._open, self._words = tag, []

    def handle_endtag(self, tag: str) -> None:
        if tag != self._open:
            return
        words = " ".join("".join(self._words).split())
        if tag == "h2":
            self._topic = words
        elif words:
            self.entries.append(Entry(words, self.getpos()[0], self._topic))
        self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open:
            self._words.append(data)
