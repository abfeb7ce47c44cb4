"""How fast the live chat is, in a pseudo-terminal: the first prompt, and a menu of completions.

    python scripts/bench.py --chat

Baselines of the same run: `python -c "import pint, prompt_toolkit"` as a whole process, and the
echo of the same keystroke by the same editor without a name to complete.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TIMES_LARGER = 100
# The editor asks where the cursor is just before it draws, and a terminal answers.
_WHERE, _HERE = b"\x1b[6n", b"\x1b[1;1R"
_WAIT = 60.0
# Words before the last key complete nothing; with it names begin so.
TYPED = (
    ("how much l", "e"),
    ("what instead of the r", "e"),
    ("is the c", "h"),
    ("when does the b", "a"),
)
# The chat with so many times the names of its corpus.
_CHAT = """
import sys
from assistant.faces import cli
from assistant.faces.chat import complete, terminal
names_of = complete.names_of
larger = lambda corpus: [f"{{n}} {{i}}" for i in range({times}) for n in names_of(corpus)]
terminal.names_of = larger
sys.exit(cli.run(["chat"]))
"""


class Window:
    """A program in a terminal of 80 by 24."""

    def __init__(self, arguments: list[str], cache: str) -> None:
        import fcntl
        import pty
        import struct
        import termios

        environment = {
            **os.environ,
            "ASSISTANT_CACHE": cache,
            "ASSISTANT_DATA": cache,
            "TERM": "xterm-256color",
        }
        self.fd, side = pty.openpty()
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.started = time.perf_counter()
        self.process = subprocess.Popen(
            [sys.executable, *arguments],
            stdin=side, stdout=side, stderr=side, cwd=ROOT, env=environment,
        )  # fmt: skip
        os.close(side)
        self.seen = b""

    def until(self, text: bytes, after: bytes = b"") -> float:
        """Read until a text is shown (behind another); the moment at which it was."""
        import select

        end = time.perf_counter() + _WAIT
        while text not in (self.seen.partition(after)[2] if after else self.seen):
            if time.perf_counter() > end or not select.select([self.fd], [], [], _WAIT)[0]:
                raise SystemExit(f"never shown: {text!r} in {self.seen[-400:]!r}")
            got = os.read(self.fd, 65536)
            if _WHERE in got:
                os.write(self.fd, _HERE)
            self.seen += got
        return time.perf_counter()

    def key(self, text: str, shown: bytes) -> float:
        """Seconds from a keystroke until a text is shown."""
        self.seen = b""
        start = time.perf_counter()
        os.write(self.fd, text.encode())
        return self.until(shown) - start

    def settle(self) -> None:
        """Read until nothing more comes."""
        import select

        while select.select([self.fd], [], [], 0.15)[0]:
            got = os.read(self.fd, 65536)
            if _WHERE in got:
                os.write(self.fd, _HERE)


@contextmanager
def window(arguments: list[str], cache: str) -> Iterator[Window]:
    """A program in a terminal, ended afterwards."""
    made = Window(arguments, cache)
    try:
        yield made
    finally:
        made.process.kill()
        made.process.wait()
        os.close(made.fd)


def first_prompt(cache: str) -> float:
    """Seconds from the start of the program until the prompt stands there."""
    with window(["-m", "assistant", "chat"], cache) as made:
        return made.until(b">", after=_WHERE) - made.started


def keystrokes(cache: str, larger: int, rounds: int) -> tuple[list[float], int]:
    """Seconds from the last key to its menu, or to its echo where there are no names; and how many
    names there are."""
    from assistant.corpus.files import corpus_folder
    from assistant.desk import Desk
    from assistant.faces.chat.complete import Completions, names_of

    names = names_of(Desk.open(corpus_folder()).corpus)
    many = Completions(f"{name} {i}" for i in range(larger) for name in names)
    took = []
    with window(["-c", _CHAT.format(times=larger)], cache) as made:
        made.until(b">", after=_WHERE)
        made.settle()
        time.sleep(1.0)
        for _ in range(rounds):
            for before, last in TYPED:
                os.write(made.fd, before.encode())
                made.settle()
                menu = many.of(before + last)
                shown = menu[0][0].encode() if menu else last.encode()
                took.append(made.key(last, shown))
                os.write(made.fd, b"\x03")
                made.settle()
    return took, len(many.names)


def chat(times: int) -> None:
    """Print both figures, each beside its baseline and its limit."""
    from bench import process

    with tempfile.TemporaryDirectory() as cache:
        bare = process(("-c", "import pint, prompt_toolkit"), times, cache)
        first_prompt(cache)  # makes the snapshot
        ours = min(first_prompt(cache) for _ in range(times))
        echo, _ = keystrokes(cache, 0, times)
        menu, names = keystrokes(cache, TIMES_LARGER, times)
    print(f"{'live chat':<46}{'ms':>8}{'worst':>8}{'ratio':>8}  limit")
    baseline = 'python -c "import pint, prompt_toolkit"'
    print(f"{baseline:<46}{bare * 1000:>8.0f}")
    print(f"{'first prompt':<46}{ours * 1000:>8.0f}{'':>8}{ours / bare:>8.2f}  1.5")
    base = statistics.median(echo)
    print(f"{'echo of a keystroke, no names':<46}{base * 1000:>8.1f}{max(echo) * 1000:>8.1f}")
    took = statistics.median(menu)
    name = f"keystroke to menu, {names:,} names"
    ratio = f"{took * 1000:>8.1f}{max(menu) * 1000:>8.1f}{took / base:>8.2f}"
    print(f"{name:<46}{ratio}  30 ms")
