"""A follow-up -> the whole question that it stands for, in words.

"And for 40?" after "how much broth for 14 in the lentil soup?" is "how much broth for 40 in the
lentil soup?". The question before is taken over word for word; what the follow-up names replaces
what stood there of the same type, and what is new is put behind. So what was understood can be
shown, and every kind reads a whole question.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import Token, tokens

# A follow-up is short; a longer text stands for itself.
SHORT = 9
_SHORT_REPLY = 7
# Types of which a follow-up names another one. An ingredient is one only where none is excluded.
_REPLACED = (
    "servings", "share", "recipe", "ingredient", "nutrient", "diet", "place", "date", "amount",
    "unit", "temperature", "duration",
)  # fmt: skip
# These come instead of each other: "double it" after "for 14".
_SAME = {"share": ("servings", "share"), "servings": ("servings", "share")}


class Words(msgspec.Struct, frozen=True):
    """The vocabulary that tells a follow-up: see the lists of the same names."""

    openers: frozenset[str]
    follow: frozenset[str]
    pronouns: frozenset[str]
    without: frozenset[str]
    comparing: frozenset[str]
    allergies: frozenset[str]


def words_of(corpus: Corpus) -> Words:
    """The lists of a corpus; an empty one where it has none."""
    names = (
        "question-openers",
        "follow-words",
        "pronouns",
        "without-words",
        "comparing-words",
        "allergen-words",
    )
    found = [corpus.lists.get(name) for name in names]
    return Words(*(frozenset(record.words if record else ()) for record in found))


def is_follow_up(reading: Reading, words: Words) -> bool:
    """Whether a text leans on the question before it: short, and no question of its own.

    An allergy is never read into another question.

    "And how long does it keep?" asks for itself; "and for 40?", "what about without the peanuts?"
    and "same for the chili" do not.
    """
    said = _opening(reading.words, words)
    if len(reading.words) > SHORT or not said or words.allergies & set(said):
        return False
    leaning = len(said) < len(reading.words)
    asks = said[0] in words.openers
    return not asks and (leaning or not reading.kind or _only_named(reading))


def _opening(said: Sequence[str], words: Words) -> Sequence[str]:
    """The words behind "and", "what about", "how about", "same for"."""
    rest = list(said)
    while rest:
        if rest[:2] in (["what", "about"], ["how", "about"], ["what", "if"], ["how", "bout"]):
            del rest[:2]
        elif rest[0] in words.follow:
            del rest[:1]
        else:
            break
    return rest


def _only_named(reading: Reading) -> bool:
    """Whether nearly every word is part of something named: "the chili", "for 40"."""
    covered = {place for m in reading.mentions for place in range(m.start, m.end)}
    return len(reading.words) - len(covered) <= 2


def complete(before: str, then: Reading, earlier: Reading, words: Words) -> str:
    """The whole question: `before` (read as `earlier`) with what `then` names put in.

    Returns the text of the completed question.
    """
    text = before.rstrip(" ?.!")
    excluded = bool(words.without & set(then.words))
    cut = tokens(text)
    spans: list[tuple[int, int, str]] = []
    placed: set[Mention] = set()
    for type_ in _REPLACED:
        new = [m for m in _apart(then) if m.type == type_]
        old = [m for m in _apart(earlier) if m.type in _SAME.get(type_, (type_,))]
        old = [m for m in old if m.end <= len(cut)]
        if not new or not old or (type_ == "ingredient" and excluded):
            continue
        spans.append((cut[old[0].start].start, cut[old[0].end - 1].end, new[0].text))
        placed.add(new[0])
        # A second one of the type ("for 14 or 16") would mislead.
        extra = old[1:] if type_ != "recipe" else []
        spans += [(cut[m.start].start, cut[m.end - 1].end, "") for m in extra]
    for start, end, put in sorted(_apart_spans(spans), reverse=True):
        text = f"{text[:start]}{put}{text[end:]}"
    rest = _rest(then, placed, words)
    return " ".join(f"{text} {rest}".split())


def _apart(reading: Reading) -> list[Mention]:
    """The mentions, without those that lie inside a recipe's name."""
    recipes = {p for m in reading.all("recipe") for p in range(m.start, m.end)}
    return [
        m
        for m in reading.mentions
        if m.type == "recipe" or not recipes & set(range(m.start, m.end))
    ]


def _apart_spans(spans: Sequence[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    made: list[tuple[int, int, str]] = []
    for span in spans:
        if not any(span[0] < other[1] and other[0] < span[1] for other in made):
            made.append(span)
    return made


def _rest(then: Reading, placed: set[Mention], words: Words) -> str:
    """What of the follow-up is new: its words without the opening and what was put in."""
    first = len(then.words) - len(_opening(then.words, words))
    gone = {p for m in placed for p in range(m.start, m.end)}
    left = [w for p, w in enumerate(then.words) if p >= first and p not in gone]
    small = {"the", "for", "in", "a", "with", "of", "please", "on", "and", "it", "that", "to"}
    return "" if set(left) <= small else " ".join(left)


def reply(before: str, said: Reading, words: Words) -> str:
    """A short reply to a question that was asked back, put behind what it completes; "" for none.

    "For how many people?" - "40": a bare number counts people.
    """
    opening = said.words[:1]
    if len(said.words) > _SHORT_REPLY or (opening and opening[0] in words.openers):
        return ""
    numbers = said.all("number")
    text = " ".join(said.words)
    if len(numbers) == 1 and len(said.words) == numbers[0].end - numbers[0].start:
        text = f"for {text}"
    return f"{before.rstrip(' ?.!')}, {text}"


def point_out(text: str, name: str, words: Words) -> str:
    """The text with its first "it" or "that" replaced by a name; the text itself where none is."""
    found: list[Token] = tokens(text)
    for place, token in enumerate(found):
        if token.text in words.pronouns:
            return f"{text[: token.start]}{name}{text[token.end :]}"
        if place > SHORT * 2:
            break
    return text


def each_recipe(text: str, reading: Reading, words: Words) -> list[str]:
    """The text once for each recipe it names, the others cut out; as it stands where it compares.

    "Calories in the chili and the lentil soup" asks for two figures, "which has more" for one.
    """
    recipes = reading.all("recipe")
    if len({m.id for m in recipes}) < 2 or words.comparing & set(reading.words):
        return [text]
    found = tokens(text)
    taken: set[int] = set()
    apart: list[Mention] = []
    for mention in recipes:
        span = set(range(mention.start, mention.end))
        # One name may stand for several recipes ("soup"): that is asked back, not answered twice.
        if span & taken:
            return [text]
        taken |= span
        apart.append(mention)
    made = []
    for keep in apart:
        out = text
        for other in reversed([m for m in apart if m is not keep]):
            out = f"{out[: found[other.start].start]}{out[found[other.end - 1].end :]}"
        made.append(" ".join(out.split()))
    return made
