"""Finding units by spelling, the compiled unit file, conversions and temperatures."""

import importlib.util
import subprocess
import sys
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.measure.exact import MeasureError
from assistant.measure.units import (
    UNITS,
    convert,
    find_unit,
    take_unit,
    to_celsius,
    to_fahrenheit,
    unit,
)

ROOT = Path(__file__).resolve().parents[2]
MEASURE = ROOT / "assistant" / "measure"
MEASURED = [one for one in UNITS.values() if one.dimension != "count"]
COUNTED = [one for one in UNITS.values() if one.dimension == "count"]


def builder() -> Any:
    """Return the script that compiles the unit file, as a module."""
    spec = importlib.util.spec_from_file_location("build_units", ROOT / "scripts/build_units.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError("scripts/build_units.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_compiled_units_are_what_pint_makes_of_the_unit_file() -> None:
    """Building again gives units.json to the byte."""
    built = builder().compile_units(MEASURE / "units.txt")
    assert built == (MEASURE / "units.json").read_bytes()


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("barrel = [barrel] = _ = CANS", "CANS: claimed by both can and barrel"),
        ("barrel = [barrel] = _ = cans", "cans: pint reads it as barrel, not can"),
    ],
)
def test_one_spelling_for_two_units_stops_the_build(tmp_path: Path, row: str, message: str) -> None:
    """A spelling that two rows claim is an error, never silently the wrong unit."""
    source = tmp_path / "units.txt"
    source.write_text((MEASURE / "units.txt").read_text("utf-8") + row + "\n", "utf-8")
    with pytest.raises(ValueError, match=message):
        builder().compile_units(source)


def test_importing_the_measures_loads_nothing_heavy() -> None:
    """At run time neither pint, numpy, yaml nor difflib is imported."""
    code = (
        "import sys; import assistant.measure.spoons; "
        "print([m for m in ('pint', 'numpy', 'yaml', 'difflib') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.stdout.strip(), done.returncode) == ("[]", 0), done.stderr


@pytest.mark.parametrize("one", UNITS.values(), ids=lambda one: one.name)
def test_every_spelling_finds_its_unit(one: Any) -> None:
    """Each spelling, its label and (unless it is a single letter) its capitals lead to the unit."""
    for spelling in (*one.spellings, one.singular, one.plural, one.short, one.name):
        assert find_unit(spelling) is one
        assert find_unit(f"{spelling}.") is one
        if len(spelling) > 1:
            assert find_unit(spelling.upper()) is one
        assert take_unit(f"{spelling} zz") == (one, "zz")


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("T", "tablespoon"), ("t", "teaspoon"), ("Tbsp.", "tablespoon"), ("TSP", "teaspoon"),
        ("fl. oz.", "fluid_ounce"), ("fl.oz.", "fluid_ounce"), ("Fluid Ounces", "fluid_ounce"),
        ("fluid-ounce", "fluid_ounce"), ("oz", "ounce"), ("ounces", "ounce"), ("lbs.", "pound"),
        ("L", "liter"), ("l", "liter"), ("ML", "milliliter"), ("c.", "cup"),
        ("Calories", "kilocalorie"),
        ("leaves", "leaf"), ("tins", "can"), ("µg", "microgram"), ("μg", "microgram"),
    ],
)  # fmt: skip
def test_spellings_are_forgiving_but_the_two_spoons_stay_apart(word: str, name: str) -> None:
    """Capitals and dots are ignored, except that T is a tablespoon and t a teaspoon."""
    assert unit(word).name == name


@pytest.mark.parametrize("letter", ["C", "G", "M", "m", "p", "P", "q", "Q", "b", "x"])
def test_a_single_letter_that_is_not_certain_raises(letter: str) -> None:
    """A lone letter outside the unit file is refused with its own words."""
    with pytest.raises(MeasureError, match=f'"{letter}" is not certain'):
        unit(letter)


@pytest.mark.parametrize(
    ("text", "name", "rest"),
    [
        ("fl oz broth", "fluid_ounce", "broth"), ("fluid ounces of milk", "fluid_ounce", "of milk"),
        ("fl. oz. lime", "fluid_ounce", "lime"), ("oz. beans", "ounce", "beans"),
        ("cup", "cup", ""),
        ("T oil", "tablespoon", "oil"), ("  cups, packed", "cup", ", packed"),
        ("ounce) can", "ounce", ") can"),
    ],
)  # fmt: skip
def test_the_longest_spelling_is_taken(text: str, name: str, rest: str) -> None:
    """A two-word spelling wins over its first word, and the rest is handed back."""
    assert take_unit(text) == (UNITS[name], rest)


@pytest.mark.parametrize(
    "text",
    ["cupful", "T-bone steak", "cup-shaped", "ounces2", "fl", "", "   ", "lemons", "can't", "é"],
)
def test_a_unit_ends_where_its_word_ends(text: str) -> None:
    """A longer or joined word is not the unit it starts with."""
    assert take_unit(text) is None


@given(st.text())
def test_any_text_is_a_unit_or_none(text: str) -> None:
    """No text breaks the unit readers."""
    find_unit(text)
    taken = take_unit(text)
    assert taken is None or text.endswith(taken[1])


@given(st.sampled_from(MEASURED), st.sampled_from(MEASURED), st.fractions(min_value=0))
def test_converting_there_and_back_changes_nothing(one: Any, other: Any, number: F) -> None:
    """Conversion within a dimension is exact both ways, and refused between dimensions."""
    if one.dimension == other.dimension:
        there = convert(number, one.name, other.name)
        assert convert(there, other.name, one.name) == number
    else:
        with pytest.raises(MeasureError):
            convert(number, one.name, other.name)


def test_counted_units_convert_to_nothing_but_themselves() -> None:
    """Every pair of two different counted units is refused."""
    for one in COUNTED:
        assert convert(F(2), one.name, one.plural) == 2
        for other in UNITS.values():
            if other is not one:
                with pytest.raises(MeasureError):
                    convert(F(1), one.name, other.name)


@pytest.mark.parametrize(
    ("number", "source", "target", "result"),
    [
        (1, "cup", "tbsp", 16), (1, "tbsp", "tsp", 3), (1, "gallon", "cups", 16),
        (2, "lb", "oz", 32),
        (1, "cup", "fl oz", 8), (8, "dashes", "tsp", 1), (16, "pinches", "tsp", 1),
        (1, "foot", "inches", 12),
        (F(1, 2), "kg", "g", 500), (1, "L", "mL", 1000), (1, "kcal", "kJ", F(523, 125)),
    ],
)  # fmt: skip
def test_kitchen_conversions_known_by_heart(number: F, source: str, target: str, result: F) -> None:
    """The conversions every cook knows come out whole."""
    assert convert(F(number), source, target) == result


def test_cup_to_gram_asks_for_a_portion_row() -> None:
    """A volume never becomes a weight by a guess."""
    with pytest.raises(MeasureError, match="portion row") as caught:
        convert(F(1), "cup", "g")
    assert "portion row" in caught.value.advice


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [(32, 0), (41, 5), (212, 100), (140, 60), (-40, -40), (350, F(1590, 9)), (165, F(665, 9))],
)
def test_temperatures_convert_exactly_both_ways(fahrenheit: int, celsius: F) -> None:
    """The fixed points of both scales agree to the fraction."""
    assert to_celsius(F(fahrenheit)) == celsius
    assert to_fahrenheit(F(celsius)) == fahrenheit


@pytest.mark.parametrize(
    ("name", "number", "label"),
    [
        ("cup", F(1, 2), "cup"), ("cup", F(1), "cup"), ("cup", F(3, 2), "cups"),
        ("cup", F(0), "cups"),
        ("tablespoon", F(3), "tbsp"), ("leaf", F(2), "leaves"), ("fluid_ounce", F(2), "fl oz"),
        ("large", F(2), "large"), ("inch", F(2), "inches"),
    ],
)  # fmt: skip
def test_the_label_follows_the_number(name: str, number: F, label: str) -> None:
    """Units without an abbreviation take their plural above one; abbreviations never change."""
    assert UNITS[name].label(number) == label
