"""Which face the chat gets: the line editor on a terminal, plain lines anywhere else."""

from __future__ import annotations

import argparse
import datetime
import os
import sys
from collections.abc import Callable, Hashable
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from assistant.faces.chat.rows import Row

if TYPE_CHECKING:
    from assistant.faces.chat.keep import Keep
    from assistant.faces.chat.session import Session

_WIDEST = 100


def chat(args: argparse.Namespace) -> int:
    """Run a chat to its end. Raises Unusable for arguments or a corpus that cannot be used."""
    terminal = sys.stdin.isatty() and sys.stdout.isatty()
    keep = _keep() if terminal else None
    session, first = _session(args, keep)
    if terminal and os.environ.get("TERM", "") not in {"dumb", "unknown"}:
        from assistant.faces.chat.terminal import talk

        return talk(session, first, keep)
    from assistant.faces.chat.lines import talk as plainly

    return plainly(session, first, prompt="> " if terminal else "")


def _keep() -> Keep:
    from assistant.faces.chat.keep import Keep, data_folder

    return Keep(data_folder())


def _session(args: argparse.Namespace, keep: Keep | None) -> tuple[Session, list[Row]]:
    """The session over the corpus in use, and what is to be said before the first prompt."""
    from assistant.corpus.files import corpus_folder
    from assistant.desk import Desk
    from assistant.faces import cli
    from assistant.faces.chat.session import Corner, Session, problem_rows

    folder = corpus_folder(args.corpus)
    desk = cli.open_desk(args.corpus)
    context, now = cli.context_of(desk, args), _now(args.clock)
    if not args.today:
        context = msgspec.structs.replace(context, today=now().date())
    corner = Corner(open=lambda: Desk.open(folder), stamp=lambda: stamp(folder))
    session = Session(corner, desk, context, now, keep)
    recipe = desk.corpus.recipes.get(context.recipe)
    name = recipe.title if recipe else desk.corpus.programme.name
    rows = [Row("head", f"{name}. Ask anything; help lists the commands."), *session.take_up()]
    if desk.corpus.problems:
        rows.append(Row("text", "The corpus has faults; what they are in is left out:"))
        rows += problem_rows(desk.corpus.problems)
    return session, rows


def _now(clock: str) -> Callable[[], datetime.datetime]:
    """The clock on the wall; or, for a session shown in a document, one that stands still."""
    if not clock:
        return datetime.datetime.now
    try:
        fixed = datetime.datetime.fromisoformat(clock)
    except ValueError:
        from assistant.faces.cli import Unusable

        raise Unusable(
            f'--clock: "{clock}" is no moment; write one like 2026-11-25T12:05'
        ) from None
    return lambda: fixed


def stamp(folder: Path) -> Hashable:
    """What changes when a file of the corpus does: names, sizes and times, without reading any."""
    from assistant.corpus.files import files

    made = []
    for path in files(folder):
        try:
            stat = path.stat()
        except OSError:
            continue
        made.append((path.name, stat.st_size, stat.st_mtime_ns))
    return tuple(made)


def width(columns: int) -> int:
    """The width to wrap at: the window's, but no wider than reads well."""
    return min(columns, _WIDEST)
