"""Lists and single records, as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from assistant.corpus.records import Ingredient, Note, Recipe, Record, Reference
from assistant.desk import Desk
from assistant.faces.text import as_text
from assistant.question.understand import Context
from assistant.retrieval.words import stem, tokens

_MOST_FOODS = 30


def listing(desk: Desk, what: str) -> str:
    """One line a record: its id and its name."""
    corpus = desk.corpus
    if what == "kinds":
        rows = list(desk.snapshot.kinds)
    elif what == "recipes":
        rows = [(r.id, f"{r.title} (serves {r.yields.servings})") for r in corpus.recipes.values()]
    elif what == "notes":
        rows = [(n.id, n.title) for n in corpus.notes.values()]
    elif what == "references":
        rows = [(r.id, r.title) for r in corpus.references.values()]
    else:
        rows = [
            (i.id, f"{i.name}{f' (SR28 {i.food})' if i.food else ''}")
            for i in corpus.pantry.values()
        ]
    wide = max((len(ident) for ident, _ in rows), default=0)
    return "\n".join(f"{ident:<{wide}}  {name}" for ident, name in sorted(rows))


def all_ids(desk: Desk) -> list[str]:
    """Every id that `record` knows."""
    corpus = desk.corpus
    tables = (corpus.recipes, corpus.notes, corpus.pantry, corpus.references, corpus.swaps,
              corpus.storage, corpus.safety)  # fmt: skip
    return sorted({ident for table in tables for ident in table})


def record(desk: Desk, ident: str, context: Context, width: int) -> str | None:
    """A record by id as text, None where there is none of that id."""
    corpus = desk.corpus
    if ident in corpus.recipes:
        return _recipe(desk, corpus.recipes[ident], context, width)
    found: Record | None = (
        corpus.notes.get(ident)
        or corpus.pantry.get(ident)
        or corpus.references.get(ident)
        or corpus.swaps.get(ident)
        or corpus.storage.get(ident)
        or corpus.safety.get(ident)
    )
    if found is None:
        return None
    if isinstance(found, Note):
        return f"{found.title}\n\n{found.text}\n\n({found.where})"
    if isinstance(found, Ingredient):
        return _ingredient(found)
    if isinstance(found, Reference):
        parts = (found.title, found.section, found.publisher, found.year, found.url)
        return "\n".join(part for part in (*parts, f"({found.where})") if part)
    return _fields(found)


def nutrition(desk: Desk, ident: str, width: int) -> str:
    """The whole nutrition table of a recipe, from the same figures as `ask` gives."""
    answer = desk.answer_kind("nutrition", desk.context(ident), words=("all", "nutrients"))
    return as_text(answer, width)


def reasons(desk: Desk, ident: str, width: int) -> str:
    """Why each step and ingredient of a recipe is there: what to say while it is cooked."""
    recipe = desk.corpus.recipes[ident]
    out = [recipe.title, ""]
    for number, step in enumerate(recipe.steps, 1):
        text = f"{number}. {step.id.replace('-', ' ')}: {step.why or 'no reason on record'}"
        out.append(textwrap.fill(text, width, subsequent_indent="   "))
    out.append("")
    for reason in recipe.why:
        text = f"  {reason.of}: {reason.text}"
        out.append(textwrap.fill(text, width, subsequent_indent="    "))
    return "\n".join([*out, f"({recipe.where})"])


def _recipe(desk: Desk, recipe: Recipe, context: Context, width: int) -> str:
    """The recipe at its own servings or those asked for, from the same answers as `ask` gives."""
    pinned = desk.context(recipe.id, context.servings, context.today)
    amounts = desk.answer_kind("scale" if context.servings is not None else "recipe", pinned)
    made = recipe.yields
    out = [recipe.title, textwrap.fill(recipe.summary, width), ""]
    out.append(f"Serves {made.servings}; one {made.unit} is {made.measure}.")
    if context.servings is not None:
        out.append(amounts.headline)
    out.append("")
    out += [f"  {line}" for line in amounts.lines if not line.startswith("Taken as:")]
    out.append("")
    for i, step in enumerate(recipe.steps, 1):
        done = f" Done when {step.done}." if step.done else ""
        times = ", ".join(
            t
            for t in (
                step.active != "0 min" and f"{step.active} active",
                step.passive != "0 min" and f"{step.passive} waiting",
            )
            if t
        )
        text = f"{i}. {step.text}{done} ({times or 'at once'})"
        out.append(textwrap.fill(text, width, subsequent_indent="   "))
    keeping = desk.answer_kind("storage", pinned)
    out += ["", as_text(keeping, width), f"({recipe.where})"]
    return "\n".join(out)


def _ingredient(item: Ingredient) -> str:
    rows = [item.name, item.about]
    rows.append(f"Also called: {', '.join(item.names)}" if item.names else "")
    rows.append(f"Food code: SR28 {item.food}" if item.food else "Food code: none fits")
    rows.append(f"Contains: {', '.join(item.contains)}" if item.contains else "")
    rows.append(f"May contain: {', '.join(item.may)} (read the label)" if item.may else "")
    rows.append(f"Gluten: {item.gluten}")
    return "\n".join(row for row in (*rows, f"({item.where})") if row)


def _fields(found: Record) -> str:
    rows = []
    for field in found.__struct_fields__:
        value = getattr(found, field)
        if value and field not in {"file", "line"}:
            shown = ", ".join(str(v) for v in value) if isinstance(value, tuple) else str(value)
            rows.append(f"{field}: {shown}")
    return "\n".join([*rows, f"({found.where})"])


def foods(desk: Desk, words: Sequence[str]) -> str:
    """The rows of the composition table that hold every word, the shortest names first."""
    want = {stem(token.text) for token in tokens(" ".join(words))}
    found = []
    for code, name in desk.shelf.every_food:
        have = {stem(token.text) for token in tokens(name)}
        if want <= have:
            found.append((len(have), code, name))
    found.sort()
    rows = [f"{code}  {name}" for _, code, name in found[:_MOST_FOODS]]
    if not rows:
        return f'No food has all of the words "{" ".join(words)}"; try fewer or plainer words.'
    more = len(found) - len(rows)
    return "\n".join([*rows, *([f"… and {more} more; add a word"] if more > 0 else [])])
