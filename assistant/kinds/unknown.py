"""What is said when the corpus does not cover a question: so, and which notes are nearest."""

from __future__ import annotations

from assistant.answer import Answer, Source
from assistant.kinds.shelf import Shelf, make
from assistant.question.reading import Reading


def unknown(
    reading: Reading, shelf: Shelf, headline: str = "", lines: tuple[str, ...] = ()
) -> Answer:
    """The answer "I don't know", with the nearest notes by title."""
    found: dict[str, Source] = {}
    for hit in shelf.index.search(reading.words, k=8):
        passage = shelf.passage(hit.passage)
        source = Source(id=passage.record, title=passage.title, where=passage.where)
        found.setdefault(passage.title.lower(), source)
    near = list(found.values())[:3]
    named = "; ".join(f'"{source.title}"' for source in near)
    return make(
        reading,
        "unknown",
        headline or "I don't know: the programme's recipes and notes do not cover this.",
        lines=(*lines, *((f"Nearest in the corpus: {named}.",) if named else ())),
        sources=near,
    )
