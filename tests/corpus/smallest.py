# ruff: noqa: E501  # the YAML below stands as a user would write it
"""The smallest sound corpus, made in a folder: the tests lay their broken files over it."""

from __future__ import annotations

from pathlib import Path

FILES = {
    "programme.yaml": """\
id: test-kitchen
name: Test Kitchen
employer: Test Works
contact: kitchen@example.org
meal_energy: {low: 400, high: 500, source: common-practice}
emergency_number: "911"
""",
    "references.yaml": """\
- {id: common-practice, title: "Common practice, no source"}
- {id: sr28, title: USDA SR28}
""",
    "foods.csv": (
        "code,name,group,refuse_pct,refuse,energy_kcal,sodium_mg\n"
        '11282,"Onions, raw",Vegetables,10,Ends,40,4\n'
        '04053,"Oil, olive",Fats,,,884,2\n'
    ),
    "portions.csv": (
        "code,seq,amount,measure,grams\n"
        '11282,1,1,"cup, chopped",160\n'
        '11282,2,1,"medium (2-1/2"" dia)",110\n'
        "04053,1,1,tablespoon,13.5\n"
    ),
    "vocabulary/nutrients.yaml": """\
- {id: energy, column: energy_kcal, name: energy, unit: kcal, names: [calories], rounding: energy, main: true, source: sr28}
- {id: sodium, column: sodium_mg, name: sodium, unit: mg, names: [sodium], rounding: sodium, daily_value: 2300, main: true, source: sr28}
""",
    "vocabulary/lists.yaml": """\
- {id: line-descriptors, about: words beside a name, words: [medium, chopped, diced]}
- {id: servings-words, about: words that count people, words: [people, servings, of us]}
""",
    "pantry/all.yaml": """\
- {id: onion, name: onion, plural: onions, food: "11282", origin: plant, gluten: free, storage: onions}
- {id: olive-oil, name: olive oil, food: "04053", origin: plant, gluten: free}
""",
    "safety/storage.yaml": """\
- {id: onions, title: Onions, state: fresh, fridge: 2–3 weeks, source: common-practice}
- {id: cooked, title: Cooked dishes, state: cooked, fridge: 3–4 days, freezer: 2–3 months, source: common-practice}
""",
    "recipes/fried-onions.yaml": """\
id: fried-onions
title: Fried onions
summary: Onions fried in oil.
course: side
yields: {servings: 4, measure: 1/2 cup}
ingredients:
  - 3 medium onions, diced
  - 2 tbsp olive oil
  - 1 cup onions, chopped, optional
steps:
  - {id: fry, text: Fry the onions in the oil., active: 10–12 min, uses: [onions, olive oil]}
storage: {rule: cooked, freezes: fairly}
sources: [common-practice]
""",
}


def write(folder: Path, changes: dict[str, str] | None = None) -> Path:
    """Write the corpus to a folder, with some files replaced (or removed, where empty)."""
    for name, text in {**FILES, **(changes or {})}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if text:
            path.write_text(text, encoding="utf-8")
    return folder
