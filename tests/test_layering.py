"""Arrows between the parts run down only, modules stay short, a warm start stays quick."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "assistant"
MOST_LINES = 450

# From the bottom up. Names that share a row may import each other only where JOINED says so.
LAYERS = (
    ("measure",),
    ("corpus",),
    ("kitchen", "retrieval"),
    ("question",),
    ("answer",),
    ("kinds",),
    ("desk", "conversation", "leaning", "snapshot", "compiling"),
    ("inbox",),
    ("gaps",),
    ("faces",),
    ("__main__",),
)
JOINED = frozenset({"desk", "conversation", "leaning", "snapshot", "compiling"})
RANKS = {name: rank for rank, names in enumerate(LAYERS) for name in names}

# Packages that cost a start tens of milliseconds or more, and the modules that may import them as
# they are loaded themselves. Anywhere else such an import stands inside the function that needs it.
HEAVY: dict[str, frozenset[str]] = {
    "bm25s": frozenset(),
    "jinja2": frozenset(),
    "numpy": frozenset(),
    "pint": frozenset(),
    "prompt_toolkit": frozenset(),
    "rank_bm25": frozenset(),
    "scipy": frozenset(),
    "sklearn": frozenset(),
    "yaml": frozenset({"assistant.corpus.source"}),
}


def modules() -> dict[str, ast.Module]:
    """Every module of the package by its dotted name, parsed."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = ast.parse(path.read_text("utf-8"), str(path))
    return found


MODULES = modules()


def imports(name: str, nodes: Iterator[ast.AST]) -> Iterator[tuple[int, str]]:
    """The line and the dotted name of everything that these nodes of module `name` import.

    An `import_module` of a name that starts as plain text counts by that start.
    """
    package = (
        name
        if (PACKAGE.parent / name.replace(".", "/") / "__init__.py").is_file()
        else (name.rpartition(".")[0])
    )
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                above = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*above, *([base] if base else [])])
            # `from assistant import desk` imports a module, but not `import __version__`.
            yield from (
                (node.lineno, f"{base}.{alias.name}" if f"{base}.{alias.name}" in MODULES else base)
                for alias in node.names
            )
        elif isinstance(node, ast.Call) and "import_module" in ast.unparse(node.func) and node.args:
            text = node.args[0]
            start = text.values[0] if isinstance(text, ast.JoinedStr) and text.values else text
            if isinstance(start, ast.Constant) and isinstance(start.value, str):
                yield node.lineno, start.value.rstrip(".")


def loaded_with(tree: ast.Module) -> Iterator[ast.AST]:
    """The nodes that run when a module is loaded: no function's body, nothing for types only."""
    waiting: list[ast.AST] = [tree]
    while waiting:
        node = waiting.pop()
        yield node
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting += node.orelse
            continue
        waiting += ast.iter_child_nodes(node)


def part(name: str) -> str:
    """The part of the package that a module belongs to; empty for the package itself."""
    return name.split(".")[1] if "." in name else ""


def upward(name: str, tree: ast.Module) -> list[str]:
    """The imports of a module that run up, or across between parts of one layer."""
    mine = part(name)
    faults = []
    for line, target in imports(name, ast.walk(tree)):
        other = part(target)
        if target.split(".")[0] != "assistant" or other in {mine, ""}:
            continue
        joined = {mine, other} <= JOINED
        if not mine or not (joined or RANKS[other] < RANKS[mine]):
            faults.append(f"{name}:{line} imports {target}")
    return faults


def test_every_part_has_a_layer() -> None:
    """Each module belongs to a part that LAYERS names, and each part but the inbox exists."""
    parts = {part(name) for name in MODULES} - {""}
    assert parts - set(RANKS) == set()
    assert set(RANKS) - parts <= {"inbox"}


def test_arrows_run_down() -> None:
    """No module imports from a layer above its own, not even inside a function."""
    assert [fault for name, tree in MODULES.items() for fault in upward(name, tree)] == []


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("assistant.measure.units", "from assistant.corpus.records import Line"),
        ("assistant.measure.units", "def f():\n    import assistant.kitchen.scaling"),
        ("assistant.kitchen.clock", "from assistant.retrieval.words import stem"),
        ("assistant.retrieval.words", "from assistant.kitchen import clock"),
        ("assistant.question.cues", "from assistant.answer import Answer"),
        ("assistant.question.cues", "from ..kinds import care"),
        ("assistant.question.cues", "importlib.import_module(f'assistant.kinds.{kind}.answer')"),
        ("assistant.answer", "from assistant.kinds.shelf import Shelf"),
        ("assistant.kinds.care", "from assistant import desk"),
        ("assistant.kinds.scale.answer", "import assistant.snapshot"),
        ("assistant.desk", "from assistant.faces.text import as_text"),
        ("assistant", "from assistant.measure import units"),
    ],
)
def test_an_arrow_up_is_seen(name: str, code: str) -> None:
    """Each way to write an import that runs up is a fault."""
    assert len(upward(name, ast.parse(code))) == 1


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("assistant.faces.cli", "from assistant.desk import Desk"),
        ("assistant.faces.cli", "from assistant import __version__"),
        ("assistant.snapshot", "from assistant.compiling import compile_parts"),
        ("assistant.kinds.recipe.answer", "from assistant.kinds.scale.answer import answer"),
        ("assistant.kinds.scale.answer", "from assistant.answer import Answer"),
        ("assistant.desk", "importlib.import_module(f'assistant.kinds.{kind}.answer')"),
        ("assistant.measure.units", "import msgspec, kinds.assistant"),
    ],
)
def test_an_arrow_down_is_none(name: str, code: str) -> None:
    """Imports from below, from one's own part and from elsewhere are no faults."""
    assert upward(name, ast.parse(code)) == []


def test_modules_stay_short() -> None:
    """No module of the package or of scripts/ is longer than can be read in one sitting."""
    paths = [*PACKAGE.rglob("*.py"), *(ROOT / "scripts").glob("*.py")]
    lengths = {path: len(path.read_text("utf-8").splitlines()) for path in paths}
    assert {str(p.relative_to(ROOT)): n for p, n in lengths.items() if n > MOST_LINES} == {}


def test_slow_packages_are_imported_where_needed_only() -> None:
    """A slow package is loaded with a module only where HEAVY allows it; HEAVY has no old row."""
    found: dict[str, set[str]] = {package: set() for package in HEAVY}
    for name, tree in MODULES.items():
        for _, target in imports(name, loaded_with(tree)):
            if target.split(".")[0] in HEAVY:
                found[target.split(".")[0]].add(name)
    assert found == {package: set(allowed) for package, allowed in HEAVY.items()}


def test_the_warm_path_loads_no_slow_module() -> None:
    """What the command line, the desk and the kinds' answers load never leads to a slow package."""
    slow = {name for allowed in HEAVY.values() for name in allowed}
    answers = [
        name for name in MODULES if name.startswith("assistant.kinds.") and ".answer" in name
    ]
    waiting = ["assistant.faces.cli", "assistant.faces.text", "assistant.desk", *answers]
    assert answers
    came_from = dict.fromkeys(waiting, "")
    while waiting:
        name = waiting.pop()
        for _, target in imports(name, loaded_with(MODULES[name])):
            parents = target.split(".")
            for end in range(1, len(parents) + 1):
                reached = ".".join(parents[:end])
                if reached in MODULES and reached not in came_from:
                    came_from[reached] = name
                    waiting.append(reached)
    assert {name: came_from[name] for name in slow & set(came_from)} == {}


def test_a_warm_question_imports_no_slow_package(tmp_path: Path) -> None:
    """With the snapshot in the cache, a question is answered without any slow package."""
    code = (
        "import sys\n"
        "from assistant.faces.cli import run\n"
        "status = run(['ask', 'How much broth for 14 in the red lentil soup?'])\n"
        f"print('loaded:', sorted({set(HEAVY)!r} & set(sys.modules)), status)\n"
    )
    caches = {name: str(tmp_path) for name in ("XDG_CACHE_HOME", "LOCALAPPDATA", "HOME")}
    unset = {"ASSISTANT_NO_CACHE", "ASSISTANT_CORPUS"}
    kept = {name: value for name, value in os.environ.items() if name not in unset}
    last = ""
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**kept, **caches},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=True,
        )
        last = done.stdout.splitlines()[-1]
    assert last == "loaded: [] 0"
