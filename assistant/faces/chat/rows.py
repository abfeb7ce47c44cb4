"""What the chat says, as rows with a meaning; how a row looks is decided where it is printed."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Literal

import msgspec

Style = Literal["head", "urgent", "stop", "text", "small", "asked", "copy"]

# No meaning rests on these: every urgent row says URGENT and every stop row says STOP. Bold and
# reverse stand out on light and dark backgrounds alike.
_MARKS: dict[Style, tuple[str, str]] = {
    "head": ("\x1b[1m", "\x1b[1m"),
    "urgent": ("\x1b[1;7m", "\x1b[1;7;31m"),
    "stop": ("\x1b[1m", "\x1b[1;31m"),
    "text": ("", ""),
    "small": ("", ""),
    "asked": ("", ""),
    "copy": ("", ""),
}
_INDENT: dict[Style, str] = {"text": "  ", "stop": "  ", "small": "  "}
NARROWEST = 30


class Row(msgspec.Struct, frozen=True):
    """One line of a reply before it is wrapped."""

    style: Style
    text: str


class Reply(msgspec.Struct, frozen=True):
    """What one line got: rows to print, and whether the chat is over."""

    rows: tuple[Row, ...] = ()
    leave: bool = False


def _harmless(text: str) -> str:
    """Text that no terminal takes for a command, whatever was pasted."""
    return "".join(c if c.isprintable() else " " for c in text)


def said(*texts: str, head: str = "") -> Reply:
    """A reply of a headline and plain rows."""
    rows = [Row("head", head)] if head else []
    return Reply((*rows, *(Row("text", text) for text in texts)))


def printed(rows: Sequence[Row], width: int, marks: bool = False, color: bool = False) -> str:
    """Rows as text of at most `width` columns a line, with terminal marks where they are wanted."""
    out = []
    for row in rows:
        if row.style == "copy":  # the terminal wraps it, so that no line break gets into the paste
            out.append(_harmless(row.text))
            continue
        indent = _INDENT.get(row.style, "")
        lines = textwrap.wrap(
            _harmless(row.text),
            width=max(width, NARROWEST),
            initial_indent=indent,
            subsequent_indent=indent + ("  " if indent else ""),
            break_on_hyphens=False,
        ) or [""]
        mark = _MARKS[row.style][1 if color else 0] if marks else ""
        out += [f"{mark}{line}\x1b[0m" if mark else line for line in lines]
    return "".join(f"{line}\n" for line in out)
