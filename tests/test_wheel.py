"""The built wheel: what is in it, and that it answers from an empty folder with its own corpus."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from assistant import __version__
from assistant.corpus.files import files

ROOT = Path(__file__).resolve().parent.parent
INSIDE = "assistant/corpus/default"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project's wheel, built in this environment."""
    folder = tmp_path_factory.mktemp("dist")
    run(ROOT, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT))
    (made,) = folder.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def site(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel installed in it; its dependencies are those of this environment."""
    folder = tmp_path_factory.mktemp("site")
    quiet = ("-q", "--no-deps", "--no-index", "--disable-pip-version-check")
    run(ROOT, "-m", "pip", "install", *quiet, "--target", str(folder), str(wheel))
    return folder


def run(folder: Path, *arguments: str, site: Path | None = None) -> str:
    """What Python prints when run in a folder; `site` comes before the checkout on its path."""
    unset = {"ASSISTANT_CORPUS", "PYTHONPATH"}
    kept = {name: value for name, value in os.environ.items() if name not in unset}
    if site is not None:
        kept |= {"PYTHONPATH": str(site), "ASSISTANT_NO_CACHE": "1"}
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=folder,
        env={**kept, "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_holds_the_corpus_and_every_file_of_the_package(wheel: Path) -> None:
    """Corpus, cues and tables are in the wheel byte for byte, and nothing of tests or scripts."""
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
        for path in files(ROOT / "corpus"):
            name = f"{INSIDE}/{path.relative_to(ROOT / 'corpus').as_posix()}"
            assert archive.read(name) == path.read_bytes()
    package = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "assistant").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert f"{INSIDE}/programme.yaml" in held
    assert {name for name in held if not name.startswith(f"{INSIDE}/")} == package


def test_the_wheel_names_no_path_of_the_machine_that_built_it(wheel: Path) -> None:
    """The checkout's folder stands in no file of the wheel."""
    with zipfile.ZipFile(wheel) as archive:
        named = [n for n in archive.namelist() if str(ROOT).encode() in archive.read(n)]
    assert named == []


def test_the_installed_wheel_says_its_version(site: Path, tmp_path: Path) -> None:
    """`python -m assistant --version` runs the installed package, not the checkout."""
    where = run(tmp_path, "-c", "import assistant; print(assistant.__file__)", site=site)
    assert Path(where.strip()).is_relative_to(site)
    assert run(tmp_path, "-m", "assistant", "--version", site=site) == f"assistant {__version__}\n"


def test_the_installed_wheel_answers_from_its_own_corpus(site: Path, tmp_path: Path) -> None:
    """From an empty folder a question gets its figure: 6 cups for 6 are 14 cups for 14.

    The recipe (recipes/red-lentil-soup.yaml) has 6 cups of broth for 6 servings.
    """
    question = "How much broth for 14 in the red lentil soup?"
    printed = run(tmp_path, "-m", "assistant", "ask", "--format", "json", question, site=site)
    answer = json.loads(printed)
    assert answer["verdict"] == "computed"
    assert "14 cups" in answer["headline"]
    assert list(tmp_path.iterdir()) == []


def test_the_installed_corpus_is_sound(site: Path, tmp_path: Path) -> None:
    """`assistant check` is silent on the corpus inside the wheel."""
    assert run(tmp_path, "-m", "assistant", "check", site=site) == ""
