"""Learn the kinds' model from the program's own example questions, and write it as plain numbers.

    python scripts/train_kinds.py [--check]

The texts are the wordings of every kind's wordings.yaml, the questions of every kind's examples.yaml,
and the questions that the corpus's notes and safety rules say they answer. With --check nothing is
written: the exit status says whether the model is the one learnt from the present texts.
"""

from __future__ import annotations

import argparse
import datetime
import hashlib
import json
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from assistant.corpus.build import build  # noqa: E402
from assistant.corpus.source import read_yaml  # noqa: E402
from assistant.kinds.compile import FOLDER, kinds, wordings  # noqa: E402
from assistant.question.model import FILE, features, load, pack  # noqa: E402
from assistant.question.understand import (  # noqa: E402
    Context,
    food_places,
    mentions_of,
)
from assistant.retrieval.words import tokens  # noqa: E402
from assistant.snapshot import open_snapshot  # noqa: E402

STRENGTH = 1.0
FEWEST = 2


def texts(corpus_folder: Path = ROOT / "corpus") -> list[tuple[str, str]]:
    """(question, kind) pairs, each once, in order."""
    known = {form.kind for form in kinds()}
    found = wordings()
    for path in sorted(FOLDER.glob("*/examples.yaml")):
        data = read_yaml(path, path.name).data or {}
        for entry in data.get("examples") or ():
            found += [(str(t), data["kind"]) for t in (entry["ask"], *entry.get("also", ()))]
        found += [(str(e["ask"]), e["kind"]) for e in data.get("never") or () if "kind" in e]
    corpus = build(corpus_folder)
    for note in corpus.notes.values():
        found += [(ask, note.kinds[0]) for ask in note.asks if note.kinds]
    for rule in corpus.safety.values():
        found += [(ask, rule.kinds[0]) for ask in rule.asks if rule.kinds]
    return sorted({pair for pair in found if pair[1] in known})


def digest(pairs: list[tuple[str, str]]) -> str:
    """What tells one set of texts from another."""
    return hashlib.blake2b(json.dumps(pairs).encode(), digest_size=8).hexdigest()


def rows_of(questions: Sequence[str], corpus_folder: Path = ROOT / "corpus") -> list[list[str]]:
    """Each question's features, its foods found as the program finds them."""
    snapshot = open_snapshot(corpus_folder)
    settled = Context(today=datetime.date(2026, 1, 1))
    made = []
    for text in questions:
        named = mentions_of(text, snapshot.lexicon, snapshot.corpus, settled)
        made.append(features([token.text for token in tokens(text)], food_places(named)))
    return made


def learn(pairs: list[tuple[str, str]]) -> str:
    """The model as JSON text, the same for the same texts."""
    import numpy
    from scipy.sparse import csr_matrix
    from sklearn.linear_model import LogisticRegression

    rows = rows_of([text for text, _ in pairs])
    counts = Counter(feature for row in rows for feature in row)
    names = sorted(name for name, count in counts.items() if count >= FEWEST)
    place = {name: i for i, name in enumerate(names)}
    cells = [(r, place[name]) for r, row in enumerate(rows) for name in row if name in place]
    ones = numpy.ones(len(cells))
    table = csr_matrix((ones, tuple(zip(*cells, strict=True))), shape=(len(rows), len(names)))
    fitted = LogisticRegression(C=STRENGTH, solver="newton-cg", max_iter=500)
    fitted.fit(table, [kind for _, kind in pairs])
    model = {
        "kinds": [str(kind) for kind in fitted.classes_],
        "bias": [round(float(b), 2) for b in fitted.intercept_],
        "digest": digest(pairs),
        "features": "\n".join(names),
        "weights": pack(fitted.coef_.T.tolist()),
    }
    return json.dumps(model, indent=0) + "\n"


def main() -> int:
    """Learn and write, or check."""
    parser = argparse.ArgumentParser(description="Learn the kinds from the example questions.")
    parser.add_argument("--check", action="store_true", help="only say whether it is up to date")
    given = parser.parse_args()
    pairs = texts()
    if given.check:
        fresh = FILE.is_file() and load().digest == digest(pairs)
        print("up to date" if fresh else "the examples have changed: run scripts/train_kinds.py")
        return 0 if fresh else 1
    FILE.write_text(learn(pairs), encoding="utf-8")
    print(f"{len(pairs)} questions, {FILE.stat().st_size:,} bytes in {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
