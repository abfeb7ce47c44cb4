"""How and where a thing is kept, where that is asked rather than how long."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from assistant.corpus.rules import StorageRule
from assistant.kinds.crossed import listed
from assistant.kinds.plural import agree
from assistant.kinds.shelf import Shelf
from assistant.kinds.storage.subject import Subject, of_recipe
from assistant.question.reading import Reading
from assistant.retrieval.words import singular, tokens

LONGEST = 120
# "How long", "how many days": the word after "how" that asks for a stretch of time.
_STRETCH = {"long", "many", "much", "soon", "old", "late"}


def how_kept(reading: Reading, found: Subject, shelf: Shelf) -> str:
    """The sentence that says how, with the days where both can be read aloud; "" if not asked.

    It is the first sentence of the recipe's or the rule's note that tells what to do.
    """
    if not asks_how(reading, shelf):
        return ""
    told = next(_advice(found, shelf), "")
    if not told:
        return ""
    rule = found.rule
    kept = rule.fridge or rule.pantry
    where = "in the refrigerator" if rule.fridge else "in the pantry"
    whole = f"{told.rstrip('.')}; it keeps {kept} {where}."
    return whole if kept and len(whole) <= LONGEST else told if len(told) <= LONGEST else ""


def of_whole(reading: Reading, found: Subject, shelf: Shelf) -> Subject:
    """The recipe in hand, where how a part of it is kept stands in its own note: the tortillas of
    the tacos."""
    recipe = shelf.recipe(reading)
    if recipe is None or found.recipe is not None:
        return found
    if not asks_how(reading, shelf) and not _is_inside(reading, shelf):
        return found
    head = singular(found.name.split()[-1])
    told = {singular(token.text) for token in tokens(recipe.storage.note)}
    return of_recipe(recipe, shelf.corpus) if head in told else found


def _is_inside(reading: Reading, shelf: Shelf) -> bool:
    """Whether a food is spoken of as in the dish: "with the pasta in it", "the pasta inside"."""
    named = [m for m in reading.all("ingredient") if m.id in reading.foods]
    small, within = listed(shelf, "dish-articles"), listed(shelf, "inside-dish-words")
    for m in named:
        at = m.start
        while at and reading.words[at - 1] in small:
            at -= 1
        before = reading.words[max(0, at - 1) : at]
        if before in {("with",), ("w",)} or set(reading.words[m.end : m.end + 2]) & within:
            return True
    return False


def asks_how(reading: Reading, shelf: Shelf) -> bool:
    """Whether the question asks how a thing is kept: "how should I store", "in the pot"."""
    words = reading.words
    if any(a == "how" and b in _STRETCH for a, b in pairwise(words)):
        return False
    if shelf.says(reading, "how-kept-words"):
        return True
    return "how" in words and shelf.says(reading, "keeping-words")


def _advice(found: Subject, shelf: Shelf) -> Iterator[str]:
    """The sentences of the notes that begin with what to do."""
    verbs = listed(shelf, "advice-verbs")
    notes = [found.recipe.storage.note] if found.recipe is not None else []
    for note in (*notes, found.rule.note):
        for sentence in _sentences(note):
            first = sentence.split(" ", 1)[0].rstrip(",.").lower()
            # How it is frozen is told where that is asked.
            if first in verbs and "freez" not in sentence.lower():
                yield sentence


def _sentences(text: str) -> list[str]:
    parts = [part.strip() for part in text.split(". ")]
    return [part if part.endswith(".") else f"{part}." for part in parts if part]


def must_chill(reading: Reading, found: Subject, shelf: Shelf) -> str:
    """ "Does it have to be refrigerated?": yes, or where else it is kept; "" if not asked."""
    if shelf.says(reading, "stretch-words"):
        return ""
    rule = found.rule
    if "counter" in reading.ids("place") and rule.fridge:
        return f"No, refrigerate {found.name}: {_kept(found)} there."
    if not shelf.says(reading, "chill-words"):
        return ""
    goes = {("go", "in"), ("go", "into"), ("goes", "in")} & set(pairwise(reading.words))
    if not goes and not shelf.says(reading, "must-words"):
        # "Can I keep them in the fridge?"
        never = "not in the refrigerator" in rule.note
        return f"No: {found.name} {_keep(found)} {rule.pantry} in the pantry." if never else ""
    if rule.fridge:
        return f"Yes, refrigerate {found.name}: {_kept(found)} there."
    if rule.pantry:
        return f"No: {found.name} {_keep(found)} {rule.pantry} in the pantry."
    return ""


def _kept(found: Subject) -> str:
    return f"{agree(found.name, 'it keeps', 'they keep')} {found.rule.fridge}"


def _keep(found: Subject) -> str:
    return agree(found.name, "keeps", "keep")


def how_frozen(reading: Reading, found: Subject, shelf: Shelf) -> str:
    """What the recipe's note says of freezing, where it is asked how; "" if not, or too long."""
    inside = _is_inside(reading, shelf)
    if found.recipe is None or not (asks_how(reading, shelf) or inside):
        return ""
    told = [s for s in _sentences(found.recipe.storage.note) if "freez" in s.lower()]
    if inside:
        texts = {singular(w) for m in reading.all("ingredient") for w in m.text.split()}
        told = [s for s in told if texts & {singular(token.text) for token in tokens(s)}]
    return told[0] if told and len(told[0]) <= LONGEST else ""


def freezer_note(rule: StorageRule) -> str:
    """What a rule's note says of freezing, in one sentence; "" where it says nothing."""
    found = [s for s in _sentences(rule.note) if "freez" in s.lower() or "frozen" in s.lower()]
    return found[0] if found else ""


def asks_both(reading: Reading, shelf: Shelf) -> bool:
    """ "How long does it keep, and can it be frozen?": the two with an "and" between them."""
    words = reading.words
    if "and" not in words:
        return False
    at = words.index("and")
    keeping = listed(shelf, "and-freezer-words")
    frozen = {p for m in reading.all("place") if m.id == "freezer" for p in range(m.start, m.end)}
    kept = {place for place, word in enumerate(words) if word in keeping} - frozen
    return any(min(one, other) < at < max(one, other) for one in kept for other in frozen)
