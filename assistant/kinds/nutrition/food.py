"""The figures of one food: a pantry item, or a row of the composition table outside the pantry."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer, Figure, Source
from assistant.corpus.lines import portion_rows
from assistant.corpus.records import Food, Ingredient, Nutrient
from assistant.kinds.nutrition import foodlevel
from assistant.kinds.nutrition.figures import percent, plain, shown
from assistant.kinds.nutrition.levels import GUIDE
from assistant.kinds.nutrition.serving import LONGEST, called
from assistant.kinds.shelf import (
    Shelf,
    capital,
    food_source,
    listed,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kitchen.composition import Table, Value
from assistant.kitchen.nutrients import Range
from assistant.measure.amount import Amount, read_amount, show
from assistant.measure.weigh import Row, Weight, row, weigh
from assistant.question.reading import Reading


def of_item(
    reading: Reading, item: Ingredient, nutrients: Sequence[Nutrient], shelf: Shelf
) -> Answer:
    """A pantry item: in the amount named, else in its usual amount and in 100 g."""
    state = next((s for s in item.states if s in reading.words), "")
    code = item.states.get(state, item.food)
    rows = portion_rows(item, shelf.corpus.foods, state)
    if not code and item.label is None:
        return make(
            reading,
            "unknown",
            f"I have no composition figures for {item.name}.",
            lines=(item.about or "No row of the composition table fits it.",),
            sources=(record_source(item),),
        )
    sources = [record_source(item), *([food_source(shelf, code)] if code else [])]
    food = shelf.corpus.foods.get(code)
    return _answer(
        reading,
        _Thing(item.id, item.name, code, rows, food),
        nutrients,
        shelf.table,
        shelf,
        sources,
    )


def of_row(
    reading: Reading,
    food: Food,
    others: Sequence[str],
    nutrients: Sequence[Nutrient],
    shelf: Shelf,
) -> Answer:
    """A row of the composition table that no pantry item names; says which row, and what else."""
    table = Table(shelf.corpus.columns, {food.code: food}, {}, shelf.corpus.nutrients, _made(shelf))
    rows = [row(Fraction(n), m, Fraction(g), f"SR28 {food.code}") for n, m, g in food.portions]
    source = Source(id=f"SR28 {food.code}", title=food.name, where="foods.csv")
    notes = [f"Taken from the table's row {food.code}: {food.name}."]
    if others:
        notes.append(f"Other rows that fit: {'; '.join(others)}.")
    thing = _Thing("", food.name, food.code, rows, food)
    return _answer(reading, thing, nutrients, table, shelf, [source], notes)


def _made(shelf: Shelf) -> tuple[str, ...]:
    listed_ = shelf.corpus.lists.get("made-food-groups")
    return listed_.words if listed_ else ()


_REFERENCE = "Amount taken: the reference amount"


class _Thing:
    """What is asked about: an item id ("" outside the pantry), a name, a row, its portions."""

    def __init__(
        self, item: str, name: str, code: str, rows: Sequence[Row], food: Food | None
    ) -> None:
        self.item, self.name, self.code, self.rows, self.food = item, name, code, rows, food


def _answer(
    reading: Reading,
    thing: _Thing,
    nutrients: Sequence[Nutrient],
    table: Table,
    shelf: Shelf,
    sources: list[Source],
    notes: Sequence[str] = (),
) -> Answer:
    amount, usual = _amount(reading, thing, shelf)
    weight = (
        Weight((Fraction(100), Fraction(100)), "")
        if amount is None
        else weigh(amount, thing.rows, reading.words)
    )
    if weight.grams is None:
        return make(
            reading,
            "partial",
            f"I have no weight for {show(amount) if amount else ''} of {thing.name}.",
            lines=(
                f"{capital(weight.how)}. Ask for it in grams or ounces, "
                "or add a portion to its record.",
            ),
            sources=sources,
        )
    grams, remarks = _edible(weight.grams, reading, thing, amount, shelf)
    eaten = " eaten" if grams != weight.grams else ""
    text = "100 g" if amount is None else f"{show(amount)} ({plain(*grams)} g{eaten})"
    if amount is not None and show(amount).endswith((" g", " gram", " grams")):
        text = f"{plain(*grams)} g"
    figures: list[Figure] = []
    kept: list[Nutrient] = []
    missing: list[str] = []
    for nutrient in nutrients:
        value = table.of(thing.item, thing.code, nutrient)
        if isinstance(value, Value):
            figures.append(_figure(value, nutrient, grams, text, thing.name, weight.how))
            kept.append(nutrient)
        else:
            missing.append(f"{nutrient.name} ({value.why})")
    if not figures:
        return make(
            reading,
            "unknown",
            f"There is no figure for {nutrients[0].name} in {thing.name}."[:LONGEST],
            lines=(*(f"{capital(m)}." for m in missing), *notes),
            sources=sources,
        )
    lines = _table(figures, kept) if len(figures) > 1 else []
    if missing:
        lines.append(f"No figure: {'; '.join(missing)}.")
    if amount is not None and weight.how and weight.how != "weighed as written":
        lines.append(f"Weight: {' '.join(weight.how.split())}.")
    if usual:
        lines.append(usual)
    if shelf.says(reading, "level-words") or shelf.says(reading, "day-words"):
        reference = usual.startswith(_REFERENCE)
        lines += foodlevel.lines_of(figures, kept, reference, shelf)
        sources = [*sources, reference_source(shelf, GUIDE), reference_source(shelf, "claims")]
    lines += [*remarks, *_label_note(thing, shelf), *notes]
    return make(
        reading,
        "partial" if missing else "computed",
        _headline(thing, text, figures, kept, shelf),
        figures,
        lines,
        [*sources, reference_source(shelf, "sr28"), reference_source(shelf, "label-rounding")],
    )


def _amount(reading: Reading, thing: _Thing, shelf: Shelf) -> tuple[Amount | None, str]:
    """The amount named; else one of it after "a" or "one"; else the reference amount; else none."""
    amounts = [m.value for m in reading.all("amount") if isinstance(m.value, Amount)]
    if amounts:
        return amounts[0], ""
    starts = {m.start for m in reading.all("ingredient")}
    counts = [
        m.value
        for m in reading.all("number")
        if isinstance(m.value, Fraction) and (not starts or starts & set(range(m.end, m.end + 3)))
    ]
    if counts:
        return Amount(counts[0], counts[0]), ""
    one = Amount(Fraction(1), Fraction(1))
    before = {reading.words[s - 1] for s in starts if s} | (
        {
            reading.words[s - 2]
            for s in starts
            if s > 1 and reading.words[s - 1] in {"large", "medium", "small"}
        }
    )
    if (
        before & {"a", "an", "one", "each", "per", "single"}
        and weigh(one, thing.rows, reading.words).grams
    ):
        return one, ""
    for racc in shelf.corpus.reference_amounts.values():
        if thing.item in racc.items:
            amount = read_amount(racc.amount)
            if weigh(amount, thing.rows, reading.words).grams is not None:
                return (
                    amount,
                    f"{_REFERENCE} for {racc.title}, {racc.amount}.",
                )
    return None, "No amount was named, so this is for 100 g."


def _edible(
    grams: Range, reading: Reading, thing: _Thing, amount: Amount | None, shelf: Shelf
) -> tuple[Range, list[str]]:
    """A weight as bought is taken down by the row's refuse; a counted one is edible already."""
    if amount is None or thing.food is None or not shelf.says(reading, "as-bought-words"):
        return grams, []
    listed_ = shelf.corpus.lists["as-bought-words"].words
    said = next(word for word in reading.words if word in listed_)
    if not thing.food.refuse_pct:
        return grams, [
            f"The table gives no refuse for {thing.name}: the weight is taken as edible."
        ]
    refuse = Fraction(thing.food.refuse_pct)
    kept = (grams[0] * (100 - refuse) / 100, grams[1] * (100 - refuse) / 100)
    note = (
        f"Taken as bought ({said}): {number(refuse)} % is refuse ({thing.food.refuse.lower()}), "
        f"{plain(*kept)} g are eaten."
    )
    return kept, [note]


def _figure(
    value: Value, nutrient: Nutrient, grams: Range, text: str, name: str, how: str
) -> Figure:
    low, high = grams[0] * value.amount / 100, grams[1] * value.amount / 100
    unit = nutrient.unit
    working = [
        f"{plain(*grams)} g × {number(value.amount, 3)} {unit}/100 g ({value.how}) = "
        f"{plain(low, high)} {unit}"
    ]
    if value.low != value.high:
        ends = plain(grams[0] * value.low / 100, grams[1] * value.high / 100)
        working.append(f"with the label's own rounding: {ends} {unit}")
    return Figure(
        name=f"{nutrient.name} in {text} of {name}",
        value=high,
        unit=unit,
        shown=shown(low, high, nutrient),
        working=tuple(working),
    )


def _table(figures: Sequence[Figure], nutrients: Sequence[Nutrient]) -> list[str]:
    found = []
    for one, nutrient in zip(figures, nutrients, strict=True):
        daily = percent(one.value or Fraction(0), nutrient)
        tail = f"{daily:>6} DV" if daily else ""
        found.append(f"{capital(nutrient.name):<20}{one.shown:>19}{tail}".rstrip())
    return found


def _label_note(thing: _Thing, shelf: Shelf) -> list[str]:
    item = shelf.item(thing.item)
    if item is None or item.label is None:
        return []
    mine = " (invented: put your own label in its place)" if item.label.invented else ""
    return [
        f"By the label of {item.label.package}{mine}: {item.label.serving}, {item.label.grams} g."
    ]


def _lead(thing: _Thing, text: str, shelf: Shelf) -> str:
    """`2 eggs (100 g)` for a count, `Olive oil, 2 tbsp (27 g)` for a measure."""
    item = shelf.item(thing.item)
    count, _, weight = text.partition(" (")
    if item is None or not weight or not count.replace("/", "").replace(" ", "").isdigit():
        return f"{capital(thing.name)}, {text}"
    name = item.name if count == "1" else item.plural or item.name
    return f"{count} {name} ({weight}"


def _headline(
    thing: _Thing, text: str, figures: Sequence[Figure], nutrients: Sequence[Nutrient], shelf: Shelf
) -> str:
    pairs = list(zip(figures, nutrients, strict=True))
    first = shelf.corpus.lists.get("headline-nutrients")
    if len(pairs) > 4 and first is not None:
        by_id = {n.id: (f, n) for f, n in pairs}
        pairs = [by_id[i] for i in first.words if i in by_id] or pairs
    while pairs:
        heads = [called(f.shown, n) for f, n in pairs]
        daily = percent(pairs[0][0].value or Fraction(0), pairs[0][1])
        if len(pairs) == 1 and daily:
            heads = [f"{heads[0]}, {daily} of the Daily Value"]
        made = f"{_lead(thing, text, shelf)}: {listed(heads)}."
        if len(made) <= LONGEST:
            return made
        pairs = pairs[:-1]
    return f"{capital(thing.name)[:60]}, {text}: see the figures."[:LONGEST]
