"""The compiled corpus in the user's cache folder: read in milliseconds, rebuilt on any change.

The file's name is the digest of everything it was made from (the corpus files, the kinds' cues, the
program's own source), so a stale snapshot is never read; its first bytes are the digest of what
follows, so a damaged one is noticed. It is msgpack, never pickle. It has three parts, read when
needed: the corpus with what reading questions needs, the passages with their index, all foods.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
import sys
import tempfile
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import Any

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Food
from assistant.measure.amount import dec_hook, enc_hook
from assistant.question.cues import Book
from assistant.question.understand import Lexicon
from assistant.retrieval.index import Index, Passage

_KEPT = 6
_DIGEST = 16
_PACKAGE = Path(__file__).parent
_OFF = "ASSISTANT_NO_CACHE"
_FOLDER = "ASSISTANT_CACHE"


class Head(msgspec.Struct, frozen=True):
    """What every question needs."""

    corpus: Corpus
    lexicon: Lexicon
    care: Book
    kinds: tuple[tuple[str, str], ...]


class Found(msgspec.Struct, frozen=True):
    """What a question needs that looks for passages."""

    passages: tuple[Passage, ...]
    index: Index


class Snapshot:
    """A compiled corpus; its parts are decoded when they are first asked for."""

    def __init__(self, head: bytes, found: bytes, foods: bytes, folder: Path | None = None) -> None:
        self.folder = folder
        self._head, self._found, self._foods = head, found, foods
        # The collector would walk the many thousand new objects over and over while they are made.
        collecting = gc.isenabled()
        gc.disable()
        try:
            made = msgspec.msgpack.decode(head, type=Head, dec_hook=dec_hook)
        finally:
            if collecting:
                gc.enable()
        self.corpus = made.corpus
        self.lexicon = made.lexicon
        self.care = made.care
        self.kinds = made.kinds

    @cached_property
    def _search(self) -> Found:
        return msgspec.msgpack.decode(self._found, type=Found)

    def passages(self) -> tuple[tuple[Passage, ...], Index]:
        """The passages and their index."""
        return self._search.passages, self._search.index

    def all_foods(self) -> tuple[tuple[str, str], ...]:
        """Every food of the composition table: code and name."""
        return msgspec.msgpack.decode(self._foods, type=tuple[tuple[str, str], ...])

    def food(self, code: str) -> Food | None:
        """One row of the composition table by its code, read from the corpus folder."""
        if self.folder is None:
            return self.corpus.foods.get(code)
        from assistant.corpus.foods import read_foods

        return read_foods(self.folder, [], {code})[1].get(code)

    def parts(self) -> tuple[bytes, bytes, bytes]:
        """The three encoded parts."""
        return self._head, self._found, self._foods


def open_snapshot(folder: Path, cache: bool = True) -> Snapshot:
    """The snapshot of a corpus folder, from the cache or built anew.

    Raises CorpusError when the folder is no usable corpus. A cache that cannot be read or written
    costs time, never an answer.
    """
    if not cache or os.environ.get(_OFF):
        return compile_snapshot(folder)
    path = _cache_folder() / f"{_key(folder)}.snapshot"
    kept = _read(path, folder)
    if kept is not None:
        return kept
    made = compile_snapshot(folder)
    with contextlib.suppress(OSError):
        _write(path, made)
    return made


def compile_snapshot(folder: Path) -> Snapshot:
    """Read and compile the corpus. Raises CorpusError when there is nothing to answer from."""
    # Reading YAML and compiling cues is needed here only, and costs many times a warm start.
    from assistant.compiling import compile_parts

    return Snapshot(*compile_parts(folder), folder)


def encode(value: Any) -> bytes:
    """A part of the snapshot as bytes."""
    return msgspec.msgpack.encode(value, enc_hook=enc_hook)


def _key(folder: Path) -> str:
    """The digest of everything a snapshot is made from."""
    from assistant import __version__
    from assistant.corpus.files import files

    digest = hashlib.blake2b(digest_size=_DIGEST)
    digest.update(f"{__version__} {sys.version_info[:3]} {msgspec.__version__}\n".encode())
    for name, size, stamp in _own_files():
        digest.update(f"{name} {size} {stamp}\n".encode())
    for path in files(folder):
        digest.update(f"\0{path.relative_to(folder).as_posix()}\0".encode())
        with contextlib.suppress(OSError):
            digest.update(hashlib.blake2b(path.read_bytes()).digest())
    return digest.hexdigest()


def _own_files() -> Iterator[tuple[str, int, int]]:
    """The program's own files by size and time: a changed program makes its own snapshot."""
    for folder, names, files in os.walk(_PACKAGE):
        names[:] = sorted(name for name in names if name not in {"__pycache__", "default"})
        for name in sorted(files):
            stat = Path(folder, name).stat()
            yield f"{folder[len(str(_PACKAGE)) :]}/{name}", stat.st_size, stat.st_mtime_ns


def _cache_folder() -> Path:
    if named := os.environ.get(_FOLDER):
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("lunch-hour-assistant", appauthor=False)


def _read(path: Path, folder: Path) -> Snapshot | None:
    """The snapshot in a file; None where there is none, or it is damaged."""
    try:
        raw = path.read_bytes()
    except OSError:
        return None
    digest, body = raw[:_DIGEST], raw[_DIGEST:]
    if hashlib.blake2b(body, digest_size=_DIGEST).digest() != digest:
        return None
    try:
        parts = msgspec.msgpack.decode(body, type=tuple[bytes, bytes, bytes])
        return Snapshot(*parts, folder)
    except (msgspec.DecodeError, ValueError):
        return None


def _write(path: Path, made: Snapshot) -> None:
    """Write whole or not at all, and leave no more than a few old ones."""
    body = msgspec.msgpack.encode(made.parts())
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as stream:
        stream.write(hashlib.blake2b(body, digest_size=_DIGEST).digest() + body)
    Path(stream.name).replace(path)
    kept = sorted(path.parent.glob("*.snapshot"), key=lambda p: -p.stat().st_mtime_ns)
    for old in kept[_KEPT:]:
        old.unlink(missing_ok=True)
