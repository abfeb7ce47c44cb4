"""Reading messages: every form, and every bad input with its message and its count."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inbox.reading import of_bytes, of_files, sorted_of

from assistant.inbox.readers.forms import InboxError
from assistant.inbox.readers.markup import to_text

CSV = (
    "Timestamp;Name;What did you think?;Any questions?\n"
    "10/06/2026 1:05 PM;Ada Birch;Really liked the soup;Does it freeze well?\n"
    "10/06/2026 1:09 PM;;The sound had an echo;\n"
)


def test_csv_guesses_delimiter_header_and_all_free_answers() -> None:
    """Semicolons, a header and two free columns: both answers are kept, with date and name."""
    one, two = of_bytes(CSV.encode(), "survey.csv")
    assert one.text == "Really liked the soup\nDoes it freeze well?"
    assert (one.sender, one.received, one.source) == (
        "Ada Birch",
        "2026-10-06T13:05:00",
        "survey.csv:2",
    )
    assert two.text == "The sound had an echo"


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", "^", "~"])
def test_csv_of_any_delimiter(delimiter: str) -> None:
    """The delimiter is found whichever it is."""
    rows = [["id", "date", "comment"], ["a1", "2026-10-06", "can I freeze this soup"]]
    raw = "\n".join(delimiter.join(row) for row in rows).encode()
    (made,) = of_bytes(raw, "x.csv")
    assert (made.id, made.text) == ("a1", "can I freeze this soup")


def test_text_column_overrides_by_name_and_by_number() -> None:
    """--text-column takes a header's name or a number counted from 1."""
    for column in ("Any questions?", "4"):
        one = of_bytes(CSV.encode(), "survey.csv", columns={"text": [column]})[0]
        assert one.text == "Does it freeze well?"


def test_missing_column_names_those_there_are() -> None:
    """A column that is not there is an error that lists the columns."""
    with pytest.raises(InboxError) as error:
        of_bytes(b"id,comment\n1,hello\n", "s.csv", columns={"text": ["Words"]})
    assert str(error.value) == (
        's.csv: there is no column "Words" (--text-column); it has "id", "comment"; '
        "give one of these, or its number counted from 1"
    )


def test_wrong_delimiter_keeps_every_row() -> None:
    """With a delimiter that never occurs, each row is one message and says so."""
    made = of_bytes(CSV.encode(), "survey.csv", delimiter="|", header="no")
    assert len(made) == 3
    assert 'the delimiter "|" is nowhere in the first line' in made[0].notes


def test_unbalanced_quotes_lose_one_row_only() -> None:
    """A quotation mark that is never closed makes its own row unreadable, not the rest."""
    raw = b'id,comment\n1,fine\n2,"never closed\n3,still here\n4,and here\n'
    made = of_bytes(raw, "q.csv")
    assert [(m.source, m.unreadable) for m in made] == [
        ("q.csv:2", ""),
        ("q.csv:3", "a quotation mark is opened in this row and never closed"),
        ("q.csv:4", ""),
        ("q.csv:5", ""),
    ]


def test_quotes_that_do_not_pair_up_are_a_row() -> None:
    """Two stray marks do not join two rows into one."""
    made = of_bytes(b'id,comment\n1,"one\n2,"two\n3,three\n', "q.csv")
    assert len(made) == 3
    assert made[0].unreadable == "quotation marks do not pair up in this row"


def test_mixed_encodings_are_read_line_by_line() -> None:
    """UTF-8 and Windows-1252 in one file are both read, and that is said."""
    raw = "crème fraîche?\n".encode() + "jalapeño?\n".encode("cp1252")
    made = of_bytes(raw)
    assert [m.text for m in made] == ["crème fraîche?", "jalapeño?"]
    assert made[0].notes == ("file mixed encodings: 1 of 2 lines read as Windows-1252",)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "utf-32", "utf-16-le"])
def test_marked_encodings(encoding: str) -> None:
    """A mark at the start (or NULs in every other place) tells the encoding."""
    (made,) = of_bytes("does the soup freeze well".encode(encoding))
    assert made.text == "does the soup freeze well"


def test_nuls_are_taken_out_and_said() -> None:
    """A NUL inside a text goes; the message stays."""
    (made,) = of_bytes(b"how much\0 broth for 14 people in the lentil soup, please tell")
    assert made.text.startswith("how much broth")
    assert made.notes == ("NUL characters taken out",)


def test_terminal_sequences_and_bidi_overrides_go() -> None:
    """Nothing that moves a cursor or turns the text round survives."""
    (made,) = of_bytes("\x1b[2J\x1b]0;title\x07can I \u202efreeze\u202c it\x07".encode())
    assert made.text == "can I freeze it"


def test_a_long_message_is_cut_and_counted() -> None:
    """50 MB in one line is one message; its beginning and its end are read."""
    raw = b"a " * 25_000_000 + b"and my son is throwing up after the chili"
    (made,) = of_bytes(raw)
    assert made.notes == (
        "cut: 50,000,041 characters, the first 60,000 and the last 20,000 were read",
    )
    assert len(made.text) < 80_100
    result = sorted_of([made])
    assert [item.state for item in result.items] == ["act now"]


def test_a_long_mail_is_cut_and_counted() -> None:
    """A mail of many megabytes is one message with a note."""
    raw = b"From: a@example.org\nSubject: hi\n\n" + b"so good " * 1_000_000
    (made,) = of_bytes(raw, "long.eml")
    assert (
        made.notes[0] == "cut: 8,000,033 bytes, the first 4,000,000 and the last 200,000 were read"
    )


def test_a_hundred_thousand_rows() -> None:
    """100,000 rows in are 100,000 messages out."""
    raw = b"id,comment\n" + b"".join(b"%d,can it freeze\n" % i for i in range(100_000))
    assert len(of_bytes(raw, "many.csv")) == 100_000


def test_empty_files_and_the_same_file_twice(tmp_path: Path) -> None:
    """An empty file is said to hold nothing; the same file, or its copy, is read once."""
    empty, one, copy = tmp_path / "e.csv", tmp_path / "a.txt", tmp_path / "b.txt"
    empty.write_bytes(b"")
    one.write_text("does it freeze\n")
    copy.write_text("does it freeze\n")
    found = of_files([empty, one, one, copy])
    assert len(found.messages) == 1
    assert found.said == [
        f"{empty}: no message in it (empty file)",
        f"{one}: given twice; it is read once",
        f"{copy}: holds the same as {one}; it is read once",
    ]


def test_a_missing_file_is_an_error_before_anything_is_read(tmp_path: Path) -> None:
    """A file that cannot be opened is named, with the reason."""
    with pytest.raises(InboxError) as error:
        of_files([tmp_path / "gone.csv"])
    assert str(error.value) == (
        f"{tmp_path}/gone.csv: cannot be read (No such file or directory); nothing was written"
    )


def test_json_lines_with_a_broken_line() -> None:
    """A line that is no JSON is an unreadable row; fields are known by their usual names."""
    raw = b'{"id": "x1", "body": "does it freeze", "from": "Ada"}\n{broken\n[1]\n{"n": 1}\n'
    made = of_bytes(raw, "in.jsonl")
    assert [m.id for m in made] == ["x1", "", "", ""]
    assert made[0].sender == "Ada"
    assert made[1].unreadable.startswith("not a line of JSON: ")
    assert made[2].unreadable == "a line of JSON, but no object with a text in it"
    assert made[3].unreadable == ("no field holds a text (it has n); name it with --text-column")


def test_chat_exports() -> None:
    """Time and name before each text, in several layouts; a text may run over lines."""
    raw = (
        "12:48 Ada: can I freeze it\nand for how long\n"
        "[12:50:09] Ben Oak: yum\n"
        "1:02 PM From Cleo to Everyone: is there a link\n"
    )
    made = of_bytes(raw.encode(), "chat.txt", date="2026-10-06")
    assert [(m.received, m.sender, m.text) for m in made] == [
        ("2026-10-06T12:48:00", "Ada", "can I freeze it\nand for how long"),
        ("2026-10-06T12:50:09", "Ben Oak", "yum"),
        ("2026-10-06T13:02:00", "Cleo", "is there a link"),
    ]


LAYOUTS = {
    "tab": "12:22:05\t From  Ana Ruiz  to  Everyone : can it freeze\n12:23\t Bo Lind:\tyum\n",
    "text below": "12:22:05 From Ana Ruiz to All:\n\tcan it freeze\n12:23 From Bo Lind:\n\tyum\n",
    "dash": "10/6/26, 12:22:05 PM - Ana Ruiz: can it freeze\n10/6/26, 12:23 PM - Bo Lind: yum\n",
    "brackets": "[10/6/2026, 12:22:05 PM] Ana Ruiz: can it freeze\n[12:23] Bo Lind: yum\n",
    "name first": "Ana Ruiz 12:22:05 PM\ncan it freeze\n\nBo Lind 12:23 PM\nyum\n",
    "name, time in brackets": "Ana Ruiz  [12:22:05 PM]\ncan it freeze\nBo Lind  [12:23]\nyum\n",
    "name, time before a colon": "Ana Ruiz (12:22:05): can it freeze\nBo Lind (12:23): yum\n",
    "angles": "[12:22:05] <Ana Ruiz> can it freeze\n[12:23] <Bo Lind> yum\n",
    "whole date": "2026-10-06 12:22:05 Ana Ruiz: can it freeze\n2026-10-06T12:23 Bo Lind: yum\n",
}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_chat_layouts(layout: str) -> None:
    """However a meeting program saves its chat: two messages, who wrote them and when."""
    made = of_bytes(LAYOUTS[layout].encode(), "chat.txt", date="2026-10-06")
    assert [(m.received, m.sender, m.text) for m in made] == [
        ("2026-10-06T12:22:05", "Ana Ruiz", "can it freeze"),
        ("2026-10-06T12:23:00", "Bo Lind", "yum"),
    ]


def test_plain_text_lines_blocks_and_rules() -> None:
    """A message a line; between rules where there are any; between empty lines if asked."""
    assert len(of_bytes(b"one\n\ntwo\nthree\n")) == 3
    assert [m.text for m in of_bytes(b"one\nmore\n---\ntwo\n")] == ["one\nmore", "two"]
    assert len(of_bytes(b"one\nmore\n\ntwo\n", split="blank")) == 2


def test_mbox_with_encodings_and_html() -> None:
    """Encoded headers, quoted-printable and HTML in one folder."""
    raw = (
        b"From a@example.org Tue Oct  6 13:00:00 2026\n"
        b"From: =?utf-8?q?J=C3=B8rn?= <j@example.org>\nSubject: =?utf-8?b?"
        + base64.b64encode("crème".encode())
        + b"?=\nDate: Tue, 06 Oct 2026 13:00:00 +0000\nMessage-ID: <m1@example.org>\n"
        b"Content-Type: text/plain; charset=iso-8859-1\nContent-Transfer-Encoding: quoted-printable"
        b"\n\nIs cr=E8me fine?\n>From here on\n\n"
        b"From b@example.org Tue Oct  6 14:00:00 2026\nSubject: two\nContent-Type: text/html\n\n"
        b"<p>Hi</p><script>alert(1)</script><p>Does it <b>freeze</b>?</p>\n"
    )
    one, two = of_bytes(raw, "in.mbox")
    assert (one.sender, one.subject, one.id) == ("Jørn <j@example.org>", "crème", "m1@example.org")
    assert one.text == "Is crème fine?\nFrom here on"
    assert one.received == "2026-10-06T13:00:00Z"
    assert two.text == "Hi\n\nDoes it freeze?"


def test_nested_attachments_and_broken_mime() -> None:
    """A mail inside a mail stands under a forwarding mark; files are left out and counted."""
    raw = (
        b"From: a@example.org\nSubject: x\nMIME-Version: 1.0\n"
        b"Content-Type: multipart/mixed; boundary=B\n\n--B\nContent-Type: text/plain\n\nSee below\n"
        b"--B\nContent-Type: message/rfc822\n\nFrom: c@example.org\nSubject: y\n\n"
        b"Is it safe to eat?\n"
        b"--B\nContent-Type: application/pdf\n"
        b"Content-Disposition: attachment; filename=a.pdf\n\nx\n"
    )
    (made,) = of_bytes(raw, "n.eml")
    assert "Forwarded message" in made.text
    assert "Is it safe to eat?" in made.text
    assert made.notes == ("1 attachment left out: a.pdf", "broken MIME: read as far as it goes")


def test_multipart_nested_without_end_is_one_message() -> None:
    """Parts in parts in parts, deeper than any mail has them, are one message."""
    raw = b"From: a@example.org\nSubject: x\n"
    for depth in range(400):
        raw += b"Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n" % (depth, depth)
    assert len(of_bytes(raw + b"\nhello\n", "deep.eml")) == 1


@pytest.mark.parametrize("piece", ["<", "<!--", "<![if", "<a ", "<?", "&#", "</", "<p"])
def test_hostile_html_takes_linear_time(piece: str) -> None:
    """A tag that never ends, a hundred thousand times over, is no trouble."""
    to_text(piece * 100_000)


@given(st.binary(max_size=400), st.sampled_from(["a.csv", "a.jsonl", "a.mbox", "a.eml", "a.txt"]))
@settings(max_examples=150, deadline=None)
def test_any_bytes_are_read_and_counted(raw: bytes, name: str) -> None:
    """Whatever the bytes: reading never fails, and no two messages have one source."""
    made = of_bytes(raw, name)
    assert len({m.source for m in made}) == len(made)


@given(st.lists(st.binary(max_size=120), max_size=5))
@settings(max_examples=25, deadline=None)
def test_count_in_is_count_out_for_any_bytes(raws: list[bytes]) -> None:
    """Whatever is read is sorted, each message once and in order."""
    messages = [m for i, raw in enumerate(raws) for m in of_bytes(raw, f"{i}.txt")]
    result = sorted_of(messages)
    assert [item.message for item in result.items] == messages
