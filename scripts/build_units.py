"""Compile assistant/measure/units.txt into units.json with pint.

Run it after every change of units.txt:  python scripts/build_units.py
The same units.txt always gives the same bytes, so a test can compare them.
"""

import json
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pint

MEASURE = Path(__file__).resolve().parent.parent / "assistant" / "measure"
BASES = {
    "volume": "milliliter",
    "weight": "gram",
    "length": "centimeter",
    "energy": "kilocalorie",
}


def rows(source: Path) -> list[list[str]]:
    """Return the fields of each row of the unit file (name, size, short form, spellings)."""
    texts = (line.split("#")[0].strip() for line in source.read_text("utf-8").splitlines())
    return [[field.strip() for field in text.split("=")] for text in texts if text]


def compile_units(source: Path) -> bytes:
    """Return units.json for a unit file.

    Sizes come from pint (exact fractions), and pint must resolve every spelling to the row it
    stands in. Raises ValueError for a spelling that two units claim once capitals are ignored.
    """
    registry: Any = pint.UnitRegistry(str(source), non_int_type=Fraction)
    owners: dict[str, str] = {}
    lines = []
    for fields in rows(source):
        name, _, *words = fields
        spellings = [name, *(word for word in words if word != "_")]
        for word in spellings:
            if registry.get_name(word) != name:
                raise ValueError(f"{word}: pint reads it as {registry.get_name(word)}, not {name}")
            key = word if len(word) == 1 else word.lower()
            if owners.setdefault(key, name) != name:
                raise ValueError(f"{word}: claimed by both {owners[key]} and {name}")
        lines.append(json.dumps(_row(registry, name, words, spellings), ensure_ascii=False))
    return ("[\n" + ",\n".join(lines) + "\n]\n").encode()


def _row(registry: Any, name: str, words: list[str], spellings: list[str]) -> dict[str, Any]:
    one = registry.Quantity(Fraction(1), name)
    fit = [kind for kind, base in BASES.items() if one.check(registry.Quantity(1, base))]
    dimension = fit[0] if fit else "count"
    factor = Fraction(one.to(BASES[dimension]).magnitude) if fit else Fraction(1)
    singular = name.replace("_", " ")
    return {
        "name": name,
        "dimension": dimension,
        "factor": f"{factor.numerator}/{factor.denominator}",
        "singular": singular,
        "plural": words[1].replace("_", " ") if len(words) > 1 else singular,
        "short": words[0].replace("_", " ") if words and words[0] != "_" else singular,
        "spellings": [word.replace("_", " ") for word in spellings],
    }


def main() -> int:
    """Write units.json beside units.txt and say how many units it holds."""
    content = compile_units(MEASURE / "units.txt")
    (MEASURE / "units.json").write_bytes(content)
    print(f"units.json: {content.count(b'dimension')} units")
    return 0


if __name__ == "__main__":
    sys.exit(main())
