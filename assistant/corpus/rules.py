"""The records of rules: how long food keeps, safe handling, cautions, care, classes of messages."""

from __future__ import annotations

from typing import Literal

import msgspec

from assistant.corpus.records import Level, Origin, Record


class AlsoKept(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What another source says of the same food, and whom it is for."""

    fridge: str = ""
    freezer: str = ""
    whom: str
    source: str


class StorageRule(Record, frozen=True, kw_only=True):
    """How long a kind of food keeps. Empty `fridge` or `freezer` means: no figure, see `note`.

    `forms` names the rule of the same food in another state: `{cooked: fish-cooked}`.
    """

    title: str
    names: tuple[str, ...] = ()
    state: str
    fridge: str = ""
    freezer: str = ""
    pantry: str = ""
    note: str = ""
    forms: dict[str, str] = msgspec.field(default_factory=dict)
    source: str
    also: tuple[AlsoKept, ...] = ()


class SafetyRule(Record, frozen=True, kw_only=True):
    """A rule of safe handling: short text, figures as written, source.

    `short` is the headline where the text's first sentence is too long to be one. `names` are foods
    whose name alone picks this row of the temperature chart.
    """

    title: str
    kinds: tuple[str, ...]
    text: str
    short: str = ""
    names: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    ingredients: tuple[str, ...] = ()
    temperature: str = ""
    rest: str = ""
    time: str = ""
    source: str
    also: tuple[AlsoKept, ...] = ()


class SafetyLimit(Record, frozen=True, kw_only=True):
    """A figure that answers compute with: a time, for each `per` of weight, above `above` °F.

    `degrees` is a difference in degrees F.
    """

    title: str
    time: str = ""
    per: str = ""
    above: int | None = None
    degrees: int | None = None
    source: str


class CautionRule(Record, frozen=True, kw_only=True):
    """A short safety sentence and when it is attached.

    It is attached when the answer's kind is in `kinds` and, where they are given, one of `origins`,
    `items` or `rules` (storage rules) is in play, or one of `words` is in the question.
    """

    level: Level
    text: str
    source: str
    kinds: tuple[str, ...]
    origins: tuple[Origin, ...] = ()
    items: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


class Together(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Signs that mean a care rule only when they stand together, in up to three sentences running.

    `all` and `without` name groups of care-phrases.yaml: each of the first must be there, none of
    the second. `longer_than` ("2 hours") asks for a stretch of time that is longer.
    """

    all: tuple[str, ...]
    without: tuple[str, ...] = ()
    longer_than: str = ""


class Calm(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Signs by which nothing is in doubt where a care rule would be set off.

    `all` and `without` name groups of care-phrases.yaml: each of the first must be told in the very
    sentences that would set it off, or in so many sentences `around` them, and none of the second
    anywhere in the message.
    """

    all: tuple[str, ...]
    without: tuple[str, ...] = ()
    around: int = 0


class CareRule(Record, frozen=True, kw_only=True):
    """When a question is urgent or medical, and what is said first.

    `cues` are patterns of the cue language, read within one sentence. The rule applies when one
    matches, no `unless` pattern covers some of its words, and, where `along` is given, one of those
    matches somewhere in the message; or when one entry of `together` holds. Where an entry of
    `calm` holds the rule is not set off. `first` is the headline, with {emergency}, {poison} and
    {programme} filled in. `withhold` keeps figures out of a medical answer.
    """

    level: Literal["urgent", "medical"]
    title: str
    cues: tuple[str, ...]
    along: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    together: tuple[Together, ...] = ()
    calm: tuple[Calm, ...] = ()
    first: str
    lines: tuple[str, ...] = ()
    rank: int = 5
    withhold: bool = False
    source: str


class CarePhrases(Record, frozen=True, kw_only=True):
    """Words or cues that several care rules use, as `@id`."""

    about: str
    words: tuple[str, ...] = ()
    cues: tuple[str, ...] = ()


class WeightedCue(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A cue with its own weight, where one per word is not right."""

    cue: str
    weight: float


class MessageClass(Record, frozen=True, kw_only=True):
    """What a message of the inbox is, apart from questions about food, and how it is recognised.

    `cues` are patterns of the cue language, looked for in each sentence; of equal scores the higher
    `rank` wins.
    """

    title: str
    rank: int
    cues: tuple[str | WeightedCue, ...]
