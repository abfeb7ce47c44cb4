"""The chat shown in README is what the program prints for the same lines."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys

from desk_fixture import ROOT

README = ROOT / "README.md"
UPDATE = "UPDATE_README"
# A quarter of an hour into the lunch hour of the day on which the tests stand.
CLOCK = "2026-11-25T12:10"
_BLOCK = re.compile(r"```chat\n(\$ assistant (chat[^\n]*)\n(.*?))```", re.S)


def _printed(arguments: str, shown: str) -> str:
    """What the real program prints for the lines behind each "> ", in 80 columns."""
    lines = [line[2:] for line in shown.splitlines() if line.startswith("> ")]
    environment = {**os.environ, "COLUMNS": "80"}
    done = subprocess.run(
        [sys.executable, "-m", "assistant", *shlex.split(arguments), "--clock", CLOCK],
        input="\n".join(lines) + "\n",
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env=environment,
        check=True,
        timeout=120,
    )
    assert done.stderr == ""
    return done.stdout.rstrip("\n") + "\n"


def test_the_chat_is_what_the_program_prints() -> None:
    """The block is regenerated from its own lines; UPDATE_README=1 writes it anew."""
    text = README.read_text(encoding="utf-8")
    (found,) = _BLOCK.findall(text)
    block, arguments, shown = found
    made = f"$ assistant {arguments}\n{_printed(arguments, shown)}"
    if os.environ.get(UPDATE):
        README.write_text(text.replace(block, made), encoding="utf-8")
        return
    assert block == made


def test_the_chat_shows_what_a_demonstration_needs() -> None:
    """A start, an ingredient's turn, a delay, a swap, the working, a short form, an emergency."""
    (found,) = _BLOCK.findall(README.read_text(encoding="utf-8"))
    shown = found[2]
    for said in ("start 12:05", "go in?", "behind", "instead of", "more", "copy", "URGENT. "):
        assert said in shown
    assert max(map(len, shown.splitlines())) <= 120
