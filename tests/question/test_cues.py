"""The cue language: what a pattern matches, and that it is checked and fast."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.kinds.compile import compile_cues, kinds, word_lists
from assistant.question.cues import (
    GAP,
    CueError,
    compile_cue,
    find,
    make_book,
    make_text,
    match,
    matches,
    score,
)
from assistant.question.reading import Mention

_SOME = ("how", "much", "long", "broth", "for", "the", "a", "keep", "x")
WORDS = st.lists(st.sampled_from(_SOME), max_size=40)


def fits(pattern: str, text: str, mentions: tuple[Mention, ...] = ()) -> bool:
    """Whether a pattern matches a text of words and mentions."""
    cue = compile_cue("test", pattern, lists={"tools": ("pan", "pot")})
    return match(cue, make_text(text.split(), mentions)) is not None


def test_words_and_choices() -> None:
    """A word matches itself, `|` one of several, `?` also nothing."""
    assert fits("how much|many", "so how many eggs")
    assert not fits("how much|many", "how do many")
    assert fits("is|are the? soup", "is soup")
    assert fits("is|are the? soup", "is the soup")
    assert not fits("is|are the? soup", "is a soup")


def test_prefix_gap_and_ends() -> None:
    """`word*` is a beginning, `...` up to twelve words, `^` and `$` the ends."""
    assert fits("substitut*", "a substitution for")
    assert fits("how ... keep", "how long does it keep")
    assert not fits("how ... keep", "how " + "x " * 13 + "keep")
    assert fits("^ how", "how long")
    assert not fits("^ how", "and how long")
    assert fits("keep $", "will it keep")
    assert not fits("keep $", "keep it")


def test_slots_and_lists() -> None:
    """`<type>` is a mention of the type, `@list` a word of a list."""
    broth = Mention("ingredient", "broth", "broth", 2, 3)
    assert fits("how much <ingredient|recipe>", "how much broth", (broth,))
    assert not fits("how much <recipe>", "how much broth", (broth,))
    assert fits("clean @tools", "clean pots and clean pot")
    assert fits("clean @tools|knife", "clean knife")
    assert fits("much for|<ingredient>|chicken", "how much broth", (broth,))
    assert fits("much for|<ingredient>|chicken", "how much chicken", (broth,))


@pytest.mark.parametrize(
    "pattern", ["...", "^ $", "a? b?", "<ingredient", "a||b", "clean @nothing", "ab* c", "* c"]
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


def _expression(pattern: str) -> str:
    """A cue as a regular expression over words each led by a space: found by quite another way."""
    made = ""
    for part in pattern.split():
        if part == "...":
            made += rf"(?: \S+){{0,{GAP}}}?"
        elif part in {"^", "$"}:
            made += part
        else:
            words = (re.escape(word).replace(r"\*", r"\S*") for word in part.rstrip("?").split("|"))
            made += rf"(?: (?:{'|'.join(words)})(?!\S))" + ("?" if part.endswith("?") else "")
    return made


@given(
    st.lists(st.sampled_from(["how", "much|many", "lon*|keep", "the|a?", "x", "...", "broth?"])),
    st.booleans(),
    st.booleans(),
    WORDS,
)
def test_a_match_is_where_a_regular_expression_finds_it(
    parts: list[str], starts: bool, ends: bool, words: list[str]
) -> None:
    """The earliest place, optional words taken where they can be, gaps as short as they can be."""
    pattern = " ".join(["^"] * starts + [*parts, "for"] + ["$"] * ends)
    place = match(compile_cue("k", pattern), make_text(words, ()))
    found = re.search(_expression(pattern), "".join(f" {word}" for word in words))
    assert place == (tuple(_count(found, at) for at in found.span()) if found else None)


def _count(found: re.Match[str], at: int) -> int:
    """How many words stand before a place of the text."""
    return found.string[:at].count(" ")


@given(WORDS)
def test_every_place_of_a_match(words: list[str]) -> None:
    """All places are those where the rest of the text begins with a match."""
    cue = compile_cue("k", "how|much the? ... keep|for")
    alone = ((start, match(cue, make_text(words[start:], ()))) for start in range(len(words)))
    wanted = [(s, s + place[1]) for s, place in alone if place is not None and place[0] == 0]
    assert list(matches(cue, make_text(words, ()))) == wanted


@pytest.mark.parametrize("pattern", ["a ... a ... a ... a ... b", "a* ... a? ... a? $", "b ... a"])
@pytest.mark.parametrize("word", ["a", "a{}"])
def test_matching_takes_time_linear_in_the_text(pattern: str, word: str) -> None:
    """Four times the words take nowhere near sixteen times as long, up to 200 kB, for many gaps,
    and whether the words are all the same or all different."""
    cue = compile_cue("k", pattern.replace("a*", "aaa*"))

    def spent(size: int) -> float:
        words = [word.format(i) for i in range(size // 2 if word == "a" else size // 7)]
        took = []
        for _ in range(3):
            started = time.perf_counter()
            assert match(cue, make_text(words, ())) is None
            took.append(time.perf_counter() - started)
        return min(took)

    spent(10_000)
    assert spent(200_000) < 10 * spent(50_000) + 0.05
