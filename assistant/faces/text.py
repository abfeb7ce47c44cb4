"""An answer as plain text for a terminal, and as Markdown. Both are drawn from the same object."""

from __future__ import annotations

import textwrap

from assistant.answer import Answer, Source

_LEVELS = {"stop": "STOP", "warn": "Caution", "note": "Note"}
_INDENT = "  "


def as_text(answer: Answer, width: int = 80, why: bool = False) -> str:
    """The answer as lines of at most `width` characters, the headline first."""
    out = [_wrap(_head(answer), width)]
    out += [_wrap(line, width, _INDENT) for line in answer.lines]
    out += [
        _wrap(f"{_LEVELS[caution.level]}: {caution.text}", width, _INDENT)
        for caution in answer.cautions
    ]
    if why:
        out += _working(answer, width)
    sources = "; ".join(f"{source.title} ({source.where})" for source in _few(answer, why))
    if sources:
        more = len(answer.sources) - len(_few(answer, why))
        tail = f"; and {more} more (--why)" if more else ""
        out.append(_wrap(f"Sources: {sources}{tail}", width, _INDENT))
    return "\n".join(out)


def _head(answer: Answer) -> str:
    return f"URGENT. {answer.headline}" if answer.urgent else answer.headline


def _few(answer: Answer, why: bool) -> tuple[Source, ...]:
    return answer.sources if why else answer.sources[:4]


def _working(answer: Answer, width: int) -> list[str]:
    out = [_wrap("Working:", width, _INDENT)]
    for figure in answer.figures:
        exact = (
            f" (exactly {figure.exact})" if figure.exact and figure.exact != figure.shown else ""
        )
        out.append(_wrap(f"{figure.name}: {figure.shown}{exact}", width, _INDENT * 2))
        out += [_wrap(line, width, _INDENT * 3) for line in figure.working]
    if answer.why:
        out.append(_wrap("Understood:", width, _INDENT))
        out += [_wrap(line, width, _INDENT * 2) for line in answer.why]
    return out


def _wrap(text: str, width: int, indent: str = "") -> str:
    return textwrap.fill(
        text,
        width=max(width, 30),
        initial_indent=indent,
        subsequent_indent=indent + ("  " if indent else ""),
        break_long_words=False,
        break_on_hyphens=False,
    )


def as_markdown(answer: Answer, why: bool = False) -> str:
    """The answer as Markdown, for pasting into a mail or a sheet."""
    out = [f"**{_escape(_head(answer))}**", ""]
    out += [f"- {_escape(line)}" for line in answer.lines]
    out += [f"- **{_LEVELS[c.level]}:** {_escape(c.text)}" for c in answer.cautions]
    if why:
        out += ["", "Working:", ""]
        for figure in answer.figures:
            out.append(f"- {_escape(figure.name)}: {_escape(figure.shown)}")
            out += [f"  - {_escape(line)}" for line in figure.working]
        out += [f"- {_escape(line)}" for line in answer.why]
    if answer.sources:
        cited = "; ".join(f"{_escape(s.title)} ({_escape(s.where)})" for s in answer.sources)
        out += ["", f"<small>Sources: {cited}</small>"]
    return "\n".join(out).strip() + "\n"


def _escape(text: str) -> str:
    """Text that Markdown would take for marks, made plain."""
    for mark in ("\\", "`", "*", "_", "[", "]", "<", ">", "#", "|"):
        text = text.replace(mark, "\\" + mark)
    return text
