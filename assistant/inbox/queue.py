"""A sorted inbox as rows of queue.csv, merged with what the user decided before."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

import msgspec

from assistant.inbox.engine import Triage
from assistant.inbox.mask import Masker
from assistant.inbox.message import Item
from assistant.inbox.readers.decode import one_line
from assistant.inbox.resume import COLUMNS, Row, keys, neutral

_LONGEST = 600


class Merged(msgspec.Struct, frozen=True, kw_only=True):
    """Rows in order, and how many are new, known from before, edited by the user, carried over."""

    rows: tuple[Row, ...]
    new: int
    known: int
    edited: int
    carried: int

    def say(self) -> str:
        """What a second run says of the first; "" for a first run."""
        if not (self.known or self.carried):
            return ""
        kept = f"{self.edited:,} of your edits kept"
        carried = f"; {self.carried:,} rows of earlier runs kept" if self.carried else ""
        return f"queue.csv: {self.new:,} new, {self.known:,} known; {kept}{carried}"


def merge(result: Triage, before: Mapping[str, Row], masker: Masker) -> Merged:
    """The queue's rows: by urgency and age; then rows of earlier runs that this inbox lacks."""
    by_place = dict(zip((i.place for i in result.items), keys(result.items), strict=True))
    members = result.members()
    rows: list[Row] = []
    known = edited = 0
    for item in result.queue:
        key = by_place[item.place]
        row = _row(item, key, len(members[item.group]), masker)
        old = before.get(key)
        if old is not None:
            known += 1
            if old.edited:
                edited += 1
                row = Row(
                    cells={**row.cells, "state": old.cells["state"], "note": old.cells["note"]}
                )
        rows.append(row)
    here = set(by_place.values())
    carried = [row for key, row in before.items() if key not in here]
    edited += sum(row.edited for row in carried)
    return Merged(
        rows=(*rows, *carried),
        new=len(result.items) - known,
        known=known,
        edited=edited,
        carried=len(carried),
    )


def _row(item: Item, key: str, size: int, masker: Masker) -> Row:
    message = item.message
    words = masker.text(item.words, message.sender)
    remarks = [*item.notes]
    if message.unreadable:
        remarks.insert(0, f"unreadable: {message.unreadable}")
    if item.perhaps:
        remarks.insert(0, "may be urgent: read it first")
    if item.recipe:
        remarks.append(f"about {item.recipe}, by {item.because}")
    return Row(
        cells={
            "state": item.state,
            "note": "",
            "received": message.received,
            "from": masker.person(message.sender),
            "subject": masker.text(message.subject, message.sender),
            "message": words if len(words) <= _LONGEST else words[: _LONGEST - 1] + "…",
            "questions": str(len(item.asked)),
            "verdicts": ", ".join(a.verdict for a in item.asked),
            "group": f"{item.group} ({size} messages)" if size > 1 else str(item.group),
            "id": one_line(masker.text(message.id)),
            "source": message.source,
            "remarks": "; ".join(remarks),
            "suggested": item.state,
            "key": key,
        }
    )


def as_csv(merged: Merged) -> bytes:
    """queue.csv: UTF-8 with a mark, so that spreadsheets read it; formulas neutralised."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in merged.rows:
        writer.writerow([neutral(row.cells[column]) for column in COLUMNS])
    return b"\xef\xbb\xbf" + out.getvalue().encode("utf-8", "replace")
