"""`python -m assistant`, and the `assistant` command."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command line. Returns the exit status."""
    from assistant.faces.cli import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
