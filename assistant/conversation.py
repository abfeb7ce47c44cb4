"""Several questions in one text, and questions that lean on those before them.

Talk(desk).turn(text, context) -> the answers in order, and the context to ask the next one with
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Protocol

import msgspec

from assistant.answer import Answer, exact_text
from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Ingredient, Recipe
from assistant.kinds import care
from assistant.kinds.named import the_one
from assistant.kinds.shelf import Shelf, make
from assistant.leaning import Leaning, Whole
from assistant.question import stand
from assistant.question.follow import each_recipe
from assistant.question.reading import Reading
from assistant.question.split import asks, split
from assistant.question.understand import Context
from assistant.snapshot import Snapshot

# Mentions that are of a recipe, whatever else is named beside them.
_OURS = {"servings", "share", "ingredient", "nutrient"}
_TOLD = {"computed", "quoted", "partial", "refer"}


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """What one text got: its answers in order, and what the conversation has settled by then."""

    answers: tuple[Answer, ...]
    context: Context


class _Asked(msgspec.Struct, frozen=True):
    """An answer with its reading, and its question with what its short words stand for."""

    answer: Answer
    reading: Reading
    text: str


class _Desk(Protocol):
    """What a conversation needs of the desk."""

    snapshot: Snapshot
    corpus: Corpus
    shelf: Shelf

    def read(self, text: str, context: Context) -> Reading: ...

    def cared(self, reading: Reading) -> care.Found: ...

    def answered(
        self, question: str, context: Context, said: tuple[str, ...] = (), kind: str = ""
    ) -> tuple[Answer, Reading]: ...


class Talk:
    """A conversation with the desk; what it has settled is in the context alone."""

    def __init__(self, desk: _Desk) -> None:
        self.desk, self.corpus, self.shelf = desk, desk.corpus, desk.shelf
        self.leaning = Leaning(desk)
        self.words = self.leaning.words

    def turn(self, whole: str, context: Context) -> Turn:
        """The answers to every question of a text, each in the light of those before it.

        An urgent text is answered as a whole first, whatever else it asks. What only greets or
        thanks gets an answer only where it is all there is.
        """
        if stand.is_courtesy(whole, self.corpus):
            return Turn(answers=(self.desk.answered(whole, context)[0],), context=context)
        parts = split(whole, self.words.openers)
        if len(parts) < 2:
            answers, context = self._part(whole, context)
            return Turn(answers=answers, context=context)
        urgent = self.desk.cared(self.desk.read(whole, context)).urgent
        found = [self.desk.answered(whole, context)[0]] if urgent else []
        before = context
        for part in parts:
            if not any(c.isalnum() for c in part) or stand.is_courtesy(part, self.corpus):
                continue
            answers, after = self._part(part, context)
            # What asks nothing of ours in a longer text is a greeting or an aside.
            told = [a for a in answers if a.kind or asks(part, self.words.openers)]
            if not told:
                continue
            context = after
            found += [a for a in told if not (urgent and a.urgent) and not _repeats(a, found)]
        if not found:
            found.append(self.desk.answered(whole, before)[0])
        return Turn(answers=tuple(found), context=context)

    # ---------------------------------------------------------------------- one question

    def _part(self, text: str, context: Context) -> tuple[tuple[Answer, ...], Context]:
        """One question of a conversation: completed from it, and asked of each recipe it names."""
        several = self.leaning.several(text, context)
        if several:
            return self._which_one(text, several, context)
        whole = self.leaning.whole(text, context)
        asked, recipes = self._asked(whole, context)
        if not whole.said and len(asked) == 1 and asked[0].answer.verdict in {"unknown", "asks"}:
            again = self.leaning.with_before(text, context)
            tried = self._asked(again, context) if again is not None else None
            if again and tried and self._is_answer(tried[0][0], text, context):
                whole, (asked, recipes) = again, tried
        last = asked[-1]
        after = self._after(last.text, last.reading, last.answer, context)
        tail = whole.tail if last.text.endswith(whole.tail) else ""
        after = msgspec.structs.replace(after, tail=tail)
        if len(recipes) > 1:
            after = msgspec.structs.replace(after, subjects=recipes)
        return tuple(one.answer for one in asked), after

    def _asked(self, whole: Whole, context: Context) -> tuple[list[_Asked], tuple[str, ...]]:
        """The answers to a whole question, and the recipes it names apart."""
        reading = self.desk.read(whole.text, context)
        apart = each_recipe(whole.text, reading, self.words, compared=True)
        if len(apart) < 2:
            return [self._answer(whole.text, whole, context)], ()
        recipes = tuple(self.desk.read(one, context).recipe for one in apart)
        if each_recipe(whole.text, reading, self.words) == [whole.text]:
            one = self._answer(whole.text, whole, context)
            if self._tells_of(one.answer, recipes):
                return [one], recipes
            # The kind compares nothing: each recipe has its own answer, side by side.
        each = [self._answer(one, whole, context) for one in apart]
        return each, recipes

    def _answer(self, text: str, whole: Whole, context: Context) -> _Asked:
        """One answer, with what short words stand for, and the recipe in hand where it is meant."""
        settled = self._settle(self.desk.read(text, context), context)
        pointed, apart = self.leaning.pointed(text, settled, context)
        said = whole.said if pointed == text else (f'read as "{pointed}"',)
        if apart:
            answer, reading = self.desk.answered(pointed, context, said, whole.kind)
            if answer.verdict in _TOLD:
                return _Asked(answer, reading, pointed)
        settled = self._settle(self.desk.read(pointed, context), context)
        answer, reading = self.desk.answered(pointed, settled, said, whole.kind)
        told = answer.verdict in _TOLD
        for less in self._less(settled, reading, context) if told else ():
            # What changes nothing in the answer was not taken over.
            other, read = self.desk.answered(pointed, less, said, whole.kind)
            if _same(other, answer):
                return _Asked(other, read, pointed)
        return _Asked(answer, reading, pointed)

    def _less(self, settled: Context, reading: Reading, context: Context) -> list[Context]:
        """The contexts that take less over: without the recipe where a food is named, and without
        the number of people."""
        made = []
        if settled.recipe != context.recipe and reading.foods:
            made.append(context)
        if settled.servings != context.servings:
            made.append(msgspec.structs.replace(settled, servings=context.servings))
        return made

    def _is_answer(self, tried: _Asked, text: str, context: Context) -> bool:
        """Whether a question put behind the one before it was answered, and not that one again."""
        if tried.answer.verdict not in _TOLD:
            return False
        if self.leaning.is_bare(text):
            return True
        again = self._answer(context.asked, Whole(context.asked), context).answer
        return again.headline != tried.answer.headline

    def _which_one(
        self, text: str, several: Sequence[Recipe], context: Context
    ) -> tuple[tuple[Answer, ...], Context]:
        """The question back where "the black bean one" may be several recipes."""
        reading = self.desk.read(context.asked, context)
        titles = [recipe.title.lower() for recipe in several]
        headline = f"Which one: {', '.join(titles[:-1])} or {titles[-1]}?"
        answer = msgspec.structs.replace(make(reading, "asks", headline), question=text)
        offered = tuple(recipe.id for recipe in several)
        after = msgspec.structs.replace(context, pending=True, offered=offered, rivals=())
        return (answer,), after

    def _tells_of(self, answer: Answer, recipes: Sequence[str]) -> bool:
        """Whether an answer speaks of every recipe, or tells of nothing."""
        if answer.verdict not in _TOLD:
            return True
        lines = (line for line in answer.lines if not line.startswith("Taken as:"))
        text = " ".join((answer.headline, *lines)).lower()
        titles = [self.corpus.recipes[ident].title.lower() for ident in recipes]
        return answer.urgent or all(title in text for title in titles)

    # -------------------------------------------------------------------- what is settled

    def _settle(self, reading: Reading, context: Context) -> Context:
        """The context with the recipe last spoken of in hand, unless the subject has changed."""
        recipe = self.corpus.recipes.get(context.subject)
        if recipe is None or self.shelf.says(reading, "other-subject"):
            return context
        if reading.recipe:
            # Of the recipe pinned beforehand the number of people holds on as well.
            pinned = context.recipe == context.subject and not reading.all("recipe")
            return self._for_as_many(reading, context) if pinned else context
        items = {line.item for line in recipe.lines}
        strange = set(reading.outside) & stand.listed(self.corpus, "dish-nouns")
        ours = any(m.type in _OURS for m in reading.mentions)
        if reading.outside and not ours and not self.shelf.says(reading, "pronouns"):
            return context
        home = self.leaning.at_home(reading.text, context)
        if strange or not set(self._foods_of_a_dish(home)) <= items:
            return context
        context = self._for_as_many(reading, context)
        return msgspec.structs.replace(context, recipe=recipe.id)

    def _for_as_many(self, reading: Reading, context: Context) -> Context:
        """The context with the number of people last spoken of, where a question names no other."""
        if context.servings is not None or not context.people:
            return context
        if reading.servings is not None or reading.factor is not None:
            return context
        return msgspec.structs.replace(context, servings=Fraction(context.people))

    def _foods_of_a_dish(self, reading: Reading) -> list[str]:
        """The foods that must be in a dish for it to be meant: without those that a question
        brings into it ("can I use beef?", "with almond milk") and those that are nutrients."""
        nutrients = {p for m in reading.all("nutrient") for p in range(m.start, m.end)}
        small = stand.listed(self.corpus, "between-words")
        points = self.words.pronouns & set(reading.words)
        found = []
        for m in reading.all("ingredient"):
            if m.id not in reading.foods or m.start in nutrients:
                continue
            at = m.start
            while at and reading.words[at - 1] in small:
                at -= 1
            verb = reading.words[at - 1] if at else ""
            if verb not in self.words.brought_in and not (verb == "with" and points):
                found.append(m.id)
        return found

    def _after(self, text: str, reading: Reading, answer: Answer, context: Context) -> Context:
        """What the conversation has settled after an answer."""
        if answer.urgent:
            # What was asked before it is still what "and the sodium?" is about.
            subject = reading.recipe if reading.all("recipe") else context.subject
            return msgspec.structs.replace(context, urgent=text, subject=subject, pending=False)
        food = self.corpus.pantry.get(reading.foods[0]) if reading.foods else None
        asks_back = answer.verdict == "asks"
        recipe = reading.recipe or self._only_one(reading, answer)
        strange = set(reading.outside) & stand.listed(self.corpus, "dish-nouns")
        settled = self._settle(reading, context).recipe if food is not None else context.subject
        if not recipe and settled and not strange:
            recipe = context.subject
        same = recipe == context.subject
        subjects = context.subjects if same and not reading.all("recipe") else ()
        if recipe and context.subject and not same:
            subjects = (context.subject, recipe)
        named = reading.servings if reading.all("servings") else None
        people = exact_text(named) if named is not None else ""
        told = answer.reading.get("servings")
        if not people and answer.kind == "scale" and isinstance(told, int):
            people = str(told)  # "I have 3 cans of them" is for as many
        offered: tuple[str, ...] = ()
        if asks_back or (len(self._listed(answer)) > 1 and not recipe):
            plain = msgspec.structs.replace(context, recipe="")
            lines = (answer.headline, *answer.lines) if asks_back else (answer.headline,)
            ids = [i for line in lines for i in self.desk.read(line, plain).ids("recipe")]
            offered = tuple(dict.fromkeys(ids))
        return msgspec.structs.replace(
            context,
            subject=recipe,
            subjects=subjects,
            about=food.name if food else "",
            asked=text,
            pending=asks_back,
            rivals=(reading.kind, *reading.rivals) if asks_back and reading.rivals else (),
            offered=offered or (context.offered if not asks_back else ()),
            people=people or (context.people if same else ""),
            trade=self._trade(reading, answer, context),
            urgent="",
        )

    def _trade(self, reading: Reading, answer: Answer, context: Context) -> str:
        """A swap just told of, in words that suppose it: "with the beef instead of the turkey"."""
        # A replacement that is not on record may still be asked about ("is it gluten-free then?").
        unsure = answer.verdict == "unknown"
        if answer.kind != "swap" or not (unsure or answer.verdict in _TOLD):
            return ""
        from assistant.kinds.swap.answer import leaves_out
        from assistant.kinds.swap.who import who

        parts = who(reading, self.shelf.recipe(reading), self.shelf)
        if parts.out is None or ((parts.comes_in or unsure) and parts.use is None):
            return ""
        home = msgspec.structs.replace(context, recipe=reading.recipe)
        out = self._readable(parts.out, home)
        if parts.use is not None:
            return f"with {self._readable(parts.use, home)} instead of the {out}"
        return f"without the {out}" if leaves_out(reading, self.shelf) else ""

    def _readable(self, item: Ingredient, home: Context) -> str:
        """The first name of a food that is read as that food in the recipe in hand: within it "soy
        sauce" may be the reduced-sodium kind."""
        names = (item.name, *item.names)
        read = (name for name in names if self.desk.read(name, home).foods == (item.id,))
        return next(read, item.name)

    def _only_one(self, reading: Reading, answer: Answer) -> str:
        """The recipe that was answered for as the only one that can be meant ("the apples")."""
        found = the_one(reading, self.shelf) if answer.verdict in _TOLD else None
        if found is None or found[0].title.lower() not in answer.headline.lower():
            return ""
        return found[0].id

    def _listed(self, answer: Answer) -> list[str]:
        """The recipes that a headline lists."""
        if answer.kind not in {"recipe", "diet", "nutrition"} or not answer.headline[:1].isdigit():
            return []
        low = answer.headline.lower()
        return [r.id for r in self.corpus.recipes.values() if r.title.lower() in low]


def _same(one: Answer, other: Answer) -> bool:
    """Whether two answers tell a reader the same."""
    return (one.verdict, one.headline, one.figures, one.cautions) == (
        other.verdict,
        other.headline,
        other.figures,
        other.cautions,
    )


def _repeats(answer: Answer, found: Sequence[Answer]) -> bool:
    """Whether a completed question only says again what an answer of the same text says."""
    if answer.verdict not in _TOLD:
        return False
    taken = any(str(said).startswith("read as") for said in answer.reading.get("assumed", ()))
    return taken and any(
        (one.kind, one.headline, one.figures) == (answer.kind, answer.headline, answer.figures)
        for one in found
    )
