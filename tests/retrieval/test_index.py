"""The index against a scorer written plainly, against another library, and by its promises."""

from __future__ import annotations

import math
import random
import subprocess
import sys
import time
from collections.abc import Sequence
from itertools import accumulate

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rank_bm25 import BM25Okapi

from assistant.retrieval.index import Index, Passage, build, coverage
from assistant.retrieval.words import stem, stop_words, tokens

VOCABULARY = [
    "lentil", "carrot", "onion", "garlic", "cumin", "rice", "bean", "tofu", "kale", "soup",
    "stew", "salad", "broth", "lemon", "pepper", "paprika", "oat", "apple", "yogurt", "basil",
]  # fmt: skip


def passage(number: int, text: str, **fields: object) -> Passage:
    plain: dict[str, object] = {
        "id": f"p{number:05d}",
        "record": f"r{number // 2}",
        "source": "note",
        "kinds": ("storage",),
        "title": "",
        "where": f"notes/n.md:{number + 1}",
        "text": text,
    }
    return msgspec.convert(plain | fields, Passage)


def weighted(item: Passage) -> list[str]:
    """All terms of a passage, repeated by the weight of their field."""
    fields = [
        (3, item.title),
        (2, " ".join(item.ingredients)),
        (2, " ".join(item.asks)),
        (1, item.text),
    ]
    return [
        stem(token.text)
        for weight, text in fields
        for _ in range(weight)
        for token in tokens(text)
        if token.text not in stop_words()
    ]


def naive(passages: Sequence[Passage], words: Sequence[str]) -> list[tuple[str, float]]:
    """Every passage scored one after the other by the printed formula: (id, score) above zero."""
    documents = [weighted(item) for item in passages]
    average = sum(len(document) for document in documents) / len(documents)
    scored = []
    for item, document in zip(passages, documents, strict=True):
        total = 0.0
        for word in {stem(word) for word in words if word not in stop_words()}:
            tf = document.count(word)
            if tf:
                n = sum(word in other for other in documents)
                idf = math.log(1 + (len(documents) - n + 0.5) / (n + 0.5))
                length = 1 - 0.75 + 0.75 * len(document) / average
                total += idf * tf * (1.2 + 1) / (tf + 1.2 * length)
        if total > 0:
            scored.append((item.id, total))
    return sorted(scored, key=lambda pair: (-pair[1], pair[0]))


some_words = st.lists(st.sampled_from([*VOCABULARY, "the", "carrots", "soups"]), max_size=12)
some_passages = st.lists(
    st.tuples(some_words, some_words, some_words, some_words), min_size=1, max_size=12
).map(
    lambda rows: [
        passage(
            number,
            " ".join(text),
            title=" ".join(title[:3]),
            ingredients=tuple(items[:4]),
            asks=(" ".join(asks[:5]),),
        )
        for number, (text, title, items, asks) in enumerate(rows)
    ]
)


@given(some_passages, st.lists(st.sampled_from(VOCABULARY), min_size=1, max_size=5))
def test_scores_agree_with_the_plain_scorer(passages: list[Passage], words: list[str]) -> None:
    """The same passages are found, with the same scores, as by scoring every passage."""
    hits = build(passages).search(words, k=50)
    expected = dict(naive(passages, words))
    assert {passages[hit.passage].id for hit in hits} == set(expected)
    for hit in hits:
        assert hit.score == pytest.approx(expected[passages[hit.passage].id], rel=1e-5)


@given(some_passages, st.lists(st.sampled_from(VOCABULARY), min_size=1, max_size=5), st.integers())
def test_top_k_is_the_head_of_scoring_all(
    passages: list[Passage], words: list[str], k: int
) -> None:
    """Asking for k gives the first k of asking for all; k is held between 0 and 50."""
    index = build(passages)
    assert index.search(words, k=k) == index.search(words, k=50)[: max(k, 0)]


@given(some_passages, st.lists(st.sampled_from(VOCABULARY), min_size=1, max_size=5), st.randoms())
def test_order_of_words_and_passages_does_not_matter(
    passages: list[Passage], words: list[str], chance: random.Random
) -> None:
    """Shuffled words or passages give the same ids and scores in the same order."""

    def answer(items: list[Passage], asked: list[str]) -> list[tuple[str, float, float]]:
        hits = build(items).search(asked, k=50)
        return [(items[hit.passage].id, hit.score, coverage(hit)) for hit in hits]

    moved, turned = list(passages), list(words)
    chance.shuffle(moved)
    chance.shuffle(turned)
    assert answer(moved, turned) == answer(passages, words)


@given(some_passages, st.lists(st.sampled_from(VOCABULARY), min_size=1, max_size=5))
def test_coverage_is_a_share_and_full_for_all_words(
    passages: list[Passage], words: list[str]
) -> None:
    """Coverage lies in (0, 1] for a hit, and is 1 exactly when every word of the question is held.

    The words are distinct terms of the vocabulary, none is a stop word.
    """
    for hit in build(passages).search(words, k=50):
        assert 0 < coverage(hit) <= 1
        assert (coverage(hit) == 1) == (set(hit.words) == set(words))


@given(some_passages, st.lists(st.sampled_from(VOCABULARY), min_size=1, max_size=5))
def test_an_index_comes_back_from_msgpack(passages: list[Passage], words: list[str]) -> None:
    """The decoded index equals the built one and finds the same."""
    index = build(passages, {"garbanzo": "bean"})
    back = msgspec.msgpack.decode(msgspec.msgpack.encode(index), type=Index)
    assert back == index
    assert back.search(words) == index.search(words)


def generated(count: int, seed: int = 7, size: int = 60) -> list[Passage]:
    """Passages of about `size` words whose frequencies fall as in a natural text."""
    chance = random.Random(seed)
    words = ["".join(chance.choices("bcdfgklmnprtv", k=7)) for _ in range(4000)]
    sums = list(accumulate(1 / (rank + 3) for rank in range(len(words))))
    return [
        passage(
            number,
            " ".join(chance.choices(words, cum_weights=sums, k=size)),
            title=words[number % 97],
        )
        for number in range(count)
    ]


def test_scores_agree_with_rank_bm25_given_the_same_idf() -> None:
    """rank_bm25's Okapi gives our scores once its idf table is replaced.

    Its own idf is ln((N - n + 0.5) / (n + 0.5)), negative for common words and patched there; its
    term part is the same as ours. The fields' weights are repeated terms on both sides.
    """
    passages = generated(300)
    documents = [weighted(item) for item in passages]
    other = BM25Okapi(documents, k1=1.2, b=0.75)
    sets = [set(document) for document in documents]
    held = {word: sum(word in terms for terms in sets) for word in other.idf}
    other.idf = {w: math.log(1 + (300 - n + 0.5) / (n + 0.5)) for w, n in held.items()}
    index = build(passages)
    chance = random.Random(3)
    for _ in range(40):
        words = sorted(set(chance.choices(passages[chance.randrange(300)].text.split(), k=4)))
        scores = other.get_scores([stem(word) for word in words])
        expected = sorted(range(300), key=lambda n: (-round(scores[n], 4), n))[:10]
        hits = index.search(words, k=10)
        for hit, number in zip(hits, expected, strict=False):
            assert hit.score == pytest.approx(scores[hit.passage], rel=1e-5)
            assert hit.score == pytest.approx(scores[number], rel=1e-3)


def test_the_top_ten_are_those_of_scoring_every_passage() -> None:
    """Over 2,000 passages, many of them alike, no pruning loses or moves one of the best ten.

    Every passage is scored by rank_bm25 with its idf exchanged, and a boosted record's afterwards.
    Where two scores are the same to five figures, either passage may stand in a place.
    """
    chance = random.Random(11)
    few = generated(500, size=25)
    passages = [
        passage(n, " ".join(w for w in one.text.split() if chance.random() < 0.9), title=one.title)
        for n, one in enumerate(few * 4)
    ]
    documents = [weighted(item) for item in passages]
    other = BM25Okapi(documents, k1=1.2, b=0.75)
    sets = [set(document) for document in documents]
    held = {word: sum(word in terms for terms in sets) for word in other.idf}
    other.idf = {w: math.log(1 + (2000 - n + 0.5) / (n + 0.5)) for w, n in held.items()}
    index = build(passages)
    for _ in range(30):
        words = sorted(set(chance.choices(few[chance.randrange(500)].text.split(), k=6)))
        record = passages[chance.randrange(2000)].record
        for boost in ({}, {record: 1.7}, {record: 0.2, "r7": 3.0}):
            scores = [
                score * boost.get(item.record, 1)
                for item, score in zip(
                    passages, other.get_scores([stem(w) for w in words]), strict=True
                )
            ]
            best = sorted((score for score in scores if score > 0), reverse=True)[:10]
            hits = index.search(words, k=10, boost=boost)
            assert [hit.score for hit in hits] == pytest.approx(best, rel=1e-5)
            assert [scores[hit.passage] for hit in hits] == pytest.approx(best, rel=1e-5)
            assert len({hit.passage for hit in hits}) == len(hits)


def test_rank_bm25_ranks_single_words_alike_with_its_own_idf() -> None:
    """For one word that is not in most passages the idf is a common factor, so ranks agree."""
    passages = generated(300)
    other = BM25Okapi([weighted(item) for item in passages], k1=1.2, b=0.75)
    index = build(passages)
    for word in sorted(set(passages[0].text.split())):
        if other.idf[stem(word)] <= 0.3:
            continue
        scores = other.get_scores([stem(word)])
        ranks = [round(scores[hit.passage], 6) for hit in index.search([word], k=20)]
        assert ranks == sorted(ranks, reverse=True)
        assert ranks == [round(s, 6) for s in sorted(scores, reverse=True)[: len(ranks)]]


def test_one_score_worked_out_by_hand() -> None:
    """Two passages of 2 and 4 terms, a word once in the first: ln 2 · 2.2 / 1.9 = 0.80259.

    idf = ln(1 + 1.5 / 1.5); |D| / average = 2 / 3; 1.2 · (0.25 + 0.75 · 2/3) = 0.9.
    """
    index = build([passage(0, "kale soup"), passage(1, "tofu stew with bean broth")])
    (hit,) = index.search(["kale"])
    assert hit.score == pytest.approx(0.80259, abs=1e-5)
    assert (hit.passage, hit.words, coverage(hit)) == (0, ("kale",), 1.0)


@pytest.mark.parametrize("words", [[], ["the", "how"], ["xylophone"], [""], ["?!"]])
def test_no_known_word_gives_an_empty_list(words: list[str]) -> None:
    """Nothing known in the question, nothing found."""
    assert build([passage(0, "kale soup")]).search(words) == []


def test_an_empty_corpus_finds_nothing() -> None:
    """An index over no passages, or over empty ones, can be built and asked."""
    assert build([]).search(["kale"]) == []
    assert build([passage(0, "")]).search(["kale"]) == []


def test_k_is_capped_at_fifty() -> None:
    """Asking for more than fifty gives fifty."""
    index = build([passage(number, "kale") for number in range(80)])
    assert len(index.search(["kale"], k=1000)) == 50
    assert [hit.passage for hit in index.search(["kale"], k=3)] == [0, 1, 2]


def test_title_counts_most_then_ingredients_and_asks_then_text() -> None:
    """The same word ranks by the field it stands in."""
    filler = "onion pepper rice stew"
    index = build(
        [
            passage(0, f"kale {filler}", title="onion"),
            passage(1, filler, title="kale"),
            passage(2, filler, title="onion", asks=("kale",), id="b"),
            passage(3, filler, title="onion", ingredients=("kale",), id="a"),
        ]
    )
    assert [hit.passage for hit in index.search(["kale"])] == [1, 3, 2, 0]


def test_kinds_keep_only_passages_that_have_one() -> None:
    """A filter by kind drops the others; an unknown kind finds nothing."""
    index = build(
        [
            passage(0, "kale", kinds=("storage", "safety")),
            passage(1, "kale", kinds=("swap",)),
            passage(2, "kale", kinds=()),
        ]
    )
    assert [hit.passage for hit in index.search(["kale"], kinds=["safety", "swap"])] == [0, 1]
    assert [hit.passage for hit in index.search(["kale"], kinds={"swap"})] == [1]
    assert index.search(["kale"], kinds=("meal",)) == []
    assert len(index.search(["kale"])) == 3


def test_a_boost_moves_the_record_in_hand_up() -> None:
    """The factor is multiplied onto the record's scores, others stay, nothing is added."""
    passages = [passage(number, "kale soup") for number in range(4)]
    index = build(passages)
    plain = {hit.passage: hit.score for hit in index.search(["kale"])}
    hits = index.search(["kale"], boost={"r1": 1.5, "elsewhere": 9})
    assert [hit.passage for hit in hits] == [2, 3, 0, 1]
    assert hits[0].score == pytest.approx(1.5 * plain[2])
    for factor in (0, -1, math.nan, math.inf):
        with pytest.raises(ValueError, match="above zero"):
            index.search(["kale"], boost={"r1": factor})


def test_synonyms_meet_in_any_form() -> None:
    """A word and its synonym find each other's passages, plural or not."""
    index = build(
        [passage(0, "garbanzo salad"), passage(1, "chickpeas stewed"), passage(2, "kale")],
        {"garbanzos": "chickpea"},
    )
    assert {hit.passage for hit in index.search(["garbanzo"])} == {0, 1}
    assert {hit.passage for hit in index.search(["chickpeas"])} == {0, 1}
    with pytest.raises(ValueError, match="one word"):
        build([], {"garbanzo beans": "chickpea"})


def test_coverage_falls_with_words_nobody_wrote_down() -> None:
    """An unknown word weighs the most there is; an unknown figure weighs nothing."""
    index = build([passage(0, "kale keeps days"), passage(1, "soup keeps days")])
    whole = coverage(index.search(["kale", "keeps"])[0])
    missing = coverage(index.search(["kale", "keeps", "xylophone"])[0])
    figure = coverage(index.search(["kale", "keeps", "14"])[0])
    assert whole == figure == 1.0
    # ln 2 and ln 1.2 held; the unknown word adds ln(1 + 2.5 / 0.5) = ln 6.
    known = math.log(2) + math.log(1.2)
    assert missing == pytest.approx(known / (known + math.log(6)))


def test_hits_name_the_words_in_the_order_of_the_question() -> None:
    """Matched words are the question's own, each once, unknown ones left out."""
    (hit,) = build([passage(0, "Soak the beans overnight")]).search(
        ["how", "beans", "Soaking", "bean", "xylophone"]
    )
    assert hit.words == ("beans", "soaking")


def test_what_cannot_be_indexed_is_refused() -> None:
    """Two passages of one id, and arrays of another byte order, raise."""
    with pytest.raises(ValueError, match="'p00001'"):
        build([passage(1, "a"), passage(1, "b")])
    with pytest.raises(ValueError, match="64"):
        build([passage(0, "kale", kinds=tuple(str(n) for n in range(65)))])
    other = "big" if sys.byteorder == "little" else "little"
    data = msgspec.to_builtins(build([passage(0, "kale")])) | {"byte_order": other}
    with pytest.raises(msgspec.ValidationError, match="endian"):
        msgspec.convert(data, Index)


def test_the_index_takes_under_ten_bytes_a_token() -> None:
    """Encoded whole, vocabulary and ids included, it stays small."""
    passages = generated(2000)
    size = len(msgspec.msgpack.encode(build(passages)))
    count = sum(len(tokens(item.title)) + len(tokens(item.text)) for item in passages)
    assert size < 10 * count


def test_a_question_costs_its_postings_not_the_corpus() -> None:
    """Over 20,000 passages a question of rarer words costs a small part of touching them all."""
    passages = generated(20_000, size=12)
    index = build(passages)
    words = passages[11].text.split()
    rare = sorted(words, key=lambda word: len(index.search([word], k=50)))[:3]

    def best(run: int, all_of_them: bool) -> float:
        times = []
        for _ in range(run):
            start = time.perf_counter()
            if all_of_them:
                sorted(item.text.count(rare[0]) for item in passages)
            else:
                index.search(rare)
            times.append(time.perf_counter() - start)
        return min(times)

    assert best(5, all_of_them=False) < best(5, all_of_them=True) / 3


@settings(max_examples=20)
@given(st.text(max_size=200), st.lists(st.text(max_size=20), max_size=5))
def test_any_text_can_be_indexed_and_asked(text: str, words: list[str]) -> None:
    """No text or question makes the index fail."""
    build([passage(0, text)]).search(words)


def test_importing_stays_light() -> None:
    """The package's modules bring in no numeric, spelling or YAML library."""
    code = (
        "import sys; import assistant.retrieval.index, assistant.retrieval.spelling, "
        "assistant.retrieval.excerpt; "
        "heavy = {'numpy', 'sklearn', 'rank_bm25', 'rapidfuzz', 'yaml', 'pint'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert result.stdout.strip() == "[]"
