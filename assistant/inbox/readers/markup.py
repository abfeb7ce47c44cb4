"""HTML -> plain text, with the standard library's parser. Scripts, styles and comments go."""

from __future__ import annotations

import re
from html.parser import HTMLParser

_SILENT = frozenset({"script", "style", "head", "title", "template", "noscript", "svg", "object"})
_BLOCKS = frozenset(
    [
        "p",
        "div",
        "br",
        "tr",
        "table",
        "ul",
        "ol",
        "li",
        "dl",
        "dt",
        "dd",
        "h1",
        "h2",
        "h3",
        "h4",
        "h5",
        "h6",
        "hr",
        "section",
        "article",
        "header",
        "footer",
        "pre",
        "blockquote",
        "center",
        "form",
    ]
)
_SECTION = re.compile(r"<!\[[^>\n]{0,200}>")
_MARKUP = re.compile(
    r"<(?:!doctype html|html|body|div|p|br|span|table|ul|ol|font|a\s|b|i|em|strong|script|meta)\b",
    re.IGNORECASE,
)


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.out: list[str] = []
        self.silent = 0
        self.quote = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SILENT:
            self.silent += 1
        if tag == "blockquote":
            self.quote += 1
        if tag in _BLOCKS:
            self._break()
            if tag == "li":
                self.out.append("- ")
        elif tag in {"td", "th"}:
            self.out.append(" ")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _BLOCKS:
            self._break()

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT:
            self.silent = max(0, self.silent - 1)
        if tag == "blockquote":
            self.quote = max(0, self.quote - 1)
        if tag in _BLOCKS:
            self._break()

    def handle_data(self, data: str) -> None:
        if not self.silent:
            flat = re.sub(r"\s+", " ", data)
            self.out.append(flat)

    def _break(self) -> None:
        if self.silent:
            return
        # A quotation is marked as mail marks it, so that it is told apart from new words.
        self.out.append("\n" + "> " * min(self.quote, 3))


def looks_like_html(text: str) -> bool:
    """Whether a text is markup: it holds a tag of the usual ones, and its end."""
    return _MARKUP.search(text, 0, 4000) is not None and ">" in text


def to_text(html: str) -> str:
    """The words of an HTML text, a line for each block; quotations keep a leading `>`.

    Never raises. Whatever would make the parser look through the rest of the text again and again
    (comments and tags that never end) is defused first.
    """
    html = _SECTION.sub("", html).replace("<![", "")
    closed = html.rfind("-->") + 1
    html = html[:closed] + html[closed:].replace("<!--", "")
    ended = html.rfind(">") + 1
    html = html[:ended] + html[ended:].replace("<", "&lt;")
    parser = _Text()
    try:
        parser.feed(html)
        parser.close()
    except (AssertionError, ValueError, RecursionError):
        # The parser gives up on a few kinds of broken markup: keep the words it had, and the rest.
        return re.sub(r"<[^<>]{0,2000}>", " ", html)
    if parser.silent:
        # A <script> that never ends hides the rest: what stands before it is all there is.
        parser.out.append("\n")
    lines = ("".join(parser.out)).split("\n")
    flat = [re.sub(r"[ \t\xa0]+", " ", line).strip() for line in lines]
    kept: list[str] = []
    for line in flat:
        if line.strip("> ") or (kept and kept[-1].strip("> ")):
            kept.append(line if line.strip("> ") else "")
    return "\n".join(kept).strip()
