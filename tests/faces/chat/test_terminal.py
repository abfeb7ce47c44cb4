"""The real program in a pseudo-terminal, as the cook sees it."""

from __future__ import annotations

import codecs
import contextlib
import os
import re
import select
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_fixture import ROOT

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no pseudo-terminal")

_ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[()][A-Z0-9]|\x1b[=>]|\x07|\r")
# A stop for a test that went wrong; nothing that works waits by the clock.
_WAIT = 120.0
# The question where the cursor is, which a terminal answers by itself, and an answer.
_WHERE, _HERE = "\x1b[6n", b"\x1b[1;1R"


class Window:
    """The program in a terminal of so many columns."""

    def __init__(self, data: Path, columns: int = 80, **environment: str) -> None:
        import pty

        main, side = pty.openpty()
        self.fd = main
        self.seen = ""
        # A character or a sequence may come in two pieces.
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._all = ""
        self._size(columns)
        variables = {
            **os.environ,
            "TERM": "xterm-256color",
            "ASSISTANT_DATA": str(data),
            **environment,
        }
        if "NO_COLOR" not in environment:
            variables.pop("NO_COLOR", None)
        command = [sys.executable, "-m", "assistant", "chat", "--recipe", "red-lentil-soup"]
        self.process = subprocess.Popen(
            command, stdin=side, stdout=side, stderr=side, cwd=ROOT, env=variables,
            start_new_session=True,
        )  # fmt: skip
        os.close(side)

    def _size(self, columns: int) -> None:
        import fcntl
        import termios

        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))

    def resize(self, columns: int) -> None:
        """Make the window so wide, as a user who drags its corner does."""
        self._size(columns)
        self.process.send_signal(signal.SIGWINCH)

    def type(self, text: str) -> None:
        """Type into the terminal."""
        os.write(self.fd, text.encode())

    def until(self, text: str) -> str:
        """Read until a text has been shown; what was shown up to its end since the last call.

        What came behind it is kept for the next call, since a busy machine sends it all at once.
        """
        end = time.monotonic() + _WAIT
        while text not in self.plain:
            if time.monotonic() > end:
                raise AssertionError(f"never shown: {text!r}\n{self.plain}")
            if not self._read():
                raise AssertionError(f"ended without {text!r}\n{self.plain}")
        cut = _behind(self.seen, text)
        shown, self.seen = self.seen[:cut], self.seen[cut:]
        return shown

    def _read(self) -> bool:
        if not select.select([self.fd], [], [], 0.2)[0]:
            return True
        try:
            raw = os.read(self.fd, 65536)
        except OSError:
            return False
        self.seen += self._decoder.decode(raw)
        self._all = self._all[-len(_WHERE) + 1 :] + raw.decode("ascii", "replace")
        for _ in range(self._all.count(_WHERE)):
            os.write(self.fd, _HERE)
        return bool(raw)

    @property
    def plain(self) -> str:
        """What was shown, without the terminal's own sequences."""
        return _ESCAPE.sub("", self.seen)

    def ended(self) -> int:
        """The exit status once the program is over."""
        end = time.monotonic() + _WAIT
        while self.process.poll() is None and time.monotonic() < end:
            with contextlib.suppress(OSError):
                self._read()
        return self.process.wait(timeout=_WAIT)


def _behind(raw: str, text: str) -> int:
    """Where in what was sent the first showing of a text ends."""
    plain = _ESCAPE.sub("", raw)
    left = plain.index(text) + len(text)
    at = 0
    for found in _ESCAPE.finditer(raw):
        if found.start() - at >= left:
            break
        left -= found.start() - at
        at = found.end()
    return at + left


@pytest.fixture(name="data")
def _data(tmp_path: Path) -> Path:
    return tmp_path / "data"


@contextlib.contextmanager
def _window(data: Path, columns: int = 80, **environment: str) -> Iterator[Window]:
    window = Window(data, columns, **environment)
    try:
        yield window
    finally:
        if window.process.poll() is None:
            window.process.kill()
            window.process.wait()
        with contextlib.suppress(OSError):
            os.close(window.fd)


@pytest.mark.parametrize("columns", [60, 80, 120])
def test_a_question_is_answered_within_the_window(data: Path, columns: int) -> None:
    """The answer comes up, no printed line is wider than the window, the bar shows the recipe."""
    with _window(data, columns) as window:
        window.until("Red lentil soup | help")
        window.type("how much broth for 14?\r")
        shown = window.until("more: ")
        plain = _ESCAPE.sub("", shown)
        answer = plain[plain.index("For 14:") :]
        assert "14 cups" in answer
        assert all(len(line) <= columns for line in answer.splitlines())
        window.type("leave\r")
        assert window.ended() == 0


def test_control_c_clears_the_line_and_control_d_leaves(data: Path) -> None:
    """A dropped line is not asked; the end of input is the end of the chat, with status 0."""
    with _window(data) as window:
        window.until("| help")
        window.type("how much broth for 999")
        window.until("999")
        window.type("\x03")
        window.type("servings 14\r")
        window.until("Red lentil soup for 14.")
        window.until("| help")
        window.type("\x04")
        assert window.ended() == 0
    history = (data / "history").read_text(encoding="utf-8")
    assert "+servings 14" in history
    assert "999" not in history


def test_history_is_written_as_it_goes_and_found_again(data: Path) -> None:
    """The program is killed; what was typed is there for the next one to search."""
    with _window(data) as window:
        window.until("| help")
        window.type("how much cumin for 20?\r")
        window.until("more: ")
        window.process.kill()
    with _window(data) as window:
        window.until("| help")
        window.type("\x12cumin")
        window.until("how much cumin for 20?")


def test_a_closed_terminal_ends_the_chat_quietly(data: Path) -> None:
    """When the window is closed the program goes, without a traceback anywhere."""
    with _window(data) as window:
        window.until("| help")
        os.close(window.fd)
        window.fd = os.open(os.devnull, os.O_RDWR)
        window.process.send_signal(signal.SIGHUP)
        assert window.process.wait(timeout=_WAIT) in {0, 1, -signal.SIGHUP}


def test_a_resize_redraws_and_later_answers_fit(data: Path) -> None:
    """The bar is drawn again and the next answer is wrapped to the new width."""
    with _window(data, 120) as window:
        window.until("| help")
        window.resize(60)
        window.until("Red lentil soup")
        window.type("how much broth for 14?\r")
        plain = _ESCAPE.sub("", window.until("more: "))
        answer = plain[plain.index("For 14:") :]
        assert all(len(line) <= 60 for line in answer.splitlines())


def test_no_color_means_no_color(data: Path) -> None:
    """With NO_COLOR an urgent answer stands out by its word and reverse, never by a color."""
    with _window(data, NO_COLOR="1") as window:
        window.until("| help")
        window.type("someone ate the soup and cannot breathe\r")
        shown = window.until("URGENT.")
        assert not re.search(r"\x1b\[[0-9;]*3[0-9]m", shown[shown.index("URGENT") - 12 :])


def test_a_dumb_terminal_gets_plain_lines(data: Path) -> None:
    """TERM=dumb: a plain prompt, no escape sequence at all."""
    with _window(data, TERM="dumb") as window:
        window.until("> ")
        window.type("how much broth for 14?\n")
        shown = window.until("more: ")
        assert "\x1b" not in shown
        assert "14 cups" in shown
        window.type("how much broth for 999\x03")
        window.type("servings 20\n")
        window.until("Red lentil soup for 20.")
        window.type("\x04")
        assert window.ended() == 0


def test_a_timer_rings_without_taking_the_prompt(data: Path) -> None:
    """What is half typed stays; the bar rings and the bell sounds once."""
    with _window(data) as window:
        window.until("| help")
        window.type("timer 2 s egg\r")
        window.until("Timer egg")
        window.type("how much bro")
        shown = window.until("TIMER egg RINGS")
        assert shown.count("\x07") == 1
        window.type("th for 14?\r")
        shown = window.until("more: ")
        assert "14 cups" in _ESCAPE.sub("", shown)
        assert "\x07" not in shown


def test_a_pasted_transcript_is_one_line_of_input(data: Path) -> None:
    """A bracketed paste of many lines waits for Enter; then each message is answered."""
    with _window(data) as window:
        window.until("| help")
        window.type("\x1b[200~12:01 Ana: how much broth for 14?\r12:02 Kim: thanks!\x1b[201~")
        window.until("thanks!")
        window.type("\r")
        window.until("For 14: 14 cups")
        window.until("1 line asks nothing")
        window.type("leave\r")
        assert window.ended() == 0


def test_names_complete_while_typing(data: Path) -> None:
    """The menu shows names that the last word begins; Tab puts the first one in."""
    with _window(data) as window:
        window.until("| help")
        window.type("how much low-sodium vege")
        window.until("low-sodium vegetable broth")
        window.type("\t")
        window.type(" for 14?\r")
        window.until("For 14: 14 cups")


def test_a_resize_leaves_alone_what_is_half_typed(data: Path) -> None:
    """The window shrinks in the middle of a question, which is asked whole."""
    with _window(data, 120) as window:
        window.until("| help")
        window.type("how much bro")
        window.until("bro")
        window.resize(60)
        window.type("th for 14?\r")
        window.until("For 14: 14 cups")


def test_a_closed_terminal_keeps_the_history(data: Path) -> None:
    """The window is closed after a question: the question is in the history."""
    with _window(data) as window:
        window.until("| help")
        window.type("how much cumin for 20?\r")
        window.until("more: ")
        window.process.send_signal(signal.SIGHUP)
        os.close(window.fd)
        window.fd = os.open(os.devnull, os.O_RDWR)
        window.process.wait(timeout=_WAIT)
    assert "+how much cumin for 20?" in (data / "history").read_text(encoding="utf-8")


def test_a_new_window_takes_up_the_clock_and_the_timers(data: Path) -> None:
    """The program is killed with a timer running; the next one has it. After Ctrl-D it is gone."""
    with _window(data) as window:
        window.until("| help")
        window.type("timer 90 min stock\r")
        window.until("Timer stock")
        window.until("stock 1:")
        window.process.kill()
    with _window(data) as window:
        window.until("Taken up again: Red lentil soup; timer stock, 1:")
        window.until("stock 1:")
        window.type("\x04")
        assert window.ended() == 0
    assert not (data / "left.json").exists()
