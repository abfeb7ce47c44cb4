"""Which rule of safe handling a question asks for, with its figures worked out for the case."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import msgspec

from assistant.answer import Answer, Figure
from assistant.corpus.rules import SafetyRule
from assistant.kinds.crossed import listed
from assistant.kinds.quote import best, likeness, quoted
from assistant.kinds.safety import cases
from assistant.kinds.safety.chart import compared, in_full, measured, on_chart
from assistant.kinds.safety.cool import cooling
from assistant.kinds.safety.tell import tell
from assistant.kinds.shelf import Shelf, degrees_f, number, record_source
from assistant.kinds.unknown import unknown
from assistant.question.reading import Reading
from assistant.retrieval.index import coverage
from assistant.retrieval.words import stem, stop_words

# A rule is reached by the ways people ask for it: less of the question need be in it than in a
# note.
ENOUGH = 0.6
# How like the rule's title or one of its asks the question must be: a rule may hold every word of
# a question in passing.
_NEAR = 0.4
# The rules hold for foods that they do not name; the desk asks for this.
GENERAL = True


# "Can I can it": the second "can" stands two words behind the first.
_CAN_I_CAN = 2
# So many words together name a rule for certain.
_SURE = 3
# A bare number beside "fridge" is its temperature in degrees F from here to there.
_FRIDGE_LOW, _FRIDGE_HIGH = 25, 70
_COLD = (33, 40)


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """A case that can be worked out, else the rule that covers the question, else a note."""
    for case in (
        cases.thawing,
        cases.power_cut,
        cooling,
        _settled_surely,
        cases.rice_out,
        cases.keeps_out,
        cases.left_out,
        _by_words,
        measured,
        _doneness,
        _settled,
    ):
        made = case(reading, shelf)
        if made is not None:
            return made
    rule = _rule(reading, shelf)
    # The foods alone name a row of the chart; a rule asked for in its own words comes first.
    hot = shelf.says(reading, "temperature-words") and (rule is None or in_full(reading, shelf))
    if hot or (rule is not None and _is_cooking(rule)):
        # Of two rows the longer name tells: turkey meatloaf is poultry, and no ground beef.
        made = on_chart(reading, shelf)
        if made is not None:
            return made
    if rule is not None:
        return tell(reading, [rule], shelf)
    found = best(reading, shelf, ("safety",))
    if found:
        return quoted(reading, shelf, found[1])
    # A food's row of the chart answers nothing but whether it is cooked through.
    heat = shelf.says(reading, "must-chart")
    return (on_chart(reading, shelf) if heat else None) or _unknown(reading, shelf)


def _doneness(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "How can I tell that fish is done?": the chart's row for the food, by whatever words."""
    asked = shelf.says(reading, "knowing-words") and shelf.says(reading, "doneness-words")
    return on_chart(reading, shelf) if asked else None


def _is_cooking(rule: SafetyRule) -> bool:
    return bool(rule.names)


# A word that settles which rule is meant, whatever else the question says.
_SETTLED = (("reheat-words", "reheating-leftovers"), ("hold-words", "hot-holding"))


def _by_words(reading: Reading, shelf: Shelf) -> Answer | None:
    """Reheating, holding and the refrigerator's setting, each known by a word."""
    safety = shelf.corpus.safety
    places = [place for place, word in enumerate(reading.words) if word == "can"]
    if any(b - a == _CAN_I_CAN for a, b in pairwise(places)) and "canning-at-home" in safety:
        return tell(reading, [safety["canning-at-home"]], shelf)
    for words, ident in _SETTLED:
        if not shelf.says(reading, words) or ident not in safety:
            continue
        if ident == "hot-holding" and _is_cold(reading, shelf):
            ident = "cold-holding"
        elif ident == "hot-holding" and not shelf.says(reading, "hold-temperature-words"):
            continue
        if ident == "reheating-leftovers":
            if "cooked-rice" in safety and cases.is_rice(reading, shelf):
                ident = "cooked-rice"
            held = compared(reading, safety[ident], shelf)
            if held is not None:
                return held
            return _reheated(reading, safety[ident], shelf)
        return tell(reading, [safety[ident]], shelf)
    fridge = reading.has("fridge", "refrigerator", "freezer")
    setting = shelf.says(reading, "fridge-setting-words") and not reading.has("hot", "warm")
    if fridge and "fridge-thermometer" in safety and not reading.foods:
        warm = degrees_f(reading, _FRIDGE_LOW, _FRIDGE_HIGH)
        if warm is not None and not reading.all("duration"):
            return _fridge_at(reading, warm, safety["fridge-thermometer"], shelf)
    if fridge and setting and "fridge-thermometer" in safety and not reading.foods:
        return tell(reading, [safety["fridge-thermometer"]], shelf)
    return None


def _reheated(reading: Reading, rule: SafetyRule, shelf: Shelf) -> Answer:
    """The rule for reheating, with what the recipe in hand says of it."""
    told = tell(reading, [rule], shelf)
    recipe = shelf.recipe(reading)
    if recipe is None:
        return told
    sources = (record_source(recipe), *told.sources)
    return msgspec.structs.replace(told, lines=(recipe.reheat, *told.lines), sources=sources)


def _fridge_at(reading: Reading, degrees: Fraction, rule: SafetyRule, shelf: Shelf) -> Answer:
    """A refrigerator's own temperature against 33 to 40 °F."""
    told = tell(reading, [rule], shelf)
    shown = f"{number(degrees, 0)} °F"
    said = "is right" if _COLD[0] <= degrees <= _COLD[1] else "is too warm"
    said = "is too cold, food freezes" if degrees < _COLD[0] else said
    figure = Figure(
        name="the refrigerator, against 33 to 40 °F",
        value=degrees,
        unit="°F",
        shown=shown,
        working=(f"rule {rule.id} ({rule.where})",),
    )
    headline = f"{shown} {said}: set the refrigerator between {_COLD[0]} and {_COLD[1]} °F."
    return msgspec.structs.replace(
        told, verdict="computed", headline=headline, figures=(figure, *told.figures)
    )


def _is_cold(reading: Reading, shelf: Shelf) -> bool:
    """Whether what is held is served cold: by a word for it, or by the course of the recipe."""
    recipe = shelf.recipe(reading)
    cold = recipe is not None and recipe.course in {"salad", "drink"}
    return cold or shelf.says(reading, "cold-dish-words")


def _settled_surely(reading: Reading, shelf: Shelf) -> Answer | None:
    """A rule that three words or more settle, before anything is computed."""
    return _settled(reading, shelf, least=_SURE)


def _settled(reading: Reading, shelf: Shelf, least: int = 1) -> Answer | None:
    """The rule whose list `rule-<id>` has the most words that all stand in the question.

    An entry such as "frozen slow cooker" is met by its words anywhere, in any form of them.
    """
    asked = {stem(word) for word in reading.words}
    found: list[tuple[int, str]] = []
    for rule in shelf.corpus.safety.values():
        for entry in listed(shelf, f"rule-{rule.id}"):
            parts = {stem(word) for word in entry.split()}
            if len(parts) >= least and parts <= asked:
                found.append((-len(parts), rule.id))
    return tell(reading, [shelf.corpus.safety[min(found)[1]]], shelf) if found else None


def _rule(reading: Reading, shelf: Shelf) -> SafetyRule | None:
    """The safety rule whose own wordings are nearest, if they cover enough of the question."""
    asking = shelf.corpus.lists.get("asking-words")
    plain = frozenset(asking.words) if asking else frozenset()
    words = [word for word in reading.words if word not in plain]
    foods = {word for m in reading.mentions if m.id in reading.foods for word in m.text.split()}
    foods |= {word for m in reading.all("recipe") for word in m.text.split()}
    if set(words) - listed(shelf, "asking-openers") - stop_words() <= foods:
        return None  # a food's name alone asks for no rule
    for hit in shelf.index.search(words, k=6, kinds=("safety",)):
        passage = shelf.passage(hit.passage)
        if passage.source != "safety":
            continue
        near = likeness(reading, words, passage, shelf)
        fits = coverage(hit) >= ENOUGH and near >= _NEAR
        return shelf.corpus.safety[passage.record] if fits else None
    return None


def _unknown(reading: Reading, shelf: Shelf) -> Answer:
    """No rule: say so, with the general rule beside the nearest ones."""
    general = shelf.corpus.safety.get("two-hours")
    lines = (f"In general: {general.text}",) if general is not None else ()
    headline = "I don't know: no safety rule here covers this; when in doubt, throw it out."
    return unknown(reading, shelf, headline, lines)
