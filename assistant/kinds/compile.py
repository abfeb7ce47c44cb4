"""The kinds' folders -> their cues, compiled. The only place that knows how a kind is laid out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import TypeVar

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
    plain: tuple[CueForm, ...] = ()


class PlainForm(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A kind's plain.yaml: cues on plain words, for questions about what is not in the corpus."""

    kind: str
    cues: tuple[CueForm, ...]


class WordingsForm(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A kind's wordings.yaml: questions as people put them, from which the kinds are learnt."""

    kind: str
    wordings: tuple[str, ...]


_Form = TypeVar("_Form", KindForm, PlainForm, WordingsForm)


def kinds(folder: Path = FOLDER) -> list[KindForm]:
    """Every kind, in the order of names. Raises CueError naming the file that cannot be used."""
    found = []
    for path in sorted(folder.glob("*/cues.yaml")):
        form = _read(path, KindForm)
        plain = path.with_name("plain.yaml")
        if plain.is_file():
            more = _read(plain, PlainForm)
            form = msgspec.structs.replace(form, plain=more.cues)
        found.append(form)
    return found


def wordings(folder: Path = FOLDER) -> list[tuple[str, str]]:
    """(question, kind) of every kind's wordings.yaml. Raises CueError as `kinds` does."""
    forms = [_read(path, WordingsForm) for path in sorted(folder.glob("*/wordings.yaml"))]
    return [(text, form.kind) for form in forms for text in form.wordings]


def _read(path: Path, form: type[_Form]) -> _Form:
    source = read_yaml(path, f"{path.parent.name}/{path.name}")
    if source.problems:
        raise CueError(str(source.problems[0]))
    try:
        made = msgspec.convert(source.data, form, strict=False)
    except msgspec.ValidationError as error:
        raise CueError(f"{source.file}: {error}") from error
    if made.kind != path.parent.name:
        raise CueError(f"{source.file}: kind {made.kind!r} must be the folder's name")
    return made


def word_lists(folder: Path = FOLDER) -> dict[str, tuple[str, ...]]:
    """The word lists of words.yaml that cues name with @. Raises CueError."""
    source = read_yaml(folder / "words.yaml", "words.yaml")
    if source.problems:
        raise CueError(str(source.problems[0]))
    try:
        return msgspec.convert(source.data, dict[str, tuple[str, ...]])
    except msgspec.ValidationError as error:
        raise CueError(f"{source.file}: {error}") from error


def compile_cues(forms: list[KindForm], lists: Mapping[str, Collection[str]] | None = None) -> Book:
    """All cues of all kinds as one book; `lists` are the word lists, else those of words.yaml.

    A pattern of plain.yaml that stands in cues.yaml too counts once, with the weight given there.
    Raises CueError for a cue that cannot be used.
    """
    cues: list[Cue] = []
    lists = word_lists() if lists is None else lists
    for form in forms:
        own = {c.cue for c in form.cues}
        every = (*form.cues, *(c for c in form.plain if c.cue not in own))
        cues += [compile_cue(form.kind, c.cue, c.weight, c.example, lists) for c in every]
    return make_book(cues)
