"""Bad input as a person meets it: the command line, its messages, its counts, its files."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from desk_fixture import CORPUS
from inbox.reading import of_bytes

from assistant.faces.cli import run
from assistant.inbox.seam import flowed

Caught = pytest.CaptureFixture[str]


def triage(place: Path, files: dict[str, bytes], *options: str) -> tuple[int, list[Path]]:
    """Run the command over files; its exit status and the files."""
    paths = [place / name for name in files]
    for path, raw in zip(paths, files.values(), strict=True):
        path.write_bytes(raw)
    named = [str(path) for path in paths]
    out = ["--out", str(place / "out")]
    return run(["triage", *named, *out, *options, "--corpus", str(CORPUS)]), paths


def rows(place: Path) -> list[dict[str, str]]:
    """The rows of the queue."""
    text = (place / "out" / "queue.csv").read_text("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def said(caught: Caught) -> list[str]:
    """The lines on standard error but for progress, without the program's name."""
    lines = [line.removeprefix("assistant: ") for line in caught.readouterr().err.splitlines()]
    return [line for line in lines if not line.startswith(("sorted ", "drafted ", "grouping "))]


CASES = {
    "nothing at all": ({"e.csv": b""}, 0, "e.csv: no message in it (empty file)"),
    "only a header": ({"h.csv": b"id,comment\n"}, 0, "h.csv: no message in it"),
    "only empty lines": ({"l.txt": b"\n \n\n"}, 0, "l.txt: no message in it"),
}


@pytest.mark.parametrize("name", CASES)
def test_files_without_a_message(tmp_path: Path, capsys: Caught, name: str) -> None:
    """A file that holds nothing is said to, and the count is none in, none out."""
    files, count, message = CASES[name]
    assert triage(tmp_path, files)[0] == 0
    lines = said(capsys)
    assert any(line.startswith(f"{tmp_path}/{message}") for line in lines), lines
    assert lines[-1] == "0 messages in, 0 out"
    assert len(rows(tmp_path)) == count


def test_fifty_megabytes_in_one_message(tmp_path: Path, capsys: Caught) -> None:
    """One row; its end was read, and it says how much was left out."""
    raw = b"so good " * 6_250_000 + b"and now my son is throwing up after the chili"
    assert triage(tmp_path, {"big.txt": raw})[0] == 0
    (row,) = rows(tmp_path)
    assert row["state"] == "act now"
    assert row["remarks"].startswith(
        "cut: 50,000,045 characters, the first 60,000 and the last 20,000 were read"
    )
    assert said(capsys)[-1] == "1 message in, 1 out"


def test_a_delimiter_that_is_wrong(tmp_path: Path, capsys: Caught) -> None:
    """Each row is one message, whole, and the queue says why."""
    raw = b"id;comment\n1;does the minestrone freeze\n2;lovely class\n"
    assert triage(tmp_path, {"s.csv": raw}, "--delimiter", "|", "--header", "no")[0] == 0
    found = rows(tmp_path)
    assert len(found) == 3
    assert all('the delimiter "|" is nowhere in the first line' in r["remarks"] for r in found)
    assert said(capsys)[-1] == "3 messages in, 3 out"


def test_mixed_encodings_and_nuls(tmp_path: Path, capsys: Caught) -> None:
    """Two encodings and a NUL in one file: every line is read, and what was done is said."""
    raw = "crème in the soup?\n".encode() + "jalapeño in it?\n".encode("cp1252") + b"sa\0lt?\n"
    assert triage(tmp_path, {"m.txt": raw})[0] == 0
    found = {r["message"]: r["remarks"] for r in rows(tmp_path)}
    assert set(found) == {"crème in the soup?", "jalapeño in it?", "salt?"}
    assert "NUL characters taken out" in found["salt?"]
    assert said(capsys)[-1] == "3 messages in, 3 out"


def test_broken_mime_and_nested_attachments(tmp_path: Path, capsys: Caught) -> None:
    """A mail in a mail is read, attachments are counted, what is broken is said."""
    raw = (
        b"From: a@example.org\nSubject: x\nMIME-Version: 1.0\n"
        b"Content-Type: multipart/mixed; boundary=B\n\n--B\nContent-Type: text/plain\n\nSee below\n"
        b"--B\nContent-Type: message/rfc822\n\nFrom: c@example.org\nSubject: y\n\n"
        b"Is it safe to eat?\n--B\nContent-Type: application/pdf\n"
        b"Content-Disposition: attachment; filename=a.pdf\n\nx\n"
    )
    assert triage(tmp_path, {"n.eml": raw})[0] == 0
    (row,) = rows(tmp_path)
    assert row["state"] in {"ready", "check", "write"}
    assert row["questions"] == "1"
    assert "1 attachment left out: a.pdf; broken MIME: read as far as it goes" in row["remarks"]
    assert said(capsys)[-1] == "1 message in, 1 out"


def test_unbalanced_quotes(tmp_path: Path, capsys: Caught) -> None:
    """The row that cannot be read is a row for a person to look at; the others are sorted."""
    raw = b'id,comment\n1,fine class\n2,"never closed\n3,does the minestrone freeze\n'
    assert triage(tmp_path, {"q.csv": raw})[0] == 0
    found = {r["source"]: (r["state"], r["remarks"]) for r in rows(tmp_path)}
    assert len(found) == 3
    state, remark = found["q.csv:3"]
    assert state == "write"
    assert remark == "unreadable: a quotation mark is opened in this row and never closed"
    assert said(capsys)[-1] == "3 messages in, 3 out"


def test_cells_that_begin_a_formula(tmp_path: Path, capsys: Caught) -> None:
    """Whatever a cell began with, no cell of the queue begins a formula."""
    raw = (
        b'id,from,comment\n=1+1,=cmd|x,"=HYPERLINK(""http://x"")"\n'
        b"+2,@sum,-3 cups of rice is how much\n"
    )
    assert triage(tmp_path, {"f.csv": raw}, "--names")[0] == 0
    cells = [cell for row in rows(tmp_path) for cell in row.values()]
    assert "'=cmd|x" in cells
    assert not [cell for cell in cells if cell.lstrip(" ").startswith(("=", "+", "-", "@"))]
    assert said(capsys)[-1] == "2 messages in, 2 out"


def test_control_sequences_and_overrides(tmp_path: Path, capsys: Caught) -> None:
    """Neither the terminal nor a file gets a sequence that moves a cursor or turns text round."""
    raw = "\x1b[2J\x1b]0;x\x07can I \u202efreeze\u202c the minestrone\x9b31m\n".encode()
    assert triage(tmp_path, {"\u202ename.txt": raw}, "--names")[0] == 0
    printed = capsys.readouterr()
    files = "".join(p.read_text("utf-8-sig") for p in (tmp_path / "out").iterdir())
    assert not set(printed.out + printed.err + files) & set("\x1b\x07\x9b\u202e\u202c")
    assert rows(tmp_path)[0]["message"].startswith("can I freeze the minestrone")


def test_html_with_scripts(tmp_path: Path, capsys: Caught) -> None:
    """Scripts are no words of a message, and no mark of it reaches the digest."""
    raw = (
        b"From: Eve <eve@example.org>\nSubject: hi\nContent-Type: text/html\n\n"
        b"<script>alert(1)</script><img src=x onerror=alert(2)>"
        b"<p>I love the minestrone &lt;3 thank you</p>\n"
    )
    assert triage(tmp_path, {"s.eml": raw})[0] == 0
    assert rows(tmp_path)[0]["message"] == "I love the minestrone <3 thank you"
    digest = (tmp_path / "out" / "digest.html").read_text("utf-8")
    assert "alert" not in digest
    assert "minestrone &lt;3" in digest
    assert said(capsys)[-1] == "1 message in, 1 out"


def test_a_message_that_imitates_our_headings(tmp_path: Path, capsys: Caught) -> None:
    """What looks like a part of our sheets stands there as a quotation."""
    words = "## 1. act now – 9 messages\n\n**DRAFT – sent**\n- **STOP: can I freeze the soup?**\n"
    raw = f"From: e@example.org\nSubject: x\n\n{words}".encode()
    assert triage(tmp_path, {"i.eml": raw})[0] == 0
    lines = (tmp_path / "out" / "replies.md").read_text("utf-8").splitlines()
    assert [line for line in lines if line.startswith("## ")] == ["## 1. write – 1 message"]
    assert "> \\#\\# 1. act now – 9 messages" in lines
    assert said(capsys)[-1] == "1 message in, 1 out"


def test_the_same_file_twice(tmp_path: Path, capsys: Caught) -> None:
    """A file given twice, or a copy of it, is read once, and that is said."""
    raw = b"does the minestrone freeze\n"
    status, (one, copy) = triage(tmp_path, {"a.txt": raw, "b.txt": raw})
    assert status == 0
    assert said(capsys)[0] == f"{copy}: holds the same as {one}; it is read once"
    assert len(rows(tmp_path)) == 1


def test_a_hundred_thousand_rows_keep_their_count(tmp_path: Path, capsys: Caught) -> None:
    """100,000 rows through the command: as many objects out, in order, and the count is said."""
    path = tmp_path / "many.csv"
    path.write_bytes(b"id,comment\n" + b"".join(b"%d,nothing to add\n" % i for i in range(100_000)))
    options = ["--format", "json", "--jobs", "1", "--corpus", str(CORPUS)]
    assert run(["triage", str(path), *options]) == 0
    printed = capsys.readouterr()
    ids = [json.loads(line)["id"] for line in printed.out.splitlines()]
    assert ids == [str(i) for i in range(100_000)]
    assert printed.err.splitlines()[-1] == "assistant: 100,000 messages in, 100,000 out"


@pytest.mark.parametrize(
    "place",
    ["a-file/below", "a-file"],
)
def test_a_place_that_cannot_be_written(tmp_path: Path, capsys: Caught, place: str) -> None:
    """Nothing is written, the folder is named with the reason and the next step, status 2."""
    (tmp_path / "a-file").write_text("mine")
    (tmp_path / "m.txt").write_text("does the minestrone freeze\n")
    out = tmp_path / place
    command = ["triage", str(tmp_path / "m.txt"), "--out", str(out), "--corpus", str(CORPUS)]
    assert run(command) == 2
    told = capsys.readouterr().err.splitlines()[-1]
    assert told.startswith(f"assistant: {out}")
    assert told.endswith("(Not a directory); nothing was changed; give another --out")
    assert (tmp_path / "a-file").read_text() == "mine"


def test_wrapped_lines_are_one_sentence() -> None:
    """A mail program's line breaks split no question; a line that ends for good ends in a mark."""
    text = (
        "Hello,\n\nI was wondering whether I could freeze the soup that I made on\n"
        "Tuesday or whether it is too late.\n\n- one thing\n- another\nBo"
    )
    assert flowed(text).split("\n") == [
        "Hello,",
        "I was wondering whether I could freeze the soup that I made on Tuesday or whether it is "
        "too late.",
        "- one thing.",
        "- another.",
        "Bo",
    ]


def test_a_wrapped_mail_asks_one_question(tmp_path: Path) -> None:
    """A question that runs over a line break is read as one."""
    raw = (
        b"From: a@example.org\nSubject: minestrone\n\nI made a large pot on Sunday and wonder how "
        b"many days\ncan the minestrone stay in the refrigerator at work before\nit has to go?\n"
    )
    assert len(of_bytes(raw, "w.eml")) == 1
    assert triage(tmp_path, {"w.eml": raw})[0] == 0
    assert rows(tmp_path)[0]["questions"] == "1"
