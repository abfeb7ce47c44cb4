"""The parts of the chat: cards, completion, the pieces of the clock."""

from __future__ import annotations

import datetime
import time
from fractions import Fraction

import msgspec
import pytest
from desk_fixture import desk
from hypothesis import given
from hypothesis import strategies as st

from assistant.answer import Answer, Caution, Figure, Level, Source
from assistant.faces.chat import card
from assistant.faces.chat.commands import read_clock, read_minutes, take_time
from assistant.faces.chat.complete import Completions, names_of
from assistant.faces.chat.rows import Row, printed
from assistant.faces.chat.running import Running, Timer
from assistant.faces.chat.transcript import messages

NOON = datetime.datetime(2026, 11, 25, 12, 0)
_WORDS = st.text("abc xyz", min_size=1, max_size=160)


def _answer(
    lines: int = 0,
    cautions: tuple[tuple[Level, str], ...] = (),
    urgent: bool = False,
    head: str = "Yes.",
) -> Answer:
    return Answer(
        question="is it?",
        kind="storage",
        verdict="quoted",
        headline=head,
        lines=tuple(f"Line {i}." for i in range(lines)),
        cautions=tuple(
            Caution(id=f"c{i}", level=level, text=text, source="common-practice")
            for i, (level, text) in enumerate(cautions)
        ),
        figures=(Figure(name="a", value=None, unit="", shown="1", working=("1 + 0 = 1",)),),
        sources=(Source(id="s", title="Source", where="notes/x.md:1"),),
        urgent=urgent,
    )


def test_a_glance_folds_lines_and_notes_and_says_so() -> None:
    """Three lines stay; stop and warn cautions stay; notes are counted."""
    rows = card.glance(_answer(5, (("stop", "Never."), ("warn", "Mind."), ("note", "By the way."))))
    texts = [row.text for row in rows]
    assert texts[:4] == ["Yes.", "Line 0.", "Line 1.", "Line 2."]
    assert "STOP: Never." in texts
    assert "Caution: Mind." in texts
    assert texts[-1] == "more: 2 lines, 1 note, the working, 1 source"


def test_long_lines_are_no_glance() -> None:
    """The first line stands; two more of 300 characters are folded and counted."""
    long = msgspec.structs.replace(_answer(3), lines=("a" * 300, "b" * 300, "c" * 300))
    texts = [row.text for row in card.glance(long)]
    assert texts[1:] == ["a" * 300, "more: 2 lines, the working, 1 source"]


def test_an_urgent_answer_is_not_folded() -> None:
    """All lines and notes of an urgent answer stand."""
    texts = [row.text for row in card.glance(_answer(9, (("note", "N."),), urgent=True))]
    assert texts[0] == "URGENT. Yes."
    assert "Line 8." in texts
    assert "Note: N." in texts


@given(
    st.lists(st.tuples(st.sampled_from(["stop", "warn", "note"]), _WORDS), max_size=6),
    st.integers(0, 20),
    st.text("ab c", min_size=1, max_size=120),
)
def test_a_copy_is_always_short_with_its_first_caution(
    cautions: list[tuple[Level, str]], lines: int, head: str
) -> None:
    """Under 500 characters, the headline whole, the gravest caution in it."""
    copied = card.copied(_answer(lines, tuple(cautions), head=head))
    assert len(copied) < card.COPY
    assert copied.startswith(head.rstrip("\n"))
    if cautions:
        assert {"stop": "STOP", "warn": "Caution", "note": "Note"}[cautions[0][0]] in copied


@pytest.mark.parametrize("width", [30, 60, 80, 120])
def test_rows_keep_to_the_width_and_mark_only_when_asked(width: int) -> None:
    """No line is wider than the window; without marks there is no escape sequence."""
    rows = card.unfolded(_answer(6, (("stop", "word " * 40),)))
    plain = printed(rows, width)
    assert max(map(len, plain.splitlines())) <= width
    assert "\x1b" not in plain
    assert "\x1b[1;31m" in printed(rows, width, marks=True, color=True)
    colorless = printed([Row("urgent", "URGENT. Now.")], width, marks=True)
    assert "31" not in colorless
    assert "\x1b[1;7mURGENT." in colorless


def test_pasted_control_characters_never_reach_the_terminal() -> None:
    """An escape sequence in a text is printed as text, if at all."""
    assert "\x1b" not in printed([Row("copy", "a\x1b[2Jb"), Row("text", "\x07x")], 80)


# -------------------------------------------------------------------------------------- completion


def test_names_are_completed_from_their_last_words() -> None:
    """The longest beginning first, and how much of the line it replaces."""
    found = Completions(["red lentil soup", "lentil bolognese", "Lentils", "lemon"])
    assert found.of("how much red len") == [
        ("red lentil soup", 7),
        ("lentil bolognese", 3),
        ("lentils", 3),
    ]
    assert found.of("how much ") == []
    assert found.of("x") == []


def test_names_are_sorted_and_each_is_there_once() -> None:
    """However they are gathered, the names stand in one order without doubles."""
    names = names_of(desk().corpus)
    assert Completions(names).names == sorted({name.lower() for name in names if name})


def test_every_name_of_the_corpus_is_found_by_its_beginning() -> None:
    """Each recipe title comes up before it is typed out."""
    found = Completions(names_of(desk().corpus))
    for recipe in desk().corpus.recipes.values():
        title = recipe.title.lower()
        assert title in [name for name, _ in found.of(title[:-1])]


def test_completion_is_quick_on_a_hundredfold_corpus() -> None:
    """A keystroke finds its names well under 30 ms among 100 times the corpus's names."""
    names = names_of(desk().corpus)
    many = Completions(f"{name} {i}" for i in range(100) for name in names)
    assert len(many.names) > 50_000
    start = time.perf_counter()
    for text in ("how much le", "what instead of the re", "red lentil so", "zzz"):
        many.of(text)
    assert (time.perf_counter() - start) / 4 < 0.03


# -------------------------------------------------------------------------------------------- time


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("12:05", 725), ("9 am", 540), ("12 am", 0), ("12.05", 725), ("at 5 pm", 1020), ("7", 420),
     ("25:00", None), ("12:75", None), ("13 pm", None), ("noonish", None), ("", None)],
)  # fmt: skip
def test_a_time_of_day_is_read(text: str, minutes: int | None) -> None:
    """Minutes after midnight, or nothing."""
    assert read_clock(text) == minutes


def test_a_stretch_of_time_is_read() -> None:
    """A bare number counts minutes; what follows it is left."""
    assert read_minutes("10") == 10
    assert read_minutes("1 1/2 hours") == 90
    assert read_minutes("10 pots") is None
    assert read_minutes("3 weeks") is None
    assert take_time("9 min pasta") == (Fraction(9), "pasta")
    assert take_time("5–7 min") is None


def test_a_timer_counts_down() -> None:
    """Whole seconds, rounded up, so that it never shows 0:00 before it rings."""
    timer = Timer("a", NOON + datetime.timedelta(minutes=62, seconds=5))
    assert timer.left(NOON) == "1:02:05"
    assert timer.left(NOON + datetime.timedelta(minutes=62, seconds=4.5)) == "0:01"
    assert timer.left(timer.rings) == "RINGS"


def test_a_start_at_a_quarter_to_one_is_today() -> None:
    """At 12:50 "start 1:00" is in ten minutes; at 13:10 it was ten minutes ago."""
    from assistant.faces.chat.clockwork import _nearest

    for clock, day in ((NOON.replace(minute=50), 13), (NOON.replace(hour=13, minute=10), 13)):
        found = _nearest(clock, read_clock("1:00") or 0, plain=True)  # type: ignore[arg-type]
        assert (found.hour, found.minute) == (day, 0)


def test_steps_that_are_over_leave_the_plan() -> None:
    """When everything is over nothing runs and nothing is due."""
    recipe = desk().corpus.recipes["red-lentil-soup"]
    running = Running(recipe, NOON)
    for i, step in enumerate(recipe.steps):
        running = running.finished(step.id, NOON + datetime.timedelta(minutes=5 * i))
    assert running.due(NOON + datetime.timedelta(minutes=30)) == ((), ())


@pytest.mark.parametrize(
    "pasted",
    [
        "12:03:11 From Ana Ruiz to Everyone: how much broth?\n12:04:02 From Kim to Everyone: why?",
        "Ana: how much broth?\nKim Lee: why?",
        "Ana to Everyone: 12:03 how much broth?\nKim to Me (Direct Message): why?",
        "[12:03 PM] Ana Ruiz\nhow much broth?\n\n[12:04 PM] Kim\nwhy?",
        "Ana Ruiz  12:03 PM\nhow much broth?\nKim  12:04 PM\nwhy?",
        "12:03\tAna Ruiz:\thow much broth?\n12:04\tKim:\twhy?",
        "- how much broth?\n- why?",
        "1. how much broth?\n2) why?",
        "how much broth?\n\nwhy?",
    ],
)
def test_a_transcript_is_cut_into_its_messages(pasted: str) -> None:
    """Times, names, bullets and headings go in the usual forms of copied chats."""
    assert messages(pasted) == ["how much broth?", "why?"]


def test_a_recipe_before_a_colon_is_no_sender() -> None:
    """What a question is about stays with it."""
    lines = ["Red lentil soup: how much broth?", "Turkey chili: is it vegan?"]
    assert messages("\n".join(lines)) == lines
