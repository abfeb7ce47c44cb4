"""Urgent and medical messages, found by the rules of safety/care.yaml first of all."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import msgspec

from assistant.answer import Answer
from assistant.corpus.corpus import Corpus
from assistant.corpus.records import Programme
from assistant.corpus.rules import CarePhrases, CareRule
from assistant.kinds import alarm
from assistant.kinds.shelf import Shelf, make, record_source, reference_source, unique
from assistant.kinds.stretch import longest, spoken
from assistant.question.cues import (
    Book,
    Cue,
    CueError,
    compile_cue,
    make_book,
    make_text,
    matches,
)
from assistant.question.cues import (
    find as find_cues,
)
from assistant.question.reading import Reading
from assistant.retrieval.words import tokens

UNLESS = "unless:"
ALONG = "along:"
SIGN = "sign:"
# The rule by which a message that no other rule calls urgent, but that sounds so, is answered.
SOUNDS_URGENT = "sounds-urgent"
# From this rank on a life is at stake, and nothing of the lesser rules is said.
LIFE = 9
# "I'll" is no "ill", though apostrophes drop out.
_I_WILL = re.compile(r"\b([Ii])['’]ll\b")
_STRETCH = re.compile(r"(\d+) (hour|day)s?")
# A sentence ends at a full stop, question or exclamation mark, at an empty line, and before a list
# item; a single line break may be a wrapped mail.
_END = re.compile(
    r"(?<!\b[Tt]emp\.)(?<!\b[Dd]r\.)(?<=[.!?])[\"')\]]*\s+"
    r"|\n[ \t\r]*\n"
    r"|\n(?=[ \t]*(?:[-*•]|\d+[.)])\s)"
)
LONGEST_MESSAGE = 20_000


class Heard(msgspec.Struct, frozen=True):
    """One sentence of a message: its words, whether it asks, the signs in it with their words, the
    rules it sets off with cue and words, and the rules that it goes along with."""

    words: tuple[str, ...]
    asks: bool
    signs: dict[str, str]
    hits: dict[str, tuple[str, str]]
    along: frozenset[str]


class Found(msgspec.Struct, frozen=True):
    """The rules that apply, strongest first, each with the cue and the words that set it off.

    `perhaps` says that no rule makes it urgent, but that it may be.
    """

    rules: tuple[tuple[CareRule, str, str], ...] = ()
    perhaps: bool = False

    @property
    def urgent(self) -> bool:
        """Whether an urgent rule applies."""
        return any(rule.level == "urgent" for rule, _, _ in self.rules)

    @property
    def medical(self) -> bool:
        """Whether a medical rule applies."""
        return any(rule.level == "medical" for rule, _, _ in self.rules)


# ------------------------------------------------------------------------------------- compiling


def compile_rules(
    rules: Sequence[CareRule], phrases: Mapping[str, CarePhrases]
) -> tuple[Book, list[tuple[str, str]]]:
    """The rules' cues as one book, and (rule id, message) for patterns that cannot be used."""
    cues: list[Cue] = []
    faults: list[tuple[str, str]] = []
    for rule in rules:
        for prefix, patterns in (("", rule.cues), (ALONG, rule.along), (UNLESS, rule.unless)):
            try:
                spelled = [text for pattern in patterns for text in _spelled(pattern, phrases)]
                cues += [compile_cue(prefix + rule.id, text) for text in dict.fromkeys(spelled)]
            except CueError as error:
                faults.append((rule.id, str(error)))
    signs: dict[str, list[str]] = {}
    for rule in rules:
        for field, entries in (("together", rule.together), ("calm", rule.calm)):
            for name in (name for entry in entries for name in (*entry.all, *entry.without)):
                signs.setdefault(name, []).append(rule.id)
                if name not in phrases:
                    faults.append((rule.id, f"{field}: there is no group {name}"))
        for entry in rule.together:
            if entry.longer_than and _STRETCH.fullmatch(entry.longer_than) is None:
                faults.append((rule.id, f'longer_than: {entry.longer_than!r}; write "2 hours"'))
    for sign, users in signs.items():
        try:
            spelled = _spelled("@" + sign, phrases) if sign in phrases else []
            cues += [compile_cue(SIGN + sign, text) for text in dict.fromkeys(spelled)]
        except CueError as error:
            faults.append((users[0], str(error)))
    for cue in cues:
        if any(element.how == "name" for element in cue.elements):
            rule_id = cue.kind.rpartition(":")[2]
            faults.append((rule_id, f"cue {cue.pattern!r}: care cues read words, not <names>"))
    return make_book(cues), faults


def _spelled(pattern: str, phrases: Mapping[str, CarePhrases]) -> list[str]:
    """A pattern with its `@groups` put in. Raises CueError for a group that is not there."""
    if pattern.startswith("@") and " " not in pattern and phrases.get(pattern[1:]) is not None:
        cues = phrases[pattern[1:]].cues
        if cues:
            return [text for cue in cues for text in _spelled(cue, phrases)]
    return [" ".join(_with_words(part, pattern, phrases) for part in pattern.split())]


def _with_words(part: str, pattern: str, phrases: Mapping[str, CarePhrases]) -> str:
    if "@" not in part:
        return part
    optional = "?" if part.endswith("?") else ""
    texts: list[str] = []
    for text in part.removesuffix("?").split("|"):
        group = phrases.get(text[1:]) if text.startswith("@") else None
        if text.startswith("@") and (group is None or not group.words):
            raise CueError(f"cue {pattern!r}: {text} is no group of words in care-phrases.yaml")
        texts += group.words if group is not None else [text]
    return "|".join(texts) + optional


# ---------------------------------------------------------------------------------------- finding


def find(reading: Reading, book: Book, corpus: Corpus) -> Found:
    """The care rules that apply to a question, by its own words."""
    return find_in(reading.text, book, corpus)


def find_in(message: str, book: Book, corpus: Corpus, ear: bool = True) -> Found:
    """The care rules that apply to a whole message of one or many sentences.

    Parameters: the text as it was written (line breaks may stand in it; read to 20,000
    characters), the compiled rules, the corpus. A cue is read within one sentence, what must stand
    `along` with it in any. A rule is disarmed by an `unless` pattern only where that pattern covers
    words that set the rule off: "sick of cooking" excuses itself, not a second "sick" further on.
    Where an entry of `calm` holds ("it went in the bin, nobody had any"), those sentences do not
    set the rule off; others further on may.
    Without `ear` only the rules are asked, not the second ear (see alarm.py).
    """
    heard = hear_all(message, book)
    anywhere = _signs(heard)
    found = _together(heard, anywhere, corpus)
    told = {rule.id for rule, _, _ in found}
    along = {ident for one in heard for ident in one.along}
    for at, one in enumerate(heard):
        for ident, (pattern, words) in one.hits.items():
            rule = corpus.care.get(ident)
            if rule is None or ident in told or (rule.along and ident not in along):
                continue
            if not _calmed(rule, heard, at, at + 1, anywhere):
                told.add(ident)
                found.append((rule, pattern, words))
    perhaps = False
    if ear and not any(rule.level == "urgent" for rule, _, _ in found):
        sounds, perhaps = _second_ear(heard, corpus)
        # A medical message is sent to a clinician already; its words sound alarming by nature.
        perhaps = perhaps or bool(sounds and found)
        found = found or sounds
    return Found(tuple(sorted(found, key=lambda f: (-f[0].rank, f[0].id))), perhaps)


def _second_ear(
    heard: Sequence[Heard], corpus: Corpus
) -> tuple[list[tuple[CareRule, str, str]], bool]:
    """The rule for messages that only sound urgent, where some do; and whether some may be."""
    model = alarm.load()
    rule = corpus.care.get(SOUNDS_URGENT)
    each = (signs_of(together) for together in alarm.windows(heard))
    every = [(alarm.odds(model, signs), signs) for signs in each if signs]
    if rule is None or not every:
        return [], False
    odds, signs = max(every)
    if odds < alarm.URGENT:
        return [], odds >= alarm.PERHAPS
    return [(rule, "learned", ", ".join(alarm.loudest(model, signs)))], False


def signs_of(heard: Sequence[Heard]) -> list[str]:
    """What the second ear hears in some sentences."""
    words = tuple(word for one in heard for word in one.words)
    told = sorted({sign for one in heard for sign in one.signs})
    rules = sorted({ident for one in heard for ident in one.hits})
    return alarm.signs(words, told, rules, any(one.asks for one in heard))


def hear_all(message: str, book: Book) -> list[Heard]:
    """What each sentence of a message tells."""
    return [hear(words, asks, book) for words, asks in _cut(message[:LONGEST_MESSAGE])]


def sentences(message: str) -> list[tuple[str, ...]]:
    """The words of each sentence of a message."""
    return [words for words, _ in _cut(message)]


def _cut(message: str) -> list[tuple[tuple[str, ...], bool]]:
    """The words of each sentence, and whether a question mark stands in it."""
    message = _I_WILL.sub(r"\1 will", message)
    cut = ((tuple(t.text for t in tokens(part)), "?" in part) for part in _END.split(message))
    return [(words, asks) for words, asks in cut if words]


def _together(
    heard: Sequence[Heard], anywhere: set[str], corpus: Corpus
) -> list[tuple[CareRule, str, str]]:
    """The rules one of whose `together` entries holds in some sentences running; `anywhere` are the
    signs of the whole message."""
    joined = []
    for first in range(len(heard)):
        words: tuple[str, ...] = ()
        signs: dict[str, str] = {}
        for length, one in enumerate(heard[first : first + alarm.WINDOW], start=1):
            words, signs = words + one.words, one.signs | signs
            if signs:
                joined.append((words, signs, first, first + length))
    found = []
    say = spoken(corpus.lists)
    for rule in corpus.care.values():
        place = next(
            (
                (" + ".join(entry.all), " / ".join(signs[name] for name in entry.all))
                for entry in rule.together
                if anywhere.issuperset(entry.all)
                for words, signs, begin, end in joined
                if signs.keys() >= set(entry.all)
                and signs.keys().isdisjoint(entry.without)
                and (not entry.longer_than or longest(words, say) > _hours(entry.longer_than))
                and not _calmed(rule, heard, begin, end, anywhere)
            ),
            None,
        )
        if place is not None:
            found.append((rule, *place))
    return found


def _calmed(
    rule: CareRule, heard: Sequence[Heard], begin: int, end: int, anywhere: set[str]
) -> bool:
    """Whether an entry of `calm` holds for the sentences from `begin` up to, not with, `end`."""
    return any(
        anywhere.isdisjoint(entry.without)
        and _signs(heard[max(0, begin - entry.around) : end + entry.around]).issuperset(entry.all)
        for entry in rule.calm
    )


def _signs(heard: Sequence[Heard]) -> set[str]:
    """The signs in some sentences."""
    return {sign for one in heard for sign in one.signs}


def _hours(text: str) -> float:
    """The hours of "2 hours" or "3 days"; any other text has been reported when compiled."""
    read = _STRETCH.fullmatch(text)
    return 0.0 if read is None else float(read[1]) * (24 if read[2] == "day" else 1)


def hear(words: tuple[str, ...], asks: bool, book: Book) -> Heard:
    """What one sentence tells: the signs in it, the rules it sets off and is not excused from."""
    text = make_text(words, ())
    every = find_cues(book, text)
    signs: dict[str, str] = {}
    for cue, start, end in every:
        if cue.kind.startswith(SIGN):
            signs.setdefault(cue.kind.removeprefix(SIGN), " ".join(words[start:end]))
    found = [cue for cue, _, _ in every if not cue.kind.startswith(SIGN)]
    excused: dict[str, list[tuple[int, int]]] = {}
    for cue in found:
        if cue.kind.startswith(UNLESS):
            excused.setdefault(cue.kind.removeprefix(UNLESS), []).extend(matches(cue, text))
    hits: dict[str, tuple[str, str]] = {}
    along: set[str] = set()
    for cue in found:
        if cue.kind.startswith(UNLESS):
            continue
        if cue.kind.startswith(ALONG):
            along.add(cue.kind.removeprefix(ALONG))
            continue
        for start, end in matches(cue, text):
            if cue.kind not in hits and not any(
                s < end and start < e for s, e in excused.get(cue.kind, ())
            ):
                hits[cue.kind] = (cue.pattern, " ".join(words[start:end]))
    return Heard(words, asks, signs, hits, frozenset(along))


# ---------------------------------------------------------------------------------------- answers


def urgent_answer(reading: Reading, found: Found, shelf: Shelf) -> Answer:
    """What to do now, first. Nothing is computed."""
    urgent = [rule for rule, _, _ in found.rules if rule.level == "urgent"]
    if urgent[0].rank >= LIFE:
        # Sips of water are for an upset stomach, not for a throat that closes.
        urgent = [rule for rule in urgent if rule.rank >= LIFE]
    programme = shelf.corpus.programme
    lines = [filled(line, programme) for rule in urgent for line in rule.lines]
    answer = make(
        reading,
        "refer",
        filled(urgent[0].first, programme),
        lines=tuple(dict.fromkeys(lines)),
        sources=[
            source
            for rule in urgent
            for source in (record_source(rule), reference_source(shelf, rule.source))
        ],
    )
    return msgspec.structs.replace(answer, kind="safety", urgent=True, medical=found.medical)


def refer(answer: Answer, found: Found, shelf: Shelf) -> Answer:
    """A medical question: the figures that there are, led by the referral."""
    medical = [rule for rule, _, _ in found.rules if rule.level == "medical"]
    programme = shelf.corpus.programme
    lines = [filled(rule.first, programme) for rule in medical]
    lines += [filled(line, programme) for rule in medical for line in rule.lines]
    figures = () if any(rule.withhold for rule in medical) else answer.figures
    headline = answer.headline if figures else lines[0]
    sources = [
        source
        for rule in medical
        for source in (record_source(rule), reference_source(shelf, rule.source))
    ]
    return msgspec.structs.replace(
        answer,
        verdict="refer",
        headline=headline,
        figures=figures,
        lines=tuple(dict.fromkeys([*lines, *(answer.lines if figures else ())])),
        sources=unique([*answer.sources, *sources]) if figures else unique(sources),
        medical=True,
    )


def filled(text: str, programme: Programme) -> str:
    """A rule's text with the programme's numbers put in."""
    return (
        text.replace("{emergency}", programme.emergency_number)
        .replace("{poison}", programme.poison_help or programme.emergency_number)
        .replace("{programme}", programme.name)
    )
