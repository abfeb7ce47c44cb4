"""Fit the weights by which a note is held to answer a question (assistant/kinds/fitting.py).

    python scripts/calibrate_notes.py FILE

FILE holds public questions, one a line (of a .tsv the last column); nearly all of them are answered
by no note of ours, so they stand for "no". The questions of tests/kinds/notes.yaml stand for "yes"
with their own note. Printed are the fitted weights, and for the present ones how many of both pass.
Nothing is written: the weights are a decision, taken by hand from what this prints.
"""

from __future__ import annotations

import argparse
import datetime
import random
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from assistant.corpus.source import read_yaml  # noqa: E402
from assistant.desk import Desk  # noqa: E402
from assistant.kinds.fitting import BASE, WEIGHTS, Signs, fit, fits  # noqa: E402

TODAY = datetime.date(2026, 11, 25)
NAMES = Signs.__struct_fields__


def main() -> int:
    """Print the weights and the shares. Returns 0; 2 where there is no file."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--sample", type=int, default=2000)
    parser.add_argument(
        "--share", type=float, default=0.02, help="of the public ones that may pass"
    )
    given = parser.parse_args()
    if not given.file.is_file():
        print(f"{given.file}: there is no such file; give questions, one a line", file=sys.stderr)
        return 2
    desk = Desk.open(ROOT / "corpus")
    ours = [
        signs
        for entry in read_yaml(ROOT / "tests/kinds/notes.yaml", "notes.yaml").data
        for signs, passage in signs_for(desk, entry["ask"])
        if passage == entry["note"]
    ]
    lines = given.file.read_text(encoding="utf-8").splitlines()
    picked = random.Random(5).sample(lines, min(given.sample, len(lines)))
    texts = [line.split("\t")[-1] for line in picked]
    theirs = [max((s for s, _ in found), key=fit) for t in texts if (found := signs_for(desk, t))]
    for name, group in (("ours", ours), ("public", theirs)):
        passed = sum(fit(signs) > 0 for signs in group)
        whole = len(group) if group is ours else len(texts)
        print(f"{name}: {passed} of {whole} pass ({passed / whole:.1%})")
    weights, base = fitted(ours, theirs, given.share * len(texts))
    print(f"now:    {dict(zip(NAMES, WEIGHTS, strict=True))}, base {BASE}")
    print(f"fitted: {dict(zip(NAMES, weights, strict=True))}, base {base}")
    return 0


def signs_for(desk: Desk, text: str) -> list[tuple[Signs, str]]:
    """The signs of every passage that is looked at, with the record it belongs to."""
    if not any(c.isalnum() for c in text):
        return []
    reading = desk.read(text, desk.context(today=TODAY))
    return [(signs, passage.record) for signs, passage in fits(reading, desk.shelf)]


def fitted(ours: list[Signs], theirs: list[Signs], passing: float) -> tuple[list[float], float]:
    """Weights of a logistic regression, `ours` against `theirs`, and the base that lets so many of
    `theirs` pass."""
    import numpy
    from sklearn.linear_model import LogisticRegression

    rows = numpy.array(
        [[float(getattr(signs, name)) for name in NAMES] for signs in (*ours, *theirs)]
    )
    model = LogisticRegression(C=1, max_iter=1000)
    model.fit(rows, [1] * len(ours) + [0] * len(theirs))
    sums = sorted(rows[len(ours) :] @ model.coef_[0], reverse=True)
    return [round(float(w), 2) for w in model.coef_[0]], round(-float(sums[int(passing)]), 2)


if __name__ == "__main__":
    sys.exit(main())
