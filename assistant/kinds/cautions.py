"""Cautions, attached by the rules of safety/cautions.yaml and never left out."""

from __future__ import annotations

import msgspec

from assistant.answer import Answer, Caution
from assistant.corpus.rules import CautionRule
from assistant.kinds.shelf import Shelf
from assistant.question.reading import Reading

# What `kinds` of a caution says that is attached to any answer to a message that may be urgent.
PERHAPS_URGENT = "perhaps-urgent"
# Kinds whose answers may be chosen by a diet that is named.
_CHOSEN = frozenset({"meal", "recipe", "shopping"})
_ORDER = {"stop": 0, "warn": 1, "note": 2}


def attach(answer: Answer, reading: Reading, shelf: Shelf, perhaps: bool = False) -> Answer:
    """The answer with every caution whose rule applies, the gravest first.

    `perhaps` says that the message may be urgent, though no rule says so.
    """
    in_play = _Play(answer, reading, shelf)
    if perhaps:
        in_play.kinds.add(PERHAPS_URGENT)
    rules = [rule for rule in shelf.corpus.cautions.values() if in_play.applies(rule)]
    rules.sort(key=lambda rule: (_ORDER[rule.level], rule.id))
    have = {caution.id for caution in answer.cautions}
    made = [
        Caution(id=rule.id, level=rule.level, text=rule.text, source=rule.source)
        for rule in rules
        if rule.id not in have
    ]
    return msgspec.structs.replace(answer, cautions=(*answer.cautions, *made))


class _Play:
    """What is in play in an answer: its kind, the items, their origins, the storage rule."""

    def __init__(self, answer: Answer, reading: Reading, shelf: Shelf) -> None:
        corpus = shelf.corpus
        self.kinds = {answer.kind} | ({"medical"} if answer.medical else set())
        if answer.kind in _CHOSEN and reading.ids("diet"):
            # What is chosen by a diet carries what an answer on the diet does.
            self.kinds.add("diet")
        self.verdict = answer.verdict
        self.words = set(reading.words)
        recipe = corpus.recipes.get(reading.recipe)
        named = set(reading.ids("ingredient"))
        lines = {line.item for line in recipe.lines} if recipe else set()
        # Safe handling of a dish is about all of it only where its temperature is told.
        told = any(figure.name.startswith("temperature") for figure in answer.figures)
        if answer.urgent or (answer.kind == "safety" and not told):
            lines = set()
        self.urgent = answer.urgent
        # A swap or a storage question about one ingredient is not about all the others.
        self.items = (
            named or lines if answer.kind in {"storage", "swap", "convert"} else named | lines
        )
        found = (corpus.pantry.get(item) for item in self.items)
        items = [item for item in found if item is not None]
        self.origins = {o for item in items for o in (item.origin, *item.contains_origins)}
        # A keeping time is told by its rule: the stew is no raw chicken.
        self.rules = {source.id for source in answer.sources if source.id in corpus.storage}
        if not self.rules:
            self.rules = {item.storage for item in items if item.storage}
            self.rules |= {recipe.storage.rule} if recipe else set()

    def applies(self, rule: CautionRule) -> bool:
        always = {"medical", PERHAPS_URGENT} & set(rule.kinds)
        if self.verdict in {"asks", "unknown"} and not always:
            return False
        if not self.kinds & set(rule.kinds) or (self.urgent and rule.level == "note"):
            return False
        conditions = (
            (rule.origins, self.origins),
            (rule.items, self.items),
            (rule.rules, self.rules),
            (rule.words, self.words),
        )
        given = [(set(want), have) for want, have in conditions if want]
        return not given or any(want & have for want, have in given)
