"""The command line: what it prints, what it exits with, and that nothing ends in a traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest
from desk_fixture import ROOT

SCALE = "How much broth do I need if I make the red lentil soup for 14?"
FIELDS = [
    "question", "kind", "verdict", "headline", "figures", "lines", "cautions", "sources", "urgent",
    "medical", "reading",
]  # fmt: skip


def run(*arguments: str, given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run `python -m assistant` as a user would, in a terminal 80 columns wide."""
    return subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        input=given,
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, "COLUMNS": "80"},
        check=False,
        timeout=120,
    )


def test_the_main_job() -> None:
    """14 servings of a recipe that takes 6 cups for 6 need 6 × 14/6 = 14 cups."""
    done = run("ask", SCALE)
    assert done.returncode == 0
    assert done.stderr == b""
    text = done.stdout.decode()
    assert text.startswith("For 14: 14 cups (3.3 L) low-sodium vegetable broth.\n")
    assert "recipes/red-lentil-soup.yaml:" in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_the_question_needs_no_quotes() -> None:
    """Words given one by one are the same question."""
    assert run("ask", *SCALE.split()).stdout == run("ask", SCALE).stdout


def test_json_has_the_fields_in_order() -> None:
    """One object with the fields of the machine-readable answer, the exact value beside it."""
    done = run("ask", "--format", "json", SCALE)
    made = json.loads(done.stdout)
    assert list(made) == FIELDS
    (figure,) = made["figures"]
    assert (figure["value"], figure["exact"], figure["unit"]) == (14, "14", "cup")
    assert any("14 ÷ 6 = 2 1/3" in line for line in figure["working"])
    assert made["reading"]["recipe"] == "red-lentil-soup"
    assert made["reading"]["servings"] == 14


def test_why_shows_the_cue_and_the_working() -> None:
    """`--why` names the cue, the words it matched and every step of the arithmetic."""
    text = run("ask", "--why", SCALE).stdout.decode()
    assert "how much|many <ingredient>" in text
    assert "6 cups × 2 1/3 = 14 cups" in text


def test_a_file_gives_one_object_a_line_in_order() -> None:
    """Blank lines are skipped, the order is kept, a byte-order mark and odd bytes do no harm."""
    given_ = (
        b"\xef\xbb\xbfhow long does the turkey chili keep?\n\n   \ncaf\xff\x00 \x1b[31m nonsense\n"
        + SCALE.encode()
    )
    done = run("ask", "--file", "-", "--format", "json", given=given_)
    made = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(made) == 3
    assert made[0]["question"] == "how long does the turkey chili keep?"
    assert made[2]["headline"].startswith("For 14: 14 cups")
    assert b"\x1b" not in done.stdout
    assert done.returncode == 0


def test_an_unusable_line_is_named_and_the_rest_is_answered() -> None:
    """A line without a word is reported with its number; the exit status says so."""
    done = run("ask", "--file", "-", given=b"???\n" + SCALE.encode())
    assert done.returncode == 2
    assert b"-:1:" in done.stderr
    assert b"14 cups" in done.stdout


def test_a_huge_question_is_refused_in_one_line() -> None:
    """A megabyte is no question."""
    done = run("ask", "--file", "-", given=b"broth " * 170_000)
    assert done.returncode == 2
    assert b"characters long" in done.stderr
    assert done.stderr.count(b"\n") <= 2


@pytest.mark.parametrize("what", ["recipes", "notes", "ingredients", "kinds", "references"])
def test_lists(what: str) -> None:
    """Each list has a line a record."""
    done = run("list", what)
    assert done.returncode == 0
    assert len(done.stdout.splitlines()) >= 8


def test_show_scales_with_the_same_figures_as_ask() -> None:
    """`show --servings` and `ask` are drawn from the same figures."""
    shown = run("show", "red-lentil-soup", "--servings", "14").stdout.decode()
    assert "14 cups (3.3 L) low-sodium vegetable broth" in shown


@pytest.mark.parametrize("ident", ["pressing-tofu", "onion", "sr28", "soup-stew"])
def test_show_knows_every_record(ident: str) -> None:
    """Notes, pantry items, references and rules are shown by id."""
    assert run("show", ident).returncode == 0


def test_show_nutrition_is_the_whole_table() -> None:
    """`show --nutrition` prints every nutrient, with the figures that `ask` gives."""
    shown = run("show", "turkey-chili", "--nutrition").stdout.decode()
    asked = json.loads(run("ask", "--format", "json", "all nutrients in the turkey chili").stdout)
    assert len(asked["figures"]) >= 30
    for figure in asked["figures"]:
        assert figure["shown"] in shown


def test_show_reasons_is_the_crib_for_the_talk() -> None:
    """`show --reasons` gives the reason of every step and of the ingredients that have one."""
    shown = " ".join(run("show", "red-lentil-soup", "--reasons").stdout.decode().split())
    assert "5. finish: Spinach wilts in the heat that is left" in shown
    assert "low-sodium vegetable broth: It is most of the soup" in shown


def test_foods_prints_codes() -> None:
    """SR28 11282 is raw onion."""
    assert "11282  Onions, raw" in run("foods", "onions", "raw").stdout.decode()
    assert "No food has all" in run("foods", "xylophone").stdout.decode()


def test_check_is_silent_on_the_shipped_corpus() -> None:
    """The shipped corpus has no fault."""
    done = run("check")
    assert (done.stdout, done.stderr, done.returncode) == (b"", b"", 0)


def test_version() -> None:
    """`--version` prints the version."""
    assert run("--version").stdout.startswith(b"assistant ")


@pytest.mark.skipif(sys.platform == "win32", reason="no POSIX pipes")
def test_a_closed_pipe_ends_quietly() -> None:
    """`assistant list … | head -1` leaves no complaint."""
    done = subprocess.run(
        f'"{sys.executable}" -m assistant list ingredients | head -1',
        shell=True,
        capture_output=True,
        cwd=ROOT,
        check=False,
    )
    assert done.stderr == b""


def test_no_slow_import_on_a_warm_path() -> None:
    """A warm answer imports neither the YAML reader nor any of the heavy libraries."""
    run("ask", SCALE)
    code = (
        "import sys; from assistant.faces.cli import run; "
        f"run(['ask', {SCALE!r}]); "
        "heavy = {'yaml', 'pint', 'numpy', 'sklearn', 'prompt_toolkit', 'rank_bm25'}; "
        "sys.exit(' '.join(sorted(heavy & set(sys.modules))) or 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, cwd=ROOT, check=False, text=True
    )
    assert done.stderr == ""
    assert done.returncode == 0


def test_the_same_question_gives_the_same_bytes() -> None:
    """Two runs with different hash seeds print the same."""
    out = [
        subprocess.run(
            [sys.executable, "-m", "assistant", "ask", "--today", "2026-11-25", "--why", SCALE],
            capture_output=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert out[0] == out[1]


def test_several_questions_at_once() -> None:
    """Each question of a text has its answer, in order; as JSON the others are under "more"."""
    text = "How much broth for 14 in the red lentil soup? Can I freeze it?"
    done = run("ask", text).stdout.decode()
    assert done.index("For 14: 14 cups") < done.index("> Can I freeze it?")
    assert "The red lentil soup freezes well" in done
    made = json.loads(run("ask", "--format", "json", text).stdout)
    assert [*made] == [*FIELDS, "more"]
    assert [made["kind"], *(one["kind"] for one in made["more"])] == ["scale", "storage"]
