"""What stands on a page, gathered from the same answers that `ask` gives."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence, Set
from fractions import Fraction

import msgspec

from assistant.answer import Answer, Caution, Source
from assistant.corpus.records import Diet, Line, Recipe
from assistant.desk import Desk
from assistant.faces.handout.aside import effects, serving_of, title_of, weighty, with_aside
from assistant.faces.handout.asked import Asked
from assistant.faces.handout.changes import Dish, desk_for
from assistant.faces.handout.lines import Act, Ingredient, make_ingredient, make_steps, tell_change
from assistant.faces.handout.panel import Bars, Panel, bar_nutrients, make_bars, make_panel
from assistant.faces.handout.tips import Offer, Tip, make_offers, make_tips
from assistant.kinds.equipment.fit import fit
from assistant.kinds.meal.sides import line_of
from assistant.kinds.shelf import Shelf, capital, line_name, listed, number, unique
from assistant.kitchen.diets import allergens, judge
from assistant.question.reading import Reading
from assistant.question.understand import Context
from assistant.retrieval.excerpt import sentences
from assistant.retrieval.words import tokens

_FREEZES = {
    "well": "freezes well",
    "fairly": "can be frozen, with some loss",
    "poorly": "does not freeze well",
}
# Records that say there is no publication behind something.
_UNPUBLISHED = {
    "common-practice": "common practice without a source",
    "memory": "from memory, to be verified",
}
# The share of its words by which a sentence says again what one before it said.
_SAME = Fraction(3, 5)
_ORDER = {"stop": 0, "warn": 1, "note": 2}


class Tool(msgspec.Struct, frozen=True):
    """A pot, pan or tool: `item` with its capacity, what for, what instead."""

    item: str
    use: str
    instead: str


class Keep(msgspec.Struct, frozen=True):
    """One place to keep the dish: how long, and what the two blanks are for."""

    place: str
    time: str
    start: str
    end: str


class Page(msgspec.Struct, frozen=True):
    """A whole page; the templates decide nothing but its look."""

    title: str
    summary: str
    programme: str
    employer: str
    contact: str
    serves: str
    time: tuple[str, ...]
    changes: tuple[str, ...]
    effects: tuple[str, ...]
    promise: tuple[str, ...]
    metric_first: bool
    ingredients: tuple[Ingredient, ...]
    tools: tuple[Tool, ...]
    fits: str
    steps: tuple[Act, ...]
    written_for: str
    panel: Panel
    bars: tuple[Bars, ...]
    new_to: tuple[Tip, ...]
    tips: tuple[Tip, ...]
    offers: tuple[Offer, ...]
    allergens: tuple[str, ...]
    diets: tuple[str, ...]
    keeping: tuple[Keep, ...]
    keeping_notes: tuple[str, ...]
    reheat: str
    pairs: tuple[str, ...]
    cautions: tuple[Caution, ...]
    questions: tuple[Asked, ...]
    own_sources: tuple[str, ...]
    foods: tuple[str, ...]
    references: tuple[str, ...]
    unpublished: str
    small_print: tuple[str, ...]


def make_page(desk: Desk, dish: Dish, context: Context, asked: Sequence[Asked] = ()) -> Page:
    """Gather a page. `context` names the recipe and, where given, the servings to cook for."""
    desk = desk_for(desk, dish)
    recipe, shelf = dish.recipe, desk.shelf
    base = Fraction(recipe.yields.servings)
    servings = base if context.servings is None else context.servings
    factor = servings / base
    answers = {
        kind: desk.answer_kind(kind, context) for kind in ("timing", "nutrition", "storage", "diet")
    }
    answers["scale" if factor != 1 else "recipe"] = desk.answer_kind(
        "scale" if factor != 1 else "recipe", context
    )
    panel = make_panel(dish, servings, shelf)
    new_to, tips = make_tips(dish, shelf)
    offers = make_offers(dish, factor, shelf)
    fitting = _fits(recipe, servings, context.today, shelf) if factor != 1 else None
    keeping, remarks, small = _keeping(dish, answers["storage"], shelf)
    sources = unique(
        [
            *(s for answer in answers.values() for s in answer.sources),
            *(fitting.sources if fitting else ()),
            *panel.sources,
            *(s for tip in (*new_to, *tips) for s in tip.sources),
            *(s for one in asked for s in one.sources),
        ]
    )
    programme = shelf.corpus.programme
    time = _time(answers["timing"], recipe)
    told = {*time, *panel.notes, *panel.gaps, panel.left_out, *remarks, *small}
    bars = [make_bars(recipe, nutrient, shelf) for nutrient in bar_nutrients(shelf)]
    return Page(
        title=title_of(dish, shelf),
        summary=with_aside(recipe.summary, dish, shelf),
        programme=programme.name,
        employer=programme.employer,
        contact=programme.contact,
        serves=_serves(dish, servings, shelf),
        time=time,
        changes=tuple(tell_change(change, factor, shelf) for change in dish.changes),
        effects=effects(dish, shelf),
        promise=_promise(dish, shelf),
        metric_first=programme.first == "metric",
        ingredients=tuple(make_ingredient(line, dish, factor, shelf) for line in recipe.lines),
        tools=tuple(
            Tool(
                f"{one.item}, {one.capacity}" if one.capacity else one.item,
                with_aside(one.use, dish, shelf),
                with_aside(one.instead, dish, shelf),
            )
            for one in recipe.equipment
        ),
        fits=fitting.headline if fitting else "",
        steps=make_steps(dish, shelf),
        written_for=str(base) if factor != 1 else "",
        panel=panel,
        # What is declared as nothing is brought by nothing.
        bars=tuple(one for one in bars if one.bars and not one.whole.startswith("0 ")),
        new_to=new_to,
        tips=tips,
        offers=offers,
        allergens=_grouped(answers["diet"].lines) or (answers["diet"].headline,),
        diets=_diets(recipe, dish.diets, shelf),
        keeping=keeping,
        keeping_notes=remarks,
        reheat=with_aside(recipe.reheat, dish, shelf),
        pairs=_pairs(recipe, dish.diets, shelf),
        cautions=tuple(
            msgspec.structs.replace(one, text=with_aside(one.text, dish, shelf))
            for one in _cautions((*answers.values(), *([fitting] if fitting else ())), asked)
        ),
        questions=tuple(_untold(one, told) for one in asked),
        own_sources=_titles(s for s in sources if _sort(s) == "own" and s.title != s.id),
        foods=tuple(
            f"{s.id.removeprefix('SR28 ')} {s.title}" for s in sources if _sort(s) == "food"
        ),
        references=_references(sources, shelf),
        unpublished=listed([_UNPUBLISHED[s.id] for s in sources if s.id in _UNPUBLISHED]),
        small_print=(*panel.notes, *small),
    )


def _untold(asked: Asked, told: Set[str]) -> Asked:
    """A question whose answer leaves out what the page says anyway."""
    lines = tuple(
        line
        for line in asked.lines
        if not any(line in text or text in line for text in told if text)
    )
    return msgspec.structs.replace(asked, lines=lines)


def _sort(source: Source) -> str:
    """Whether a source is a row of the composition table, a publication, or the programme's own."""
    if source.where == "foods.csv":
        return "food"
    return "reference" if source.where.startswith("references.") else "own"


def _references(sources: Iterable[Source], shelf: Shelf) -> tuple[str, ...]:
    """The publications by title and year; who published them stands in the references' records."""
    found = []
    for source in sources:
        record = shelf.corpus.references.get(source.id)
        if record is not None and _sort(source) == "reference" and record.id not in _UNPUBLISHED:
            found.append(f"{record.title} ({record.year})" if record.year else record.title)
    return tuple(dict.fromkeys(found))


def _titles(sources: Iterable[Source]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(source.title for source in sources))


def _serves(dish: Dish, servings: Fraction, shelf: Shelf) -> str:
    made = dish.recipe.yields
    measure, written = serving_of(dish, servings, shelf)
    told = f"{measure} ({written})" if written else measure
    text = f"Serves {number(servings)}; one {made.unit} is {told}."
    return (
        text
        if servings == made.servings
        else f"{text} (The recipe is written for {made.servings}.)"
    )


def _time(timing: Answer, recipe: Recipe) -> tuple[str, ...]:
    """How long it takes, and what changes for this many; not the whole running order."""
    if timing.verdict not in {"computed", "partial", "quoted"}:
        return ()
    # The page has said already what dish this is.
    found = [capital(timing.headline.removeprefix(f"{recipe.title}: "))]
    for line in timing.lines:
        if line.startswith(("start", "+")):
            break
        found.append(line)
    return tuple(found)


def _promise(dish: Dish, shelf: Shelf) -> tuple[str, ...]:
    """What the page says of the diets it was made for: by the ingredients, never "safe"."""
    if not dish.diets:
        return ()
    names = listed([diet.name for diet in dish.diets])
    found = [f"By its ingredients this is {names}; the labels of what you buy decide."]
    if dish.labels:
        told = [f"{line_name(line, shelf)} ({listed(why)})" for line, why in dish.labels]
        found.append(f"Read these labels first: {listed(list(dict.fromkeys(told)))}.")
    return (*found, *(diet.note for diet in dish.diets if diet.note))


def _fits(recipe: Recipe, servings: Fraction, today: datetime.date, shelf: Shelf) -> Answer | None:
    """Whether this many servings fit the recipe's own pot, as `ask` tells it."""
    reading = Reading(
        text="", words=(), kind="equipment", recipe=recipe.id, servings=servings, today=today
    )
    made = fit(reading, recipe, None, shelf)
    return made if made is not None and made.verdict in {"computed", "partial"} else None


# -------------------------------------------------------------------------- diets, keeping, beside


def _grouped(lines: Sequence[str]) -> tuple[str, ...]:
    """Lines with the same beginning made one: `Contains: wheat (bread); milk (feta).`"""
    found: dict[str, list[str]] = {}
    for line in lines:
        head, colon, rest = line.partition(": ")
        found.setdefault(head + colon, []).append(rest.removesuffix("."))
    return tuple(f"{head}{'; '.join(rest)}".removesuffix(".") + "." for head, rest in found.items())


def _diets(recipe: Recipe, promised: Sequence[Diet], shelf: Shelf) -> tuple[str, ...]:
    """The diets in words. Those that forbid allergens only are told by the list of allergens."""
    fits: list[str] = []
    labels: list[str] = []
    without: list[str] = []
    never: list[str] = []
    for diet in shelf.corpus.diets.values():
        if diet.without_allergens and diet not in promised:
            continue
        made = judge(recipe.lines, diet, shelf.corpus.pantry)
        out = [f.item.name for f in made.optional if f.grade == "contains"]
        if made.contains:
            names = list(dict.fromkeys(f.item.name for f in made.contains))
            never.append(f"{diet.name} ({listed(names)})")
        elif out:
            without.append(f"{diet.name} (without the {listed(out)})")
        elif made.may:
            names = list(dict.fromkeys(f.item.name for f in made.may))
            labels.append(f"{diet.name} ({listed(names)})")
        else:
            fits.append(diet.name)
    told = (
        ("By its ingredients", fits),
        ("Possible", without),
        ("The label decides", labels),
        ("Not", never),
    )
    return tuple(f"{head}: {', '.join(names)}." for head, names in told if names)


def _keeping(
    dish: Dish, storage: Answer, shelf: Shelf
) -> tuple[tuple[Keep, ...], tuple[str, ...], tuple[str, ...]]:
    """The places with blanks for dates, the remarks, and what other sources say (small print)."""
    recipe = dish.recipe
    rule = shelf.corpus.storage.get(recipe.storage.rule)
    blanks = (("Refrigerator, 40 °F (4 °C) or below", "Made on (day 0)", "Eat by"),
              ("Freezer, 0 °F (−18 °C)", "Frozen on", "Best by"))  # fmt: skip
    rows: list[Keep] = []
    for place, start, end in blanks:
        figure = next((f for f in storage.figures if place.split(",")[0].lower() in f.name), None)
        if figure is not None:
            quality = "quality" in figure.name
            freezes = _FREEZES[recipe.storage.freezes]
            time = f"{figure.shown} for best quality; {freezes}" if quality else figure.shown
            rows.append(Keep(place, time, start, end))
    mine = recipe.storage.note
    own = [note for note in (mine, _unsaid(rule.note if rule else "", mine)) if note]
    remarks = [] if rows else [storage.headline]
    swapped = [n for c in weighty(dish, shelf) for n in c.new]
    if swapped:
        names = listed(list(dict.fromkeys(line_name(line, shelf) for line in swapped)))
        remarks.append(
            "These times were set for the recipe as written; "
            f"with {names}, keep to the shorter end."
        )
    others = rule.also if rule else ()
    small = tuple(line for line in storage.lines if any(o.whom in line for o in others))
    return tuple(rows), (*remarks, *(with_aside(note, dish, shelf) for note in own)), small


def _unsaid(text: str, before: str) -> str:
    """The sentences of a text that no single sentence before it says in much the same words."""
    have = [_words_of(sentence) for sentence in sentences(before)]
    kept = []
    for sentence in sentences(text):
        mine = _words_of(sentence)
        if not any(len(mine & other) >= _SAME * len(mine) for other in have):
            kept.append(sentence)
    return " ".join(kept)


def _words_of(text: str) -> set[str]:
    return {token.text for token in tokens(text) if len(token.text) > 3 or token.text.isdigit()}


def _pairs(recipe: Recipe, diets: Sequence[Diet], shelf: Shelf) -> tuple[str, ...]:
    """What the recipe names to serve beside it, less what the page's diets forbid."""
    pantry = shelf.corpus.pantry
    found = []
    for pair in recipe.pairs:
        lines: list[Line] = []
        if pair.recipe:
            lines = list(shelf.corpus.recipes[pair.recipe].lines)
        elif pair.item:
            lines = [line_of(pair.item, pair.amount or "1", shelf)]
        if any(judge(lines, diet, pantry).contains for diet in diets):
            continue
        amount = f", {pair.amount}" if pair.amount else ""
        mine = allergens(pantry[line.item] for line in recipe.lines if not line.optional)
        theirs = allergens(pantry[line.item] for line in lines if not line.optional)
        more = [a for a, grade in theirs.items() if grade == "contains" and mine[a] != grade]
        brings = f" (adds {listed(more)})" if more else ""
        found.append(f"{capital(pair.text)}{amount}{brings}")
    return tuple(found)


def _cautions(answers: Iterable[Answer], asked: Sequence[Asked]) -> tuple[Caution, ...]:
    """Each caution once, the gravest first. That the figures are computed stands in the panel."""
    found: dict[str, Caution] = {}
    for caution in (
        *(c for answer in answers for c in answer.cautions),
        *(c for one in asked for c in one.cautions),
    ):
        if caution.source != "sr28":
            found.setdefault(caution.id, caution)
    return tuple(sorted(found.values(), key=lambda c: _ORDER[c.level]))
