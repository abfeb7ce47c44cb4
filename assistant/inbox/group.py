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
from assistant.inbox.terms import LEAST, Guard, agree, threshold, together

_NEVER = frozenset({"empty", "thanks"})
# A group is found by any of its members: this many under each term are enough.
_KEPT = 6
_BLOCK = 2_048


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
    return [_root(owner, place) for place in range(len(items))]


def _join(items: Sequence[Item], unique: Sequence[int], owner: list[int]) -> None:
    rows = _vectors([items[place].terms for place in unique])
    guards = [items[place].guard for place in unique]
    postings: dict[int, list[int]] = {}
    held: dict[tuple[int, int], int] = {}
    pairs: list[tuple[int, int]] = []
    whole = dict(zip(unique, guards, strict=True))
    for row, terms in enumerate(_prefixes(rows)):
        seen: set[int] = set()
        here = unique[row]
        for term in terms:
            for other in postings.get(term, ()):
                if other not in seen:
                    seen.add(other)
                    if _root(owner, unique[other]) != _root(owner, here) and agree(
                        guards[row], guards[other]
                    ):
                        pairs.append((row, other))
        if len(pairs) >= _BLOCK:
            _verify(rows, pairs, guards, unique, owner, whole)
            pairs = []
        root = _root(owner, here)
        for term in terms:
            if held.get((term, root), 0) < _KEPT:
                held[term, root] = held.get((term, root), 0) + 1
                postings.setdefault(term, []).append(row)
    _verify(rows, pairs, guards, unique, owner, whole)


def _vectors(terms: Sequence[tuple[str, ...]]) -> Any:
    """Rows of length 1, a column a term, the rarest term first."""
    import numpy as np
    from sklearn.feature_extraction.text import TfidfVectorizer

    made = TfidfVectorizer(analyzer=lambda words: words).fit_transform(terms).tocsr()
    counts = np.bincount(made.indices, minlength=made.shape[1])
    order = np.argsort(counts, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    made.indices = rank[made.indices].astype(made.indices.dtype)
    made.has_sorted_indices = False
    made.sort_indices()
    return made


def _prefixes(rows: Any) -> list[list[int]]:
    """Each row's rarest terms: so many that the rest is shorter than the least threshold."""
    made = []
    for start, end in zip(rows.indptr[:-1].tolist(), rows.indptr[1:].tolist(), strict=True):
        rest = 1.0
        taken = start
        for value in rows.data[start:end].tolist():
            if rest < LEAST * LEAST:
                break
            rest -= value * value
            taken += 1
        made.append(rows.indices[start:taken].tolist())
    return made


def _verify(
    rows: Any,
    pairs: Sequence[tuple[int, int]],
    guards: Sequence[Guard],
    unique: Sequence[int],
    owner: list[int],
    whole: dict[int, Guard],
) -> None:
    """Join the pairs whose cosine reaches their threshold, where the groups as a whole agree.

    `whole` holds the guard of each group, by its first member.
    """
    if not pairs:
        return
    pairs = sorted(pairs)
    left, right = rows[[a for a, _ in pairs]], rows[[b for _, b in pairs]]
    cosines = left.multiply(right).sum(axis=1).A1.tolist()
    for (a, b), cosine in zip(pairs, cosines, strict=True):
        if cosine >= threshold(guards[a], guards[b]) - 1e-9:
            one, other = sorted((_root(owner, unique[a]), _root(owner, unique[b])))
            if one != other and agree(whole[one], whole[other]):
                owner[other] = one
                whole[one] = together(whole[one], whole[other])


def _root(owner: list[int], place: int) -> int:
    while owner[place] != place:
        owner[place] = owner[owner[place]]
        place = owner[place]
    return place
