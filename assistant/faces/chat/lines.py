"""The chat line by line, without a line editor: piped input, and terminals that can do no more."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Sequence

from assistant.faces.chat.main import width
from assistant.faces.chat.rows import Row, printed
from assistant.faces.chat.session import Session, answered

_LONGEST_LINE = 1_000_000


def talk(session: Session, first: Sequence[Row], prompt: str = "") -> int:
    """Answer each line of standard input until it ends. Returns the exit status.

    Without a prompt each line is printed before its answer, so that the output reads as a session.
    """
    if prompt:
        _write(first)
    while True:
        if prompt:
            sys.stdout.write(prompt)
            sys.stdout.flush()
        try:
            raw = sys.stdin.buffer.readline(_LONGEST_LINE)
        except KeyboardInterrupt:
            if not prompt:
                raise
            sys.stdout.write("\n")  # Ctrl-C drops the line here too
            continue
        if not raw:
            break
        line = raw.decode("utf-8", errors="replace").lstrip("\ufeff").strip()
        if not line:
            continue
        if not prompt:
            _write([Row("asked", f"> {''.join(c for c in line if c.isprintable())}")])
        reply = answered(session, line)
        _write(reply.rows)
        if reply.leave:
            break
        if not prompt:
            sys.stdout.write("\n")
        sys.stdout.flush()
    return 0


def _write(rows: Sequence[Row]) -> None:
    columns = shutil.get_terminal_size((80, 24)).columns
    sys.stdout.write(printed(rows, width(columns)))
