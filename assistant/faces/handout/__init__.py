"""`assistant handout`: the page that attendees get after a session, as HTML or Markdown.

This module is loaded with the command line, so what costs time is imported when the command runs.
"""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any, corpus: Any) -> None:
    """Add the command to the command line; `corpus` adds the option for the corpus folder."""
    parser = commands.add_parser("handout", help="the recipe, its figures and tips on one page")
    parser.add_argument("id", help="the recipe's id, see `assistant list recipes`")
    parser.add_argument("--servings", metavar="N", default="", help="for how many people")
    parser.add_argument(
        "--swap",
        metavar="OUT=USE",
        action="append",
        default=[],
        help="a swap on record; repeatable",
    )
    parser.add_argument("--for", dest="promised", metavar="DIETS", default="", help="vegan, …")
    parser.add_argument("--questions", metavar="FILE", default="", help="a session's questions")
    parser.add_argument("--out", metavar="FILE", required=True, help=".html or .md")
    parser.add_argument("--format", choices=("html", "markdown"), default="")
    corpus(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run it. Returns 0; raises Unusable for what cannot be used, and then writes nothing."""
    import sys

    from assistant.faces import cli
    from assistant.faces.handout.changes import HandoutError
    from assistant.faces.handout.command import Wanted, make

    desk = cli.open_desk(args.corpus)
    context = cli.context_for(desk, args.id, args.servings)
    wanted = Wanted(args.out, args.format, tuple(args.swap), args.promised, args.questions)
    try:
        place, said = make(desk, context, wanted)
    except HandoutError as error:
        raise cli.Unusable(str(error)) from error
    for line in said:
        print(f"assistant: {line}", file=sys.stderr)
    print(f"written to {place}")
    return cli.OK
