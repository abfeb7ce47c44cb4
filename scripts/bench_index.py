"""The index over growing corpora, beside rank-bm25 over all passages and bm25s in the same run.

    python scripts/bench_index.py [--questions FILE] [--sizes 2000 10000 100000]

The corpus is grown by repeating its passages with other numbers, other names for the same food, and
sentences, questions and ingredients left out. It is asked the kinds' own examples and, where a file
is given, its questions: a column `title` of a .tsv, else a line each. Every library is measured in
a process of its own, on the same passages and the same terms. Times are processor time, since
others may use the machine, and of two askings the better; ours cut and stem the words of passages
and questions within them, the others get terms.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import msgspec
import yaml

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from assistant.corpus.files import corpus_folder
from assistant.retrieval.excerpt import sentences
from assistant.retrieval.index import ASKS, INGREDIENTS, K1, TEXT, TITLE, B, Passage, build, idf
from assistant.retrieval.words import stem, stop_words, tokens
from assistant.snapshot import open_snapshot

ROOT = Path(__file__).resolve().parents[1]
BEST = 10
MOST = 1000
SIZES = (0, 2_000, 10_000, 100_000)
LIBRARIES = ("ours", "rank-bm25", "bm25s")
IDF = "idf = ln(1 + (N - n + 0.5) / (n + 0.5)), k1 = 1.2, b = 0.75, stop words left out"
_WORD = re.compile(r"[\w'-]+")
_LONGEST = 3
_KEPT = 0.75


def questions(path: Path | None, most: int) -> list[str]:
    """The kinds' example questions, and of a file every so many that there are `most` in all."""
    asks = []
    for file in sorted(ROOT.glob("assistant/kinds/*/examples.yaml")):
        asks += [one["ask"] for one in yaml.safe_load(file.read_text("utf-8"))["examples"]]
    return _spread(asks, most // 2 if path else most) + (listed(path, most // 2) if path else [])


def listed(path: Path, most: int) -> list[str]:
    """At most `most` questions of a file, spread over it. Ends the program for an unusable file."""
    try:
        lines = [line for line in path.read_text("utf-8").splitlines() if line.strip()]
    except (OSError, UnicodeDecodeError) as error:
        raise SystemExit(f"cannot read {path}: {error}") from error
    if not lines:
        raise SystemExit(f"{path} holds no question; give a file with one a line")
    if path.suffix == ".tsv":
        if "title" not in lines[0].split("\t"):
            raise SystemExit(f"{path}:1: no column `title`; name one so, or give a plain list")
        column = lines[0].split("\t").index("title")
        lines = [line.split("\t")[column] for line in lines[1:]]
    return _spread(lines, most)


def _spread(lines: Sequence[str], most: int) -> list[str]:
    return [lines[n * len(lines) // most] for n in range(most)] if len(lines) > most else [*lines]


T = TypeVar("T")
# A text with its alternatives: each piece is one of its strings.
Pieces = list[tuple[str, ...]]


class Seed(msgspec.Struct):
    """What a corpus is grown from: its passages, and the names that mean the same as a name.

    With `asked`, the questions, it is what a process of a library gets: all get the same.
    """

    passages: list[Passage]
    names: dict[str, tuple[str, ...]]
    asked: list[str] = []


def seed(asked: Sequence[str] = ()) -> Seed:
    """The seed of the corpus as it is now."""
    snapshot = open_snapshot(corpus_folder())
    names = {}
    for item in snapshot.corpus.pantry.values():
        every = tuple(dict.fromkeys((item.name, *item.names)))
        names.update({name.lower(): every for name in every if len(every) > 1})
    return Seed([*snapshot.passages()[0]], names, [*asked])


def grown(size: int, start: Seed) -> Iterator[Passage]:
    """`size` passages: the corpus itself, then varied again and again. 0 is the corpus alone."""
    base, names = start.passages, start.names

    def pieces(text: str) -> Pieces:
        found: Pieces = []
        words = list(_WORD.finditer(text))
        last = 0
        for place, word in enumerate(words):
            ends = [other.end() for other in words[place : place + _LONGEST]]
            for end in reversed(ends if word.start() >= last else []):
                part = text[word.start() : end]
                others = names.get(part.lower(), ())
                if part.isdecimal() and len(part) < 5:
                    others = tuple(str(int(part) + more) for more in range(1, 40))
                if others:
                    found += [(text[last : word.start()],), (part, *others)]
                    last = end
                    break
        return [*found, (text[last:],)]

    @cache
    def cut(place: int) -> tuple[Pieces, list[Pieces], list[Pieces]]:
        one = base[place]
        return (
            pieces(one.title),
            [pieces(f"{sentence} ") for sentence in sentences(one.text)],
            [pieces(ask) for ask in one.asks],
        )

    chance = random.Random(size)
    for number in range(size or len(base)):
        one = base[number % len(base)]
        if number >= len(base):
            title, text, asks = cut(number % len(base))
            one = msgspec.structs.replace(
                one,
                id=f"{one.id}~{number // len(base)}",
                title=_one_of(title, chance),
                text="".join(_one_of(s, chance) for s in _some(text, chance)),
                asks=tuple(_one_of(ask, chance) for ask in _some(asks, chance)),
                ingredients=tuple(_some(one.ingredients, chance)),
            )
        yield one


def _one_of(pieces: Pieces, chance: random.Random) -> str:
    return "".join(chance.choice(piece) if len(piece) > 1 else piece[0] for piece in pieces)


def _some(many: Sequence[T], chance: random.Random) -> list[T]:
    return [one for one in many if len(many) < 2 or chance.random() < _KEPT]


def terms(texts: Iterable[str]) -> list[str]:
    """The stems of texts, stop words left out."""
    return [stem(t.text) for text in texts for t in tokens(text) if t.text not in stop_words()]


def document(item: Passage) -> list[str]:
    """The terms of a passage, repeated by the weight of their field."""
    fields = ((item.title,), item.ingredients, item.asks, (item.text,))
    weights = (TITLE, INGREDIENTS, ASKS, TEXT)
    return [t for field, weight in zip(fields, weights, strict=True) for t in terms(field) * weight]


def memory() -> float:
    """The most memory that this process has held so far, in MB (where the system tells)."""
    try:
        import resource
    except ImportError:
        return 0.0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1_000_000 if sys.platform == "darwin" else 1000)


def one(library: str, size: int, given: Seed) -> dict[str, Any]:
    """What one library needs at one size: seconds, MB, and the best scores of each question."""
    passages, asked = list(grown(size, given)), given.asked
    words = [sorted(set(terms([question]))) for question in asked]
    documents = [document(p) for p in passages] if library != "ours" else []
    before, start = memory(), time.process_time()
    extra: dict[str, Any] = {}
    if library == "ours":
        made = build(passages)
        built, after = time.process_time() - start, memory()
        texts = (t for p in passages for t in (p.title, *p.ingredients, *p.asks, p.text))
        count = sum(len(tokens(text)) for text in texts)
        extra = {"bytes": len(msgspec.msgpack.encode(made)) / count, "passages": len(passages)}
        plain = [[token.text for token in tokens(question)] for question in asked]
        took, best = _asked(plain, lambda q: [hit.score for hit in made.search(q, k=BEST)])
    elif library == "bm25s":
        import bm25s  # type: ignore[import-untyped, unused-ignore]

        sparse = bm25s.BM25(k1=K1, b=B, method="lucene")
        sparse.index(documents, show_progress=False)
        built, after = time.process_time() - start, memory()

        def retrieve(query: list[str]) -> Any:
            # It refuses a query none of whose words it has seen.
            known = [word for word in query if word in sparse.vocab_dict]
            return sparse.retrieve([known], k=BEST, show_progress=False)[1][0] if known else ()

        took, scores = _asked(words, retrieve)
        # Its scores lack the factor k1 + 1, which moves none.
        best = [[float(s) * (K1 + 1) for s in row if s > 0] for row in scores]
    else:
        from rank_bm25 import BM25Okapi

        rank = BM25Okapi(documents, k1=K1, b=B)
        built, after = time.process_time() - start, memory()
        took, scores = _asked(words, rank.get_scores, times=1)
        held = dict.fromkeys(rank.idf, 0)
        for counts in rank.doc_freqs:
            for term in counts:
                held[term] += 1
        rank.idf = {term: idf(len(documents), count) for term, count in held.items()}
        best, common = [], []
        for query, own in zip(words, scores, strict=True):
            ours = rank.get_scores(query)
            top = [n for n in (-ours).argsort(kind="stable")[:BEST] if ours[n] > 0]
            best.append([float(ours[n]) for n in top])
            tenth = sorted(own)[-BEST]
            common += [bool(own[n] >= tenth - 1e-6) for n in top]
        extra = {"own": sum(common) / max(1, len(common))}
    return {"build": built, "memory": after - before, "took": took, "best": best, **extra}


def _asked(
    asked: Sequence[list[str]], ask: Callable[[list[str]], Any], times: int = 2
) -> tuple[list[float], list[Any]]:
    """The seconds of each question, the better of `times`, and its outcome."""
    ask(asked[0])
    took, found = [], []
    for query in asked:
        runs = []
        for _ in range(times):
            start = time.process_time()
            outcome = ask(query)
            runs.append(time.process_time() - start)
        took.append(min(runs))
        found.append(outcome)
    return took, found


def same(one: Sequence[float], other: Sequence[float]) -> bool:
    """Whether two lists of best scores are the same to four figures, ties so being aside."""
    close = [abs(a - b) <= 1e-4 * max(a, b) for a, b in zip(one, other, strict=False)]
    return len(one) == len(other) and all(close)


def percentile(took: Sequence[float], share: float) -> float:
    """The time below which `share` of the questions lie, in milliseconds."""
    return sorted(took)[min(len(took) - 1, int(len(took) * share))] * 1000


def compare(sizes: Sequence[int], asked: Sequence[str]) -> None:
    """Print the table of all libraries at all sizes, whether they agree, and the growth."""
    print(f"{len(asked)} questions; {IDF}")
    heads = ("build s", "MB", "B/token", "p50 ms", "p95 ms", "x ours")
    print(
        f"{'passages':>9}  {'library':<10}{'asked':>6}{''.join(f'{h:>9}' for h in heads)}", end=""
    )
    print("  same top ten")
    given = seed()
    rows: dict[str, list[tuple[int, dict[str, Any]]]] = {name: [] for name in LIBRARIES}
    for size in sizes:
        ours: dict[str, Any] = {}
        for library in LIBRARIES:
            # Scoring every passage takes its time: fewer questions, spread over all.
            few = max(20, min(len(asked), 300_000 // max(size, 1_000)))
            step = max(1, len(asked) // few) if library == "rank-bm25" else 1
            done = _in_own_process(
                library, size, msgspec.structs.replace(given, asked=asked[::step])
            )
            ours = ours or done
            count = len(done["took"])
            alike = sum(map(same, ours["best"][::step], done["best"]))
            half, most = percentile(done["took"], 0.5), percentile(done["took"], 0.95)
            ratio = half / percentile(ours["took"][::step], 0.5)
            size_of = f"{done['bytes']:.1f}" if "bytes" in done else ""
            print(f"{ours['passages']:>9,}  {library:<10}{count:>6}{done['build']:>9.2f}", end="")
            print(
                f"{done['memory']:>9.0f}{size_of:>9}{half:>9.2f}{most:>9.2f}{ratio:>9.1f}", end=""
            )
            own = f", {done['own']:.0%} of it by its own idf" if "own" in done else ""
            print("" if library == "ours" else f"  {alike} of {count}{own}", flush=True)
            rows[library].append((ours["passages"], done))
    for library, found in rows.items():
        (small, first), (large, last) = found[0], found[-1]
        slow = [percentile(row["took"], 0.95) for row in (first, last)]
        print(
            f"growth, {library}: {large / small:.0f} x the passages, "
            f"{last['build'] / first['build']:.0f} x the build, {slow[1] / slow[0]:.0f} x the p95"
        )


def _in_own_process(library: str, size: int, given: Seed) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, str(Path(__file__)), "--one", library, "--sizes", str(size)],
        input=msgspec.msgpack.encode(given), capture_output=True, check=False, cwd=ROOT,
    )  # fmt: skip
    if done.returncode:
        raise SystemExit(f"{library} at {size} passages failed:\n{done.stderr.decode()}")
    outcome: dict[str, Any] = json.loads(done.stdout)
    return outcome


def main() -> None:
    """Run the comparison, or one library at one size for it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--questions", type=Path, help="a file of questions to ask besides")
    parser.add_argument("--most", type=int, default=MOST, help="how many questions")
    parser.add_argument("--sizes", type=int, nargs="+", default=SIZES, help="0: as it is")
    parser.add_argument("--one", choices=LIBRARIES, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.one:
        given = msgspec.msgpack.decode(sys.stdin.buffer.read(), type=Seed)
        print(json.dumps(one(args.one, args.sizes[0], given)))
    else:
        compare(args.sizes, questions(args.questions, args.most))


if __name__ == "__main__":
    main()
