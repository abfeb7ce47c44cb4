"""Which steps can be done the day before: the cutting that waits for nothing cooked."""

from __future__ import annotations

from assistant.answer import Answer, Figure
from assistant.corpus.records import Recipe, Step
from assistant.kinds.crossed import listed
from assistant.kinds.shelf import Shelf, capital, make, record_source, reference_source
from assistant.kinds.storage.subject import of_recipe
from assistant.question.reading import Reading

LONGEST = 120
_CUT = "vegetables-cut"


def ahead(reading: Reading, shelf: Shelf) -> Answer | None:
    """ "What can I prep the night before?": the steps that cut and need no step before them,
    and how long the cooked dish keeps. None where that is not asked, or no step only cuts."""
    recipe = shelf.recipe(reading)
    asked = reading.words[:1] and reading.words[0] in listed(shelf, "which-part-words")
    before = shelf.says(reading, "ahead-words") or (
        shelf.says(reading, "day-before-words") and shelf.says(reading, "earlier-words")
    )
    if recipe is None or not asked or not before or reading.foods or "long" in reading.words:
        return None
    steps = [(place, step) for place, step in enumerate(recipe.steps, 1) if _only_cuts(step, shelf)]
    rule = shelf.corpus.storage.get(_CUT)
    if not steps or rule is None or not rule.fridge:
        return None
    names = "; ".join(f"step {place}, {_first(step)}" for place, step in steps)
    headline = f"Ahead: {names}. Cut vegetables keep {rule.fridge} refrigerated."
    if len(headline) > LONGEST:
        names = ", ".join(f"step {place} ({step.id})" for place, step in steps)
        headline = f"Ahead: {names}. Cut vegetables keep {rule.fridge} refrigerated."
    figure = Figure(
        name="cut vegetables, refrigerated", value=None, unit="days", shown=rule.fridge,
        exact=rule.fridge, working=(f"storage rule {rule.title} ({rule.where})",),
    )  # fmt: skip
    lines = [f"Step {place}: {step.text}" for place, step in steps]
    lines += [_whole(recipe, shelf), rule.note]
    sources = [record_source(recipe, recipe.step_lines[place - 1]) for place, _ in steps]
    sources += [record_source(rule), reference_source(shelf, rule.source)]
    return make(reading, "quoted", headline, (figure,), lines, sources)


def _only_cuts(step: Step, shelf: Shelf) -> bool:
    """Whether a step begins with cutting and needs neither heat nor a step before it."""
    verb = step.text.split(maxsplit=1)[0].strip(",.").lower()
    return not step.heat and not step.needs and verb in listed(shelf, "cutting-verbs")


def _first(step: Step) -> str:
    """The first sentence of a step, as it is read within one."""
    text = step.text.split(". ")[0].rstrip(".")
    return text[:1].lower() + text[1:]


def _whole(recipe: Recipe, shelf: Shelf) -> str:
    rule = of_recipe(recipe, shelf.corpus).rule
    title = capital(f"the {recipe.title.lower()}")
    kept = rule.fridge or rule.freezer
    return f"{title} as a whole can be made ahead, too: {kept} refrigerated." if kept else ""
