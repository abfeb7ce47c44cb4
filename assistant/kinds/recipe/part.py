"""A part of a recipe: one step, its sauce or slaw, what is optional, its spices or vegetables."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from assistant.answer import Answer
from assistant.corpus.records import Line, Recipe, Step
from assistant.kinds.crossed import listed as words_in
from assistant.kinds.shelf import (
    Shelf,
    amount_text,
    capital,
    line_name,
    listed,
    make,
    record_source,
)
from assistant.kitchen.diets import judge
from assistant.question.reading import Reading
from assistant.retrieval.words import singular

_LONGEST = 120
# Lists of words that ask for lines of one sort: by what an item does, and by the pantry's files.
_BY_ROLE = "sort-role-"
_BY_FILE = "sort-file-"


def part(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """The answer on the part that is asked about; None where the question is on the whole."""
    numbered = _numbered(reading, recipe, shelf)
    if numbered is not None:
        return _step(reading, recipe, numbered)
    after = _after(reading, recipe, shelf)
    if after is not None:
        return _step(reading, recipe, after)
    if shelf.says(reading, "optional-words"):
        return _optional(reading, recipe, shelf)
    named = _named_part(reading, recipe, shelf)
    if named is not None:
        return _of_part(reading, recipe, *named, shelf)
    if shelf.says(reading, "meat-words"):
        return _meat(reading, recipe, shelf)
    return None if reading.foods else _of_sort(reading, recipe, shelf)


# ------------------------------------------------------------------------------------------ steps


def _numbered(reading: Reading, recipe: Recipe, shelf: Shelf) -> int | None:
    """The place of the step that is named by its number: "step 3", "the last step"."""
    words = reading.words
    for at, word in enumerate(words):
        if word not in {"step", "steps"}:
            continue
        numbers = [
            m.value
            for m in reading.all("number")
            if isinstance(m.value, Fraction) and (m.start == at + 1 or m.end == at)
        ]
        before = words[at - 1] if at else ""
        ordinals = words_in(shelf, "ordinal-words")
        places = {text.split()[0]: int(text.split()[1]) for text in ordinals}
        if numbers and numbers[0].denominator == 1:
            return _within(int(numbers[0]), recipe)
        if before == "last":
            return len(recipe.steps)
        if before in places:
            return _within(places[before], recipe)
    return None


def _within(number: int, recipe: Recipe) -> int | None:
    return number if 1 <= number <= len(recipe.steps) else None


def _after(reading: Reading, recipe: Recipe, shelf: Shelf) -> int | None:
    """The step behind the one that a food goes into: "what do I do after the onions"."""
    starts = {m.start: m.id for m in reading.all("ingredient") if m.id in reading.foods}
    for at, word in enumerate(reading.words):
        if word != "after":
            continue
        item = next((starts[p] for p in (at + 1, at + 2) if p in starts), None)
        names = {line.name for line in recipe.lines if line.item == item}
        for place, step in enumerate(recipe.steps, 1):
            # Cutting comes first for everything; the step meant is the one on the stove.
            if names & set(step.uses) and step.id not in words_in(shelf, "cutting-steps"):
                return place + 1 if place < len(recipe.steps) else None
    return None


def _step(reading: Reading, recipe: Recipe, number: int) -> Answer:
    step = recipe.steps[number - 1]
    first = f"{step.text.split('. ')[0].rstrip('.')}."
    headline = f"Step {number} of {len(recipe.steps)}: {first}"
    if len(headline) > _LONGEST:
        headline = f"{headline[: headline.rfind(' ', 0, _LONGEST - 2)]} …"
    lines = [step.text, *_how(step)]
    source = record_source(recipe, recipe.step_lines[number - 1])
    return make(reading, "quoted", headline, (), lines, (source,))


def _how(step: Step) -> list[str]:
    told = []
    if step.heat:
        told.append(f"Heat: {step.heat}.")
    if step.done:
        told.append(f"Done when {step.done}.")
    return told


# ------------------------------------------------------------------------------------------ parts


def _named_part(reading: Reading, recipe: Recipe, shelf: Shelf) -> tuple[str, int] | None:
    """A part that is asked for by its noun, and the place of the step in which it is made.

    The "sauce" of soy sauce and the "salad" of a recipe's name are no parts.
    """
    parts = words_in(shelf, "part-of-dish")
    taken = {
        p
        for m in reading.mentions
        if m.type in {"recipe", "ingredient"} and m.end - m.start > 1
        for p in range(m.start, m.end)
    }
    for place, word in enumerate(reading.words):
        noun = singular(word)
        if place in taken or noun not in parts:
            continue
        for number, step in enumerate(recipe.steps, 1):
            if singular(step.id) == noun:
                return noun, number
    return None


def _of_part(reading: Reading, recipe: Recipe, noun: str, number: int, shelf: Shelf) -> Answer:
    """What goes into a part, with the step that makes it; the step first where it is asked how."""
    step = recipe.steps[number - 1]
    lines = [line for line in recipe.lines if line.name in step.uses]
    if not lines or (shelf.says(reading, "steps-words") and reading.has("how")):
        return _step(reading, recipe, number)
    names = [line_name(line, shelf) for line in lines]
    headline = _head(f"In the {noun} of the {recipe.title.lower()}", names)
    rows = [f"{capital(_said(line, shelf))}." for line in lines]
    rows += [f"Amounts serve {recipe.yields.servings}.", f"Step {number}: {step.text}"]
    sources = [record_source(recipe, recipe.step_lines[number - 1])]
    sources += [record_source(recipe, line.line) for line in lines]
    return make(reading, "quoted", headline, (), rows, sources)


def _head(lead: str, names: Sequence[str]) -> str:
    """`In the slaw: red cabbage, carrot and 3 more.`: as many names as there is room for."""
    for count in range(len(names), 0, -1):
        rest = len(names) - count
        told = listed([*names[:count], *([f"{rest} more"] if rest else [])])
        if len(f"{lead}: {told}.") <= _LONGEST:
            return f"{lead}: {told}."
    return f"{lead}: see below."


def _said(line: Line, shelf: Shelf) -> str:
    name = line_name(line, shelf, line.amount)
    tail = f", {line.prep}" if line.prep else ""
    return f"{amount_text(line.amount, shelf.first)} {name}{tail}" if line.amount else name


def _optional(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer:
    """What may be left out as written."""
    title = recipe.title.lower()
    lines = [line for line in recipe.lines if line.optional]
    sources = [record_source(recipe, line.line) for line in lines] or [record_source(recipe)]
    if not lines:
        return make(
            reading,
            "quoted",
            f"Nothing in the {title} is marked as optional.",
            sources=sources,
        )
    names = [line_name(line, shelf) for line in lines]
    headline = _head(f"Optional in the {title}", names)
    rows = [f"{capital(_said(line, shelf))}, optional." for line in lines]
    rows.append("The nutrition figures leave out what is optional.")
    return make(reading, "quoted", headline, (), rows, sources)


# ------------------------------------------------------------------------------------------ sorts


def sort_named(reading: Reading, recipe: Recipe, shelf: Shelf) -> tuple[str, list[Line]] | None:
    """The sort that a question names, such as "vegetables", and the recipe's lines of it."""
    for ident, record in shelf.corpus.lists.items():
        by_role, by_file = ident.startswith(_BY_ROLE), ident.startswith(_BY_FILE)
        if not (by_role or by_file) or not _says(reading, record.words):
            continue
        key = ident.removeprefix(_BY_ROLE if by_role else _BY_FILE)
        lines = [line for line in recipe.lines if _is_of(line, key, by_role, shelf)]
        return record.words[0], lines
    return None


def _of_sort(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """The lines of one sort: the spices, the vegetables, the cheese."""
    found = sort_named(reading, recipe, shelf)
    if found is None:
        return None
    sort, lines = found
    title = recipe.title.lower()
    if not lines:
        headline = f"The {title} has no {sort} in it."
        return make(reading, "quoted", headline, sources=(record_source(recipe),))
    names = [line_name(line, shelf) for line in lines]
    headline = _head(f"{capital(sort)} in the {title}", names)
    rows = [f"{capital(_said(line, shelf))}." for line in lines]
    rows.append(f"Amounts serve {recipe.yields.servings}.")
    sources = [record_source(recipe, line.line) for line in lines]
    return make(reading, "quoted", headline, (), rows, sources)


def _says(reading: Reading, words: Sequence[str]) -> bool:
    """Whether a word of a list stands outside the names of recipes."""
    named = {p for m in reading.all("recipe") for p in range(m.start, m.end)}
    return any(word in words for p, word in enumerate(reading.words) if p not in named)


def _is_of(line: Line, key: str, by_role: bool, shelf: Shelf) -> bool:
    item = shelf.item(line.item)
    if item is None:
        return False
    return key in item.role if by_role else item.file.rpartition("/")[2].startswith(f"{key}.")


def _meat(reading: Reading, recipe: Recipe, shelf: Shelf) -> Answer | None:
    """Whether there is meat, poultry or fish in it, broths and labels included."""
    diet = shelf.corpus.diets.get("vegetarian")
    if diet is None:
        return None
    verdict = judge(recipe.lines, diet, shelf.corpus.pantry)
    title = recipe.title.lower()
    found = (*verdict.contains, *verdict.optional)
    have = list(dict.fromkeys(f.item.name for f in found if f.grade == "contains"))
    doubt = (*verdict.may, *(f for f in verdict.optional if f.grade != "contains"))
    may = list(dict.fromkeys(f.item.name for f in doubt))
    lines = [f"Read the label of the {listed(may)}."] if may else []
    headline = (
        _head(f"Meat, poultry or fish in the {title}", have)
        if have
        else f"The {title} has no meat, poultry or fish in it."
    )
    sources = (record_source(recipe), record_source(diet))
    return make(reading, "quoted", headline, (), lines, sources)
