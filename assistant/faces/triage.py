"""`assistant triage`: an inbox in, a sorted table and drafted sheets out."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assistant.desk import Desk
    from assistant.inbox.engine import Triage
    from assistant.inbox.mask import Masker
    from assistant.inbox.message import Item, Message
    from assistant.inbox.sort import Settings

_COLUMNS = {
    "text": "where the words stand: a column's name, or its number from 1; may be repeated",
    "id": "the message's own id",
    "name": "who wrote",
    "date": "when it came",
    "subject": "its subject",
}
_FIELDS = tuple(_COLUMNS)
_TABLE = 40
_STATES = (
    "The states: act now (somebody may be in danger), clinician (a health question, refer), ready "
    "(every question answered), check (answered in part), write (nothing in the corpus answers), "
    "programme (dates, recordings, recipe copies), complaint, idea, thanks, empty."
)


def add_reading(parser: argparse.ArgumentParser) -> None:
    """The options that say how messages are read; shared with `assistant sheet`."""
    parser.add_argument(
        "files",
        nargs="+",
        metavar="FILE",
        help="CSV, JSON Lines, mbox, .eml, a chat's export or plain text; - reads standard input",
    )
    parser.add_argument(
        "--recipe", metavar="ID", default="", help="the recipe asked about where none is named"
    )
    parser.add_argument(
        "--servings", metavar="N", default="", help="the number of people where none is named"
    )
    parser.add_argument(
        "--today", metavar="DATE", default="", help="the day of a message without a date"
    )
    parser.add_argument(
        "--names",
        action="store_true",
        help="show names, addresses, phone and staff numbers, which are masked otherwise",
    )
    reading = parser.add_argument_group("reading", "guessed where they are not given")
    reading.add_argument(
        "--input",
        dest="form",
        default="auto",
        choices=("auto", "csv", "jsonl", "mbox", "eml", "text", "chat"),
        help="what the files are",
    )
    reading.add_argument("--delimiter", metavar="CHAR", default="", help="of a CSV; tab for a tab")
    reading.add_argument(
        "--header",
        choices=("auto", "yes", "no"),
        default="auto",
        help="whether the first row of a CSV names its columns",
    )
    for field in _FIELDS:
        reading.add_argument(
            f"--{field}-column",
            metavar="NAME",
            action="append",
            default=[],
            help=_COLUMNS[field],
        )
    reading.add_argument(
        "--split",
        choices=("line", "blank", "whole"),
        default="line",
        help="plain text: a message a line, between empty lines, or all as one",
    )
    reading.add_argument("--date", metavar="DATE", default="", help="the day of a chat or a list")
    work = parser.add_argument_group("work")
    work.add_argument(
        "--jobs",
        metavar="N",
        type=int,
        default=0,
        help="this many processes; otherwise one, and all processors from 20,000 messages on",
    )
    work.add_argument(
        "--cluster",
        metavar="ADDRESS",
        default="",
        help="the workers of a Dask scheduler, for example tcp://host:8786 (.[cluster])",
    )


def add(commands: Any, corpus: Any) -> None:
    """Add the command to the command line; `corpus` adds the option for the corpus folder."""
    parser = commands.add_parser(
        "triage",
        help="sort an inbox, draft the replies",
        description=(
            "Sort messages by urgency, group those that ask the same, and draft the replies. "
            "Nothing is sent, and nothing leaves this machine. A second run into the same folder "
            "keeps your edits of the columns state and note of queue.csv."
        ),
        epilog=_STATES,
    )
    add_reading(parser)
    parser.add_argument(
        "--out",
        metavar="DIR",
        default="",
        help="the folder for queue.csv, replies.md, digest.html and unanswered.txt",
    )
    parser.add_argument(
        "--format",
        choices=("text", "json"),
        default="text",
        help="json prints one object a message, in the order they came",
    )
    corpus(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run it. Returns 0; raises Unusable for files, options or a folder that cannot be used."""
    from assistant.faces.cli import OK, Unusable, open_desk
    from assistant.inbox.readers.forms import InboxError

    if not args.out and args.format == "text":
        raise Unusable("say where the sheets go, for example --out inbox; or use --format json")
    desk = open_desk(args.corpus)
    try:
        messages, result = sorted_inbox(args, desk)
        if args.format == "json":
            from assistant.inbox.mask import masker

            hide = masker(desk.corpus, result.items, args.names)
            for item in result.items:
                sys.stdout.write(encoded(item, hide) + "\n")
        if args.out:
            from assistant.inbox.write import write

            merged, files = write(result, desk, Path(args.out), args.names)
            said = merged.say()
            if said:
                _say(said)
            _say(f"written to {args.out}: {', '.join(files)}")
    except InboxError as error:
        raise Unusable(str(error)) from error
    if args.format == "text":
        from assistant.inbox.mask import masker

        print(table(result, masker(desk.corpus, result.items, args.names)))
    _say(counted(len(messages), len(result.items)))
    return OK


def sorted_inbox(args: argparse.Namespace, desk: Desk) -> tuple[list[Message], Triage]:
    """The messages of the files and what became of them. Raises InboxError, Unusable."""
    from assistant.inbox.engine import Jobs, say, triage
    from assistant.inbox.readers import read

    settings = _settings(args, desk)
    found = read(args.files, _options(args, desk))
    for line in found.said:
        _say(line)
    jobs = Jobs(number=args.jobs, cluster=args.cluster, folder=args.corpus)
    return found.messages, triage(found.messages, desk, settings, jobs, say)


def _settings(args: argparse.Namespace, desk: Desk) -> Settings:
    from assistant.faces.cli import _context
    from assistant.inbox.sort import Settings

    if args.today or args.servings or args.recipe:
        context = _context(desk, args)
        return Settings(recipe=context.recipe, servings=context.servings, today=context.today)
    return Settings(today=desk.context().today)


def _options(args: argparse.Namespace, desk: Desk) -> Any:
    import datetime

    from assistant.faces.cli import Unusable
    from assistant.inbox.readers.forms import Options

    if args.jobs < 0:
        raise Unusable(f"--jobs: {args.jobs} is no number of processes; give 1 or more")
    delimiter = {"tab": "\t", "\\t": "\t"}.get(args.delimiter, args.delimiter)
    if len(delimiter) > 1 or delimiter in {'"', "\n", "\r"}:
        raise Unusable(f'--delimiter: "{args.delimiter}" is not one character; give , ; | or tab')
    if args.date:
        try:
            datetime.date.fromisoformat(args.date)
        except ValueError:
            raise Unusable(f'--date: "{args.date}" is no date; write it like 2026-10-06') from None
    columns = {f: getattr(args, f"{f}_column") for f in _FIELDS if getattr(args, f"{f}_column")}
    lists = desk.corpus.lists
    words = {f: lists[f"inbox-{f}"].words for f in _FIELDS if f"inbox-{f}" in lists}
    return Options(
        format=args.form,
        delimiter=delimiter,
        header=args.header,
        split=args.split,
        date=args.date,
        columns=columns,
        words=words,
    )


def encoded(item: Item, hide: Masker) -> str:
    """One message as a line of JSON, in the order of the fields that are promised; `hide` masks
    the words of its questions."""
    import msgspec

    made = {
        "id": item.id,
        "source": item.message.source,
        "received": item.message.received or None,
        "state": item.state,
        "kinds": list(item.kinds),
        "group": item.group,
        "questions": [
            {"text": hide.text(a.text, item.message.sender), "kind": a.kind, "verdict": a.verdict}
            for a in item.asked
        ],
        "urgent": item.urgent,
        "medical": item.medical,
    }
    return msgspec.json.encode(made).decode()


def table(result: Triage, masker: Masker) -> str:
    """The queue for a terminal: how many of each state, then the messages, the urgent first."""
    from assistant.inbox.message import STATES

    counts = Counter(item.state for item in result.items)
    lines = ["  ".join(f"{state} {counts[state]}" for state in STATES if counts[state])]
    members = result.members()
    for item in result.queue[:_TABLE]:
        words = " ".join(masker.text(item.words, item.message.sender).split())
        if item.message.unreadable:
            words = f"(unreadable: {item.message.unreadable})"
        size = len(members[item.group])
        same = f" [x{size}]" if size > 1 else ""
        words = f"MAY BE URGENT: {words}" if item.perhaps else words
        when = item.message.received[:10]
        who = masker.person(item.message.sender)[:14]
        lines.append(f"{item.state:<10} {when:<10} {who:<14} {words[:90]}{same}".rstrip())
    if len(result.items) > _TABLE:
        lines.append(f"… and {len(result.items) - _TABLE:,} more, see queue.csv")
    return "\n".join(lines)


def counted(read: int, made: int) -> str:
    """How many messages went in and came out."""
    return f"{read:,} message{'' if read == 1 else 's'} in, {made:,} out"


def _say(line: str) -> None:
    from assistant.inbox.readers.decode import one_line

    print(f"assistant: {one_line(line)}", file=sys.stderr)
