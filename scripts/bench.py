"""How fast the assistant is, as ratios against a named baseline in the same run.

    python scripts/bench.py                     start, a warm answer, the parts of a start
    python scripts/bench.py --questions FILE    whole answers to the questions of a file
    python scripts/bench.py --gaps              grouping a log of questions
    python scripts/bench.py --index             the index over growing corpora (bench_index.py)
    python scripts/bench.py --chat              the first prompt, a completion menu (bench_chat.py)
    python scripts/bench.py --inbox FILE        sorting 1,000 and 10,000 messages (bench_inbox.py)

Every number is the best of several runs, since the machine may be busy; the ratio is the point.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SCALE = "How much broth do I need if I make the red lentil soup for 14?"
NOTE = "How long should I press the tofu?"
QUESTIONS = (
    SCALE,
    NOTE,
    "how many grams is 1 1/2 cups of red lentils",
    "how much sodium is in the turkey chili?",
    "made the lentil soup Tuesday, still fine Saturday?",
    "what can I use instead of the mushrooms in the risotto?",
    "when does the spinach go in the lentil soup?",
    "what's in the overnight oats",
    "which ingredient brings most of the sodium in the turkey chili?",
    "can I freeze the turkey chili",
)


def best(run: Callable[[], object], times: int) -> float:
    """The shortest of several runs, in seconds."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        took.append(time.perf_counter() - start)
    return min(took)


def process(arguments: Sequence[str], times: int, cache: str) -> float:
    """The shortest whole-process time of `python ARGUMENTS`, in seconds."""
    environment = {**os.environ, "ASSISTANT_CACHE": cache}
    command = [sys.executable, *arguments]

    def run() -> None:
        subprocess.run(command, cwd=ROOT, env=environment, check=True, capture_output=True)

    run()
    return best(run, times)


def start_up(times: int) -> None:
    """Whole processes: bare Python, importing libraries, and the assistant on a warm snapshot."""
    with tempfile.TemporaryDirectory() as cache:
        bare = process(["-c", "pass"], times, cache)
        pint = process(["-c", "import pint"], times, cache)
        rows = [("bare python", bare), ('python -c "import pint"', pint)]
        ask = ["-m", "assistant", "ask", "--today", "2026-11-25"]
        rows.append(("ask, scaling", process([*ask, SCALE], times, cache)))
        rows.append(("ask, a note", process([*ask, NOTE], times, cache)))
        rows.append(("list kinds", process(["-m", "assistant", "list", "kinds"], times, cache)))
    print(f"{'whole process':<28}{'ms':>8}{'x bare':>9}{'x pint':>9}")
    for name, took in rows:
        print(f"{name:<28}{took * 1000:>8.0f}{took / bare:>9.1f}{took / pint:>9.2f}")


def warm(times: int) -> None:
    """Answers inside one process, after the first, against reading the same words as tokens."""
    import datetime

    from assistant.corpus.files import corpus_folder
    from assistant.desk import Desk
    from assistant.retrieval.words import tokens

    desk = Desk.open(corpus_folder())
    context = desk.context(today=datetime.date(2026, 11, 25))
    base = best(lambda: [tokens(question) for question in QUESTIONS], times) / len(QUESTIONS)
    took = []
    print(f"\n{'warm answer':<64}{'ms':>8}{'x words':>9}")
    for question in QUESTIONS:
        desk.ask(question, context)
        one = best(lambda asked=question: desk.ask(asked, context), times)  # type: ignore[misc]
        took.append(one)
        print(f"{question:<64}{one * 1000:>8.2f}{one / base:>9.0f}")
    median = statistics.median(took)
    print(f"{'median':<64}{median * 1000:>8.2f}{median / base:>9.0f}")


def compiling() -> None:
    """Building the snapshot from the files, against reading the same bytes."""
    from assistant.corpus.files import corpus_folder, files
    from assistant.snapshot import compile_snapshot

    folder = corpus_folder()
    reading = best(lambda: [path.read_bytes() for path in files(folder)], 3)
    building = best(lambda: compile_snapshot(folder), 2)
    print(f"\nsnapshot: {building * 1000:.0f} ms, {building / reading:.0f} x reading the files")


def answers(path: Path) -> None:
    """Readings of and whole answers to every question of a file, each asked once, beside two
    baselines."""
    import datetime

    from bench_index import document, listed, percentile, terms
    from rank_bm25 import BM25Okapi

    from assistant.corpus.files import corpus_folder
    from assistant.desk import Desk
    from assistant.question.understand import understand
    from assistant.retrieval.words import tokens

    desk = Desk.open(corpus_folder())
    context = desk.context(today=datetime.date(2026, 11, 25))
    lexicon, corpus = desk.snapshot.lexicon, desk.corpus
    rank = BM25Okapi([document(passage) for passage in desk.snapshot.passages()[0]])
    asked = listed(path, sys.maxsize)
    runs: dict[str, Callable[[str], object]] = {
        "cutting it into words": tokens,
        "rank-bm25 over all passages": lambda question: rank.get_scores(terms([question])),
        "reading it": lambda question: understand(question, lexicon, corpus, context),
        "whole answer": lambda question: desk.ask(question, context),
    }
    print(f"{f'{len(asked):,} questions, one process':<40}{'p50 ms':>9}{'p95 ms':>9}{'x rank':>8}")
    took: dict[str, list[float]] = {name: [] for name in runs}
    desk.ask(SCALE, context)
    for question in asked:
        for name, run in runs.items():
            # Processor time: each is run once only, and others may use the machine.
            start = time.process_time()
            run(question)
            took[name].append(time.process_time() - start)
    base = percentile(took["rank-bm25 over all passages"], 0.5)
    for name, times in took.items():
        half, most = percentile(times, 0.5), percentile(times, 0.95)
        print(f"{name:<40}{half:>9.2f}{most:>9.2f}{half / base:>8.2f}")


def gaps(path: Path | None, sizes: Sequence[int]) -> None:
    """Grouping a log of unanswered questions, at growing sizes, beside only reading them.

    The questions are those of a file, else made from a few molds and the names of the pantry.
    """
    from bench_index import listed

    from assistant.corpus.files import corpus_folder
    from assistant.desk import Desk
    from assistant.gaps.groups import find
    from assistant.gaps.log import Entry

    def seconds(run: Callable[[Desk], object]) -> float:
        desk = Desk.open(corpus_folder())
        desk.read(SCALE, desk.context())
        return best(lambda: run(desk), 1)

    names = sorted({item.name for item in Desk.open(corpus_folder()).corpus.pantry.values()})
    molds = (
        "How do I smoke {}?",
        "why does my {} go gray",
        "{} instead of {}?",
        "is {} ok with {}",
    )
    many = [mold.format(one, two) for one in names for two in names for mold in molds]
    questions = listed(path, sys.maxsize) if path else random.Random(1).sample(many, max(sizes))
    print(f"{'questions':>10}{'gaps':>8}{'seconds':>9}{'ms each':>9}{'x reading':>11}")
    for size in sizes:
        asked = questions[:size]
        log = [Entry(asked="2026-10-06", question=q, kind="", verdict="unknown") for q in asked]
        count: list[int] = []
        took = seconds(lambda desk, log=log, count=count: count.append(len(find(log, desk))))  # type: ignore[misc]
        reading = seconds(lambda desk, asked=asked: [desk.read(q, desk.context()) for q in asked])  # type: ignore[misc]
        each = took / len(asked) * 1000
        print(f"{len(asked):>10,}{count[0]:>8,}{took:>9.2f}{each:>9.2f}{took / reading:>11.2f}")


def main() -> None:
    """Run the benchmarks asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--times", type=int, default=7, help="runs of each measurement")
    parser.add_argument("--index", action="store_true", help="the index over growing corpora")
    parser.add_argument("--chat", action="store_true", help="the first prompt and completion")
    parser.add_argument("--questions", type=Path, help="whole answers to a file's questions")
    parser.add_argument("--gaps", action="store_true", help="grouping a log, with --questions its")
    parser.add_argument("--inbox", type=Path, help="sorting messages made of a JSON Lines file")
    parser.add_argument("--sizes", type=int, nargs="+", help="how many passages or questions")
    args = parser.parse_args()
    if args.index:
        import bench_index

        asked = bench_index.questions(args.questions, bench_index.MOST)
        bench_index.compare(args.sizes or bench_index.SIZES, asked)
        return
    if args.inbox:
        import bench_inbox

        for line in bench_inbox.measure(
            bench_inbox.rows_of(args.inbox), args.sizes or bench_inbox.SIZES, jobs=1
        ):
            print(line, flush=True)
        return
    if args.gaps:
        gaps(args.questions, args.sizes or (1_000, 2_000, 4_000, 8_000))
        return
    if args.questions:
        answers(args.questions)
        return
    if args.chat:
        from bench_chat import chat

        chat(args.times)
        return
    start_up(args.times)
    warm(args.times)
    compiling()


if __name__ == "__main__":
    main()
