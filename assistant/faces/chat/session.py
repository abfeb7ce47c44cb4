"""The chat without a terminal: a line in, rows out.

A session knows what is pinned, the clock, the timers and the last answers. It reads no clock of its
own and prints nothing, so that a test can play a whole demonstration through it.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Hashable, Sequence
from typing import TYPE_CHECKING

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import Corpus
from assistant.corpus.problems import CorpusError, Problem
from assistant.corpus.records import Recipe
from assistant.desk import Desk, UnusableQuestion
from assistant.faces.chat import card, resume
from assistant.faces.chat.clockwork import Clockwork
from assistant.faces.chat.commands import BY_WORD, Said, help_rows, read_count, told
from assistant.faces.chat.keep import Keep
from assistant.faces.chat.rows import Reply, Row, said
from assistant.faces.chat.transcript import messages
from assistant.kitchen.scaling import check_servings
from assistant.measure.exact import MeasureError
from assistant.measure.numbers import show_number
from assistant.question.understand import Context

if TYPE_CHECKING:
    from assistant.inbox.mask import Masker

_MOST_PROBLEMS = 5


class Corner(msgspec.Struct, frozen=True):
    """Where a session gets its desk: `open` makes one, `stamp` changes when a corpus file does."""

    open: Callable[[], Desk]
    stamp: Callable[[], Hashable]


class Session:
    """One conversation."""

    def __init__(
        self,
        corner: Corner,
        desk: Desk,
        context: Context,
        now: Callable[[], datetime.datetime],
        keep: Keep | None = None,
    ) -> None:
        self._corner, self.desk, self._context = corner, desk, context
        self._now, self._keep = now, keep
        self._stamp = corner.stamp()
        self._last: tuple[Answer, ...] = ()
        self.clock = Clockwork(now)
        self._dated = context.today == now().date()
        self._mask: tuple[Corpus, Masker] | None = None
        self._failed = ""

    # ------------------------------------------------------------------------------ one line

    def line(self, text: str) -> Reply:
        """What one line gets: an answer, what a command says, or several answers for a paste."""
        fresh = self._fresh()
        rung = [Row("urgent", f"TIMER: {name}.") for name in self.clock.announce()]
        reply = self._reply(text)
        if reply.leave:
            self.over()
        else:
            self._leave_behind()
        return Reply((*rung, *fresh, *reply.rows), reply.leave)

    def take_up(self) -> list[Row]:
        """Go on from a chat whose window died: its pin, its clock and its timers."""
        state = resume.decode(self._keep.left_behind()) if self._keep is not None else None
        if state is None:
            return []
        taken = resume.take_up(
            state, self._context, self.clock, self.desk.corpus.recipes, self._now()
        )
        if taken is None:
            return []
        self._context, row = taken
        return [row]

    def over(self) -> None:
        """The chat is left in good order: there is nothing to take up again."""
        if self._keep is not None:
            self._keep.forget()

    def _leave_behind(self) -> None:
        if self._keep is None:
            return
        state = resume.left(self._context, self.clock, self._now())
        if state.worth:
            self._keep.leave_behind(resume.encode(state))
        else:
            self._keep.forget()

    def _reply(self, text: str) -> Reply:
        lines = [line for line in text.splitlines() if line.strip()]
        if not lines:
            return Reply()
        if len(lines) > 1:
            return self._pasted(text)
        command = told(lines[0])
        return self._do(command) if command else self._ask(lines[0])

    def bar(self, width: int = 80) -> str:
        """The line at the bottom: timers that ring, the recipe, servings, step, timers."""
        recipe = self._recipe()
        ringing, state = self.clock.ringing(), self.clock.state()
        servings = self._context.servings
        whom = f"for {show_number(servings)}" if servings else ""
        # Where the title has no room, the longest of the other names that has.
        shorter = sorted(recipe.names, key=len, reverse=True) if recipe else []
        titles = [recipe.title, *shorter, ""] if recipe else []
        for title in titles or ["no recipe pinned", ""]:
            pinned = f"{title} {whom}".strip()
            parts = [*ringing, *([pinned] if pinned else []), *state]
            shown = " | ".join(parts)
            if len(shown) <= width - 1:
                break
        hint = " | help lists the commands"
        if not ringing and not state and len(shown + hint) < width:
            shown += hint
        return shown[: max(width - 1, 10)]

    # ---------------------------------------------------------------------------- questions

    def _ask(self, question: str, echo: bool = False) -> Reply:
        try:
            turn = self.desk.converse(question, self._settled())
        except UnusableQuestion as error:
            return said("help lists the commands.", head=f"{_sentence(str(error))}")
        self._context = turn.context
        self._last = turn.answers
        rows = self._logged(turn.answers)
        several = len(turn.answers) > 1
        for number, answer in enumerate(turn.answers):
            if number:
                rows.append(Row("text", ""))
            rows += card.glance(answer, answer.question if several or echo else "")
        return Reply(tuple(rows))

    def _pasted(self, text: str) -> Reply:
        """A pasted transcript: each message in turn, what is urgent before all others.

        What asks nothing is counted, not dropped. Messages may be of different people: none is
        read as a reply to the one before it.
        """
        told_: list[tuple[Answer, str]] = []
        left: list[str] = []
        for message in messages(text):
            found = self._message(message)
            told_ += [(a, message if len(found) == 1 else a.question) for a in found]
            if not found:
                left.append(message)
        told_.sort(key=lambda one: not one[0].urgent)
        self._last = tuple(answer for answer, _ in told_)
        rows: list[Row] = []
        for answer, asked in told_:
            rows += [*([Row("text", "")] if rows else []), *card.glance(answer, asked)]
        rows += self._logged(self._last)
        if left:
            number = "1 line asks" if len(left) == 1 else f"{len(left)} lines ask"
            shown = "; ".join(f'"{line[:40]}"' for line in left[:3])
            rows.append(Row("small", f"{number} nothing: {shown}{' …' if len(left) > 3 else ''}"))
        urgent = [one for one in told_ if one[0].urgent]
        if urgent and len(told_) > 1:
            # The first answer may have left the screen: it is said again where the eye is.
            answer, asked = urgent[0]
            rows.append(Row("urgent", f'URGENT, answered first: "{asked[:60]}". {answer.headline}'))
        return Reply(tuple(rows))

    def _message(self, message: str) -> list[Answer]:
        """The answers to one message of a transcript; none where it asks nothing."""
        alone = msgspec.structs.replace(
            self._settled(), asked="", about="", pending=False, rivals=()
        )
        try:
            turn = self.desk.converse(message, alone)
        except UnusableQuestion:
            return []
        asks = "?" in message or self._opens(message)
        found = [a for a in turn.answers if a.verdict != "unknown" or asks]
        if told(message) is not None and not any(a.urgent for a in found):
            return []
        if found:
            self._context = turn.context
        return found

    def _opens(self, message: str) -> bool:
        """Whether a message begins as a question does, with or without its mark."""
        openers = self.desk.corpus.lists.get("question-openers")
        first = message.split(maxsplit=1)[0].lower().replace("'", "").replace("’", "")
        return openers is not None and first in openers.words

    def _logged(self, answers: Sequence[Answer]) -> list[Row]:
        """Add the questions to the log where the user wants one; what to say if it fails, once."""
        keep = self._keep
        if keep is None or not keep.switches.log:
            return []
        if self._mask is None or self._mask[0] is not self.desk.corpus:
            from assistant.inbox.mask import Masker

            self._mask = self.desk.corpus, Masker(self.desk.corpus, ())
        today = self._settled().today
        failed = {keep.asked(answer, today, self._mask[1]) for answer in answers} - {
            "",
            self._failed,
        }
        if not failed:
            return []
        self._failed = failed.pop()
        return [Row("small", f"The question is not in the log: {self._failed}.")]

    def _settled(self) -> Context:
        """The context to ask with: today's date, and how far the cooking is while a clock runs."""
        now, running = self._now(), self.clock.running
        return msgspec.structs.replace(
            self._context,
            progress=running.progress(now) if running is not None else None,
            today=now.date() if self._dated else self._context.today,
        )

    def _recipe(self) -> Recipe | None:
        return self.desk.corpus.recipes.get(self._context.recipe)

    # ----------------------------------------------------------------------------- commands

    def _do(self, command: Said) -> Reply:
        name, rest = command.name, command.rest
        if name in {"start", "next", "done", "behind", "ahead", "timer"}:
            recipes = self.desk.corpus.recipes
            subject = recipes.get(self._context.recipe) or recipes.get(self._context.subject)
            reply = self.clock.do(name, rest, subject)
            larger = self._larger(subject) if name == "start" and len(reply.rows) > 1 else []
            return Reply((*reply.rows, *larger))
        if name == "leave":
            return Reply((), leave=True)
        if name == "help":
            return said(*help_rows(rest), head="" if rest else "Ask anything, or:")
        if name == "recipe":
            return self._pin(rest)
        if name == "servings":
            return self._serve(rest)
        if name == "more":
            return self._more()
        if name == "copy":
            return self._copy()
        return self._switch(name, rest.lower())

    def _larger(self, recipe: Recipe | None) -> list[Row]:
        """What a batch larger than the recipe's own does to its minutes."""
        servings = self._context.servings
        if recipe is None or servings is None or servings <= recipe.yields.servings:
            return []
        text = (
            f"The minutes are for {recipe.yields.servings}; for {show_number(servings)} cutting and"
            " coming to the boil take longer."
        )
        return [Row("small", text)]

    def _pin(self, rest: str) -> Reply:
        recipes = self.desk.corpus.recipes
        if not rest:
            titles = sorted(recipe.title for recipe in recipes.values())
            return said(*titles, head="Recipes:")
        if rest.lower() in {"off", "none"}:
            self._context = msgspec.structs.replace(self._context, recipe="", subject="", asked="")
            return said(head="No recipe is pinned.")
        bare = msgspec.structs.replace(self._context, recipe="", subject="", asked="")
        found = rest if rest in recipes else self.desk.read(rest, bare).recipe
        if found not in recipes:
            return said("recipe lists them all.", head=f'No recipe is called "{_plain(rest)}".')
        self._context = msgspec.structs.replace(bare, recipe=found)
        recipe = recipes[found]
        servings = self._context.servings
        number = recipe.yields.servings
        for_whom = f"for {show_number(servings)}" if servings else f"as written, for {number}"
        return said(head=f"{recipe.title}, {for_whom}.")

    def _serve(self, rest: str) -> Reply:
        if rest.lower() in {"", "off", "none"}:
            if rest:
                self._context = msgspec.structs.replace(self._context, servings=None)
            servings = self._context.servings
            pinned = f"For {show_number(servings)}." if servings else "As each recipe is written."
            return said(head=pinned)
        number = read_count(rest)
        try:
            if number is None:
                return said(
                    head=f'"{_plain(rest)}" is no number; try: {BY_WORD["servings"].example}'
                )
            self._context = msgspec.structs.replace(self._context, servings=check_servings(number))
        except MeasureError as error:
            return said(head=_sentence(str(error)))
        recipe = self._recipe()
        what = f"{recipe.title} for" if recipe else "For"
        return said(head=f"{what} {show_number(number)}.")

    def _more(self) -> Reply:
        if not self._last:
            return said(head="There is no answer yet to unfold.")
        rows: list[Row] = []
        for answer in self._last:
            if rows:
                rows.append(Row("text", ""))
            if len(self._last) > 1:
                rows.append(Row("asked", f"> {answer.question}"))
            rows += card.unfolded(answer)
        return Reply(tuple(rows))

    def _copy(self) -> Reply:
        if not self._last:
            return said(head="There is no answer yet to copy.")
        # The gravest of several, else the last.
        answer = next((a for a in self._last if a.urgent), self._last[-1])
        return Reply(tuple(Row("copy", line) for line in card.copied(answer).splitlines()))

    def _switch(self, name: str, rest: str) -> Reply:
        keep = self._keep
        if keep is None:
            return said(head="Nothing is kept here: history and log are for the terminal.")
        on = rest == "on" if rest else None
        if name == "quiet":
            lasts = keep.switch(history=not on) if on is not None else True
            state = "kept" if keep.switches.history else "not kept"
            reply = said(f"The file: {keep.history}", head=f"History is {state}.")
        else:
            lasts = keep.switch(log=on) if on is not None else True
            state = "kept" if keep.switches.log else "not kept"
            reply = said(
                f"What they lack, afterwards: assistant gaps {keep.log}",
                head=f"Questions are {state} for `assistant gaps`.",
            )
        if lasts:
            return reply
        note = Row("text", "That folder cannot be written, so this holds for today only.")
        return Reply((*reply.rows, note))

    # ------------------------------------------------------------------------- a fresh corpus

    def _fresh(self) -> list[Row]:
        """Read the corpus again if a file of it has changed, and say what is wrong with it."""
        stamp = self._corner.stamp()
        if stamp == self._stamp:
            return []
        self._stamp = stamp
        try:
            self.desk = self._corner.open()
        except CorpusError as error:
            return [
                Row("head", "The corpus changed and cannot be read; the former one answers on."),
                Row("text", str(error)),
            ]
        rows = [Row("small", "The corpus changed and was read again.")]
        rows += problem_rows(self.desk.corpus.problems)
        if self._context.recipe and self._recipe() is None:
            # The pin stays: a file half written is whole again a moment later.
            rows.append(Row("text", f"The recipe {self._context.recipe} is left out for now."))
        self.clock.reread(self.desk.corpus.recipes)
        return rows


def answered(session: Session, text: str) -> Reply:
    """What a line gets, even where the program itself is at fault.

    A fault in one answer must not end a demonstration: it is said, and the chat goes on.
    """
    try:
        return session.line(text)
    except Exception as error:
        fault = _plain(f"{type(error).__name__}: {error}".replace("\n", " "))
        return said(
            "Ask it in other words; what is pinned, the clock and the timers are as before.",
            head=f"This could not be answered: a fault in the program ({fault}).",
        )


def problem_rows(problems: tuple[Problem, ...]) -> list[Row]:
    """The faults of a corpus, the first few in full."""
    rows = [Row("text", str(problem)) for problem in problems[:_MOST_PROBLEMS]]
    more = len(problems) - len(rows)
    if more > 0:
        rows.append(Row("text", f"… and {more} more; see `assistant check`"))
    return rows


def _plain(text: str) -> str:
    return "".join(c for c in text if c.isprintable())[:60]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
