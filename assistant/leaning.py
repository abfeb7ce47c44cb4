"""What a text of a conversation takes over from those before it, as a whole question in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Recipe
from assistant.question import stand
from assistant.question.follow import (
    SHORT,
    Completed,
    Words,
    complete,
    is_follow_up,
    point_out,
    reply,
    words_of,
)
from assistant.question.reading import Mention, Reading
from assistant.question.understand import Context
from assistant.retrieval.words import stem, stop_words, tokens
from assistant.snapshot import Snapshot

# What a remark after an urgent one must name to be of figures, and not of the trouble.
_FIGURES = {"nutrient", "servings", "share", "unit", "diet"}
# A question of so few words may be a part of the one before it.
_PART = 5
# With these a follow-up supposes something, which the next one may suppose otherwise.
_SUPPOSING = ("if ", "with ", "without ", "but ")


class Whole(msgspec.Struct, frozen=True):
    """The whole question that a text stands for, what was taken over, and a kind if settled.

    `tail` is what the text only supposed or asked of the figure: no part of the next question.
    """

    text: str
    said: tuple[str, ...] = ()
    kind: str = ""
    tail: str = ""


class _Desk(Protocol):
    snapshot: Snapshot
    corpus: Corpus

    def read(self, text: str, context: Context) -> Reading: ...


class Leaning:
    """Completes texts from a context; `desk` reads them."""

    def __init__(self, desk: _Desk) -> None:
        self.desk, self.corpus = desk, desk.corpus
        self.words: Words = words_of(desk.corpus)

    def whole(self, text: str, context: Context) -> Whole:
        """The whole question that a text stands for; the text itself where it asks for itself."""
        if context.urgent and (full := self._after_urgent(text, context)):
            return _read_as(full)
        both = self._of_both(text, context)
        if both:
            return _read_as(both)
        named = self._this_named(text, context)
        if named != text:
            return _read_as(named)
        if not context.asked:
            return Whole(text)
        if context.pending:
            return self._replied(text, context)
        supposed = self._with_trade(text, context)
        if supposed is not None:
            return supposed
        said = self._by_place(text, context)
        said = self._named_one(self._one_of_both(said, context), context)
        reading = self.at_home(said, context)
        if self._is_eaten(reading):
            return _read_as(f"{_closed(context.asked)} {text}")
        before = self.desk.read(context.asked, self.home(context))
        of_figure = self._of_the_figure(said, reading, before)
        if of_figure is not None:
            return of_figure
        if before.kind == "swap" and reading.foods and self.words.without & set(reading.words):
            # "What about without the peanuts?" leaves something out of the dish, not of a swap.
            first = next(t.start for t in tokens(text) if t.text in self.words.without)
            dish = self.corpus.recipes.get(self.home(context).recipe)
            inside = f" in the {dish.title.lower()}" if dish and not reading.all("recipe") else ""
            full = f"{text[first:].rstrip(' ?.!')}{inside}"
            return msgspec.structs.replace(_read_as(full), kind="swap")
        cooked_in = set(before.ids("tool")) & stand.listed(self.corpus, "cookers")
        timed = before.kind == "storage" or cooked_in
        if timed and self.is_bare(text) and "long" in reading.words:
            return msgspec.structs.replace(
                _read_as(f"{context.asked.rstrip(' ?.!')}, {text}"), kind=before.kind
            )
        if before.kind == "swap" and self.is_bare(text) and {"much", "many"} & set(reading.words):
            # "And how much?" is of what goes in.
            full = f"{context.asked.rstrip(' ?.!')}, {text}"
            return msgspec.structs.replace(_read_as(full), kind=before.kind)
        if is_follow_up(reading, self.words):
            made = self._completed(reading, context)
            if made is not None:
                return made
        return _read_as(said) if said != text else Whole(text)

    def _this_named(self, text: str, context: Context) -> str:
        """ "This or the lentil salad" with the title of the dish in hand for "this"."""
        dish = self.corpus.recipes.get(self.home(context).recipe)
        reading = self.desk.read(text, context)
        places = {p for m in reading.all("recipe") for p in range(m.start, m.end)}
        if dish is None or not places or dish.id in reading.ids("recipe"):
            return text
        return stand.with_this_named(text, dish.title.lower(), places, self.corpus)

    def _of_the_figure(self, text: str, then: Reading, before: Reading) -> Whole | None:
        """ "What brings it?" and "if I use regular beans?", asked of the nutrient before."""
        figures = before.all("nutrient")
        if before.kind != "nutrition" or not figures or then.all("nutrient"):
            return None
        full = stand.with_figure_named(text, figures[0].text, self.corpus)
        if full != text:
            return msgspec.structs.replace(_read_as(full), kind="nutrition")
        supposed = [word for word in then.words if word not in self.words.follow][:1] == ["if"]
        if not supposed or not then.foods or len(then.words) > SHORT:
            return None
        tail = text[next(t.start for t in tokens(text) if t.text == "if") :].rstrip(" ?.!")
        asked = before.text.partition(" if ")[0].rstrip(" ?.!,")
        return _supposed(asked, tail, "nutrition")

    def _with_trade(self, text: str, context: Context) -> Whole | None:
        """ "Does that change the calories?" after a swap: with it; None where no swap is meant.

        "And chicken?" after that is another trade for the same ingredient.
        """
        reading = self.at_home(text, context)
        leaves = context.tail.partition(" instead of ")[2]
        if reading.all("recipe"):
            return None
        if leaves and len(reading.foods) == 1 and is_follow_up(reading, self.words):
            food = next(m.text for m in reading.all("ingredient") if m.id in reading.foods)
            tail = f"with {food} instead of {leaves}"
            return _supposed(context.asked.removesuffix(context.tail).rstrip(), tail, "")
        figures = [*reading.all("nutrient"), *reading.all("diet")]
        leans = self.words.pronouns | self.words.follow
        leans |= stand.listed(self.corpus, "changing-words")
        changing = stand.listed(self.corpus, "changing-words") & set(reading.words)
        tail = context.tail.strip(" ,") if changing else ""
        trade = context.trade or (tail if tail.startswith(_SUPPOSING) else "")
        if not trade or not figures or reading.foods or not leans & set(reading.words):
            return None
        if reading.words[0] not in self.words.openers and figures[0].type == "nutrient":
            text = f"how much {figures[0].text}"
        return _supposed(text, trade, reading.kind)

    def with_before(self, text: str, context: Context) -> Whole | None:
        """A bare question put into the one before it: "how long then?", "how big for the chili?".

        None where it names too much to be a part of another.
        """
        reading = self.at_home(text, context)
        words = [token.text for token in tokens(text)]
        named = {m.type for m in reading.mentions} - {"place", "state", "method", "recipe"}
        if not context.asked or len(words) > _PART or named or reading.outside:
            return None
        if not reading.all("recipe"):
            behind = f", {text}"
            full = f"{context.asked.rstrip(' ?.!')}{behind}"
            return msgspec.structs.replace(_read_as(full), tail=behind)
        made = self._complete(context.asked, reading, context)
        return _read_as(made.text) if made.placed else None

    def is_bare(self, text: str) -> bool:
        """Whether a text holds nothing but words that ask: "how long then?", "when?"."""
        plain = self.words.openers | self.words.follow | self.words.fillers | stop_words()
        plain |= {"long", "much", "many", "often", "big"}
        return all(token.text in plain for token in tokens(text))

    def several(self, text: str, context: Context) -> tuple[Recipe, ...]:
        """The recipes that "the black bean one" may be, where they are several; else none."""
        reading = self.desk.read(text, context)
        found = stand.the_ones(reading, stand.listed(self.corpus, "ones"))
        short = len(reading.words) <= SHORT
        if not context.asked or found is None or reading.recipe or not short:
            return ()
        if context.pending and context.offered:
            return ()
        before = self.desk.read(context.asked, context)
        fit = stand.recipes_of(found[2], self.corpus, self._last_name(before, context))
        return fit if len(fit) > 1 and not before.foods else ()

    def pointed(self, text: str, settled: Context, context: Context) -> tuple[str, bool]:
        """The text with the food last spoken of where a short word stands for it, and whether it is
        of that food alone and no longer of the dish."""
        reading = self.desk.read(text, context)
        of_those = reading.words[:2] == ("which", "of") and len(reading.words) > 3
        if settled.recipe and of_those and reading.words[2] in self.words.pronouns:
            return f"which ingredient{text[tokens(text)[2].end :]}", False
        if not context.about or reading.foods or reading.outside or reading.all("nutrient"):
            without = context.about and self.words.without & set(reading.words)
            if not without or reading.foods or reading.outside:
                return text, False
        out = stand.with_taken_out(text, context.about, self.corpus)
        if out != text or reading.all("nutrient"):
            return out, False
        measured = stand.with_measured(text, context.about, self.corpus)
        named = reading.all("recipe")
        if named and not settled.recipe and not context.subject:
            # "Kale?" - "does the minestrone use it?": a food, where no dish was spoken of before.
            last = reading.words[-1] in self.words.pronouns
            return (point_out(text, context.about, self.words) if last else measured), False
        if not settled.recipe and not named:
            if measured != text:
                return measured, False
            return point_out(text, context.about, self.words), False
        home = self.desk.read(text, settled)
        recipe = self.corpus.recipes.get(home.recipe)
        held = {line.item for line in recipe.lines} if recipe else set()
        before = self.desk.read(context.asked, context)
        swapped = self.words.replacing & set(before.words)
        bare = len(reading.words) == 2
        if measured != text and set(self.desk.read(context.about, settled).foods) & held:
            return (text if swapped and bare else measured), False
        same = home.kind == before.kind and bool(before.foods) and not before.recipe
        if same and not named:
            return point_out(text, context.about, self.words), True
        return text, False

    def home(self, context: Context) -> Context:
        """The context with the recipe last spoken of as if it were pinned."""
        if context.recipe or context.subject not in self.corpus.recipes:
            return context
        return msgspec.structs.replace(context, recipe=context.subject)

    def at_home(self, text: str, context: Context) -> Reading:
        """A text, read within the recipe last spoken of."""
        return self.desk.read(text, self.home(context))

    # --------------------------------------------------------------------- follow-ups

    def _completed(self, then: Reading, context: Context) -> Whole | None:
        """The question before with what a follow-up names; None where that asks for itself."""
        asked = context.asked
        made = self._complete(asked, then, context)
        supposed = made.rest.startswith(_SUPPOSING)
        corrected = self.words.corrections & set(then.words)
        # What was only supposed is no part of another supposition, nor of what a dish must lack.
        other = supposed or corrected or any(m.type == "diet" for m in then.mentions)
        figure = not context.tail.startswith(_SUPPOSING)
        if context.tail and asked.endswith(context.tail) and (other or figure):
            asked = asked.removesuffix(context.tail).rstrip(" ,")
            made = self._complete(asked, then, context)
        before = self.desk.read(asked, self.home(context))
        leans = {"if", "with", "for", "in"} | self.words.without
        named = {m.type for m in then.mentions}
        new = not made.placed and not leans & set(then.words)
        if new and then.kind and named & {"nutrient", "diet"}:
            # "And the sodium?" after a question on time: a new thing of the same dish.
            return None
        scaled = {"recipe", "servings"} <= named and not before.all("servings")
        if scaled and then.kind and not before.all("share"):
            return None
        # Only a name was changed: the same is asked of it.
        full = self.desk.read(made.text, self.home(context))
        out = self.words.without & set(then.words) and then.foods
        kind = before.kind if (out or not made.rest) and full.kind != before.kind else ""
        tail = made.rest if supposed or then.words[0] in self.words.openers else ""
        return msgspec.structs.replace(_read_as(made.text), kind=kind, tail=tail)

    def _complete(self, asked: str, then: Reading, context: Context) -> Completed:
        recipe = self.corpus.recipes.get(context.subject)
        held = {line.item for line in recipe.lines} if recipe else set()
        before = self.desk.read(asked, self.home(context))
        return complete(asked, then, before, self.words, held, self._spoken)

    def _replied(self, text: str, context: Context) -> Whole:
        """What a reply to a question back completes."""
        reading = self.at_home(text, context)
        place = stand.which_place(reading.words, self.corpus)
        rivals = context.rivals
        if place is not None and -len(rivals) <= place < len(rivals):
            return msgspec.structs.replace(_read_as(context.asked), kind=rivals[place])
        for kind, about in self.desk.snapshot.kinds:
            if kind in rivals and _names(reading.words, kind, about):
                return msgspec.structs.replace(_read_as(context.asked), kind=kind)
        named = {m.id for m in reading.all("recipe")}
        if context.offered and len(named) != 1 and reading.words[:1] != ("for",):
            plain = stand.listed(self.corpus, "follow-fillers") | self.words.follow
            plain |= self.words.corrections
            ident = stand.chosen(reading, context.offered, self.corpus, plain)
            if ident:
                title = self.corpus.recipes[ident].title.lower()
                made = self._complete(context.asked, self.desk.read(title, context), context)
                behind = f"{context.asked.rstrip(' ?.!')}, {title}"
                return _read_as(made.text if made.placed else behind)
        full = reply(context.asked, reading, self.words)
        before = self.desk.read(context.asked, context)
        # "I only have a 4 quart pot" answers no "for how many people?".
        if not full or stand.is_new(reading, before):
            return Whole(text)
        made = self._complete(context.asked, reading, context)
        return _read_as(made.text if made.placed else full)

    def _after_urgent(self, text: str, context: Context) -> str:
        """An urgent remark with what is said next of it; "" where that is of something else."""
        reading = self.desk.read(text, context)
        if len(reading.words) > SHORT or {m.type for m in reading.mentions} & _FIGURES:
            return ""
        if is_follow_up(reading, self.words):
            before = self.desk.read(context.urgent, context)
            return complete(context.urgent, reading, before, self.words, (), self._spoken).text
        if self.words.pronouns & set(reading.words) or self._is_eaten(reading):
            return f"{_closed(context.urgent)} {text}"
        return ""

    def _is_eaten(self, reading: Reading) -> bool:
        """Whether a remark says that what was spoken of was eaten: "I already ate some"."""
        words = reading.words
        eaten = stand.listed(self.corpus, "eaten-words") & set(words)
        opened = words[:1] and words[0] in self.words.openers
        return bool(eaten) and len(words) <= SHORT and not opened and not reading.foods

    # ------------------------------------------------------------ the recipes spoken of

    def _of_both(self, text: str, context: Context) -> str:
        """ "Which keeps longer?" with the recipes last spoken of together; "" for anything else."""
        reading = self.desk.read(text, context)
        words = [word for word in reading.words if word not in self.words.follow]
        either = stand.listed(self.corpus, "either-words")
        if len(context.subjects) < 2 or not words or reading.recipe or reading.foods:
            return ""
        if words[0] not in either and not {"both", "either", "neither"} & set(words):
            return ""
        titles = [self.corpus.recipes[ident].title.lower() for ident in context.subjects]
        rest = set(words) - either - self.words.fillers - {"has", "have"}
        if rest <= stand.listed(self.corpus, "more-or-less-words"):
            # "Which is lowest?" in what was asked about before.
            nutrients = self.desk.read(context.asked, context).all("nutrient")
            text = f"{text.rstrip(' ?.!')} in {nutrients[0].text}" if nutrients else text
        named = f"{', '.join(f'the {t}' for t in titles[:-1])} or the {titles[-1]}"
        return f"{text.rstrip(' ?.!')}, {named}"

    def _one_of_both(self, text: str, context: Context) -> str:
        """The text with a whole title where it names one of two recipes by a part of its name."""
        reading = self.desk.read(text, context)
        if len(context.subjects) < 2 or reading.recipe or not is_follow_up(reading, self.words):
            return text
        for m in reading.all("ingredient"):
            one = stand.the_one_named(m.text, context.subjects, self.corpus)
            if one:
                found = tokens(text)
                return f"{text[: found[m.start].start]}{one}{text[found[m.end - 1].end :]}"
        return text

    def _by_place(self, text: str, context: Context) -> str:
        """ "The second one" of the recipes that were listed, by its title."""
        found = tokens(text)
        words = [token.text for token in found]
        for at, word in enumerate(words[:-1]):
            place = stand.which_place((words[at + 1],), self.corpus) if word == "the" else None
            after = words[at + 2] if at + 2 < len(words) else ""
            step = (
                after
                and after not in {"one", "for", "in", "then"}
                and not found[at + 2].after_break
            )
            if place is None or step or not -len(context.offered) <= place < len(context.offered):
                continue
            end = found[at + 2].end if after == "one" else found[at + 1].end
            title = self.corpus.recipes[context.offered[place]].title.lower()
            return f"{text[: found[at].start]}the {title}{text[end:]}"
        return text

    def _named_one(self, text: str, context: Context) -> str:
        """ "The red ones" with the name of what is meant; the text itself where it is not sure."""
        reading = self.desk.read(text, context)
        found = stand.the_ones(reading, stand.listed(self.corpus, "ones"))
        if found is None or reading.recipe:
            return text
        start, end, sort = found
        before = self.desk.read(context.asked, context)
        name = ""
        for mention in before.all("ingredient"):
            tried = f"{' '.join(sort)} {mention.text.split()[-1]}"
            one = self.desk.read(tried, context).all("ingredient")
            if one and one[0].end - one[0].start == len(tried.split()):
                name = tried
        if not name and context.offered:
            plain = self.words.fillers | self.words.follow
            asked = msgspec.structs.replace(reading, words=sort)
            ident = stand.chosen(asked, context.offered, self.corpus, plain)
            name = self.corpus.recipes[ident].title.lower() if ident else ""
        if not name:
            fit = stand.recipes_of(sort, self.corpus, self._last_name(before, context))
            name = fit[0].title.lower() if len(fit) == 1 else ""
        said = reading.words
        return " ".join([*said[:start], "the", name, *said[end:]]) if name else text

    def _last_name(self, before: Reading, context: Context) -> str:
        """The name of what was spoken of: a recipe's, or a dish's ("the soup")."""
        recipe = self.corpus.recipes.get(context.subject)
        dishes = stand.listed(self.corpus, "dish-nouns")
        nouns: Sequence[str] = [word for word in before.words if word in dishes]
        return recipe.title if recipe is not None else (nouns[-1] if nouns else "")

    def _spoken(self, mention: Mention, before: Mention) -> str:
        """How a name is put in the place of another: a place by its own name, and a diet where the
        one before was ("dairy-free", but not "dairy")."""
        whole = "free" in before.text.replace("-", " ").split()
        if mention.type == "ingredient" and before.type == "diet":
            return f"{mention.text} free" if whole else mention.text
        if mention.type == "diet" and mention.id in self.corpus.diets and whole:
            return self.corpus.diets[mention.id].name
        if mention.type == "place" and mention.id in self.corpus.terms:
            return self.corpus.terms[mention.id].name
        return mention.text


def _supposed(text: str, tail: str, kind: str) -> Whole:
    """A question with a trade supposed: its kind is not that of the words of the trade."""
    made = _read_as(f"{text.rstrip(' ?.!')} {tail}")
    return msgspec.structs.replace(made, tail=tail, kind=kind)


def _read_as(text: str) -> Whole:
    return Whole(text, (f'read as "{text}"',))


def _closed(text: str) -> str:
    """A text with an end mark, so that another sentence can follow."""
    return text if text.rstrip()[-1:] in ".?!" else f"{text.rstrip()}."


def _names(words: tuple[str, ...], kind: str, about: str) -> bool:
    """Whether a reply chooses a kind: by its name, or a word of what it is about."""
    named = {stem(token.text) for token in tokens(f"{kind} {about}")} - stop_words()
    return bool(named & {stem(word) for word in words if word not in stop_words()})
