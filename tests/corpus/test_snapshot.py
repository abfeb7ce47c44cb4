"""The compiled snapshot: as good as the corpus, never stale, mended when damaged."""

from __future__ import annotations

from pathlib import Path

import pytest
from corpus.smallest import FILES, write

from assistant import snapshot
from assistant.corpus.build import build
from assistant.corpus.problems import CorpusError
from assistant.desk import Desk

QUESTION = "how much olive oil in the fried onions for 8 people?"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small corpus, and a cache folder of the test's own."""
    monkeypatch.setattr(snapshot, "_cache_folder", lambda: tmp_path / "cache")
    monkeypatch.delenv("ASSISTANT_NO_CACHE", raising=False)
    return write(tmp_path / "corpus")


def _said(folder: Path) -> str:
    desk = Desk.open(folder)
    return desk.ask(QUESTION, desk.context()).headline


def test_the_snapshot_holds_the_corpus(folder: Path) -> None:
    """Encoding and decoding gives back every record."""
    assert snapshot.compile_snapshot(folder).corpus == build(folder)


def test_a_warm_start_reads_no_yaml(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second opening answers from the cache alone."""
    first = _said(folder)
    monkeypatch.setattr(snapshot, "compile_snapshot", lambda _: pytest.fail("rebuilt"))
    assert _said(folder) == first
    assert "1/4 cup" in first


def test_a_changed_file_is_seen(folder: Path) -> None:
    """An edit changes the answer at once, even one that keeps the file's size."""
    _said(folder)
    name = "recipes/fried-onions.yaml"
    write(folder, {name: FILES[name].replace("2 tbsp olive", "3 tbsp olive")})
    assert "6 tbsp" in _said(folder) or "1/4 cup + 2 tbsp" in _said(folder)


@pytest.mark.parametrize("damage", ["cut", "flipped", "emptied", "noise"])
def test_a_damaged_snapshot_is_rebuilt(folder: Path, damage: str) -> None:
    """A snapshot that does not match its digest is never read."""
    said = _said(folder)
    (path,) = snapshot._cache_folder().glob("*.snapshot")
    raw = path.read_bytes()
    path.write_bytes(
        {
            "cut": raw[: len(raw) // 2],
            "flipped": raw[:-9] + bytes([raw[-9] ^ 1]) + raw[-8:],
            "emptied": b"",
            "noise": b"\x00" * 64,
        }[damage]
    )
    assert _said(folder) == said


def test_an_unwritable_cache_costs_no_answer(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the cache cannot be written the answer comes all the same."""
    (tmp_path / "blocked").write_text("a file where a folder should be")
    monkeypatch.setattr(snapshot, "_cache_folder", lambda: tmp_path / "blocked" / "cache")
    assert "olive oil" in _said(folder)


def test_no_corpus_is_a_plain_error(tmp_path: Path) -> None:
    """An empty folder is refused with what is missing."""
    with pytest.raises(CorpusError, match=r"no programme\.yaml"):
        Desk.open(tmp_path)
