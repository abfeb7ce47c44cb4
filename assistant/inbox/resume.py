"""The queue of an earlier run: what the user decided in it stays."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from assistant.inbox.message import Item
from assistant.inbox.readers import table
from assistant.inbox.readers.decode import decode
from assistant.inbox.readers.forms import InboxError

COLUMNS = (
    "state", "note", "received", "from", "subject", "message", "questions", "verdicts", "group",
    "id", "source", "remarks", "suggested", "key",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """A row of queue.csv, by its columns."""

    cells: dict[str, str]

    @property
    def edited(self) -> bool:
        """Whether the user changed the state or wrote a note."""
        return bool(self.cells["note"]) or self.cells["state"] != self.cells["suggested"]


def neutral(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.lstrip(" ").startswith(_FORMULA) else cell


def plain(cell: str) -> str:
    """The cell that `neutral` was given."""
    return cell[1:] if cell.startswith("'") and cell[1:].lstrip(" ").startswith(_FORMULA) else cell


def keys(items: Sequence[Item]) -> list[str]:
    """A key for each item that a later run finds again; equal messages are numbered."""
    seen: dict[str, int] = {}
    made = []
    for item in items:
        key = f"m{item.message.key}"
        seen[key] = seen.get(key, 0) + 1
        made.append(key if seen[key] == 1 else f"{key}-{seen[key]}")
    return made


def earlier(path: Path) -> dict[str, Row]:
    """The rows of an earlier queue by key; none where there is no file.

    A spreadsheet may have saved it with another delimiter or encoding. Raises InboxError for a file
    that is no queue, so that nothing of the user's is overwritten.
    """
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise InboxError(
            f"{path}: cannot be read ({error.strerror or error}); nothing was changed; "
            "give another --out"
        ) from error
    lines = decode(raw)[0].replace("\r\n", "\n").replace("\r", "\n").split("\n")
    delimiter = table.guess_delimiter(lines[:1])
    rows = [(number, cells, why) for number, cells, why in table.records(lines, delimiter)]
    header = [cell.strip() for cell in rows[0][1]] if rows else []
    if not {"key", "state", "note"} <= set(header):
        raise InboxError(
            f"{path}: not a queue written by triage (it has no columns state, note and key); "
            "move it away or give another --out"
        )
    made: dict[str, Row] = {}
    for number, cells, why in rows[1:]:
        named = dict(zip(header, cells, strict=False))
        if why or not named.get("key"):
            raise InboxError(
                f"{path}:{number}: this row can't be read ({why or 'it has no key'}); mend it or "
                "move the file away, so that no decision in it is lost"
            )
        made[named["key"]] = Row(cells={c: plain(named.get(c, "")) for c in COLUMNS})
    return made
