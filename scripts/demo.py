"""Answer the questions of demo_questions.txt from the programme's own corpus.

python3 scripts/demo.py      sets up .venv the first time; needs Python 3.11 and nothing else
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  # an older Python must get this far to be told
    sys.stderr.write(
        "demo.py needs Python 3.11 or newer; this is {}.{}\n".format(*sys.version_info)
    )
    sys.exit(2)

import subprocess
import time
from pathlib import Path

from setup_venv import ROOT, environment, ready

QUESTIONS = Path("scripts", "demo_questions.txt")
# Fixed, so that "still fine Saturday?" has the same answer every day.
TODAY = "2026-11-25"


def main() -> int:
    """Ask the questions as a user would from a file. Returns the exit status of `assistant`."""
    python = ready()
    asked = ["ask", "--today", TODAY, "--file", QUESTIONS.as_posix()]
    print(f"$ assistant {' '.join(asked)}\n", flush=True)
    start = time.perf_counter()
    status = subprocess.run(
        [str(python), "-m", "assistant", *asked], cwd=ROOT, env=environment(), check=False
    ).returncode
    seconds = time.perf_counter() - start
    if status == 0:
        lines = (ROOT / QUESTIONS).read_text("utf-8").splitlines()
        count = sum(1 for line in lines if line.strip())
        own = python.relative_to(ROOT)
        print(f"\n{count} questions answered in {seconds:.1f} s. Ask one of your own:")
        print(f'  {own} -m assistant ask "How much broth for 14 in the red lentil soup?"')
    return status


if __name__ == "__main__":
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit(130)
