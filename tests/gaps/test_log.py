"""The log of questions: masked, only ever added to, read back line by line."""

from __future__ import annotations

import json
import stat
from functools import lru_cache
from pathlib import Path

import msgspec
import pytest
from desk_fixture import TODAY, desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.answer import Answer
from assistant.gaps import LogError, log, record, usable
from assistant.gaps.log import read
from assistant.inbox.mask import Masker

GOCHUJANG = "What instead of gochujang?"
JACKFRUIT = "Can I use jackfruit instead of chicken?"


@lru_cache(maxsize=1)
def mask() -> Masker:
    """The masker that the command line uses."""
    return Masker(desk().corpus, ())


def answer(question: str, verdict: str = "unknown") -> Answer:
    """An answer with nothing in it but what a log keeps."""
    made = Answer(question=question, kind="swap", verdict="unknown", headline="I don't know.")
    return msgspec.structs.replace(made, verdict=verdict)


def test_a_line_is_written_for_each_question(tmp_path: Path) -> None:
    """Two answers are two lines of JSON with the four fields, which read back as they were."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), TODAY, mask())
    record(path, answer(JACKFRUIT, "quoted"), TODAY, mask())
    lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    assert lines[0] == {
        "asked": "2026-11-25", "question": GOCHUJANG, "kind": "swap", "verdict": "unknown",
    }  # fmt: skip
    found = read([path], mask())
    assert [e.verdict for e in found.entries] == ["unknown", "quoted"]
    assert found.broken == ()


def test_a_log_is_readable_by_its_owner_alone(tmp_path: Path) -> None:
    """What people ask may tell of their health."""
    path = tmp_path / "log.jsonl"
    usable(path)
    assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0


def test_what_is_personal_never_reaches_the_log(tmp_path: Path) -> None:
    """Names that are introduced, addresses and telephone numbers are masked before writing."""
    path = tmp_path / "log.jsonl"
    said = "My name is Dana Brook, dana.brook@example.org, 555-123-4567: what instead of gochujang?"
    record(path, answer(said), TODAY, mask())
    text = path.read_text("utf-8")
    assert "[name]" in text and "[address]" in text and "[phone]" in text
    assert not any(part in text for part in ("Dana", "Brook", "example", "4567"))


def test_what_is_personal_is_masked_in_a_list_from_elsewhere(tmp_path: Path) -> None:
    """A list that was never masked is masked when it is read."""
    path = tmp_path / "questions.txt"
    path.write_text("Call me at 555-123-4567: what instead of gochujang?\n", "utf-8")
    assert "4567" not in read([path], mask()).entries[0].question


@given(st.text(max_size=700))
def test_any_question_is_one_harmless_line(text: str) -> None:
    """Whatever was asked, the logged text has no control character and is at most 500 long."""
    made = log._plain(text)
    assert made.isprintable() and len(made) <= log.LONGEST_QUESTION
    assert log._plain(made) == made


def test_a_line_cut_off_by_a_crash_swallows_no_other(tmp_path: Path) -> None:
    """The next question starts a line of its own; the torn one is named as broken."""
    path = tmp_path / "log.jsonl"
    path.write_text('{"asked":"2026-1', "utf-8")
    record(path, answer(GOCHUJANG), TODAY, mask())
    found = read([path], mask())
    assert [e.question for e in found.entries] == [GOCHUJANG]
    assert len(found.broken) == 1 and found.broken[0].startswith(f"{path}:1: ")


def test_a_full_log_takes_no_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the size limit the log is left as it is, and the message says what to do."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), TODAY, mask())
    before = path.read_bytes()
    monkeypatch.setattr(log, "MOST_BYTES", len(before))
    with pytest.raises(LogError, match=r"is full.*name a new file"):
        record(path, answer(GOCHUJANG), TODAY, mask())
    assert path.read_bytes() == before


def test_no_other_file_is_taken_for_a_log(tmp_path: Path) -> None:
    """A recipe named by mistake, a folder, a place that is not there: refused and unchanged."""
    recipe = tmp_path / "soup.yaml"
    recipe.write_text("id: soup\n", "utf-8")
    for path in (recipe, tmp_path, tmp_path / "none" / "log.jsonl"):
        with pytest.raises(LogError):
            record(path, answer(GOCHUJANG), TODAY, mask())
    assert recipe.read_text("utf-8") == "id: soup\n"


def test_broken_lines_are_named_and_the_rest_is_read(tmp_path: Path) -> None:
    """Each kind of damage has its line and reason; empty lines are nothing."""
    good = '{"asked":"2026-10-06","question":"What instead of gochujang?","kind":"swap","verdict":'
    lines = [
        good + '"unknown"}',
        "not json",
        "",
        good + '"perhaps"}',
        good.replace("2026-10-06", "October") + '"unknown"}',
        good.replace(GOCHUJANG, "?!") + '"unknown"}',
        '{"asked":"2026-10-06"}',
        "[" * 5_000,
        '{"x":' + "[" * 5_000,
        good + '"asks"}',
    ]
    path = tmp_path / "log.jsonl"
    path.write_bytes("\n".join(lines).encode() + b"\n\xff\xfe{\n")
    found = read([path], mask())
    assert [e.verdict for e in found.entries] == ["unknown", "asks"]
    numbers = [int(line.removeprefix(f"{path}:").partition(":")[0]) for line in found.broken]
    assert numbers == [2, 4, 5, 6, 7, 8, 9, 11]
