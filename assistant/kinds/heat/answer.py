"""The heat a recipe is cooked at, for other ovens too; a note where no recipe is in hand."""

from __future__ import annotations

import re
from fractions import Fraction

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe, Step
from assistant.corpus.rules import SafetyLimit
from assistant.kinds.crossed import listed, stems
from assistant.kinds.quote import LONGEST_HEADLINE, best, quoted
from assistant.kinds.safety.chart import on_chart, rows
from assistant.kinds.safety.tell import tell
from assistant.kinds.shelf import (
    Shelf,
    capital,
    degrees_f,
    make,
    number,
    record_source,
    reference_source,
)
from assistant.kinds.unknown import unknown
from assistant.measure.units import to_celsius
from assistant.question.reading import Reading

_DEGREES = re.compile(r"(\d{3}) ?°F")
_NOTES = ("heat", "technique", "equipment")
_APPLIANCES = {"air-fryer", "microwave", "slow-cooker", "pressure-cooker"}
# Oven temperatures in degrees F, and where a bare number can only be degrees C.
_COOLEST, _HOTTEST = 200, 550


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The oven's temperature or the burner's heat from the recipe's steps, else a note."""
    recipe = shelf.recipe(reading) or _by_verb(reading, shelf) or _by_food(reading, shelf)
    tools = set(reading.ids("tool"))
    asked_oven = "oven" in tools or any(
        shelf.says(reading, words) for words in ("oven-words", "fan-words", "gas-words")
    )
    if recipe is not None and shelf.says(reading, "rack-words"):
        rack = _rack(reading, recipe)
        if rack is not None:
            return rack
    if recipe is not None and "oven" in tools and shelf.says(reading, "reheat-words"):
        return _reheated(reading, recipe)
    if shelf.says(reading, "broil-words"):
        return _note(reading, shelf)
    # "What temperature for ham": no oven, no recipe, so the inside of the food is meant.
    if shelf.says(reading, "reheat-words") and shelf.says(reading, "temperature-words"):
        rule = shelf.corpus.safety.get("reheating-leftovers")
        if rule is not None and not tools & _APPLIANCES:
            return tell(reading, [rule], shelf)
    inside = shelf.says(reading, "inside-words") and not tools
    burner = shelf.says(reading, "burner-words")
    if inside or (
        recipe is None and not tools and not burner and not degrees_f(reading, _COOLEST, _HOTTEST)
    ):
        made = on_chart(reading, shelf) if inside or rows(reading, shelf) else None
        if made is not None:
            return made
    if recipe is None:
        return _without_recipe(reading, shelf)
    if tools & (_APPLIANCES - {"air-fryer"}):
        return _note(reading, shelf)
    hot = [step for step in recipe.steps if _DEGREES.search(step.heat)]
    # Heating the oven itself is a step, too; what done looks like stands at a later one.
    oven = next((step for step in hot if step.id != "oven"), hot[0] if hot else None)
    if oven is not None and (asked_oven or "air-fryer" in tools or not _burners(recipe)):
        return _oven(reading, recipe, oven, shelf)
    if "air-fryer" in tools:
        return _note(reading, shelf)
    if oven is None and ("oven" in tools or shelf.says(reading, "fan-words")):
        return make(
            reading,
            "quoted",
            f"No step of the {recipe.title.lower()} uses an oven.",
            lines=_burner_lines(recipe),
            sources=(record_source(recipe),),
        )
    return _burner(reading, recipe, oven)


def _by_verb(reading: Reading, shelf: Shelf) -> Recipe | None:
    """The recipe whose title is said with another ending: "roasting the chickpeas"."""
    said = stems(reading.text)
    found = [
        recipe
        for recipe in shelf.corpus.recipes.values()
        for name in (recipe.title, *recipe.names)
        if len(stems(name)) > 1 and stems(name) <= said
    ]
    return found[0] if len(set(found)) == 1 else None


def _by_food(reading: Reading, shelf: Shelf) -> Recipe | None:
    """The one recipe cooked in the oven that a food pointed at gives its name: "the cod"."""
    pointed = {
        m.id
        for m in reading.all("ingredient")
        if m.start and reading.words[m.start - 1] in listed(shelf, "our-words")
    }
    named = [item for ident in pointed if (item := shelf.item(ident)) is not None]
    found = [
        recipe
        for recipe in shelf.corpus.recipes.values()
        if any(stems(item.name) <= stems(recipe.title) for item in named)
        and any(_DEGREES.search(step.heat) for step in recipe.steps)
    ]
    return found[0] if len(found) == 1 else None


def _rack(reading: Reading, recipe: Recipe) -> Answer | None:
    """What a step says of the oven's rack."""
    for step, line in zip(recipe.steps, recipe.step_lines, strict=True):
        told = next((part for part in step.text.split(". ") if "rack" in part.split()), "")
        if told:
            headline = f"{told.rstrip('.')}."
            if len(headline) > LONGEST_HEADLINE:
                headline = f"{headline.split(',', maxsplit=1)[0].rstrip('.')}."
            lines = [step.text, *([f"Heat: {step.heat}."] if step.heat else [])]
            source = record_source(recipe, line)
            return make(reading, "quoted", headline[:LONGEST_HEADLINE], (), lines, (source,))
    return None


def _reheated(reading: Reading, recipe: Recipe) -> Answer:
    """How the recipe says that it is warmed again."""
    first = f"{recipe.reheat.split('. ')[0].rstrip('.')}."
    lines = [recipe.reheat] if len(first) > LONGEST_HEADLINE or first != recipe.reheat else []
    if len(first) > LONGEST_HEADLINE:
        first = f"{first[: first.rfind(' ', 0, LONGEST_HEADLINE - 2)]} …"
    return make(reading, "quoted", first, (), lines, (record_source(recipe),))


def _note(reading: Reading, shelf: Shelf) -> Answer:
    found = best(reading, shelf, _NOTES)
    return quoted(reading, shelf, found[1]) if found else unknown(reading, shelf)


def _without_recipe(reading: Reading, shelf: Shelf) -> Answer:
    """ "My oven is convection, is 400 still right?": the usual step down, worked out."""
    degrees = degrees_f(reading, _COOLEST, _HOTTEST)
    limit = shelf.corpus.limits.get("convection")
    mark = _named_mark(reading, shelf)
    first, step, rule = _marks(shelf)
    if mark is not None and step:
        figure = _figure("oven", first + step * (mark - 1), rule)
        headline = f"Gas mark {number(mark)} is about {figure.shown}."
        sources = (reference_source(shelf, "common-practice"),)
        return make(reading, "computed", headline, (figure,), (), sources)
    if degrees is None:
        return _note(reading, shelf)
    if shelf.says(reading, "fan-words") and limit is not None and limit.degrees is not None:
        lower = degrees - limit.degrees
        figure = _figure("convection oven", lower, _less(degrees, limit))
        return make(
            reading,
            "computed",
            f"In a convection oven: {figure.shown}, {limit.degrees} °F lower than the recipe's.",
            (figure,),
            ("Start looking a few minutes early; what done looks like decides.",),
            (record_source(limit), reference_source(shelf, limit.source)),
        )
    nearest = _mark(degrees, shelf)
    if nearest and shelf.says(reading, "gas-words"):
        figure = Figure(
            name="gas mark", value=Fraction(int(nearest)), unit="", shown=nearest,
            working=(_marks(shelf)[2],),
        )  # fmt: skip
        headline = f"{_shown(degrees)} is about gas mark {nearest}."
        sources = (reference_source(shelf, "common-practice"),)
        return make(reading, "computed", headline, (figure,), (), sources)
    return _note(reading, shelf)


def _marks(shelf: Shelf) -> tuple[int, int, str]:
    """Degrees F at gas mark 1, degrees from one mark to the next, and the rule in words."""
    first, step = (shelf.corpus.limits.get(name) for name in ("gas-mark-one", "gas-mark-step"))
    if first is None or step is None or not first.degrees or not step.degrees:
        return 0, 0, ""
    rule = f"gas mark 1 is {first.degrees} °F, each mark {step.degrees} °F more ({first.where})"
    return first.degrees, step.degrees, rule


def _mark(degrees: Fraction, shelf: Shelf) -> str:
    """The gas mark nearest to a temperature, 1 to 9; "" where there is none."""
    first, step, _ = _marks(shelf)
    mark = ((degrees - first) / step + Fraction(3, 2)).__floor__() if step else 0
    return str(mark) if 1 <= mark <= 9 else ""


def _named_mark(reading: Reading, shelf: Shelf) -> Fraction | None:
    """The gas mark named: "gas mark 6"."""
    for mention in reading.all("number"):
        before = reading.words[mention.start - 1] if mention.start else ""
        named = before in {"mark", "gas"} and shelf.says(reading, "gas-words")
        if named and isinstance(mention.value, Fraction) and 1 <= mention.value <= 9:
            return mention.value
    return None


def _shown(degrees: Fraction) -> str:
    """In °F, with °C as an oven's dial has it: to the nearest 5."""
    celsius = round(to_celsius(degrees) / 5) * 5
    return f"{number(degrees, 0)} °F ({celsius} °C)"


def _figure(name: str, degrees: Fraction, *working: str) -> Figure:
    exact = f"{number(degrees, 0)} °F is {number(to_celsius(degrees), 1)} °C; dials go by 5 °C"
    return Figure(
        name=name, value=degrees, unit="°F", shown=_shown(degrees), working=(*working, exact)
    )


def _less(degrees: Fraction, limit: SafetyLimit) -> str:
    return f"{number(degrees, 0)} °F − {limit.degrees} °F ({limit.where})"


def _oven(reading: Reading, recipe: Recipe, step: Step, shelf: Shelf) -> Answer:
    found = _DEGREES.search(step.heat)
    degrees = Fraction(int(found[1])) if found else Fraction(350)
    place = recipe.steps.index(step)
    where = record_source(recipe, recipe.step_lines[place])
    limit = shelf.corpus.limits.get("convection")
    figures = [_figure("oven", degrees, f"step {place + 1}: {step.heat} ({where.where})")]
    lines = []
    sources = [where]
    headline = f"{recipe.title}: oven at {figures[0].shown}."
    fan = shelf.says(reading, "fan-words") or "air-fryer" in reading.ids("tool")
    if limit is not None and limit.degrees is not None:
        lower = degrees - limit.degrees
        figures.append(_figure("convection oven", lower, _less(degrees, limit)))
        said = f"In a convection oven or an air fryer: {figures[1].shown}; look early."
        if fan:
            how = "an air fryer" if "air-fryer" in reading.ids("tool") else "a convection oven"
            headline = f"{recipe.title} in {how}: {figures[1].shown}."
            said = f"In a still oven it is {figures[0].shown}. Start looking a few minutes early."
        lines.append(said)
        sources += [record_source(limit), reference_source(shelf, limit.source)]
    mark = _mark(degrees, shelf)
    if mark and shelf.says(reading, "gas-words"):
        headline = f"{recipe.title}: gas mark {mark}, about {figures[0].shown}."
        figures.append(
            Figure(name="gas mark", value=Fraction(int(mark)), unit="", shown=mark,
                   working=(_marks(shelf)[2],))
        )  # fmt: skip
    other = degrees_f(reading, _COOLEST, _HOTTEST)
    if other is not None and abs(other - degrees) > 1 and not fan:
        change = "longer" if other < degrees else "shorter, and it browns more"
        asked = f"{number(other, 0)} °F takes {change}."
        headline = f"{recipe.title}: the recipe has {figures[0].shown}; {asked}"
        lines.append("No time is worked out for another heat; what done looks like decides.")
    if reading.has("long", "minutes", "time"):
        lines += _minutes(recipe)
    if step.done:
        lines.append(f"Done when {step.done}.")
    if reading.outside:
        lines.append(f"Asked with: {' '.join(reading.outside)}. The recipe gives no more on that.")
    return make(reading, "computed", headline, figures, lines, sources)


def _minutes(recipe: Recipe) -> list[str]:
    """How long the food is in the oven; heating the oven itself is the step called so."""
    return [
        f"Step {number_}: {step.passive} in the oven."
        for number_, step in enumerate(recipe.steps, 1)
        if _DEGREES.search(step.heat) and step.id != "oven"
    ]


def _burners(recipe: Recipe) -> list[tuple[int, Step]]:
    return [
        (i, step)
        for i, step in enumerate(recipe.steps, 1)
        if step.heat and not _DEGREES.search(step.heat)
    ]


def _burner_lines(recipe: Recipe) -> list[str]:
    return [f"Step {i}: {step.heat}. {step.text.split('.')[0]}." for i, step in _burners(recipe)]


def _burner(reading: Reading, recipe: Recipe, oven: Step | None) -> Answer:
    steps = _named_step(reading, recipe) or _burners(recipe)
    if not steps:
        headline = f"The {recipe.title.lower()} is made without heat."
        return make(reading, "quoted", headline, sources=(record_source(recipe),))
    said = list(dict.fromkeys(step.heat for _, step in steps if step.heat != "off"))
    lines = _burner_lines(recipe)
    if oven is not None:
        lines.append(f"The oven is at {oven.heat.replace(' oven', '')}.")
    headline = capital(f"{recipe.title}: {', then '.join(said[:3])}.")
    if len(steps) == 1:
        headline = f"{recipe.title}, step {steps[0][0]}: {steps[0][1].heat} heat."
    sources = [record_source(recipe, recipe.step_lines[i - 1]) for i, _ in steps]
    return make(reading, "quoted", headline, (), lines, sources)


def _named_step(reading: Reading, recipe: Recipe) -> list[tuple[int, Step]]:
    """The step that uses the one food named, and cooks it: "what heat for the onion"."""
    foods = set(reading.foods)
    if len(foods) != 1:
        return []
    food = next(iter(foods))
    names = {line.name for line in recipe.lines if line.item == food}
    for number_, step in _burners(recipe):
        if names & set(step.uses) or food in step.uses:
            return [(number_, step)]
    return []
