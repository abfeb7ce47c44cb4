"""digest.html: how the inbox stands, on one page that prints well. No names, no scripts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from html import escape

from assistant.corpus.corpus import Corpus
from assistant.inbox.engine import Triage
from assistant.inbox.mask import Masker
from assistant.inbox.message import STATES, Item
from assistant.inbox.themes import themes

_MEANS = {
    "act now": "somebody may be in danger",
    "clinician": "a health question; refer",
    "ready": "every question answered",
    "check": "answered in part",
    "write": "needs a person's answer",
    "programme": "dates, recordings, recipe copies",
    "complaint": "something went wrong",
    "idea": "for planning",
    "thanks": "to pass on",
    "empty": "nothing to answer",
}
_COLORS = {"act now": "#b3261e", "clinician": "#a15c00"}
_STYLE = (
    "body{font:16px/1.5 Georgia,serif;max-width:46rem;margin:2rem auto;padding:0 1rem;color:#222}"
    "h1,h2{font-family:Helvetica,Arial,sans-serif;line-height:1.2}svg text{font:13px Helvetica,"
    "Arial,sans-serif}li{margin:.3rem 0}.small{color:#555;font-size:.85rem}"
    "@media print{body{margin:0;font-size:11pt}h2{break-after:avoid}li,svg{break-inside:avoid}}"
)


def lacking(result: Triage) -> list[tuple[str, int]]:
    """The questions that the corpus could not answer, a group once with its count, most first."""
    members = result.members()
    found: dict[str, int] = {}
    for item in result.items:
        if item.group != item.place:
            continue
        for asked in item.asked:
            if asked.verdict == "unknown" and item.state not in {"act now", "empty"}:
                found[asked.text] = found.get(asked.text, 0) + len(members[item.group])
    return sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))


def as_html(result: Triage, corpus: Corpus, masker: Masker) -> str:
    """The digest of a sorted inbox."""
    counts = Counter(item.state for item in result.items)
    bars = [(state, counts[state], _MEANS[state]) for state in STATES]
    members = result.members()
    asked = [
        (group[0], len(group))
        for group in members.values()
        if group[0].state in {"ready", "check", "write", "clinician", "programme"}
    ]
    asked.sort(key=lambda pair: (-pair[1], pair[0].place))
    kinds = Counter(kind for item in result.items for kind in item.kinds)
    plain = corpus.lists.get("inbox-plain-ideas")
    total = len(result.items)
    parts = [
        f"<h1>{escape(corpus.programme.name)}: the inbox</h1>",
        f"<p>{total:,} message{'' if total == 1 else 's'}, each counted once.</p>",
        chart("How many of each", bars),
        _list("Asked most", [f"{_line(i, masker)} <b>×{n}</b>" for i, n in asked[:12] if n > 1]),
        chart("What the questions are about", [(k, n, "") for k, n in _most(kinds)[:12]]),
        _list(
            "What the corpus lacks",
            [f"{escape(masker.text(text))} <b>×{n}</b>" for text, n in lacking(result)[:20]],
        ),
        _list(
            "Ideas, by theme",
            _themes(result.items, masker, frozenset(plain.words if plain else ())),
        ),
        _list(
            "Praise to pass on",
            [_line(i, masker) for i in result.items if i.state == "thanks"][:20],
        ),
        _list(
            "Could not be read",
            [
                f"{escape(i.message.source)}: {escape(i.message.unreadable)}"
                for i in result.items
                if i.message.unreadable
            ][:20],
        ),
        '<p class="small">Drafts only: nothing has been sent. Names are left out.</p>',
    ]
    head = (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        f"<title>{escape(corpus.programme.name)}: the inbox</title>"
        f"<style>{_STYLE}</style></head><body>"
    )
    return head + "\n".join(part for part in parts if part) + "</body></html>\n"


def chart(title: str, bars: Sequence[tuple[str, int, str]]) -> str:
    """A bar chart as inline SVG; each bar has its name, its count and a word of explanation."""
    if not any(count for _, count, _ in bars):
        return ""
    most = max(count for _, count, _ in bars)
    rows = []
    for place, (name, count, means) in enumerate(bars):
        y = place * 24
        width = round(300 * count / most, 1)
        color = _COLORS.get(name, "#3b6e8f")
        rows.append(
            f'<text x="96" y="{y + 16}" text-anchor="end">{escape(name)}</text>'
            f'<rect x="104" y="{y + 3}" width="{width}" height="17" fill="{color}"/>'
            f'<text x="{110 + width}" y="{y + 16}">{count:,}'
            f'<tspan fill="#666" dx="8">{escape(means)}</tspan></text>'
        )
    height = len(bars) * 24 + 4
    return (
        f"<h2>{escape(title)}</h2>"
        f'<svg role="img" aria-label="{escape(title)}" viewBox="0 0 700 {height}" width="100%">'
        + "".join(rows)
        + "</svg>"
    )


def _most(counts: Counter[str]) -> list[tuple[str, int]]:
    return sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))


def _line(item: Item, masker: Masker) -> str:
    flat = " ".join(masker.text(item.words, item.message.sender).split())
    return escape(flat if len(flat) <= 220 else flat[:219] + "…")


def _themes(items: Sequence[Item], masker: Masker, plain: frozenset[str]) -> list[str]:
    made = []
    for theme in themes(items, plain):
        if not theme.word:
            made.append(_line(theme.items[0], masker))
            continue
        beside = f" ({escape(', '.join(theme.beside))})" if theme.beside else ""
        lines = "".join(f"<li>{_line(item, masker)}</li>" for item in theme.items[:6])
        made.append(f"<b>{escape(theme.word)} ×{len(theme.items)}</b>{beside}<ul>{lines}</ul>")
    return made[:30]


def _list(title: str, lines: Sequence[str]) -> str:
    if not lines:
        return ""
    return f"<h2>{escape(title)}</h2><ul>" + "".join(f"<li>{line}</li>" for line in lines) + "</ul>"
