"""The page in a real browser: nothing overflows at phone width, paper takes two pages, and no print
is too small to read."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Sequence
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
# A frame as wide as the screen tells how wide its page really is, names what sticks out, and gives
# the size of every text with where it stands.
WRAPPER = """<!DOCTYPE html><title>w</title><body><pre id="out">nothing</pre>
<iframe id="page" style="border:0;width:{width}px;height:900px"></iframe><script>
const frame = document.getElementById("page");
frame.onload = () => {{
  const inner = frame.contentDocument, found = [], sizes = {{}};
  const hidden = (e) => e.closest(".hidden") !== null;
  for (const e of inner.body.querySelectorAll("*")) {{
    const box = e.getBoundingClientRect();
    const out = box.right > inner.documentElement.clientWidth + 0.5;
    if (!hidden(e) && box.width > 0 && out) found.push(e.tagName + ":" + e.className);
    const text = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
    if (!text || hidden(e) || box.width === 0) continue;
    const part = ["panel-title", "panel-servings", "panel-size", "panel-calories", "panel-foot",
      "panel", "footer"].find((name) => e.closest("." + name) || e.closest(name)) || "body";
    const big = part === "panel-calories" && e.matches("b:last-child");
    const small = part === "panel-calories" && e.tagName === "SMALL";
    const key = big ? "calories-number" : small ? "panel-foot" : part;
    const size = parseFloat(inner.defaultView.getComputedStyle(e).fontSize) * 0.75;
    sizes[key] = Math.min(sizes[key] || 999, size);
  }}
  document.getElementById("out").textContent =
    "WIDTH " + inner.documentElement.scrollWidth +
    " OF " + inner.documentElement.clientWidth + " OUT " + found.slice(0, 5).join(",") +
    " SIZES " + JSON.stringify(sizes) + " END";
}};
frame.srcdoc = {page};
</script>"""
TOFU = ("extra-firm-tofu=chicken-breast",)
# Recipe, servings, swaps, diets, width: the smallest phones, a common one, a sheet of letter paper.
PAGES = [
    ("turkey-meatballs", None, (), "", 390), ("red-lentil-soup", 14, (), "vegan, gluten-free", 360),
    ("peanut-noodles", 250, (), "", 320), ("tofu-broccoli-stir-fry", None, TOFU, "", 390),
    ("egg-muffins", None, (), "vegan", 320), ("peanut-noodles", None, (), "", 816),
]  # fmt: skip
# With the longest of the corpus, as written and with the most that a page can have to say.
PRINTED = [
    ("turkey-meatballs", None, (), "", 0), ("red-lentil-soup", 14, (), "vegan, gluten-free", 8),
    ("peanut-noodles", 250, (), "", 0), ("tofu-broccoli-stir-fry", 14, TOFU, "", 8),
    ("lentil-bolognese", 14, (), "", 8), ("egg-muffins", 14, (), "vegan", 0),
    ("chicken-vegetable-stew", None, (), "vegan", 0), ("ginger-lemon-iced-tea", None, (), "", 0),
]  # fmt: skip
QUESTIONS = """\
How much sodium is in one serving?
How long does it keep in the fridge?
Can I freeze it?
How do I reheat it?
How many calories per serving?
How much fiber per serving?
What can I use instead of the garlic?
How long does it take?
"""


def browse(folder: Path, *arguments: str) -> str:
    """What the browser prints, with a fresh profile of its own."""
    done = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True,
        check=False,
        timeout=120,
    )
    return done.stdout.decode("utf-8", "replace")


def written(
    folder: Path, recipe: str, servings: int | None, swaps: Sequence[str], promised: str, asked: int
) -> Path:
    """The page of a shipped recipe as a file, with some questions of a session."""
    desk = shipped_desk()
    context = desk.context(recipe, Fraction(servings) if servings else None)
    listed = folder / "asked.txt"
    listed.write_text("".join(QUESTIONS.splitlines(keepends=True)[:asked]), "utf-8")
    questions = str(listed) if asked else ""
    wanted = Wanted(str(folder / "page.html"), swaps=swaps, promised=promised, questions=questions)
    return make(desk, context, wanted)[0]


def seen(folder: Path, html: str, width: int) -> tuple[int, int, str, dict[str, float]]:
    """How wide a page is, how wide its window, what sticks out, the sizes of print in points."""
    # The wrapper needs its own script to measure; the page itself has none and forbids them.
    quoted = json.dumps(html).replace("</", "<\\/")
    wrapper = folder / "wrapper.html"
    wrapper.write_text(WRAPPER.format(width=width, page=quoted), "utf-8")
    text = browse(
        folder, "--virtual-time-budget=5000", "--window-size=1200,1000", "--dump-dom",
        wrapper.as_uri(),
    )  # fmt: skip
    found = re.search(r"WIDTH (\d+) OF (\d+) OUT (.*?) SIZES (.*?) END", text)
    assert found, text[:300]
    return int(found[1]), int(found[2]), found[3], json.loads(found[4])


@pytest.mark.parametrize(("recipe", "servings", "swaps", "promised", "width"), PAGES)
def test_nothing_overflows(
    recipe: str,
    servings: int | None,
    swaps: tuple[str, ...],
    promised: str,
    width: int,
    tmp_path: Path,
) -> None:
    """At the width of a phone, and of a sheet of paper, nothing reaches over the edge."""
    html = written(tmp_path, recipe, servings, swaps, promised, 0).read_text("utf-8")
    wide, window, out, _ = seen(tmp_path, html, width)
    assert (wide, out) == (window, "")
    assert width - 20 <= window <= width


def test_the_check_of_width_finds_what_sticks_out(tmp_path: Path) -> None:
    """A page with something too wide in it is found out."""
    html = written(tmp_path, "red-lentil-soup", None, (), "", 0).read_text("utf-8")
    wide = html.replace("<main>", '<main><svg width="500" height="5"></svg>')
    assert "svg" in seen(tmp_path, wide, 390)[2]


@pytest.mark.parametrize(("recipe", "servings", "swaps", "promised", "asked"), PRINTED)
def test_it_prints_on_two_pages(
    recipe: str,
    servings: int | None,
    swaps: tuple[str, ...],
    promised: str,
    asked: int,
    tmp_path: Path,
) -> None:
    """Letter paper takes one page or two."""
    page = written(tmp_path, recipe, servings, swaps, promised, asked)
    pdf = tmp_path / "page.pdf"
    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
    found = re.findall(rb"/Type\s*/Pages\b.*?/Count\s+(\d+)|/Count\s+(\d+)", pdf.read_bytes())
    counts = [int(one or two) for one, two in found]
    assert counts
    assert 1 <= max(counts) <= 2


@pytest.mark.parametrize(
    ("recipe", "promised", "size"),
    [("ginger-lemon-iced-tea", "", "large"), ("turkey-chili", "", "middle"),
     ("egg-muffins", "vegan", "small")],
)  # fmt: skip
def test_no_print_is_too_small_to_read(
    recipe: str, promised: str, size: str, tmp_path: Path
) -> None:
    """On paper no text is under 8 pt, small print under 7.5 pt. In the panel, whose sizes 21 CFR
    101.9(d)(1)(iii) sets at 10 pt for servings and serving size, 16 for calories and 22 for their
    number, 8 for the rest and 6 for the footnote (from memory): these, with the footnote at 8."""
    html = written(tmp_path, recipe, None, (), promised, 0).read_text("utf-8")
    assert f'class="{size}"' in html
    sizes = seen(tmp_path, html.replace("@media print", "@media all"), 740)[3]
    least = {
        "body": 8, "footer": 7.5, "panel": 8, "panel-foot": 8, "panel-servings": 10,
        "panel-size": 10, "panel-calories": 16, "calories-number": 22,
    }  # fmt: skip
    assert {part: sizes[part] for part in least if sizes[part] < least[part] - 0.01} == {}
    assert sizes["panel-title"] > sizes["panel-calories"]
