"""The set-up that demo.py and test.py share: a `.venv` in the checkout with the pinned packages.

Standard library only. A second run finds the stamp of the first and takes no time.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "set-up-stamp"
LOG = VENV / "set-up.log"
CONSTRAINTS = Path("scripts", "constraints.txt")
UNUSABLE = 2

_OLDEST = (3, 11)
# These would answer from another corpus, or take modules from elsewhere than the checkout.
_NOT_PASSED_ON = ("ASSISTANT_CORPUS", "PYTHONHOME", "PYTHONPATH")
# What pip says when it reaches no index, or finds no such package in what it reaches; of a pinned
# package that it finds nowhere it says that its resolution is impossible.
_NOT_REACHED = (
    "ResolutionImpossible",
    "No matching distribution",
    "Could not find a version",
    "ConnectionError",
    "Connection refused",
    "Connection broken",
    "Max retries exceeded",
    "timed out",
    "Temporary failure in name resolution",
)


class SetUpError(Exception):
    """The set-up cannot be done; the message says why and what to do, in one line."""


def ready() -> Path:
    """Return the Python of the checkout's `.venv`, which is made or brought up to date if needed.

    Ends the program with one line on standard error and status 2 where that cannot be done.
    """
    try:
        return _ready()
    except SetUpError as error:
        print(f"set-up: {error}", file=sys.stderr)
    except OSError as error:
        what = f"cannot write {error.filename}" if error.filename else "failed"
        print(f"set-up: {what}: {error.strerror or error}", file=sys.stderr)
    raise SystemExit(UNUSABLE)


def environment() -> dict[str, str]:
    """The environment for the project's own programs: the caller's, less what would mislead."""
    kept = {name: value for name, value in os.environ.items() if name not in _NOT_PASSED_ON}
    return {**kept, "PYTHONUTF8": "1"}


def _ready() -> Path:
    python = _python()
    stamp = _stamp()
    if python.exists() and STAMP.is_file() and STAMP.read_text("utf-8") == stamp:
        return python
    print(
        "set-up: installing the project and its pinned packages into .venv; "
        "the first time takes a minute or two ...",
        file=sys.stderr,
        flush=True,
    )
    # Written last: a set-up that was broken off is done again.
    STAMP.unlink(missing_ok=True)
    if not _works(python):
        _make()
    _check_version(python)
    if not _try([str(python), "-m", "pip", "--version"])[0]:
        done, said = _try([str(python), "-m", "ensurepip", "--default-pip"])
        if not done:
            raise SetUpError(f"the .venv has no pip, and cannot get one: {_last(said)}")
    _pip(python)
    # A file that does not compile is for the checks and tests to name, not for the set-up.
    _try([str(python), "-m", "compileall", "-q", "assistant"])
    STAMP.write_text(stamp, "utf-8")
    return python


def _python() -> Path:
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _stamp() -> str:
    """A digest of what is installed from, and of where: a moved checkout is installed anew."""
    digest = hashlib.sha256(str(ROOT).encode("utf-8", "surrogateescape"))
    for name in (CONSTRAINTS, Path("pyproject.toml"), Path("scripts", Path(__file__).name)):
        digest.update((ROOT / name).read_bytes())
    return digest.hexdigest()


def _works(python: Path) -> bool:
    return python.exists() and _try([str(python), "-c", ""])[0]


def _make() -> None:
    """Make the `.venv`, or mend one whose Python has gone."""
    try:
        import ensurepip  # noqa: F401  # Debian and Ubuntu ship venv without it
        import venv
    except ImportError:
        raise SetUpError(
            "this Python has no venv module; install it (Debian, Ubuntu: apt install python3-venv)"
        ) from None
    # A link to a Python that has gone stands in the way of a new one.
    for link in (VENV / "bin").glob("python*"):
        if link.is_symlink() and not link.exists():
            link.unlink()
    try:
        venv.create(VENV, with_pip=True)
    except subprocess.CalledProcessError as error:
        said = error.output.decode(errors="replace") if error.output else str(error)
        raise SetUpError(f"cannot make .venv: {_last(said)}") from error


def _check_version(python: Path) -> None:
    done, said = _try([str(python), "-c", "import sys; print(*sys.version_info[:2])"])
    if not done:
        raise SetUpError(f"the Python of .venv does not run: {_last(said)}")
    major, minor = (int(part) for part in said.split()[-2:])
    if (major, minor) < _OLDEST:
        raise SetUpError(
            f"the existing .venv has Python {major}.{minor}, and 3.11 or newer is needed; "
            "move it away and run this again"
        )


def _pip(python: Path) -> None:
    """Install with whatever index pip is set up for.

    Two steps, because the build backend has to be there, pinned, before the project is built with
    it; pip's own isolated build would fetch an unpinned one.
    """
    pins = ("-c", CONSTRAINTS.as_posix())
    log = []
    for what in (
        ("hatchling", "editables"),
        ("--no-build-isolation", "-e", ".[test]"),
    ):
        command = [str(python), "-m", "pip", "install", "--no-input", "-q", *pins, *what]
        done, said = _try(command)
        log.append(said)
        LOG.write_text("\n".join(log), "utf-8")
        if not done:
            where = f"all that pip said is in .venv/{LOG.name}"
            if any(sign in said for sign in _NOT_REACHED):
                raise SetUpError(
                    "no network, or no wheel of a pinned version where pip is set to look; " + where
                )
            errors = [line for line in said.splitlines() if line.startswith("ERROR")]
            raise SetUpError(f"pip failed ({errors[0] if errors else _last(said)}); {where}")


def _try(command: Sequence[str]) -> tuple[bool, str]:
    """Run a command in the checkout, quietly. Returns whether it succeeded and what it said."""
    quiet = {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_USER": "0"}
    try:
        done = subprocess.run(
            command,
            cwd=ROOT,
            env={**environment(), **quiet},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            check=False,
        )
    except OSError as error:
        return False, str(error)
    return done.returncode == 0, done.stdout


def _last(text: str) -> str:
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return lines[-1] if lines else "no reason given"
