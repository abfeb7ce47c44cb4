"""Fitting a linear model to texts, for the scripts that learn the shipped ones."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from typing import Any

from assistant.question.model import pack


def digest(pairs: Sequence[tuple[str, str]]) -> str:
    """What tells one set of (text, label) from another."""
    return hashlib.blake2b(json.dumps(list(pairs)).encode(), digest_size=8).hexdigest()


def table(rows: Sequence[Sequence[str]], fewest: int) -> tuple[Any, list[str]]:
    """A sparse 0/1 table, a row a text, and its columns' names: features of at least `fewest`."""
    import numpy
    from scipy.sparse import csr_matrix

    counts = Counter(feature for row in rows for feature in row)
    names = sorted(name for name, count in counts.items() if count >= fewest)
    place = {name: i for i, name in enumerate(names)}
    cells = [(r, place[name]) for r, row in enumerate(rows) for name in row if name in place]
    ones = numpy.ones(len(cells))
    made = csr_matrix((ones, tuple(zip(*cells, strict=True))), shape=(len(rows), len(names)))
    return made, names


def fit(
    rows: Sequence[Sequence[str]],
    labels: Sequence[str],
    strength: float,
    fewest: int,
    weights: Sequence[float] | None = None,
) -> tuple[Any, list[str]]:
    """A logistic regression fitted to the rows, and its columns' names.

    `weights`, where given, say how much each row counts.
    """
    from sklearn.linear_model import LogisticRegression

    cells, names = table(rows, fewest)
    fitted = LogisticRegression(C=strength, solver="newton-cg", max_iter=500)
    return fitted.fit(cells, list(labels), sample_weight=weights), names


def as_text(fitted: Any, names: Sequence[str], texts: str) -> str:
    """A fitted model as the JSON text of `assistant.question.model.Model`.

    Of two labels the one weight of a feature is that of the label that comes last by name.
    """
    model = {
        "kinds": [str(label) for label in fitted.classes_][-fitted.coef_.shape[0] :],
        "bias": [round(float(b), 2) for b in fitted.intercept_],
        "digest": texts,
        "features": "\n".join(names),
        "weights": pack(fitted.coef_.T.tolist()),
    }
    return json.dumps(model, indent=0) + "\n"
