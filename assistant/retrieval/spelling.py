"""Names in a text, found exactly or in spite of a slip of the keyboard.

Exact matches come first and cost one dictionary look-up a token. Only a token that is part of none,
and that no list of words knows, is compared with the words of names: by the optimal string
alignment distance (insert, delete, replace, swap two neighbours), and only with words of nearly the
same length that begin alike. A known word is never changed, so no food is turned into another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby

import msgspec

from assistant.retrieval.words import Token, singular, stem, stop_words, tokens

SHORTEST = 4
LONG = 8
LONGEST_NAME = 12


class Found(msgspec.Struct, frozen=True):
    """A name found in tokens `start` to `end` (behind the last).

    `text` is what was typed, folded, `name` the name as the caller gave it, `others` the other ids
    that have the same name, `distance` the edits between the two, 0 unless `corrected`.
    """

    id: str
    start: int
    end: int
    text: str
    name: str
    corrected: bool = False
    distance: int = 0
    others: tuple[str, ...] = ()


class Names(msgspec.Struct, frozen=True):
    """Names to look up. Goes through `msgspec.msgpack` both ways.

    `prefixes` maps every beginning of a name, its words' keys joined, to the name's place in
    `texts` and `ids`, or to -1 where no name ends. `buckets` holds the words of names by first
    letter and length, `known` the keys of words that are never corrected, `lookalikes` what a
    word must not be taken for.
    """

    prefixes: dict[str, int]
    texts: tuple[str, ...]
    ids: tuple[tuple[str, ...], ...]
    buckets: dict[str, tuple[str, ...]]
    known: frozenset[str]
    lookalikes: dict[str, tuple[str, ...]]

    def find(self, tokens: Sequence[Token]) -> list[Found]:
        """All names in `tokens` that do not overlap, in order; the longest win, then the leftmost.

        A name runs across punctuation only where it has some itself. A corrected name may swallow
        exact ones that lie inside it ("red lentl soup" over "soup") but never part of one. Where
        two different names are equally near to what was typed, none is guessed.
        """
        keys = ["and" if token.text == "&" else singular(token.text) for token in tokens]
        exact = _longest(self._exact(tokens, keys))
        covered = {place for match in exact for place in range(match.start, match.end)}
        corrections: dict[str, tuple[tuple[str, int], ...]] = {}
        for place, key in enumerate(keys):
            if key not in self.known and place not in covered and key not in corrections:
                nearest = self._nearest(tokens[place].text, key)
                if nearest:
                    corrections[key] = nearest
        if not corrections:
            return exact
        usable = {
            place: corrections[key]
            for place, key in enumerate(keys)
            if place not in covered and key in corrections
        }
        whole = _whole_spans(exact)
        near = [
            match
            for match in _unambiguous(self._mended(tokens, keys, usable))
            if whole(match.start, match.end)
        ]
        near = _longest(near)
        swallowed = {place for match in near for place in range(match.start, match.end)}
        left = [match for match in exact if match.start not in swallowed]
        return sorted([*left, *near], key=lambda match: match.start)

    def _exact(self, tokens: Sequence[Token], keys: Sequence[str]) -> Iterator[Found]:
        """Every name at every place, as it is spelled."""
        prefixes = self.prefixes
        for start, phrase in enumerate(keys):
            end = start
            while phrase in prefixes:
                end += 1
                if prefixes[phrase] >= 0:
                    yield self._found(phrase, tokens[start:end], start)
                if end == len(keys):
                    break
                phrase = f"{phrase}{_joint(tokens[end])}{keys[end]}"

    def _mended(
        self,
        tokens: Sequence[Token],
        keys: Sequence[str],
        usable: dict[int, tuple[tuple[str, int], ...]],
    ) -> Iterator[Found]:
        """Every name with a corrected word in it; the tokens in `usable` have corrections."""
        for first in range(len(tokens)):
            ways: list[tuple[str, int]] = [("", 0)]
            for end in range(first, min(first + LONGEST_NAME, len(tokens))):
                joint = _joint(tokens[end])
                choices = usable.get(end, ((keys[end], 0),))
                ways = [
                    (longer, edits + more)
                    for prefix, edits in ways
                    for word, more in choices
                    if (longer := f"{prefix}{joint}{word}" if prefix else word) in self.prefixes
                ]
                if not ways:
                    break
                for phrase, edits in ways:
                    if edits and self.prefixes[phrase] >= 0:
                        yield self._found(phrase, tokens[first : end + 1], first, edits)

    def _found(self, phrase: str, tokens: Sequence[Token], start: int, distance: int = 0) -> Found:
        """The name that a phrase of keys stands for, as the tokens from `start` on spell it."""
        number = self.prefixes[phrase]
        ident, *others = self.ids[number]
        return Found(
            id=ident,
            start=start,
            end=start + len(tokens),
            text=" ".join(token.text for token in tokens),
            name=self.texts[number],
            corrected=distance > 0,
            distance=distance,
            others=tuple(others),
        )

    def is_known(self, word: str) -> bool:
        """Whether a folded `word` is one that is never corrected, in any of its forms.

        A stem alone is no word: "oliv" is not known because "olive" is.
        """
        key, base = _key(word), stem(word)
        return key in self.known or (
            base != key and (base in self.known or f"{base}e" in self.known)
        )

    def _nearest(self, word: str, key: str) -> tuple[tuple[str, int], ...]:
        """The words of names nearest to a mistyped one, all at the same distance.

        The word as typed counts where its key has no neighbor: "chees" is no plural.
        """
        if len(key) < SHORTEST or not key.isalpha() or self.is_known(word):
            return ()
        barred = self.lookalikes.get(key, ())
        return self._neighbors(key, barred) or (
            self._neighbors(word, barred) if word != key else ()
        )

    def _neighbors(self, typed: str, barred: Sequence[str]) -> tuple[tuple[str, int], ...]:
        from rapidfuzz.distance import OSA

        most = _edits(len(typed))
        nearest: list[tuple[str, int]] = []
        for length in range(max(SHORTEST, len(typed) - most), len(typed) + most + 1):
            forgiven = _edits(length)
            for other in self._bucketed(typed, length):
                allowed = min(most, forgiven)
                edits = OSA.distance(typed, other, score_cutoff=allowed)
                if edits > allowed or other in barred:
                    continue
                if edits < most:
                    nearest.clear()
                    most = edits
                nearest.append((other, edits))
        return tuple(sorted(nearest))

    def _bucketed(self, typed: str, length: int) -> Sequence[str]:
        """Words of names that begin with the same letter, or with the same two the other way."""
        first, second = typed[0], typed[1]
        alike = self.buckets.get(f"{first}{length}", ())
        if first == second:
            return alike
        turned = self.buckets.get(f"{second}{length}", ())
        return [*alike, *(other for other in turned if other[1] == first)]


def _edits(length: int) -> int:
    """How many edits a word of a length is forgiven; of two words the shorter decides."""
    return 0 if length < SHORTEST else 1 if length < LONG else 2


def _joint(token: Token) -> str:
    """What stands between the keys of a name: a name with a comma is written with its comma."""
    return ", " if token.after_break else " "


def _key(word: str) -> str:
    return "and" if word == "&" else singular(word)


def _known_forms(word: str) -> tuple[str, ...]:
    """A known word's key, and the word that a verb's form comes from ("leak" for "leaking")."""
    key = _key(word)
    return (key, stem(word)) if word.endswith(("ing", "ed")) else (key,)


def _longest(matches: Iterable[Found]) -> list[Found]:
    """Matches that do not overlap: the longest first, then the nearest, then the leftmost."""
    taken: set[int] = set()
    chosen: list[Found] = []
    for match in sorted(matches, key=lambda m: (m.start - m.end, m.distance, m.start, m.id)):
        if match.start in taken or match.end - 1 in taken:
            continue
        taken.update(range(match.start, match.end))
        chosen.append(match)
    return sorted(chosen, key=lambda match: match.start)


def _unambiguous(matches: Iterable[Found]) -> Iterator[Found]:
    """Of the matches over the same tokens the nearest, unless it is one of several."""
    for _, group in groupby(
        sorted(matches, key=lambda m: (m.start, m.end, m.distance)), lambda m: (m.start, m.end)
    ):
        first, *rest = group
        if not any(
            match.distance == first.distance
            and {match.id, *match.others}.isdisjoint({first.id, *first.others})
            for match in rest
        ):
            yield first


def _whole_spans(exact: Sequence[Found]) -> Callable[[int, int], bool]:
    """A test that a span of tokens cuts through none of the exact matches."""
    inner = {place for match in exact for place in range(match.start + 1, match.end)}
    return lambda start, end: start not in inner and end not in inner


def _distinct(words: Iterable[str]) -> Iterator[str]:
    seen: set[str] = set()
    for word in words:
        if word not in seen:
            seen.add(word)
            yield word


def build_names(
    entries: Iterable[tuple[str, str]],
    known: Iterable[str] = (),
    lookalikes: Iterable[tuple[str, str]] = (),
) -> Names:
    """Names to look up, from pairs of a name and the id it stands for.

    Singular and plural of a regular word are one name; other forms are entries of their own. A name
    given for several ids gives the first, the rest stand in `Found.others`. `known` are words (any
    text is split into its words) that are never corrected, beside the names' own and the stop
    words: the corpus's vocabulary, the food table's, a list of everyday and cooking words.
    `lookalikes` are pairs of words neither of which is ever taken for the other ("flour",
    "flower"). Raises ValueError for a name without a word or of more than 12, and for lookalikes
    that are not two single words.
    """
    prefixes: dict[str, int] = {}
    texts: list[str] = []
    ids: list[list[str]] = []
    vocabulary: set[str] = set()
    common = set(stop_words())
    for name, target in entries:
        words = tokens(name)
        if not 1 <= len(words) <= LONGEST_NAME:
            raise ValueError(f"a name has 1 to {LONGEST_NAME} words: {name!r}")
        phrase = ""
        for token in words:
            key = _key(token.text)
            phrase = f"{phrase}{_joint(token)}{key}" if phrase else key
            prefixes.setdefault(phrase, -1)
            vocabulary.add(key)
            common.add(token.text)
        if prefixes[phrase] < 0:
            prefixes[phrase] = len(texts)
            texts.append(name)
            ids.append([])
        ids[prefixes[phrase]].append(target)
    common.update(token.text for text in known for token in tokens(text))
    buckets: dict[str, list[str]] = {}
    for word in sorted(vocabulary):
        if len(word) >= SHORTEST and word.isalpha():
            buckets.setdefault(f"{word[0]}{len(word)}", []).append(word)
    barred: dict[str, list[str]] = {}
    for pair in lookalikes:
        words = [token for text in pair for token in tokens(text)]
        if len(words) != 2:
            raise ValueError(f"lookalikes are two single words: {pair!r}")
        one, other = (_key(token.text) for token in words)
        barred.setdefault(one, []).append(other)
        barred.setdefault(other, []).append(one)
    return Names(
        prefixes=prefixes,
        texts=tuple(texts),
        ids=tuple(tuple(_distinct(group)) for group in ids),
        buckets={place: tuple(words) for place, words in buckets.items()},
        known=frozenset(form for word in common for form in _known_forms(word)),
        lookalikes={word: tuple(others) for word, others in barred.items()},
    )
