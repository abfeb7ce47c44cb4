"""Every error message has a snapshot: what is wrong, where, and what to do next."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from corpus.smallest import write

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
UPDATE = "UPDATE_MESSAGES"


def _cases(stage: str) -> list[Path]:
    return sorted(path for path in (HERE / stage).iterdir() if path.is_dir())


def _run(arguments: list[str], cache: Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "ASSISTANT_CACHE": str(cache), "COLUMNS": "80"}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env=environment,
        check=False,
        timeout=60,
    )


def _compare(case: Path, message: str) -> None:
    """Hold a message against its snapshot; UPDATE_MESSAGES=1 writes new ones."""
    path = case / "message.txt"
    if os.environ.get(UPDATE):
        path.write_text(message, encoding="utf-8")
    assert message == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("case", _cases("corpus"), ids=lambda case: case.name)
def test_a_broken_corpus_file_is_named_with_its_line(case: Path, tmp_path: Path) -> None:
    """`assistant check` prints file, line and message, and exits with 1."""
    changes = {
        path.relative_to(case).as_posix(): path.read_text(encoding="utf-8")
        for path in case.rglob("*")
        if path.is_file() and path.name != "message.txt"
    }
    folder = write(tmp_path / "corpus", changes)
    done = _run(["check", "--corpus", str(folder)], tmp_path)
    assert done.stderr == ""
    assert done.returncode == 1
    _compare(case, done.stdout)


@pytest.mark.parametrize("case", _cases("arguments"), ids=lambda case: case.name)
def test_unusable_arguments_are_answered_with_the_next_step(case: Path, tmp_path: Path) -> None:
    """Unusable arguments exit with 2, say why on standard error, and print nothing else."""
    arguments = (case / "ask.txt").read_text(encoding="utf-8").splitlines()
    done = _run(arguments, tmp_path)
    assert "Traceback" not in done.stderr
    assert done.returncode == 2
    assert done.stdout == ""
    _compare(case, done.stderr)


def test_no_stage_is_empty() -> None:
    """A folder without cases must not pass unseen."""
    assert len(_cases("corpus")) >= 25
    assert len(_cases("arguments")) >= 10
