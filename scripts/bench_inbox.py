"""Messages a second, memory and growth of the triage: python scripts/bench_inbox.py FILE [--large].

FILE is JSON Lines with a text (and subject, from, received); the batches are made by varying it:
other senders, other numbers, a word or a sentence more. 1,000 and 10,000 messages; 100,000 with
--large. The growth exponent is the slope of log(time) over log(messages). Beside the clock stands
the processor time of this process, which other work on the machine does not lengthen; the growth is
taken from it unless --jobs lets other processes work.
"""

from __future__ import annotations

import argparse
import datetime
import json
import math
import random
import re
import resource
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from assistant.corpus.files import corpus_folder
from assistant.desk import Desk
from assistant.inbox.engine import Jobs, say, triage
from assistant.inbox.group import group
from assistant.inbox.message import Message
from assistant.inbox.sort import Settings

SIZES = (1_000, 10_000)
_OPENERS = (
    "",
    "Hi! ",
    "Hello, ",
    "Quick question. ",
    "hey, ",
    "Good morning. ",
    "Sorry to bother. ",
)
_CLOSERS = (
    "",
    " Thanks!",
    " thx",
    " Thank you so much",
    " Regards",
    " (from the late crew)",
    " :)",
)


def main() -> int:
    """Print the measures. Returns 0; 2 where there is no file."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--large", action="store_true", help="100,000 messages too")
    parser.add_argument("--jobs", type=int, default=0)
    args = parser.parse_args()
    if not args.file.is_file():
        print(f"{args.file}: there is no such file; give JSON Lines with texts", file=sys.stderr)
        return 2
    for line in measure(
        rows_of(args.file), (*SIZES, *((100_000,) if args.large else ())), args.jobs
    ):
        print(line, flush=True)
    return 0


def rows_of(file: Path) -> list[dict[str, str]]:
    """The messages of a JSON Lines file."""
    return [json.loads(line) for line in file.read_text("utf-8").splitlines() if line.strip()]


def measure(rows: Sequence[dict[str, str]], sizes: Sequence[int], jobs: int = 0) -> Iterator[str]:
    """The lines to print, as they come: rate, time of the grouping and memory, then the growth."""
    desk = Desk.open(corpus_folder())
    settings = Settings(today=datetime.date.today())
    whole, grouping = [], []
    for size in sizes:
        messages = varied(rows, size)
        start, begun = time.perf_counter(), time.process_time()
        items = triage(messages, desk, settings, Jobs(number=jobs), say).items
        taken, worked = time.perf_counter() - start, time.process_time() - begun
        start, begun = time.perf_counter(), time.process_time()
        group(items)
        grouped, work = time.perf_counter() - start, time.process_time() - begun
        whole.append((size, worked - work if jobs == 1 else taken - grouped))
        grouping.append((size, work))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        groups = len({item.group for item in items})
        yield (
            f"{size:>7,} messages: {size / taken:,.0f}/s in all, {taken:.1f} s, of which grouping "
            f"{grouped:.2f} s ({groups:,} groups); {memory:,.0f} MiB"
            + (f"; processor {size / worked:,.0f}/s, grouping {work:.2f} s" if jobs == 1 else "")
        )
    if len(sizes) > 1:
        yield f"growth exponent: answering {growth(whole):.2f}, grouping {growth(grouping):.2f}"


def varied(rows: Sequence[dict[str, str]], size: int) -> list[Message]:
    """`size` messages made of `rows`: always the same ones."""
    dice = random.Random(7)
    made = []
    for number in range(size):
        row = rows[number % len(rows)]
        text = row["text"]
        if number >= len(rows):
            text = re.sub(r"\b\d{1,2}\b", lambda _: str(dice.randint(2, 60)), text)
            text = f"{dice.choice(_OPENERS)}{text}{dice.choice(_CLOSERS)}"
        made.append(
            Message(
                source=f"bench:{number + 1}",
                received=row.get("received", ""),
                sender=f"sender{number}@example.org",
                subject=row.get("subject", ""),
                text=text,
            )
        )
    return made


def growth(points: Sequence[tuple[int, float]]) -> float:
    """The slope of log(time) over log(size), between the first and the last size."""
    (a, first), (b, last) = points[0], points[-1]
    return math.log(max(last, 1e-9) / max(first, 1e-9)) / math.log(b / a)


if __name__ == "__main__":
    sys.exit(main())
