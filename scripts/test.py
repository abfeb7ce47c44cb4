"""Check everything: style, types, the shipped corpus, then the suite.

python3 scripts/test.py               all stages; sets up .venv the first time
python3 scripts/test.py -k scale      only pytest, with these arguments
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  # an older Python must get this far to be told
    sys.stderr.write(
        "test.py needs Python 3.11 or newer; this is {}.{}\n".format(*sys.version_info)
    )
    sys.exit(2)

import subprocess
import time

from setup_venv import ROOT, environment, ready

STAGES = (
    ("ruff check", ("ruff", "check")),
    ("ruff format", ("ruff", "format", "--check")),
    ("mypy --strict", ("mypy", "--strict")),
    ("assistant check", ("assistant", "check", "--corpus", "corpus")),
)


def main() -> int:
    """Run the stages and print a line for each. Returns 0 when all passed.

    pytest runs last and prints as it goes, so that its counts close the log.
    """
    python = str(ready())
    if sys.argv[1:]:
        return pytest(python, *sys.argv[1:])
    failed = [name for name, command in STAGES if not passes(name, [python, "-m", *command])]
    if failed:
        print(f"failed so far: {', '.join(failed)}")
    print("pytest", flush=True)
    status = pytest(python)
    return status or int(bool(failed))


def passes(name: str, command: list[str]) -> bool:
    """Run one stage; print its name, how it went and its seconds, and what it said if it failed."""
    print(f"{name:<16}", end="", flush=True)
    start = time.perf_counter()
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        check=False,
    )
    passed = done.returncode == 0
    print(f"{'ok' if passed else 'FAILED':<7}{time.perf_counter() - start:6.1f} s", flush=True)
    if not passed:
        sys.stdout.buffer.write(done.stdout)
        sys.stdout.flush()
    return passed


def pytest(python: str, *arguments: str) -> int:
    """Run the suite on two cores. Returns pytest's exit status."""
    command = [python, "-m", "pytest", "-n", "2", *arguments]
    return subprocess.run(command, cwd=ROOT, env=environment(), check=False).returncode


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
