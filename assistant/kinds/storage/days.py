"""Which day is which in a storage question: cooked, frozen, thawed, eaten; and a thing's age."""

from __future__ import annotations

import datetime
from fractions import Fraction
from itertools import pairwise
from typing import Literal

import msgspec

from assistant.corpus.corpus import Corpus
from assistant.kitchen.keeping import Pause
from assistant.measure.span import Span
from assistant.question.quantities import resolve
from assistant.question.reading import Day, Mention, Reading
from assistant.question.stand import listed as words_in

Role = Literal["start", "freeze", "thaw", "eat"]
_ROLES: tuple[Role, ...] = ("freeze", "thaw", "start", "eat")
_NIGHT = Span(Fraction(1), Fraction(1), "day")
_WEEK = Span(Fraction(5), Fraction(5), "day")
# How many words before a day may say what was done on it.
_REACH = 9


class Days(msgspec.Struct, frozen=True):
    """The days named. `said` are the ways in which they were taken, one line each."""

    start: datetime.date | None = None
    on: datetime.date | None = None
    pauses: tuple[Pause, ...] = ()
    frozen_since: datetime.date | None = None
    age: Span | None = None
    said: tuple[str, ...] = ()


def days(reading: Reading, corpus: Corpus) -> Days:
    """The days of a question, each by the nearest word before it that says what was done then.

    "Can I eat on Friday what I cooked on Monday": cooked Monday, eaten Friday. A lone day is the
    day of cooking when it is past, and the day of eating when it is to come.
    """
    today = reading.today
    roles: dict[Role, Mention] = {}
    loose: list[Mention] = []
    begun = 0
    weekend = _weekend(reading)
    for mention in reading.all("date"):
        if not isinstance(mention.value, Day):
            continue
        role = _role(reading, mention, begun, corpus)
        begun = mention.end
        if role == "start" and "start" in roles:
            role = "eat"
        if role is None or role in roles:
            loose.append(mention)
        else:
            roles[role] = mention
    for mention in loose:
        missing: Role = "eat" if "start" in roles or _is_ahead(mention, today) else "start"
        roles.setdefault(missing, mention)
    planned = "start" in roles and _is_plan(reading, roles["start"], corpus)
    start = _date(roles.get("start"), today, future=planned)
    said = []
    age = _age(reading)
    week = _work_week(reading, corpus)
    if week is not None:
        return Days(age=week)
    counted = age is not None and age.unit in {"day", "week"}
    if start is None and age is not None and counted and _is_past(reading, corpus):
        start = today - datetime.timedelta(int(age.high * (7 if age.unit == "week" else 1)))
        said.append(f"Counted back from today: {long_day(start, today)}.")
    age = (
        age or _on_day(reading, corpus) or _night(reading, corpus) or _since_month(reading, corpus)
    )
    if start is None and weekend is not None:
        start = weekend
        said.append(f"The weekend is taken as its Saturday, {long_day(start, today)}.")
    on = _date(roles.get("eat"), max(today, start or today), future=True)
    if start is None and on is not None and on < today:
        start, on = on, None
    if start is None and on is not None:
        start = today
        said.append(
            f"Taken as made today, {long_day(today, today)}; name the day if it was another."
        )
    if start is not None and on is not None and on < start and "start" in roles:
        on = None
    if start is None and "thaw" in roles:
        start = _date(roles["thaw"], today, future=False)
        said.append("Counted from the day it was thawed; days before it was frozen count too.")
    # "Can I freeze it on Friday" is still to come.
    done = reading.has("freezer", *words_in(corpus, "frozen-words")) and not reading.has("freeze")
    froze = _date(roles.get("freeze"), today, future=not done)
    thawed = _date(roles.get("thaw"), today, future=False)
    if on is not None and "start" not in roles and "thaw" not in roles and _is_frozen(reading):
        return _in_freezer(froze or today, on, today)
    if froze is not None and start is not None and "start" not in roles and froze < start:
        # No word of when it was made, and it was not after it was frozen.
        froze, start, on, said = None, None, None, []
    since = done and froze is not None and froze <= today and thawed is None
    if froze is not None and since and start is None and age is None:
        # In the freezer since a day, and no word of when it was made.
        age, froze = _between(froze, today), None
    pauses: tuple[Pause, ...] = ()
    if froze is not None and thawed is not None and froze <= thawed:
        pauses = ((froze, thawed),)
    return Days(
        start=start,
        on=on,
        pauses=pauses,
        frozen_since=froze if froze is not None and thawed is None else None,
        age=age,
        said=tuple(said),
    )


def _is_frozen(reading: Reading) -> bool:
    """Whether a thing is kept in the freezer and nowhere else, all the time that is asked about."""
    places = reading.ids("place")
    return "freezer" in places and "fridge" not in places and "thaw" not in reading.ids("method")


def _in_freezer(froze: datetime.date, on: datetime.date, today: datetime.date) -> Days:
    """ "Will it keep until March in the freezer?": the days from when it goes in."""
    count = Fraction(max((on - froze).days, 0))
    said = f"In the freezer from {long_day(froze, today)}, to {long_day(on, today)}."
    return Days(age=Span(count, count, "day"), said=(said,))


def _role(reading: Reading, mention: Mention, begun: int, corpus: Corpus) -> Role | None:
    """What was done on a day, by the nearest word before it, else by the one right after it."""
    for at in range(mention.start - 1, max(begun, mention.start - _REACH) - 1, -1):
        role = _says(reading.words[at], corpus)
        if role == "start" and reading.words[at] in {"from", "since"}:
            # "In the freezer since March": what was done then stands before it.
            earlier = [_says(word, corpus) for word in reading.words[begun:at]]
            return "freeze" if "freeze" in earlier and "start" not in earlier else role
        if role is not None:
            return role
    if mention.end < len(reading.words):
        return _says(reading.words[mention.end], corpus)
    return None


def _says(word: str, corpus: Corpus) -> Role | None:
    for role in _ROLES:
        listed = corpus.lists.get(f"day-{role}")
        if listed is not None and word in listed.words:
            return role
    return None


def _is_plan(reading: Reading, mention: Mention, corpus: Corpus) -> bool:
    """Whether the cooking is still to come: "if I make it on Saturday", not "if I made it"."""
    plan, past = corpus.lists.get("plan-words"), corpus.lists.get("past-words")
    before = reading.words[max(0, mention.start - _REACH) : mention.start]
    if plan is None or (past is not None and not set(past.words).isdisjoint(before)):
        return False
    return not set(plan.words).isdisjoint(before)


def _is_past(reading: Reading, corpus: Corpus) -> bool:
    """Whether a stretch is how long a thing has been kept, not how long it is to be kept."""
    listed = corpus.lists.get("kept-words")
    return listed is not None and not set(listed.words).isdisjoint(reading.words)


def _age(reading: Reading) -> Span | None:
    spans = [m.value for m in reading.all("duration") if isinstance(m.value, Span)]
    long = [span for span in spans if span.unit in {"day", "week", "month", "year"}]
    return long[0] if long else None


def _night(reading: Reading, corpus: Corpus) -> Span | None:
    """ "The night before", "tonight for tomorrow morning": kept for one day."""
    if reading.all("date"):
        return None
    listed = corpus.lists.get("day-before-words")
    words, parts = reading.words, frozenset(listed.words if listed is not None else ())
    before = any(a in parts and b in {"before", "ahead", "earlier"} for a, b in pairwise(words))
    next_day = set(pairwise(words)) & {("next", "day"), ("next", "morning"), ("following", "day")}
    through = {"night", "evening"} & set(words) and {"morning", "lunch"} & set(words)
    return _NIGHT if before or through or next_day else None


def _on_day(reading: Reading, corpus: Corpus) -> Span | None:
    """ "Chili on day six", "on its fifth day": so many days after it was made."""
    if reading.all("date"):
        return None
    for m in reading.all("number"):
        if isinstance(m.value, Fraction) and reading.words[max(0, m.start - 1)] == "day":
            return Span(m.value, m.value, "day")
    listed = corpus.lists.get("ordinal-words")
    ordinals = dict(entry.split() for entry in listed.words) if listed is not None else {}
    for word, after in pairwise(reading.words):
        if after == "day" and word in ordinals:
            return Span(Fraction(ordinals[word]), Fraction(ordinals[word]), "day")
    return None


def _weekend(reading: Reading) -> datetime.date | None:
    """ "On the weekend", of what has been made: the Saturday of the latest one."""
    if not reading.has("weekend") or not reading.has("made", "cooked", "baked", "from", "opened"):
        return None
    return reading.today - datetime.timedelta((reading.today.weekday() - 5) % 7)


def _between(day: datetime.date, today: datetime.date) -> Span:
    """The stretch from a day to today: days up to two months, else whole months."""
    months = (today.year - day.year) * 12 + today.month - day.month
    count = Fraction(months if months > 2 else (today - day).days)
    return Span(count, count, "month" if months > 2 else "day")


def _work_week(reading: Reading, corpus: Corpus) -> Span | None:
    """ "On Sunday for the whole work week": until Friday, five days."""
    pairs = set(pairwise(reading.words))
    whole = {(word, "week") for word in words_in(corpus, "work-week-words")}
    if reading.all("date"):
        whole |= {(word, "week") for word in words_in(corpus, "full-week-words")}
    return _WEEK if pairs & whole else None


def _since_month(reading: Reading, corpus: Corpus) -> Span | None:
    """ "In the freezer from March": the months since the latest March."""
    listed = corpus.lists.get("month-names")
    names = listed.words if listed is not None else ()
    for before, word in pairwise(reading.words):
        if word in names and before in {"from", "since", "in", "last"} and not reading.all("date"):
            gone = Fraction((reading.today.month - names.index(word) - 1) % 12 or 12)
            return Span(gone, gone, "month")
    return None


def _is_ahead(mention: Mention, today: datetime.date) -> bool:
    value = mention.value
    return isinstance(value, Day) and value.date is not None and value.date > today


def _date(mention: Mention | None, today: datetime.date, future: bool) -> datetime.date | None:
    if mention is None or not isinstance(mention.value, Day):
        return None
    return resolve(mention.value, today, future)


def long_day(date: datetime.date, today: datetime.date) -> str:
    """ "Tuesday, Dec 1"; with the year where it is another one."""
    return f"{date:%A}, {date:%b} {date.day}{_year(date, today)}"


def short_day(date: datetime.date, today: datetime.date) -> str:
    """ "Tue, Dec 1"; with the year where it is another one."""
    return f"{date:%a}, {date:%b} {date.day}{_year(date, today)}"


def _year(date: datetime.date, today: datetime.date) -> str:
    return "" if date.year == today.year else f", {date.year}"
