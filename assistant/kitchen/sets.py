"""The smallest set of swaps that brings a recipe to one or more diets, solved exactly.

Each line that contains what a diet forbids must be changed, and a swap changes one line only. The
cost of a set is therefore the sum of the costs of its lines, and the cheapest choice for each line
makes the cheapest set: nothing needs to be searched, and `tests/kitchen` holds this to a search of
every combination.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Diet, Line, Swap
from assistant.kitchen.diets import grade_item
from assistant.kitchen.swaps import find_swaps, forbidden, swapped_lines

_CARE = {"good": 0, "care": 1}
Cost = tuple[int, int, int, int, Fraction, int]


class Choice(msgspec.Struct, frozen=True):
    """One changed line: by a swap, or left out where the line is optional."""

    line: Line
    place: int
    swap: Swap | None
    made: tuple[Line, ...]
    why: tuple[str, ...]


class Makeover(msgspec.Struct, frozen=True):
    """A recipe brought to some diets.

    `stuck` are lines that no record can replace, with what in them is forbidden; the makeover
    holds only where there are none. `labels` are lines whose label decides.
    """

    diets: tuple[Diet, ...]
    choices: tuple[Choice, ...]
    lines: tuple[Line, ...]
    stuck: tuple[tuple[Line, tuple[str, ...]], ...]
    labels: tuple[tuple[Line, tuple[str, ...]], ...]

    @property
    def done(self) -> bool:
        """Whether the set brings the recipe there."""
        return not self.stuck


def offenses(line: Line, diets: Sequence[Diet], corpus: Corpus) -> tuple[str, ...]:
    """What a line contains that the diets forbid."""
    found = [why for d in diets for why in _why(line, d, "contains", corpus)]
    return tuple(dict.fromkeys(found))


def _why(line: Line, diet: Diet, wanted: str, corpus: Corpus) -> tuple[str, ...]:
    grade, why = grade_item(corpus.pantry[line.item], diet)
    return why if grade == wanted else ()


def options(
    line: Line, place: int, diets: Sequence[Diet], corpus: Corpus, recipe: str
) -> list[Choice]:
    """Every way to mend a line: swaps on record whose parts contain nothing forbidden, whose
    amount can be worked out, and that are not marked as unfit; an optional line may be left out."""
    why = offenses(line, diets, corpus)
    found = []
    for swap in find_swaps(line.item, corpus, recipe):
        if swap.fit == "no" or forbidden(swap, corpus, diets):
            continue
        made = swapped_lines(line, swap, corpus)
        if made is not None:
            found.append(Choice(line, place, swap, made, why))
    if line.optional or line.amount is None:
        found.append(Choice(line, place, None, (), why))
    return found


def cost(choice: Choice, diets: Sequence[Diet], corpus: Corpus, recipe: str) -> Cost:
    """What makes a choice worse: another ingredient to buy, a label that decides, care needed, a
    record not made for this recipe, a longer list; then the order of the records."""
    swap = choice.swap
    if swap is None:
        return 0, 0, 0, 0, Fraction(0), 0
    doubts = sum(bool(_why(line, d, "may", corpus)) for line in choice.made for d in diets)
    order = list(corpus.swaps).index(swap.id)
    return 1, doubts, _CARE[swap.fit], recipe not in swap.recipes, Fraction(len(choice.made)), order


def make_over(
    lines: Sequence[Line], diets: Sequence[Diet], corpus: Corpus, recipe: str = ""
) -> Makeover:
    """The cheapest set of changes after which no line contains what the diets forbid.

    Parameters: a recipe's lines (its own amounts), the diets, the corpus, the recipe's id. Lines
    that may contain something stay, and are named for their label.
    """
    choices: list[Choice] = []
    after: list[Line] = []
    stuck = []
    for place, line in enumerate(lines):
        why = offenses(line, diets, corpus)
        if not why:
            after.append(line)
            continue
        found = options(line, place, diets, corpus, recipe)
        if not found:
            stuck.append((line, why))
            after.append(line)
            continue
        best = min(found, key=lambda choice: cost(choice, diets, corpus, recipe))
        choices.append(best)
        after += best.made
    labels = []
    for line in after:
        doubts = tuple(dict.fromkeys(w for d in diets for w in _why(line, d, "may", corpus)))
        if doubts:
            labels.append((line, doubts))
    return Makeover(tuple(diets), tuple(choices), tuple(after), tuple(stuck), tuple(labels))
