"""A page as HTML or Markdown, and a file that is whole or not there."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from pathlib import Path
from typing import Any, Literal

import msgspec

from assistant.answer import Source
from assistant.faces.handout.asked import Asked
from assistant.faces.handout.changes import HandoutError
from assistant.faces.handout.page import Page

Form = Literal["html", "markdown"]
ENDINGS: dict[str, Form] = {
    ".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown",
}  # fmt: skip
_FOLDER = Path(__file__).parent / "templates"
# A number and its degrees stay on one line.
_DEGREES = re.compile(r"(?<=\d) °(?=[FC]\b)")
_LARGE, _MIDDLE = 8_700, 10_000
_MARKS = "\\`*_[]<>#|~&"


def form_of(out: str, given: str = "") -> Form:
    """The form by `--format`, else by the file's ending. HandoutError where neither tells."""
    if given in {"html", "markdown"}:
        return "html" if given == "html" else "markdown"
    found = ENDINGS.get(Path(out).suffix.lower())
    if found is None:
        raise HandoutError(
            f"--out {out}: its ending tells no form; end it in .html or .md, or give --format"
            + ("; a browser prints the .html page as a PDF" if out.lower().endswith(".pdf") else "")
        )
    return found


def render(page: Page, form: Form) -> str:
    """The page as text. Whatever stands in the corpus is shown as text, never taken for marks."""
    import jinja2

    html = form == "html"
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER),
        autoescape=html,
        finalize=None if html else _finalize,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    name = "handout.html" if html else "handout.md"
    text = env.get_template(name).render(page=_cleaned(page), size=_size(page))
    return _DEGREES.sub("\u00a0°", text) if html else text


def _size(page: Page) -> str:
    """The print size that brings a page onto two sheets: more text is set smaller, 8 pt at least.

    The limits were found by printing every recipe of the corpus (tests/handout/test_browser.py).
    """
    long = _letters(page)
    return "large" if long < _LARGE else "middle" if long < _MIDDLE else "small"


def _letters(value: Any) -> int:
    if isinstance(value, str):
        return len(value)
    if isinstance(value, tuple):
        return sum(map(_letters, value))
    # Sources are printed once, in the small print, and the plain words not at all.
    if isinstance(value, msgspec.Struct) and not isinstance(value, Source):
        left = {"plain"} | ({"cautions"} if isinstance(value, Asked) else set())
        names = (name for name in value.__struct_fields__ if name not in left)
        return sum(_letters(getattr(value, name)) for name in names)
    return 0


def _cleaned(value: Any) -> Any:
    """The page with every text on one line and without control characters."""
    if isinstance(value, str):
        return " ".join("".join(c if c.isprintable() else " " for c in value).split())
    if isinstance(value, tuple):
        return tuple(_cleaned(one) for one in value)
    if isinstance(value, msgspec.Struct):
        fields = {name: _cleaned(getattr(value, name)) for name in value.__struct_fields__}
        return msgspec.structs.replace(value, **fields)
    return value


def _finalize(value: Any) -> Any:
    """Text that Markdown would take for marks, made plain; runs on everything a template prints."""
    if not isinstance(value, str):
        return value
    text = "".join(f"\\{c}" if c in _MARKS else c for c in value)
    # At the beginning of a line these would open a list, a heading rule or a numbered item.
    if text[:1] in {"-", "+", "="}:
        return f"\\{text}"
    digits = text[: len(text) - len(text.lstrip("0123456789"))]
    after = text[len(digits) : len(digits) + 2]
    if digits and after in {". ", ") "}:
        return f"{digits}\\{text[len(digits) :]}"
    return text


def check_place(out: str) -> None:
    """Raises HandoutError where `out` is no place for a file, before anything is worked out."""
    path = Path(out)
    if not out:
        raise HandoutError("--out: no file is named; name one, such as handout.html")
    if path.is_dir():
        raise HandoutError(f"--out {out}: a folder; name a file in it, such as handout.html")
    if path.exists() and not path.is_file():
        raise HandoutError(f"--out {out}: that is no plain file; name one, such as handout.html")
    if not path.parent.is_dir():
        raise HandoutError(f'--out {out}: there is no folder "{path.parent}"; make it first')


def write(text: str, out: str) -> Path:
    """Write a whole file or none: beside the target first, then in its place.

    Raises HandoutError, in one line, where that is not possible; what stood there stays.
    """
    check_place(out)
    path = Path(out)
    target = path.resolve() if path.is_symlink() else path
    beside = target.with_name(f".{target.name[:80]}.{secrets.token_hex(4)}.tmp")
    try:
        # Opened by number, so that the page gets the permissions any new file gets.
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            beside.replace(target)
        finally:
            with contextlib.suppress(OSError):
                beside.unlink()
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else "") or str(error)
        raise HandoutError(f"--out: cannot write {out}: {reason}") from error
    return target
