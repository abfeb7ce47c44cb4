"""`assistant handout`: from the arguments to a written page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from assistant.desk import Desk
from assistant.faces.handout.changes import HandoutError, desk_for, make_dish
from assistant.faces.handout.page import make_page
from assistant.faces.handout.write import check_place, form_of, render, write
from assistant.question.understand import Context

if TYPE_CHECKING:
    from assistant.faces.handout.questions import Gathered


class Wanted(msgspec.Struct, frozen=True):
    """What a page was asked to be."""

    out: str
    form: str = ""
    swaps: Sequence[str] = ()
    promised: str = ""
    questions: str = ""


def make(desk: Desk, context: Context, wanted: Wanted) -> tuple[Path, tuple[str, ...]]:
    """Make and write the page for `context.recipe`; nothing is written unless all of it is made.

    Returns the file and what has to be told of it. Raises HandoutError in one line.
    """
    check_place(wanted.out)
    form = form_of(wanted.out, wanted.form)
    recipe = desk.corpus.recipes[context.recipe]
    dish = make_dish(recipe, wanted.swaps, wanted.promised, desk.corpus)
    found = _questions(desk_for(desk, dish), context, wanted.questions)
    page = make_page(desk, dish, context, found.asked)
    return write(render(page, form), wanted.out), found.said


def _questions(desk: Desk, context: Context, path: str) -> Gathered:
    from assistant.faces.handout.questions import Gathered

    if not path:
        return Gathered((), ())
    from assistant.faces.handout.questions import gather
    from assistant.inbox.sort import Settings

    settings = Settings(recipe=context.recipe, servings=context.servings, today=context.today)
    try:
        return gather(path, desk, settings)
    except OSError as error:
        reason = error.strerror or str(error)
        raise HandoutError(
            f"--questions: {path}: cannot be read ({reason}); nothing was written"
        ) from error
    except ValueError as error:
        raise HandoutError(f"--questions: {error}") from error
