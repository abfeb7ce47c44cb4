"""A big batch that must cool: the two stages, how shallow the pan must be, and how many pans."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from assistant.answer import Answer, Figure
from assistant.kinds.shelf import Shelf, make, number, record_source, reference_source
from assistant.kitchen.cooling import deepest, minutes_to_cool, pot_depth
from assistant.measure.amount import Amount, show
from assistant.measure.span import minutes, read_span
from assistant.measure.units import convert, unit
from assistant.question.reading import Reading

_HOT, _WARM, _COLD, _FRIDGE = 135, 70, 41, 38
# What a 9 × 13 inch pan holds at 2 inches: 234 cubic inches, 16.387 mL each.
_PAN_ML = Fraction(234) * Fraction(16387, 1000)
_DEEP_POT = Fraction(6)


def cooling(reading: Reading, shelf: Shelf) -> Answer | None:
    """How a pot is cooled in time, estimated from its depth or its volume."""
    hot = reading.has("hot", "warm") and reading.has("fridge", "refrigerator", "freezer")
    asked = shelf.says(reading, "cooling-words") and shelf.says(reading, "batch-words")
    if not (hot or asked):
        return None
    first, whole = (shelf.corpus.limits.get(name) for name in ("cool-first", "cool-all"))
    rule = shelf.corpus.safety.get("cooling-hot-food")
    if first is None or whole is None or rule is None:
        return None
    most = minutes(read_span(first.time))[0]
    depth = deepest(most, _HOT, _WARM, _FRIDGE)
    volume = _volume(reading)
    inches, said = _depth(reading, volume)
    hours = minutes_to_cool(inches, _HOT, _WARM, _FRIDGE) / 60
    total = minutes_to_cool(inches, _HOT, _COLD, _FRIDGE) / 60
    figures = [
        Figure(
            name="greatest depth that cools in time", value=None, unit="inch",
            shown=f"about {depth:.1f} inches", exact=f"{depth:.2f}",
            working=(
                "Newton cooling, T = Ta + (T0 − Ta)·exp(−t/τ), τ = ρ·c·depth ÷ (2·h)",
                "assumed: holds heat like water (4.18 MJ/m³K), h = 15 W/m²K (memory), uncovered",
                f"from {_HOT} to {_WARM} °F in a refrigerator at {_FRIDGE} °F within {first.time}",
            ),
        ),
        Figure(
            name="time to cool as it stands", value=None, unit="hours",
            shown=f"about {hours:.0f} hours to {_WARM} °F", exact=f"{hours:.1f}",
            working=(
                said,
                f"{_HOT} to {_WARM} °F: {hours:.1f} hours; to {_COLD} °F: {total:.0f} hours in all",
            ),
        ),
    ]  # fmt: skip
    lines = [
        f"As it stands ({said}): about {hours:.0f} hours to {_WARM} °F, far over {first.time}."
        if hours * 60 > most
        else f"As it stands ({said}): about {hours:.1f} hours to {_WARM} °F, within {first.time}.",
        f"By the same estimate a layer of up to {depth:.1f} inches cools in time.",
        "It is an estimate for still air and thin food; thick food cools more slowly, an ice bath "
        "and stirring are faster. A thermometer decides.",
        rule.text,
    ]
    if volume is not None:
        grams, shown = volume
        pans = ceil(grams / _PAN_ML)
        figures.append(
            Figure(
                name="pans of 9 × 13 inches, 2 inches deep", value=Fraction(pans), unit="pans",
                shown=str(pans), working=(f"{shown} ÷ {number(_PAN_ML / 1000)} L a pan, up",),
            )
        )  # fmt: skip
        lines.insert(
            0, f"{shown} fills {pans} pan{'s' if pans > 1 else ''} of 9 × 13 inches, 2 inches deep."
        )
    if reading.outside:
        lines.append(f"It holds for any hot food, {' '.join(reading.outside)} too.")
    headline = (
        f"Spread it no more than 2 inches deep: {_HOT} to {_WARM} °F within {first.time}, "
        f"{_COLD} °F within {whole.time} in all."
    )
    sources = [record_source(first), reference_source(shelf, first.source), record_source(rule),
               reference_source(shelf, rule.source)]  # fmt: skip
    return make(reading, "computed", headline, figures, lines, sources)


def _volume(reading: Reading) -> tuple[Fraction, str] | None:
    """The volume named, in milliliters, and as it was said."""
    for mention in reading.all("amount"):
        value = mention.value
        if isinstance(value, Amount) and value.unit and unit(value.unit).dimension == "volume":
            return convert(value.high, value.unit, "milliliter"), show(value)
    return None


def _depth(reading: Reading, volume: tuple[Fraction, str] | None) -> tuple[Fraction, str]:
    """How deep the food stands, in inches: as said, as a pot of that volume, or as a usual pot."""
    for mention in reading.all("number"):
        after = reading.words[mention.end] if mention.end < len(reading.words) else ""
        said = isinstance(mention.value, Fraction) and after in {"inch", "inches", "in"}
        if said and isinstance(mention.value, Fraction) and mention.value > 0:
            return mention.value, f"{number(mention.value)} inches deep"
    if volume is not None:
        inches = pot_depth(volume[0])
        return inches, f"{volume[1]} in a pot as deep as wide, {number(inches)} inches"
    return _DEEP_POT, f"a pot {number(_DEEP_POT)} inches deep"
