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

import re
from collections.abc import Collection, Iterator, Mapping, Sequence

import msgspec

from assistant.question.reading import Matched, Mention

_ALTERNATIVE = re.compile(r"<[^<>]*>|[^|]+")
GAP = 12
# A beginning ("bak*") has at least so many letters, by which it is indexed.
SHORTEST = 3
# What the best, the second and the third cue of a kind are divided by.
_PARTS = (1.0, 3.0, 9.0)


class CueError(ValueError):
    """A cue that cannot be used; the message names the pattern and the reason."""


class Element(msgspec.Struct, frozen=True, array_like=True):
    """One element of a cue: `how` is word, name, gap, start or end.

    A word is one of `texts` or begins with one of `begins`; a name is a word or a mention, whose
    type stands among the texts (`<recipe>`).
    """

    how: str
    texts: tuple[str, ...] = ()
    begins: tuple[str, ...] = ()
    optional: bool = False


class Cue(msgspec.Struct, frozen=True, array_like=True):
    """A compiled cue.

    `anchor` is the place of the rarest element that must stand in a text, by which the cue is
    indexed, `needs` are those of the others; `length` is the number of words it takes where that
    is always the same, else 0.
    """

    kind: str
    pattern: str
    weight: float
    elements: tuple[Element, ...]
    anchor: int
    needs: tuple[int, ...]
    length: int
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
    needs = [i for i, e in enumerate(elements) if e.how in {"word", "name"} and not e.optional]
    if not needs:
        raise CueError(f"cue {pattern!r} of kind {kind!r} would match anything; give it a word")
    anchor, *others = sorted(needs, key=lambda i: _commonness(elements[i]))
    plain = all(e.how == "word" and not e.optional for e in elements)
    return Cue(
        kind,
        pattern,
        float(len(needs)) if weight is None else weight,
        elements,
        anchor,
        tuple(others),
        len(elements) if plain else 0,
        example,
    )


def _element(part: str, pattern: str, lists: Lists) -> Element:
    if part == "...":
        return Element("gap")
    if part in {"^", "$"}:
        return Element("start" if part == "^" else "end")
    optional = part.endswith("?")
    body = part[:-1] if optional else part
    names = _ALTERNATIVE.findall(body)
    if "|".join(names) != body:
        raise CueError(f"cue {pattern!r}: {part!r} has an empty alternative")
    texts = [text for name in names for text in _words(name, pattern, lists)]
    if any(text.startswith("<") and not text.endswith(">") for text in texts):
        raise CueError(f"cue {pattern!r}: {part!r} has no closing >")
    begins = [text.rstrip("*") for text in texts if text.endswith("*")]
    if any(len(text) < SHORTEST for text in begins):
        raise CueError(f"cue {pattern!r}: {part!r} needs {SHORTEST} letters before its *")
    plain = tuple(text for text in texts if not text.endswith("*"))
    how = "name" if any(text.startswith("<") for text in plain) else "word"
    return Element(how, plain, tuple(begins), optional)


def _words(name: str, pattern: str, lists: Lists) -> Sequence[str]:
    """One alternative of an element: a word, the types of `<a|b>`, the single words of a list."""
    if name.startswith("<") and name.endswith(">"):
        return [f"<{slot}>" for slot in name[1:-1].split("|")]
    if not name.startswith("@"):
        return (name,)
    if name[1:] not in lists:
        raise CueError(f"cue {pattern!r}: there is no list {name[1:]!r} in kinds/words.yaml")
    return [word for word in lists[name[1:]] if " " not in word]


class Book(msgspec.Struct, frozen=True):
    """All cues, with an index from words, types and beginnings to the cues that need them most."""

    cues: tuple[Cue, ...]
    by_word: dict[str, tuple[int, ...]]
    by_prefix: dict[str, tuple[int, ...]]
    words: frozenset[str]


def make_book(cues: Sequence[Cue]) -> Book:
    """Index the cues by one element each must find: a literal word where there is one.

    Raises CueError where a pattern stands twice in one kind.
    """
    by_word: dict[str, list[int]] = {}
    by_prefix: dict[str, list[int]] = {}
    seen: set[tuple[str, str]] = set()
    words: set[str] = set()
    for number, cue in enumerate(cues):
        if (cue.kind, cue.pattern) in seen:
            raise CueError(f"cue {cue.pattern!r} stands twice in kind {cue.kind!r}; keep one")
        seen.add((cue.kind, cue.pattern))
        for element in cue.elements:
            if not element.begins:
                words.update(text for text in element.texts if text[0] != "<")
        anchor = cue.elements[cue.anchor]
        for text in anchor.texts:
            by_word.setdefault(text, []).append(number)
        for beginning in {text[:SHORTEST] for text in anchor.begins}:
            by_prefix.setdefault(beginning, []).append(number)
    return Book(
        tuple(cues),
        {k: tuple(v) for k, v in by_word.items()},
        {k: tuple(v) for k, v in by_prefix.items()},
        frozenset(words),
    )


# How many of a hundred questions hold a word or type, about, as counted in the kinds' examples;
# only the order in which cues are looked up hangs on it.
_SHARES = {
    "<ingredient>": 40, "the": 40, "<recipe>": 30, "how": 27, "in": 22, "a": 20, "is": 19,
    "for": 19, "i": 19, "to": 18, "what": 17, "of": 14, "<servings>": 13, "<nutrient>": 12,
    "<amount>": 10, "can": 10, "do": 10, "<tool>": 9, "<method>": 9, "and": 8, "<diet>": 8,
    "much": 8, "does": 8, "<place>": 7, "it": 7, "my": 6, "with": 6, "<unit>": 5, "many": 5,
    "long": 5, "are": 5, "why": 5, "make": 5, "when": 5, "free": 4, "use": 4, "or": 4, "on": 4,
    "should": 4, "have": 4, "be": 4, "<state>": 4, "you": 4, "at": 3, "instead": 3, "from": 3,
    "eat": 3, "need": 3, "<number>": 3, "<date>": 3, "<temperature>": 3, "there": 3,
    "without": 3, "not": 3, "that": 3, "this": 3,
}  # fmt: skip
_RARE, _RARE_BEGINNING = 0.3, 1.0


def _commonness(element: Element) -> float:
    """About how many of a hundred questions hold an element."""
    words = sum(_SHARES.get(text, _RARE) for text in element.texts)
    return words + _RARE_BEGINNING * len(element.begins)


# -------------------------------------------------------------------------------------- matching
#
# A set of places in a text is one whole number, whose bit `i` stands for the place before word `i`.
# A cue is matched from its last element to its first: from the places behind an element follow, in
# a few operations on whole numbers, the places before it. Where a place is left, there is a match,
# and going forward over the places so found never meets a dead end.


class Text(msgspec.Struct):
    """A question ready for matching: its words, where each stands, and by type (`<recipe>`) where
    mentions begin and end. The same text may be matched by any number of books.

    `bits` keeps the sets of places that were asked for.
    """

    words: tuple[str, ...]
    places: dict[str, list[int]]
    spans: dict[str, list[tuple[int, int]]]
    bits: dict[str, int] = {}

    def standing(self, word: str) -> int:
        """The places at which a word of the text stands."""
        bits = self.bits.get(word)
        if bits is None:
            bits = self.bits[word] = _bits(self.places[word])
        return bits


def _bits(places: Sequence[int]) -> int:
    """Places in rising order as one whole number, in time linear in the last of them."""
    if len(places) == 1:
        return 1 << places[0]
    marks = bytearray(places[-1] // 8 + 1)
    for place in places:
        marks[place >> 3] |= 1 << (place & 7)
    return int.from_bytes(marks, "little")


def make_text(words: Sequence[str], mentions: Sequence[Mention]) -> Text:
    """Words and mentions, arranged for matching."""
    places: dict[str, list[int]] = {}
    for place, word in enumerate(words):
        places.setdefault(word, []).append(place)
    spans: dict[str, list[tuple[int, int]]] = {}
    for mention in mentions:
        spans.setdefault(f"<{mention.type}>", []).append((mention.start, mention.end))
    return Text(tuple(words), places, spans)


def match(cue: Cue, text: Text) -> tuple[int, int] | None:
    """The first and last word (exclusive) of the earliest place where the cue matches, or None."""
    if cue.length == 1 and not cue.elements[0].begins:
        # Half of all matches are cues of one word, which need no sets.
        places = text.places
        at = min([places[word][0] for word in cue.elements[0].texts if word in places], default=-1)
        return None if at < 0 else (at, at + 1)
    sets = _places(cue, text)
    if not sets:
        return None
    start = _lowest(sets[-1])
    return start, _end(cue, sets, start, text)


def matches(cue: Cue, text: Text) -> Iterator[tuple[int, int]]:
    """Every place where a cue matches, from left to right: its first and last word (exclusive)."""
    sets = _places(cue, text)
    left = sets[-1] if sets else 0
    while left:
        start = _lowest(left)
        yield start, _end(cue, sets, start, text)
        left &= left - 1


def _places(cue: Cue, text: Text) -> list[int]:
    """The places behind the last element, then for each element from the last to the first the
    places from which it and all behind it match; nothing where the cue does not match."""
    behind = (2 << len(text.words)) - 1
    sets = [behind]
    for element in reversed(cue.elements):
        how = element.how
        if how in {"word", "name"}:
            behind = _before(element, behind, text)
        elif how == "gap":
            behind = _with_gap(behind)
        else:
            behind &= 1 if how == "start" else 1 << len(text.words)
        if not behind:
            return []
        sets.append(behind)
    return sets


def _before(element: Element, behind: int, text: Text) -> int:
    """The places from which a word or mention leads to one of the places `behind` it."""
    places, bits, ends = text.places, text.bits, behind >> 1
    before = behind if element.optional else 0
    for word in element.texts:
        if word in places:
            before |= ends & (bits.get(word) or text.standing(word))
        elif word in text.spans:
            for start, end in text.spans[word]:
                before |= (behind >> end & 1) << start
    if element.begins:
        for word in places:
            if word.startswith(element.begins):
                before |= ends & text.standing(word)
    return before


def _with_gap(behind: int) -> int:
    """The places from which up to GAP words lead to one of the places behind them."""
    covered = 1
    while covered <= GAP:
        step = min(covered, GAP + 1 - covered)
        behind |= behind >> step
        covered += step
    return behind


def _lowest(places: int) -> int:
    return (places & -places).bit_length() - 1


def _end(cue: Cue, sets: Sequence[int], at: int, text: Text) -> int:
    """Where the match that begins at `at` ends: names go before words, and gaps are short."""
    if cue.length:
        return at + cue.length
    left = len(sets) - 1
    for element in cue.elements:
        left -= 1
        if element.how == "gap":
            at += _lowest(sets[left] >> at)
        elif element.optional or element.how == "name":
            at = next(end for end in _ends(element, at, text) if sets[left] >> end & 1)
        elif element.how == "word":
            at += 1
    return at


def _ends(element: Element, at: int, text: Text) -> Iterator[int]:
    """The places behind a word or name that stands at a place, the best first."""
    spans = (span for type_ in element.texts for span in text.spans.get(type_, ()))
    yield from sorted(end for start, end in spans if start == at)
    word = text.words[at] if at < len(text.words) else ""
    if word and (word in element.texts or (element.begins and word.startswith(element.begins))):
        yield at + 1
    if element.optional:
        yield at


def find(book: Book, text: Text) -> list[tuple[Cue, int, int]]:
    """Every cue that matches, with the words it took; candidates come from the index alone."""
    keys = {*text.places, *text.spans}
    tried: set[int] = set()
    by_word, by_prefix = book.by_word, book.by_prefix
    for key in keys:
        if key in by_word:
            tried.update(by_word[key])
        if key[:SHORTEST] in by_prefix:
            tried.update(by_prefix[key[:SHORTEST]])
    found = []
    for number in sorted(tried):
        cue = book.cues[number]
        elements = cue.elements
        for i in cue.needs:
            # Most cues lack something else that they need, and are done with after a look-up.
            if keys.isdisjoint(elements[i].texts) and not elements[i].begins:
                break
        else:
            place = match(cue, text)
            if place is not None:
                found.append((cue, *place))
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
    scores = {}
    for kind, weights in by_kind.items():
        weights.sort(reverse=True)
        scores[kind] = sum(weight / part for weight, part in zip(weights, _PARTS, strict=False))
    ordered = sorted(scores.items(), key=lambda pair: (-pair[1], pair[0]))
    matched.sort(key=lambda m: (-m.weight, m.kind, m.cue))
    return tuple(ordered), tuple(matched)
