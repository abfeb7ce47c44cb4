"""The records of corpus/nutrition: claims, yardsticks, retention factors, food groups.

Field names here are the field names of the YAML files, as in `assistant.corpus.records`.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

import msgspec

from assistant.corpus.records import Origin, Record

Basis = Literal["serving", "100 g", "reference amount"]
Sign = Literal["<", "<=", ">=", ">"]


class Criterion(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One limit of a claim: the nutrient's amount on the claim's basis, held against `limit`.

    `of` says what is compared: the amount itself, its per cent of the Daily Value (`dv`), or the
    per cent of the energy it brings (`energy`). Limits are in the nutrient's unit or in per cent.
    """

    nutrient: str
    sign: Sign
    limit: Decimal
    of: Literal["amount", "dv", "energy"] = "amount"


class Claim(Record, frozen=True, kw_only=True):
    """A label claim used as a yardstick: what it is judged on, its limits, its section.

    `nutrients` open it for several nutrients in turn (good source, high); `beyond` is what the rule
    asks for beyond figures, which cannot be told from a recipe.
    """

    title: str
    names: tuple[str, ...] = ()
    whom: tuple[Literal["food", "main dish", "meal"], ...]
    basis: Basis
    criteria: tuple[Criterion, ...] = ()
    nutrients: tuple[str, ...] = ()
    beyond: str = ""
    section: str
    source: str


class Yardstick(Record, frozen=True, kw_only=True):
    """A daily or per-meal guide value for one nutrient, with the edition it stands in.

    `energy_pct` is a limit in per cent of the energy instead of an amount; `older` is what the
    edition before said, where it differs.
    """

    nutrient: str
    text: str
    limit: Decimal | None = None
    energy_pct: Decimal | None = None
    per: Literal["day", "meal"] = "day"
    edition: str
    source: str
    older: str = ""
    older_source: str = ""


class Retention(Record, frozen=True, kw_only=True):
    """A row of the table of retention factors: per cent of a vitamin or mineral left after cooking.

    `items` are pantry items of its food group; it applies to a step whose text holds one of `words`
    and none of `unless`. `minutes` is the time of simmering or baking that an alcohol row is for.
    """

    code: str
    title: str
    items: tuple[str, ...]
    words: tuple[str, ...]
    unless: tuple[str, ...] = ()
    factors: dict[str, Decimal]
    minutes: int = 0
    source: str


class FoodGroup(Record, frozen=True, kw_only=True):
    """A food group of the meal and main-dish definitions: groups of the composition table in it."""

    name: str
    groups: tuple[str, ...]
    origins: tuple[Origin, ...] = ()
    source: str


class ReferenceAmount(Record, frozen=True, kw_only=True):
    """What people usually eat of a food at a time, by which a single food's claim is judged."""

    title: str
    amount: str
    items: tuple[str, ...]
    source: str


class CookedYield(Record, frozen=True, kw_only=True):
    """What some foods make when cooked: `takes` of the dry food `gives` so much; `can` is what a
    can of `can_size` of it holds, drained, both "" where it is not canned."""

    of: tuple[str, ...]
    takes: str
    gives: str
    can: str = ""
    can_size: str = ""
    sources: tuple[str, ...]
