"""Measure the sorting of an inbox against labelled messages: python scripts/evaluate_inbox.py FILE.

FILE is JSON Lines: id, received, from, subject, text, labels {class, questions, same_as}. Classes
map to states so: urgent = act now; medical = clinician; question = ready, check or write; praise =
thanks; other (mail gone astray, automatic replies) = write or empty; the rest by its own name.
"""

from __future__ import annotations

import argparse
import datetime
import json
import sys
from collections import Counter
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from assistant.corpus.files import corpus_folder
from assistant.desk import Desk
from assistant.inbox.engine import triage
from assistant.inbox.message import Item, Message
from assistant.inbox.readers import read
from assistant.inbox.readers.forms import Options
from assistant.inbox.sort import Settings

STATES = {
    "urgent": {"act now"},
    "medical": {"clinician"},
    "question": {"ready", "check", "write"},
    "praise": {"thanks"},
    "other": {"write", "empty"},
}
Pair = tuple[str, str]


def main() -> int:
    """Print the measures and the table of misses. Returns 0; 2 where there is no file."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--misses", action="store_true", help="show each miss")
    args = parser.parse_args()
    if not args.file.is_file():
        print(f"{args.file}: there is no such file; give the labelled messages", file=sys.stderr)
        return 2
    rows = [json.loads(line) for line in args.file.read_text("utf-8").splitlines() if line.strip()]
    desk = Desk.open(corpus_folder())
    items = triage(messages_of(args.file, desk), desk, Settings(today=datetime.date.today())).items
    for line in measures(rows, items):
        print(line)
    if args.misses:
        for line in misses(rows, items):
            print(line)
    return 0


def messages_of(file: Path, desk: Desk) -> list[Message]:
    """The messages of a file, read as `assistant triage` reads it."""
    lists = desk.corpus.lists
    fields = ("text", "id", "name", "date", "subject")
    words = {field: lists[f"inbox-{field}"].words for field in fields}
    return read([str(file)], Options(format="jsonl", words=words)).messages


def right(row: dict[str, Any], item: Item) -> bool:
    """Whether a message is in a state of its class."""
    name = row["labels"]["class"]
    return item.state in STATES.get(name, {name})


def measures(rows: Sequence[dict[str, Any]], items: Sequence[Item]) -> list[str]:
    """The lines to print: accuracy, recall and precision, groups, questions."""
    pairs = list(zip(rows, items, strict=True))
    made = [f"messages in {len(rows)}, out {len(items)}"]
    good = sum(right(row, item) for row, item in pairs)
    made.append(f"class accuracy {good}/{len(rows)} = {good / len(rows):.1%}")
    for name, state in (("urgent", "act now"), ("medical", "clinician")):
        wanted = {r["id"] for r in rows if _labelled(r, name)}
        led = {r["id"] for r in rows if r["labels"]["class"] == name}
        got = {i.id for i in items if (i.urgent if name == "urgent" else i.medical)}
        first = {i.id for i in items if i.state == state}
        made.append(
            f"{name}: recall {len(first & led)}/{len(led)} in state {state!r}, "
            f"flag recall {len(got & wanted)}/{len(wanted)}, "
            f"precision {len(first & wanted)}/{len(first)}"
        )
    gold, found = _groups(rows), _found(items)
    hit = len(gold & found)
    precision, recall = hit / max(1, len(found)), hit / max(1, len(gold))
    f1 = 2 * precision * recall / max(1e-9, precision + recall)
    made.append(f"group pairs: precision {hit}/{len(found)}, recall {hit}/{len(gold)}, F1 {f1:.2f}")
    same = sum(len(i.asked) == r["labels"]["questions"] for r, i in pairs)
    told, have = sum(r["labels"]["questions"] for r in rows), sum(len(i.asked) for i in items)
    made.append(
        f"questions per message: right for {same}/{len(rows)}; "
        f"{have / len(rows):.2f} found, {told / len(rows):.2f} labelled"
    )
    states = Counter(item.state for item in items)
    made.append("states: " + ", ".join(f"{s} {n}" for s, n in sorted(states.items())))
    return made


def _labelled(row: dict[str, Any], name: str) -> bool:
    return name == row["labels"]["class"] or name in row["labels"].get("also", ())


def _groups(rows: Sequence[dict[str, Any]]) -> set[Pair]:
    roots: dict[str, list[str]] = {}
    for row in rows:
        roots.setdefault(row["labels"].get("same_as") or row["id"], []).append(row["id"])
    return {pair for ids in roots.values() for pair in combinations(sorted(ids), 2)}


def _found(items: Sequence[Item]) -> set[Pair]:
    groups: dict[int, list[str]] = {}
    for item in items:
        groups.setdefault(item.group, []).append(item.id)
    return {pair for ids in groups.values() for pair in combinations(sorted(ids), 2)}


def misses(rows: Sequence[dict[str, Any]], items: Sequence[Item]) -> list[str]:
    """Every miss: class, pairs of groups, number of questions. Ids only, no text."""
    made = []
    for row, item in zip(rows, items, strict=True):
        labels = row["labels"]
        if not right(row, item):
            made.append(f"{row['id']}: {labels['class']}, but {item.state}")
        if len(item.asked) != labels["questions"]:
            made.append(f"{row['id']}: {labels['questions']} questions, but {len(item.asked)}")
    gold, found = _groups(rows), _found(items)
    made += [f"{a}, {b}: the same, but apart" for a, b in sorted(gold - found)]
    made += [f"{a}, {b}: apart, but together" for a, b in sorted(found - gold)]
    return made


if __name__ == "__main__":
    sys.exit(main())
