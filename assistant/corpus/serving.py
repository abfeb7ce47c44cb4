"""Records about the dish on the table and the way to it: roles, aisles and sides.

Fields are those of vocabulary/roles.yaml, vocabulary/aisles.yaml and vocabulary/sides.yaml.
"""

from __future__ import annotations

from typing import Literal

from assistant.corpus.records import Record


class Role(Record, frozen=True, kw_only=True):
    """What an ingredient does in a dish, and what to do about it when that is left out.

    `needed`: the dish fails without it ("must"), something must make up for it ("care"), or it only
    tastes or looks different ("taste").
    """

    name: str
    does: str
    without: str
    needed: Literal["must", "care", "taste"]
    sources: tuple[str, ...]


class Aisle(Record, frozen=True, kw_only=True):
    """A part of the store: the pantry files and the items found there, and where to look."""

    name: str
    where: str
    files: tuple[str, ...] = ()
    items: tuple[str, ...] = ()
    sources: tuple[str, ...]


class Side(Record, frozen=True, kw_only=True):
    """Something to put beside a dish: one portion of a pantry item as it is eaten."""

    item: str
    amount: str
    text: str
    group: Literal["vegetable", "fruit", "grain", "protein"]
    color: str
    state: str = ""
    sources: tuple[str, ...]
