"""Learn the second ear for urgent messages, and write it as plain numbers.

    python scripts/train_alarm.py [--check | --measure]

The texts are the invented messages of assistant/kinds/alarm_*.yaml and, as harmless ones, the
inbox's own examples and the kinds' example questions. With --check nothing is written: the exit
status says whether the model is the one learnt from the present texts and signs. With --measure
nothing is written either: each tenth of the messages is judged by a model learnt from the other
nine, and the share found at each threshold is printed, beside the rules alone.
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
from assistant.kinds.alarm import FILE, MESSAGES, PERHAPS, URGENT, load  # noqa: E402
from assistant.kinds.care import find_in, hear_all, signs_of  # noqa: E402
from assistant.kinds.compile import FOLDER  # noqa: E402
from assistant.snapshot import Snapshot, open_snapshot  # noqa: E402

STRENGTH = 0.5
FEWEST = 2
PARTS = 10
HARMLESS = "harmless"


def texts(snapshot: Snapshot) -> list[tuple[str, str]]:
    """(message, level) pairs in order: the messages for it, and harmless ones that there are: the
    inbox's own examples, and the kinds' example questions that are not referred to anybody."""
    found = []
    for level, path in MESSAGES.items():
        source = read_yaml(path, path.name)
        found += [(str(text), level) for text in source.data]
    for texts_of_class in examples_of(snapshot.corpus.lists).values():
        found += [(text, HARMLESS) for text in texts_of_class]
    for path in sorted(FOLDER.glob("*/examples.yaml")):
        for entry in (read_yaml(path, path.name).data or {}).get("examples") or ():
            if entry["verdict"] != "refer":
                found += [(str(t), HARMLESS) for t in (entry["ask"], *entry.get("also", ()))]
    return list(dict.fromkeys(found))


def rows_of(pair: tuple[str, str], snapshot: Snapshot) -> list[list[str]]:
    """What is learnt from a message: of an urgent one the whole, of a harmless one each sentence
    too, since the ear judges sentence by sentence and one of an urgent message is enough."""
    heard = hear_all(pair[0], snapshot.care)
    whole = signs_of(heard)
    if pair[1] != HARMLESS or len(heard) < 2:
        return [whole]
    return [whole, *(signs_of([one]) for one in heard)]


def learn(pairs: Sequence[tuple[str, str]], snapshot: Snapshot) -> tuple[Any, list[str]]:
    """The fitted model and its columns' names."""
    rows, labels = [], []
    for pair in pairs:
        made = rows_of(pair, snapshot)
        rows += made
        labels += [pair[1]] * len(made)
    return fit(rows, labels, STRENGTH, FEWEST)


def measure(pairs: Sequence[tuple[str, str]], snapshot: Snapshot) -> list[str]:
    """Lines to print: of the urgent and the harmless, how many sound the alarm."""
    ruled = [find_in(text, snapshot.care, snapshot.corpus, ear=False).urgent for text, _ in pairs]
    odds = [0.0] * len(pairs)
    for part in range(PARTS):
        fitted, names = learn([p for i, p in enumerate(pairs) if i % PARTS != part], snapshot)
        weights = dict(zip(names, fitted.coef_[0], strict=True))
        for i in range(part, len(pairs), PARTS):
            heard = [signs_of([one]) for one in hear_all(pairs[i][0], snapshot.care)]
            sums = [sum(weights.get(name, 0.0) for name in signs) for signs in heard]
            odds[i] = float(fitted.intercept_[0]) + max(sums, default=0.0)
    lines = [_share("rules alone", ruled, pairs)]
    for name, least in (("urgent", URGENT), ("perhaps", PERHAPS)):
        sounds = [rule or value >= least for rule, value in zip(ruled, odds, strict=True)]
        lines.append(_share(f"rules, or the odds above {least:g} ({name})", sounds, pairs))
    return lines


def _share(name: str, sounds: Sequence[bool], pairs: Sequence[tuple[str, str]]) -> str:
    shares = []
    for level in reversed(MESSAGES):
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
        print(*measure(pairs, snapshot), sep="\n")
        return 0
    FILE.write_text(as_text(*learn(pairs, snapshot), digest(pairs)), encoding="utf-8")
    print(f"{len(pairs)} messages, {FILE.stat().st_size:,} bytes in {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
