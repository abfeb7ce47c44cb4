"""Messages that ask the same: held against comparing all pairs, and against messages set aside."""

from __future__ import annotations

import json
import math
from collections import Counter
from functools import cache
from itertools import combinations
from pathlib import Path

from inbox.reading import sorted_of

from assistant.inbox.engine import Triage
from assistant.inbox.group import group
from assistant.inbox.message import Item, Message
from assistant.inbox.terms import SHARES, Guard, agree, part_of, threshold, together

DATA = Path(__file__).parent / "data"


@cache
def of_file(name: str) -> tuple[Triage, tuple[dict[str, str], ...]]:
    """The messages of a file, sorted, and their labels."""
    rows = [json.loads(line) for line in (DATA / name).read_text("utf-8").splitlines()]
    return sorted_of([Message(source=r["id"], id=r["id"], text=r["text"]) for r in rows]), (*rows,)


def f1(name: str) -> float:
    """F1 of the pairs that are together, against the labels."""
    result, rows = of_file(name)
    wanted: dict[str, list[str]] = {}
    for row in rows:
        wanted.setdefault(row["same_as"] or row["id"], []).append(row["id"])
    found: dict[str, list[str]] = {}
    for item in result.items:
        found.setdefault(str(item.group), []).append(item.id)
    gold, made = pairs(wanted), pairs(found)
    return 2 * len(gold & made) / (len(gold) + len(made))


def pairs(groups: dict[str, list[str]]) -> set[tuple[str, str]]:
    """Every two that are in one group."""
    return {pair for ids in groups.values() for pair in combinations(sorted(ids), 2)}


def test_pairs_of_the_tuned_set() -> None:
    """Short and deliberately close messages, which the shares and thresholds were chosen by."""
    assert f1("same_tuned.jsonl") >= 0.69


def test_pairs_of_the_set_kept_apart() -> None:
    """On messages that no threshold or concept was chosen by, pairs are right as measured then."""
    assert f1("same_kept.jsonl") >= 0.82


def vectors(items: list[Item]) -> list[dict[str, float]]:
    """Weighted terms by the textbook: tf × (ln((1 + n) / (1 + df)) + 1), each part of length 1, the
    parts weighed, the whole of length 1."""
    counts = [Counter(item.terms) for item in items]
    seen = Counter(term for terms in counts for term in terms)
    made = []
    for terms in counts:
        weighed = {
            t: n * (math.log((1 + len(items)) / (1 + seen[t])) + 1) for t, n in terms.items()
        }
        lengths = [
            math.sqrt(sum(v * v for t, v in weighed.items() if part_of(t) == part))
            for part in range(len(SHARES))
        ]
        parts = {
            t: v / lengths[part_of(t)] * math.sqrt(SHARES[part_of(t)]) for t, v in weighed.items()
        }
        length = math.sqrt(sum(v * v for v in parts.values()))
        made.append({t: v / length for t, v in parts.items()})
    return made


def test_grouping_finds_what_comparing_all_pairs_finds() -> None:
    """Prefix filtering and blocks leave out no likeness that reaches its threshold."""
    items = list(of_file("same_kept.jsonl")[0].items)
    able = [i for i in items if i.state not in {"empty", "thanks"} and i.terms]
    first = {(i.terms, i.guard): i for i in reversed(able)}
    unique = sorted(first.values(), key=lambda i: i.place)
    rows = vectors(unique)
    groups: list[tuple[Guard, list[int]]] = []
    owner: dict[int, int] = {}
    for a, item in enumerate(unique):
        best, into = 0.0, -1
        for number, (guard, members) in enumerate(groups):
            near = []
            for b in members[:4]:
                cosine = sum(v * rows[b].get(t, 0.0) for t, v in rows[a].items())
                other = unique[b].guard
                if agree(item.guard, other) and cosine >= threshold(item.guard, other):
                    near.append(cosine)
            told = sum(near) / len(members[:4])
            half = near and 2 * len(near) >= len(members[:4])
            if half and agree(item.guard, guard) and told > best + 1e-12:
                best, into = told, number
        if into < 0:
            groups.append((item.guard, [a]))
            owner[item.place] = item.place
        else:
            guard, members = groups[into]
            members.append(a)
            groups[into] = (together(guard, item.guard), members)
            owner[item.place] = unique[members[0]].place
    wanted = [
        owner[first[i.terms, i.guard].place]
        if (i.terms, i.guard) in first and i in able
        else i.place
        for i in items
    ]
    assert [place + 1 for place in group(items)] == wanted


def test_a_group_does_not_depend_on_who_else_wrote() -> None:
    """The same messages twice over make the same groups, twice as large."""
    rows = of_file("same_tuned.jsonl")[1]
    messages = [Message(source=r["id"], text=r["text"]) for r in rows]
    once = [i.group for i in sorted_of(messages).items]
    twice = [i.group for i in sorted_of([*messages, *messages]).items]
    unanswered = {i.place for i in sorted_of(messages).items if i.state in {"thanks", "empty"}}
    assert twice[: len(once)] == once
    assert [g for p, g in enumerate(twice[len(once) :], 1) if p not in unanswered] == [
        g for p, g in enumerate(once, 1) if p not in unanswered
    ]
