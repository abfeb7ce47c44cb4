"""The chat on a terminal: a line editor with history, completion and a bar that keeps time."""

from __future__ import annotations

import errno
import os
import shutil
import sys
import threading
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from assistant.faces.chat.commands import COMMANDS
from assistant.faces.chat.complete import Completions, names_of
from assistant.faces.chat.keep import Keep
from assistant.faces.chat.main import width
from assistant.faces.chat.rows import Row, printed
from assistant.faces.chat.session import Session, answered

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import Completion
    from prompt_toolkit.document import Document
    from prompt_toolkit.history import History

_GONE = {errno.EIO, errno.EPIPE, errno.EBADF, errno.ENXIO}
_TICK = 1.0
_PROMPT = "> "


def talk(session: Session, first: Sequence[Row], keep: Keep | None) -> int:
    """Prompt until the user leaves or the terminal is gone. Returns the exit status."""
    try:
        _show(first)
        prompt = _editor(session, keep)
        while True:
            # The bar is drawn anew each second only while something in it moves.
            prompt.refresh_interval = _TICK if session.clock.moves else 0
            try:
                line = prompt.prompt(_PROMPT)
            except KeyboardInterrupt:  # Ctrl-C drops the line
                continue
            except EOFError:  # Ctrl-D leaves; so does a terminal that is gone
                if _there():
                    session.over()
                break
            history = _history(keep)
            if type(prompt.history) is not type(history):
                prompt.history = prompt.default_buffer.history = history
            reply = answered(session, line)
            _show(reply.rows)
            if reply.leave:
                break
    except OSError as error:
        if error.errno not in _GONE:
            raise
        _silence()
    return 0


def _show(rows: Sequence[Row]) -> None:
    columns = shutil.get_terminal_size((80, 24)).columns
    color = not os.environ.get("NO_COLOR")
    sys.stdout.write(printed(rows, width(columns), marks=True, color=color))
    sys.stdout.flush()


def _there() -> bool:
    """Whether the terminal still is there to be read and written."""
    try:
        sys.stdout.write("\r")
        sys.stdout.flush()
    except OSError:
        return False
    return os.isatty(sys.stdin.fileno())


def _silence() -> None:
    """The terminal is gone: keep Python from complaining as it closes its streams."""
    null = os.open(os.devnull, os.O_RDWR)
    for stream in (sys.stdout, sys.stderr):
        try:
            os.dup2(null, stream.fileno())
        except OSError:
            continue


def _history(keep: Keep | None) -> History:
    """The history file, written as each line is entered; in memory where none is to be kept."""
    from prompt_toolkit.history import FileHistory, InMemoryHistory

    if keep is None or not keep.switches.history:
        return InMemoryHistory()
    try:
        keep.prepare()
    except OSError:
        return InMemoryHistory()
    return FileHistory(str(keep.history))


def _editor(session: Session, keep: Keep | None) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.output import ColorDepth
    from prompt_toolkit.shortcuts import CompleteStyle
    from prompt_toolkit.styles import Style

    plain = bool(os.environ.get("NO_COLOR"))
    made: PromptSession[str] = PromptSession(
        history=_history(keep),
        completer=_completer(session),
        complete_while_typing=True,
        complete_style=CompleteStyle.COLUMN,
        reserve_space_for_menu=4,
        bottom_toolbar=lambda: session.bar(shutil.get_terminal_size((80, 24)).columns),
        color_depth=ColorDepth.DEPTH_1_BIT if plain else None,
        style=Style.from_dict({"bottom-toolbar": "reverse"}),
    )

    def ring(app: Any) -> None:
        # A timer that comes up rings once; the prompt and what is typed there stay as they are.
        if session.clock.rang():
            session.clock.heard()
            app.output.bell()

    made.app.before_render += ring
    return made


def _completer(session: Session) -> Any:
    """A completer over the names of the session's corpus, made anew when the corpus changes.

    The names are sorted beside the first prompt, so that no keystroke waits for it.
    """
    from prompt_toolkit.completion import Completer
    from prompt_toolkit.completion import Completion as Made

    words = [c.name for c in COMMANDS]

    class Names(Completer):
        """Commands at the beginning of the line, names anywhere."""

        def __init__(self) -> None:
            self.corpus = session.desk.corpus
            self.found = Completions(())
            threading.Thread(target=self._read, args=(self.corpus,), daemon=True).start()

        def _read(self, corpus: Any) -> None:
            self.found = Completions(names_of(corpus))

        def get_completions(self, document: Document, event: Any) -> Iterable[Completion]:
            if session.desk.corpus is not self.corpus:
                self.corpus = session.desk.corpus
                self._read(self.corpus)
            text = document.text_before_cursor
            if text and " " not in text:
                for word in words:
                    if word.startswith(text.lower()) and word != text.lower():
                        yield Made(word, -len(text))
            for name, length in self.found.of(text):
                yield Made(name, -length)

    return Names()
