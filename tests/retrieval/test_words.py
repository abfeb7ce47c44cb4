"""Folding, tokens, word forms and stop words."""

from __future__ import annotations

import sys
import time
import unicodedata

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.retrieval.words import Token, fold, singular, stem, stop_words, tokens


def texts_of(text: str) -> list[str]:
    return [token.text for token in tokens(text)]


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Jalapeño", "jalapeno"),
        ("cre\u0300me fraîche", "creme fraiche"),
        ("“Soup” – it’s", '"soup" - it\'s'),
        ("a\tb\nc\x07d\x7f", "a b c d "),
        ("brocc\u00adoli\u200b", "broccoli"),
        ("165ºF, 74˚C, 350℉", "165°f, 74°c, 350°f"),
        ("1½ cups, 1⁄2 cup, 10²", "1½ cups, 1/2 cup, 10²"),
        ("ﬁsh １２ Ⅳ", "fish 12 iv"),
    ],
)
def test_fold_gives_plain_spelling(text: str, folded: str) -> None:
    """Accents, capitals, curly signs and invisible characters go; fractions keep their value."""
    assert fold(text) == folded


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    """Folded text folds to itself and holds no control characters."""
    once = fold(text)
    assert fold(once) == once
    assert not any(unicodedata.category(char) == "Cc" for char in once)


def test_every_character_folds_to_something_stable() -> None:
    """No character of Unicode needs a second folding or grows beyond reason."""
    for char in map(chr, range(sys.maxunicode + 1)):
        if unicodedata.category(char) in ("Cn", "Co", "Lo"):
            continue  # without a case or, nearly all of them, a decomposition
        folded = fold(char)
        assert fold(folded) == folded
        assert len(folded) <= 18


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Don't over-soak", ["dont", "over", "soak"]),
        ("1 1/2 or 1½", ["1", "1/2", "or", "1½"]),
        ("165°F at 12:05, 7pm", ["165", "°f", "at", "12:05", "7", "pm"]),
        ("350 ° F", ["350", "°", "f"]),
        ("1,000 but 1,2", ["1,000", "but", "1", "2"]),
        (".5 cup, 2.5 cups.", [".5", "cup", "2.5", "cups"]),
        ("2–3 days, 50% mac & cheese", ["2", "3", "days", "50", "%", "mac", "&", "cheese"]),
        ("vitamin B12, omega-3, 10ml", ["vitamin", "b12", "omega", "3", "10", "ml"]),
        ("'cooks' o’clock snake_case", ["cooks", "oclock", "snake", "case"]),
        ("", []),
        ("… ?! 🥕", []),
    ],
)
def test_tokens_are_split_as_a_cook_reads(text: str, expected: list[str]) -> None:
    """Numbers, units, apostrophes and hyphens come out as the docstring says."""
    assert texts_of(text) == expected


def test_tokens_know_what_punctuation_stands_before_them() -> None:
    """Commas, stops and empty lines break; hyphens, spaces and single line ends do not."""
    found = tokens("carrots, red-lentil\nsoup. More\n\nsalt (fine)")
    assert [token.text for token in found if token.after_break] == ["red", "more", "salt", "fine"]


@given(st.text())
def test_token_offsets_point_into_the_original(text: str) -> None:
    """The original between the offsets folds to the token, and tokens stand in order."""
    last = 0
    for token in tokens(text):
        assert 0 <= token.start < token.end <= len(text)
        assert token.text in fold(text[token.start : token.end]).replace("'", "")
        assert token.start >= last or not text.isascii()
        last = token.start
        assert token.text == fold(token.text)


def test_an_accent_behind_its_letter_belongs_to_the_token() -> None:
    """The end offset of a decomposed letter includes the accent."""
    assert tokens("cafe\u0301 au lait")[0] == Token("cafe", 0, 5)


def test_tokens_go_through_msgpack() -> None:
    """Tokens come back from msgpack as they went in."""
    found = tokens("Soak 1½ cups, then rinse.")
    data = msgspec.msgpack.encode(found)
    assert msgspec.msgpack.decode(data, type=list[Token]) == found


@pytest.mark.parametrize("piece", ["a'", "1,", "1.", "1/2/", "½", "é\u0301", "\n ", "°", "a1", ","])
def test_tokens_take_time_linear_in_the_text(piece: str) -> None:
    """Ten times the text takes ten times as long and not a hundred, for texts made to hurt."""

    def best(text: str) -> float:
        times = []
        for _ in range(5):
            start = time.perf_counter()
            tokens(text)
            times.append(time.perf_counter() - start)
        return min(times)

    short, long = piece * 2000, piece * 20000
    assert best(long) < 60 * best(short) + 0.005


PAIRS = [
    ("beans", "bean"), ("noodles", "noodle"), ("leaves", "leaf"), ("halves", "half"),
    ("tomatoes", "tomato"), ("tomatos", "tomato"), ("potatoes", "potato"), ("berries", "berry"),
    ("chilies", "chili"), ("chilis", "chili"), ("radishes", "radish"), ("peaches", "peach"),
    ("quiches", "quiche"), ("olives", "olive"), ("chives", "chive"), ("cloves", "clove"),
    ("cookies", "cookie"), ("calories", "calorie"), ("knives", "knife"), ("loaves", "loaf"),
    ("cheeses", "cheese"), ("sauces", "sauce"), ("mousses", "mousse"), ("dishes", "dish"),
    ("eggs", "egg"), ("peas", "pea"), ("pies", "pie"), ("boxes", "box"), ("slices", "slice"),
    ("anchovies", "anchovy"), ("kiwis", "kiwi"), ("radii", "radii"),
]  # fmt: skip


@pytest.mark.parametrize(("plural", "single"), PAIRS)
def test_singular_and_plural_share_a_key(plural: str, single: str) -> None:
    """A plural and its singular meet, for names and for passages."""
    assert singular(plural) == singular(single)
    assert stem(plural) == stem(single)


@pytest.mark.parametrize(
    "forms",
    [
        "freeze freezes freezing frozen froze freezer", "soak soaks soaked soaking",
        "chop chopped chopping", "bake baked baking bakes", "dry dried drying dries",
        "reheat reheated reheating", "store stored storing stores storage",
        "refrigerate refrigerated refrigeration refrigerator", "slice sliced slicing",
        "grate grated grating", "chill chilled chilling", "thaw thawed thawing",
        "safe safely", "fry fried frying fries", "add added adding", "size sized sizes",
        "glaze glazed glazes", "substitute substituting substitution", "use used using uses",
    ],
)  # fmt: skip
def test_forms_of_a_word_share_a_stem(forms: str) -> None:
    """The forms of a kitchen verb meet."""
    assert len({stem(form) for form in forms.split()}) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("icing", "ice"), ("herring", "her"), ("past", "paste"), ("pasta", "paste"),
        ("stuffing", "stuff"), ("cane", "can"), ("pine", "pin"), ("seed", "see"),
        ("bread", "bred"), ("organic", "organ"), ("plate", "plat"), ("bass", "base"),
    ],
)  # fmt: skip
def test_different_things_keep_different_stems(one: str, other: str) -> None:
    """Words that only look like forms of each other stay apart."""
    assert stem(one) != stem(other)


def test_names_keep_what_was_done_to_the_food() -> None:
    """For names only the number goes: canned is not can, baking is not bake."""
    assert singular("canned") == "canned"
    assert singular("baking") == "baking"
    assert singular("molasses") == singular("molasses")
    assert singular("asparagus") == "asparagus"


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz", min_size=1, max_size=30))
def test_a_stem_is_never_empty_nor_longer_than_a_letter_more(word: str) -> None:
    """Stemming any word leaves something, and adds an e at most."""
    assert 1 <= len(stem(word)) <= len(word) + 1
    assert 1 <= len(singular(word)) <= len(word)


def test_stop_words_are_folded_and_leave_what_changes_an_answer() -> None:
    """Each stop word is one token as tokens are; words that turn an answer round stay."""
    words = stop_words()
    assert all(texts_of(word) == [word] for word in words)
    assert {"the", "how", "dont"} <= words
    assert words.isdisjoint({"without", "instead", "before", "after", "out", "raw", "left", "over"})
