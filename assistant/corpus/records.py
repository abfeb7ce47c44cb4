"""The typed, frozen things read from the corpus. Each knows the file and line it came from.

Field names here are the field names of the YAML files: this module is the format's definition, and
`assistant check` holds every file against it. Amounts stay as a cook writes them ("1 1/2–2 cups");
`assistant.corpus.compile` turns them into exact amounts and grams.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

import msgspec

from assistant.measure.amount import Amount

Origin = Literal[
    "plant", "fungus", "mineral", "dairy", "egg", "honey", "gelatin", "animal rennet",
    "meat", "pork", "poultry", "fish", "shellfish", "alcohol", "mixed",
]  # fmt: skip
Allergen = Literal[
    "milk", "egg", "fish", "shellfish", "tree nuts", "peanut", "wheat", "soy", "sesame",
]  # fmt: skip
Grade = Literal["contains", "may", "free"]
Level = Literal["note", "warn", "stop"]


class Record(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every record has: its id, and where it stands."""

    id: str
    file: str = ""
    line: int = 0

    @property
    def where(self) -> str:
        """`file:line`, the file relative to the corpus folder."""
        return f"{self.file}:{self.line}"


class Reference(Record, frozen=True, kw_only=True):
    """A published source, or the mark "common practice, no source"."""

    title: str
    publisher: str = ""
    year: str = ""
    section: str = ""
    url: str = ""
    seen: bool = True


class Portion(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What one household measure of a food weighs: `measure` as a cook writes it, grams edible."""

    measure: str
    grams: Decimal
    state: str = ""
    source: str = ""


class Label(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A package's printed Nutrition Facts, as declared: `values` by nutrient id, for one serving.

    `serving` is the household measure on the label ("1 cup"), `grams` its weight. `invented` marks
    a package of the demo programme that the user replaces by her own.
    """

    serving: str
    grams: Decimal
    values: dict[str, Decimal]
    package: str
    invented: bool = False
    source: str = ""


class Ingredient(Record, frozen=True, kw_only=True):
    """One thing of the pantry: its names, its food code, what it is and what it may contain.

    `fill` is the code of a like food whose figures stand in, by dry matter and named as such, where
    the food's own row has none. `label` is the user's own package, which goes before the row.
    """

    name: str
    plural: str = ""
    names: tuple[str, ...] = ()
    food: str = ""
    states: dict[str, str] = {}
    portions: tuple[Portion, ...] = ()
    origin: Origin
    contains: tuple[Allergen, ...] = ()
    may: tuple[Allergen, ...] = ()
    gluten: Grade
    contains_origins: tuple[Origin, ...] = ()
    may_origins: tuple[Origin, ...] = ()
    added_sugar: bool = False
    label: Label | None = None
    fill: str = ""
    role: tuple[str, ...] = ()
    storage: str = ""
    about: str = ""
    sources: tuple[str, ...] = ()


class LineForm(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The override form of an ingredient line, for one that cannot be read as written.

    `eaten` is the share of it that is eaten (0.1 of a frying oil, 0.25 of a marinade), the rest
    stays behind; `source` says where that share comes from, else it counts as an assumption.
    """

    line: str
    item: str = ""
    amount: str = ""
    grams: Decimal | None = None
    state: str = ""
    optional: bool = False
    counted: bool = True
    eaten: Decimal | None = None
    source: str = ""


class Step(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One step. `active` is hands-on time, `passive` is waiting; both may be ranges ("5–7 min").

    `needs` names the steps that must be over first; left out, it is the step before. `why` says
    what the step is good for, in one or two sentences.
    """

    id: str
    text: str
    active: str = "0 min"
    passive: str = "0 min"
    heat: str = ""
    done: str = ""
    uses: tuple[str, ...] = ()
    needs: tuple[str, ...] | None = None
    why: str = ""


class Reason(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Why one of a recipe's ingredients is in it, or why this kind of it: one or two sentences."""

    of: str
    text: str


class Yield(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the recipe makes: servings, one serving in a household measure, and, only where it was
    measured, the weight of the whole cooked batch."""

    servings: int
    measure: str
    unit: str = "serving"
    cooked_weight: str = ""


class Equipment(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pot, pan or tool; `capacity` as written ("5 quarts") where the size matters."""

    item: str
    capacity: str = ""
    use: str = ""
    instead: str = ""


class Keeping(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How the finished dish keeps: the id of its storage rule, and the cook's own remarks."""

    rule: str
    freezes: Literal["well", "fairly", "poorly"]
    note: str = ""


class Pairing(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something to serve beside the dish: `amount` of a pantry `item`, or another `recipe`."""

    text: str
    item: str = ""
    amount: str = ""
    recipe: str = ""


class RecipeForm(Record, frozen=True, kw_only=True):
    """A recipe as it stands in its file."""

    title: str
    names: tuple[str, ...] = ()
    summary: str
    course: str
    yields: Yield
    equipment: tuple[Equipment, ...] = ()
    ingredients: tuple[str | LineForm, ...]
    steps: tuple[Step, ...]
    storage: Keeping
    reheat: str = ""
    pairs: tuple[Pairing, ...] = ()
    why: tuple[Reason, ...] = ()
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """An ingredient line, read: which pantry item, how much, and what that weighs.

    `amount` is None for "to taste". `grams` is the edible weight, None where no portion row gives
    one; `weighed` says in words where the grams come from, or why there are none.
    """

    text: str
    item: str
    name: str
    amount: Amount | None
    grams: tuple[Fraction, Fraction] | None
    weighed: str
    food: str
    prep: str = ""
    state: str = ""
    optional: bool = False
    counted: bool = True
    eaten: Fraction = Fraction(1)
    eaten_source: str = ""
    file: str = ""
    line: int = 0


class Recipe(Record, frozen=True, kw_only=True):
    """A recipe with its lines read; the rest is as in its file."""

    title: str
    names: tuple[str, ...]
    summary: str
    course: str
    yields: Yield
    equipment: tuple[Equipment, ...]
    lines: tuple[Line, ...]
    steps: tuple[Step, ...]
    step_lines: tuple[int, ...]
    storage: Keeping
    reheat: str
    pairs: tuple[Pairing, ...]
    why: tuple[Reason, ...]
    why_lines: tuple[int, ...] = ()
    notes: tuple[str, ...]
    sources: tuple[str, ...]


class Note(Record, frozen=True, kw_only=True):
    """A technique note: Markdown text under a front matter."""

    title: str
    kinds: tuple[str, ...]
    ingredients: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    sources: tuple[str, ...]
    text: str = ""


class SwapPart(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A second ingredient of a replacement: `amount` of `item` beside the `give` of the swap."""

    item: str
    amount: str


class Swap(Record, frozen=True, kw_only=True):
    """One replacement: `take` of `out` becomes `give` of `use`, and of each of `plus` beside it.

    `fit` is how well it does in the dish: "good", with "care", or "no" (often asked for, wrong).
    `elsewhere`: for a use that none of the programme's recipes has (a glaze, a cake).
    """

    out: tuple[str, ...]
    use: str
    take: str
    give: str
    role: str
    how: str
    taste: str = ""
    watch: str = ""
    plus: tuple[SwapPart, ...] = ()
    fit: Literal["good", "care", "no"] = "good"
    elsewhere: bool = False
    recipes: tuple[str, ...] = ()
    sources: tuple[str, ...]


class MealEnergy(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The energy a whole meal aims at, in kcal."""

    low: int
    high: int
    source: str


class Programme(Record, frozen=True, kw_only=True):
    """The programme's own settings."""

    name: str
    employer: str
    contact: str
    meal_energy: MealEnergy
    emergency_number: str
    poison_help: str = ""
    first: Literal["us", "metric"] = "us"


class Nutrient(Record, frozen=True, kw_only=True):
    """One nutrient: its column in foods.csv, how it is named, its Daily Value.

    `rounding` names the band of 21 CFR 101.9(c) that its declared value follows. A nutrient that
    is part of another (`within`: sugars within carbohydrate, `beside` the fiber) can be bounded
    where its own figure is missing. `rule` names how it is worked out where there is no column.
    """

    column: str = ""
    name: str
    unit: Literal["kcal", "g", "mg", "µg"]
    names: tuple[str, ...]
    rounding: str = ""
    daily_value: Decimal | None = None
    main: bool = False
    within: str = ""
    beside: tuple[str, ...] = ()
    rule: Literal["", "added-sugars"] = ""
    source: str


class Diet(Record, frozen=True, kw_only=True):
    """A diet or an allergen that people ask about: what a dish must not hold."""

    name: str
    names: tuple[str, ...]
    without_origins: tuple[Origin, ...] = ()
    without_allergens: tuple[Allergen, ...] = ()
    without_gluten: bool = False
    without_items: tuple[str, ...] = ()
    note: str = ""
    sources: tuple[str, ...]


class Term(Record, frozen=True, kw_only=True):
    """A word that a question may name: a place, a state, a way of cooking, a share."""

    group: Literal["place", "state", "method", "share", "tool", "occasion"]
    name: str
    names: tuple[str, ...]
    value: str = ""


class WordList(Record, frozen=True, kw_only=True):
    """A plain list of words with one use, named by its id."""

    about: str
    words: tuple[str, ...]


class Estimate(Record, frozen=True, kw_only=True):
    """One number behind an estimate, and the sentence that states it wherever it is used."""

    text: str
    value: str
    unit: str = ""
    source: str


class Food(msgspec.Struct, frozen=True):
    """One row of the food composition table: values per 100 g of edible portion, None = no data."""

    code: str
    name: str
    group: str
    refuse_pct: Decimal | None
    refuse: str
    values: tuple[Decimal | None, ...]
    portions: tuple[tuple[Decimal, str, Decimal], ...]
