"""Which files a corpus is made of, and where the one that comes with the program lies."""

from __future__ import annotations

import os
from pathlib import Path

REQUIRED = ("programme.yaml", "references.yaml", "foods.csv", "portions.csv")
PATTERNS = (
    "*.yaml",
    "recipes/*.yaml",
    "notes/*.md",
    "pantry/*.yaml",
    "swaps/*.yaml",
    "safety/*.yaml",
    "vocabulary/*.yaml",
    "inbox/*.yaml",
)
VARIABLE = "ASSISTANT_CORPUS"


def files(folder: Path) -> list[Path]:
    """Every file a corpus is made of, in a fixed order."""
    found = {folder / name for name in REQUIRED if (folder / name).is_file()}
    for pattern in PATTERNS:
        found.update(folder.glob(pattern))
    return sorted(found)


def corpus_folder(given: str = "") -> Path:
    """The corpus folder: the one given, the one ASSISTANT_CORPUS names, or the one that comes with
    the program (inside the installed package, or beside it in a checkout)."""
    named = given or os.environ.get(VARIABLE, "")
    if named:
        return Path(named)
    inside = Path(__file__).parent / "default"
    return inside if inside.is_dir() else Path(__file__).parents[2] / "corpus"
