"""Every answer shown in README is what the program prints; a command without a word there fails."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
from pathlib import Path

import pytest
from desk_fixture import ROOT

from assistant.faces import cli

README = ROOT / "README.md"
UPDATE = "UPDATE_README"
_BLOCK = re.compile(r"```console\n(.*?)```", re.S)


def _printed(command: str) -> str:
    """What a command of the tour prints, in a terminal 80 columns wide."""
    words = shlex.split(command)
    assert words[0] == "assistant"
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert cli.run(words[1:]) == 0
    return out.getvalue()


def _regenerated(block: str) -> str:
    commands = [line[2:] for line in block.splitlines() if line.startswith("$ ")]
    return "\n".join(f"$ {command}\n{_printed(command)}" for command in commands)


def test_the_tour_is_what_the_program_prints(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Each console block is regenerated; UPDATE_README=1 writes it anew."""
    monkeypatch.setenv("COLUMNS", "80")
    # Commands that write a file write it there.
    monkeypatch.chdir(tmp_path)
    for name in ("survey.csv", "chat.txt"):
        shutil.copy(ROOT / "tests" / "inbox" / "data" / name, tmp_path)
    text = README.read_text(encoding="utf-8")
    made = _BLOCK.sub(lambda found: f"```console\n{_regenerated(found[1])}```", text)
    if os.environ.get(UPDATE):
        README.write_text(made, encoding="utf-8")
    assert _BLOCK.findall(text), "README shows no answer"
    assert made == README.read_text(encoding="utf-8")


def test_every_command_is_described() -> None:
    """Each command of the command line stands in README."""
    text = README.read_text(encoding="utf-8")
    parser = cli._parser()
    (commands,) = (a for a in parser._actions if isinstance(a.choices, dict))
    missing = [name for name in commands.choices or () if f"assistant {name}" not in text]
    assert missing == []
