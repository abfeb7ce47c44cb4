"""A message -> its state. The dangerous first, then what it asks, then what else it is."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from fractions import Fraction

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import Corpus
from assistant.desk import Desk
from assistant.inbox.clean import Parts, forwarded_words, looked_below, make_marks, parts
from assistant.inbox.learned import Learned, examples_of
from assistant.inbox.mask import food_words, words_of
from assistant.inbox.message import Asked, Item, Message, State
from assistant.inbox.seam import WINDOW, Seam
from assistant.inbox.terms import Namer
from assistant.question.classes import compile_classes
from assistant.question.cues import Book, find, make_text, score
from assistant.question.reading import Mention, Reading
from assistant.question.understand import Context
from assistant.retrieval.words import tokens

_STATES: dict[str, State] = {
    "programme": "programme",
    "complaint": "complaint",
    "idea": "idea",
    "thanks": "thanks",
}
_ANSWERED = frozenset({"computed", "quoted"})
# Classes that a question may belong to instead of being one about food.
_CLAIMING = ("programme", "complaint", "idea", "notice")
# What a class must reach to be one at all, and to claim a sentence that asks something.
_LEAST, _STRONG, _SURE, _FIRM = 2.0, 4.0, 5.0, 7.5
# A message of up to this many characters holds little but what it asks.
_SHORT = 300
# The classes that examples know and cues call otherwise; what cues count at most beside examples;
# how likely a class must be to outvote words that seem to ask; the weight of likeness beside cues.
_CUED = {"other": "notice"}
_MOST, _CERTAIN, _RATHER, _LIKENESS, _FLOOR = 8.0, 0.9, 0.7, 1.0, 1e-3
# Kinds whose cues take in nearly anything that asks.
_LOOSE = frozenset({"technique", "recipe", ""})
_END = re.compile(
    r"[.!?…]+[\"')\]]*(?=\s)|\n\s*\n|\n(?=\s*(?:[-*•]|\(?\d{1,2}[.)]))|(?<=.)\n(?=[A-Z])"
)


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """What a run takes as settled: the recipe asked about, the servings, the date."""

    recipe: str = ""
    servings: Fraction | None = None
    today: datetime.date


class Sentence(msgspec.Struct, frozen=True):
    """A sentence with its score for each class, and how well it fits a kind of question."""

    text: str
    classes: dict[str, float]
    kind: str
    cooking: float
    asks: bool
    names: bool
    foods: bool

    @property
    def loose(self) -> bool:
        """Whether the kind it fits best takes in nearly anything that asks."""
        return self.kind in _LOOSE

    @property
    def firm(self) -> bool:
        """Whether it fits a kind of question beyond doubt."""
        return self.cooking >= _FIRM and not self.loose


class Sorter:
    """Sorts messages one by one; the same message always gets the same state."""

    def __init__(self, desk: Desk, settings: Settings) -> None:
        corpus = desk.corpus
        self.desk = desk
        self.seam = Seam(desk)
        self.settings = settings
        self.namer = Namer(corpus)
        self.learned = Learned(examples_of(corpus.lists), frozenset(food_words(corpus)))
        self.marks = make_marks(corpus.lists, corpus.programme.name)
        self.book: Book = compile_classes(corpus.classes.values())[0]
        self.noughts = frozenset(words_of(corpus.lists, "inbox-noughts"))
        self.fillers = frozenset(words_of(corpus.lists, "inbox-fillers"))
        self.ranks = {ident: record.rank for ident, record in corpus.classes.items()}

    def sort(self, place: int, message: Message) -> Item:
        """The message with its state. Never raises for whatever a message holds."""
        made = parts(message.text, self.marks)
        subject = _own_subject(message.subject)
        words = made.words if any(c.isalnum() for c in made.words) else subject
        if looked_below(made, self.marks):
            words = f"{words}\n\n{forwarded_words(made, self.marks)}".strip()
        notes = message.notes
        if message.unreadable:
            # Nothing could be read, so a person must look: never among what needs no answer.
            words = message.text
        item = Item(place=place, message=message, words=words, state="empty", notes=notes)
        context, because = self._context(message, made, words)
        told = self._told(made, words, subject)
        readings = self.seam.readings(told, context)
        found = self.seam.care(readings)
        sentences = [s for reading in readings for s in self._sentences(reading)]
        chosen = "empty" if not words.strip() else self._class(sentences, message)
        state: State
        answers: tuple[Answer, ...] = ()
        if found.urgent or found.medical or chosen in {"question", "programme"}:
            answers = self.seam.answers(words, context) if words.strip() else ()
        faults, self.seam.faults[:] = tuple(self.seam.faults), []
        notes = (*notes, *faults)
        urgent = found.urgent or any(a.urgent for a in answers)
        medical = found.medical or any(a.medical for a in answers)
        if urgent:
            state = "act now"
        elif medical:
            state = "clinician"
        elif message.unreadable:
            state = "write"
        elif chosen == "question":
            state = _answered(answers)
        elif chosen == "notice":
            state = "empty" if self._automatic(message, sentences) else "write"
        elif chosen == "other":
            state = "write"
        else:
            state = _STATES.get(chosen, "empty")
        asked = tuple(
            Asked(text=a.question, kind=a.kind, verdict=a.verdict) for a in answers if a.question
        )
        own = next((r.recipe for r in readings if r.recipe), context.recipe)
        named = any(r.all("recipe") for r in readings)
        if named and subject and words != subject:
            named = any(r.all("recipe") for r in self.seam.readings(words[:WINDOW], context))
        kinds = tuple(dict.fromkeys(a.kind for a in asked if a.kind))
        return msgspec.structs.replace(
            item,
            notes=notes,
            state=state,
            urgent=urgent,
            medical=medical,
            perhaps=found.perhaps and not urgent,
            rules=found.rules,
            kinds=kinds,
            asked=asked,
            recipe=own,
            pinned=context.recipe,
            because="its own words" if named else because,
            terms=self.namer.terms(
                state, *_gist(sentences, state), subject, readings, kinds, found.rules
            ),
            guard=self.namer.guard(state, readings, [a.kind for a in asked], found.rules),
        )

    # -------------------------------------------------------------------------------- context

    def _context(self, message: Message, made: Parts, words: str) -> tuple[Context, str]:
        """The recipe in hand where the words name none: subject, quote, --recipe, the date."""
        today = _day(message.received) or self.settings.today
        base = Context(servings=self.settings.servings, today=today)
        for text, because in (
            (message.subject, "its subject"),
            (made.forwarded[:2000], "the mail sent on"),
            (made.quoted[:2000], "the mail it replies to"),
        ):
            if any(c.isalnum() for c in text):
                named = [m for r in self.seam.readings(text[:2000], base) for m in r.all("recipe")]
                if named:
                    return msgspec.structs.replace(base, recipe=named[0].id), because
        if self.settings.recipe:
            return msgspec.structs.replace(base, recipe=self.settings.recipe), "--recipe"
        shown = demonstrated(self.desk.corpus, _day(message.received))
        return msgspec.structs.replace(base, recipe=shown), "the demonstration before it"

    def _told(self, made: Parts, words: str, subject: str) -> str:
        """Everything that the sender says or sends on, for the care rules: never a quoted reply."""
        sent_on = forwarded_words(made, self.marks)
        sent_on = "" if sent_on in words else sent_on
        return "\n\n".join(t for t in (subject, words if words != subject else "", sent_on) if t)

    # -------------------------------------------------------------------------------- classes

    def _sentences(self, reading: Reading) -> list[Sentence]:
        found = tokens(reading.text)
        made = []
        for start, end in _spans(reading.text):
            inside = [i for i, t in enumerate(found) if start <= t.start < end]
            if not inside:
                continue
            first, last = inside[0], inside[-1] + 1
            words = reading.words[first:last]
            mentions = [
                _moved(m, first) for m in reading.mentions if first <= m.start and m.end <= last
            ]
            text = make_text(words, mentions)
            classes = dict(score(find(self.book, text), words)[0])
            kinds = dict(score(find(self.desk.snapshot.lexicon.book, text), words)[0])
            kinds.pop("programme", None)
            sentence = reading.text[start:end].strip()
            asks = (
                "?" in sentence
                or self.seam.opens(words)
                or (classes.get("asks", 0.0) > 0 and " ".join(words[:2]) not in self.seam.told)
            )
            classes.pop("asks", None)
            kind = max(kinds, key=lambda k: (kinds[k], k), default="")
            names = any(m.type in {"recipe", "ingredient", "nutrient", "tool"} for m in mentions)
            foods = any(m.type in {"ingredient", "nutrient", "diet"} for m in mentions)
            made.append(Sentence(sentence, classes, kind, kinds.get(kind, 0.0), asks, names, foods))
        return made

    def _class(self, sentences: Sequence[Sentence], message: Message) -> str:
        """The class of a message: question, one of the classes of the corpus, or other."""
        if not sentences:
            return "other" if any(c.isalnum() for c in message.text) else "empty"
        scores = _scores(sentences)
        if (scores.get("empty", 0) > 0 and len(sentences) == 1) or self._nothing(message.text):
            return "empty"
        likely = self.learned.classes(" ".join(s.text for s in sentences))
        # Thanks never claim a question: they stand beside it.
        waiting = max((scores.get(name, 0.0) for name in _CLAIMING), default=0.0)
        if likely.get("question", 0.0) >= _RATHER and any(
            s.asks and s.foods and "?" in s.text for s in sentences
        ):
            return "question"
        if any(_about_food(s, waiting) for s in sentences):
            other = max(likely, key=lambda n: (likely[n], n), default="question")
            clear = any(
                s.asks and (s.foods or ("?" in s.text and s.firm and waiting < _LEAST))
                for s in sentences
            ) or (other == "thanks" and any("?" in s.text for s in sentences))
            # What names nothing and fits no kind well is a question about food only if likely so.
            fits = any(s.names or (s.cooking >= _SURE and not s.loose) for s in sentences)
            least = _CERTAIN if fits else _RATHER
            if clear or other == "question" or likely.get(other, 0.0) < least:
                return "question"
        totals = {
            name: min(scores.get(_CUED.get(name, name), 0.0), _MOST)
            + _LIKENESS * math.log(max(p, _FLOOR))
            for name, p in likely.items()
            if name != "question"
        } or scores
        ranked = sorted(totals, key=lambda n: (-totals[n], -self.ranks.get(n, 0), n))
        best = ranked[0] if ranked else "other"
        if best == "thanks":
            # Praise with something else in it is that something: nobody waits for praise.
            claims = (n for n in ranked if n in _CLAIMING and scores.get(n, 0.0) >= _STRONG)
            best = next(claims, best)
        sure = scores.get(_CUED.get(best, best), 0.0) >= _LEAST
        asks = any(s.asks or s.cooking >= _STRONG for s in sentences)
        bare = any(s.firm for s in sentences)
        if bare and not sure and likely.get(best, 0.0) < _RATHER:
            return "question"
        if asks and not sure and likely.get("question", 1.0) >= likely.get(best, 0.0):
            return "question"
        return "notice" if best == "other" and scores.get("notice", 0.0) >= _LEAST else best

    def _nothing(self, text: str) -> bool:
        """Whether a text says no more than that there is nothing to say: "no comments, thanks"."""
        if len(text) > _SHORT:
            return False
        words = {token.text for token in tokens(text)}
        return not words.isdisjoint(self.noughts) and words <= self.noughts | self.fillers

    def _automatic(self, message: Message, sentences: Sequence[Sentence]) -> bool:
        """Whether a machine wrote it: its own words say so, by the strongest cues of `notice`."""
        return any(s.classes.get("notice", 0) >= 5 for s in sentences) and not any(
            s.asks or ("please" in s.text.lower().split() and "contact" not in s.text.lower())
            for s in sentences
        )


def _gist(sentences: Sequence[Sentence], state: str) -> tuple[str, str]:
    """What a message asks or says, and the talk around it; all is asked where that is unclear."""
    wanted = state if state in _STATES else ""
    if wanted:
        best = max((s.classes.get(wanted, 0.0) for s in sentences), default=0.0)
        kept = [s for s in sentences if best and s.classes.get(wanted, 0.0) >= best / 2]
    else:
        kept = [s for s in sentences if s.asks] or [s for s in sentences if s.names]
    if not kept:
        return " ".join(s.text for s in sentences), ""
    return " ".join(s.text for s in kept), " ".join(s.text for s in sentences if s not in kept)


def _scores(sentences: Sequence[Sentence]) -> dict[str, float]:
    """Each class's score for a whole message: its best sentence, and a part of the next two."""
    totals: dict[str, list[float]] = {}
    for sentence in sentences:
        for name, value in sentence.classes.items():
            totals.setdefault(name, []).append(value)
    return {
        name: sum(v / 3**i for i, v in enumerate(sorted(values, reverse=True)[:3]))
        for name, values in totals.items()
    }


def _about_food(sentence: Sentence, waiting: float) -> bool:
    """Whether a sentence asks something about food.

    `waiting` is how sure the message is to be about the programme, a complaint or an idea: then
    "Can you add her?" belongs to that, and only what names food or fits a kind well is about food.
    """
    if not sentence.asks:
        return False
    # A "badge" or a "pump" beside a dish does not send its question astray.
    astray = {"notice"} if sentence.foods and sentence.cooking >= _SURE else set()
    rival = max((sentence.classes.get(n, 0.0) for n in _CLAIMING if n not in astray), default=0.0)
    if sentence.classes.get("thanks", 0.0) >= _SURE and "?" not in sentence.text:
        return False
    fits = sentence.names or (sentence.cooking >= _SURE and not sentence.loose)
    if rival >= _SURE or (rival >= 3 and not sentence.names):
        return False
    if rival >= _STRONG and not (sentence.cooking >= _SURE and "?" in sentence.text):
        return False
    if waiting >= _STRONG:
        return fits and "?" in sentence.text
    return fits or rival < _LEAST


def _answered(answers: Sequence[Answer]) -> State:
    """Ready where every question got a figure or a rule, write where none got anything."""
    if answers and all(a.verdict in _ANSWERED for a in answers):
        return "ready"
    if not answers or all(a.verdict == "unknown" for a in answers):
        return "write"
    return "check"


def demonstrated(corpus: Corpus, day: datetime.date | None) -> str:
    """The recipe of the last demonstration on or before a day, where the programme lists them."""
    if day is None:
        return ""
    shown = getattr(corpus.programme, "demonstrations", ())
    past = [d for d in shown if d.date <= day and d.recipe in corpus.recipes]
    return str(max(past, key=lambda d: d.date).recipe) if past else ""


def context_of(item: Item, settings: Settings) -> Context:
    """The context in which a sorted message's questions were answered."""
    return Context(
        recipe=item.pinned,
        servings=settings.servings,
        today=_day(item.message.received) or settings.today,
    )


def _own_subject(subject: str) -> str:
    """A subject that the sender wrote; "" for one that answers or sends on somebody's mail."""
    return "" if re.match(r"\s*(?:re|fw|fwd|aw|wg|automatic reply)\s*:", subject, re.I) else subject


def _day(received: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(received[:10])
    except ValueError:
        return None


def _spans(text: str) -> list[tuple[int, int]]:
    spans, at = [], 0
    for found in _END.finditer(text):
        spans.append((at, found.end()))
        at = found.end()
    spans.append((at, len(text)))
    return [(a, b) for a, b in spans if text[a:b].strip()]


def _moved(mention: Mention, by: int) -> Mention:
    return msgspec.structs.replace(mention, start=mention.start - by, end=mention.end - by)
