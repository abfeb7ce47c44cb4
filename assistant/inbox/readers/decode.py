"""Bytes -> text, whatever the encoding, and text without characters that do harm."""

from __future__ import annotations

import codecs
import re

_BOMS = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Controls but tab and line breaks; bidi overrides, embeddings and isolates; zero-width characters
# (but the joiners that make one emoji of several); the byte order mark; lone surrogates.
_HARM = re.compile(
    "[\x00-\x08\x0b\x0e-\x1f\x7f-\x84\x86-\x9f\u061c\u200b\u200e\u200f\u202a-\u202e\u2060-\u2069"
    "\ufeff\ud800-\udfff\U000e0000-\U000e007f]"
)
# A terminal's control sequences go whole, not only their first character.
_SEQUENCE = re.compile(
    r"\x1b\[[0-?]{0,64}[ -/]{0,16}[@-~]|\x1b\][^\x07\x1b\n]{0,4096}(?:\x07|\x1b\\)|\x1b[@-Z\\-_]"
)
_BREAKS = re.compile("\r\n?|[\x0c\x85\u2028\u2029]")


def decode(raw: bytes) -> tuple[str, str]:
    """Text of any bytes, and a note where they are not UTF-8 throughout. Never raises.

    A mark at the start decides; then UTF-16 without one (every other byte is NUL); then UTF-8; what
    is left is read line by line, each as UTF-8 where it can be and as Windows-1252 where not.
    """
    for mark, name in _BOMS:
        if raw.startswith(mark):
            text = raw[len(mark) :].decode(name, errors="replace")
            return text, "" if name == "utf-8" else f"read as {name.upper()[:6]}"
    head = raw[:4096]
    if len(head) >= 8 and head.count(0) > len(head) // 3:
        even, odd = head[::2].count(0), head[1::2].count(0)
        if max(even, odd) > 8 * min(even, odd):
            return raw.decode(
                "utf-16-le" if odd > even else "utf-16-be", "replace"
            ), "read as UTF-16"
    try:
        return raw.decode("utf-8"), ""
    except UnicodeDecodeError:
        pass
    lines = raw.split(b"\n")
    return "\n".join(_line(line) for line in lines), _mixed(lines)


def _line(line: bytes) -> str:
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        try:
            return line.decode("cp1252")
        except UnicodeDecodeError:
            return line.decode("latin-1")


def _mixed(lines: list[bytes]) -> str:
    odd = other = 0
    for line in lines:
        if line.isascii():
            continue
        try:
            line.decode("utf-8")
            other += 1
        except UnicodeDecodeError:
            odd += 1
    if other:
        return f"mixed encodings: {odd:,} of {odd + other:,} lines read as Windows-1252"
    return "read as Windows-1252"


def harmless(text: str) -> str:
    """`text` without terminal sequences, NULs, controls and right-to-left overrides.

    Line breaks of every kind become `\\n`; tabs stay. Applying it twice changes nothing.
    """
    text = _SEQUENCE.sub("", text) if "\x1b" in text else text
    return _HARM.sub("", _BREAKS.sub("\n", text))


def one_line(text: str, longest: int = 400) -> str:
    """A name, a subject or a reason as one harmless line of at most `longest` characters."""
    flat = " ".join(harmless(text[: longest * 4]).split())
    return flat if len(flat) <= longest else flat[: longest - 1] + "…"
