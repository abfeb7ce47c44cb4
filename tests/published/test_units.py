"""Unit sizes against outside sources: NIST, UCUM, and pint's own default registry."""

from fractions import Fraction as F
from itertools import product
from typing import Any

import pint
import pytest

from assistant.measure.units import UNITS, convert, to_celsius

SP811 = "NIST SP 811, appendix B (exact conversion factors)"
UCUM = "UCUM essence 2.2 (exact unit definitions)"
SP430 = "NIST SP 430, Household Weights and Measures"
KITCHEN = "NIST Office of Weights and Measures, kitchen measurement equivalencies"

# (unit, size in its base, source). Every decimal is the exact, unrounded size.
EXACT = [
    ("inch", "2.54", UCUM),
    ("foot", "30.48", SP811),
    ("gallon", "3785.411784", UCUM),
    ("quart", "946.352946", UCUM),
    ("pint", "473.176473", UCUM),
    ("cup", "236.5882365", UCUM),
    ("fluid_ounce", "29.5735295625", UCUM),
    ("tablespoon", "14.78676478125", UCUM),
    ("teaspoon", "4.92892159375", UCUM),
    ("pound", "453.59237", SP811),
    ("ounce", "28.349523125", SP811),
    ("kilogram", "1000", SP811),
    ("milligram", "0.001", SP811),
    ("microgram", "0.000001", SP811),
    ("liter", "1000", SP811),
    ("deciliter", "100", SP811),
    ("centiliter", "10", SP811),
    ("millimeter", "0.1", SP811),
]

# (number, unit, other unit, how many, source)
CHAIN = [
    (1, "tablespoon", "teaspoon", 3, SP430),
    (1, "cup", "tablespoon", 16, SP430),
    (1, "cup", "fluid_ounce", 8, SP430),
    (1, "pint", "cup", 2, SP430),
    (1, "quart", "pint", 2, UCUM),
    (1, "gallon", "quart", 4, UCUM),
    (1, "gallon", "fluid_ounce", 128, UCUM),
    (1, "pound", "ounce", 16, UCUM),
]

# Rounded household figures: (number, unit, printed, metric unit, source). The table's half gallon
# (1950 mL) is left out: it contradicts the table's own quart, and the exact size is 1893 mL.
HOUSEHOLD = [
    ("1/4", "teaspoon", "1.25", "milliliter", KITCHEN),
    ("1/2", "teaspoon", "2.5", "milliliter", KITCHEN),
    ("1", "teaspoon", "5", "milliliter", KITCHEN),
    ("1", "tablespoon", "15", "milliliter", KITCHEN),
    ("1", "fluid_ounce", "30", "milliliter", KITCHEN),
    ("1/4", "cup", "60", "milliliter", KITCHEN),
    ("1/3", "cup", "80", "milliliter", KITCHEN),
    ("1/2", "cup", "120", "milliliter", KITCHEN),
    ("3/4", "cup", "180", "milliliter", KITCHEN),
    ("1", "cup", "240", "milliliter", KITCHEN),
    ("1", "pint", "480", "milliliter", KITCHEN),
    ("1", "pint", "470", "milliliter", SP430),
    ("3", "cup", "720", "milliliter", KITCHEN),
    ("1", "quart", "950", "milliliter", KITCHEN),
    ("1", "gallon", "3.84", "liter", KITCHEN),
    ("1", "ounce", "28", "gram", KITCHEN),
    ("4", "ounce", "114", "gram", KITCHEN),
    ("1", "pound", "454", "gram", KITCHEN),
    ("1", "kilogram", "2.2", "pound", KITCHEN),
]

# (degrees F, degrees C to one decimal): C = (F - 32) x 5/9, NIST SP 811 section B.8
TEMPERATURES = [
    (0, "-17.8"), (32, "0"), (40, "4.4"), (41, "5"), (70, "21.1"), (90, "32.2"), (135, "57.2"),
    (140, "60"), (145, "62.8"), (155, "68.3"), (160, "71.1"), (165, "73.9"), (212, "100"),
    (350, "176.7"),
]  # fmt: skip

MEASURED = [one for one in UNITS.values() if one.dimension != "count"]
OWN = {"dash", "pinch"}  # common practice: pint's default registry has no such units
BASES = {"volume": "mL", "weight": "g", "length": "cm", "energy": "kcal"}


@pytest.mark.parametrize(("name", "size", "source"), EXACT)
def test_a_unit_has_its_defined_size(name: str, size: str, source: str) -> None:
    """The factor equals the published exact definition."""
    assert UNITS[name].factor == F(size), source


def test_the_gallon_follows_from_its_definition() -> None:
    """231 cubic inches of 2.54 cm make the gallon, worked out here and not read from the file."""
    assert UNITS["gallon"].factor == 231 * F(254, 100) ** 3


@pytest.mark.parametrize(("number", "one", "other", "many", "source"), CHAIN)
def test_the_household_chain_holds(
    number: int, one: str, other: str, many: int, source: str
) -> None:
    """Each larger measure holds the published number of smaller ones."""
    assert convert(F(number), one, other) == many, source


@pytest.mark.parametrize(("number", "name", "printed", "metric", "source"), HOUSEHOLD)
def test_the_household_figures_are_close(
    number: str, name: str, printed: str, metric: str, source: str
) -> None:
    """The published round figures lie within 2 % of the exact ones."""
    exact = convert(F(number), name, metric)
    assert abs(exact - F(printed)) <= exact * F(2, 100), source


@pytest.mark.parametrize(("fahrenheit", "celsius"), TEMPERATURES)
def test_published_temperatures(fahrenheit: int, celsius: str) -> None:
    """Each Fahrenheit figure gives the published Celsius figure to one decimal."""
    assert abs(to_celsius(F(fahrenheit)) - F(celsius)) <= F(1, 20)


def test_the_food_calorie_is_the_thermochemical_kilocalorie() -> None:
    """1 kcal is 4.184 kJ (NIST SP 811: thermochemical calorie)."""
    assert convert(F(1), "kilocalorie", "kilojoule") == F("4.184")


def test_volume_and_weight_ounces_are_two_units() -> None:
    """A fluid ounce measures volume and an ounce weight, with the sizes of their definitions."""
    assert UNITS["fluid_ounce"].dimension == "volume"
    assert UNITS["ounce"].dimension == "weight"


@pytest.fixture(scope="module")
def default_registry() -> Any:
    """Return pint's own registry, from the definitions it ships with."""
    return pint.UnitRegistry(non_int_type=F)


def test_every_conversion_equals_that_of_pints_default_registry(default_registry: Any) -> None:
    """All pairs of measured units convert as pint's shipped definitions convert them."""
    compared = 0
    for one, other in product(MEASURED, repeat=2):
        if one.dimension != other.dimension or {one.name, other.name} & OWN:
            continue
        theirs = default_registry.Quantity(F(7, 3), one.name).to(other.name).magnitude
        assert convert(F(7, 3), one.name, other.name) == theirs, (one.name, other.name)
        compared += 1
    assert compared == 4**2 + 11**2 + 6**2 + 2**2


def test_every_size_equals_that_of_pints_default_registry(default_registry: Any) -> None:
    """Factors to the base units agree, and pint agrees about the dimension."""
    for one in MEASURED:
        if one.name not in OWN:
            theirs = default_registry.Quantity(F(1), one.name).to(BASES[one.dimension])
            assert one.factor == theirs.magnitude, one.name
