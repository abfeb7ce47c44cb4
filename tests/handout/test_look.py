"""Structure, contrast and silence of the page, by checks that are shown to fail on bad pages."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from handout.pages import DESK, Seen, page

import assistant.faces.handout.write as writing
from assistant.faces.handout.write import render

HEADINGS = re.compile(r"h[1-6]")
CSS = (Path(writing.__file__).parent / "templates" / "handout.css").read_text("utf-8")


def faults(html: str) -> list[str]:
    """What a screen reader would stumble over: nesting, headings, tables, language, landmarks."""
    seen = Seen(html)
    found = [*seen.faults, *(f"<{tag}> is never closed" for tag in seen.open)]
    levels = [int(tag[1]) for tag, _ in seen.tags if HEADINGS.fullmatch(tag)]
    if levels[:1] != [1] or levels.count(1) != 1:
        found.append("not one first heading, at the beginning")
    found += [
        f"h{after} follows h{before}"
        for before, after in itertools.pairwise(levels)
        if after - before > 1
    ]
    found += [
        "a table header without scope"
        for tag, attrs in seen.tags
        if tag == "th" and attrs.get("scope") not in {"col", "row"}
    ]
    found += [
        "a table without one caption or without headers"
        for table in seen.tables
        if table["caption"] != 1 or table["th"] < 2
    ]
    tags = dict(seen.tags)
    if tags.get("html", {}).get("lang") != "en-US":
        found.append("no language")
    found += [f"no <{tag}>" for tag in ("main", "header", "footer", "title") if tag not in tags]
    found += [
        "a picture that a screen reader would spell out"
        for tag, attrs in seen.tags
        if tag == "svg" and attrs.get("aria-hidden") != "true"
    ]
    return found


def requests(html: str) -> list[str]:
    """What would run or be fetched."""
    seen = Seen(html)
    loud = {"script", "link", "img", "iframe", "object", "embed", "a", "form", "base"}
    found = [tag for tag, _ in seen.tags if tag in loud]
    keys = {key for _, attrs in seen.tags for key in attrs}
    found += [key for key in keys if key.startswith("on")]
    found += [key for key in keys if key in {"src", "href", "action", "style", "srcset", "data"}]
    return found + [text for text in ("url(", "@import", "javascript:") if text in html]


@pytest.mark.parametrize("recipe", sorted(DESK.corpus.recipes))
def test_every_page_is_sound(recipe: str) -> None:
    """Every recipe's page nests soundly, goes down one heading at a time, heads its tables, and
    fetches nothing."""
    html = render(page(recipe), "html")
    assert faults(html) == []
    assert requests(html) == []


@pytest.mark.parametrize(
    ("good", "bad", "fault"),
    [
        ("<h2>Steps</h2>", "<h4>Steps</h4>", "h4 follows h2"),
        ("<h1>", "<h2>", "not one first heading"),
        ('<th scope="row">', "<th>", "without scope"),
        ("<caption", "<p", "without one caption"),
        (' lang="en-US"', "", "no language"),
        ("<main>", "<div>", "no <main>"),
        ("</ol>", "</ul>", "</ul> at"),
        (' aria-hidden="true"', "", "spell out"),
    ],
)
def test_the_check_of_structure_finds_faults(good: str, bad: str, fault: str) -> None:
    """A page with the fault put in is found out, so the check above can fail."""
    html = render(page("red-lentil-soup"), "html")
    assert good in html
    assert any(fault in found for found in faults(html.replace(good, bad)))


@pytest.mark.parametrize(
    "bad",
    ["<script></script>", '<img src="x">', '<p onclick="x()"></p>', '<a href="x">y</a>',
     '<p style="x"></p>', "<style>@import 'x'</style>", "<style>p{background:url(x)}</style>"],
)  # fmt: skip
def test_the_check_of_requests_finds_faults(bad: str) -> None:
    """A page that runs or fetches something is found out."""
    html = render(page("red-lentil-soup"), "html")
    assert requests(html.replace("</main>", f"{bad}</main>"))


def luminance(color: str) -> float:
    """The relative luminance of `#rrggbb` or `#rgb`, by the formula of WCAG 2.1."""
    digits = color.lstrip("#")
    digits = "".join(c * 2 for c in digits) if len(digits) == 3 else digits
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colors, by WCAG 2.1."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21:1 by definition; #777777 is the gray known to miss 4.5:1 (4.48), and
    #767676 the lightest that reaches it (4.54). Both grays are from memory."""
    assert contrast("#000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#fff") == pytest.approx(4.48, abs=0.005)
    assert contrast("#767676", "#fff") == pytest.approx(4.54, abs=0.005)


def colors(css: str, name: str) -> set[str]:
    """The colors that a style sheet gives a property, its variables looked up."""
    known = dict(re.findall(r"--([a-z]+):\s*(#[0-9a-f]{3,6})", css))
    found = re.findall(rf"(?<![-\w]){name}:\s*(#[0-9a-fA-F]{{3,6}}|var\(--[a-z]+\))", css)
    return {known[c[6:-1]] if c.startswith("var") else c for c in found}


def test_every_text_stands_out_from_every_ground() -> None:
    """Each color of text on each ground of the style sheet has at least 4.5:1 (WCAG 2.1, 1.4.3)."""
    texts, grounds = colors(CSS, "color"), colors(CSS, "background")
    assert len(texts) >= 4
    assert "#fff" in grounds
    low = [(t, g) for t in texts for g in grounds if contrast(t, g) < 4.5]
    assert low == []
    assert colors(CSS + "p { color: #777 }", "color") - texts == {"#777"}


def test_every_bar_stands_out_from_its_ground() -> None:
    """Each bar has at least 3:1 against the page and against the bar's own ground (1.4.11)."""
    fills = colors(CSS, "fill")
    back = "#e3eaec"
    assert back in fills
    assert all(contrast(fill, ground) >= 3 for fill in fills - {back} for ground in ("#fff", back))
