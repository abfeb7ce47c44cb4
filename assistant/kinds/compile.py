"""The kinds' folders -> their cues, compiled. The only place that knows how a kind is laid out."""

from __future__ import annotations

from pathlib import Path

import msgspec

from assistant.corpus.source import read_yaml
from assistant.question.cues import Book, Cue, CueError, compile_cue, make_book

FOLDER = Path(__file__).parent


class CueForm(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cue as written: its pattern, and its weight where it is not one per word."""

    cue: str
    weight: float | None = None
    example: str = ""


class KindForm(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A kind's cues.yaml: its name (the folder's), what it is about in words, its cues."""

    kind: str
    about: str
    cues: tuple[CueForm, ...]


def kinds(folder: Path = FOLDER) -> list[KindForm]:
    """Every kind, in the order of names. Raises CueError naming the file that cannot be used."""
    found = []
    for path in sorted(folder.glob("*/cues.yaml")):
        source = read_yaml(path, f"{path.parent.name}/cues.yaml")
        if source.problems:
            raise CueError(str(source.problems[0]))
        try:
            form = msgspec.convert(source.data, KindForm, strict=False)
        except msgspec.ValidationError as error:
            raise CueError(f"{source.file}: {error}") from error
        if form.kind != path.parent.name:
            raise CueError(f"{source.file}: kind {form.kind!r} must be the folder's name")
        found.append(form)
    return found


def compile_cues(forms: list[KindForm]) -> Book:
    """All cues of all kinds as one book. Raises CueError for one that cannot be used."""
    cues: list[Cue] = []
    for form in forms:
        cues += [compile_cue(form.kind, c.cue, c.weight, c.example) for c in form.cues]
    return make_book(cues)
