"""Leaving an ingredient out: what it did, what to adjust, what a serving loses."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer, Figure, Source
from assistant.corpus.corpus import line_for
from assistant.corpus.serving import Role
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    listed,
    make,
    record_source,
    reference_source,
)
from assistant.kinds.swap.options import Asked, differences
from assistant.kitchen.swaps import find_swaps, ranked
from assistant.question.reading import Reading


def leave_out(reading: Reading, asked: Asked, shelf: Shelf) -> Answer:
    """The answer to "can I leave out X?": by the roles the pantry gives it."""
    out, recipe, line = asked.out, asked.recipe, asked.line
    if recipe is not None and line is None:
        return make(
            reading,
            "quoted",
            f"There is no {out.name} in the {recipe.title.lower()}.",
            sources=(record_source(recipe),),
        )
    roles = [shelf.corpus.roles[r] for r in out.role if r in shelf.corpus.roles]
    headline = _headline(asked, roles)
    lines = [f"In the dish {the(out.name)} {listed([r.does for r in roles[:3]])}."] if roles else []
    lines += [f"{capital(r.name)}: {r.without}" for r in roles[:3]]
    figures: list[Figure] = []
    sources: list[Source] = [record_source(out)]
    if recipe is not None and line is not None:
        sources.insert(0, Source(id=recipe.id, title=line.text, where=f"{line.file}:{line.line}"))
        pantry = shelf.corpus.pantry
        uses = [s for s in recipe.steps if line in [line_for(recipe, u, pantry) for u in s.uses]]
        lines += [f"It goes in here: {step.text}" for step in uses[:1]]
        if line.optional:
            lines.append("The recipe's figures do not count it: it is optional there.")
        elif line.amount is not None:
            figures, said, foods = differences((line,), (), recipe, f"no {out.name}", shelf)
            lines += [f"{one}." for one in said]
            sources += foods
    swaps = ranked(find_swaps(out.id, shelf.corpus, reading.recipe), out, shelf.corpus)
    names = [shelf.corpus.pantry[s.use].name for s in swaps[:3] if s.fit != "no"]
    if names:
        lines.append(f"Instead of leaving it out: {listed(names, 'or')}.")
    if recipe is None and reading.outside:
        others = ", ".join(dict.fromkeys(reading.outside))
        lines.append(f"Not for a recipe on record ({others}): this holds in general.")
    sources += [reference_source(shelf, s) for r in roles[:3] for s in r.sources]
    return make(reading, "computed" if figures else "quoted", headline, figures, lines, sources)


def the(name: str) -> str:
    """`the onion`."""
    return f"the {name}"


def _headline(asked: Asked, roles: Sequence[Role]) -> str:
    name = asked.out.name
    line = asked.line
    if line is not None and line.optional:
        return f"Yes, leave out the {name}: it is optional in this recipe."
    amount = amount_text(line.amount, "us") if line is not None and line.amount else ""
    # "1 tsp (5 mL)" in brackets would be brackets in brackets.
    share = f" ({amount.replace(' (', ', ').replace(')', '')})" if amount else ""
    needed = {role.needed for role in roles}
    must = roles and (roles[0].needed == "must" or any(role.id == "leavening" for role in roles))
    # Where nothing is cooked, nothing has to rise or set.
    raw = asked.recipe is not None and not any(step.heat for step in asked.recipe.steps)
    if must and not raw:
        return f"Better not: the {name}{share} is needed here; use a swap instead."
    if needed == {"taste"}:
        return f"Yes, the dish works without the {name}{share}; it only tastes or looks different."
    return f"With care: without the {name}{share} something else must make up for it."
