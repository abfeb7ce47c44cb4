"""How much of the alcohol is left after cooking, by the alcohol rows of the retention table."""

from __future__ import annotations

from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.yardsticks import Retention
from assistant.kinds.shelf import Shelf, capital, listed, make, record_source, reference_source
from assistant.measure.span import Span, show_span
from assistant.question.reading import Reading

_MINUTES = {"minute": Fraction(1), "hour": Fraction(60), "second": Fraction(1, 60)}
_ID = "alcohol-content"
_NEVER_ALL = (
    "Cooking does not drive all of it off; who avoids alcohol altogether takes another liquid, "
    "such as broth with a little vinegar."
)


def left(reading: Reading, shelf: Shelf) -> Answer:
    """The per cent left after the time named, by the nearest shorter row; all rows without one."""
    rows = sorted(
        (row for row in shelf.corpus.retention.values() if _ID in row.factors),
        key=lambda row: row.minutes,
    )
    sources = [*(record_source(row) for row in rows), reference_source(shelf, "retention-factors")]
    table = [_text(row) for row in rows]
    items = [item for item in (shelf.item(ident) for ident in reading.foods) if item is not None]
    if items:
        names = listed(list(dict.fromkeys(item.name for item in items)), "or")
        table.append(f"The rows are for any drink stirred in, so also for {names}.")
        sources = [*(record_source(item) for item in items), *sources]
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    time = _minutes(spans[0]) if spans else None
    fitting = [row for row in rows if time is not None and row.minutes <= time]
    if not fitting or time is None:
        few, many = rows[-1].factors[_ID], rows[0].factors[_ID]
        headline = f"From {many} % down to {few} % of the alcohol is left, by how long it simmers."
        figures = [_figure(row) for row in rows]
        return make(reading, "computed", headline, figures, (*table, _NEVER_ALL), sources)
    row = fitting[-1]
    short = "" if row.minutes == time else f" (the row for {row.minutes} minutes, the next shorter)"
    return make(
        reading,
        "computed",
        f"About {row.factors[_ID]} % of the alcohol is left after {show_span(spans[0])}{short}.",
        (_figure(row),),
        (*table, _NEVER_ALL),
        sources,
    )


def _minutes(span: Span) -> Fraction | None:
    factor = _MINUTES.get(span.unit)
    return None if factor is None else span.low * factor


def _text(row: Retention) -> str:
    return f"{capital(row.title)}: {row.factors[_ID]} % left (row {row.code})."


def _figure(row: Retention) -> Figure:
    return Figure(
        name=f"alcohol left, {row.title}",
        value=Fraction(row.factors[_ID]),
        unit="%",
        shown=f"{row.factors[_ID]} %",
        working=(f"retention factor, row {row.code}",),
    )
