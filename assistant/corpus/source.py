"""YAML and front matter with line numbers, loaded safely.

The loader builds plain data from the YAML nodes itself, because the line of every field is wanted
for the messages and a key given twice must be a message, not silently the last one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from assistant.corpus.problems import Problem

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
LARGEST = 2_000_000

Path_ = tuple[str | int, ...]


class Source:
    """The data of one file, and the line of every value in it by its path."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.data: Any = None
        self.text = ""
        self.lines: dict[Path_, int] = {}
        self.problems: list[Problem] = []

    def line(self, path: Path_) -> int:
        """The line of the value at `path`, or of the nearest thing that holds it."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def problem(self, path: Path_, message: str, record: str = "") -> None:
        """Note a problem at `path`."""
        self.problems.append(Problem(self.file, self.line(path), message, record))


def read_text(path: Path, source: Source) -> str | None:
    """The file's text, or None with a problem noted where it cannot be read as UTF-8."""
    try:
        if path.stat().st_size > LARGEST:
            source.problem((), "the file is larger than 2 MB; split it")
            return None
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        source.problem((), f"not UTF-8 text (byte {error.start}); save the file as UTF-8")
    except OSError as error:
        source.problem((), f"cannot be read: {error.strerror or error}")
    return None


def read_yaml(path: Path, file: str) -> Source:
    """Read one YAML file. `file` is the name that messages and sources use."""
    source = Source(file)
    text = read_text(path, source)
    if text is not None:
        _parse(text, source, 0)
    return source


def read_note(path: Path, file: str) -> Source:
    """Read a Markdown note: front matter between `---` lines into `data`, the rest into `text`."""
    source = Source(file)
    text = read_text(path, source)
    if text is None:
        return source
    rows = text.split("\n")
    if rows[0].strip() != "---":
        source.problem((), "a note starts with a front matter between two `---` lines")
        return source
    end = next((i for i, row in enumerate(rows[1:], 1) if row.strip() == "---"), None)
    if end is None:
        source.problem((), "the front matter is not closed; add a `---` line after it")
        return source
    _parse("\n".join(rows[1:end]), source, 1)
    source.text = "\n".join(rows[end + 1 :]).strip()
    return source


def _parse(text: str, source: Source, offset: int) -> None:
    try:
        node = yaml.compose(text, Loader=_Loader)
        if node is not None:
            source.data = _build(node, (), source, offset, 0)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = (mark.line if mark else 0) + 1 + offset
        what = str(
            getattr(error, "problem", None) or getattr(error, "reason", None) or "unreadable"
        )
        source.data = None
        message = f"not valid YAML: {what}; check the indentation and quotes near this line"
        source.problems.append(Problem(source.file, line, message))


def _build(node: Any, path: Path_, source: Source, offset: int, depth: int) -> Any:
    """Plain data of a node. Aliases are refused: they can blow a small file up without end."""
    line = node.start_mark.line + 1 + offset
    if path in source.lines or depth > 20:
        raise yaml.MarkedYAMLError(problem="nested too deeply", problem_mark=node.start_mark)
    source.lines[path] = line
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [
            _build(item, (*path, i), source, offset, depth + 1) for i, item in enumerate(node.value)
        ]
    made: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value)
        if key in made:
            at = key_node.start_mark.line + 1 + offset
            message = f"{key!r} is given twice in one record; keep one of them"
            source.problems.append(Problem(source.file, at, message))
            continue
        made[key] = _build(value_node, (*path, key), source, offset, depth + 1)
    return made


def _scalar(node: Any) -> str | None:
    """Scalars stay text, so that no float ever enters and a name like `no` stays a name; the
    record's own types turn them into numbers and truth values."""
    if node.tag == "tag:yaml.org,2002:null":
        return None
    text: str = node.value
    return text.lower() if text.lower() in {"true", "false"} else text
