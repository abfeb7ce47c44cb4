"""Two dishes or two foods side by side, and the dish with most or least of something."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Nutrient, Recipe
from assistant.kinds.nutrition.figures import (
    figure,
    gaps,
    portion,
    rough,
    shown,
    sources,
    sums,
)
from assistant.kinds.nutrition.portions import one_serving
from assistant.kinds.nutrition.serving import called, per_serving
from assistant.kinds.shelf import Shelf, capital, food_source, listed, make, number, record_source
from assistant.kitchen.composition import Value
from assistant.question.reading import Reading

_MOST_RANKED = 5


def recipes_named(reading: Reading, shelf: Shelf) -> list[Recipe]:
    """The recipes named in a question, each place in it once."""
    found: list[str] = []
    taken: set[int] = set()
    mentions = sorted(reading.all("recipe"), key=lambda m: (m.start - m.end, m.start))
    for m in mentions:
        if not taken & set(range(m.start, m.end)):
            taken |= set(range(m.start, m.end))
            found.append(m.id)
    order = [m.id for m in reading.all("recipe") if m.id in found]
    return [shelf.corpus.recipes[ident] for ident in dict.fromkeys(order)]


def two_recipes(
    reading: Reading, two: Sequence[Recipe], nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer:
    """A serving of each, with the difference."""
    first, second = two[0], two[1]
    a = sums(first.lines, first, nutrients, shelf)
    b = sums(second.lines, second, nutrients, shelf)
    shares = [one_serving(r).share for r in (first, second)]
    figures: list[Figure] = []
    table = [f"{'':<20}{_cut(first.title):>22}{_cut(second.title):>22}{'difference':>12}"]
    for one, other in zip(a, b, strict=True):
        figures.append(figure(one, shares[0], f"one {first.yields.unit}", first.title.lower()))
        figures.append(figure(other, shares[1], f"one {second.yields.unit}", second.title.lower()))
        low, high, lack = portion(one, shares[0])
        low2, high2, lack2 = portion(other, shares[1])
        sign = "+" if high2 > high else "−" if high2 < high else ""
        unit = one.nutrient.unit
        table.append(
            f"{capital(one.nutrient.name):<20}{shown(low, high, one.nutrient, lack):>22}"
            f"{shown(low2, high2, one.nutrient, lack2):>22}"
            f"{sign + rough(abs(high2 - high), unit) + ' ' + unit:>12}"
        )
    lead = nutrients[0]
    x, y = portion(a[0], shares[0])[1], portion(b[0], shares[1])[1]
    texts = [
        called(shown(*portion(made, share)[:2], lead), lead)
        for made, share in ((a[0], shares[0]), (b[0], shares[1]))
    ]
    more, less = (0, 1) if x >= y else (1, 0)
    headline = (
        f"{two[more].title}: {texts[more]} a {two[more].yields.unit}; "
        f"{two[less].title.lower()}: {texts[less]} a {two[less].yields.unit}."
    )
    lines = [
        *table,
        *gaps(a, shares[0], shelf),
        *gaps(b, shares[1], shelf),
        *(
            f"{r.title}: one {r.yields.unit} is {r.yields.measure}; it makes {r.yields.servings}."
            for r in (first, second)
        ),
    ]
    lacking = any(portion(m, shares[0])[2] for m in a) or any(portion(m, shares[1])[2] for m in b)
    return make(
        reading,
        "partial" if lacking else "computed",
        headline,
        figures,
        lines,
        [
            record_source(first),
            record_source(second),
            *sources(first, a, shelf),
            *sources(second, b, shelf),
        ],
    )


def _cut(title: str) -> str:
    return title if len(title) <= 21 else f"{title[:20].rstrip()}…"


def _courses(shelf: Shelf) -> set[str]:
    """The courses that the recipes name: soup, salad, main, …"""
    return {recipe.course for recipe in shelf.corpus.recipes.values()}


def ranked(reading: Reading, nutrient: Nutrient, shelf: Shelf) -> Answer:
    """The recipes by one nutrient in a serving: most first, or least first."""
    least = shelf.says(reading, "least-words")
    rows = []
    course = next(
        (w for word in reading.words if (w := word.removesuffix("s")) in _courses(shelf)), ""
    )
    for recipe in shelf.corpus.recipes.values():
        if course and recipe.course != course and course not in recipe.title.lower().split():
            continue
        made, value = per_serving(recipe, nutrient, shelf)
        share = one_serving(recipe).share
        rows.append((value, recipe, made, portion(made, share)[2]))
    rows.sort(key=lambda row: (row[0] if least else -row[0], row[1].id))
    kept = rows[:_MOST_RANKED]
    figures = [
        figure(made, one_serving(r).share, f"one {r.yields.unit}", r.title.lower())
        for _, r, made, _ in kept
    ]
    lines = [
        f"{i}. {r.title}: {called(f.shown, nutrient)} in one {r.yields.unit} ({r.yields.measure})."
        for i, ((_, r, _, _), f) in enumerate(zip(kept, figures, strict=True), 1)
    ]
    top = kept[0][1]
    word = "least" if least else "most"
    extreme = "lowest" if least else "highest"
    lacking = any(lack for _, _, _, lack in kept)
    return make(
        reading,
        "partial" if lacking else "computed",
        f"{top.title} has the {word}: {called(figures[0].shown, nutrient)} "
        f"in one {top.yields.unit}.",
        figures,
        (
            *lines,
            f"Compared: {len(rows)} dishes{f' ({course})' if course else ''}, every recipe, "
            f"one serving of each as written; {extreme} first.",
        ),
        [record_source(r) for _, r, _, _ in kept],
    )


def two_foods(
    reading: Reading, items: Sequence[str], nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer | None:
    """100 g of each of two pantry items side by side; None where one is not in the pantry."""
    found = [item for item in (shelf.item(i) for i in items[:2]) if item is not None]
    if len(found) < 2:
        return None
    figures: list[Figure] = []
    table = [
        f"{'In 100 g':<20}{_cut(capital(found[0].name)):>22}{_cut(capital(found[1].name)):>22}"
    ]
    heads: list[tuple[Fraction, str]] = []
    lacking: list[str] = []
    for nutrient in nutrients:
        cells = []
        for item in found:
            value = shelf.table.of(item.id, item.food, nutrient)
            if not isinstance(value, Value):
                cells.append("no figure")
                lacking.append(f"{nutrient.name} of {item.name}")
                continue
            cells.append(f"{number(value.amount)} {nutrient.unit}")
            figures.append(
                Figure(
                    name=f"{nutrient.name} in 100 g of {item.name}",
                    value=value.amount,
                    unit=nutrient.unit,
                    shown=cells[-1],
                    working=(f"{cells[-1]} in 100 g ({value.how})",),
                )
            )
            if nutrient is nutrients[0]:
                heads.append((value.amount, f"{item.name} {cells[-1]}"))
        table.append(f"{capital(nutrient.name):<20}{cells[0]:>22}{cells[1]:>22}")
    heads.sort(key=lambda pair: -pair[0])
    if not heads:
        headline = f"There is no figure for {listed(lacking[:2])}."
    else:
        named = "energy" if nutrients[0].id == "energy" else nutrients[0].name
        headline = f"{capital(named)} in 100 g: {', '.join(text for _, text in heads)}."
    note = [f"There is no figure for {listed(lacking)}."] if lacking and heads else []
    return make(
        reading,
        "partial" if lacking else "computed",
        headline,
        figures,
        (*table, *note),
        [
            s
            for item in found
            for s in (record_source(item), *([food_source(shelf, item.food)] if item.food else []))
        ],
    )
