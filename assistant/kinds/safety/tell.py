"""A rule of safe handling as an answer: aloud, then in full, with what other sources say."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer, Figure, Source
from assistant.corpus.records import SafetyRule
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, tokens

LONGEST = 120


def tell(reading: Reading, rules: Sequence[SafetyRule], shelf: Shelf) -> Answer:
    """One rule or several as an answer; the first gives the headline."""
    headline = ""
    lines: list[str] = []
    figures: list[Figure] = []
    sources: list[Source] = []
    for rule in rules:
        first, rest = _aloud(rule)
        if headline:
            lines.append(first)
        else:
            headline = first
        lines += [line for line in (rest,) if line]
        figures += _figures(rule)
        lines += [f"Elsewhere: {other.whom}." for other in rule.also]
        sources += [record_source(rule), reference_source(shelf, rule.source)]
        sources += [reference_source(shelf, other.source) for other in rule.also]
    covered = _covered(reading, rules)
    if covered:
        lines.append(f"It covers {covered}.")
    return make(reading, "quoted", headline, figures, lines, sources)


def _aloud(rule: SafetyRule) -> tuple[str, str]:
    """The sentence to read aloud, and what is left of the rule's text."""
    if rule.short:
        return rule.short, rule.text
    first, _, rest = rule.text.partition(". ")
    first = capital(first.rstrip(".")) + "."
    if len(first) > LONGEST:
        figure = rule.temperature or rule.time
        return f"{rule.title}: {figure or 'the rule stands below'}.", rule.text
    return first, rest


def _figures(rule: SafetyRule) -> list[Figure]:
    named = (("temperature", rule.temperature), ("rest", rule.rest), ("time", rule.time))
    return [
        Figure(
            name=f"{name}, {rule.title.lower()}",
            value=None,
            unit="",
            shown=value,
            exact=value,
            working=(f"rule {rule.id} ({rule.where})",),
        )
        for name, value in named
        if value
    ]


def _covered(reading: Reading, rules: Sequence[SafetyRule]) -> str:
    """The words of the question that only the rule's other wordings hold: "cookie" of raw dough."""
    asked = {
        stem(t.text) for rule in rules for text in (*rule.asks, *rule.names) for t in tokens(text)
    }
    told = {stem(t.text) for rule in rules for t in tokens(f"{rule.text} {rule.short}")}
    held = [w for w in reading.outside if stem(w) in asked and stem(w) not in told]
    return " ".join(held)
