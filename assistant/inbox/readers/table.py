"""CSV of any delimiter -> messages, a row each. A row that can't be read is itself a row."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence

from assistant.inbox.message import Message
from assistant.inbox.readers.decode import one_line
from assistant.inbox.readers.forms import InboxError, Options, field_for, message, unreadable

_CANDIDATES = (",", ";", "\t", "|", "^", "~")
# A cell that runs over more lines than this is no cell: its quotation mark was never closed. The
# bound also keeps the reading of a hostile file linear.
LONGEST_CELL = 200
_SAMPLE = 60
# So many words in a cell are an answer in somebody's own words.
_FREE = 4
_LETTERS = re.compile(r"[^\W\d_]{2,}")

Row = tuple[int, list[str], str]


def read(text: str, name: str, options: Options) -> Iterator[Message]:
    """The rows of a table as messages.

    `options.delimiter`, `.header` and `.columns` override what is guessed. Raises InboxError for a
    column that is not there.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        return
    delimiter = options.delimiter or guess_delimiter(lines)
    sample = []
    for row in records(lines[: _SAMPLE * 4], delimiter):
        if not row[2]:
            sample.append(row[1])
        if len(sample) >= _SAMPLE:
            break
    header = _header(sample, options)
    columns = _columns(header, sample, options, name)
    width = len(header) if header else max((len(row) for row in sample), default=1)
    warned = ""
    if options.delimiter and width == 1 and len(sample) > 1:
        warned = f"the delimiter {_shown(delimiter)} is nowhere in the first line"
    first = True
    for number, cells, reason in records(lines, delimiter):
        if first and header and not reason:
            first = False
            continue
        first = False
        source = f"{name}:{number}"
        if reason:
            yield unreadable(source, reason, "\n".join(cells))
            continue
        yield _message(cells, columns, source, width, warned, "text" not in options.columns)


def _shown(delimiter: str) -> str:
    return "tab" if delimiter == "\t" else f'"{delimiter}"'


def records(lines: Sequence[str], delimiter: str) -> Iterator[Row]:
    """Rows with the number of their first line, and the reason where a row can't be read.

    After a row that can't be read, reading goes on with the next line of the file.
    """
    at, count = 0, len(lines)
    while at < count:
        if not lines[at].strip():
            at += 1
            continue
        if '"' not in lines[at]:
            yield at + 1, lines[at].split(delimiter), ""
            at += 1
            continue
        block = lines[at : at + LONGEST_CELL]
        reader = csv.reader((line + "\n" for line in block), delimiter=delimiter, strict=True)
        try:
            cells = next(reader)
        except csv.Error as error:
            if "expected after" in str(error):
                reason = "quotation marks do not pair up in this row"
            elif "unexpected end" in str(error):
                reason = "a quotation mark is opened in this row and never closed"
            else:
                reason = f"not a row of the table: {error}"
            yield at + 1, [lines[at]], reason
            at += 1
            continue
        except StopIteration:
            return
        yield at + 1, cells, ""
        at += max(reader.line_num, 1)


def guess_delimiter(lines: Sequence[str]) -> str:
    """The delimiter that cuts the first rows most evenly into most cells, else a comma."""
    best, chosen = 0.0, ","
    head = [line for line in lines[: _SAMPLE * 2] if line.strip()]
    first = head[0] if head else ""
    for candidate in _CANDIDATES:
        if candidate not in first and sum(candidate in line for line in head) < len(head) / 2:
            continue
        widths = [len(cells) for _, cells, why in records(head, candidate) if not why][:_SAMPLE]
        if not widths:
            continue
        usual = max(set(widths), key=lambda w: (widths.count(w), w))
        if usual < 2:
            continue
        even = widths.count(usual) / len(widths)
        value = even * even * (1 + min(usual, 12) / 12) + (0.5 if widths[0] == usual else 0)
        if value > best:
            best, chosen = value, candidate
    return chosen


def _header(sample: Sequence[list[str]], options: Options) -> list[str]:
    """The header row, or [] where the first row is a message."""
    if not sample or options.header == "no":
        return []
    first = [one_line(cell, 200) for cell in sample[0]]
    if options.header == "yes" or any(
        not column.isdigit() for columns in options.columns.values() for column in columns
    ):
        return first
    named = sum(bool(field_for(cell, options.words)) for cell in first if cell)
    short = all(len(cell) <= 80 for cell in first)
    if len(first) == 1:
        return first if named and len(sample) > 1 and len(first[0].split()) <= 3 else []
    return first if short and named >= 1 and not any(c[:4].isdigit() for c in first if c) else []


Columns = dict[str, list[int]]


def _columns(
    header: Sequence[str], sample: Sequence[list[str]], options: Options, name: str
) -> Columns:
    """Which columns hold which field; the words of a message may stand in several."""
    found: Columns = {}
    for field, wanted in options.columns.items():
        found[field] = [_place(column, header, field, name) for column in wanted]
    taken = {place for places in found.values() for place in places}
    for place, title in enumerate(header):
        field = field_for(title, options.words)
        if field and field not in found and place not in taken:
            found[field] = [place]
            taken.add(place)
        elif field == "text" and "text" not in options.columns and place not in taken:
            found["text"].append(place)
            taken.add(place)
    if "text" in options.columns:
        return found
    rows = sample[1:] if header else sample
    width = max((len(row) for row in sample), default=1)
    average = {place: _words_in(rows, place) for place in range(width) if place not in taken}
    # Surveys have several free answers: none of them may be lost, so all of them are read.
    wordy = [place for place, words in average.items() if words >= _FREE]
    found["text"] = sorted([*found.get("text", []), *wordy])
    if not found["text"] and average:
        found["text"] = [max(average, key=lambda place: (average[place], -place))]
    if not found["text"]:
        found["text"] = sorted(place for places in found.values() for place in places)[:1]
    return found


def _words_in(rows: Sequence[list[str]], place: int) -> float:
    """How many words a filled cell of a column holds on average."""
    filled = [row[place] for row in rows if place < len(row) and row[place].strip()]
    return sum(len(_LETTERS.findall(cell[:2000])) for cell in filled) / len(filled) if filled else 0


def _place(column: str, header: Sequence[str], field: str, name: str) -> int:
    flat = [title.strip().lower() for title in header]
    if column.strip().lower() in flat:
        return flat.index(column.strip().lower())
    if column.isdigit() and int(column) >= 1:
        return int(column) - 1
    known = ", ".join(f'"{title}"' for title in header if title) or "no header at all"
    raise InboxError(
        f'{name}: there is no column "{column}" (--{field}-column); it has {known}; '
        "give one of these, or its number counted from 1"
    )


def _message(
    cells: Sequence[str], columns: Columns, source: str, width: int, warned: str, free: bool
) -> Message:
    def cell(field: str) -> str:
        return " ".join(cells[p].strip() for p in columns.get(field, ()) if p < len(cells)).strip()

    notes = [warned] if warned else []
    texts = [cells[p].strip() for p in columns["text"] if p < len(cells) and cells[p].strip()]
    # A free answer in a column that mostly holds short ones ("none") is a message too.
    used = {p for places in columns.values() for p in places}
    texts += [
        c.strip()
        for p, c in enumerate(cells[:width])
        if free and p not in used and len(_LETTERS.findall(c[:2000])) >= _FREE
    ]
    extra = [c.strip() for c in cells[width:] if c.strip()] if width > 1 else []
    if extra:
        # More cells than columns: a delimiter inside an unquoted text. Its words are kept together.
        notes.append(f"this row has {len(cells)} cells, the table {width} columns")
        texts += extra
    elif len(cells) < width and not texts:
        notes.append(f"this row has {len(cells)} cells, the table {width} columns")
        texts += [c.strip() for p, c in enumerate(cells) if p not in used and c.strip()]
    return message(
        source,
        text="\n".join(dict.fromkeys(texts)),
        id=cell("id"),
        received=cell("date"),
        sender=cell("name"),
        subject=cell("subject"),
        notes=notes,
    )
