"""Questions for the page: from a sheet, a chat, a list; nobody named, nothing private."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path

import pytest
from handout.pages import DESK

from assistant.faces import cli
from assistant.faces.handout.changes import HandoutError
from assistant.faces.handout.command import Wanted, make
from assistant.faces.handout.questions import _anybody
from assistant.faces.handout.sheets import plain_line, read_sheet

CHAT = """\
12:01 Mara Quill: How much broth for 14?
12:02 Tobin Ashe: hi this is Tobin from billing, call me at 555-010-4477, can I freeze it?
12:03 Ilse Brandt: I am pregnant, how much sodium is in it?
12:04 Wim Oakes: my son is choking, help!
12:05 Nell Farrow: I left the soup out overnight, can I eat it?
12:06 Mara Quill: what can I use instead of the spinach? Ilse hates it
12:07 Odo Larch: great session, thanks!
12:08 Wim Oakes: my daughter is allergic to milk, what can I use instead of the yogurt?
"""
NAMES = ("Mara", "Quill", "Tobin", "Ashe", "Ilse", "Brandt", "Wim", "Oakes", "Nell", "Farrow",
         "Odo", "Larch", "555", "billing")  # fmt: skip
PRIVATE = ("pregnant", "choking", "overnight", "daughter", "allergic to")


def asked(path: Path, tmp_path: Path) -> tuple[str, tuple[str, ...]]:
    """What the page of the lentil soup says under the session's questions, and what was told."""
    out = tmp_path / "page.md"
    made, said = make(DESK, DESK.context("red-lentil-soup"), Wanted(str(out), questions=str(path)))
    text = made.read_text("utf-8")
    return text.partition("## Asked in the session")[2].partition("## Sources")[0], said


def chat(tmp_path: Path) -> Path:
    """The chat as a file."""
    path = tmp_path / "chat.txt"
    path.write_text(CHAT, "utf-8")
    return path


def sheet(tmp_path: Path, ending: str, *arguments: str) -> Path:
    """The sheet that `assistant sheet` writes of the chat."""
    path = tmp_path / f"sheet{ending}"
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        code = cli.run(
            ["sheet", str(chat(tmp_path)), "--recipe", "red-lentil-soup", "--out", str(path),
             *arguments]
        )  # fmt: skip
    assert code == 0
    return path


@pytest.mark.parametrize("form", ["chat", ".md", ".html"])
def test_what_anybody_may_read_and_nothing_else(form: str, tmp_path: Path) -> None:
    """From the chat and from both forms of its sheet the same three questions are answered: 6 cups
    for 6 are 6 cups here; nobody is named, nothing urgent, medical or of somebody's health is
    printed, and what is left out is told by its places."""
    path = chat(tmp_path) if form == "chat" else sheet(tmp_path, form)
    text, said = asked(path, tmp_path)
    assert "How much broth for 14?** For 14: 14 cups (3.3 L) low-sodium vegetable broth" in text
    assert "Can I freeze it?** The red lentil soup freezes well: 2–3 months" in text
    assert "What can I use instead of the spinach?** Instead of 4 cups" in text
    assert text.count("\n- **") == 3
    assert not [name for name in NAMES if name.lower() in text.lower()]
    assert not [word for word in PRIVATE if word in text]
    assert "Taken as" not in text
    health = next(line for line in said if "answer in person" in line)
    assert "(4: " in health
    assert f"{path.name}:" in health
    assert any("no question about food (1: " in line for line in said)


def test_a_sheet_with_names_shown_names_nobody_on_the_page(tmp_path: Path) -> None:
    """`assistant sheet --names` keeps names in its own text; those that are announced as names
    ("this is Tobin") still stay out of the page, and so do telephone numbers."""
    text, _ = asked(sheet(tmp_path, ".md", "--names"), tmp_path)
    assert "Can I freeze it?" in text
    assert not [name for name in ("Tobin", "555", "billing") if name in text]


def test_a_plain_list_with_bullets_numbers_and_a_heading(tmp_path: Path) -> None:
    """One question a line, however the list is marked; a heading is no question."""
    path = tmp_path / "list.md"
    path.write_text(
        "# Left over\n\n- How much broth for 14?\n* can I freeze it\n2. the fiber?\n", "utf-8"
    )
    text, said = asked(path, tmp_path)
    assert text.count("\n- **") == 3
    assert "Left over" not in text
    assert said == ()
    assert plain_line("10) how many?") == "how many?"
    assert plain_line("1 1/2 cups of what?") == "1 1/2 cups of what?"


def test_the_same_answer_stands_once_and_six_are_the_most(tmp_path: Path) -> None:
    """Two wordings of one question are one; of nine answers three are left out and told."""
    path = tmp_path / "list.txt"
    nutrients = ("sodium", "fiber", "protein", "iron", "calcium", "potassium", "fat", "cholesterol",
                 "calories")  # fmt: skip
    lines = [f"How much {name} is in one bowl?" for name in nutrients]
    path.write_text("\n".join([lines[0].replace("How", "how"), *lines]), "utf-8")
    text, said = asked(path, tmp_path)
    assert text.count("\n- **") == 6
    places = "list.txt:8, list.txt:9, list.txt:10"
    assert said == (f"not on the page: more than the 6 that the page has room for (3: {places})",)


def test_a_question_without_an_answer_is_told(tmp_path: Path) -> None:
    """What the corpus does not cover is counted, and no page is the worse for it."""
    path = tmp_path / "list.txt"
    path.write_text("What is the capital of France?\n", "utf-8")
    text, said = asked(path, tmp_path)
    assert text == ""
    assert len(said) == 1
    assert "(1: list.txt:1)" in said[0]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (
            "<!doctype html><html><body><h3>Soup?</h3></body></html>",
            "no sheet of `assistant sheet`",
        ),
        (None, "a folder"),
    ],
)
def test_a_file_that_is_no_list(content: str | None, words: str, tmp_path: Path) -> None:
    """A web page that is no sheet, and a folder, are told in one line, and no page is written."""
    path = tmp_path / "questions.html"
    if content is None:
        path.mkdir()
    else:
        path.write_text(content, "utf-8")
    with pytest.raises(HandoutError, match=words) as error:
        asked(path, tmp_path)
    assert "\n" not in str(error.value)
    assert not (tmp_path / "page.md").exists()


def test_any_bytes_are_read_as_something(tmp_path: Path) -> None:
    """A picture given for a list yields no question, and no fault."""
    path = tmp_path / "photo.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20)
    text, _ = asked(path, tmp_path)
    assert text == ""


def test_a_sheet_is_known_by_its_mark(tmp_path: Path) -> None:
    """A sheet's questions come with topic and line; a list is none."""
    entries = read_sheet(str(sheet(tmp_path, ".md")))
    assert entries is not None
    assert entries[0].topic == "Act now"
    lines = (tmp_path / "sheet.md").read_text("utf-8").splitlines()
    assert all(lines[entry.line - 1].startswith("### ") for entry in entries)
    assert read_sheet(str(chat(tmp_path))) is None


@pytest.mark.parametrize(
    ("masked", "left"),
    [
        ("this is [name] from billing, can I freeze it?", "Can I freeze it?"),
        ("[name] asked me. how long does it keep?", "How long does it keep?"),
        ("can [name] eat it?", ""),
        ("what else? [name] hates spinach", "What else?"),
        ("write to [address]", ""),
        ("how much broth for 14?", "How much broth for 14?"),
    ],
)
def test_what_is_left_of_a_question_that_names_somebody(masked: str, left: str) -> None:
    """The clause or sentence with a name goes; a question that needs its name is not printed."""
    assert _anybody(masked) == left
