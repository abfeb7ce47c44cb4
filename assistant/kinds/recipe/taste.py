"""What makes a dish hot, sweet or sour: its lines by the role that the pantry gives them."""

from __future__ import annotations

from assistant.answer import Answer
from assistant.corpus.records import Line, Recipe
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.plural import agree
from assistant.kinds.quote import LONGEST_HEADLINE
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    line_name,
    listed,
    make,
    record_source,
    reference_source,
)
from assistant.question.reading import Reading


def taste(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """The lines that bring the taste asked about ("is it spicy?"); None where none is asked about.

    How strong it comes out is for the tongue: the answer names what brings it, and how much.
    """
    pairs = [pair.split() for pair in words_in(shelf, "taste-words")]
    asked = next(((w, role) for w, role in pairs if w in reading.words), None)
    role = shelf.corpus.roles.get(asked[1]) if asked else None
    if asked is None or role is None:
        return None
    lines = [line for line in recipe.lines if role.id in _roles(line, shelf)]
    title = recipe.title.lower()
    if not lines:
        headline = f"Nothing in the {title} {role.does}, by its list of ingredients."
        return make(reading, "quoted", headline, sources=(record_source(recipe),))
    told = [_said(line, shelf) for line in lines]
    verb = agree(told[0] if len(told) == 1 else "s", "is", "are")
    headline = f"In the {title} what {role.does} {verb} {listed(told)}."
    if len(headline) > LONGEST_HEADLINE:
        headline = (
            f"In the {title} what {role.does}: {listed([line_name(x, shelf) for x in lines])}."
        )
    if len(headline) > LONGEST_HEADLINE:
        headline = f"In the {title} {len(lines)} ingredients count for that, listed below."
    rows = (f"{listed(told)}.", f"Without: {role.without}")
    sources = [record_source(recipe, line.line) for line in lines]
    sources += [reference_source(shelf, ident) for ident in role.sources]
    return make(reading, "quoted", headline, (), rows, sources)


def _roles(line: Line, shelf: Shelf) -> tuple[str, ...]:
    item = shelf.item(line.item)
    return item.role if item is not None else ()


def _said(line: Line, shelf: Shelf) -> str:
    name = line_name(line, shelf, line.amount)
    if line.amount is None:
        return f"{name} ({'optional' if line.optional else 'to taste'})"
    return f"{amount_text(line.amount, shelf.first)} {name}{' (optional)' if line.optional else ''}"
