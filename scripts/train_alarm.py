"""Learn the second ear for urgent messages, and write it as plain numbers.

    python scripts/train_alarm.py [--check | --measure]

The texts are the invented messages of assistant/kinds/alarm_messages and, as harmless ones, the
inbox's own examples and the kinds' example questions. With --check nothing is written: the exit
status says whether the model is the one learnt from the present texts and signs. With --measure
nothing is written either: the messages of each file are judged by a model learnt from the others,
and the share found at each threshold is printed, beside the rules alone. One file is one writer's
(the first two writers'), so what is printed holds for people who put things in their own way.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from learning import as_text, digest, fit  # noqa: E402

from assistant.corpus.source import read_yaml  # noqa: E402
from assistant.inbox.learned import examples_of  # noqa: E402
from assistant.kinds.alarm import FILE, LEVELS, MESSAGES, PERHAPS, URGENT, load, windows  # noqa: E402
from assistant.kinds.care import find_in, hear_all, signs_of  # noqa: E402
from assistant.kinds.compile import FOLDER  # noqa: E402
from assistant.snapshot import Snapshot, open_snapshot  # noqa: E402

STRENGTH = 0.5
FEWEST = 2
HARMLESS = "harmless"


Pair = tuple[str, str]


def written() -> dict[str, list[Pair]]:
    """The (message, level) pairs of each file of messages, in order."""
    found = {}
    for path in sorted(MESSAGES.glob("*.yaml")):
        data = read_yaml(path, path.name).data
        found[path.stem] = [(str(text), level) for level in LEVELS for text in data[level]]
    return found


def own_examples(snapshot: Snapshot) -> list[Pair]:
    """Harmless messages that there are: the inbox's own examples, and the kinds' example questions
    that are not referred to anybody."""
    found = []
    for texts_of_class in examples_of(snapshot.corpus.lists).values():
        found += [(text, HARMLESS) for text in texts_of_class]
    for path in sorted(FOLDER.glob("*/examples.yaml")):
        for entry in (read_yaml(path, path.name).data or {}).get("examples") or ():
            if entry["verdict"] != "refer":
                found += [(str(t), HARMLESS) for t in (entry["ask"], *entry.get("also", ()))]
    return found


def texts(snapshot: Snapshot) -> list[Pair]:
    """All (message, level) pairs, each once, in order."""
    every = [pair for pairs in written().values() for pair in pairs]
    return list(dict.fromkeys([*every, *own_examples(snapshot)]))


def rows_of(pair: Pair, snapshot: Snapshot) -> list[list[str]]:
    """What is learnt from a message: of an urgent one the whole, of a harmless one all that the
    ear judges, since one window of an urgent message is enough."""
    heard = hear_all(pair[0], snapshot.care)
    whole = signs_of(heard)
    if pair[1] != HARMLESS or len(heard) < 2:
        return [whole]
    return [whole, *(signs_of(some) for some in windows(heard) if len(some) < len(heard))]


def learn(pairs: Sequence[Pair], snapshot: Snapshot) -> tuple[Any, list[str]]:
    """The fitted model and its columns' names."""
    rows, labels = [], []
    for pair in pairs:
        made = rows_of(pair, snapshot)
        rows += made
        labels += [pair[1]] * len(made)
    return fit(rows, labels, STRENGTH, FEWEST)


def measure(snapshot: Snapshot) -> list[str]:
    """Lines to print: of each writer's urgent and harmless messages, how many sound the alarm."""
    writers, own, lines = written(), own_examples(snapshot), []
    for name, pairs in writers.items():
        others = [p for other, more in writers.items() if other != name for p in more]
        fitted, names = learn([*others, *own], snapshot)
        weights = dict(zip(names, fitted.coef_[0], strict=True))
        ruled = [find_in(t, snapshot.care, snapshot.corpus, ear=False).urgent for t, _ in pairs]
        odds = []
        for text, _ in pairs:
            each = (signs_of(some) for some in windows(hear_all(text, snapshot.care)))
            sums = [sum(weights.get(sign, 0.0) for sign in signs) for signs in each]
            odds.append(float(fitted.intercept_[0]) + max(sums, default=0.0))
        lines.append(f"{name}, learnt from the others")
        lines.append(_share("  rules alone", ruled, pairs))
        for level, least in (("urgent", URGENT), ("perhaps", PERHAPS)):
            sounds = [rule or value >= least for rule, value in zip(ruled, odds, strict=True)]
            lines.append(_share(f"  or the odds above {least:g} ({level})", sounds, pairs))
    return lines


def _share(name: str, sounds: Sequence[bool], pairs: Sequence[Pair]) -> str:
    shares = []
    for level in LEVELS:
        of = [sound for sound, (_, own) in zip(sounds, pairs, strict=True) if own == level]
        shares.append(f"{sum(of)} of {len(of)} {level} ({sum(of) / len(of):.1%})")
    return f"{name}: {', '.join(shares)}"


def main() -> int:
    """Learn and write, check, or measure."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--check", action="store_true", help="only say whether it is up to date")
    parser.add_argument("--measure", action="store_true", help="only print what is found")
    given = parser.parse_args()
    snapshot = open_snapshot(ROOT / "corpus")
    pairs = texts(snapshot)
    if given.check:
        fresh = FILE.is_file() and load().digest == digest(pairs)
        print("up to date" if fresh else "the messages have changed: run scripts/train_alarm.py")
        return 0 if fresh else 1
    if given.measure:
        print(*measure(snapshot), sep="\n")
        return 0
    FILE.write_text(as_text(*learn(pairs, snapshot), digest(pairs)), encoding="utf-8")
    print(f"{len(pairs)} messages, {FILE.stat().st_size:,} bytes in {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
