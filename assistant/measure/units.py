"""Units of the kitchen: finding one by its spelling, converting, and temperatures.

The units stand in units.txt; scripts/build_units.py compiles them with pint into units.json, so
that nothing has to load pint at run time.
"""

import re
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

import msgspec

from assistant.measure.exact import MeasureError, exact

Dimension = Literal["volume", "weight", "length", "energy", "count"]

_LETTERS = r"([^\W\d_]+)"
_SPELLING = re.compile(rf"{_LETTERS}(?:(\.\s*|\s+|[-_])(?={_LETTERS}))?")
_JOINED = re.compile(r"['’_0-9]|[-‐‑][^\W\d_]")
_LONGEST = 40


class Unit(msgspec.Struct, frozen=True):
    """One unit: its size is `factor` times the base unit of its dimension.

    Bases: milliliter, gram, centimeter, kilocalorie. Counted units have dimension "count", factor
    1, and convert to nothing but themselves. `short` equals `singular` where cooks write no
    abbreviation.
    """

    name: str
    dimension: Dimension
    factor: Fraction
    singular: str
    plural: str
    short: str
    spellings: tuple[str, ...]

    def label(self, number: Fraction) -> str:
        """Return the word printed after this number: "tbsp", "cup" up to one, "cups" above."""
        if self.short != self.singular:
            return self.short
        return self.singular if 0 < number <= 1 else self.plural


def _read_factor(_: type, text: Any) -> Fraction:
    return exact(text)


def _load() -> tuple[dict[str, Unit], dict[str, Unit]]:
    content = Path(__file__).with_name("units.json").read_bytes()
    every = msgspec.json.decode(content, type=list[Unit], dec_hook=_read_factor)
    return {one.name: one for one in every}, {_key(s): one for one in every for s in one.spellings}


def _key(word: str) -> str:
    """Return the form under which a spelling is filed: dots dropped, capitals ignored.

    A single letter keeps its case, because T is a tablespoon and t a teaspoon.
    """
    plain = " ".join(re.split(r"[\s_.\-]+", word.strip(" \t\n._-")))
    return plain if len(plain) == 1 else plain.lower()


_NAMES, _SPELLINGS = _load()
UNITS = MappingProxyType(_NAMES)
"""Every unit by name, in the order of units.txt."""


def find_unit(word: str) -> Unit | None:
    """Return the unit with this spelling, or None.

    Capitals and dots do not matter ("Tbsp.", "fl. oz."), save for a single letter, which counts
    only as units.txt writes it: `T`, `t`, `c`, `g`, `L`, `l`.
    """
    return _SPELLINGS.get(_key(word)) if len(word) <= _LONGEST else None


def unit(word: str) -> Unit:
    """Return the unit with this spelling; MeasureError, with the word, if there is none."""
    found = find_unit(word)
    if found is None:
        raise unknown_unit(word, word)
    return found


def unknown_unit(words: str, word: str) -> MeasureError:
    """Return the error for a word that is no unit, met while reading `words`."""
    expected = 'a unit such as "cup", "tbsp", "oz" or "clove"'
    bare = word.strip(" .")
    if not bare:
        return MeasureError(words, "the unit is missing", expected=expected)
    if len(bare) == 1:
        problem = f'the single letter "{bare}" is not certain'
        return MeasureError(words, problem, expected=expected, advice="write the unit out in full")
    near = _nearest(bare) if len(bare) <= _LONGEST else None
    advice = f'did you mean "{near}"?' if near else ""
    shown = bare if len(bare) <= _LONGEST else bare[:_LONGEST] + "..."
    problem = f'"{shown}" is not a unit I know'
    return MeasureError(words, problem, expected=expected, advice=advice)


def _nearest(word: str) -> str | None:
    """Return the label closest to a misspelled word: the same letters first, measures on a tie."""
    import difflib  # only an error needs it, and importing the measures must stay quick

    wrong = _key(word)
    labels = {
        label: one for one in UNITS.values() for label in (one.singular, one.plural, one.short)
    }
    close = difflib.get_close_matches(
        wrong, [label for label in labels if len(label) > 2], n=5, cutoff=0.75
    )
    return min(
        close,
        key=lambda label: (
            sorted(label) != sorted(wrong),
            -difflib.SequenceMatcher(None, label, wrong).ratio(),
            labels[label].dimension == "count",
            label,
        ),
        default=None,
    )


def take_unit(text: str) -> tuple[Unit, str] | None:
    """Read the longest unit spelling at the start of the text, up to the end of a word.

    Returns the unit and the rest (always the end of the text, without leading spaces), or None.
    "fl oz broth" gives the fluid ounce and "broth"; "cupful" gives None.
    """
    start = len(text) - len(text.lstrip())
    found = _SPELLING.match(text, start)
    if found is None or len(found[1]) > _LONGEST:
        return None
    ends = [found.end(1)]
    words = [found[1]]
    if found[3] and len(found[3]) <= _LONGEST:
        ends.insert(0, found.end() + len(found[3]))
        words.insert(0, f"{found[1]} {found[3]}")
    for word, end in zip(words, ends, strict=True):
        one = _SPELLINGS.get(_key(word))
        if one is not None and not _JOINED.match(text, end):
            return one, text[end:].removeprefix(".").lstrip()
    return None


def convert(number: Fraction, source: str, target: str) -> Fraction:
    """Return `number` of the source unit counted in the target unit, exactly.

    MeasureError when a unit is unknown or the two measure different things: a cup becomes grams
    only through a portion row of the food (its weight per measure), never a guessed density.
    """
    one, other = unit(source), unit(target)
    if one.dimension == other.dimension != "count":
        return number * one.factor / other.factor
    if one.name == other.name:
        return number
    raise different(one, other, f"{source} to {target}")


def different(one: Unit, other: Unit, words: str, doing: str = "convert") -> MeasureError:
    """Return the error for two units that measure different things."""
    kinds = {one.dimension, other.dimension}
    if "count" in kinds or kinds == {"volume", "weight"}:
        advice = "a portion row for the food is needed, which says what one measure of it weighs"
    else:
        advice = f"choose a unit of {one.dimension}"
    problem = f"{_described(one)} and {_described(other)}"
    return MeasureError(
        words, problem, expected="two units of the same kind", advice=advice, doing=doing
    )


def _described(one: Unit) -> str:
    kind = "is only counted" if one.dimension == "count" else f"measures {one.dimension}"
    return f"{one.singular} {kind}"


def to_celsius(fahrenheit: Fraction) -> Fraction:
    """Return degrees Celsius for degrees Fahrenheit, exactly: C = (F - 32) x 5/9 (NIST SP 811)."""
    return (exact(fahrenheit) - 32) * Fraction(5, 9)


def to_fahrenheit(celsius: Fraction) -> Fraction:
    """Return degrees Fahrenheit for degrees Celsius, exactly: F = C x 9/5 + 32 (NIST SP 811)."""
    return exact(celsius) * Fraction(9, 5) + 32
