"""What a food may stand in for, where it is not said what is missing: "can I use tamari?"."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.corpus.records import Ingredient
from assistant.kinds.shelf import Shelf, capital, listed, make, record_source
from assistant.question.reading import Reading

_MOST = 4
LONGEST = 120


def stands_for(reading: Reading, use: Ingredient, shelf: Shelf) -> Answer:
    """The foods that a record lets `use` replace, each with its amounts; else a question back."""
    swaps = [s for s in shelf.corpus.swaps.values() if s.use == use.id and s.fit != "no"]
    if not swaps:
        return make(
            reading,
            "asks",
            f"In the place of what would the {use.name} be used?",
            lines=('For example: "can I use honey instead of the maple syrup?"',),
        )
    pantry = shelf.corpus.pantry
    names = list(dict.fromkeys(pantry[ident].name for s in swaps for ident in s.out))
    headline = ""
    for count in range(len(names), 0, -1):
        rest = [f"{len(names) - count} more"] if count < len(names) else []
        headline = f"{capital(use.name)} can stand in for {listed([*names[:count], *rest], 'or')}."
        if len(headline) <= LONGEST:
            break
    lines = []
    for swap in swaps[:_MOST]:
        outs = listed([pantry[ident].name for ident in swap.out], "or")
        where = [r.title.lower() for i in swap.recipes if (r := shelf.corpus.recipes.get(i))]
        only = f" On record for: {listed(where)}." if where else ""
        lines.append(f"{swap.give} {use.name} for {swap.take} {outs}: {swap.how}{only}")
    return make(
        reading, "quoted", headline, (), lines, (record_source(use), *map(record_source, swaps))
    )
