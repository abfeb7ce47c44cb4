"""`assistant gaps`: what a log of questions shows that the corpus lacks, with drafts to fill in."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import datetime

    from assistant.answer import Answer
    from assistant.desk import Desk
    from assistant.gaps.drafts import Draft
    from assistant.gaps.groups import Gap

_MOST_NAMED = 10
_MOST_WORDINGS = 8


def add(commands: Any, corpus: Any) -> None:
    """Add the command to the command line; `corpus` adds the option for the corpus folder."""
    parser = commands.add_parser("gaps", help="what a log of questions shows the corpus lacks")
    parser.add_argument("files", nargs="+", metavar="FILE", help="a log of `assistant ask --log`")
    parser.add_argument("--most", metavar="N", type=int, default=20, help="how many; 20 if unsaid")
    parser.add_argument("--write", metavar="DIR", default="", help="write the drafts there")
    parser.add_argument("--format", choices=("text", "markdown", "json"), default="text")
    corpus(parser)
    parser.set_defaults(run=run)


def keeper(path: str, desk: Desk, today: datetime.date) -> Callable[[Answer], None]:
    """What adds an answer to the log that the user named. Raises Unusable where it cannot be.

    A log that fails later on, because it is full, is said once on standard error: the answer is
    what matters.
    """
    from assistant.faces.cli import Unusable
    from assistant.gaps import LogError, record, usable
    from assistant.inbox.mask import Masker

    log = Path(path)
    try:
        usable(log)
    except LogError as error:
        raise Unusable(f"--log: {error}") from error
    mask = Masker(desk.corpus, ())
    said: list[str] = []

    def keep(answer: Answer) -> None:
        try:
            record(log, answer, today, mask)
        except LogError as error:
            if not said:
                said.append(str(error))
                print(f"assistant: --log: {error}", file=sys.stderr)

    return keep


def run(args: argparse.Namespace) -> int:
    """Run it. Returns 0; raises Unusable for a log, a number or a folder that cannot be used."""
    from assistant.faces.cli import OK, Unusable, open_desk
    from assistant.gaps import LogError
    from assistant.gaps.drafts import drafts, write
    from assistant.gaps.groups import find
    from assistant.gaps.log import read
    from assistant.inbox.mask import Masker

    if args.most < 1:
        raise Unusable(f"--most: {args.most} is too few; give 1 or more")
    desk = open_desk(args.corpus)
    try:
        found = read(map(Path, args.files), Masker(desk.corpus, ()))
        every = find(found.entries, desk)
        gaps = every[: args.most]
        made = drafts(gaps, desk)
        if args.write:
            _say_written(*write([d for own in made for d in own], Path(args.write)), args.write)
    except LogError as error:
        raise Unusable(str(error)) from error
    _say_broken(found.broken)
    if args.format == "json":
        sys.stdout.write(as_json(gaps, made, len(every), len(found.entries), found.broken))
    else:
        show = as_markdown if args.format == "markdown" else as_text
        sys.stdout.write(show(gaps, made, summary(every, len(gaps), len(found.entries))))
    return OK


def summary(every: Sequence[Gap], shown: int, asked: int) -> str:
    """One sentence: how many questions the log holds, and how many went unanswered."""
    if not asked:
        return "The log holds no question yet."
    questions = _count(asked, "question")
    if not every:
        return f"No gap: everything in the log was answered ({questions})."
    total = sum(gap.count for gap in every)
    told = f"{total:,} of {questions} went unanswered, {_count(len(every), 'different one')}"
    return f"{told}; the {shown:,} asked most:" if shown < len(every) else f"{told}:"


def _count(number: int, name: str) -> str:
    return f"{number:,} {name}" if number == 1 else f"{number:,} {name}s"


def missing(gap: Gap) -> str:
    """What was missing, in plain words."""
    told = [f"kind {gap.kind or 'not recognized'}"]
    if gap.outside:
        told.append(f"not in the corpus: {', '.join(gap.outside)}")
    if gap.asks:
        told.append("a detail was asked back for each time, such as the recipe")
    return "; ".join(told)


def as_text(gaps: Sequence[Gap], made: Sequence[Sequence[Draft]], head: str) -> str:
    """The gaps for a terminal, each with its draft below it."""
    lines = [head]
    shown: dict[str, int] = {}
    for number, (gap, own) in enumerate(zip(gaps, made, strict=True), 1):
        lines += ["", f"{number}. {_times(gap)}: {gap.question}"]
        lines += [f"   also: {wording}" for wording in gap.wordings[1:_MOST_WORDINGS]]
        lines.append(f"   missing: {missing(gap)}")
        for draft in own:
            lines += [f"   {told}" for told in _file(draft, shown.get(draft.path))]
            if shown.setdefault(draft.path, number) != number:
                continue
            lines += [f"   | {line}".rstrip() for line in draft.text.splitlines()]
    return "\n".join(lines) + "\n"


def as_markdown(gaps: Sequence[Gap], made: Sequence[Sequence[Draft]], head: str) -> str:
    """The gaps as Markdown, the drafts as code."""
    lines = [head]
    shown: dict[str, int] = {}
    for number, (gap, own) in enumerate(zip(gaps, made, strict=True), 1):
        lines += ["", f"## {number}. {_escaped(gap.question)}", "", f"- {_times(gap)}"]
        lines += [f"- also: {_escaped(w)}" for w in gap.wordings[1:_MOST_WORDINGS]]
        lines.append(f"- missing: {_escaped(missing(gap))}")
        for draft in own:
            for told in _file(draft, shown.get(draft.path)):
                lines += ["", _escaped(told)]
            if shown.setdefault(draft.path, number) != number:
                continue
            # A fence longer than any inside a question keeps the draft in one piece.
            fence = "`" * max(3, _longest_run(draft.text) + 1)
            lines += ["", f"{fence}yaml", draft.text.rstrip("\n"), fence]
    return "\n".join(lines) + "\n"


def as_json(
    gaps: Sequence[Gap],
    made: Sequence[Sequence[Draft]],
    every: int,
    asked: int,
    broken: Sequence[str],
) -> str:
    """One object: what was read, and the gaps with their drafts."""
    import msgspec

    listed = [
        {
            "count": gap.count,
            "question": gap.question,
            "wordings": list(gap.wordings),
            "kind": gap.kind,
            "asks": gap.asks,
            "outside": list(gap.outside),
            "ingredients": list(gap.foods),
            "last": gap.last or None,
            "drafts": [msgspec.structs.asdict(draft) for draft in own],
        }
        for gap, own in zip(gaps, made, strict=True)
    ]
    whole = {"questions": asked, "different": every, "broken": list(broken), "gaps": listed}
    return msgspec.json.encode(whole).decode() + "\n"


def _times(gap: Gap) -> str:
    times = "once" if gap.count == 1 else f"{gap.count:,} times"
    return f"asked {times}{f', last on {gap.last}' if gap.last else ''}"


def _file(draft: Draft, shown: int | None) -> list[str]:
    """What is said above a draft; `shown` is the number of the gap that has shown it already."""
    told = f"draft of {draft.path}"
    if draft.known:
        told += " (the corpus has one of that name: add to it instead)"
    if shown is not None:
        told += f", shown at {shown}"
    if not draft.near:
        return [told]
    return [f"nearest note: {draft.near}; if it says so, add this wording to its asks", told]


def _escaped(text: str) -> str:
    return "".join(f"\\{c}" if c in "\\`*_[]<>#|" else c for c in text)


def _longest_run(text: str) -> int:
    longest = run = 0
    for char in text:
        run = run + 1 if char == "`" else 0
        longest = max(longest, run)
    return longest


def _say_written(written: Sequence[str], kept: Sequence[str], folder: str) -> None:
    if written:
        print(f"assistant: written to {folder}: {', '.join(written)}", file=sys.stderr)
        print("assistant: fill them in before they join a corpus", file=sys.stderr)
    if kept:
        print(f"assistant: already there, left as it is: {', '.join(kept)}", file=sys.stderr)


def _say_broken(broken: Sequence[str]) -> None:
    if not broken:
        return
    for line in broken[:_MOST_NAMED]:
        print(f"assistant: {line}", file=sys.stderr)
    more = f", the first {_MOST_NAMED} are named" if len(broken) > _MOST_NAMED else ""
    print(f"assistant: {_count(len(broken), 'line')} left out{more}", file=sys.stderr)
