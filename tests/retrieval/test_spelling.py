"""Names found exactly, found in spite of a slip, and left alone."""

from __future__ import annotations

import random
import subprocess
import sys
import time

import msgspec
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.retrieval.spelling import Found, Names, build_names
from assistant.retrieval.words import stem, tokens

ENTRIES = [
    ("red lentil soup", "red-lentil-soup"), ("lentil soup", "red-lentil-soup"),
    ("lentils", "lentil"), ("red lentils", "red-lentil"), ("soup", "soup"),
    ("carrot", "carrot"), ("broccoli", "broccoli"), ("zucchini", "zucchini"),
    ("Parmesan", "parmesan"), ("turmeric", "turmeric"), ("Worcestershire sauce", "worcestershire"),
    ("worcester sauce", "worcestershire"), ("thyme", "thyme"), ("leek", "leek"),
    ("cumin", "cumin"), ("all-purpose flour", "flour"), ("flour", "flour"), ("olive oil", "oil"),
    ("oil", "oil"), ("oil spray bottle", "spray"), ("bay leaves", "bay-leaf"), ("beet", "beet"),
    ("beef", "beef"), ("canned chickpeas", "canned-chickpea"), ("chickpeas", "chickpea"),
    ("mac and cheese", "mac"), ("cheese", "cheese"),
    ("cilantro", "cilantro"), ("bass", "bass"), ("pear", "pear"), ("peas", "pea"),
    ("broth", "chicken-broth"),
    ("broth", "vegetable-broth"),
    ("dessert", "dessert"), ("onion", "onion"), ("beans, black", "black-bean"),
]  # fmt: skip
COMMON = ["can I make the time for some boiled water please with extra base desert flower peach"]
LOOKALIKES = [("flour", "flower"), ("dessert", "desert"), ("bass", "base"), ("thyme", "time")]
NAMES = build_names(ENTRIES, COMMON, LOOKALIKES)


def found(text: str, names: Names = NAMES) -> list[tuple[str, str, bool]]:
    read = tokens(text)
    return [
        (match.id, " ".join(token.text for token in read[match.start : match.end]), match.corrected)
        for match in names.find(read)
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("How long does Red Lentil Soup keep?", [("red-lentil-soup", "red lentil soup", False)]),
        ("red-lentil soups", [("red-lentil-soup", "red lentil soups", False)]),
        ("carrots, soup", [("carrot", "carrots", False), ("soup", "soup", False)]),
        ("a bay leaf", [("bay-leaf", "bay leaf", False)]),
        ("can chickpeas be frozen", [("chickpea", "chickpeas", False)]),
        ("canned chickpeas", [("canned-chickpea", "canned chickpeas", False)]),
        ("mac & cheese", [("mac", "mac & cheese", False)]),
        ("olive oil spray bottle", [("spray", "oil spray bottle", False)]),
        ("lentils. Soup", [("lentil", "lentils", False), ("soup", "soup", False)]),
        ("beans, black", [("black-bean", "beans black", False)]),
        ("nothing here", []),
        ("", []),
    ],
)
def test_names_are_found_as_written(text: str, expected: list[tuple[str, str, bool]]) -> None:
    """Plurals, hyphens and capitals do not matter; the longest wins; stops separate."""
    assert found(text) == expected


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("leutil", "lentil"), ("lentl", "lentil"), ("lentlis", "lentil"), ("brocoli", "broccoli"),
        ("brocolli", "broccoli"), ("zuchini", "zucchini"), ("zuchinni", "zucchini"),
        ("parmesean", "parmesan"), ("tumeric", "turmeric"), ("carot", "carrot"),
        ("carrrots", "carrot"), ("silantro", ""), ("clantro", "cilantro"), ("ciltanro", "cilantro"),
        ("oinon", "onion"), ("noion", "onion"), ("chikpeas", "chickpea"), ("leak", "leek"),
        ("tyme", "thyme"), ("chees", "cheese"), ("cumn", "cumin"),
    ],
)  # fmt: skip
def test_slips_are_forgiven(typed: str, name: str) -> None:
    """One edit in four to seven letters, two in eight; the first letter holds or was swapped."""
    assert found(f"some {typed}") == ([(name, typed, True)] if name else [])


def test_a_slip_inside_a_longer_name_finds_the_longer_name() -> None:
    """The corrected name swallows exact names that lie inside it, and says how far it was."""
    assert found("lentl soup") == [("red-lentil-soup", "lentl soup", True)]
    assert NAMES.find(tokens("please red lentl soop")) == [
        Found("red-lentil-soup", 1, 4, "red lentl soop", "red lentil soup", True, 2)
    ]
    assert found("worchester sauce") == [("worcestershire", "worchester sauce", True)]
    assert found("can of oliv oil") == [("oil", "oliv oil", True)]


@pytest.mark.parametrize(
    "text",
    [
        "time", "flower", "flowers", "desert", "base", "peach", "boil", "bet", "curcumin", "beek",
        "so", "xx", "le3k", "12345", "carpet", "cilinder", "boiling water",
    ],
)  # fmt: skip
def test_what_is_not_a_slip_is_left_alone(text: str) -> None:
    """Known words in any form, look-alikes, short words, figures and ties are never corrected."""
    assert found(text) == []


def test_lookalikes_hold_though_no_list_knows_the_word() -> None:
    """A pair keeps both words apart in either direction, in any number."""
    without = build_names(ENTRIES)
    flower = build_names([("flowers", "flower")])
    barred = build_names([("flowers", "flower")], [], [("flour", "flower")])
    assert found("flour", flower) == []  # two edits in a word of five letters
    assert found("floer", flower) == found("floer", barred) == [("flower", "floer", True)]
    assert found("leak", build_names(ENTRIES, [], [("leak", "leek")])) == []
    assert found("leaks", build_names(ENTRIES, [], [("leek", "leak")])) == []
    assert found("leaks", without) == [("leek", "leaks", True)]
    with pytest.raises(ValueError, match="single words"):
        build_names(ENTRIES, [], [("bay leaf", "leaf")])


def test_a_word_of_the_callers_list_is_never_corrected() -> None:
    """The typed "leak" turns to leek only while the caller's words do not hold it."""
    assert found("a leak") == [("leek", "leak", True)]
    assert found("a leak", build_names(ENTRIES, [*COMMON, "leaking"])) == []


def test_two_names_equally_near_are_not_guessed() -> None:
    """The typed "beek" is one edit from "beef" and from "beet": nothing is found."""
    assert found("beek") == []
    one = [entry for entry in ENTRIES if entry[0] != "beet"]
    assert found("beek", build_names(one, COMMON)) == [("beef", "beek", True)]


def test_a_name_of_several_ids_gives_them_all() -> None:
    """The first given is the id, the others are named."""
    (match,) = NAMES.find(tokens("broth"))
    assert (match.id, match.others, match.name) == (
        "chicken-broth",
        ("vegetable-broth",),
        "broth",
    )


@pytest.mark.parametrize("name", ["", "?!", " ".join(["a"] * 13)])
def test_names_without_words_are_refused(name: str) -> None:
    """A name must have one to twelve words."""
    with pytest.raises(ValueError, match="1 to 12 words"):
        build_names([(name, "x")])


def test_the_spelling_library_is_loaded_only_for_a_slip() -> None:
    """A question of known words does not pay for the import; one with a slip does."""
    code = (
        "import sys\n"
        "from assistant.retrieval.spelling import build_names\n"
        "from assistant.retrieval.words import tokens\n"
        "names = build_names([('red lentils', 'x')], ['keep'])\n"
        "for text in ('how do red lentils keep', 'red lentls'):\n"
        "    print(len(names.find(tokens(text))), 'rapidfuzz' in sys.modules)\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert result.stdout.split() == ["1", "False", "1", "True"]


word = st.text(alphabet="abdelnopst", min_size=2, max_size=9)
name = st.lists(word, min_size=1, max_size=4).map(" ".join)


@given(st.lists(name, min_size=1, max_size=12), st.lists(word, max_size=4), st.data())
def test_an_exact_name_is_always_found(
    names: list[str], around: list[str], data: st.DataObject
) -> None:
    """Among known words, a name written as given is found, or a longer one that covers it."""
    built = build_names(((name, name) for name in names), around)
    wanted = data.draw(st.sampled_from(names))
    read = tokens(f"{' '.join(around)} : {wanted} : {' '.join(around)}")
    start, end = len(around), len(around) + len(wanted.split())
    (match,) = [m for m in built.find(read) if m.start < end and m.end > start]
    assert (match.start, match.end, match.corrected) == (start, end, False)
    assert wanted in (match.id, *match.others) or tokens_match(match.name, wanted)


def tokens_match(one: str, other: str) -> bool:
    """Whether two names differ in nothing but number."""
    return [stem(token.text) for token in tokens(one)] == [
        stem(token.text) for token in tokens(other)
    ]


@given(st.lists(name, min_size=1, max_size=12), st.lists(word, min_size=1, max_size=12))
def test_a_known_word_is_never_changed(names: list[str], known: list[str]) -> None:
    """A text of known words gives no corrected name."""
    built = build_names(((name, name) for name in names), known)
    assert not any(match.corrected for match in built.find(tokens(" ".join(known))))


@given(st.lists(name, min_size=1, max_size=12), st.lists(word, max_size=12))
def test_finds_do_not_overlap_and_stand_in_order(names: list[str], text: list[str]) -> None:
    """Each find begins where the last ended or later, and distance goes with being corrected."""
    last = 0
    for match in build_names((name, name) for name in names).find(tokens(" ".join(text))):
        assert last <= match.start < match.end <= len(text)
        assert match.corrected == (match.distance > 0)
        last = match.end


@given(st.sampled_from(["broccoli", "zucchini", "turmeric", "parmesan", "cilantro"]), st.randoms())
def test_any_two_letters_may_be_swapped(name: str, chance: random.Random) -> None:
    """Swapping two neighbors of a long word is one edit."""
    place = chance.randrange(len(name) - 1)
    typed = name[:place] + name[place + 1] + name[place] + name[place + 2 :]
    assume(typed != name)
    assert found(typed) == [(name, typed, True)]


def test_names_go_through_msgpack() -> None:
    """The decoded names equal the built ones."""
    back = msgspec.msgpack.decode(msgspec.msgpack.encode(NAMES), type=Names)
    assert back == NAMES
    assert found("lentl soup", back) == found("lentl soup")


def test_a_hundred_times_the_names_cost_little_more() -> None:
    """A slip among 30,000 names costs far less than a hundred times what it does among 300."""
    chance = random.Random(5)
    many = ["".join(chance.choices("abcdefghiklmnoprstuvwy", k=chance.randrange(4, 12)))
            for _ in range(30_000)]  # fmt: skip

    def best(names: list[str]) -> float:
        built = build_names((name, name) for name in [*names, "zucchini"])
        read = tokens("how much zuchini goes into it and does it keep")
        times = []
        for _ in range(15):
            start = time.perf_counter()
            built.find(read)
            times.append(time.perf_counter() - start)
        return min(times)

    assert best(many) < 50 * best(many[:300])
