"""What a chat keeps in the user's data folder: history and the log of questions, or neither."""

from __future__ import annotations

from pathlib import Path

import pytest
from chat_play import Play

from assistant.faces.chat.keep import Keep


def test_the_log_is_off_until_it_is_switched_on(tmp_path: Path) -> None:
    """Questions are kept with their verdicts, commands are not, and the switch outlives the day."""
    play = Play("red-lentil-soup", keep=Keep(tmp_path / "data"))
    play.say("how much broth?")
    log = tmp_path / "data" / "questions.jsonl"
    assert not log.exists()
    assert f"assistant gaps {log}" in play.say("log on")
    play.say("is it vegan?")
    play.say("servings 3")
    (line,) = log.read_text(encoding="utf-8").splitlines()
    assert '"question":"is it vegan?"' in line
    assert '"asked":"2026-11-25"' in line
    assert log.stat().st_mode & 0o077 == 0
    assert Keep(tmp_path / "data").switches.log


def test_what_the_log_holds_is_what_gaps_reads(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An unanswered question comes up with its count; the name of who asked is masked."""
    from assistant.faces import cli

    play = Play(keep=Keep(tmp_path / "data"))
    play.say("log on")
    play.say("how do I make beef wellington?")
    play.say("Ana: how do I make beef wellington?\nLee: how do I make beef wellington?")
    play.say("red lentil soup, how much broth for 14?")
    assert cli.run(["gaps", str(tmp_path / "data" / "questions.jsonl")]) == 0
    shown = capsys.readouterr().out
    assert "3 of 4 questions went unanswered" in shown
    assert "asked 3 times" in shown
    assert "beef wellington" in shown
    assert "Ana" not in shown


def test_a_log_that_cannot_be_written_is_said_once(tmp_path: Path) -> None:
    """A folder stands where the log should be: the answer comes, and the reason, once."""
    keep = Keep(tmp_path / "data")
    play = Play("red-lentil-soup", keep=keep)
    play.say("log on")
    keep.log.mkdir()
    first, second = play.say("how much broth?"), play.say("how much cumin?")
    assert "not in the log" in first
    assert "cups" in first
    assert "not in the log" not in second


def test_history_can_be_switched_off(tmp_path: Path) -> None:
    """`quiet on` holds for later sessions too."""
    keep = Keep(tmp_path / "data")
    assert "not kept" in Play(keep=keep).say("quiet on")
    assert not Keep(tmp_path / "data").switches.history
    Play(keep=keep).say("quiet off")
    assert Keep(tmp_path / "data").switches.history


def test_a_folder_that_cannot_be_made_costs_no_answer(tmp_path: Path) -> None:
    """A file stands where the folder should be: the switch holds for today, answers go on."""
    (tmp_path / "data").write_text("in the way")
    play = Play("red-lentil-soup", keep=Keep(tmp_path / "data"))
    assert "for today only" in play.say("log on")
    assert "cups" in play.say("how much broth?")


def test_damaged_settings_are_no_settings(tmp_path: Path) -> None:
    """A settings file that cannot be read counts as none."""
    (tmp_path / "chat.json").write_text("{broken")
    assert Keep(tmp_path).switches.history
    assert not Keep(tmp_path).switches.log
