"""Numbers in a question: servings, amounts, stretches of time, days, clock times, temperatures."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.measure.amount import Amount
from assistant.measure.numbers import STARTERS, take_number
from assistant.measure.span import SPELLINGS, Span
from assistant.measure.units import Unit, take_unit
from assistant.question.days import read_day, read_iso, resolve
from assistant.question.reading import Day, Mention
from assistant.question.vocabulary import HALVES, SIGNS, Vocabulary
from assistant.retrieval.words import Token

__all__ = ["find_quantities", "resolve"]

_CLOCK = re.compile(r"(\d{1,2}):(\d{2})\Z")
_GLUED = re.compile(r"x(\d+)\Z")
_NUMBERISH = re.compile(r"[\d½¼¾⅓⅔⅛⅜⅝⅞.]")
# "a" and "an" are numbers only before a unit: "a cup", "an hour".
_ARTICLES = {"a", "an"}
_WINDOW = 60
# What may follow a number, and what may follow an article: "a can" is mostly the verb.
_MEASURES = ({"volume", "weight", "count"}, {"volume", "weight"})
# Of the spellings of stretches of time, these mean too much else.
_UNCLEAR = {"s", "m", "d", "mo"}


class Said(msgspec.Struct, frozen=True):
    """A question as it is looked through: its text, its tokens, their words, `every` word once."""

    text: str
    tokens: Sequence[Token]
    words: list[str]
    every: frozenset[str]
    vocabulary: Vocabulary
    today: datetime.date

    def word(self, at: int) -> str:
        """The word at a place, "" before the first and behind the last."""
        return self.words[at] if 0 <= at < len(self.words) else ""

    def lists(self, name: str, *places: int) -> bool:
        """Whether the words at the places, joined, stand in a list of the vocabulary."""
        return " ".join(self.word(at) for at in places) in self.vocabulary.lists[name]

    def has(self, name: str) -> bool:
        """Whether any word of the question stands in a list of the vocabulary."""
        return not self.vocabulary.lists[name].isdisjoint(self.every)

    def number(self, at: int) -> tuple[Fraction, Fraction, int] | None:
        """The number or range that begins at a word, and the word behind it."""
        start = self.tokens[at].start
        window = self.text[start : start + _WINDOW]
        taken = take_number(window.lower())
        if taken is None:
            return None
        return taken[0], taken[1], self.token_at(at, start + len(window) - len(taken[2]))

    def unit(self, at: int) -> tuple[Unit, int] | None:
        """The unit that is spelled at a word, and the word behind it."""
        start = self.tokens[at].start
        window = self.text[start : start + _WINDOW]
        taken = take_unit(window)
        if taken is None:
            return None
        return taken[0], max(at + 1, self.token_at(at, start + len(window) - len(taken[1])))

    def token_at(self, at: int, offset: int) -> int:
        """The first token from `at` on that starts at or behind a place in the text."""
        while at < len(self.tokens) and self.tokens[at].start < offset:
            at += 1
        return at

    def mention(
        self,
        type_: str,
        start: int,
        end: int,
        value: Amount | Span | Day | Fraction | None,
        ident: str = "",
    ) -> Mention:
        """What the words from `start` to `end` name."""
        return Mention(type_, ident, " ".join(self.words[start:end]), start, end, value)  # type: ignore[arg-type]


def find_quantities(
    text: str, tokens: Sequence[Token], vocabulary: Vocabulary, today: datetime.date
) -> list[Mention]:
    """The quantities named in a question, left to right, none overlapping another.

    Parameters: the question's text and its tokens, the corpus's vocabulary, and the date that day
    words are read against. Reads; computes nothing.
    """
    words = [token.text for token in tokens]
    said = Said(text, tokens, words, frozenset(words), vocabulary, today)
    found: list[Mention] = []
    at = 0
    starts = vocabulary.starts
    for place, word in enumerate(words):
        # A word from "a" to "w" begins a quantity only where it is one of a few; figures, marks
        # and the "x" of "x3" are looked at one by one.
        if place < at or ("a" <= word[0] <= "w" and word not in starts):
            continue
        mention = (
            _day(said, place)
            or _named_clock(said, place)
            or _times(said, place)
            or _quantity(said, place)
            or _unit(said, place)
        )
        if mention is not None:
            found.append(mention)
            at = mention.end
    return found


def _day(said: Said, at: int) -> Mention | None:
    iso = read_iso(said.text, said.tokens[at].start) if said.words[at].isdigit() else None
    if iso is not None:
        date, place = iso
        end = said.token_at(at, place)
        return said.mention("date", at, end, Day(date=date)) if date else None
    found = read_day(said.words, at, said.vocabulary, said.today)
    return said.mention("date", at, found[1], found[0]) if found else None


def _quantity(said: Said, at: int) -> Mention | None:
    word = said.words[at]
    clock = _CLOCK.match(word)
    if clock and int(clock[1]) < 24 and int(clock[2]) < 60:
        hours, end = int(clock[1]), at + 1
        if said.word(end) in HALVES:
            hours = hours % 12 + HALVES[said.word(end)]
            end += 1
        return said.mention("clock", at, end, Fraction(hours * 60 + int(clock[2])))
    if word in _ARTICLES and said.word(at + 1) not in said.vocabulary.counted:
        return None
    taken = said.number(at) if _NUMBERISH.match(word) or word in STARTERS else None
    if taken is None:
        return None
    low, high, end = taken
    whole = low == high and low.denominator == 1
    span = _span(said, end, low, high)
    if span is not None:
        return said.mention("duration", at, span[1], span[0])
    heat = _degrees(said, end, low)
    if heat is not None:
        return said.mention("temperature", at, heat[1], low, heat[0])
    if said.word(end) in HALVES and whole and 1 <= low <= 12:
        hours = int(low) % 12 + HALVES[said.word(end)]
        return said.mention("clock", at, end + 1, Fraction(hours * 60))
    if word not in _ARTICLES:
        people = _people(said, at, end)
        # "For three quarters of the recipe" is for no part of a person.
        if people is not None and (low >= 1 or people > end):
            return said.mention("servings", at, people, low)
    unit = said.unit(end) if said.word(end) else None
    if unit is not None and unit[0].dimension in _MEASURES[word in _ARTICLES]:
        part, end = _and_a_part(said, unit[1])
        return said.mention("amount", at, end, Amount(low + part, high + part, unit[0].name))
    if word in _ARTICLES or (word == "half" and low != high):
        return None
    if whole and said.lists("before-clock", at - 1) and 1 <= low <= 12 and said.has("timed"):
        return said.mention("clock", at, end, Fraction(_hour(int(low)) * 60))
    if whole and 250 <= low <= 550 and said.has("heated"):
        return said.mention("temperature", at, end, low)
    return said.mention("number", at, end, low)


def _unit(said: Said, at: int) -> Mention | None:
    """A measure named without a number: the "grams" of "how many grams"."""
    taken = said.unit(at) if said.words[at] in said.vocabulary.units else None
    if taken is None or taken[0].dimension not in {"volume", "weight"}:
        return None
    return said.mention("unit", at, taken[1], None, taken[0].name)


def _degrees(said: Said, at: int, value: Fraction) -> tuple[str, int] | None:
    """The scale ("f", "c", or "" where none is named) of degrees named at a word, and their end."""
    for name, scale in (("fahrenheit", "f"), ("celsius", "c")):
        if said.lists(name, at):
            # "2 c" are cups.
            return None if said.word(at) in {"f", "c"} and value < 30 else (scale, at + 1)
    if not said.lists("degrees", at):
        return None
    for name, scale in (("fahrenheit", "f"), ("celsius", "c")):
        if said.lists(name, at + 1):
            return scale, at + 2
    return "", at + 1


def _people(said: Said, at: int, end: int) -> int | None:
    """Where a count of people or portions ends, if the number at `at` is one.

    "14 people", "14 of us", "for 14", "serves 14", "feed 14"; but "for 20 minutes" never comes
    here, since a time was read first, and "for 2 cups" is left to the unit that follows.
    """
    following = said.word(end)
    servings = said.vocabulary.servings
    if following in servings:
        return end + 1
    if said.lists("guests", end) and said.word(end + 1) in servings:
        return end + 2
    if said.lists("of-us", end, end + 1):
        return end + 2
    if said.word(at - 1) == "of" and said.lists("groups", at - 2):
        return end
    ended = end == len(said.words) or said.lists("at-table", end, end + 1)
    if said.lists("coming", at - 2, at - 1) and (ended or said.tokens[end].after_break):
        return end
    if not said.lists("feeds", at - 1) and not (
        said.lists("about", at - 1) and said.lists("feeds", at - 2)
    ):
        return None
    is_unit = following and take_unit(following) is not None and following != "people"
    return None if is_unit else end


def _span(said: Said, end: int, low: Fraction, high: Fraction) -> tuple[Span, int] | None:
    """The stretch of time whose unit follows a number, and its end: "2 more days"."""
    at = end + 1 if said.lists("whole", end) and end + 1 < len(said.words) else end
    word = said.word(at)
    unit = None if word in _UNCLEAR else SPELLINGS.get(word)
    if unit is None:
        return None
    part, after = _and_a_part(said, at + 1)
    return Span(low + part, high + part, unit), after


def _and_a_part(said: Said, at: int) -> tuple[Fraction, int]:
    """The part told behind a unit, and its end: the "and a half" of "a cup and a half". None of it
    where a unit of its own follows, as in "a cup and half a pound"."""
    taken = said.number(at + 1) if said.word(at) == "and" and said.word(at + 1) else None
    if taken is None or taken[0] != taken[1] or not 0 < taken[0] < 1:
        return Fraction(0), at
    if said.word(taken[2]) and said.unit(taken[2]) is not None:
        return Fraction(0), at
    return taken[0], taken[2]


def _named_clock(said: Said, at: int) -> Mention | None:
    """ "Noon", "half past eleven", "quarter to one": hours before seven are the afternoon's."""
    vocabulary = said.vocabulary
    minutes = vocabulary.clocks.get(said.words[at])
    if minutes is not None:
        return said.mention("clock", at, at + 1, Fraction(minutes))
    shift = vocabulary.past.get(f"{said.words[at]} {said.word(at + 1)}")
    hour = take_number(said.word(at + 2)) if shift is not None else None
    if shift is None or hour is None or hour[0].denominator != 1 or not 1 <= hour[0] <= 12:
        return None
    return said.mention("clock", at, at + 3, Fraction(_hour(int(hour[0])) * 60 + shift))


def _hour(hour: int) -> int:
    """The hour of a day's work that a bare one to twelve means."""
    return hour + 12 if hour < 7 else hour


def _times(said: Said, at: int) -> Mention | None:
    """ "3x the recipe", "1.5 times the recipe", "times three", "x3": a share of the recipe."""
    word = said.words[at]
    glued = _GLUED.match(word)
    if glued:
        return said.mention("share", at, at + 1, Fraction(int(glued[1])))
    before = word in SIGNS or said.lists("times", at)
    start = at + 1 if before else at
    head = said.word(start)
    if not _NUMBERISH.match(head) and (head not in STARTERS or head in _ARTICLES):
        return None
    taken = said.number(start)
    if taken is None or taken[0] != taken[1] or not taken[0]:
        return None
    end = taken[2]
    if before:
        return said.mention("share", at, end, taken[0])
    of_recipe = said.lists("times", end) and (
        end + 1 == len(said.words)
        or said.lists("of-recipe", end + 1)
        or said.tokens[end + 1].after_break
    )
    if said.word(end) in SIGNS or of_recipe:
        return said.mention("share", at, end + 1, taken[0])
    return None
