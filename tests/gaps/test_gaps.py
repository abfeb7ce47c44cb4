"""Gaps: a log that is masked and only added to, questions grouped, drafts that fit the corpus."""

from __future__ import annotations

import datetime
import json
import stat
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import msgspec
import pytest
from corpus.smallest import FILES, write
from desk_fixture import TODAY, desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.answer import Answer
from assistant.compiling import check
from assistant.corpus.records import Ingredient, Note, Swap
from assistant.corpus.source import read_note, read_yaml
from assistant.faces import cli
from assistant.gaps import LogError, log, record, usable
from assistant.gaps.drafts import ANSWER, Draft, drafts
from assistant.gaps.drafts import write as write_drafts
from assistant.gaps.groups import Gap, find
from assistant.gaps.log import Entry, read
from assistant.inbox.mask import Masker

TEMPER = (
    "How do I temper chocolate without a thermometer?",
    "What is the best way to temper chocolate?",
)
GOCHUJANG = "What instead of gochujang?"
JACKFRUIT = "Can I use jackfruit instead of chicken?"


@lru_cache(maxsize=1)
def mask() -> Masker:
    """The masker that the command line uses."""
    return Masker(desk().corpus, ())


def entry(question: str, kind: str = "", verdict: str = "unknown", day: int = 1) -> Entry:
    """An entry of a log, asked in October."""
    return Entry(asked=f"2026-10-{day:02}", question=question, kind=kind, verdict=verdict)


def answer(question: str, verdict: str = "unknown") -> Answer:
    """An answer with nothing in it but what a log keeps."""
    made = Answer(question=question, kind="swap", verdict="unknown", headline="I don't know.")
    return msgspec.structs.replace(made, verdict=verdict)


def made_of(*entries: Entry) -> tuple[tuple[Gap, ...], list[tuple[Draft, ...]]]:
    """The gaps of some entries, and their drafts."""
    gaps = find(entries, desk())
    return gaps, drafts(gaps, desk())


# ----------------------------------------------------------------------------------------- the log


def test_a_line_is_written_for_each_question(tmp_path: Path) -> None:
    """Two answers are two lines of JSON with the four fields, which read back as they were."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), TODAY, mask())
    record(path, answer(JACKFRUIT, "quoted"), TODAY, mask())
    lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    assert lines[0] == {
        "asked": "2026-11-25", "question": GOCHUJANG, "kind": "swap", "verdict": "unknown",
    }  # fmt: skip
    found = read([path], mask())
    assert [e.verdict for e in found.entries] == ["unknown", "quoted"]
    assert found.broken == ()


def test_a_log_is_readable_by_its_owner_alone(tmp_path: Path) -> None:
    """What people ask may tell of their health."""
    path = tmp_path / "log.jsonl"
    usable(path)
    assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0


def test_what_is_personal_never_reaches_the_log(tmp_path: Path) -> None:
    """Names that are introduced, addresses and telephone numbers are masked before writing."""
    path = tmp_path / "log.jsonl"
    said = "My name is Dana Brook, dana.brook@example.org, 555-123-4567: what instead of gochujang?"
    record(path, answer(said), TODAY, mask())
    text = path.read_text("utf-8")
    assert "[name]" in text and "[address]" in text and "[phone]" in text
    assert not any(part in text for part in ("Dana", "Brook", "example", "4567"))


def test_what_is_personal_is_masked_in_a_list_from_elsewhere(tmp_path: Path) -> None:
    """A list that was never masked is masked when it is read."""
    path = tmp_path / "questions.txt"
    path.write_text("Call me at 555-123-4567: what instead of gochujang?\n", "utf-8")
    assert "4567" not in read([path], mask()).entries[0].question


@given(st.text(max_size=700))
def test_any_question_is_one_harmless_line(text: str) -> None:
    """Whatever was asked, the logged text has no control character and is at most 500 long."""
    made = log._plain(text)
    assert made.isprintable() and len(made) <= log.LONGEST_QUESTION
    assert log._plain(made) == made


def test_a_line_cut_off_by_a_crash_swallows_no_other(tmp_path: Path) -> None:
    """The next question starts a line of its own; the torn one is named as broken."""
    path = tmp_path / "log.jsonl"
    path.write_text('{"asked":"2026-1', "utf-8")
    record(path, answer(GOCHUJANG), TODAY, mask())
    found = read([path], mask())
    assert [e.question for e in found.entries] == [GOCHUJANG]
    assert len(found.broken) == 1 and found.broken[0].startswith(f"{path}:1: ")


def test_a_full_log_takes_no_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the size limit the log is left as it is, and the message says what to do."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), TODAY, mask())
    before = path.read_bytes()
    monkeypatch.setattr(log, "MOST_BYTES", len(before))
    with pytest.raises(LogError, match=r"is full.*name a new file"):
        record(path, answer(GOCHUJANG), TODAY, mask())
    assert path.read_bytes() == before


def test_no_other_file_is_taken_for_a_log(tmp_path: Path) -> None:
    """A recipe named by mistake, a folder, a place that is not there: refused and unchanged."""
    recipe = tmp_path / "soup.yaml"
    recipe.write_text("id: soup\n", "utf-8")
    for path in (recipe, tmp_path, tmp_path / "none" / "log.jsonl"):
        with pytest.raises(LogError):
            record(path, answer(GOCHUJANG), TODAY, mask())
    assert recipe.read_text("utf-8") == "id: soup\n"


def test_broken_lines_are_named_and_the_rest_is_read(tmp_path: Path) -> None:
    """Each kind of damage has its line and reason; empty lines are nothing."""
    good = '{"asked":"2026-10-06","question":"What instead of gochujang?","kind":"swap","verdict":'
    lines = [
        good + '"unknown"}',
        "not json",
        "",
        good + '"perhaps"}',
        good.replace("2026-10-06", "October") + '"unknown"}',
        good.replace(GOCHUJANG, "?!") + '"unknown"}',
        '{"asked":"2026-10-06"}',
        "[" * 5_000,
        '{"x":' + "[" * 5_000,
        good + '"asks"}',
    ]
    path = tmp_path / "log.jsonl"
    path.write_bytes("\n".join(lines).encode() + b"\n\xff\xfe{\n")
    found = read([path], mask())
    assert [e.verdict for e in found.entries] == ["unknown", "asks"]
    numbers = [int(line.removeprefix(f"{path}:").partition(":")[0]) for line in found.broken]
    assert numbers == [2, 4, 5, 6, 7, 8, 9, 11]


# ---------------------------------------------------------------------------------------- grouping


def test_other_words_are_the_same_question() -> None:
    """Wordings of one question are one gap, with each wording and the sum of the counts."""
    gaps = find([entry(TEMPER[0]), entry(TEMPER[1]), entry(TEMPER[1])], desk())
    assert [(gap.count, gap.wordings) for gap in gaps] == [(3, (TEMPER[1], TEMPER[0]))]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("What instead of gochujang?", "What instead of doenjang?"),
        ("How long does kimchi keep?", "How long does it keep?"),
        ("How much sodium is in gochujang?", "What instead of gochujang?"),
        ("How do you open a coconut?", "How do I temper chocolate?"),
    ],
)
def test_different_questions_stay_apart(one: str, other: str) -> None:
    """Another food, or another thing asked of the same food, is another gap."""
    assert len(find([entry(one), entry(other)], desk())) == 2


def test_the_most_asked_comes_first_then_the_latest() -> None:
    """Three times goes before twice; of two asked equally often the later one goes first."""
    entries = [
        entry(JACKFRUIT, "swap", day=2),
        *[entry(TEMPER[0], "technique", day=1)] * 3,
        entry(GOCHUJANG, "swap", day=5),
    ]
    gaps = find(entries, desk())
    assert [gap.question for gap in gaps] == [TEMPER[0], GOCHUJANG, JACKFRUIT]
    assert [gap.last for gap in gaps] == ["2026-10-01", "2026-10-05", "2026-10-02"]


def test_the_order_of_the_log_does_not_matter() -> None:
    """The same entries in any order give the same gaps."""
    entries = [entry(q, day=d) for d, q in enumerate((*TEMPER, GOCHUJANG, JACKFRUIT), 1)]
    assert find(entries, desk()) == find(entries[::-1], desk())


def test_what_was_answered_is_no_gap() -> None:
    """Only the verdicts unknown and asks count."""
    verdicts = ("computed", "quoted", "partial", "refer", "unknown", "asks")
    gaps = find([entry(GOCHUJANG, "swap", verdict) for verdict in verdicts], desk())
    assert [gap.count for gap in gaps] == [2]


def test_a_plain_list_is_asked_once_more(tmp_path: Path) -> None:
    """A list without verdicts may hold answered questions: they are no gaps."""
    path = tmp_path / "questions.txt"
    known = "How much broth do I need if I make the red lentil soup for 14?"
    path.write_text(f"{GOCHUJANG}\n{known}\n{GOCHUJANG}\n", "utf-8")
    gaps = find(read([path], mask()).entries, desk())
    assert [(gap.question, gap.count, gap.kind) for gap in gaps] == [(GOCHUJANG, 2, "swap")]


def test_masked_words_tell_no_question_from_another() -> None:
    """The mark of a masked telephone number makes no new question, and reaches no draft."""
    gaps, made = made_of(entry(TEMPER[1]), entry(f"[phone] {TEMPER[1]}"))
    assert len(gaps) == 1
    assert "[phone]" not in made[0][0].text


# ------------------------------------------------------------------------------------------ drafts


def _parsed(draft: Draft, folder: Path) -> Note | Ingredient | Swap:
    """A draft, written and read back as the corpus reads its files."""
    write_drafts([draft], folder)
    path = folder / draft.path
    place = draft.path.partition("/")[0]
    if place == "notes":
        source = read_note(path, draft.path)
        assert not source.problems
        return msgspec.convert({**source.data, "text": source.text}, Note, strict=False)
    source = read_yaml(path, draft.path)
    assert not source.problems
    (row,) = source.data
    if place == "pantry":
        return msgspec.convert(row, Ingredient, strict=False)
    return msgspec.convert(row, Swap, strict=False)


def test_a_technique_gets_a_note(tmp_path: Path) -> None:
    """The note holds id, title, kinds, ingredients, the wordings, a source and the placeholder."""
    _, made = made_of(entry(TEMPER[0], "technique"), entry(TEMPER[1], "technique"))
    note = _parsed(made[0][0], tmp_path)
    assert isinstance(note, Note)
    assert made[0][0].path == f"notes/{note.id}.md"
    assert note.kinds == ("technique",)
    assert note.ingredients == ("dark-chocolate",)
    assert set(note.asks) == set(TEMPER)
    assert note.sources == ("common-practice",)
    assert note.text == ANSWER


def test_an_unknown_food_gets_a_pantry_item_that_claims_nothing(tmp_path: Path) -> None:
    """Until its label is read it may contain every allergen, and gluten."""
    _, made = made_of(entry("Is it ok to keep kimchi in the pantry?", "storage"))
    item = _parsed(made[0][0], tmp_path)
    assert isinstance(item, Ingredient)
    assert (item.id, item.gluten, len(item.may), item.contains) == ("kimchi", "may", 9, ())
    assert '# food: "11118"  # Cabbage, kimchi' in made[0][0].text


def test_a_swap_gets_a_swap_and_what_it_needs(tmp_path: Path) -> None:
    """Jackfruit is not in the pantry: its item comes first, then the swap from chicken to it."""
    _, made = made_of(entry(JACKFRUIT, "swap"))
    item, swap = (_parsed(draft, tmp_path) for draft in made[0])
    assert isinstance(item, Ingredient) and isinstance(swap, Swap)
    assert (swap.out, swap.use, item.id) == (("chicken-breast",), "jackfruit", "jackfruit")


@pytest.mark.parametrize(
    "name", ["yes", "null", "2026", "1e5", "ação: #no", 'a "b" \\', "- x", "ñ"]
)
def test_no_wording_breaks_a_draft(name: str, tmp_path: Path) -> None:
    """Words that mean something to YAML, in a question, in a food's name, stay words."""
    for kind in ("technique", "nutrition", "swap"):
        gap = Gap(count=1, wordings=(f"{name}?",), kind=kind, asks=False, outside=(name,))
        for draft in drafts([gap], desk())[0]:
            folder = tmp_path / kind
            made = _parsed(draft, folder)
            assert isinstance(made.id, str) and draft.path.split("/")[1].startswith(made.id)


def test_each_question_has_a_draft_of_its_own() -> None:
    """Two notes with the same telling words get two files; two gaps share a pantry item."""
    one = Gap(count=1, wordings=("Why temper chocolate?",), kind="technique", asks=False)
    two = msgspec.structs.replace(one, wordings=("How to temper chocolate?",))
    paths = [draft.path for own in drafts([one, two], desk()) for draft in own]
    assert paths == ["notes/temper-chocolate.md", "notes/temper-chocolate-2.md"]


def test_an_unfilled_swap_is_named_by_the_check(tmp_path: Path) -> None:
    """Pantry item and note are sound as drafted; a swap without amounts is a fault."""
    note = Gap(count=1, wordings=("How do you open a coconut?",), kind="technique", asks=False)
    swap = Gap(count=1, wordings=(JACKFRUIT,), kind="swap", asks=False, outside=("jackfruit",))
    folder = write(tmp_path / "corpus", FILES)
    write_drafts([d for own in drafts([note, swap], desk()) for d in own], folder)
    faults = check(folder)
    assert faults
    assert {fault.file.partition("/")[0] for fault in faults} == {"swaps"}


def test_no_file_is_written_over(tmp_path: Path) -> None:
    """What was filled in stays; it is said to be there already."""
    made = drafts(find([entry(TEMPER[0], "technique")], desk()), desk())[0]
    assert write_drafts(made, tmp_path) == ([made[0].path], [])
    (tmp_path / made[0].path).write_text("mine", "utf-8")
    assert write_drafts(made, tmp_path) == ([], [made[0].path])
    assert (tmp_path / made[0].path).read_text("utf-8") == "mine"


# -------------------------------------------------------------------------------- the command line


def _run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = cli.run(arguments)
    done = capsys.readouterr()
    return status, done.out, done.err


def test_from_a_question_to_a_draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A question kept with --log is listed by `gaps`, and its draft is written on request."""
    path, folder = str(tmp_path / "log.jsonl"), tmp_path / "drafts"
    for _ in range(2):
        assert _run(capsys, "ask", "--today", "2026-10-06", "--log", path, GOCHUJANG)[0] == 0
    status, out, err = _run(capsys, "gaps", path, "--write", str(folder))
    assert status == 0
    assert out.startswith("2 of 2 questions went unanswered, 1 different one:\n")
    assert f"1. asked 2 times, last on 2026-10-06: {GOCHUJANG}\n" in out
    assert "not in the corpus: gochujang" in out
    assert (folder / "pantry" / "gochujang.yaml").is_file()
    assert "fill them in" in err


def test_nothing_is_kept_unless_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without --log a question leaves no file behind."""
    monkeypatch.chdir(tmp_path)
    assert _run(capsys, "ask", GOCHUJANG)[0] == 0
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ((), "The log holds no question yet.\n"),
        (
            (entry(GOCHUJANG, "swap", "quoted"),),
            "No gap: everything in the log was answered (1 question).\n",
        ),
    ],
)
def test_a_log_without_gaps_says_so(
    entries: Sequence[Entry], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An empty log, and one where all was answered, each have their own sentence."""
    path = tmp_path / "log.jsonl"
    path.write_bytes(b"".join(msgspec.json.encode(e) + b"\n" for e in entries))
    status, out, _ = _run(capsys, "gaps", str(path))
    assert status == 0 and out.startswith(said)


def test_several_logs_formats_and_how_many(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Logs add up, --most cuts the list, JSON holds the same; a broken line is said and counted."""
    one, two = tmp_path / "a.jsonl", tmp_path / "b.jsonl"
    one.write_bytes(msgspec.json.encode(entry(GOCHUJANG, "swap")) + b"\nbroken\n")
    two.write_bytes(b"".join(msgspec.json.encode(entry(q)) + b"\n" for q in (GOCHUJANG, TEMPER[0])))
    arguments = ("gaps", str(one), str(two), "--most", "1", "--format")
    status, out, err = _run(capsys, *arguments, "json")
    made = json.loads(out)
    assert status == 0
    assert (made["questions"], made["different"], len(made["broken"])) == (3, 2, 1)
    assert [(gap["question"], gap["count"]) for gap in made["gaps"]] == [(GOCHUJANG, 2)]
    assert f"{one}:2: " in err and "1 line left out" in err
    out = _run(capsys, *arguments, "markdown")[1]
    assert f"## {GOCHUJANG}\n" in out and "```yaml\n- id: gochujang\n" in out


def test_a_date_is_today_unless_given(tmp_path: Path) -> None:
    """The date in the log is the one that the question was asked on."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), datetime.date(2026, 10, 6), mask())
    assert read([path], mask()).entries[0].asked == "2026-10-06"
