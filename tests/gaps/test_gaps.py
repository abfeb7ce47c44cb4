"""Gaps: questions grouped, drafts that fit the corpus and pass its check, the command line."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Sequence
from functools import lru_cache
from pathlib import Path

import msgspec
import pytest
from corpus.smallest import FILES, write
from desk_fixture import desk

from assistant.answer import Answer
from assistant.compiling import check
from assistant.corpus.records import Ingredient, Note, Swap
from assistant.corpus.source import read_note, read_yaml
from assistant.faces import cli
from assistant.gaps import groups, record
from assistant.gaps.drafts import ANSWER, SOURCE, Draft, drafts
from assistant.gaps.drafts import write as write_drafts
from assistant.gaps.groups import Gap, find, unmasked
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
        ("How does one open a coconut?", "How do I temper chocolate?"),
        ("Potatoes?", "How do I peel potatoes?"),
    ],
)
def test_different_questions_stay_apart(one: str, other: str) -> None:
    """Another food, or another thing asked of the same food, is another gap."""
    assert len(find([entry(one), entry(other)], desk())) == 2


def test_what_lacks_the_same_record_is_one_gap() -> None:
    """Two questions on storing kimchi, without a common word, are closed by one pantry item."""
    gaps = find(
        [entry(q, "storage") for q in ("How long does kimchi last?", "kimchi shelf life")], desk()
    )
    assert [(gap.count, gap.outside) for gap in gaps] == [(2, ("kimchi",))]


def test_a_greeting_alone_is_no_gap() -> None:
    """Nothing is lacking where nothing was asked."""
    assert find([entry(said) for said in ("Hello", "ok thanks", "Hi!")], desk()) == ()


@pytest.mark.parametrize(
    ("asked", "kept"),
    [
        ("from [name]: what instead of miso?", "what instead of miso?"),
        ("Question from [name], floor 3: what instead of miso?", "what instead of miso?"),
        ("[name] wants to know if miso melts", "miso melts"),
        ("my mail is [address], does miso melt", "does miso melt"),
        (
            "[name]'s son cannot have soy, is it safe?",
            "somebody's son cannot have soy, is it safe?",
        ),
        ("Miso: what does [name] do?", "Miso: what does do?"),
        ("[phone]", "[phone]"),
    ],
)
def test_a_draft_is_of_the_question_without_who_asked(asked: str, kept: str) -> None:
    """What only tells who asked goes; what a question needs stays."""
    assert unmasked(asked) == kept


def one(terms: Iterable[str], food: str = "") -> groups._One:
    """A wording as it is compared: by its terms, and the food it names."""
    return groups._One(
        entries=[entry(" ".join(terms), "technique")],
        kind="technique",
        terms=frozenset(terms),
        foods=frozenset({food} if food else ()),
        known=(),
        outside=(),
        lacks=False,
    )


def test_no_chain_joins_what_has_nothing_in_common() -> None:
    """The second shares half with the first and half with the third, which share nothing."""
    ones = [one("ab"), one("abcd"), one("cd")]
    assert groups.group([o.terms for o in ones[:2]], ones[:2]) == [0, 0]
    assert groups.group([o.terms for o in ones], ones) == [0, 0, 2]


def test_the_work_grows_with_the_log_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A question is compared with 200 others at most, however many share a word with it.

    Each here shares each of its three words with 200 to 300 others, and no two are the same.
    """
    compared = []

    def same(one: groups._One, other: groups._One) -> bool:
        compared.append(1)
        return plain(one, other)

    plain = groups._same
    monkeypatch.setattr(groups, "_same", same)
    ones = [one((f"a{n % 13}", f"b{n % 17}", f"c{n % 19}"), f"food {n}") for n in range(4000)]
    groups.group([one.terms for one in ones], ones)
    sharing = sum(4000 // 13 + 4000 // 17 + 4000 // 19 for _ in ones) / 2
    assert 100_000 < len(compared) <= 200 * 4000 < sharing


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
    assert note.sources == (SOURCE,)
    assert note.text == ANSWER


def test_an_unknown_food_gets_a_pantry_item_that_claims_nothing(tmp_path: Path) -> None:
    """Until its label is read it may contain every allergen, and gluten."""
    _, made = made_of(entry("Is it ok to keep kimchi in the pantry?", "storage"))
    item = _parsed(made[0][0], tmp_path)
    assert isinstance(item, Ingredient)
    assert (item.id, item.gluten, len(item.may), item.contains) == ("kimchi", "may", 9, ())
    assert '# food: "11118"  # Cabbage, kimchi' in made[0][0].text


def test_asked_how_it_keeps_the_item_needs_a_storage_rule(tmp_path: Path) -> None:
    """An item drafted for a question on storage names its rule or is named by the check."""
    for kind, rule in (("storage", "write-the-id-of-its-rule"), ("nutrition", "")):
        _, made = made_of(entry("kimchi in the fridge", kind))
        item = _parsed(made[0][0], tmp_path / kind)
        assert isinstance(item, Ingredient) and item.storage == rule


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


def test_a_note_draft_names_the_nearest_note() -> None:
    """Where a note holds most of what is asked it is named; where none does, none is."""
    one = Gap(count=1, wordings=("crying over cutting onions",), kind="technique", asks=False)
    two = msgspec.structs.replace(one, wordings=("Is tempering chocolate hard?",))
    made = [own[0] for own in drafts([one, two], desk())]
    assert made[0].near.startswith("notes/cutting-onions.md: ")
    assert made[1].near == ""


def test_a_strange_word_beside_a_food_is_no_food_without_a_row() -> None:
    """ "Footprint" is in no table and lentils are known: a note is drafted, not a pantry item."""
    _, made = made_of(entry("what's the carbon footprint of lentils", "ingredient"))
    assert [draft.path for draft in made[0]] == ["notes/carbon-footprint-lentils.md"]


def test_each_question_has_a_draft_of_its_own() -> None:
    """Two notes with the same telling words get two files; two gaps share a pantry item."""
    one = Gap(count=1, wordings=("Why temper chocolate?",), kind="technique", asks=False)
    two = msgspec.structs.replace(one, wordings=("How to temper chocolate?",))
    paths = [draft.path for own in drafts([one, two], desk()) for draft in own]
    assert paths == ["notes/temper-chocolate.md", "notes/temper-chocolate-2.md"]


def _drafted(folder: Path) -> dict[str, Path]:
    """The smallest corpus with the draft of a note, of a pantry item and of a swap, by place."""
    note = Gap(count=1, wordings=("How does one open a coconut?",), kind="technique", asks=False)
    swap = Gap(count=1, wordings=(JACKFRUIT,), kind="swap", asks=False, outside=("jackfruit",))
    write(folder, FILES)
    made = [draft for own in drafts([note, swap], desk()) for draft in own]
    write_drafts(made, folder)
    return {draft.path.partition("/")[0]: folder / draft.path for draft in made}


def test_each_unfilled_draft_is_named_by_the_check(tmp_path: Path) -> None:
    """Note, pantry item and swap each lack a source, which the check says of their files."""
    made = _drafted(tmp_path / "corpus")
    lacking = {f.file for f in check(tmp_path / "corpus") if SOURCE in f.message}
    assert lacking == {path.relative_to(tmp_path / "corpus").as_posix() for path in made.values()}
    assert set(made) == {"notes", "pantry", "swaps"}


def test_filled_in_drafts_pass_the_check(tmp_path: Path) -> None:
    """With source, amounts and words written where the draft asks for them, nothing is amiss."""
    folder = tmp_path / "corpus"
    for path in _drafted(folder).values():
        text = path.read_text("utf-8").replace(SOURCE, "common-practice")
        text = text.replace(ANSWER, "Drain a coconut through its soft eye, then tap it open.")
        text = text.replace("write the amount here, such as 1 cup", "8 oz")
        text = text.replace("use: write-the-id-of-what-replaces-it", "use: onion")
        path.write_text(text, "utf-8")
    assert [fault.message for fault in check(folder)] == []


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
    assert f"## 1. {GOCHUJANG}\n" in out and "```yaml\n- id: gochujang\n" in out


def test_a_date_is_today_unless_given(tmp_path: Path) -> None:
    """The date in the log is the one that the question was asked on."""
    path = tmp_path / "log.jsonl"
    record(path, answer(GOCHUJANG), datetime.date(2026, 10, 6), mask())
    assert read([path], mask()).entries[0].asked == "2026-10-06"
