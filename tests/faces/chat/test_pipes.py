"""The real program without a terminal: piped input, a reader that goes, a disk that is full."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from desk_fixture import ROOT

_CHAT = [sys.executable, "-m", "assistant", "chat", "--recipe", "red-lentil-soup"]


def _chat(text: bytes, data: Path) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "ASSISTANT_DATA": str(data)}
    return subprocess.run(
        _CHAT, input=text, capture_output=True, cwd=ROOT, env=environment, check=False, timeout=120
    )


def test_each_line_is_answered_below_it(tmp_path: Path) -> None:
    """The output reads as a session, and nothing is kept of it."""
    done = _chat(b"servings 14\nhow much broth?\nleave\nhow much cumin?\n", tmp_path / "data")
    shown = done.stdout.decode("utf-8")
    assert done.returncode == 0
    assert done.stderr == b""
    assert shown.startswith("> servings 14\nRed lentil soup for 14.\n\n> how much broth?\nFor 14: ")
    assert "cumin" not in shown
    assert not (tmp_path / "data").exists()


def test_a_clock_that_stands_still_sets_the_date_too(tmp_path: Path) -> None:
    """Made on Tuesday, asked on Wednesday, Nov 25: soup of 3–4 days is at its end on Saturday."""
    environment = {**os.environ, "ASSISTANT_DATA": str(tmp_path)}
    done = subprocess.run(
        [*_CHAT, "--clock", "2026-11-25T12:10"], input=b"made it Tuesday, still fine Saturday?\n",
        capture_output=True, cwd=ROOT, env=environment, check=True, timeout=120,
    )  # fmt: skip
    assert "Just: Sat, Nov 28" in done.stdout.decode("utf-8")


def test_bytes_that_are_no_text_cost_one_line_at_most(tmp_path: Path) -> None:
    """What cannot be read as UTF-8 is replaced, and the next line is answered."""
    done = _chat(b"\xff\xfe\x00\nhow much broth for 14?\n", tmp_path)
    assert done.returncode == 0
    assert "14 cups" in done.stdout.decode("utf-8")


def test_a_reader_that_goes_ends_the_chat_quietly(tmp_path: Path) -> None:
    """As with `| head -1`: no traceback, nothing on standard error."""
    running = subprocess.Popen(
        _CHAT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT,
        env={**os.environ, "ASSISTANT_DATA": str(tmp_path)},
    )  # fmt: skip
    assert running.stdin is not None
    assert running.stdout is not None
    assert running.stderr is not None
    running.stdin.write(b"help\n")
    running.stdin.flush()
    assert running.stdout.readline() == b"> help\n"
    running.stdout.close()
    running.stdin.write(b"help\n" * 50)
    running.stdin.close()
    assert running.stderr.read() == b""
    assert running.wait(timeout=60) == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no disk that is always full")
def test_a_full_disk_is_said_in_one_line(tmp_path: Path) -> None:
    """The output cannot be written: one sentence on standard error, status 2."""
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            _CHAT, input=b"help\n", stdout=full, stderr=subprocess.PIPE, cwd=ROOT, check=False,
            env={**os.environ, "ASSISTANT_DATA": str(tmp_path)}, timeout=120,
        )  # fmt: skip
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert done.stderr.decode().startswith("assistant: the output is not complete: ")
