"""A follow-up -> the whole question that it stands for, in words.

"And for 40?" after "how much broth for 14 in the lentil soup?" is "how much broth for 40 in the
lentil soup?". The question before is taken over word for word; what the follow-up names replaces
what stood there of the same type, and what is new is put behind. So what was understood can be
shown, and every kind reads a whole question.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from fractions import Fraction
from itertools import pairwise

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.question.reading import Mention, Reading
from assistant.retrieval.words import Token, tokens

# A follow-up is short; a longer text stands for itself.
SHORT = 9
_SHORT_REPLY = 7
_FEW = 4
# Types of which a follow-up names another one. An ingredient is one only where none is excluded.
_REPLACED = (
    "servings", "share", "recipe", "ingredient", "nutrient", "diet", "place", "date", "amount",
    "unit", "temperature", "duration", "clock",
)  # fmt: skip
# These come instead of each other: "double it" after "for 14".
_SAME = {"share": ("servings", "share"), "servings": ("servings", "share")}
_OPENINGS = (
    ("what", "about"), ("how", "about"), ("what", "if"), ("how", "bout"), ("i", "meant"),
    ("i", "mean"), ("make", "it"), ("make", "that"),
)  # fmt: skip


class Words(msgspec.Struct, frozen=True):
    """The vocabulary that tells a follow-up: see the lists of the same names."""

    openers: frozenset[str]
    follow: frozenset[str]
    pronouns: frozenset[str]
    without: frozenset[str]
    comparing: frozenset[str]
    allergies: frozenset[str]
    corrections: frozenset[str]
    joined: frozenset[str]
    fillers: frozenset[str]
    figures: frozenset[str]
    figure_openers: frozenset[str]
    brought_in: frozenset[str]
    replacing: frozenset[str]


def words_of(corpus: Corpus) -> Words:
    """The lists of a corpus; an empty one where it has none."""
    names = (
        "question-openers",
        "follow-words",
        "pronouns",
        "without-words",
        "comparing-words",
        "allergen-words",
        "correction-words",
        "joined-words",
        "follow-fillers",
        "about-the-figure",
        "about-the-figure-openers",
        "brought-in-words",
        "replacing-words",
    )
    found = [corpus.lists.get(name) for name in names]
    return Words(*(frozenset(record.words if record else ()) for record in found))


# A text whose cues weigh so much asks for itself, however short it is: "reheat how?"
_CERTAIN = 12


def is_follow_up(reading: Reading, words: Words) -> bool:
    """Whether a text leans on the question before it: short, and no question of its own.

    An allergy is never read into another question.

    "And how long does it keep?" asks for itself; "and for 40?", "what about without the peanuts?",
    "same for the chili" and "is that per bowl?" do not.
    """
    said = _opening(reading.words, words)
    if len(reading.words) > SHORT or not said or words.allergies & set(said):
        return False
    if tuple(reading.words) in {("for", "how", "long"), ("until", "when"), ("how", "long", "for")}:
        return True
    if said[0] in words.openers:
        return is_of_the_figure(reading, said, words)
    # "For 20 kids, how many bananas?" asks for itself, its number put first.
    if reading.kind and any(
        a in words.openers and b in {"much", "many", "long"} for a, b in pairwise(said)
    ):
        return False
    if reading.scores and reading.scores[0][1] >= _CERTAIN:
        return False
    if reading.kind and tuple(said[-2:]) == ("what", "for"):
        # "And the bay leaf what for?" asks for itself, its question put last.
        return False
    leaning = len(said) < len(reading.words)
    if reading.text.rstrip().endswith("?") and len(said) <= _FEW and not reading.mentions:
        # "More than once?"
        return True
    return leaning or not reading.kind or _only_named(reading)


def is_of_the_figure(reading: Reading, said: Sequence[str], words: Words) -> bool:
    """Whether a question is about the figure just given: "is that per bowl?", "does it matter?",
    "how many cans is that?". Calories of it are another figure."""
    if len(said) > 2 and said[0] in words.figure_openers and said[1] in words.pronouns:
        return set(said[2:]) <= words.figures | words.follow
    counted = len(said) > 3 and said[0] == "how" and said[1] in {"much", "many"}
    ends = counted and said[-1] in words.pronouns and said[-2] in {"is", "are", "be", "make"}
    return ends and not reading.all("nutrient") and not reading.foods


def _opening(said: Sequence[str], words: Words) -> Sequence[str]:
    """The words behind "and", "what about", "how about", "same for", "no, I meant"."""
    rest = list(said)
    while rest:
        if tuple(rest[:2]) in _OPENINGS:
            del rest[:2]
        elif rest[0] in words.follow or rest[0] in words.corrections:
            del rest[:1]
        else:
            break
    return rest


def _only_named(reading: Reading) -> bool:
    """Whether nearly every word is part of something named: "the chili", "for 40"."""
    covered = {place for m in reading.mentions for place in range(m.start, m.end)}
    return len(reading.words) - len(covered) <= 2


class Completed(msgspec.Struct, frozen=True):
    """A completed question; `placed` says whether something replaced what stood there, `rest` what
    was put behind it."""

    text: str
    placed: bool
    rest: str


def complete(
    before: str,
    then: Reading,
    earlier: Reading,
    words: Words,
    held: Collection[str] = (),
    spoken: Callable[[Mention, Mention], str] = lambda mention, _: mention.text,
) -> Completed:
    """The whole question: `before` (read as `earlier`) with what `then` names put in.

    `held` are the items of the recipe spoken of: a food that is none of them comes in place of the
    recipe itself ("and kale?" after "can I freeze the smoothie?"). `spoken` says how a mention is
    put into a question of its sort.
    """
    text = before.rstrip(" ?.!")
    cut = tokens(text)
    # What is behind a hyphen ("low-sodium") is a part of a word.
    old = [
        m for m in _apart(earlier) if m.end <= len(cut) and text[: cut[m.start].start][-1:] != "-"
    ]
    own = {(m.start, m.end) for m in then.all("ingredient") if m.id in held}
    new = [
        m
        for m in _apart(then)
        if not _denied(m, then) and (m.type != "recipe" or (m.start, m.end) not in own)
    ]
    if words.joined & set(then.words) and (both := _with_another(text, cut, old, new)):
        return Completed(both, True, "")
    spans: list[tuple[int, int, str]] = []
    placed: set[Mention] = set()
    for type_ in _REPLACED:
        named = [m for m in new if m.type == type_]
        there = _replaced(type_, named, then, old, earlier, held, words)
        if not there:
            continue
        put = spoken(named[0], there[0])
        if type_ == "share" and then.factor is not None:
            put = _times(there, then.factor, then) or put
        first = cut[there[0].start].start
        put = put.removeprefix("the ") if text[:first].rstrip().endswith("the") else put
        spans.append((first, cut[there[0].end - 1].end, put))
        placed |= {m for m in new if (m.start, m.end) == (named[0].start, named[0].end)}
        # A second one of the type ("for 14 or 16") would mislead.
        extra = [m for m in there[1:] if type_ != "recipe" and _is_joined(there[0], m, cut)]
        spans += [(cut[m.start].start, cut[m.end - 1].end, "") for m in extra]
    for span, mention in (*_number(new, old, cut), *_state(new, old, cut, bool(placed))):
        spans.append(span)
        placed.add(mention)
    for start, end, put in sorted(_apart_spans(spans), reverse=True):
        text = f"{text[:start]}{put}{text[end:]}"
    rest = _rest(then, placed, words)
    if rest and not placed and _comes_in(then, earlier, held, words):
        rest = f"with {rest}"
    return Completed(" ".join(f"{text} {rest}".split()), bool(placed), rest)


def _is_joined(one: Mention, other: Mention, cut: Sequence[Token]) -> bool:
    """Whether only an "and" or "or" stands between two mentions."""
    return {token.text for token in cut[one.end : other.start]} <= {"and", "or", "&", "the"}


def _replaced(
    type_: str,
    named: Sequence[Mention],
    then: Reading,
    old: Sequence[Mention],
    earlier: Reading,
    held: Collection[str],
    words: Words,
) -> list[Mention]:
    """The mentions of the question before that the one named comes instead of."""
    if not named:
        return []
    there = [m for m in old if m.type in _SAME.get(type_, (type_,))]
    if type_ != "ingredient":
        return there
    alone = _stands_alone(named[0], then, words)
    if words.without & set(then.words) or not alone:
        return []
    if _comes_in(then, earlier, held, words):
        return []
    # "And eggs?" after "does it have dairy?".
    there = there or [m for m in old if m.type == "diet"]
    # A food of its own: of the dish where it is in it, else in the dish's place.
    return there or [m for m in old if m.type == "recipe" and named[0].id not in held]


def _comes_in(then: Reading, earlier: Reading, held: Collection[str], words: Words) -> bool:
    """Whether a food is named that would take the place of one: "cornstarch?" after "what can I use
    instead of the flour?"."""
    foods = then.all("ingredient")
    return bool(
        foods
        and "same" not in then.words
        and held
        and foods[0].id not in held
        and words.replacing & set(earlier.words)
        and not words.replacing & set(then.words)
        and _stands_alone(foods[0], then, words)
    )


def _with_another(
    text: str, cut: Sequence[Token], old: Sequence[Mention], new: Sequence[Mention]
) -> str:
    """The question with another recipe beside its own; "" where either names none."""
    mine = [m for m in old if m.type == "recipe"]
    more = [m for m in new if m.type == "recipe"]
    if not mine or not more:
        return ""
    end = cut[mine[-1].end - 1].end
    return f"{text[:end]} and the {more[0].text}{text[end:]}"


def _denied(mention: Mention, reading: Reading) -> bool:
    """Whether "not" stands before a mention: "not the soup, the tacos"."""
    before = [w for w in reading.words[max(0, mention.start - 2) : mention.start] if w != "the"]
    return before[-1:] == ["not"]


def _stands_alone(mention: Mention, then: Reading, words: Words) -> bool:
    """Whether a food is named by itself, nothing bringing it into the dish ("with kale")."""
    before = set(then.words[: mention.start])
    return not before & (words.brought_in | words.joined | words.without | {"with", "if"})


def _times(old: Sequence[Mention], factor: Fraction, then: Reading) -> str:
    """ "Half that" of the servings named before; "" where a share of the recipe is meant."""
    if not old or not isinstance(old[0].value, Fraction) or old[0].type != "servings":
        return ""
    people = old[0].value * factor
    whole = people.denominator == 1 and not {"recipe", "batch"} & set(then.words)
    return _counted(old[0], people) if whole else ""


def _counted(old: Mention, number: object) -> str:
    """The words of a mention with another number: "for 14 people" as "for 28 people"."""
    parts = old.text.split()
    at = next((p for p, word in enumerate(parts) if word != "for"), 0)
    return " ".join([*parts[:at], str(number), *parts[at + 1 :]])


def _number(
    new: Sequence[Mention], old: Sequence[Mention], cut: Sequence[Token]
) -> list[tuple[tuple[int, int, str], Mention]]:
    """A bare number in the place of the one before: "and 5?" after "3 cups", "no, 52"."""
    bare = [m for m in new if m.type == "number"]
    types = {"servings", "amount", "duration", "temperature", "number"}
    counted = [m for m in old if m.type in types]
    if not bare or not counted or any(m.type == counted[0].type for m in new):
        return []
    place = counted[0]
    span = (cut[place.start].start, cut[place.end - 1].end, _counted(place, bare[0].text))
    return [(span, bare[0])]


def _state(
    new: Sequence[Mention], old: Sequence[Mention], cut: Sequence[Token], placed: bool
) -> list[tuple[tuple[int, int, str], Mention]]:
    """ "Cooked?" before the food it is said of."""
    states = [m for m in new if m.type == "state"]
    foods = [m for m in old if m.type == "ingredient"]
    if placed or len(states) != 1 or len(new) > 1 or not foods:
        return []
    before = [m for m in old if m.type == "state"]
    if before:
        span = (cut[before[0].start].start, cut[before[0].end - 1].end, states[0].text)
        return [(span, states[0])]
    at = cut[foods[0].start].start
    return [((at, at, f"{states[0].text} "), states[0])]


def _apart(reading: Reading) -> list[Mention]:
    """The mentions, without those that lie inside a recipe's name; one that is all of the name
    ("oats") may be either."""
    recipes = {p for m in reading.all("recipe") for p in range(m.start, m.end)}
    whole = {(m.start, m.end) for m in reading.all("recipe")}
    return [
        m
        for m in reading.mentions
        if m.type == "recipe"
        or not recipes & set(range(m.start, m.end))
        or (m.type == "ingredient" and (m.start, m.end) in whole)
    ]


def _apart_spans(spans: Sequence[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    made: list[tuple[int, int, str]] = []
    for span in spans:
        if not any(span[0] < other[1] and other[0] < span[1] for other in made):
            made.append(span)
    return made


def _rest(then: Reading, placed: set[Mention], words: Words) -> str:
    """What of the follow-up is new: its words without the opening and what was put in."""
    first = len(then.words) - len(_opening(then.words, words))
    gone = {p for m in placed for p in range(m.start, m.end)}
    gone |= {p for m in then.mentions if _denied(m, then) for p in range(m.start - 2, m.end)}
    left = [p for p in range(first, len(then.words)) if p not in gone]
    if {then.words[p] for p in left} <= words.fillers | words.corrections:
        return ""
    # Only the bare number of people is left: "make it 10".
    if len(left) == 1 and any(m.type == "number" and m.start == left[0] for m in then.mentions):
        return f"for {then.words[left[0]]}"
    said = [then.words[p] for p in left]
    while said and said[-1] in words.fillers - {"it", "that", "instead"}:
        said.pop()
    # "If" and "for" tell what the rest is to the question; "and" does not.
    kept = [w for w in then.words[:first] if w in {"if", "for"}][-1:]
    return " ".join([*kept, *said])


def reply(before: str, said: Reading, words: Words) -> str:
    """A short reply to a question that was asked back, put behind what it completes; "" for none.

    "For how many people?" - "40": a bare number counts people.
    """
    rest = _opening(said.words, words)
    if len(said.words) > _SHORT_REPLY or not rest or rest[0] in words.openers:
        return ""
    numbers = said.all("number")
    text = " ".join(rest)
    if len(numbers) == 1 and len(rest) == numbers[0].end - numbers[0].start:
        text = f"for {text}"
    return f"{before.rstrip(' ?.!')}, {text}"


def point_out(text: str, name: str, words: Words) -> str:
    """The text with its first "it" or "that" replaced by a name; the text itself where none is."""
    found: list[Token] = tokens(text)
    for place, token in enumerate(found):
        if token.text in words.pronouns:
            return f"{text[: token.start]}{name}{text[token.end :]}"
        if place > SHORT * 2:
            break
    return text


def each_recipe(text: str, reading: Reading, words: Words, compared: bool = False) -> list[str]:
    """The text once for each recipe it names, the others cut out; as it stands where it compares.

    "Calories in the chili and the lentil soup" asks for two figures, "which has more" for one.
    With `compared` a comparison is taken apart, too.
    """
    recipes = reading.all("recipe")
    if len({m.id for m in recipes}) < 2:
        return [text]
    if words.comparing & set(reading.words) and not compared:
        return [text]
    found = tokens(text)
    taken: set[int] = set()
    apart: list[Mention] = []
    for mention in recipes:
        span = set(range(mention.start, mention.end))
        # One name may stand for several recipes ("soup"): that is asked back, not answered twice.
        if span & taken:
            return [text]
        taken |= span
        apart.append(mention)
    apart.sort(key=lambda m: m.start)
    if _side_by_side(apart, found):
        # "the chili and the soup": one name in the place of all.
        start, end = found[apart[0].start].start, found[apart[-1].end - 1].end
        return [" ".join(f"{text[:start]}{m.text}{text[end:]}".split()) for m in apart]
    made = []
    for keep in apart:
        out = text
        for other in reversed([m for m in apart if m is not keep]):
            first = _with_joint(other, found)
            out = f"{out[: found[first].start]}{out[found[other.end - 1].end :]}"
        made.append(" ".join(out.replace(" ,", ",").replace(" ?", "?").split()).lstrip(" ,"))
    return made


_JOINTS = frozenset({"the", "a", "and", "or", "&", "in", "of", "for", "with", "vs", "versus"})


def _side_by_side(apart: Sequence[Mention], found: Sequence[Token]) -> bool:
    """Whether only small words stand between the names."""
    between = [
        token.text for one, other in pairwise(apart) for token in found[one.end : other.start]
    ]
    return set(between) <= _JOINTS


def _with_joint(mention: Mention, found: Sequence[Token]) -> int:
    """Where a mention begins with the article and the "and" before it."""
    first = mention.start
    while first and found[first - 1].text in {"the", "a", "and", "or", "&"}:
        first -= 1
    return first
