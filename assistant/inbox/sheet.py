"""The answer sheet of a session: questions by topic, each with a drafted answer and who asked."""

from __future__ import annotations

from html import escape as html

from assistant.desk import Desk
from assistant.inbox.draft import MARK, Block
from assistant.inbox.engine import Triage
from assistant.inbox.mask import Masker
from assistant.inbox.message import Item
from assistant.inbox.replies import block_lines, escape, said_lines

_FIRST = ("act now", "clinician")
_LAST = ("programme", "complaint", "idea", "thanks", "empty")
_TITLES = {
    "act now": "Act now",
    "clinician": "For a doctor, pharmacist or dietitian",
    "write": "To be written",
    "programme": "About the programme",
    "complaint": "Complaints",
    "idea": "Ideas",
    "thanks": "Thanks",
    "empty": "Nothing to answer",
}
# What stands under these is between the sender and whoever answers.
PRIVATE_TOPICS = frozenset(_TITLES[state] for state in _FIRST)
# What stands under these asks nothing about food, or has no answer yet.
OTHER_TOPICS = frozenset(_TITLES[state] for state in ("write", *_LAST))


def topics(result: Triage, desk: Desk) -> list[tuple[str, list[Item]]]:
    """The first message of each group under its topic; what is dangerous leads."""
    about = dict(desk.snapshot.kinds)
    made: dict[str, list[Item]] = {_TITLES[state]: [] for state in _FIRST}
    late: dict[str, list[Item]] = {"To be written": [], **{_TITLES[state]: [] for state in _LAST}}
    for item in result.queue:
        if item.group != item.place:
            continue
        if item.state in _FIRST:
            made[_TITLES[item.state]].append(item)
        elif item.state in _LAST:
            late[_TITLES[item.state]].append(item)
        elif item.state == "write" or not item.kinds:
            late["To be written"].append(item)
        else:
            title = about.get(item.kinds[0], item.kinds[0])
            made.setdefault(title[:1].upper() + title[1:], []).append(item)
    return [(title, items) for title, items in (*made.items(), *late.items()) if items]


def as_markdown(
    result: Triage, desk: Desk, masker: Masker, title: str, settled: bool = False
) -> str:
    """The sheet in Markdown. `settled` says that its title names the recipe asked about."""
    members = result.members()
    out = [f"# {escape(title)}", "", f"{MARK}. {len(result.items)} messages.", ""]
    for topic, items in topics(result, desk):
        out += [f"## {escape(topic)}", ""]
        for item in items:
            words = " ".join(masker.text(item.words, item.message.sender).split())
            out += [f"### {escape(words[:400]) or '(no words)'}", ""]
            out += [f"Asked by: {escape(_people(members[item.group], masker))}", ""]
            draft = result.drafts.get(item.place)
            for line in draft.opening if draft else ():
                out += [line, ""]
            blocks = draft.blocks if draft else ()
            for block in blocks:
                out += block_lines(block, masker, item.message.sender, len(blocks) > 1, settled)
    return "\n".join(out).rstrip() + "\n"


def _people(group: list[Item], masker: Masker) -> str:
    names = []
    for item in group:
        who = masker.person(item.message.sender) or "somebody"
        time = item.message.received[11:16] or item.message.received[:5]
        names.append(f"{who} ({time})" if time else who)
    return ", ".join(dict.fromkeys(names))


_STYLE = (
    "body{font:16px/1.5 Georgia,serif;max-width:46rem;margin:2rem auto;padding:0 1rem;color:#222}"
    "h1,h2,h3{font-family:Helvetica,Arial,sans-serif;line-height:1.25}h3{font-size:1rem;margin-top:"
    "1.6rem}.small{color:#555;font-size:.85rem}.mark{border:1px solid;padding:.3rem .6rem;display:"
    "inline-block}.caution{font-weight:bold}@media print{body{margin:0;font-size:11pt}"
    "section{break-inside:avoid}}"
)


def as_html(result: Triage, desk: Desk, masker: Masker, title: str, settled: bool = False) -> str:
    """The sheet as one HTML page that needs nothing else."""
    members = result.members()
    out = [
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{html(title)}</title>',
        f"<style>{_STYLE}</style></head><body><h1>{html(title)}</h1>",
        f'<p class="mark">{html(MARK)}</p><p>{len(result.items)} messages.</p>',
    ]
    for topic, items in topics(result, desk):
        out.append(f"<h2>{html(topic)}</h2>")
        for item in items:
            words = " ".join(masker.text(item.words, item.message.sender).split())
            out.append(f"<section><h3>{html(words[:400]) or '(no words)'}</h3>")
            out.append(
                f'<p class="small">Asked by: {html(_people(members[item.group], masker))}</p>'
            )
            draft = result.drafts.get(item.place)
            out += [f"<p>{html(line)}</p>" for line in (draft.opening if draft else ())]
            blocks = draft.blocks if draft else ()
            out += [_html_block(b, masker, item, len(blocks) > 1, settled) for b in blocks]
            out.append("</section>")
    return "\n".join(out) + "</body></html>\n"


def _html_block(block: Block, masker: Masker, item: Item, titled: bool, settled: bool) -> str:
    question = html(masker.text(block.question, item.message.sender))
    made = f'<p class="small">{question}</p>' if titled else ""
    if block.note:
        made += f"<p>{html(block.note)}</p>"
    if block.headline:
        made += f"<p><b>{html(block.headline)}</b></p>"
    lines = [f"<li>{html(line)}</li>" for line in (*said_lines(block, settled), *block.figures)]
    lines += [f'<li class="caution">{html(line)}</li>' for line in block.cautions]
    if lines:
        made += f"<ul>{''.join(lines)}</ul>"
    if block.sources:
        made += f'<p class="small">Sources: {html("; ".join(block.sources))}</p>'
    return made
