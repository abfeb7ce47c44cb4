"""Pages of shipped recipes, and a reader of their HTML, for the handout's tests."""

from __future__ import annotations

from fractions import Fraction
from html.parser import HTMLParser

from desk_fixture import desk

from assistant.faces.handout.changes import make_dish
from assistant.faces.handout.page import Page, make_page

DESK = desk()


def page(
    recipe: str, servings: int | None = None, swaps: tuple[str, ...] = (), promised: str = ""
) -> Page:
    """The page of a shipped recipe."""
    dish = make_dish(DESK.corpus.recipes[recipe], swaps, promised, DESK.corpus)
    return make_page(DESK, dish, DESK.context(recipe, Fraction(servings) if servings else None))


class Seen(HTMLParser):
    """Tags, headings, table headers and text of a page, and every fault of nesting."""

    VOID = frozenset({"meta", "br", "rect", "link", "img"})

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.faults: list[str] = []
        self.tables: list[dict[str, int]] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "table":
            self.tables.append({"th": 0, "caption": 0})
        if tag in {"th", "caption"}:
            self.tables[-1][tag] += 1
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at {self.getpos()}")

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.text.append(data)

    @property
    def words(self) -> str:
        """All text, spaces made one."""
        return " ".join(" ".join(self.text).split())
