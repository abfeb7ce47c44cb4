"""The page in a real browser: nothing overflows at phone width, and paper takes two pages."""

from __future__ import annotations

import re
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path

import pytest
from desk_fixture import desk as shipped_desk

from assistant.faces.handout.command import Wanted, make

BROWSER = next(
    (path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), ""
)
pytestmark = pytest.mark.skipif(not BROWSER, reason="no Chromium on this machine")

QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
# A frame as wide as the screen tells how wide its page really is, and names what sticks out.
WRAPPER = """<!DOCTYPE html><title>w</title><body><pre id="out">nothing</pre>
<iframe id="page" style="border:0;width:{width}px;height:900px"></iframe><script>
const frame = document.getElementById("page");
frame.onload = () => {{
  const inner = frame.contentDocument, found = [];
  const hidden = (e) => e.closest(".hidden") !== null;
  for (const e of inner.body.querySelectorAll("*")) {{
    const box = e.getBoundingClientRect();
    const out = box.right > inner.documentElement.clientWidth + 0.5;
    if (!hidden(e) && box.width > 0 && out) found.push(e.tagName + ":" + e.className);
  }}
  document.getElementById("out").textContent =
    "WIDTH " + inner.documentElement.scrollWidth +
    " OF " + inner.documentElement.clientWidth + " OUT " + found.slice(0, 5).join(",") + " END";
}};
frame.srcdoc = {page};
</script>"""
PAGES = [
    ("turkey-meatballs", None, "", 360), ("red-lentil-soup", 14, "vegan, gluten-free", 360),
    ("peanut-noodles", 250, "", 320), ("peanut-noodles", None, "", 816),
]  # fmt: skip


def browse(folder: Path, *arguments: str) -> str:
    """What the browser prints, with a fresh profile of its own."""
    done = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True,
        check=False,
        timeout=120,
    )
    return done.stdout.decode("utf-8", "replace")


def written(folder: Path, recipe: str, servings: int | None, promised: str) -> Path:
    """The page of a shipped recipe as a file."""
    desk = shipped_desk()
    context = desk.context(recipe, Fraction(servings) if servings else None)
    return make(desk, context, Wanted(str(folder / "page.html"), promised=promised))[0]


@pytest.mark.parametrize(("recipe", "servings", "promised", "width"), PAGES)
def test_nothing_overflows(
    recipe: str, servings: int | None, promised: str, width: int, tmp_path: Path
) -> None:
    """At the width of a phone, and of a sheet of paper, nothing reaches over the edge."""
    import json

    html = written(tmp_path, recipe, servings, promised).read_text("utf-8")
    # The wrapper needs its own script to measure; the page itself has none and forbids them.
    quoted = json.dumps(html).replace("</", "<\\/")
    wrapper = tmp_path / "wrapper.html"
    wrapper.write_text(WRAPPER.format(width=width, page=quoted), "utf-8")
    seen = browse(
        tmp_path, "--virtual-time-budget=5000", "--window-size=1200,1000", "--dump-dom",
        wrapper.as_uri(),
    )  # fmt: skip
    found = re.search(r"WIDTH (\d+) OF (\d+) OUT (.*?) END", seen)
    assert found, seen[:300]
    assert (found[1], found[3]) == (found[2], "")
    assert width - 20 <= int(found[2]) <= width


@pytest.mark.parametrize(("recipe", "servings", "promised", "_"), PAGES[:3])
def test_it_prints_on_two_pages(
    recipe: str, servings: int | None, promised: str, _: int, tmp_path: Path
) -> None:
    """Letter paper takes one page or two."""
    page = written(tmp_path, recipe, servings, promised)
    pdf = tmp_path / "page.pdf"
    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
    found = re.findall(rb"/Type\s*/Pages\b.*?/Count\s+(\d+)|/Count\s+(\d+)", pdf.read_bytes())
    counts = [int(one or two) for one, two in found]
    assert counts
    assert 1 <= max(counts) <= 2
