"""The desk over the shipped corpus, opened once for the whole test run."""

from __future__ import annotations

import datetime
from functools import lru_cache
from pathlib import Path

from assistant.desk import Desk

ROOT = Path(__file__).resolve().parents[1]
CORPUS = ROOT / "corpus"
TODAY = datetime.date(2026, 11, 25)  # a Wednesday


@lru_cache(maxsize=1)
def desk() -> Desk:
    """The desk over the shipped corpus."""
    return Desk.open(CORPUS)
