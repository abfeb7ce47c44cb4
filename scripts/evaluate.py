"""Measure the reading of questions against a labelled file, and time the answers.

    python scripts/evaluate.py FILE... [--misses OUT.tsv] [--corpus DIR] [--today 2026-11-25]

A .tsv file has the columns title, kind, second, urgent and medical (`-` for no second kind); a
.jsonl file has one message a line with `text` and `labels` (`class`, `also`, `kinds`). Nothing of
either is kept: the table of misses goes where --misses says. Without a file there is nothing to
measure and nothing is printed but this.
"""

from __future__ import annotations

import argparse
import csv
import datetime
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from assistant.desk import Desk, UnusableQuestion

CORPUS = Path(__file__).resolve().parent.parent / "corpus"
# What a label calls a question that belongs to no kind.
NO_KIND = "other"


class Labelled(NamedTuple):
    """One question with its labels; `kinds` are the right ones, the first of them the primary."""

    text: str
    kinds: tuple[str, ...]
    urgent: bool
    medical: bool


class Got(NamedTuple):
    """What the desk made of it."""

    kind: str
    verdict: str
    urgent: bool
    medical: bool
    milliseconds: float
    headline: str


def read_labelled(path: Path) -> Iterator[Labelled]:
    """The labelled questions of a file. Raises SystemExit for a file of another form."""
    if path.suffix == ".tsv":
        with path.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream, delimiter="\t", quoting=csv.QUOTE_NONE):
                kinds = tuple(kind for kind in (row["kind"], row["second"]) if kind.strip("-"))
                yield Labelled(
                    row["title"], kinds, row["urgent"] == "urgent", row["medical"] == "medical"
                )
        return
    if path.suffix != ".jsonl":
        raise SystemExit(f"{path}: give a .tsv or a .jsonl file")
    for line in path.read_text(encoding="utf-8").splitlines():
        message = json.loads(line)
        labels = message["labels"]
        classes = {labels["class"], *labels["also"]}
        kinds = tuple(labels["kinds"]) or (("programme",) if "programme" in classes else ())
        if kinds:
            yield Labelled(message["text"], kinds, "urgent" in classes, "medical" in classes)


def ask(desk: Desk, question: Labelled, today: datetime.date) -> Got:
    """Ask once, with a clock running."""
    started = time.perf_counter()
    try:
        answer = desk.ask(question.text, desk.context(today=today))
    except UnusableQuestion:
        return Got(NO_KIND, "unusable", False, False, 0.0, "")
    spent = (time.perf_counter() - started) * 1000
    kind = answer.kind or NO_KIND
    return Got(kind, answer.verdict, answer.urgent, answer.medical, spent, answer.headline)


def share(part: float, whole: float) -> str:
    """`87.5 %`, or a dash where there is nothing to divide."""
    return f"{100 * part / whole:5.1f} %" if whole else "    –  "


def quantile(values: Sequence[float], part: float) -> float:
    """The value below which that part of the values lies."""
    return sorted(values)[min(len(values) - 1, int(part * len(values)))]


def report(path: Path, pairs: Sequence[tuple[Labelled, Got]]) -> None:
    """Print the measures of one file."""
    total = len(pairs)
    first = sum(got.kind == asked.kinds[0] for asked, got in pairs)
    either = sum(got.kind in asked.kinds for asked, got in pairs)
    print(f"{path.name}: {total} questions")
    print(f"  kind right (primary)            {share(first, total)}  {first}")
    print(f"  kind right (primary or second)  {share(either, total)}  {either}")
    print("  kind         asked  recall  recall(2)  precision  precision(2)")
    asked_of = Counter(asked.kinds[0] for asked, _ in pairs)
    for kind in sorted(asked_of | Counter(got.kind for _, got in pairs)):
        mine = [(asked, got) for asked, got in pairs if asked.kinds[0] == kind]
        said = [(asked, got) for asked, got in pairs if got.kind == kind]
        print(
            f"  {kind:12} {len(mine):5}"
            f" {share(sum(got.kind == kind for _, got in mine), len(mine))}"
            f"  {share(sum(got.kind in asked.kinds for asked, got in mine), len(mine))}"
            f"    {share(sum(asked.kinds[0] == kind for asked, _ in said), len(said))}"
            f"      {share(sum(kind in asked.kinds for asked, _ in said), len(said))}"
        )
    for name in ("urgent", "medical"):
        real = [getattr(got, name) for asked, got in pairs if getattr(asked, name)]
        said_so = [getattr(asked, name) for asked, got in pairs if getattr(got, name)]
        print(
            f"  {name:8} recall {share(sum(real), len(real))} of {len(real)},"
            f" precision {share(sum(said_so), len(said_so))} of {len(said_so)}"
        )
    verdicts = Counter(got.verdict for _, got in pairs)
    shares = (f"{verdict} {share(n, total).strip()}" for verdict, n in verdicts.most_common())
    print(f"  verdicts {', '.join(shares)}")
    times = [got.milliseconds for _, got in pairs]
    half, most = quantile(times, 0.5), quantile(times, 0.95)
    print(f"  a question takes p50 {half:.2f} ms, p95 {most:.2f} ms")


def write_misses(path: Path, pairs: Sequence[tuple[Labelled, Got]]) -> int:
    """A table of the questions whose kind, urgency or medical mark came out wrong."""
    missed = 0
    with path.open("w", encoding="utf-8", newline="") as stream:
        table = csv.writer(stream, delimiter="\t")
        table.writerow(("wanted", "second", "got", "verdict", "marks", "question", "headline"))
        for asked, got in pairs:
            marks = [
                f"{name}{'+' if getattr(got, name) else '-'}"
                for name in ("urgent", "medical")
                if getattr(got, name) != getattr(asked, name)
            ]
            if got.kind in asked.kinds and not marks:
                continue
            missed += 1
            second = asked.kinds[1] if len(asked.kinds) > 1 else "-"
            text = " ".join(asked.text.split())
            table.writerow(
                (asked.kinds[0], second, got.kind, got.verdict, " ".join(marks), text, got.headline)
            )
    return missed


def main() -> int:
    """Measure each file given."""
    parser = argparse.ArgumentParser(description="Measure the reading against labelled questions.")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--misses", type=Path, help="write a table of misses here")
    parser.add_argument("--corpus", type=Path, default=CORPUS)
    parser.add_argument("--today", type=datetime.date.fromisoformat, default="2026-11-25")
    given = parser.parse_args()
    if not given.files:
        print("no labelled file given; nothing to measure")
        return 0
    desk = Desk.open(given.corpus)
    everything: list[tuple[Labelled, Got]] = []
    for path in given.files:
        questions = list(read_labelled(path))
        ask(desk, questions[0], given.today)
        pairs = [(question, ask(desk, question, given.today)) for question in questions]
        report(path, pairs)
        everything += pairs
    if given.misses:
        print(f"{write_misses(given.misses, everything)} misses in {given.misses}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
