"""A page as HTML or Markdown, and a file that is whole or not there."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from pathlib import Path
from typing import Any, Literal

import msgspec

from assistant.faces.handout.changes import HandoutError
from assistant.faces.handout.page import Page

Form = Literal["html", "markdown"]
ENDINGS: dict[str, Form] = {
    ".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown",
}  # fmt: skip
_FOLDER = Path(__file__).parent / "templates"
# A number and its degrees stay on one line.
_DEGREES = re.compile(r"(?<=\d) °(?=[FC]\b)")
_MARKS = "\\`*_[]<>#|~&"


def form_of(out: str, given: str = "") -> Form:
    """The form by `--format`, else by the file's ending. HandoutError where neither tells."""
    if given in {"html", "markdown"}:
        return "html" if given == "html" else "markdown"
    found = ENDINGS.get(Path(out).suffix.lower())
    if found is None:
        raise HandoutError(
            f"--out {out}: its ending tells no form; end it in .html or .md, or give --format"
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
    text = env.get_template(name).render(page=_cleaned(page))
    return _DEGREES.sub("\u00a0°", text) if html else text


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


def write(text: str, out: str) -> Path:
    """Write a whole file or none: beside the target first, then in its place.

    Raises HandoutError, in one line, where that is not possible; what stood there stays.
    """
    path = Path(out)
    if not out or path.is_dir():
        raise HandoutError(f'--out: "{out}" is no file; name one, such as handout.html')
    if path.exists() and not path.is_file():
        raise HandoutError(f"--out {out}: that is no plain file")
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
