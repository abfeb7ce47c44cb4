"""The answer: the one object that every face draws from, and its JSON form."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Literal

import msgspec

Verdict = Literal["computed", "quoted", "partial", "asks", "refer", "unknown"]
Level = Literal["note", "warn", "stop"]


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """One computed value.

    `value` is exact (a Fraction, or None where it is a date or a word), `shown` is what a person
    reads, `working` says line by line which inputs and which formula gave it.
    """

    name: str
    value: Fraction | None
    unit: str
    shown: str
    exact: str = ""
    working: tuple[str, ...] = ()


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """A short safety sentence; `source` is the id of its reference."""

    id: str
    level: Level
    text: str
    source: str


class Source(msgspec.Struct, frozen=True, kw_only=True):
    """Where something comes from: a record with its file and line, a food code, a reference."""

    id: str
    title: str
    where: str


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """One question's answer. `why` (the cues and words that decided) is printed on request only."""

    question: str
    kind: str
    verdict: Verdict
    headline: str
    figures: tuple[Figure, ...] = ()
    lines: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    sources: tuple[Source, ...] = ()
    urgent: bool = False
    medical: bool = False
    reading: dict[str, Any] = {}
    why: tuple[str, ...] = ()


def exact_text(value: Fraction) -> str:
    """The exact value as text: `7/2`, or `3` for a whole number."""
    return (
        str(value.numerator) if value.denominator == 1 else f"{value.numerator}/{value.denominator}"
    )


def to_object(answer: Answer) -> dict[str, Any]:
    """The machine-readable answer, in the order of its fields; `why` is left out when empty."""
    made: dict[str, Any] = {
        "question": answer.question,
        "kind": answer.kind,
        "verdict": answer.verdict,
        "headline": answer.headline,
        "figures": [
            {
                "name": figure.name,
                "value": _number(figure.value),
                "unit": figure.unit,
                "exact": figure.exact or ("" if figure.value is None else exact_text(figure.value)),
                "shown": figure.shown,
                "working": list(figure.working),
            }
            for figure in answer.figures
        ],
        "lines": list(answer.lines),
        "cautions": [msgspec.structs.asdict(caution) for caution in answer.cautions],
        "sources": [msgspec.structs.asdict(source) for source in answer.sources],
        "urgent": answer.urgent,
        "medical": answer.medical,
        "reading": answer.reading,
    }
    if answer.why:
        made["why"] = list(answer.why)
    return made


def _number(value: Fraction | None) -> int | float | None:
    if value is None:
        return None
    return value.numerator if value.denominator == 1 else float(value)
