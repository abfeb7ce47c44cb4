"""How long a recipe takes, how long a step takes, when an ingredient goes in, when to start."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.answer import Answer
from assistant.corpus.corpus import line_for
from assistant.corpus.records import Recipe
from assistant.kinds.equipment.answer import answer as equipment
from assistant.kinds.equipment.boil import boil
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import Shelf, ask_which_recipe
from assistant.kinds.timing import tell
from assistant.kinds.timing.plan import Plan
from assistant.kinds.timing.times import meant
from assistant.kitchen.clock import Timed, running_order, schedule
from assistant.measure.span import Span
from assistant.question.reading import Reading
from assistant.retrieval.words import singular

_MACHINES = ("slow-cooker", "pressure-cooker", "air-fryer", "microwave")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The whole, a step, or an ingredient's turn; a note where the recipe is not asked about."""
    if set(reading.ids("tool")) & set(_MACHINES):
        return equipment(reading, shelf)
    recipe = shelf.recipe(reading)
    if recipe is None:
        found = best(reading, shelf, ("timing", "technique", "safety"))
        return quoted(reading, shelf, found[1]) if found else ask_which_recipe(reading, shelf)
    if shelf.says(reading, "boil-words") and shelf.says(reading, "to-the-boil"):
        boiled = boil(reading, recipe, shelf)
        if boiled is not None:
            return boiled
    timed = schedule(recipe.steps)
    plan = Plan(reading, recipe, timed, *meant(reading, shelf), shelf)
    late = _late(reading, shelf)
    if late is not None:
        return tell.behind(plan, late)
    if shelf.says(reading, "timing-chain"):
        return tell.chain(plan)
    made = _part(plan, shelf)
    if made is not None:
        return made
    if shelf.says(reading, "timing-hands"):
        return tell.hands(plan)
    if plan.end is not None:
        return tell.backward(plan)
    if shelf.says(reading, "timing-ahead") and not _asks_length(reading):
        return tell.order(plan)
    if _asks_start(reading, shelf) and plan.start is None:
        return tell.ask_end(plan)
    if plan.start is not None:
        return tell.forward(plan)
    return tell.whole_dish(plan)


def _late(reading: Reading, shelf: Shelf) -> Span | None:
    """By how much the cook says to be behind."""
    if not shelf.says(reading, "timing-behind"):
        return None
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    return next((s for s in spans if s.unit in {"minute", "hour", "second"}), None)


def _asks_start(reading: Reading, shelf: Shelf) -> bool:
    return "what" in reading.words and shelf.says(reading, "clock-start")


def _part(plan: Plan, shelf: Shelf) -> Answer | None:
    """The answer about an ingredient or a step, where the question names one."""
    reading, recipe = plan.reading, plan.recipe
    method = {m.id for m in reading.all("method")}
    asks_when = shelf.says(reading, "timing-when") and not _asks_length(reading)
    for item in _foods(plan, asks_when, shelf):
        steps = [t for t in running_order(plan.timed) if _uses(t, item, recipe, shelf)]
        if "oven" in reading.ids("tool"):
            steps = [t for t in steps if "oven" in t.step.heat] or steps
        if not steps:
            continue
        if shelf.says(reading, "timing-when") or not _asks_length(reading):
            return tell.turn(plan, item, steps)
        cooked = (
            [t for t in steps if _does(t, method)] or [t for t in steps if t.passive[1]] or steps
        )
        return tell.length(plan, cooked, item)
    step = named_step(reading, plan.timed, shelf)
    if step is None and asks_when:
        named = _by_recipe_name(plan)
        return tell.step_turn(plan, *named) if named else None
    if step is None:
        return None
    if shelf.says(reading, "timing-when") and not _asks_length(reading):
        return tell.step_turn(plan, step)
    return tell.length(plan, [step])


def _foods(plan: Plan, asks_when: bool, shelf: Shelf) -> Sequence[str]:
    """The ingredients asked about; "when does the salmon go in?" means the fish, not the dish."""
    reading = plan.reading
    if reading.foods or not (asks_when and shelf.says(reading, "goes-in")):
        return reading.foods
    lines = {line.item for line in plan.recipe.lines}
    return [item for item in reading.ids("ingredient") if item in lines]


def _by_recipe_name(plan: Plan) -> tuple[Timed, str] | None:
    """The step for the noodles of the peanut noodles: the first on the heat that speaks of them."""
    if not plan.shelf.says(plan.reading, "goes-in"):
        return None
    said = {singular(w) for m in plan.reading.all("recipe") for w in m.text.split()}
    for t in plan.timed:
        words = {singular(word.strip(".,;").lower()) for word in t.step.text.split()}
        if t.step.heat and t.step.uses and said & words:
            return t, plan.reading.all("recipe")[0].text
    return None


def _asks_length(reading: Reading) -> bool:
    if reading.has("time") and not reading.has("what", "when"):
        return True
    return reading.has("long", "minutes", "longer", "hours") or not reading.words


def _uses(timed: Timed, item: str, recipe: Recipe, shelf: Shelf) -> bool:
    lines = (line_for(recipe, name, shelf.corpus.pantry) for name in timed.step.uses)
    return any(line is not None and line.item == item for line in lines)


def _does(timed: Timed, methods: set[str]) -> bool:
    words = {singular(word.strip(".,;").lower()) for word in timed.step.text.split()}
    return bool(methods & (words | set(timed.step.id.split("-"))))


def named_step(reading: Reading, timed: Sequence[Timed], shelf: Shelf) -> Timed | None:
    """The step that the question names by number, by what is done in it, or by its words."""
    numbered = _numbered(reading, timed)
    if numbered is not None:
        return numbered
    # "Start to finish" names no step called "finish".
    lists = (shelf.corpus.lists.get(i) for i in ("clock-start", "clock-end"))
    moments = {word for found in lists if found for word in found.words}
    methods = {m.id for m in reading.all("method")}
    # The "chicken" of "chicken stew" is no step either.
    title = {place for m in reading.all("recipe") for place in range(m.start, m.end)}
    said = (word for place, word in enumerate(reading.words) if place not in title)
    methods |= {_root(word) for word in said if word not in moments}
    for t in timed:
        if t.step.id in methods or {_root(part) for part in t.step.id.split("-")} & methods:
            return t
    named = {m.id for m in reading.all("method")}
    for t in timed:
        if named and _does(t, named):
            return t
    return None


def _numbered(reading: Reading, timed: Sequence[Timed]) -> Timed | None:
    for word, after in zip(reading.words, reading.words[1:], strict=False):
        if word == "step" and after.isdigit() and 1 <= int(after) <= len(timed):
            return timed[int(after) - 1]
    return None


def _root(word: str) -> str:
    """A verb without its ending: "blending" and "blended" are "blend"."""
    for ending in ("ing", "ed", "es", "s"):
        if word.endswith(ending) and len(word) > len(ending) + 3:
            return word[: -len(ending)]
    return word
