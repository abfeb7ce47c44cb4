"""Every test run has a cache and a data folder of its own, and leaves the user's alone."""

from __future__ import annotations

import os
import tempfile

_FOLDER = tempfile.mkdtemp(prefix="assistant-tests-")
os.environ["ASSISTANT_CACHE"] = _FOLDER
os.environ.pop("ASSISTANT_CORPUS", None)
