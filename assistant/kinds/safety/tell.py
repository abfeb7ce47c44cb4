"""A rule of safe handling as an answer: aloud, then in full, with what other sources say."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer, Figure, Source
from assistant.corpus.rules import SafetyRule
from assistant.kinds.crossed import listed
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.question.reading import Reading
from assistant.retrieval.words import stem, stop_words, tokens

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
        lines += elsewhere(rule)
        sources += [record_source(rule), reference_source(shelf, rule.source)]
        sources += [reference_source(shelf, other.source) for other in rule.also]
    named = covered(reading, rules, shelf)
    if named:
        lines.append(f"Asked about: {named}.")
    return make(reading, "quoted", headline, figures, lines, sources)


def elsewhere(rule: SafetyRule) -> list[str]:
    """What other sources say, each with whom it is for."""
    lines = []
    for other in rule.also:
        kept = [(other.fridge, "in the refrigerator"), (other.freezer, "in the freezer")]
        figures = [f"{value} {where}" for value, where in kept if value]
        lines.append(f"Elsewhere: {'; '.join([*figures, other.whom])}.")
    return lines


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


def covered(reading: Reading, rules: Sequence[SafetyRule], shelf: Shelf) -> str:
    """What the question names that only the rule's other wordings hold, and the foods in it.

    "Cookie dough" is asked of a rule that speaks of raw flour; a rule on thawing holds for turkey.
    """
    asked = {
        stem(t.text) for rule in rules for text in (*rule.asks, *rule.names) for t in tokens(text)
    }
    told = {stem(t.text) for rule in rules for t in tokens(f"{rule.text} {rule.short}")}
    plain = stop_words() | listed(shelf, "everyday-words") | listed(shelf, "asking-words")
    held = [
        word
        for word in dict.fromkeys(reading.words)
        if stem(word) in asked and stem(word) not in told and word not in plain and len(word) > 3
    ]
    foods = [m.text for m in reading.all("ingredient") if m.id in reading.foods]
    held = [word for word in held if not any(word in food.split() for food in foods)]
    return ", ".join(dict.fromkeys((*held, *foods)))
