"""The cue language: what a pattern matches, and that it is checked and fast."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.kinds.compile import compile_cues, kinds, word_lists
from assistant.question.cues import CueError, compile_cue, find, make_book, make_text, match, score
from assistant.question.reading import Mention

_SOME = ("how", "much", "long", "broth", "for", "the", "a", "keep", "x")
WORDS = st.lists(st.sampled_from(_SOME), max_size=40)


def matches(pattern: str, text: str, mentions: tuple[Mention, ...] = ()) -> bool:
    """Whether a pattern matches a text of words and mentions."""
    cue = compile_cue("test", pattern, lists={"tools": ("pan", "pot")})
    return match(cue, make_text(text.split(), mentions)) is not None


def test_words_and_choices() -> None:
    """A word matches itself, `|` one of several, `?` also nothing."""
    assert matches("how much|many", "so how many eggs")
    assert not matches("how much|many", "how do many")
    assert matches("is|are the? soup", "is soup")
    assert matches("is|are the? soup", "is the soup")
    assert not matches("is|are the? soup", "is a soup")


def test_prefix_gap_and_ends() -> None:
    """`word*` is a beginning, `...` up to twelve words, `^` and `$` the ends."""
    assert matches("substitut*", "a substitution for")
    assert matches("how ... keep", "how long does it keep")
    assert not matches("how ... keep", "how " + "x " * 13 + "keep")
    assert matches("^ how", "how long")
    assert not matches("^ how", "and how long")
    assert matches("keep $", "will it keep")
    assert not matches("keep $", "keep it")


def test_slots_and_lists() -> None:
    """`<type>` is a mention of the type, `@list` a word of a list."""
    broth = Mention("ingredient", "broth", "broth", 2, 3)
    assert matches("how much <ingredient|recipe>", "how much broth", (broth,))
    assert not matches("how much <recipe>", "how much broth", (broth,))
    assert matches("clean @tools", "clean pots and clean pot")
    assert matches("clean @tools|knife", "clean knife")


@pytest.mark.parametrize(
    "pattern", ["...", "^ $", "a? b?", "<ingredient", "a||b", "clean @nothing"]
)
def test_a_pattern_that_cannot_be_used_says_so(pattern: str) -> None:
    """A pattern that matches anything, is broken, or names no list is refused with its text."""
    with pytest.raises(CueError, match="cue"):
        compile_cue("test", pattern)


def test_a_pattern_stands_once_in_a_kind() -> None:
    """Twice the same pattern in one kind is a mistake; in two kinds it is not."""
    one, other = compile_cue("a", "how long"), compile_cue("b", "how long")
    make_book([one, other])
    with pytest.raises(CueError, match="twice"):
        make_book([one, one])


def test_agreeing_cues_count_less_and_less() -> None:
    """The best cue counts whole, the next a third, the third a ninth."""
    cues = [compile_cue("a", word, weight) for word, weight in (("x", 6), ("y", 3), ("z", 9))]
    scores, matched = score([(cue, 0, 1) for cue in cues], ["x"])
    assert scores == (("a", 9 + 6 / 3 + 3 / 9),)
    assert [m.weight for m in matched] == [9, 6, 3]


def test_no_cue_of_the_program_matches_nothing() -> None:
    """An empty question matches no cue at all."""
    assert find(compile_cues(kinds()), make_text((), ())) == []


def test_every_list_is_used() -> None:
    """A word list that no cue names is dead."""
    folder = Path(__file__).parents[2] / "assistant" / "kinds"
    text = "".join(path.read_text(encoding="utf-8") for path in folder.glob("*/*.yaml"))
    assert [name for name in word_lists() if f"@{name}" not in text] == []


@given(WORDS)
def test_the_index_loses_nothing(words: list[str]) -> None:
    """Looking cues up by one element finds what trying every cue finds."""
    patterns = ["how much|many", "how ... keep", "keep $", "for? the broth", "lon*", "a|the x"]
    cues = [compile_cue("k", pattern) for pattern in patterns]
    text = make_text(words, ())
    found = {cue.pattern for cue, _, _ in find(make_book(cues), text)}
    assert found == {cue.pattern for cue in cues if match(cue, text) is not None}


def test_matching_takes_time_linear_in_the_text() -> None:
    """Four times the words take nowhere near sixteen times as long, even for many gaps."""
    cue = compile_cue("k", "a ... a ... a ... a ... b")

    def spent(count: int) -> float:
        text = make_text(["a"] * count, ())
        started = time.perf_counter()
        for _ in range(3):
            assert match(cue, text) is None
        return time.perf_counter() - started

    spent(200)
    assert spent(2000) < 10 * spent(500) + 0.05
