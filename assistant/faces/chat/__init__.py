"""`assistant chat`: the live desk. Nothing heavy is imported before the command runs."""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any, corpus: Any) -> None:
    """Add the command to the command line; `corpus` adds the option for the corpus folder."""
    parser = commands.add_parser("chat", help="ask one thing after another, with a kitchen clock")
    parser.add_argument("--recipe", metavar="ID", default="", help="the recipe to pin")
    parser.add_argument("--servings", metavar="N", default="", help="for how many people")
    parser.add_argument(
        "--today", metavar="DATE", default="", help="as 2026-10-06; else today's date"
    )
    parser.add_argument("--clock", metavar="TIME", default="", help=argparse.SUPPRESS)
    corpus(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Chat on a terminal, or line by line from standard input. Returns the exit status."""
    from assistant.faces.chat.main import chat

    return chat(args)
