"""Urgent and medical questions, found by the rules of safety/care.yaml before anything is computed."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import Corpus
from assistant.corpus.records import CareRule, Programme
from assistant.kinds.shelf import Shelf, make, record_source, reference_source, unique
from assistant.question.cues import (
    Book,
    Cue,
    CueError,
    compile_cue,
    make_book,
    make_text,
)
from assistant.question.cues import (
    find as find_cues,
)
from assistant.question.reading import Reading

UNLESS = "unless:"


class Found(msgspec.Struct, frozen=True):
    """The rules that apply, strongest first, each with the cue and the words that set it off."""

    rules: tuple[tuple[CareRule, str, str], ...] = ()

    @property
    def urgent(self) -> bool:
        """Whether an urgent rule applies."""
        return any(rule.level == "urgent" for rule, _, _ in self.rules)

    @property
    def medical(self) -> bool:
        """Whether a medical rule applies."""
        return any(rule.level == "medical" for rule, _, _ in self.rules)


def compile_rules(rules: Sequence[CareRule]) -> tuple[Book, list[tuple[str, str]]]:
    """The rules' cues as one book, and (rule id, message) for patterns that cannot be used."""
    cues: list[Cue] = []
    faults: list[tuple[str, str]] = []
    for rule in rules:
        for prefix, patterns in (("", rule.cues), (UNLESS, rule.unless)):
            for pattern in dict.fromkeys(patterns):
                try:
                    cues.append(compile_cue(prefix + rule.id, pattern))
                except CueError as error:
                    faults.append((rule.id, str(error)))
    return make_book(cues), faults


def find(reading: Reading, book: Book, corpus: Corpus) -> Found:
    """The care rules that apply to a question.

    A rule is disarmed by an `unless` pattern only where that pattern covers the words that set the
    rule off: "sick of cooking" excuses itself, not a second "sick" further on.
    """
    hits = find_cues(book, make_text(reading.words, reading.mentions))
    excused: dict[str, list[tuple[int, int]]] = {}
    for cue, start, end in hits:
        if cue.kind.startswith(UNLESS):
            excused.setdefault(cue.kind.removeprefix(UNLESS), []).append((start, end))
    found: dict[str, tuple[CareRule, str, str]] = {}
    for cue, start, end in hits:
        rule = corpus.care.get(cue.kind)
        if rule is None or rule.id in found:
            continue
        if any(s < end and start < e for s, e in excused.get(rule.id, ())):
            continue
        found[rule.id] = (rule, cue.pattern, " ".join(reading.words[start:end]))
    return Found(tuple(sorted(found.values(), key=lambda f: (-f[0].rank, f[0].id))))


def urgent_answer(reading: Reading, found: Found, shelf: Shelf) -> Answer:
    """What to do now, first. Nothing is computed."""
    urgent = [rule for rule, _, _ in found.rules if rule.level == "urgent"]
    programme = shelf.corpus.programme
    lines = [filled(line, programme) for rule in urgent for line in rule.lines]
    answer = make(
        reading,
        "refer",
        filled(urgent[0].first, programme),
        lines=tuple(dict.fromkeys(lines)),
        sources=[
            source
            for rule in urgent
            for source in (record_source(rule), reference_source(shelf, rule.source))
        ],
    )
    return msgspec.structs.replace(answer, kind="safety", urgent=True, medical=found.medical)


def refer(answer: Answer, found: Found, shelf: Shelf) -> Answer:
    """A medical question: the figures that there are, led by the referral."""
    medical = [rule for rule, _, _ in found.rules if rule.level == "medical"]
    programme = shelf.corpus.programme
    lines = [filled(rule.first, programme) for rule in medical]
    lines += [filled(line, programme) for rule in medical for line in rule.lines]
    figures = answer.figures
    headline = answer.headline if figures else lines[0]
    sources = [
        source
        for rule in medical
        for source in (record_source(rule), reference_source(shelf, rule.source))
    ]
    return msgspec.structs.replace(
        answer,
        verdict="refer",
        headline=headline,
        lines=tuple(dict.fromkeys([*lines, *(answer.lines if figures else ())])),
        sources=unique([*answer.sources, *sources]) if figures else unique(sources),
        medical=True,
    )


def filled(text: str, programme: Programme) -> str:
    """A rule's text with the programme's numbers put in."""
    return (
        text.replace("{emergency}", programme.emergency_number)
        .replace("{poison}", programme.poison_help or programme.emergency_number)
        .replace("{programme}", programme.name)
    )
