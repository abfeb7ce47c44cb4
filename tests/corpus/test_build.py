"""A corpus with faults: all of them reported, and the sound part still answers."""

from __future__ import annotations

from pathlib import Path

from corpus.smallest import FILES, write

from assistant.corpus.build import build
from assistant.desk import Desk

RECIPE = "recipes/fried-onions.yaml"


def test_the_smallest_corpus_is_sound(tmp_path: Path) -> None:
    """The corpus that the error tests start from has no fault of its own."""
    assert build(write(tmp_path)).problems == ()


def test_all_faults_are_reported_at_once(tmp_path: Path) -> None:
    """One run names every fault, each with its file and line."""
    broken = FILES[RECIPE].replace("2 tbsp", "2 smidgeons").replace("rule: cooked", "rule: none")
    corpus = build(
        write(tmp_path, {RECIPE: broken, "notes/a.md": "no front matter", "swaps/s.yaml": "x: 1"})
    )
    places = {(problem.file, problem.line) for problem in corpus.problems}
    assert {(RECIPE, 8), (RECIPE, 12), ("notes/a.md", 1), ("swaps/s.yaml", 1)} <= places


def test_a_broken_recipe_is_left_out_and_the_rest_answers(tmp_path: Path) -> None:
    """The program refuses a broken record and still answers from the sound ones."""
    good = (
        FILES[RECIPE].replace("fried-onions", "soft-onions").replace("Fried onions", "Soft onions")
    )
    broken = FILES[RECIPE].replace("2 tbsp", "2 smidgeons")
    folder = write(tmp_path, {RECIPE: broken, "recipes/soft-onions.yaml": good})
    desk = Desk.open(folder, cache=False)
    assert set(desk.corpus.recipes) == {"soft-onions"}
    answer = desk.ask("how much olive oil in the soft onions for 8?", desk.context())
    assert answer.verdict == "computed"
    assert answer.figures[0].exact or answer.figures[0].value == 4


def test_a_file_of_noise_is_one_message(tmp_path: Path) -> None:
    """Bytes that are no text, and a billion-laughs file, are faults like any other."""
    folder = write(tmp_path)
    (folder / "pantry" / "noise.yaml").write_bytes(b"\xff\xfe\x00\x01" * 50)
    laughs = "a: &a [x]\nb: &b [*a, *a, *a, *a]\nc: &c [*b, *b, *b, *b]\nd: [*c, *c, *c, *c]\n"
    (folder / "pantry" / "laughs.yaml").write_text(laughs)
    files = {problem.file for problem in build(folder).problems}
    assert {"pantry/noise.yaml", "pantry/laughs.yaml"} <= files


def test_records_know_their_line(tmp_path: Path) -> None:
    """Every ingredient line and step knows where it stands."""
    recipe = build(write(tmp_path)).recipes["fried-onions"]
    assert [line.line for line in recipe.lines] == [7, 8, 9]
    assert recipe.step_lines == (11,)
