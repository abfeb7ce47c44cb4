"""The whole way of an inbox: sort -> group -> draft. Faces and writers draw from its result."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, TypeVar, cast

import msgspec

from assistant.desk import Desk
from assistant.inbox.draft import Draft, Drafter
from assistant.inbox.message import STATES, Item, Message
from assistant.inbox.readers.forms import InboxError
from assistant.inbox.sort import Settings, Sorter

# Below this many messages, starting workers costs more than they bring.
WORTH_WORKERS = 20_000
_BATCH = 250
_PATIENCE = 2.0


class Jobs(msgspec.Struct, frozen=True, kw_only=True):
    """Who does the work: `number` of processes (0: this one, unless the batch is large), or the
    workers of a Dask cluster at `cluster`. `folder` is the corpus that workers open for themselves.
    """

    number: int = 0
    cluster: str = ""
    folder: str = ""


class Triage(msgspec.Struct, frozen=True, kw_only=True):
    """A sorted inbox: its items in input order, and a draft for each group that gets one, by the
    place of the group's first message."""

    items: tuple[Item, ...]
    drafts: dict[int, Draft]

    @property
    def queue(self) -> list[Item]:
        """The items by urgency, then by age; those without a date come last in their state.

        What may be urgent, whatever its state, comes right after what is.
        """
        order = {state: number for number, state in enumerate(STATES)}
        return sorted(
            self.items,
            key=lambda i: (
                not i.urgent and not i.perhaps,
                order[i.state],
                i.message.received == "",
                i.message.received,
                i.place,
            ),
        )

    def members(self) -> dict[int, list[Item]]:
        """The items of each group, by the place of its first."""
        made: dict[int, list[Item]] = {}
        for item in self.items:
            made.setdefault(item.group, []).append(item)
        return made


def triage(
    messages: Sequence[Message],
    desk: Desk,
    settings: Settings,
    jobs: Jobs | None = None,
    told: Callable[[str], None] | None = None,
) -> Triage:
    """Sort, group and draft. As many items come out as messages went in; raises ValueError if not.

    The result does not depend on `jobs`. `told` gets a progress line after two seconds, and again
    every two.
    """
    jobs = jobs or Jobs()
    progress = _Progress(len(messages), told)
    numbered = list(enumerate(messages, 1))
    items = _mapped(_sort_batch, numbered, desk, settings, jobs, lambda n: progress.at("sorted", n))
    if len(items) != len(messages):
        raise ValueError(f"{len(messages)} messages went in and {len(items)} came out")
    from assistant.inbox.group import group

    progress.at("grouping", len(items))
    firsts = group(items)
    grouped = [
        msgspec.structs.replace(item, group=first + 1)
        for item, first in zip(items, firsts, strict=True)
    ]
    heads = [item for item in grouped if item.group == item.place and item.state != "empty"]
    drafts = _mapped(_draft_batch, heads, desk, settings, jobs, lambda n: progress.at("drafted", n))
    return Triage(
        items=tuple(grouped),
        drafts={item.place: draft for item, draft in zip(heads, drafts, strict=True)},
    )


T = TypeVar("T")
U = TypeVar("U")
Work = Callable[[str, Settings, Sequence[T], "Desk | None"], list[U]]


def _mapped(
    work: Work[T, U],
    given: Sequence[T],
    desk: Desk,
    settings: Settings,
    jobs: Jobs,
    at: Callable[[int], None],
) -> list[U]:
    """`work` over batches, here or by workers; the results in the order of what was given."""
    batches = [given[start : start + _BATCH] for start in range(0, len(given), _BATCH)]
    number = jobs.number or (0 if len(given) < WORTH_WORKERS else -1)
    made: list[U] = []
    if not batches or (number in {0, 1} and not jobs.cluster):
        for batch in batches:
            made += work("", settings, batch, desk)
            at(len(made))
        return made
    import joblib

    with _workers(jobs):
        parallel = joblib.Parallel(n_jobs=number or -1, return_as="list", batch_size=1)
        # A few rounds, so that progress can be told between them.
        step = max(8, len(batches) // 10)
        for start in range(0, len(batches), step):
            some = batches[start : start + step]
            for part in parallel(
                joblib.delayed(work)(jobs.folder, settings, b, None) for b in some
            ):
                made += part
            at(len(made))
    return made


def _workers(jobs: Jobs) -> contextlib.AbstractContextManager[object]:
    """Local processes, or the Dask cluster at an address. Raises InboxError without dask."""
    if not jobs.cluster:
        return contextlib.nullcontext()
    import joblib

    try:
        from distributed import Client
    except ImportError:
        raise InboxError(
            "--cluster needs Dask, which is not installed; install it with: pip install .[cluster]"
        ) from None
    stack = contextlib.ExitStack()
    try:
        client = stack.enter_context(cast(Any, Client)(jobs.cluster, timeout="10s"))
    except (OSError, ValueError) as error:
        raise InboxError(f"--cluster: no Dask scheduler answers at {jobs.cluster}") from error
    stack.enter_context(joblib.parallel_config(backend="dask", client=client))
    return stack


@lru_cache(maxsize=2)
def _desk(folder: str) -> Desk:
    """A worker's own desk, opened once."""
    from assistant.corpus.files import corpus_folder

    return Desk.open(corpus_folder(folder))


@lru_cache(maxsize=4)
def _sorter(folder: str, settings: Settings) -> Sorter:
    return Sorter(_desk(folder), settings)


@lru_cache(maxsize=4)
def _drafter(folder: str, settings: Settings) -> Drafter:
    return Drafter(_desk(folder), settings)


_here: dict[tuple[int, Settings], tuple[Desk, Sorter, Drafter]] = {}


def _mine(desk: Desk, settings: Settings) -> tuple[Sorter, Drafter]:
    """This process's sorter and drafter over a desk that is open already; the last one is kept."""
    key = (id(desk), settings)
    if key not in _here:
        _here.clear()
        sorter = Sorter(desk, settings)
        _here[key] = (desk, sorter, Drafter(desk, settings, sorter.seam))
    return _here[key][1:]


def _sort_batch(
    folder: str, settings: Settings, batch: Sequence[tuple[int, Message]], desk: Desk | None
) -> list[Item]:
    sorter = _mine(desk, settings)[0] if desk else _sorter(folder, settings)
    return [sorter.sort(place, message) for place, message in batch]


def _draft_batch(
    folder: str, settings: Settings, batch: Sequence[Item], desk: Desk | None
) -> list[Draft]:
    drafter = _mine(desk, settings)[1] if desk else _drafter(folder, settings)
    return [drafter.draft(item) for item in batch]


class _Progress:
    def __init__(self, total: int, told: Callable[[str], None] | None) -> None:
        self.total, self.told = total, told
        self.last = time.monotonic()

    def at(self, doing: str, done: int) -> None:
        now = time.monotonic()
        if self.told is not None and now - self.last >= _PATIENCE:
            self.last = now
            self.told(f"{doing} {done:,} of {self.total:,} messages")


def say(line: str) -> None:
    """A progress line on standard error."""
    print(f"assistant: {line}", file=sys.stderr, flush=True)
