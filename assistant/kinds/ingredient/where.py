"""Where in a store an ingredient stands."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer
from assistant.corpus.records import Ingredient
from assistant.kinds.shelf import Shelf, capital, listed, make, record_source, reference_source
from assistant.kitchen.shopping import aisle_of
from assistant.question.reading import Reading


def where_answer(reading: Reading, items: Sequence[Ingredient], shelf: Shelf) -> Answer:
    """The aisle of each ingredient named, with what to look for."""
    lines, sources = [], []
    names = []
    for item in items[:3]:
        aisle = aisle_of(item, shelf.corpus.aisles)
        lines += [text for text in (item.about,) if text]
        sources.append(record_source(item))
        if aisle is not None:
            names.append(f"{item.plural or item.name}: {aisle.name}")
            lines.insert(0, f"{capital(item.plural or item.name)}: {aisle.where}")
            sources += [record_source(aisle), *(reference_source(shelf, s) for s in aisle.sources)]
    if not names:
        return make(reading, "unknown", "I have no note of where that is sold.", lines=lines)
    lines.append("Stores differ; the service desk knows its own shelves.")
    return make(reading, "quoted", f"Look here for {listed(names)}."[:120], (), lines, sources)
