"""The command line: a thin shell over the desk."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.answer import Answer
    from assistant.desk import Desk
    from assistant.question.understand import Context

OK, FOUND_FAULTS, UNUSABLE = 0, 1, 2
_LONGEST_LINE = 1_000_000


class Unusable(Exception):
    """Arguments or a corpus that cannot be used; printed as one message, exit status 2."""


def run(arguments: Sequence[str]) -> int:
    """Run one command: 0 for any answer, 1 for a corpus with faults, 2 for unusable input."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        parsed = _parser().parse_args(arguments)
        command: Callable[[argparse.Namespace], int] = parsed.run
        return command(parsed)
    except Unusable as error:
        print(f"assistant: {error}", file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:
        # The reader has gone: leave quietly, and keep Python from complaining as it closes.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except OSError as error:
        # A full disk, mostly, found when the output is written; nothing more can be written there.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        what = f"{error.filename}: " if error.filename else "the output is not complete: "
        print(f"assistant: {what}{error.strerror or error}", file=sys.stderr)
        return UNUSABLE
    except KeyboardInterrupt:
        return 130


def _parser() -> argparse.ArgumentParser:
    from assistant import __version__

    parser = argparse.ArgumentParser(
        prog="assistant",
        description="Answers questions about the programme's own recipes: exact, sourced, local.",
    )
    parser.add_argument("--version", action="version", version=f"assistant {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    ask = commands.add_parser("ask", help="answer a question, or a file of questions")
    ask.add_argument("question", nargs="*", help="the question, with or without quotes")
    ask.add_argument("--file", metavar="FILE", help="one question a line; - reads standard input")
    ask.add_argument("--recipe", metavar="ID", default="", help="what the question is about")
    ask.add_argument("--servings", metavar="N", default="", help="for how many people")
    ask.add_argument("--today", metavar="DATE", default="", help="as 2026-10-06; else today's date")
    ask.add_argument("--format", choices=("text", "markdown", "json"), default="text")
    ask.add_argument("--log", metavar="FILE", default="", help="keep the question for `gaps`")
    ask.add_argument("--why", action="store_true", help="show the whole working and what matched")
    _corpus(ask)
    ask.set_defaults(run=_ask)

    check = commands.add_parser("check", help="check the corpus; silent when it is sound")
    _corpus(check)
    check.set_defaults(run=_check)

    listing = commands.add_parser("list", help="list what the corpus holds")
    listing.add_argument("what", choices=("recipes", "notes", "ingredients", "kinds", "references"))
    _corpus(listing)
    listing.set_defaults(run=_list)

    show = commands.add_parser("show", help="show a recipe, a note, an ingredient, a reference")
    show.add_argument("id", help="its id, see `assistant list`")
    show.add_argument("--servings", metavar="N", default="")
    show.add_argument("--nutrition", action="store_true", help="the whole nutrition table")
    show.add_argument(
        "--reasons", action="store_true", help="why each step and ingredient is there"
    )
    _corpus(show)
    show.set_defaults(run=_show)

    foods = commands.add_parser("foods", help="search the food composition table")
    foods.add_argument("words", nargs="+")
    _corpus(foods)
    foods.set_defaults(run=_foods)

    from assistant.faces import chat, gaps, handout, sheet, triage

    chat.add(commands, _corpus)
    gaps.add(commands, _corpus)
    handout.add(commands, _corpus)
    sheet.add(commands, _corpus)
    triage.add(commands, _corpus)
    return parser


def _corpus(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--corpus", metavar="DIR", default="", help="a corpus folder of your own")


def open_desk(folder: str) -> Desk:
    """The desk over the corpus in use. Raises Unusable in plain words."""
    from assistant.corpus.files import corpus_folder
    from assistant.corpus.problems import CorpusError
    from assistant.desk import Desk

    try:
        return Desk.open(corpus_folder(folder))
    except CorpusError as error:
        raise Unusable(str(error)) from error


def context_of(desk: Desk, args: argparse.Namespace) -> Context:
    """What --recipe, --servings and --today settle. Raises Unusable in plain words."""
    import datetime

    from assistant.kitchen.scaling import check_servings
    from assistant.measure.exact import MeasureError
    from assistant.measure.numbers import read_number

    servings = None
    if args.servings:
        try:
            servings = check_servings(read_number(args.servings))
        except MeasureError as error:
            raise Unusable(f"--servings: {error}") from error
    today = None
    if args.today:
        try:
            today = datetime.date.fromisoformat(args.today)
        except ValueError:
            raise Unusable(
                f'--today: "{args.today}" is no date; write it like 2026-10-06'
            ) from None
    recipe = _recipe_id(desk, args.recipe) if args.recipe else ""
    return desk.context(recipe=recipe, servings=servings, today=today)


def context_for(desk: Desk, recipe: str, servings: str) -> Context:
    """The context of a recipe's id and a number of servings as typed. Raises Unusable."""
    if recipe not in desk.corpus.recipes:
        raise Unusable(f'there is no recipe "{recipe}"{_close(recipe, desk.corpus.recipes)}')
    return context_of(desk, argparse.Namespace(servings=servings, today="", recipe=recipe))


_context = context_of


def _recipe_id(desk: Desk, given: str) -> str:
    if given in desk.corpus.recipes:
        return given
    raise Unusable(f'--recipe: there is no recipe "{given}"{_close(given, desk.corpus.recipes)}')


def _close(given: str, known: Iterable[str]) -> str:
    """ "; did you mean …?" where something is near, else where to look."""
    import difflib

    near = difflib.get_close_matches(given, list(known), n=3, cutoff=0.5)
    if near:
        return f"; did you mean {' or '.join(near)}?"
    return "; see `assistant list recipes`"


# ------------------------------------------------------------------------------------------- ask


def _ask(args: argparse.Namespace) -> int:
    from assistant.desk import UnusableQuestion

    if args.file and args.question:
        raise Unusable("give either a question or --file, not both")
    if not args.file and not " ".join(args.question).strip():
        raise Unusable(
            'there is no question; ask for example: assistant ask "How much broth for 14?"'
        )
    desk = open_desk(args.corpus)
    context = context_of(desk, args)
    _say_left_out(desk)
    keep = None
    if args.log:
        from assistant.faces.gaps import keeper

        keep = keeper(args.log, desk, context.today)
    if not args.file:
        try:
            _print(desk, " ".join(args.question), context, args, keep=keep)
        except UnusableQuestion as error:
            raise Unusable(str(error)) from error
        return OK
    status = OK
    first = True
    for number, line in _lines(args.file):
        if not line.strip():
            continue
        if not first and args.format != "json":
            print()
        first = False
        try:
            _print(desk, line, context, args, repeat=True, keep=keep)
        except UnusableQuestion as error:
            print(f"assistant: {args.file}:{number}: {error}", file=sys.stderr)
            status = UNUSABLE
        sys.stdout.flush()
    return status


def _lines(name: str) -> Iterator[tuple[int, str]]:
    """The lines of a file or of standard input, one at a time, whatever bytes they hold."""
    try:
        stream: IO[bytes] = sys.stdin.buffer if name == "-" else Path(name).open("rb")  # noqa: SIM115
    except OSError as error:
        raise Unusable(f"--file: cannot read {name}: {error.strerror or error}") from error
    with stream:
        number = 0
        while raw := stream.readline(_LONGEST_LINE):
            number += 1
            yield number, raw.decode("utf-8", errors="replace").lstrip("\ufeff")


def _print(
    desk: Desk,
    question: str,
    context: Context,
    args: argparse.Namespace,
    repeat: bool = False,
    keep: Callable[[Answer], None] | None = None,
) -> None:
    answers = desk.converse(question, context).answers
    if keep:
        for answer in answers:
            keep(answer)
    if args.format == "json":
        _print_object(answers, args.why)
        return
    from assistant.faces import text

    repeat = repeat or len(answers) > 1
    for number, answer in enumerate(answers):
        if number:
            sys.stdout.write("\n")
        if args.format == "markdown":
            head = f"### {answer.question}\n\n" if repeat else ""
            sys.stdout.write(head + text.as_markdown(answer, args.why))
        else:
            head = f"> {answer.question}\n" if repeat else ""
            sys.stdout.write(head + text.as_text(answer, _width(), args.why) + "\n")


def _print_object(answers: Sequence[Answer], why: bool) -> None:
    """One object on one line: the first answer, with those of further questions under "more"."""
    import msgspec

    from assistant.answer import to_object

    made = [to_object(answer) for answer in answers]
    for one in made:
        if not why:
            one.pop("why", None)
    first = made[0] if len(made) == 1 else {**made[0], "more": made[1:]}
    sys.stdout.write(msgspec.json.encode(first).decode() + "\n")


def _width() -> int:
    import shutil

    return min(max(shutil.get_terminal_size((80, 24)).columns, 40), 100)


def _say_left_out(desk: Desk) -> None:
    """A corpus with faults still answers, but says what it left out."""
    problems = desk.corpus.problems
    if problems:
        left = sorted({problem.record for problem in problems if problem.record})
        named = f" Left out: {', '.join(left[:8])}{' …' if len(left) > 8 else ''}." if left else ""
        faults = "1 fault" if len(problems) == 1 else f"{len(problems)} faults"
        print(f"assistant: the corpus has {faults}; see `assistant check`.{named}", file=sys.stderr)


# ------------------------------------------------------------------------- check, list, show, foods


def _check(args: argparse.Namespace) -> int:
    from assistant.compiling import check
    from assistant.corpus.files import corpus_folder
    from assistant.corpus.problems import CorpusError

    try:
        problems = check(corpus_folder(args.corpus))
    except CorpusError as error:
        raise Unusable(str(error)) from error
    for problem in problems:
        print(problem)
    return FOUND_FAULTS if problems else OK


def _list(args: argparse.Namespace) -> int:
    from assistant.faces import show

    print(show.listing(open_desk(args.corpus), args.what))
    return OK


def _show(args: argparse.Namespace) -> int:
    from assistant.faces import show

    desk = open_desk(args.corpus)
    context = context_of(desk, argparse.Namespace(servings=args.servings, today="", recipe=""))
    of_recipe = {"--nutrition": show.nutrition, "--reasons": show.reasons}
    for option, table in of_recipe.items():
        if not getattr(args, option.removeprefix("--")):
            continue
        if args.id not in desk.corpus.recipes:
            near = _close(args.id, desk.corpus.recipes)
            raise Unusable(f'{option}: there is no recipe "{args.id}"{near}')
        print(table(desk, args.id, _width()))
        return OK
    made = show.record(desk, args.id, context, _width())
    if made is None:
        raise Unusable(f'there is nothing called "{args.id}"{_close(args.id, show.all_ids(desk))}')
    print(made)
    return OK


def _foods(args: argparse.Namespace) -> int:
    from assistant.faces import show

    print(show.foods(open_desk(args.corpus), args.words))
    return OK
