"""Excerpts: whole sentences, the right ones, as plain text."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.retrieval.excerpt import GAP, excerpt, sentences

NOTE = """\
# Cooling a pot of soup

Soup cools fastest in **shallow** pans, no more than 2 in. deep. Leave the lid off until the steam
is gone.

- Move it to the [refrigerator](https://example.org/a_b) within 2 hours.
- Stir an ice bath, approx. 1:1 ice and water, e.g. in the sink!

Large stockpots hold heat for hours. *Why?* The middle stays warm.

| time | temperature |
|---|---|
| 2 h | 70°F |

```
code is no prose
```
"""


def test_sentences_are_whole_and_plain() -> None:
    """Headings, tables and code go; short forms end no sentence; list items are sentences."""
    assert sentences(NOTE) == [
        "Soup cools fastest in shallow pans, no more than 2 in. deep.",
        "Leave the lid off until the steam is gone.",
        "Move it to the refrigerator within 2 hours.",
        "Stir an ice bath, approx. 1:1 ice and water, e.g. in the sink!",
        "Large stockpots hold heat for hours.",
        "Why?",
        "The middle stays warm.",
    ]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Use `kosher` salt, ~~not~~ \\*fine\\* salt.", "Use kosher salt, not *fine* salt."),
        ("> Quoted *words* here.", "Quoted words here."),
        ("![a pot](pot.png) Boil 2 * 3 cups.", "a pot Boil 2 * 3 cups."),
        ("A_b_c and _this_ and __that__.", "A_b_c and this and that."),
        ("Heat to 165°F.\nThen rest.", "Heat to 165°F. Then rest."),
        ("Title\n-----\n\nText one.", "Text one."),
        ("See <https://example.org>.", "See https://example.org."),
        ("1. First do this", "First do this"),
    ],
)
def test_marks_are_stripped(text: str, plain: str) -> None:
    """Markdown's marks go, stars and underscores that mark nothing stay."""
    assert " ".join(sentences(text)) == plain


def test_the_first_sentence_leads_when_it_holds_a_word() -> None:
    """The note's own first sentence is preferred to a later one of equal weight."""
    assert excerpt(NOTE, ["soup"]) == "Soup cools fastest in shallow pans, no more than 2 in. deep."


def test_otherwise_the_sentence_with_most_words_leads() -> None:
    """Words are compared in any form, and stop words do not count."""
    assert excerpt(NOTE, ["the", "icing", "ice", "baths"]).startswith("Stir an ice bath")
    assert excerpt(NOTE, ["steamed"]) == "Leave the lid off until the steam is gone."


def test_sentences_join_while_they_add_a_word() -> None:
    """They stand in the order of the text, and a gap shows."""
    assert excerpt(NOTE, ["hours", "soup", "refrigerate"]) == (
        "Soup cools fastest in shallow pans, no more than 2 in. deep."
        f"{GAP}Move it to the refrigerator within 2 hours."
    )
    assert excerpt(NOTE, ["lid", "refrigerator"]) == (
        "Leave the lid off until the steam is gone. Move it to the refrigerator within 2 hours."
    )


def test_without_a_word_in_common_the_first_sentence_comes() -> None:
    """An excerpt of prose is never empty; without prose it is."""
    assert excerpt(NOTE, ["xylophone"]).startswith("Soup cools fastest")
    assert excerpt(NOTE, []).startswith("Soup cools fastest")
    assert excerpt("# Only a heading\n\n|a|b|\n", ["heading"]) == ""
    assert excerpt("", ["soup"]) == ""


def test_a_sentence_is_never_cut() -> None:
    """One longer than the limit comes alone and whole."""
    long = "Never leave cooked rice " + "and beans " * 50 + "out overnight."
    text = f"{long} Rice keeps three days."
    assert excerpt(text, ["rice", "keeps"]) == long


words = st.sampled_from(["soup", "rice", "keep", "hot", "cold", "stir", "lid"])
sentence = st.lists(words, min_size=1, max_size=12).map(lambda w: " ".join(w).capitalize() + ".")


@given(st.lists(sentence, min_size=1, max_size=8), st.lists(words, max_size=4), st.integers(20, 99))
def test_an_excerpt_is_one_to_three_of_the_sentences(
    parts: list[str], asked: list[str], limit: int
) -> None:
    """Each is one of the text's, there are at most three, and more than one keep to the limit."""
    text = excerpt(" ".join(parts), asked, limit)
    chosen = text.replace(GAP, " ").split(". ")
    chosen = [part.rstrip(".") + "." for part in chosen]
    assert 1 <= len(chosen) <= 3
    assert set(chosen) <= set(parts)
    assert len(chosen) == 1 or len(text) <= limit


@given(st.text(), st.lists(st.text(max_size=10), max_size=3))
def test_any_text_gives_one_line(text: str, asked: list[str]) -> None:
    """Whatever the text, the excerpt has no line break and does not raise."""
    assert "\n" not in excerpt(text, asked)


@pytest.mark.parametrize("piece", ["[", "[a](", "![", "*", "**a", "_", "`", "\\*", "> ", "- ", ". ", "<https:", "- - ", "a.\n"])  # fmt: skip  # noqa: E501
def test_excerpts_take_time_linear_in_the_text(piece: str) -> None:
    """Eight times the text takes about eight times as long, for texts made to hurt."""

    def best(text: str) -> float:
        times = []
        for _ in range(3):
            start = time.perf_counter()
            excerpt(text, ["soup"])
            times.append(time.perf_counter() - start)
        return min(times)

    assert best(piece * 8000) < 40 * best(piece * 1000) + 0.01
