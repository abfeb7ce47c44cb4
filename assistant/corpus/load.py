"""Corpus folder -> typed records and a list of problems. Nothing is raised for bad data.

Every file is read, every record is tried, and everything wrong is collected; a record with an
error is left out and the sound ones remain usable.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TypeVar, get_args, get_type_hints

import msgspec

from assistant.corpus.files import REQUIRED
from assistant.corpus.problems import CorpusError, Problem
from assistant.corpus.records import (
    Diet,
    Estimate,
    Ingredient,
    Note,
    Nutrient,
    Programme,
    RecipeForm,
    Record,
    Reference,
    Swap,
    Term,
    WordList,
)
from assistant.corpus.rules import (
    CarePhrases,
    CareRule,
    CautionRule,
    MessageClass,
    SafetyLimit,
    SafetyRule,
    StorageRule,
)
from assistant.corpus.serving import Aisle, Role, Side
from assistant.corpus.source import Source, read_note, read_yaml
from assistant.corpus.times import QuantityList, TimeWord
from assistant.corpus.yardsticks import (
    Claim,
    CookedYield,
    FoodGroup,
    ReferenceAmount,
    Retention,
    Yardstick,
)

R = TypeVar("R", bound=Record)

# Where each type of record lives. Folders hold lists of records; recipes and notes a file each.
LISTS: dict[str, type[Record]] = {
    "pantry/*.yaml": Ingredient,
    "swaps/*.yaml": Swap,
    "safety/storage.yaml": StorageRule,
    "safety/rules.yaml": SafetyRule,
    "safety/cautions.yaml": CautionRule,
    "safety/limits.yaml": SafetyLimit,
    "safety/care.yaml": CareRule,
    "safety/care-phrases.yaml": CarePhrases,
    "references.yaml": Reference,
    "vocabulary/nutrients.yaml": Nutrient,
    "vocabulary/diets.yaml": Diet,
    "vocabulary/roles.yaml": Role,
    "vocabulary/aisles.yaml": Aisle,
    "vocabulary/sides.yaml": Side,
    "vocabulary/estimates.yaml": Estimate,
    "vocabulary/terms.yaml": Term,
    "vocabulary/times.yaml": TimeWord,
    "vocabulary/quantities.yaml": QuantityList,
    "vocabulary/lists.yaml": WordList,
    "vocabulary/conversation.yaml": WordList,
    "vocabulary/handout.yaml": WordList,
    "inbox/words.yaml": WordList,
    "inbox/concepts.yaml": WordList,
    "inbox/replies.yaml": WordList,
    "inbox/examples.yaml": WordList,
    "inbox/classes.yaml": MessageClass,
    "nutrition/claims.yaml": Claim,
    "nutrition/yardsticks.yaml": Yardstick,
    "nutrition/retention.yaml": Retention,
    "nutrition/food-groups.yaml": FoodGroup,
    "nutrition/reference-amounts.yaml": ReferenceAmount,
    "nutrition/cooked-yields.yaml": CookedYield,
}
SINGLES: dict[str, type[Record]] = {
    "recipes/*.yaml": RecipeForm,
    "notes/*.md": Note,
    "programme.yaml": Programme,
}
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*\Z")
_PATH = re.compile(r"\[(\d+)\]|\.([A-Za-z_]+)")


class Loaded:
    """All records by type and id, with the sources that know their lines."""

    def __init__(self) -> None:
        self.records: dict[type[Record], dict[str, Record]] = {}
        self.sources: dict[str, Source] = {}
        self.bases: dict[tuple[type[Record], str], tuple[str | int, ...]] = {}
        self.problems: list[Problem] = []

    def all(self, kind: type[R]) -> dict[str, R]:
        """The records of one type by id, in the order of files and lines."""
        return self.records.get(kind, {})  # type: ignore[return-value]

    def problem(self, record: Record, field: tuple[str | int, ...], message: str) -> None:
        """Note a problem at a field of a record, which makes the record unusable."""
        base = self.bases.get((type(record), record.id), ())
        source = self.sources[record.file]
        line = source.line((*base, *field))
        self.problems.append(Problem(record.file, line, message, record.id))

    def line(self, record: Record, *field: str | int) -> int:
        """The line of a field of a record."""
        base = self.bases.get((type(record), record.id), ())
        return self.sources[record.file].line((*base, *field))


def load(folder: Path) -> Loaded:
    """Read the whole corpus under `folder`.

    Raises CorpusError when the folder is no corpus at all (missing, or without the files that
    every corpus has); every other fault is a Problem in the result.
    """
    missing = [name for name in REQUIRED if not (folder / name).is_file()]
    if not folder.is_dir():
        raise CorpusError(f"{folder}: there is no such folder; give --corpus a corpus folder")
    if missing:
        raise CorpusError(
            f"{folder}: not a corpus: there is no {' and no '.join(missing)}; "
            "copy what is missing from the corpus that comes with the program"
        )
    loaded = Loaded()
    for pattern, kind in LISTS.items():
        for path in sorted(folder.glob(pattern)):
            _take_list(loaded, read_yaml(path, _name(path, folder)), kind)
    for pattern, kind in SINGLES.items():
        for path in sorted(folder.glob(pattern)):
            name = _name(path, folder)
            source = read_note(path, name) if path.suffix == ".md" else read_yaml(path, name)
            _take_single(loaded, source, kind)
    return loaded


def _name(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix()


def _take_list(loaded: Loaded, source: Source, kind: type[Record]) -> None:
    loaded.sources[source.file] = source
    loaded.problems.extend(source.problems)
    if source.data is None:
        return
    if not isinstance(source.data, list):
        loaded.problems.append(Problem(source.file, 1, "expected a list of records (`- id: …`)"))
        return
    for i, item in enumerate(source.data):
        _take(loaded, source, (i,), item, kind)


def _take_single(loaded: Loaded, source: Source, kind: type[Record]) -> None:
    loaded.sources[source.file] = source
    loaded.problems.extend(source.problems)
    if source.data is None:
        return
    data = source.data
    if kind is Note and isinstance(data, dict):
        data = {**data, "text": source.text}
        if not source.text:
            loaded.problems.append(Problem(source.file, source.line(()), "the note has no text"))
            return
    _take(loaded, source, (), data, kind)


def _take(
    loaded: Loaded, source: Source, base: tuple[str | int, ...], data: Any, kind: type[Record]
) -> None:
    """Turn one mapping into a record, or into problems."""
    line = source.line(base)
    if not isinstance(data, dict):
        loaded.problems.append(Problem(source.file, line, "expected fields (`name: value`)"))
        return
    ident = str(data.get("id") or "")
    for field in ("file", "line"):
        if field in data and kind is not Record:
            source.problem((*base, field), f"{field!r} is set by the program; remove it", ident)
    try:
        record = msgspec.convert({**data, "file": source.file, "line": line}, kind, strict=False)
    except msgspec.ValidationError as error:
        message, at = _explain(str(error), kind)
        loaded.problems.append(Problem(source.file, source.line((*base, *at)), message, ident))
        return
    if not _ID.match(record.id):
        loaded.problems.append(
            Problem(
                source.file,
                source.line((*base, "id")),
                f"id {record.id!r}: use small letters, digits and single hyphens",
                ident,
            )
        )
        return
    if source.file.startswith("recipes/") and Path(source.file).stem != record.id:
        loaded.problems.append(
            Problem(
                source.file,
                source.line((*base, "id")),
                f"id {record.id!r} differs from the file's name; make them the same",
                ident,
            )
        )
    known = loaded.records.setdefault(kind, {})
    if record.id in known:
        first = known[record.id]
        loaded.problems.append(
            Problem(
                source.file,
                source.line((*base, "id")),
                f"id {record.id!r} is already used at {first.where}; give this one another",
            )
        )
        return
    known[record.id] = record
    loaded.bases[(kind, record.id)] = base


def _explain(text: str, kind: type[Record]) -> tuple[str, tuple[str | int, ...]]:
    """msgspec's message in our words, and the path of the field it speaks of."""
    message, _, where = text.partition(" - at `$")
    at: list[str | int] = []
    for index, name in _PATH.findall(where):
        at.append(int(index) if index else name)
    missing = re.match(r"Object missing required field `(\w+)`", message)
    unknown = re.match(r"Object contains unknown field `(\w+)`", message)
    place = f" in {'.'.join(str(part) for part in at)}" if at else ""
    if missing:
        return f"the field {missing[1]!r} is missing{place}; add it", tuple(at)
    if unknown:
        name = unknown[1]
        return f"the field {name!r} is not known{place}; check its spelling", (*at, name)
    named = ".".join(str(part) for part in at) or "record"
    wanted = next((plain for told, plain in _WANTED.items() if told in message), "")
    if wanted:
        return f"{named}: expected {wanted}", tuple(at)
    wrong = re.match(r"Invalid enum value '(.*)'", message)
    allowed = _allowed(kind, at)
    if wrong and allowed:
        return f"{named}: {wrong[1]!r} is not one of {', '.join(allowed)}", tuple(at)
    return f"{named}: {message.replace('`', '').replace('null', 'nothing')}", tuple(at)


_WANTED = {
    "Expected `int`": "a whole number",
    "Expected `decimal`": "a number",
    "Invalid decimal": "a number",
    "Expected `bool`": "true or false",
    "Expected `array`": "a list in [brackets]",
    "Expected `object`": "fields (`name: value`)",
    "Expected `str`": "a text",
}


def _allowed(kind: type[Record], at: list[str | int]) -> list[str]:
    """The words a field may hold, where it holds one of a few."""
    hints: Any = get_type_hints(kind)
    found = hints.get(at[0]) if at else None
    options = get_args(found)
    nested = [word for option in options for word in get_args(option)]
    return [word for word in (*options, *nested) if isinstance(word, str)]


def unknown_ids(wanted: Iterable[str], known: Iterable[str]) -> list[str]:
    """The wanted ids that are not known, in order."""
    have = set(known)
    return [ident for ident in wanted if ident not in have]
