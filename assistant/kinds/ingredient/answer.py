"""What an ingredient is, where it is found, how to choose it, and how two of them differ."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer, Figure
from assistant.corpus.lines import all_names
from assistant.corpus.records import Ingredient
from assistant.kinds.crossed import listed as listed_words
from assistant.kinds.fitting import telling_words
from assistant.kinds.ingredient.where import where_answer
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import (
    Shelf,
    capital,
    food_source,
    listed,
    make,
    number,
    record_source,
)
from assistant.kinds.swap.elided import completed
from assistant.kinds.unknown import unknown
from assistant.kitchen.diets import allergens
from assistant.kitchen.shopping import aisle_of
from assistant.kitchen.swaps import find_swaps
from assistant.question.reading import Reading
from assistant.retrieval.index import Passage
from assistant.retrieval.words import tokens

_COMPARED = ("energy", "protein", "fiber", "sodium")
_GRADES = {"contains": "contains", "may": "may contain (read the label)"}


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """From the pantry's remark, the notes and the aisles; two ingredients are compared."""
    # "What kind of salmon": a dish's short name is a food, too.
    named = reading.foods or (
        reading.ids("ingredient") if shelf.says(reading, "kind-words") else ()
    )
    if shelf.says(reading, "difference-certain") or reading.has("or"):
        # "Red and brown lentils": the first is named by half.
        both = completed([m for m in reading.all("ingredient") if m.id in named], reading, shelf)
        named = tuple(dict.fromkeys(m.id for m in both)) or named
    items = [item for ident in named if (item := shelf.item(ident))]
    if not items:
        if shelf.says(reading, "where-words") and not telling_words(reading, shelf):
            return unknown(reading, shelf)  # "where do I find them?" names nothing
        found = best(reading, shelf, ("ingredient", "technique"))
        # A step of a recipe tells what is done with a thing, not what it is.
        told = found is not None and found[1].source != "recipe"
        return quoted(reading, shelf, found[1]) if found and told else unknown(reading, shelf)
    if shelf.says(reading, "where-words") and not shelf.says(reading, "difference-words"):
        return where_answer(reading, items, shelf)
    if len(items) > 1 and shelf.says(reading, "difference-words"):
        return _compare(reading, items[:3], shelf)
    if len(items) == 1 and shelf.says(reading, "difference-certain"):
        # Names of one thing in the pantry may still differ: a note knows better.
        found = best(reading, shelf, ("ingredient",))
        if found is not None and found[1].source == "note" and _differs(found[1], shelf):
            return quoted(reading, shelf, found[1])
        twice = _two_names(reading, items[0])
        if twice is not None:
            return twice
    return _one(reading, items[0], shelf)


def _differs(passage: Passage, shelf: Shelf) -> bool:
    """Whether a note says of itself that it sets kinds of a thing apart."""
    words = listed_words(shelf, "apart-words")
    texts = (passage.title, *passage.asks)
    return any(token.text in words for text in texts for token in tokens(text))


def _two_names(reading: Reading, item: Ingredient) -> Answer | None:
    """ "Are chickpeas and garbanzo beans the same?": two names of one thing."""
    found = [m for m in reading.all("ingredient") if m.id == item.id and not m.corrected]
    texts = list(dict.fromkeys(m.text.lower() for m in found))
    if len({m.start for m in found}) < 2 or len(texts) < 2:
        return None
    same = f"{texts[0]} and {texts[1]} are two names for the same thing."
    headline = f"Yes: {same}" if reading.has("same") else capital(same)
    return make(reading, "quoted", headline, (), (item.about,), (record_source(item),))


def _one(reading: Reading, item: Ingredient, shelf: Shelf) -> Answer:
    """The remark on one ingredient, its other names, what it does, where it stands."""
    remark = item.about or f"{capital(item.name)} is in the pantry list, with no remark."
    headline, rest = _first_sentence(_named(item, remark))
    lines = [rest] if rest else []
    others = [name for name in all_names(item)[1:] if name != item.plural]
    if others:
        lines.append(f"Also called: {listed(others[:5], 'or')}.")
    roles = [shelf.corpus.roles[r] for r in item.role if r in shelf.corpus.roles]
    if roles:
        lines.append(f"In a dish it {listed([r.does for r in roles[:3]])}.")
    aisle = aisle_of(item, shelf.corpus.aisles)
    if aisle is not None:
        lines.append(f"In the store: {aisle.where}")
    lines += _allergens(item)
    used = [
        recipe.title.lower()
        for recipe in shelf.corpus.recipes.values()
        if any(line.item == item.id for line in recipe.lines)
    ]
    if used:
        lines.append(f"Used in: {listed(used[:6])}.")
    notes = [n for n in shelf.corpus.notes.values() if item.id in n.ingredients]
    lines += [f'There is a note on it: "{note.title}".' for note in notes[:3]]
    swaps = find_swaps(item.id, shelf.corpus, reading.recipe)
    if swaps:
        names = dict.fromkeys(shelf.corpus.pantry[s.use].name for s in swaps if s.fit != "no")
        lines.append(f"On record in its place: {listed(list(names)[:4], 'or')}.")
    sources = [record_source(item), *(record_source(note) for note in notes[:3])]
    if aisle is not None:
        sources.append(record_source(aisle))
    return make(reading, "quoted", headline, (), lines, sources)


def _named(item: Ingredient, remark: str) -> str:
    """`Farro: an old wheat …`: a remark that does not name its ingredient, named."""
    if item.name.lower() in remark.lower()[:60]:
        return remark
    first, _, rest = remark.partition(" ")
    start = first.lower() if first in {"A", "An", "The"} else first
    return f"{capital(item.name)}: {start} {rest}"


def _first_sentence(text: str) -> tuple[str, str]:
    for end in (". ", "; "):
        head, found, rest = text.partition(end)
        if found and len(head) < 119:
            return f"{head}.", capital(rest)
    if len(text) <= 120:
        return text, ""
    cut = text.rfind(" ", 0, 118)
    return f"{text[:cut]} …", text


def _allergens(item: Ingredient) -> list[str]:
    found = [f"{_GRADES[g]} {name}" for name, g in allergens((item,)).items() if g != "free"]
    return [f"Allergens: {listed(found)}."] if found else []


def _compare(reading: Reading, items: Sequence[Ingredient], shelf: Shelf) -> Answer:
    """The remarks side by side, and what 100 g of each holds."""
    figures, lines, sources = [], [], []
    for item in items:
        told = []
        for ident in _COMPARED:
            nutrient = shelf.corpus.nutrients[ident]
            value = shelf.table.value(item.food, nutrient) if item.food else None
            if value is None:
                continue
            places = 0 if nutrient.unit in {"kcal", "mg"} else 1
            shown = f"{number(value, places)} {nutrient.unit}"
            told.append(f"{nutrient.name} {shown}")
            figures.append(
                Figure(
                    name=f"{item.name}: {nutrient.name} in 100 g",
                    value=value,
                    unit=nutrient.unit,
                    shown=shown,
                    working=(f"SR28 {item.food}",),
                )
            )
        lines.append(f"{capital(item.name)}: {item.about}".strip(": "))
        if told:
            lines.append(f"100 g of {item.name}: {listed(told)}.")
            sources.append(food_source(shelf, item.food))
        lines += [f"{capital(item.name)}: {text}" for text in _allergens(item)]
        sources.append(record_source(item))
    first, second = items[0], items[1]
    swaps = [s for s in find_swaps(second.id, shelf.corpus) if s.use == first.id]
    swaps += [s for s in find_swaps(first.id, shelf.corpus) if s.use == second.id]
    for swap in swaps[:2]:
        out = next(i.name for i in items if i.id in swap.out)
        use = shelf.corpus.pantry[swap.use].name
        lines.append(f"{swap.give} {use} stands in for {swap.take} {out}. {capital(swap.how)}")
        sources.append(record_source(swap))
    energy = [f for f in figures if "energy" in f.name]
    if len(energy) >= 2:
        headline = (
            f"100 g of {first.name} has {energy[0].shown}, of {second.name} {energy[1].shown};"
            " how they differ is below."
        )
    else:
        headline = f"How {first.name} and {second.name} differ is below."
    if len(headline) > 120:
        headline = f"How {first.name} and {second.name} differ is below."
    return make(reading, "quoted", headline[:120], figures, lines, sources)
