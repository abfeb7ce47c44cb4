"""The record that would close a gap, ready to fill in: a note, a swap or a pantry item.

What a draft cannot know it does not claim. A pantry draft may contain every allergen until the
label has been read, the amounts of a swap are no amounts, and no draft has a source, so that
`assistant check` names each unfilled one.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import get_args

import msgspec

from assistant.corpus.records import Allergen
from assistant.desk import Desk
from assistant.gaps.groups import OF_PANTRY, OF_SWAPS, Gap, plain_words, unmasked, words_of
from assistant.gaps.log import LogError
from assistant.retrieval.index import MOST_HITS, coverage
from assistant.retrieval.words import stem, tokens

ANSWER = "Write the answer here, the first sentence as it should be read aloud."
SOURCE = "write-the-id-of-its-source"
_SOURCES = f"sources: [{SOURCE}]  # of references.yaml; common-practice where nobody wrote it down"
_AMOUNT = "write the amount here, such as 1 cup"
_ROLE = "write-its-role"
_OF_RULES, _RULE = "storage", "write-the-id-of-its-rule"
_OF_NOTES = "technique"
_NEAR = 0.55
_MOST_ASKS, _MOST_FOODS, _MOST_ITEMS, _MOST_WORDS = 8, 3, 3, 5


class Draft(msgspec.Struct, frozen=True, kw_only=True):
    """One file to fill in: where it goes under a corpus folder, and its text.

    `known` says that the corpus already has a record of that id, to be added to instead. `near` is
    the file and title of the note that comes nearest, where one holds most of what is asked: it
    may lack no more than this wording under its `asks`.
    """

    path: str
    text: str
    known: bool = False
    near: str = ""


def drafts(gaps: Iterable[Gap], desk: Desk) -> list[tuple[Draft, ...]]:
    """The drafts of each gap, in order. Two gaps share a pantry item's, and no other, draft."""
    taken: set[str] = set()
    made = []
    for gap in gaps:
        made.append(_drafts(gap, desk, taken))
        taken |= {draft.path for draft in made[-1]}
    return made


def write(made: Iterable[Draft], folder: Path) -> tuple[list[str], list[str]]:
    """Write drafts under a folder. Returns the paths written, and those that were there already.

    Nothing is ever overwritten. Raises LogError where the folder cannot be written.
    """
    written: list[str] = []
    kept: list[str] = []
    for draft in {draft.path: draft for draft in made}.values():
        path = folder / draft.path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="\n") as stream:
                stream.write(draft.text)
            written.append(draft.path)
        except FileExistsError:
            if not os.path.lexists(path):
                raise LogError(f"--write: {path.parent} is no folder; name another") from None
            kept.append(draft.path)
        except OSError as error:
            told = f"--write: cannot write {path}: {error.strerror or error}; name another folder"
            raise LogError(told) from error
    return written, kept


def _drafts(gap: Gap, desk: Desk, taken: set[str]) -> tuple[Draft, ...]:
    plain = words_of(desk, "dish-nouns")
    strange = [name for name in gap.outside if not set(name.split()) <= plain]
    strange = [name for name in strange or gap.outside if _slug(name.split())][:_MOST_ITEMS]
    if gap.kind == OF_SWAPS and (strange or gap.foods):
        return (*_items(strange, gap, desk), _swap(gap, strange, desk, taken))
    if gap.kind in OF_PANTRY and gap.foods:
        # Beside a known food a strange word is another food only where the table has a row of it.
        strange = [name for name in strange if _rows(name, desk)]
    if gap.kind in OF_PANTRY and strange:
        return _items(strange, gap, desk)
    return (_note(gap, desk, taken),)


def _items(names: Sequence[str], gap: Gap, desk: Desk) -> tuple[Draft, ...]:
    made = [_pantry(name, gap.kind, desk) for name in names]
    return tuple({draft.path: draft for draft in made}.values())


# ------------------------------------------------------------------------------------------- note


def _note(gap: Gap, desk: Desk, taken: set[str]) -> Draft:
    asking = plain_words(desk)
    question = unmasked(gap.question)
    words = [token.text for token in tokens(question)]
    telling = [word for word in words if word not in asking]
    # One word alone ("long", "broth") says too little of what was asked.
    telling = telling if len(telling) > 1 else words
    ident = _free("notes/{}.md", _slug(telling) or "question", taken)
    title = question.rstrip("?!. ")[:80]
    wordings = list(dict.fromkeys(map(unmasked, gap.wordings)))
    kind = gap.kind if gap.kind in desk.kinds else _OF_NOTES
    foods = [food for food in gap.foods if food in desk.corpus.pantry]
    text = "\n".join(
        [
            "---",
            f"id: {_word(ident)}",
            f"title: {_quoted(title[:1].upper() + title[1:])}",
            f"kinds: [{kind}]",
            f"ingredients: [{', '.join(map(_word, foods))}]",
            "asks:",
            *(f"  - {_quoted(wording)}" for wording in wordings[:_MOST_ASKS]),
            _SOURCES,
            "---",
            ANSWER,
            "",
        ]
    )
    known = ident in desk.corpus.notes
    return Draft(path=f"notes/{ident}.md", text=text, known=known, near=_near(words, desk))


def _near(words: Sequence[str], desk: Desk) -> str:
    """The note that holds most of some words, as `file: title`; empty where it holds too little."""
    passages = desk.snapshot.passages()[0]
    for hit in desk.shelf.index.search(words, k=MOST_HITS):
        found = passages[hit.passage]
        if found.source == "note":
            near = coverage(hit) >= _NEAR
            return f"{found.where.rpartition(':')[0]}: {found.title}" if near else ""
    return ""


# ------------------------------------------------------------------------------------------ pantry


def _pantry(name: str, kind: str, desk: Desk) -> Draft:
    ident = _slug(name.split())
    rows = _rows(name, desk)
    codes = [f"  # food: {_quoted(code)}  # {row}" for code, row in rows]
    text = "\n".join(
        [
            f"- id: {_word(ident)}",
            f"  name: {_quoted(name)}",
            *(
                codes
                or [f"  # food: the code of its row; look for one with `assistant foods {name}`"]
            ),
            "  origin: mixed  # plant, dairy, fish …; mixed until you know",
            "  contains: []  # the allergens that it holds",
            f"  may: [{', '.join(get_args(Allergen))}]  # take out what the label rules out",
            "  gluten: may  # contains, may or free, by the label",
            f"  storage: {_quoted(_RULE if kind == _OF_RULES else '')}"
            "  # the id of its rule in safety/storage.yaml",
            "  about: Write here what it is, and what to look for when buying it.",
            f"  {_SOURCES}",
            "",
        ]
    )
    return Draft(path=f"pantry/{ident}.yaml", text=text, known=ident in desk.corpus.pantry)


def _rows(name: str, desk: Desk) -> list[tuple[str, str]]:
    """Rows of the composition table that hold every word of a name, the shortest first."""
    want = {stem(word) for word in name.split()}
    found = []
    for code, row in desk.shelf.every_food:
        have = {stem(token.text) for token in tokens(row)}
        if want <= have:
            found.append((len(have), code, row))
    return [(code, row) for _, code, row in sorted(found)[:_MOST_FOODS]]


# ------------------------------------------------------------------------------------------- swap


def _swap(gap: Gap, strange: Sequence[str], desk: Desk, taken: set[str]) -> Draft:
    outside = [_slug(name.split()) for name in strange]
    # "Jackfruit instead of chicken" asks for what the corpus lacks; the reverse is told apart by
    # the person who fills it in.
    named = [*outside, *gap.foods]
    out, use = named[-1], named[0] if len(named) > 1 else "write-the-id-of-what-replaces-it"
    known = desk.corpus.pantry.get(out)
    role = known.role[0] if known and known.role else ""
    start = f"{out}-to-{use}" if len(named) > 1 else f"{out}-replaced"
    ident = _free("swaps/{}.yaml", start, taken)
    text = "\n".join(
        [
            f"# Asked: {unmasked(gap.question)}",
            f"- id: {_word(ident)}",
            f"  out: [{_word(out)}]  # if it is the other way round, exchange these two",
            f"  use: {_word(use)}  # `assistant list ingredients` names the ids",
            f"  take: {_quoted(_AMOUNT)}",
            f"  give: {_quoted(_AMOUNT)}",
            f"  role: {_quoted(role or _ROLE)}  # what it does, such as acid, protein or seasoning",
            "  how: Write here what to do differently, in one sentence.",
            '  taste: ""',
            '  watch: ""  # allergens that it brings in, and what can go wrong',
            "  fit: care  # good, care or no",
            f"  {_SOURCES}",
            "",
        ]
    )
    return Draft(path=f"swaps/{ident}.yaml", text=text, known=ident in desk.corpus.swaps)


# ------------------------------------------------------------------------------------------ words


def _slug(words: Iterable[str]) -> str:
    """An id from words: plain letters and digits, at most five words; empty where none is left."""
    kept = ["".join(c for c in word if c.isascii() and c.isalnum()) for word in words]
    return "-".join([word for word in kept if word][:_MOST_WORDS])[:60].rstrip("-")


def _free(pattern: str, ident: str, taken: set[str]) -> str:
    """An id whose file no other draft has."""
    number, free = 1, ident
    while pattern.format(free) in taken:
        number += 1
        free = f"{ident}-{number}"
    return free


def _word(ident: str) -> str:
    """An id as YAML; quoted where YAML would read a number, a date or a yes in it."""
    plain = ident[:1].isalpha() and ident not in {"yes", "no", "on", "off", "true", "false", "null"}
    return ident if plain and ident not in {"y", "n"} else _quoted(ident)


def _quoted(text: str) -> str:
    """A text between double quotes; what JSON writes, YAML reads."""
    return json.dumps(text, ensure_ascii=False)
