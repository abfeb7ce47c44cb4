"""Messages that ask the same, in whatever words: near-linear, and the same for the same inbox.

Two messages ask the same when the cosine of their weighted terms reaches a threshold and their
guards agree (see terms.py). Candidates come from an index of each message's rarest terms only: if
the rest of a vector is shorter than the threshold, one that shares none of them cannot reach it
(prefix filtering; Bayardo, Ma and Srikant, "Scaling up all pairs similarity search", 2007).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from assistant.inbox.message import Item
from assistant.inbox.terms import LEAST, SHARES, Guard, agree, part_of, threshold, together

_NEVER = frozenset({"empty", "thanks"})
# A group is found by any of its first members, so that a large one costs no more than a small one.
_KEPT = 4
_BLOCK = 1_024


def group(items: Sequence[Item]) -> list[int]:
    """For each item the place (counted from 0) of the first that asks the same, often its own."""
    first: dict[tuple[tuple[str, ...], Guard], int] = {}
    owner = list(range(len(items)))
    for place, item in enumerate(items):
        if item.state in _NEVER or not item.terms:
            continue
        owner[place] = first.setdefault((item.terms, item.guard), place)
    unique = sorted(first.values())
    if len(unique) > 1:
        _join(items, unique, owner)
    return [owner[owner[place]] for place in range(len(items))]


def _join(items: Sequence[Item], unique: Sequence[int], owner: list[int]) -> None:
    """Block by block: compare with the first members of every group, and within the block.

    A message joins the group whose first members it is most like, at least half of them and all
    together by the group's guard; so no group grows by a chain of chance likenesses.
    """
    rows = _vectors([items[place].terms for place in unique])
    rarest, rest = _prefixes(rows)
    guards = [items[place].guard for place in unique]
    whole: dict[int, Guard] = {}
    kept: dict[int, list[int]] = {}
    first: list[int] = []
    for start in range(0, len(unique), _BLOCK):
        block = list(range(start, min(start + _BLOCK, len(unique))))
        near: dict[int, list[tuple[int, float]]] = {}
        for a, b, cosine in _alike(rows, rarest, rest, block, [*first, *block]):
            if cosine >= threshold(guards[a], guards[b]) - 1e-9 and agree(guards[a], guards[b]):
                near.setdefault(a, []).append((b, cosine))
        for row in block:
            root = _nearest(row, near.get(row, ()), guards, whole, kept, owner, unique)
            place = unique[row]
            owner[place] = root
            whole[root] = together(whole[root], guards[row]) if root in whole else guards[row]
            members = kept.setdefault(root, [])
            if len(members) < _KEPT:
                members.append(row)
                first.append(row)


def _nearest(
    row: int,
    near: Sequence[tuple[int, float]],
    guards: Sequence[Guard],
    whole: dict[int, Guard],
    kept: dict[int, list[int]],
    owner: Sequence[int],
    unique: Sequence[int],
) -> int:
    """The place of the first message of the group that a row joins; its own where it joins none."""
    sums: dict[int, list[float]] = {}
    for other, cosine in near:
        root = owner[unique[other]]
        if other in kept.get(root, ()):
            sums.setdefault(root, []).append(cosine)
    able = [
        (sum(found) / len(kept[root]), -root)
        for root, found in sums.items()
        if 2 * len(found) >= len(kept[root]) and agree(guards[row], whole[root])
    ]
    return -max(able)[1] if able else unique[row]


def _vectors(terms: Sequence[tuple[str, ...]]) -> Any:
    """Rows of length 1, a column a term, the rarest term first.

    What a message is about and what it asks are two halves of fixed weight, so that ten words
    about a recipe do not outweigh the one that says what is asked of it.
    """
    import numpy as np
    from scipy.sparse import diags
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.preprocessing import normalize

    maker = TfidfVectorizer(analyzer=lambda words: words, norm=None)
    made = maker.fit_transform(terms).tocsr()
    names = maker.get_feature_names_out()
    sorts = np.array([part_of(name) for name in names])
    weighed = [
        normalize(made @ diags((sorts == part).astype(float))) * share**0.5
        for part, share in enumerate(SHARES)
    ]
    made = normalize(sum(weighed[1:], weighed[0]).tocsr())
    made.eliminate_zeros()
    counts = np.bincount(made.indices, minlength=made.shape[1])
    order = np.argsort(counts, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    made.indices = rank[made.indices].astype(made.indices.dtype)
    made.has_sorted_indices = False
    made.sort_indices()
    return made


def _prefixes(rows: Any) -> tuple[Any, Any]:
    """Each row with its rarest terms alone, and how long the rest is: shorter than the least
    threshold, so that two rows which share none of their rarest terms cannot reach it."""
    import numpy as np
    from scipy.sparse import csr_matrix

    squares = np.concatenate([[0.0], np.cumsum(rows.data * rows.data)])
    ends = np.repeat(squares[rows.indptr[1:]], np.diff(rows.indptr))
    # What is left of its row when a term is reached, the term itself counted.
    kept = np.sqrt(np.maximum(ends - squares[:-1], 0.0)) >= LEAST
    places = np.concatenate([[0], np.cumsum(kept)])
    made = csr_matrix((rows.data[kept], rows.indices[kept], places[rows.indptr]), shape=rows.shape)
    lengths = np.asarray(made.multiply(made).sum(axis=1)).ravel()
    return made, np.sqrt(np.maximum(1.0 - lengths, 0.0))


def _alike(
    rows: Any, rarest: Any, rest: Any, block: Sequence[int], others: Sequence[int]
) -> list[tuple[int, int, float]]:
    """The pairs (later row, earlier row, cosine) that reach the least threshold, in order.

    What the rarest terms do not tell of a cosine is no more than the longer of the two rests.
    """
    import numpy as np

    left, right = np.asarray(block), np.asarray(others)
    shared = (rarest[left] @ rarest[right].T).tocoo()
    a, b = left[shared.row], right[shared.col]
    able = (a > b) & (shared.data + np.maximum(rest[a], rest[b]) >= LEAST - 1e-9)
    a, b = a[able], b[able]
    if not len(a):
        return []
    cosines = np.asarray(rows[a].multiply(rows[b]).sum(axis=1)).ravel()
    near = cosines >= LEAST - 1e-9
    order = np.lexsort((b[near], a[near]))
    found = zip(a[near][order], b[near][order], cosines[near][order], strict=True)
    return [(int(x), int(y), float(z)) for x, y, z in found]
