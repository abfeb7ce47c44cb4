"""The files of a triage, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from assistant.desk import Desk
from assistant.inbox import digest, replies
from assistant.inbox.engine import Triage
from assistant.inbox.mask import Masker, masker
from assistant.inbox.queue import Merged, as_csv, merge
from assistant.inbox.readers.forms import InboxError
from assistant.inbox.resume import earlier

QUEUE = "queue.csv"


def write(
    result: Triage, desk: Desk, folder: Path, names: bool = False
) -> tuple[Merged, list[str]]:
    """Write queue.csv, replies.md, digest.html and unanswered.txt into `folder`.

    What the user decided in an earlier queue.csv stays. Returns the merged queue and the names of
    the files. Raises InboxError where the folder cannot be written; then nothing was changed.
    """
    made = masker(desk.corpus, result.items, names)
    merged = merge(result, earlier(folder / QUEUE), made)
    files = {
        QUEUE: as_csv(merged),
        "replies.md": replies.as_markdown(result, desk, made, names).encode("utf-8", "replace"),
        # The digest goes round: no names in it, whatever was asked for.
        "digest.html": digest.as_html(result, desk.corpus, _hidden(result, desk)).encode(
            "utf-8", "replace"
        ),
        "unanswered.txt": _unanswered(result, desk),
    }
    write_all(folder, files)
    return merged, list(files)


def _hidden(result: Triage, desk: Desk) -> Masker:
    return masker(desk.corpus, result.items)


def _unanswered(result: Triage, desk: Desk) -> bytes:
    """One question a line, as often as it was asked: what `assistant gaps` reads."""
    hidden = _hidden(result, desk)
    lines = [
        " ".join(hidden.text(text).split())
        for text, count in digest.lacking(result)
        for _ in range(count)
    ]
    return "".join(f"{line}\n" for line in lines).encode("utf-8", "replace")


def write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    """All files under their names, or none: each is written beside its place first, then renamed.

    Raises InboxError.
    """
    ready: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            with tempfile.NamedTemporaryFile(
                dir=folder, prefix=f".{name}.", delete=False
            ) as stream:
                ready.append((Path(stream.name), folder / name))
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
        for _, place in ready:
            if place.is_dir():
                raise IsADirectoryError(21, "is a folder", str(place))
        for made, place in ready:
            made.replace(place)
    except OSError as error:
        for made, _ in ready:
            with contextlib.suppress(OSError):
                made.unlink(missing_ok=True)
        why = error.strerror or str(error)
        raise InboxError(
            f"{folder}: cannot be written ({why}); nothing was changed; give another --out"
        ) from error
