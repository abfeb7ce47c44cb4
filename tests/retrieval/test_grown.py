"""The index over a grown corpus, as scripts/bench_index.py grows it, beside two other libraries."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "bench_index.py"


@lru_cache(maxsize=1)
def bench() -> ModuleType:
    """The script, loaded as a module."""
    spec = importlib.util.spec_from_file_location("bench_index", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_grown_passages_differ_and_come_out_the_same_each_time() -> None:
    """The corpus stands first as it is; what follows is new wording in nearly every passage."""
    seed = bench().seed()
    base = seed.passages
    more = list(bench().grown(3 * len(base), seed))
    assert more[: len(base)] == base == list(bench().grown(0, seed))
    assert more == list(bench().grown(3 * len(base), seed))
    assert len({passage.id for passage in more}) == len(more)
    contents = {(p.title, p.text, p.asks, p.ingredients) for p in more}
    assert len(contents) > 0.9 * len(more)


def test_the_top_ten_are_those_of_two_other_libraries() -> None:
    """The same ten from rank-bm25, with its idf exchanged, and bm25s, which score every passage."""
    pytest.importorskip("bm25s")
    command = [sys.executable, str(SCRIPT), "--sizes", "0", "2500", "--most", "80"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    agreed = re.findall(r"  (?:rank-bm25|bm25s) .*  (\d+) of (\d+)", done.stdout)
    assert agreed == [("80", "80")] * 4
    assert "idf = ln(1 + " in done.stdout and "growth, ours: " in done.stdout
