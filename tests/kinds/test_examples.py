"""Every example of every kind is a test: the reading, the exact figures, the printed answer.

The format of examples.yaml is described in DEVELOPERS.md.
"""

from __future__ import annotations

import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from desk_fixture import ROOT, desk

from assistant.answer import Answer, Figure, exact_text
from assistant.measure.exact import exact
from assistant.question.reading import Reading

KINDS = ROOT / "assistant" / "kinds"
FIELDS = {
    "ask", "also", "recipe", "pinned", "servings", "verdict", "figures", "headline", "says",
    "cautions", "source", "by", "urgent", "medical",
}  # fmt: skip


def _load(path: Path) -> dict[str, Any]:
    made: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8")) or {}
    return made


def _files() -> list[Path]:
    return sorted(KINDS.glob("*/examples.yaml"))


def _cases(section: str) -> list[Any]:
    cases = []
    for path in _files():
        data = _load(path)
        for i, entry in enumerate(data.get(section) or ()):
            for j, ask in enumerate((entry["ask"], *entry.get("also", ()))):
                name = f"{path.parent.name}-{i + 1}{'abcdefghijklmnopqrstuvwxyz'[j % 26]}"
                cases.append(pytest.param(data, entry, ask, id=name))
    return cases


def _ask(data: dict[str, Any], entry: dict[str, Any], ask: str) -> tuple[Reading, Answer]:
    today = data.get("today", datetime.date(2026, 11, 25))
    servings = exact(str(entry["servings"])) if "servings" in entry else None
    context = desk().context(entry.get("pinned", ""), servings, today)
    return desk().read(ask, context), desk().ask(ask, context)


def test_there_are_examples() -> None:
    """A glob that matches nothing must not pass."""
    assert len(_files()) >= 8


@pytest.mark.parametrize("path", _files(), ids=lambda path: path.parent.name)
def test_an_examples_file_is_well_formed(path: Path) -> None:
    """Every entry has known fields only, and says by hand how its figures were worked out."""
    data = _load(path)
    assert data["kind"] == path.parent.name
    for entry in data.get("examples") or ():
        assert set(entry) <= FIELDS, entry
        assert "verdict" in entry, entry
        assert "figures" not in entry or entry.get("by"), entry


@pytest.mark.parametrize(("data", "entry", "ask"), _cases("examples"))
def test_an_example(data: dict[str, Any], entry: dict[str, Any], ask: str) -> None:
    """The question is read as its kind and gives the verdict, figures and words of the example."""
    reading, answer = _ask(data, entry, ask)
    assert reading.kind == data["kind"], [m for m in reading.matched if m.weight > 2]
    assert not reading.rivals, "two kinds fit equally well"
    if "recipe" in entry:
        assert reading.recipe == (entry["recipe"] or "")
    assert answer.verdict == entry["verdict"], answer.headline
    for name, want in (entry.get("figures") or {}).items():
        figure = _figure(answer, name)
        assert _fits(figure, str(want)), (name, want, figure.shown, figure.exact, figure.value)
    if "headline" in entry:
        assert answer.headline == entry["headline"]
    assert len(answer.headline) <= 120, answer.headline
    told = " ".join((answer.headline, *answer.lines))
    for text in entry.get("says") or ():
        assert text in told, told
    have = {caution.id for caution in answer.cautions}
    assert set(entry.get("cautions") or ()) <= have, have
    if "source" in entry:
        places = [source.where for source in answer.sources]
        assert any(place.startswith(entry["source"]) for place in places), places
    for field in ("urgent", "medical"):
        if field in entry:
            assert getattr(answer, field) == entry[field]


def _figure(answer: Answer, name: str) -> Figure:
    names = [figure.name for figure in answer.figures]
    fitting = [f for f in answer.figures if f.name == name] or [
        f for f in answer.figures if f.name.startswith(name)
    ]
    assert len(fitting) == 1, f"{name!r} names {len(fitting)} of {names}"
    return fitting[0]


def _fits(figure: Figure, want: str) -> bool:
    exactly = figure.exact or ("" if figure.value is None else exact_text(figure.value))
    if want in {exactly, figure.shown}:
        return True
    try:
        return figure.value is not None and Fraction(want) == figure.value
    except ValueError:
        return False


@pytest.mark.parametrize(("data", "entry", "ask"), _cases("never"))
def test_a_look_alike_is_another_kind(
    data: dict[str, Any], entry: dict[str, Any], ask: str
) -> None:
    """A wording that looks like this kind is read as the kind that it is."""
    reading, _ = _ask(data, entry, ask)
    assert reading.kind != data["kind"]
    if "kind" in entry:
        assert reading.kind == entry["kind"]


@pytest.mark.parametrize(("data", "entry", "ask"), _cases("misses"))
def test_a_known_miss_still_misses(data: dict[str, Any], entry: dict[str, Any], ask: str) -> None:
    """A known miss is listed until it is mended, and then must leave the list."""
    reading, _ = _ask(data, entry, ask)
    assert entry.get("why"), "a known miss says why it misses"
    assert reading.kind != entry["kind"], "this works now: move it to the examples"


def test_every_kind_has_examples_and_cues() -> None:
    """A kind is a folder with cues, an answer and examples."""
    for folder in sorted(p for p in KINDS.iterdir() if (p / "__init__.py").is_file()):
        for name in ("cues.yaml", "answer.py", "examples.yaml"):
            assert (folder / name).is_file(), f"{folder.name} has no {name}"
