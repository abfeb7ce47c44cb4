"""A chat whose window dies goes on where it was; one that was left in good order starts afresh."""

from __future__ import annotations

from pathlib import Path

import pytest
from chat_play import Play

from assistant.faces.chat.keep import Keep


def _died(data: Path) -> Play:
    """Red lentil soup for 14 from 12:05 with a timer, step 1 over at 12:12, 5 minutes behind."""
    play = Play(keep=Keep(data))
    play.say("recipe red lentil soup")
    play.say("servings 14")
    play.say("start 12:05")
    play.wall.forward(12)
    play.say("done 1")
    play.say("behind 5")
    play.say("timer 10 min bread")
    return play


def test_pin_clock_and_timers_are_taken_up_again(tmp_path: Path) -> None:
    """Three minutes later a new chat has them all, and says so in one line."""
    before = _died(tmp_path)
    after = Play(keep=Keep(tmp_path))
    after.wall.forward(15)
    (row,) = after.session.take_up()
    assert row.text == (
        "Taken up again: Red lentil soup for 14; the clock from 12:10; timer bread, 7:00."
    )
    before.wall.forward(3)
    for line in ("next", "how much longer?", "are we on time?", "timers", "how much broth?"):
        assert after.say(line) == before.say(line)
    assert after.session.bar() == before.session.bar()


@pytest.mark.parametrize("last", ["leave", "quit"])
def test_a_chat_that_was_left_leaves_nothing(tmp_path: Path, last: str) -> None:
    """After `leave` the next chat starts with nothing pinned."""
    _died(tmp_path).say(last)
    assert Play(keep=Keep(tmp_path)).session.take_up() == []
    assert not (tmp_path / "left.json").exists()


def test_yesterday_is_not_taken_up(tmp_path: Path) -> None:
    """What is older than six hours, or of a time to come, is let be."""
    _died(tmp_path)
    for minutes in (12 + 6 * 60 + 1, -60):
        after = Play(keep=Keep(tmp_path))
        after.wall.forward(minutes)
        assert after.session.take_up() == []


def test_another_recipe_starts_afresh(tmp_path: Path) -> None:
    """A recipe named when the chat is started goes before what was left; the same one goes on."""
    _died(tmp_path)
    other, same = (
        Play("turkey-chili", keep=Keep(tmp_path)),
        Play("red-lentil-soup", keep=Keep(tmp_path)),
    )
    for play in (other, same):
        play.wall.forward(15)
    assert other.session.take_up() == []
    assert "the clock from 12:10" in same.session.take_up()[0].text


@pytest.mark.parametrize(
    "data", [b"", b"{broken", b"[]", b'{"at": 3}', b'{"at": "2026-11-25T12:00:00", "recipe": "no"}']
)
def test_damaged_leavings_are_none(tmp_path: Path, data: bytes) -> None:
    """What cannot be read, or names a recipe that is gone, is passed over."""
    (tmp_path / "left.json").write_bytes(data)
    assert Play(keep=Keep(tmp_path)).session.take_up() == []


def test_without_history_nothing_is_left_behind(tmp_path: Path) -> None:
    """`quiet on` holds for this too."""
    play = _died(tmp_path)
    play.say("quiet on")
    assert not (tmp_path / "left.json").exists()
