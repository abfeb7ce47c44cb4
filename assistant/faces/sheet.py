"""`assistant sheet`: the leftover questions of a session, answered on one sheet."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from assistant.faces.triage import _say, add_reading, counted, sorted_inbox


def add(commands: Any, corpus: Any) -> None:
    """Add the command to the command line; `corpus` adds the option for the corpus folder."""
    parser = commands.add_parser(
        "sheet",
        help="an answer sheet for a session's questions",
        description=(
            "Answer the questions left over from a session on one sheet: by topic, each with a "
            "drafted answer, its figures, cautions and sources, and who asked. Nothing is sent."
        ),
    )
    add_reading(parser)
    parser.add_argument(
        "--out", metavar="FILE", required=True, help=".md or .html; nothing is sent"
    )
    corpus(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run it. Returns 0; raises Unusable for files, options or a place that cannot be used."""
    from assistant.faces.cli import OK, Unusable, open_desk
    from assistant.inbox import sheet
    from assistant.inbox.mask import masker
    from assistant.inbox.readers.forms import InboxError
    from assistant.inbox.write import write_all

    place = Path(args.out)
    if place.suffix.lower() not in {".md", ".markdown", ".html", ".htm"}:
        raise Unusable(
            f"--out: {args.out} is neither .md nor .html; name the sheet with one of them"
        )
    desk = open_desk(args.corpus)
    try:
        messages, result = sorted_inbox(args, desk)
        made = masker(desk.corpus, result.items, args.names)
        title = f"{desk.corpus.programme.name}: questions and answers"
        if args.recipe:
            title += f", {desk.corpus.recipes[args.recipe].title}"
        draw = sheet.as_html if place.suffix.lower() in {".html", ".htm"} else sheet.as_markdown
        text = draw(result, desk, made, title, settled=bool(args.recipe))
        write_all(place.parent, {place.name: text.encode("utf-8", "replace")})
    except InboxError as error:
        raise Unusable(str(error)) from error
    _say(f"written to {args.out}")
    _say(counted(len(messages), len(result.items)))
    return OK
