"""The corpus cut into passages: what can be found and shown by itself."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.corpus.corpus import Corpus
from assistant.retrieval.index import Passage


def passages(corpus: Corpus) -> list[Passage]:
    """Every passage of a corpus: notes, safety rules, swaps, pantry remarks and recipe steps."""
    return [
        *_notes(corpus),
        *_rules(corpus),
        *_swaps(corpus),
        *_pantry(corpus),
        *_recipes(corpus),
    ]


def _names(corpus: Corpus, items: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(corpus.pantry[item].name for item in items if item in corpus.pantry)


def _notes(corpus: Corpus) -> Iterator[Passage]:
    for note in corpus.notes.values():
        yield Passage(
            id=f"note:{note.id}",
            record=note.id,
            source="note",
            kinds=note.kinds,
            title=note.title,
            text=note.text,
            where=note.where,
            ingredients=_names(corpus, note.ingredients),
            asks=note.asks,
        )


def _rules(corpus: Corpus) -> Iterator[Passage]:
    for rule in corpus.safety.values():
        yield Passage(
            id=f"safety:{rule.id}",
            record=rule.id,
            source="safety",
            kinds=rule.kinds,
            title=rule.title,
            text=rule.text,
            where=rule.where,
            ingredients=_names(corpus, rule.ingredients),
            asks=rule.asks,
        )


def _swaps(corpus: Corpus) -> Iterator[Passage]:
    for swap in corpus.swaps.values():
        out = _names(corpus, swap.out)
        use = _names(corpus, (swap.use,))
        if out and use:
            yield Passage(
                id=f"swap:{swap.id}",
                record=swap.id,
                source="swap",
                kinds=("swap",),
                title=f"{use[0]} instead of {' or '.join(out)}",
                text=" ".join(part for part in (swap.how, swap.taste, swap.watch) if part),
                where=swap.where,
                ingredients=(*out, *use),
            )


def _pantry(corpus: Corpus) -> Iterator[Passage]:
    for item in corpus.pantry.values():
        if item.about:
            yield Passage(
                id=f"pantry:{item.id}",
                record=item.id,
                source="pantry",
                kinds=("ingredient",),
                title=item.name,
                text=item.about,
                where=item.where,
                ingredients=item.names,
            )


def _recipes(corpus: Corpus) -> Iterator[Passage]:
    for recipe in corpus.recipes.values():
        yield Passage(
            id=f"recipe:{recipe.id}",
            record=recipe.id,
            source="recipe",
            kinds=("recipe",),
            title=recipe.title,
            text=recipe.summary,
            where=recipe.where,
            ingredients=recipe.names,
        )
        for step, line in zip(recipe.steps, recipe.step_lines, strict=True):
            done = f" It is done when {step.done}." if step.done else ""
            yield Passage(
                id=f"step:{recipe.id}:{step.id}",
                record=recipe.id,
                source="recipe",
                kinds=("recipe", "technique", "timing"),
                title=recipe.title,
                text=step.text + done,
                where=f"{recipe.file}:{line}",
                ingredients=step.uses,
            )
