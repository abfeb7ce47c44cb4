"""replies.md: a draft for each group, those who asked, and their words."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.desk import Desk
from assistant.inbox.draft import MARK, TAKEN, Block, Draft, greeting
from assistant.inbox.engine import Triage
from assistant.inbox.mask import Masker
from assistant.inbox.message import Item

_SHOWN_WORDS = 1_500
_SHOWN_PEOPLE = 40
# Nobody waits for an answer to these; they are in the queue and the digest.
_UNANSWERED = frozenset({"empty"})


def as_markdown(result: Triage, desk: Desk, masker: Masker, names: bool) -> str:
    """All drafts, the most urgent first. Message texts stand as quotations, their marks escaped, so
    that no message can pass for a part of this file."""
    members = result.members()
    out = [
        "# Drafted replies",
        "",
        f"{MARK}. Nothing has been sent.",
        "",
    ]
    for item in result.queue:
        draft = result.drafts.get(item.place)
        if draft is None or item.state in _UNANSWERED:
            continue
        out += _reply(item, members[item.group], draft, desk, masker, names)
    return "\n".join(out).rstrip() + "\n"


def _reply(
    item: Item, group: list[Item], draft: Draft, desk: Desk, masker: Masker, names: bool
) -> Iterator[str]:
    count = "1 message" if len(group) == 1 else f"{len(group)} messages"
    yield f"## {item.place}. {item.state} – {count}"
    yield ""
    for one in group[:_SHOWN_PEOPLE]:
        who = escape(masker.person(one.message.sender)) or "somebody"
        when = f", {escape(one.message.received)}" if one.message.received else ""
        yield f"- {who}{when} ({escape(one.message.source)})"
    if len(group) > _SHOWN_PEOPLE:
        yield f"- and {len(group) - _SHOWN_PEOPLE} more, see queue.csv, group {item.group}"
    yield ""
    words = masker.text(item.words, item.message.sender)
    if len(words) > _SHOWN_WORDS:
        words = words[:_SHOWN_WORDS] + " …"
    for line in words.split("\n"):
        yield f"> {escape(line)}" if line.strip() else ">"
    yield ""
    yield f"**{MARK}**"
    yield ""
    first = item.message.sender.split("<")[0].split() if names else []
    yield " ".join(greeting(desk, first[0] if first and len(group) == 1 else ""))
    yield ""
    for line in draft.opening:
        yield line
        yield ""
    for block in draft.blocks:
        yield from block_lines(block, masker, item.message.sender, len(draft.blocks) > 1)


def block_lines(
    block: Block, masker: Masker, sender: str, titled: bool, settled: bool = False
) -> Iterator[str]:
    """An answer in Markdown: the question where there are several, the headline, the rest.

    `settled` leaves out what was taken over from the recipe in hand, where that is said above.
    """
    if titled:
        yield f"*{escape(masker.text(block.question, sender))}*"
        yield ""
    if block.note:
        yield escape(block.note)
        yield ""
    if block.headline:
        yield f"**{escape(block.headline)}**"
        yield ""
    for line in (*said_lines(block, settled), *block.figures):
        yield f"- {escape(line)}"
    for line in block.cautions:
        yield f"- **{escape(line)}**"
    if block.sources:
        yield f"- Sources: {escape('; '.join(block.sources))}"
    if block.lines or block.figures or block.cautions or block.sources:
        yield ""


def said_lines(block: Block, settled: bool) -> tuple[str, ...]:
    """The lines of an answer, without those that only repeat what is settled if asked."""
    return tuple(line for line in block.lines if not (settled and line.startswith(TAKEN)))


def escape(text: str) -> str:
    """Text that Markdown would take for marks, made plain."""
    for mark in ("\\", "`", "*", "_", "[", "]", "<", ">", "#", "|", "~"):
        text = text.replace(mark, "\\" + mark)
    stripped = text.lstrip()
    if stripped[:1] in {"-", "+", "="} or stripped.split(".", 1)[0].isdigit():
        text = text[: len(text) - len(stripped)] + "\\" + stripped
    return text
