"""Learn the kinds' model from the program's own example questions, and write it as plain numbers.

    python scripts/train_kinds.py [--check]

The texts are the wordings of every kind's wordings.yaml, the questions of every kind's
examples.yaml, and the questions that the corpus's notes and safety rules say they answer. With
--check nothing is written: the exit status says whether the model is the one learnt from the
present texts.
"""

from __future__ import annotations

import argparse
import datetime
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from learning import as_text, digest, fit  # noqa: E402

from assistant.corpus.build import build  # noqa: E402
from assistant.corpus.source import read_yaml  # noqa: E402
from assistant.kinds.compile import FOLDER, kinds, wordings  # noqa: E402
from assistant.question.model import FILE, features, load  # noqa: E402
from assistant.question.understand import (  # noqa: E402
    Context,
    food_places,
    mentions_of,
)
from assistant.retrieval.words import tokens  # noqa: E402
from assistant.snapshot import open_snapshot  # noqa: E402

STRENGTH = 1.0
# What an ask of a note or rule counts, beside 1 for a wording: many, and nearly all of one kind.
ASKS = 0.2
FEWEST = 3


def texts(corpus_folder: Path = ROOT / "corpus") -> list[tuple[str, str, float]]:
    """(question, kind, how much it counts), each once, in order."""
    known = {form.kind for form in kinds()}
    found = wordings()
    for path in sorted(FOLDER.glob("*/examples.yaml")):
        data = read_yaml(path, path.name).data or {}
        for entry in data.get("examples") or ():
            found += [(str(t), data["kind"]) for t in (entry["ask"], *entry.get("also", ()))]
        found += [(str(e["ask"]), e["kind"]) for e in data.get("never") or () if "kind" in e]
    corpus = build(corpus_folder)
    asks = {(ask, n.kinds[0]) for n in corpus.notes.values() if n.kinds for ask in n.asks}
    asks |= {(ask, r.kinds[0]) for r in corpus.safety.values() if r.kinds for ask in r.asks}
    own = {pair for pair in found if pair[1] in known}
    whole = [(*pair, 1.0) for pair in own] + [(*p, ASKS) for p in asks - own if p[1] in known]
    return sorted(whole)


def rows_of(questions: Sequence[str], corpus_folder: Path = ROOT / "corpus") -> list[list[str]]:
    """Each question's features, its foods found as the program finds them."""
    snapshot = open_snapshot(corpus_folder)
    settled = Context(today=datetime.date(2026, 1, 1))
    made = []
    for text in questions:
        named = mentions_of(text, snapshot.lexicon, snapshot.corpus, settled)
        made.append(features([token.text for token in tokens(text)], food_places(named)))
    return made


def learn(given: Sequence[tuple[str, str, float]]) -> str:
    """The model as JSON text, the same for the same texts."""
    rows = rows_of([text for text, _, _ in given])
    kinds_, weights = [kind for _, kind, _ in given], [weight for _, _, weight in given]
    fitted, names = fit(rows, kinds_, STRENGTH, FEWEST, weights)
    return as_text(fitted, names, digest([(text, kind) for text, kind, _ in given]))


def main() -> int:
    """Learn and write, or check."""
    parser = argparse.ArgumentParser(description="Learn the kinds from the example questions.")
    parser.add_argument("--check", action="store_true", help="only say whether it is up to date")
    given = parser.parse_args()
    pairs = texts()
    if given.check:
        fresh = FILE.is_file() and load().digest == digest([pair[:2] for pair in pairs])
        print("up to date" if fresh else "the examples have changed: run scripts/train_kinds.py")
        return 0 if fresh else 1
    FILE.write_text(learn(pairs), encoding="utf-8")
    print(f"{len(pairs)} questions, {FILE.stat().st_size:,} bytes in {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
