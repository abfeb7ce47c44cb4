"""The desk over the shipped corpus, opened once for the whole test run."""

from __future__ import annotations

import datetime
from functools import lru_cache
from pathlib import Path

from assistant.corpus.source import read_yaml
from assistant.desk import Desk
from assistant.kinds.care import find_in

ROOT = Path(__file__).resolve().parents[1]
CORPUS = ROOT / "corpus"
TODAY = datetime.date(2026, 11, 25)  # a Wednesday


@lru_cache(maxsize=1)
def desk() -> Desk:
    """The desk over the shipped corpus."""
    return Desk.open(CORPUS)


@lru_cache(maxsize=1)
def may_be_urgent() -> str:
    """A message of one line that sounds as if it may be urgent, and no more: which ones do changes
    with every training."""
    data = read_yaml(ROOT / "assistant/kinds/alarm_messages/first.yaml", "first.yaml").data
    snapshot = desk().snapshot
    for text in data["urgent"]:
        found = find_in(text, snapshot.care, snapshot.corpus)
        if found.perhaps and not found.rules:
            return str(text)
    raise AssertionError("no message only may be urgent")
