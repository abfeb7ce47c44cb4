"""The cue language: readable patterns over words and mentions, and how they choose the kind.

A cue reads like grammar: `how much|many <ingredient> ... for <servings>`. Its elements are

    word        the word itself        word|word   one of them
    word*       any word beginning so  word?       the word, or nothing (also `a|the?`)
    <type>      a mention of that type; `<ingredient|recipe>` one of the types;
                `<ingredient>|chicken` a mention or the word
    @list       one of the words of a list of kinds/words.yaml; `@list|word` or the word
    ...         up to twelve words        ^ and $     the beginning and the end of the question

A kind's score is its best cue's weight, plus a third of its next best, plus a ninth of its third:
several cues that agree count for more, and many weak ones never outweigh one strong one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cache

import msgspec

from assistant.question.reading import Matched, Mention

GAP = 12
_DECAY = 3.0


class CueError(ValueError):
    """A cue that cannot be used; the message names the pattern and the reason."""


class Element(msgspec.Struct, frozen=True, array_like=True):
    """One element of a cue: `how` is word, prefix, slot, gap, start or end."""

    how: str
    texts: tuple[str, ...] = ()
    optional: bool = False


class Cue(msgspec.Struct, frozen=True, array_like=True):
    """A compiled cue."""

    kind: str
    pattern: str
    weight: float
    elements: tuple[Element, ...]
    example: str = ""


Lists = Mapping[str, Collection[str]]


def compile_cue(
    kind: str,
    pattern: str,
    weight: float | None = None,
    example: str = "",
    lists: Lists | None = None,
) -> Cue:
    """Compile a cue; without a weight it weighs one per word or slot that must be there.

    Raises CueError for a pattern that could match an empty question, or names no list of `lists`.
    """
    elements = tuple(_element(part, pattern, lists or {}) for part in pattern.split())
    fixed = [e for e in elements if e.how in {"word", "prefix", "slot"} and not e.optional]
    if not fixed:
        raise CueError(f"cue {pattern!r} of kind {kind!r} would match anything; give it a word")
    return Cue(kind, pattern, float(len(fixed)) if weight is None else weight, elements, example)


def _element(part: str, pattern: str, lists: Lists) -> Element:
    if part == "...":
        return Element("gap")
    if part in {"^", "$"}:
        return Element("start" if part == "^" else "end")
    optional = part.endswith("?")
    body = part[:-1] if optional else part
    if body.startswith("<") and ">|" in body:
        slots, _, rest = body[1:].partition(">|")
        words = (text for name in rest.split("|") for text in _words(name, pattern, lists))
        return Element("mixed", (*(f"<{slot}" for slot in slots.split("|")), *words), optional)
    if body.startswith("<"):
        if not body.endswith(">"):
            raise CueError(f"cue {pattern!r}: {part!r} has no closing >")
        return Element("slot", tuple(body[1:-1].split("|")), optional)
    texts = tuple(text for name in body.split("|") for text in _words(name, pattern, lists))
    if any(text.endswith("*") for text in texts):
        return Element(
            "prefix",
            tuple(text.rstrip("*") if text.endswith("*") else text + "\n" for text in texts),
            optional,
        )
    if not all(texts):
        raise CueError(f"cue {pattern!r}: {part!r} has an empty alternative")
    return Element("word", texts, optional)


def _words(name: str, pattern: str, lists: Lists) -> Sequence[str]:
    """One alternative of an element: a word, or the single words of a list."""
    if not name.startswith("@"):
        return (name,)
    if name[1:] not in lists:
        raise CueError(f"cue {pattern!r}: there is no list {name[1:]!r} in kinds/words.yaml")
    return [word for word in lists[name[1:]] if " " not in word]


class Book(msgspec.Struct, frozen=True):
    """All cues, with an index from words and slots to the cues that need them."""

    cues: tuple[Cue, ...]
    by_word: dict[str, tuple[int, ...]]
    by_slot: dict[str, tuple[int, ...]]
    by_prefix: dict[str, tuple[int, ...]]
    words: frozenset[str]


def make_book(cues: Sequence[Cue]) -> Book:
    """Index the cues by one element each must find: a literal word where there is one.

    Raises CueError where a pattern stands twice in one kind.
    """
    by_word: dict[str, list[int]] = {}
    by_slot: dict[str, list[int]] = {}
    by_prefix: dict[str, list[int]] = {}
    seen: set[tuple[str, str]] = set()
    words: set[str] = set()
    for number, cue in enumerate(cues):
        if (cue.kind, cue.pattern) in seen:
            raise CueError(f"cue {cue.pattern!r} stands twice in kind {cue.kind!r}; keep one")
        seen.add((cue.kind, cue.pattern))
        for element in cue.elements:
            if element.how == "word":
                words.update(element.texts)
        anchor = _anchor(cue)
        table = {"word": by_word, "slot": by_slot, "prefix": by_prefix}[anchor.how]
        for text in anchor.texts:
            key = text.rstrip("\n")[:3] if anchor.how == "prefix" else text
            table.setdefault(key, []).append(number)
    return Book(
        tuple(cues),
        {k: tuple(v) for k, v in by_word.items()},
        {k: tuple(v) for k, v in by_slot.items()},
        {k: tuple(v) for k, v in by_prefix.items()},
        frozenset(words),
    )


_COMMON = frozenset(
    [
        "how",
        "what",
        "is",
        "are",
        "the",
        "a",
        "an",
        "of",
        "do",
        "does",
        "i",
        "can",
        "much",
        "many",
        "to",
        "it",
        "for",
        "in",
        "my",
        "you",
    ]
)


def _anchor(cue: Cue) -> Element:
    """The element to index a cue by: its rarest, as far as can be told without counting."""
    fixed = [e for e in cue.elements if not e.optional and e.how in {"word", "prefix", "slot"}]
    order = {"word": 0, "prefix": 1, "slot": 2}
    return min(
        fixed, key=lambda e: (any(t in _COMMON for t in e.texts), order[e.how], len(e.texts))
    )


class Text(msgspec.Struct):
    """A question ready for matching: its words, and the mentions that start at each word."""

    words: tuple[str, ...]
    spans: dict[int, list[tuple[str, int]]]


def make_text(words: Sequence[str], mentions: Sequence[Mention]) -> Text:
    """Words and mentions, arranged for matching."""
    spans: dict[int, list[tuple[str, int]]] = {}
    for mention in mentions:
        spans.setdefault(mention.start, []).append((mention.type, mention.end))
    return Text(tuple(words), spans)


def match(cue: Cue, text: Text) -> tuple[int, int] | None:
    """The first and last word (exclusive) of the earliest place where the cue matches, or None."""
    failed: set[tuple[int, int]] = set()
    first = cue.elements[0]
    starts = (0,) if first.how == "start" else range(len(text.words))
    # A fixed word at the beginning tells at once where the cue cannot start.
    word = first.how == "word" and not first.optional
    for start in starts:
        if word and text.words[start] not in first.texts:
            continue
        end = _match(cue.elements, 0, start, text, failed)
        if end is not None:
            return start, end
    return None


def _match(
    elements: tuple[Element, ...], i: int, at: int, text: Text, failed: set[tuple[int, int]]
) -> int | None:
    """Where a match of elements[i:] at word `at` ends. Failures are remembered, so the whole is
    at most words x elements steps."""
    if i == len(elements):
        return at
    if (i, at) in failed:
        return None
    element = elements[i]
    for after in _steps(element, at, text):
        end = _match(elements, i + 1, after, text, failed)
        if end is not None:
            return end
    failed.add((i, at))
    return None


def _steps(element: Element, at: int, text: Text) -> Sequence[int]:
    """The words at which matching may go on after `element` has matched at word `at`."""
    how = element.how
    if how == "gap":
        return range(at, min(at + GAP, len(text.words)) + 1)
    if how == "start":
        return (at,) if at == 0 else ()
    if how == "end":
        return (at,) if at == len(text.words) else ()
    found: list[int] = []
    if at < len(text.words):
        if (how == "word" and text.words[at] in element.texts) or (
            how == "prefix" and _begins(text.words[at], element.texts)
        ):
            found.append(at + 1)
        elif how == "slot":
            found += [end for type_, end in text.spans.get(at, ()) if type_ in element.texts]
        elif how == "mixed":
            spans = text.spans.get(at, ())
            found += [end for type_, end in spans if f"<{type_}" in element.texts]
            if text.words[at] in element.texts:
                found.append(at + 1)
    if element.optional:
        found.append(at)
    return found


def _begins(word: str, texts: tuple[str, ...]) -> bool:
    beginnings, whole = _beginnings(texts)
    return word.startswith(beginnings) or word in whole


@cache
def _beginnings(texts: tuple[str, ...]) -> tuple[tuple[str, ...], frozenset[str]]:
    """The beginnings of a prefix element, and its whole words (marked by a line break)."""
    whole = frozenset(t[:-1] for t in texts if t.endswith("\n"))
    return tuple(t for t in texts if not t.endswith("\n")), whole


def _possible(cue: Cue, words: set[str]) -> bool:
    """Whether every word that a cue cannot do without is somewhere in the text.

    Most cues fail here, which costs far less than looking for their words in order.
    """
    for element in cue.elements:
        if element.optional:
            continue
        if element.how == "word" and words.isdisjoint(element.texts):
            return False
        if element.how == "prefix" and not any(_begins(word, element.texts) for word in words):
            return False
    return True


def find(book: Book, text: Text) -> list[tuple[Cue, int, int]]:
    """Every cue that matches, with the words it took; candidates come from the index alone."""
    tried: set[int] = set()
    for word in set(text.words):
        tried.update(book.by_word.get(word, ()))
        tried.update(book.by_prefix.get(word[:3], ()))
    for spans in text.spans.values():
        for type_, _ in spans:
            tried.update(book.by_slot.get(type_, ()))
    found = []
    words = set(text.words)
    for number in sorted(tried):
        if not _possible(book.cues[number], words):
            continue
        place = match(book.cues[number], text)
        if place is not None:
            found.append((book.cues[number], *place))
    return found


def score(
    found: Sequence[tuple[Cue, int, int]], words: Sequence[str]
) -> tuple[tuple[tuple[str, float], ...], tuple[Matched, ...]]:
    """Scores by kind, highest first (equal ones by name), and the matched cues, strongest first."""
    by_kind: dict[str, list[float]] = {}
    matched = []
    for cue, start, end in found:
        by_kind.setdefault(cue.kind, []).append(cue.weight)
        matched.append(Matched(cue.kind, cue.pattern, cue.weight, " ".join(words[start:end])))
    scores = {
        kind: sum(
            weight / _DECAY**place for place, weight in enumerate(sorted(weights, reverse=True)[:3])
        )
        for kind, weights in by_kind.items()
    }
    ordered = sorted(scores.items(), key=lambda pair: (-pair[1], pair[0]))
    matched.sort(key=lambda m: (-m.weight, m.kind, m.cue))
    return tuple(ordered), tuple(matched)


def check_examples(book: Book, seen: Mapping[str, Collection[str]]) -> list[str]:
    """The patterns of cues that none of the given matches used: cues without an example."""
    return [c.pattern for c in book.cues if c.pattern not in seen.get(c.kind, ())]
