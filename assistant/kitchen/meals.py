"""Plates: a dish with sides that bring it to the energy a meal aims at, over all combinations.

Every side in one or two portions, alone, in twos and in threes, is tried; the plates in the target
are ranked, and the figures printed are the recomputed exact sums of dish and sides.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import combinations, product

import msgspec

from assistant.corpus.records import Line, Nutrient
from assistant.kitchen.nutrients import Range, Table, total
from assistant.kitchen.scaling import scale_lines

MOST_SIDES = 3
PORTIONS = (1, 2)
_ONE = 1000  # the search runs on whole thousandths


class Candidate(msgspec.Struct, frozen=True):
    """Something that may stand beside the dish: the lines of one portion.

    `pair` says that the recipe itself names it.
    """

    id: str
    text: str
    group: str
    color: str
    lines: tuple[Line, ...]
    pair: bool = False
    record: str = ""


class Plate(msgspec.Struct, frozen=True):
    """A dish with sides: each side with its number of portions, and the totals of the plate."""

    sides: tuple[tuple[Candidate, int], ...]
    totals: dict[str, Range]

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines of all sides, in their portions."""
        return tuple(
            line for side, times in self.sides for line in scale_lines(side.lines, Fraction(times))
        )


class Wish(msgspec.Struct, frozen=True):
    """What to aim at: energy from low to high, and which group of sides was asked for."""

    low: Fraction
    high: Fraction
    group: str = ""
    needs_color: bool = False


def sums(
    lines: Sequence[Line], nutrients: Mapping[str, Nutrient], table: Table, servings: Fraction
) -> tuple[dict[str, Range], tuple[str, ...]]:
    """Each nutrient of some lines per serving, and the names of the lines that lack a figure."""
    totals: dict[str, Range] = {}
    gaps: list[str] = []
    for ident, nutrient in nutrients.items():
        made = total(lines, nutrient, table)
        totals[ident] = made.over(servings)
        gaps += [part.line.name for part in made.missing]
    return totals, tuple(dict.fromkeys(gaps))


def added(one: Mapping[str, Range], other: Mapping[str, Range], times: int = 1) -> dict[str, Range]:
    """Totals of two parts of a plate."""
    return {
        name: (one[name][0] + other[name][0] * times, one[name][1] + other[name][1] * times)
        for name in one
    }


def plates(
    dish: Mapping[str, Range],
    candidates: Sequence[Candidate],
    nutrients: Mapping[str, Nutrient],
    table: Table,
    wish: Wish,
    most: int = 3,
) -> list[Plate]:
    """The best plates whose energy lies in the target, no two with the same first side.

    Sides without a figure for one of the nutrients are not used.
    """
    known: list[tuple[Candidate, dict[str, Range]]] = []
    for candidate in candidates:
        totals, gaps = sums(candidate.lines, nutrients, table, Fraction(1))
        if not gaps:
            known.append((candidate, totals))
    rough = [{name: int(high * _ONE) for name, (_, high) in totals.items()} for _, totals in known]
    start = {name: int(high * _ONE) for name, (_, high) in dish.items()}
    scored = []
    for chosen in _choices(known):
        sizes = {n: start[n] + sum(rough[i][n] * times for i, times in chosen) for n in start}
        if wish.low * _ONE <= sizes["energy"] <= wish.high * _ONE:
            scored.append((-_score(chosen, known, sizes, wish), chosen))
    scored.sort()
    return _varied([chosen for _, chosen in scored], known, dish, most)


Chosen = tuple[tuple[int, int], ...]
Known = Sequence[tuple[Candidate, Mapping[str, Range]]]


def _choices(known: Known) -> Iterator[Chosen]:
    """Every combination of one to three sides, each in one or two portions; never two of a group
    but vegetables, and never two of one thing."""
    for count in range(1, MOST_SIDES + 1):
        for places in combinations(range(len(known)), count):
            groups = [known[i][0].group for i in places if known[i][0].group != "vegetable"]
            items = [line.item for i in places for line in known[i][0].lines]
            if len(set(groups)) < len(groups) or len(set(items)) < len(items):
                continue
            for times in product(PORTIONS, repeat=count):
                if any(n > 1 and known[i][0].pair for i, n in zip(places, times, strict=True)):
                    continue
                yield tuple(zip(places, times, strict=True))


def _score(chosen: Chosen, known: Known, sizes: Mapping[str, int], wish: Wish) -> float:
    """Higher is better: what the recipe pairs, what was asked for, fiber and protein, color; less
    for sodium and for every further side or portion."""
    sides = [known[i][0] for i, _ in chosen]
    points = 3.0 * sum(side.pair for side in sides)
    points += 3.0 if wish.group and any(side.group == wish.group for side in sides) else 0.0
    points += 1.5 if any(side.group == "vegetable" for side in sides) else 0.0
    points += sizes.get("fiber", 0) / _ONE * 0.3 + sizes.get("protein", 0) / _ONE * 0.1
    if wish.group == "protein":
        points += sizes.get("protein", 0) / _ONE * 0.2
    points -= sizes.get("sodium", 0) / _ONE * 0.01
    if wish.needs_color and any(side.color in {"green", "red", "orange"} for side in sides):
        points += 2.0
    return points - 1.5 * len(sides) - 0.5 * sum(times - 1 for _, times in chosen)


def _varied(
    ordered: Sequence[Chosen], known: Known, dish: Mapping[str, Range], most: int
) -> list[Plate]:
    """The best plates that differ: each has a side that none before it has."""
    found: list[Plate] = []
    seen: set[int] = set()
    for chosen in ordered:
        if len(found) == most:
            break
        places = {i for i, _ in chosen}
        if len(places & seen) * 2 > len(places) or (found and places <= seen):
            continue
        totals = dict(dish)
        for i, times in chosen:
            totals = added(totals, known[i][1], times)
        found.append(Plate(tuple((known[i][0], times) for i, times in chosen), totals))
        seen |= places
    return found
