"""Safe inside temperatures: the row of the chart for a food, and a reading held against it."""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe
from assistant.corpus.rules import SafetyRule
from assistant.kinds.safety.tell import covered, elsewhere, tell
from assistant.kinds.shelf import Shelf, degrees_f, make, number, record_source, reference_source
from assistant.measure.units import to_celsius
from assistant.question.reading import Reading
from assistant.retrieval.words import singular, tokens

_DEGREES = re.compile(r"(\d+) °F")
# A bare number is a thermometer's reading where it may be one in degrees F.
_LOWEST, _HIGHEST = 90, 250


def on_chart(reading: Reading, shelf: Shelf) -> Answer | None:
    """The chart for the foods named; a temperature named is held against the first row."""
    rules = rows(reading, shelf)
    if not rules:
        return None
    return compared(reading, rules[0], shelf) or tell(reading, rules[:3], shelf)


def measured(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "My thermometer says 138 for the salmon": the reading against the food's row."""
    rules = rows(reading, shelf)
    return compared(reading, rules[0], shelf) if rules else None


def compared(reading: Reading, rule: SafetyRule, shelf: Shelf) -> Answer | None:
    """A temperature named against a rule's; None where either has none."""
    degrees, limit = degrees_f(reading, _LOWEST, _HIGHEST), _limit(rule)
    if degrees is None or limit is None:
        return None
    return _compared(reading, rule, degrees, limit, shelf)


def rows(reading: Reading, shelf: Shelf) -> list[SafetyRule]:
    """The rows named in the question, the longest names first; else those of the recipe in hand."""
    words = tuple(singular(word) for word in reading.words)
    named = _named(words, shelf)
    recipe = shelf.recipe(reading)
    if recipe is None:
        return named
    inside = _inside(recipe, shelf)
    if not named:
        return inside
    # "Meatballs" are a row of their own, but those of turkey are poultry: the higher figure leads.
    higher = [rule for rule in inside if (_limit(rule) or 0) > (_limit(named[0]) or 0)]
    whole = reading.all("recipe") and not reading.foods
    return [*higher, *named] if whole and _limit(named[0]) is not None else named


def in_full(reading: Reading, shelf: Shelf) -> bool:
    """Whether a row is named by two words or more that stand together: "turkey burgers"."""
    said = f" {' '.join(singular(word) for word in reading.words)} "
    return any(
        f" {' '.join(singular(word) for word in name.split())} " in said
        for rule in shelf.corpus.safety.values()
        for name in rule.names
        if " " in name
    )


def _inside(recipe: Recipe, shelf: Shelf) -> list[SafetyRule]:
    """The rows of what is in a recipe: its own by its title first, then the highest."""
    inside: dict[str, SafetyRule] = {}
    for line in recipe.lines:
        item = shelf.item(line.item)
        if item is None or item.origin not in {
            "meat",
            "pork",
            "poultry",
            "fish",
            "shellfish",
            "egg",
        }:
            continue
        for rule in _named(tuple(singular(t.text) for t in tokens(line.name)), shelf):
            inside[rule.id] = rule
    found = sorted(inside.values(), key=lambda rule: -(_limit(rule) or 0))
    own = _named(tuple(singular(t.text) for t in tokens(recipe.title)), shelf)
    return list({rule.id: rule for rule in (*own, *found)}.values())


def _named(words: tuple[str, ...], shelf: Shelf) -> list[SafetyRule]:
    hits: list[tuple[int, int, SafetyRule]] = []
    for rule in shelf.corpus.safety.values():
        for name in rule.names:
            key = tuple(singular(token.text) for token in tokens(name))
            for at in range(len(words) - len(key) + 1):
                if words[at : at + len(key)] == key:
                    hits.append((at, at + len(key), rule))
    hits.sort(key=lambda hit: (hit[0] - hit[1], hit[0]))
    taken: set[int] = set()
    kept: list[tuple[int, SafetyRule]] = []
    for start, end, rule in hits:
        if not taken & set(range(start, end)):
            taken |= set(range(start, end))
            kept.append((start, rule))
    return list({rule.id: rule for _, rule in sorted(kept, key=lambda k: k[0])}.values())


def _limit(rule: SafetyRule) -> Fraction | None:
    found = _DEGREES.search(rule.temperature)
    return Fraction(int(found[1])) if found else None


def _compared(
    reading: Reading, rule: SafetyRule, measured: Fraction, limit: Fraction, shelf: Shelf
) -> Answer:
    # A thermometer in degrees C shows whole degrees, and the chart's own figure is a rounded one.
    near = any(m.id == "c" for m in reading.all("temperature")) and round(
        to_celsius(measured)
    ) == round(to_celsius(limit))
    enough = measured >= limit or near
    shown = f"{number(measured, 0)} °F ({number(to_celsius(measured), 0)} °C)"
    rest = f", then {rule.rest} of rest" if rule.rest else ""
    title = rule.title.lower()
    headline = (
        f"Yes: {shown} reaches the {rule.temperature} for {title}{rest}."
        if enough
        else f"No: {shown} is not enough; {title}: {rule.temperature}{rest}."
    )
    figure = Figure(
        name=f"temperature, {title}",
        value=limit,
        unit="°F",
        shown=rule.temperature,
        exact=str(limit),
        working=(f"{shown} against {rule.temperature}: rule {rule.id} ({rule.where})",),
    )
    lines = [rule.text, *elsewhere(rule)]
    named = covered(reading, [rule], shelf)
    if named:
        lines.append(f"Asked about: {named}.")
    sources = [record_source(rule), reference_source(shelf, rule.source)]
    sources += [reference_source(shelf, other.source) for other in rule.also]
    return make(reading, "computed", headline, (figure,), lines, sources)
