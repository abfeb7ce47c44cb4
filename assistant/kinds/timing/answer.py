"""How long a recipe takes, how long a step takes, when an ingredient goes in, when to start."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import line_for
from assistant.corpus.records import Recipe
from assistant.kinds.equipment.answer import answer as equipment
from assistant.kinds.equipment.boil import boil
from assistant.kinds.quote import best, quoted
from assistant.kinds.shelf import Shelf, ask_which_recipe
from assistant.kinds.timing import live as live_
from assistant.kinds.timing import needs, tell
from assistant.kinds.timing.plan import Plan, step_name
from assistant.kinds.timing.sorts import sort_turn
from assistant.kinds.timing.times import meant, says
from assistant.kitchen.clock import Timed, running_order, schedule
from assistant.kitchen.vessels import boiling_step, water_step
from assistant.measure.span import Span
from assistant.question.reading import Reading
from assistant.retrieval.words import singular, stop_words

# Lists of words that ask, and name nothing that a step would have to hold.
_ASKING = (
    "timing-when", "timing-until", "timing-left", "timing-yet", "timing-done", "goes-in",
    "timing-ahead", "timing-order", "clock-start", "clock-end", "asking-words",
)  # fmt: skip
_MACHINES = ("slow-cooker", "pressure-cooker", "air-fryer", "microwave")


def answer(reading: Reading, shelf: Shelf) -> Answer:
    """The whole, a step, or an ingredient's turn; a note where the recipe is not asked about."""
    if set(reading.ids("tool")) & set(_MACHINES):
        return equipment(reading, shelf)
    recipe = shelf.recipe(reading)
    if recipe is None:
        found = best(reading, shelf, ("timing", "technique", "safety"))
        return quoted(reading, shelf, found[1]) if found else ask_which_recipe(reading, shelf)
    start, end = meant(reading, shelf)
    live = reading.progress if start is None else None
    if live is not None and live.recipe != recipe.id:
        live = None
    timed = live.plan(recipe.steps) if live is not None else schedule(recipe.steps)
    plan = Plan(reading, recipe, timed, start, end, shelf, live)
    boiled = _boiled(plan, shelf)
    if boiled is not None:
        return boiled
    late = _late(reading, shelf)
    if late is not None:
        return tell.behind(plan, late)
    if says(reading, shelf, "timing-catch-up"):
        return needs.catch_up(plan)
    if says(reading, shelf, "timing-break"):
        return needs.free(plan)
    if says(reading, shelf, "timing-longest-step"):
        return needs.longest(plan)
    if says(reading, shelf, "timing-count") and not reading.has("left", "remaining"):
        return needs.count(plan)
    chain = shelf.says(reading, "timing-chain") and not shelf.says(reading, "timing-hands")
    if chain or says(reading, shelf, "timing-help"):
        return tell.chain(plan)
    made = _between(plan) or _enough(plan) or _part(plan, shelf)
    if made is not None:
        return made
    if shelf.says(reading, "timing-hands"):
        return tell.hands(plan)
    return _whole(plan, shelf)


def _boiled(plan: Plan, shelf: Shelf) -> Answer | None:
    """How long until something boils, where that is asked; while a clock runs with its time."""
    reading, recipe = plan.reading, plan.recipe
    # A batch of another size is asked about for what it does to the way to the boil.
    sized = bool(reading.all("servings") or reading.all("share"))
    asked = shelf.says(reading, "boil-words") and (sized or shelf.says(reading, "to-the-boil"))
    if not asked or says(reading, shelf, "timing-meanwhile"):
        return None
    boiled = boil(reading, recipe, shelf)
    if boiled is None or plan.live is None:
        return boiled
    step = water_step(recipe) if "water" in reading.words else None
    step = step or boiling_step(recipe) or water_step(recipe)
    current = plan.live.due(plan.timed)[0]
    lines = [live_.by_the_clock(plan, t) for t in current if t.step == step]
    return msgspec.structs.replace(boiled, lines=(*lines, *boiled.lines))


def _whole(plan: Plan, shelf: Shelf) -> Answer:
    """The answer about the whole dish."""
    reading, live = plan.reading, plan.live
    if says(reading, shelf, "timing-standing"):
        return live_.on_time(plan, live) if live is not None else live_.ask_start(plan)
    if plan.end is not None:
        return live_.in_time(plan, live, plan.end) if live is not None else tell.backward(plan)
    if live is not None and says(reading, shelf, "timing-since"):
        return live_.since(plan, live)
    counted = reading.has("time", "minutes", "longer", "hours")
    if live is not None and not counted and says(reading, shelf, "timing-remaining"):
        return live_.remaining(plan, live)
    soon = says(reading, shelf, "timing-until") and reading.has("next")
    asks_next = soon or (shelf.says(reading, "timing-ahead") and not _asks_length(reading))
    if live is None:
        if asks_next:
            return tell.order(plan)
        if says(reading, shelf, "timing-now"):
            return live_.ask_start(plan)
    elif asks_next:
        return live_.upcoming(plan, live)
    elif says(reading, shelf, "timing-now"):
        return live_.where(plan, live)
    if _asks_start(reading, shelf) and plan.start is None and live is None:
        return tell.ask_end(plan)
    sized = bool(reading.all("servings") or reading.all("share"))
    if live is not None and not sized:
        left = says(reading, shelf, "timing-left")
        return live_.ready(plan, live) if left else tell.whole_dish(plan)
    return tell.forward(plan) if plan.start is not None else tell.whole_dish(plan)


def _enough(plan: Plan) -> Answer | None:
    """Whether a stretch of time that is named is enough."""
    reading, shelf = plan.reading, plan.shelf
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    told = [s for s in spans if s.unit in {"minute", "hour", "second"}]
    if (
        len(told) != 1
        or not says(reading, shelf, "timing-enough")
        or shelf.says(reading, "timing-when")
    ):
        return None
    t = named_step(reading, plan.timed, shelf)
    return tell.enough(plan, told[0], [t] if t is not None else [])


def _between(plan: Plan) -> Answer | None:
    """What may be done earlier than planned, beside another step, or next to it."""
    reading, shelf = plan.reading, plan.shelf
    if plan.start is not None and shelf.says(reading, "timing-done"):
        t = named_step(reading, plan.timed, shelf)
        return needs.from_step(plan, t, plan.start) if t is not None else None
    if says(reading, shelf, "timing-meanwhile"):
        t = _any_step(_waits(_behind(plan, "while", "during"))) or _waiting(plan)
        return needs.meanwhile(plan, t) if t is not None else None
    if says(reading, shelf, "timing-neighbor") and reading.has("after", "before"):
        t = _any_step(plan)
        return needs.neighbor(plan, t, reading.has("after")) if t is not None else None
    sooner = says(reading, shelf, "timing-sooner") and says(reading, shelf, "timing-may")
    if sooner and not reading.all("duration") and not reading.all("date"):
        t = _any_step(plan)
        named = [m.text for m in reading.mentions if m.type in {"ingredient", "recipe"}]
        return needs.earlier(plan, t, named[0] if named else "") if t is not None else None
    return None


def _behind(plan: Plan, *words: str) -> Plan:
    """The plan with only what the question says behind one of these words."""
    reading = plan.reading
    place = next((p for p, word in enumerate(reading.words) if word in words), -1)
    if place < 0:
        return plan
    behind = tuple(m for m in reading.mentions if m.start > place)
    said = tuple(word if p > place else "" for p, word in enumerate(reading.words))
    rest = msgspec.structs.replace(reading, mentions=behind, words=said)
    return msgspec.structs.replace(plan, reading=rest)


def _waits(plan: Plan) -> Plan:
    """The plan with only the steps that wait."""
    return msgspec.structs.replace(plan, timed=tuple(t for t in plan.timed if t.passive[1]))


def _any_step(plan: Plan) -> Timed | None:
    """The step that a question means, however it names it: by its words, by what it is about."""
    found = _called(plan) or named_step(plan.reading, plan.timed, plan.shelf)
    if found is not None:
        return found
    for item in _foods(plan, True, plan.shelf):
        for t in running_order(plan.timed):
            if _uses(t, item, plan.recipe, plan.shelf):
                return t
    spoken = _by_recipe_name(plan, True)
    return spoken[0] if spoken else None


def _waiting(plan: Plan) -> Timed | None:
    """The step that waits now, else the one that waits longest."""
    waits = [t for t in plan.timed if t.passive[1]]
    if plan.live is not None:
        current = plan.live.due(plan.timed)[0]
        waits = [t for t in current if t.passive[1]] or waits
    return max(waits, key=lambda t: t.passive[1], default=None)


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
    until = says(reading, shelf, "timing-until") or says(reading, shelf, "timing-yet")
    ends = (asks_when or until) and says(reading, shelf, "timing-done")
    own = None if ends else _called(plan)
    if own is not None:
        return tell.step_turn(plan, own) if asks_when or until else tell.length(plan, [own])
    for item in _foods(plan, asks_when or until, shelf):
        steps = [t for t in running_order(plan.timed) if _uses(t, item, recipe, shelf)]
        if "oven" in reading.ids("tool"):
            steps = [t for t in steps if "oven" in t.step.heat] or steps
        if not steps:
            continue
        if ends:
            done = tell.over(plan, item, steps)
            if done is not None:
                return done
        if until or shelf.says(reading, "timing-when") or not _asks_length(reading):
            return tell.turn(plan, item, steps)
        by_name = [t for t in plan.timed if t.step.id in method]
        cooked = (
            (by_name if not method & {t.step.id for t in steps} else [])
            or [t for t in steps if _does(t, method)]
            or [t for t in steps if t.passive[1]]
            or steps
        )
        return tell.length(plan, cooked, item)
    if asks_when and shelf.says(reading, "goes-in") and not reading.foods:
        sort = sort_turn(plan)
        if sort is not None:
            return sort
    baked = _in_oven(plan) if _asks_length(reading) and not (asks_when or until) else []
    if baked:
        return tell.length(plan, baked)
    step = named_step(reading, plan.timed, shelf)
    named = _by_recipe_name(plan, asks_when or until) if step is None else None
    if named is not None:
        return tell.step_turn(plan, *named) if asks_when or until else tell.length(plan, named[:1])
    if step is None and (asks_when or until):
        step = _by_words(plan)
    if step is None:
        return None
    done = tell.over(plan, "", [step]) if ends else None
    if done is not None:
        return done
    if until or (shelf.says(reading, "timing-when") and not _asks_length(reading)):
        return tell.step_turn(plan, step)
    return tell.length(plan, [step])


def _in_oven(plan: Plan) -> list[Timed]:
    """The steps for which food is in the oven, where that is asked ("how long in the oven?"): the
    step that only heats it is none of them."""
    asked = "oven" in plan.reading.ids("tool") and not plan.reading.foods
    if not asked or says(plan.reading, plan.shelf, "preheating-words"):
        return []
    return [t for t in plan.timed if "oven" in t.step.heat and (t.step.uses or t.step.needs)]


def _foods(plan: Plan, asks_when: bool, shelf: Shelf) -> Sequence[str]:
    """The ingredients asked about; "when does the salmon go in?" means the fish, not the dish."""
    reading = plan.reading
    if reading.foods or not (asks_when and shelf.says(reading, "goes-in")):
        return reading.foods
    lines = {line.item for line in plan.recipe.lines}
    return [item for item in reading.ids("ingredient") if item in lines]


def _by_recipe_name(plan: Plan, turn: bool) -> tuple[Timed, str] | None:
    """The step for the noodles of the peanut noodles: the first on the heat that speaks of them.

    Only where they are put in, or cooked as something in water is; a chili as such is the dish.
    """
    reading = plan.reading
    due = says(reading, plan.shelf, "timing-yet")
    goes = turn and (due or plan.shelf.says(reading, "goes-in"))
    if not goes and not plan.shelf.says(reading, "timing-in-water"):
        return None
    said = {singular(w) for m in reading.all("recipe") for w in m.text.split()}
    for t in plan.timed:
        words = {singular(word.strip(".,;").lower()) for word in t.step.text.split()}
        hot = t.step.heat if goes else t.step.heat.startswith("rolling")
        if hot and t.step.uses and said & words:
            return t, reading.all("recipe")[0].text
    return None


def _by_words(plan: Plan) -> Timed | None:
    """The step whose text holds every word that tells what is asked, such as "turn it down"."""
    reading, shelf = plan.reading, plan.shelf
    small = stop_words().union(
        *(found.words for i in _ASKING if (found := shelf.corpus.lists.get(i)) is not None)
    )
    title = {place for m in reading.all("recipe") for place in range(m.start, m.end)}
    told = {singular(w) for p, w in enumerate(reading.words) if p not in title and w not in small}
    for t in plan.timed:
        words = {singular(word.strip(".,;").lower()) for word in t.step.text.split()}
        if told and told <= words:
            return t
    return None


def _called(plan: Plan) -> Timed | None:
    """The step that goes by the very word of the question: the "sauce", and no soy sauce.

    What goes into the pot is the food even so, unless the step is plain water's.
    """
    reading = plan.reading
    goes = plan.shelf.says(reading, "goes-in")
    apart = [m for m in reading.all("ingredient") if m.id in reading.foods]
    said = {m.text.lower().removeprefix("the ") for m in apart}
    for t in plan.timed:
        if step_name(t) in said and not (goes and t.step.uses):
            return t
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
