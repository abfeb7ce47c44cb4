"""Numbers in a question: servings, amounts, stretches of time, days, clock times, temperatures."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Sequence
from fractions import Fraction

from assistant.measure.amount import Amount
from assistant.measure.numbers import take_number
from assistant.measure.span import SPELLINGS, Span
from assistant.measure.units import take_unit
from assistant.question.reading import Day, Mention
from assistant.retrieval.words import Token

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHORT_DAYS = {"tuesday": ("tues",), "thursday": ("thur", "thurs"), "wednesday": ("weds",)}
_DAY_NAMES = {
    name: i
    for i, day in enumerate(_WEEKDAYS)
    for name in (day, day + "s", day[:3], *_SHORT_DAYS.get(day, ()))
}
# "sat", "sun" and "wed" are words too; they count as days only beside a word that goes with a day.
_UNSURE = {"sat", "sun", "wed", "mon"}
_BESIDE_DAY = {"on", "last", "next", "this", "until", "till", "by", "since", "every", "from", "for"}
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september",
           "october", "november", "december")  # fmt: skip
_MONTH_NAMES = {n: i for i, m in enumerate(_MONTHS, 1) for n in (m, m[:3])} | {"sept": 9}
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?!\d)")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})\Z")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})\Z")
_ENDINGS = {"st", "nd", "rd", "th"}
# What people come in: "a family of five".
_GROUPS = {"family", "party", "group", "crowd", "crew", "team", "table", "class", "household"}
_BESIDE_DATE = {"on", "by", "until", "till", "since", "from", "before", "after", "due", "dated"}
_BY_CLOCK = {"by", "at", "around", "before", "until"}
_TIMED = {"ready", "eat", "eating", "serve", "serving", "start", "starting", "begin", "lunch",
          "dinner", "live", "done", "finish", "finished", "plate", "plated"}  # fmt: skip
_HEATED = {"oven", "bake", "baking", "roast", "roasting", "preheat", "heat", "hot", "temperature",
           "temp", "fryer", "broil", "degrees"}  # fmt: skip
_NUMBERISH = re.compile(r"[\d½¼¾⅓⅔⅛⅜⅝⅞.]")
_DEGREES = {"°f": "f", "°c": "c", "f": "f", "c": "c", "fahrenheit": "f", "celsius": "c",
            "centigrade": "c", "°": "", "degrees": "", "degree": "", "deg": ""}  # fmt: skip
_NUMBER_WORDS = frozenset([
    "a", "an", "half", "quarter", "third", "one", "two", "three", "four", "five", "six", "seven",
    "eight", "nine", "ten", "eleven", "twelve", "dozen", "thirteen", "fourteen", "fifteen",
    "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty", "sixty",
    "seventy", "eighty", "ninety", "hundred", "couple",
])  # fmt: skip
# "a" and "an" are numbers only before a unit: "a cup", "an hour".
_ARTICLES = {"a", "an"}
_WINDOW = 60


def find_quantities(
    text: str, tokens: Sequence[Token], servings_words: Collection[str], today: datetime.date
) -> list[Mention]:
    """The quantities named in a question, left to right, none overlapping another.

    Parameters: the question's text and its tokens, the words that count people or portions
    (corpus vocabulary), and the date that day words are read against. Reads; computes nothing.
    """
    found: list[Mention] = []
    at = 0
    while at < len(tokens):
        mention = (
            _day(text, tokens, at, today)
            or _named_clock(tokens, at)
            or _times(text, tokens, at)
            or _quantity(text, tokens, at, servings_words)
            or _unit(text, tokens, at)
        )
        if mention is None:
            at += 1
        else:
            found.append(mention)
            at = mention.end
    return found


def _quantity(
    text: str, tokens: Sequence[Token], at: int, servings_words: Collection[str]
) -> Mention | None:
    word = tokens[at].text
    clock = _CLOCK.match(word)
    if clock and int(clock[1]) < 24 and int(clock[2]) < 60:
        hours = int(clock[1])
        end = at + 1
        if end < len(tokens) and tokens[end].text in {"am", "pm"}:
            hours = hours % 12 + (12 if tokens[end].text == "pm" else 0)
            end += 1
        return _mention("clock", tokens, at, end, Fraction(hours * 60 + int(clock[2])))
    if not _NUMBERISH.match(word) and word not in _NUMBER_WORDS:
        return None
    start = tokens[at].start
    taken = take_number(text[start : start + _WINDOW].lower())
    if taken is None:
        return None
    low, high, rest = taken
    used = len(text[start : start + _WINDOW]) - len(rest)
    end = _token_at(tokens, at, start + used)
    following = tokens[end].text if end < len(tokens) else ""
    span = _span(tokens, end, low, high, following)
    if span is not None:
        value, stop = span
        return _mention("duration", tokens, at, stop, value)
    if following in _DEGREES and not (following in {"f", "c"} and low < 30):
        scale = _DEGREES[following]
        stop = end + 1
        if (
            not scale
            and stop < len(tokens)
            and tokens[stop].text in {"f", "c", "fahrenheit", "celsius", "°f", "°c"}
        ):
            scale = _DEGREES[tokens[stop].text]
            stop += 1
        return _mention("temperature", tokens, at, stop, low, scale)
    if following in {"am", "pm"} and low == high and low.denominator == 1 and 1 <= low <= 12:
        hours = int(low) % 12 + (12 if following == "pm" else 0)
        return _mention("clock", tokens, at, end + 1, Fraction(hours * 60))
    if word not in _ARTICLES:
        people = _people(tokens, at, end, servings_words)
        if people is not None:
            return _mention("servings", tokens, at, people, low)
    unit = take_unit(text[tokens[end].start : tokens[end].start + _WINDOW]) if following else None
    if unit is not None and unit[0].dimension not in {"energy", "length"}:
        after = len(text[tokens[end].start : tokens[end].start + _WINDOW]) - len(unit[1])
        stop = max(end + 1, _token_at(tokens, end, tokens[end].start + after))
        if not (unit[0].dimension == "count" and word in _ARTICLES):
            return _mention("amount", tokens, at, stop, Amount(low, high, unit[0].name))
    if word in _ARTICLES or (word == "half" and low != high):
        return None
    said = {t.text for t in tokens}
    before = tokens[at - 1].text if at else ""
    if low == high and low.denominator == 1:
        if before in _BY_CLOCK and 1 <= low <= 12 and said & _TIMED:
            return _mention("clock", tokens, at, end, Fraction(_hour(int(low)) * 60))
        if 250 <= low <= 550 and said & _HEATED:
            return _mention("temperature", tokens, at, end, low)
    return _mention("number", tokens, at, end, low)


def _unit(text: str, tokens: Sequence[Token], at: int) -> Mention | None:
    """A measure named without a number: the "grams" of "how many grams"."""
    if len(tokens[at].text) < 2:
        return None
    taken = take_unit(text[tokens[at].start : tokens[at].start + _WINDOW])
    if taken is None or taken[0].dimension not in {"volume", "weight"}:
        return None
    used = len(text[tokens[at].start : tokens[at].start + _WINDOW]) - len(taken[1])
    end = max(at + 1, _token_at(tokens, at, tokens[at].start + used))
    words = " ".join(t.text for t in tokens[at:end])
    return Mention("unit", taken[0].name, words, at, end)


def _people(
    tokens: Sequence[Token], at: int, end: int, servings_words: Collection[str]
) -> int | None:
    """Where a count of people or portions ends, if the number at `at` is one.

    "14 people", "14 of us", "for 14", "serves 14", "feed 14"; but "for 20 minutes" never comes
    here, since a time was read first, and "for 2 cups" is left to the unit that follows.
    """
    following = tokens[end].text if end < len(tokens) else ""
    after = tokens[end + 1].text if end + 1 < len(tokens) else ""
    if following in servings_words:
        return end + 1
    if (
        following in {"hungry", "extra", "more", "adult", "adults", "big", "small"}
        and after in servings_words
    ):
        return end + 2
    if following == "of" and after in {"us", "them", "you"}:
        return end + 2
    before = tokens[at - 1].text if at else ""
    earlier = tokens[at - 2].text if at > 1 else ""
    if before == "of" and earlier in _GROUPS:
        return end
    coming = (earlier, before) in {("we", "are"), ("were", "be"), ("well", "be"), ("will", "be")}
    at_table = following in {"at", "for", "to"} and after in {"the", "table", "dinner", "lunch"}
    if coming and (end == len(tokens) or at_table or tokens[end].after_break):
        return end
    leads = before in {"for", "serves", "serve", "serving", "feed", "feeds", "feeding"} or (
        before in {"like", "about", "around", "the", "say", "roughly"}
        and earlier in {"for", "serve", "feed", "feeds", "feeding"}
    )
    if not leads:
        return None
    is_unit = following and take_unit(following) is not None and following not in {"people"}
    return None if is_unit else end


def _span(
    tokens: Sequence[Token], end: int, low: Fraction, high: Fraction, following: str
) -> tuple[Span, int] | None:
    word = following
    stop = end + 1
    if word in {"more", "whole", "full", "extra"} and stop < len(tokens):
        word = tokens[stop].text
        stop += 1
    unit = SPELLINGS.get(word)
    if unit is None or word in {"s", "m", "d", "mo"}:
        return None
    if tokens[stop : stop + 3] and [t.text for t in tokens[stop : stop + 3]] == [
        "and",
        "a",
        "half",
    ]:
        return Span(low + Fraction(1, 2), high + Fraction(1, 2), unit), stop + 3
    return Span(low, high, unit), stop


def _named_clock(tokens: Sequence[Token], at: int) -> Mention | None:
    """ "Noon", "half past eleven", "quarter to one": hours before seven are the afternoon's."""
    words = [t.text for t in tokens[at : at + 3]]
    if words[:1] == ["noon"] or words[:1] == ["midnight"]:
        return _mention("clock", tokens, at, at + 1, Fraction(720 if words[0] == "noon" else 0))
    shift = {("half", "past"): 30, ("quarter", "past"): 15, ("quarter", "to"): -15}
    minutes = shift.get((words[0], words[1])) if len(words) > 2 else None
    hour = take_number(words[2]) if minutes is not None else None
    if minutes is None or hour is None or hour[0].denominator != 1 or not 1 <= hour[0] <= 12:
        return None
    return _mention("clock", tokens, at, at + 3, Fraction(_hour(int(hour[0])) * 60 + minutes))


def _hour(hour: int) -> int:
    """The hour of a day's work that a bare one to twelve means."""
    return hour + 12 if hour < 7 else hour


def _times(text: str, tokens: Sequence[Token], at: int) -> Mention | None:
    """ "3x the recipe", "1.5 times the recipe", "times three", "x3": a share of the recipe."""
    word = tokens[at].text
    before = word in {"x", "times"}
    glued = re.match(r"x(\d+)\Z", word)
    if glued:
        return _mention("share", tokens, at, at + 1, Fraction(int(glued[1])))
    start = at + 1 if before else at
    if start >= len(tokens):
        return None
    head = tokens[start].text
    if not _NUMBERISH.match(head) and head not in _NUMBER_WORDS - _ARTICLES:
        return None
    taken = take_number(text[tokens[start].start : tokens[start].start + _WINDOW].lower())
    if taken is None or taken[0] != taken[1] or not taken[0]:
        return None
    used = len(text[tokens[start].start : tokens[start].start + _WINDOW]) - len(taken[2])
    end = _token_at(tokens, start, tokens[start].start + used)
    after = [t.text for t in tokens[end : end + 2]]
    if before:
        return _mention("share", tokens, at, end, taken[0])
    of_recipe = after[:1] == ["times"] and after[1:] in (["the"], ["this"], ["that"], ["as"], [])
    if after[:1] == ["x"] or of_recipe:
        return _mention("share", tokens, at, end + 1, taken[0])
    return None


def _day(text: str, tokens: Sequence[Token], at: int, today: datetime.date) -> Mention | None:
    word = tokens[at].text
    words = [t.text for t in tokens[at : at + 4]]
    if word in {"today", "tonight", "yesterday", "tomorrow"}:
        shift = {"yesterday": -1, "tomorrow": 1}.get(word, 0)
        return _mention("date", tokens, at, at + 1, Day(date=today + datetime.timedelta(shift)))
    if words[:2] == ["last", "night"]:
        return _mention("date", tokens, at, at + 2, Day(date=today - datetime.timedelta(1)))
    if words[:3] == ["day", "before", "yesterday"]:
        return _mention("date", tokens, at, at + 3, Day(date=today - datetime.timedelta(2)))
    if words[:3] == ["day", "after", "tomorrow"]:
        return _mention("date", tokens, at, at + 3, Day(date=today + datetime.timedelta(2)))
    iso = _ISO.match(text, tokens[at].start)
    if iso:
        made = _date(int(iso[1]), int(iso[2]), int(iso[3]))
        end = _token_at(tokens, at, iso.end())
        return _mention("date", tokens, at, end, Day(date=made)) if made else None
    slashed = _SLASHED.match(word)
    if slashed and at and tokens[at - 1].text in _BESIDE_DATE:
        made = _near_date(int(slashed[1]), int(slashed[2]), today)
        return _mention("date", tokens, at, at + 1, Day(date=made)) if made else None
    ago = _ago(tokens, at, today)
    if ago is not None:
        return ago
    week = {"last": -1, "next": 1, "this": 0}.get(word)
    if week is not None and len(words) > 1 and words[1] in _DAY_NAMES:
        day = Day(weekday=_DAY_NAMES[words[1]], week=week)
        return _mention("date", tokens, at, at + 2, day)
    if word in _DAY_NAMES:
        before = tokens[at - 1].text if at else ""
        if word in _UNSURE and before not in _BESIDE_DAY:
            return None
        return _mention("date", tokens, at, at + 1, Day(weekday=_DAY_NAMES[word]))
    return _month_day(tokens, at, words, today)


def _ago(tokens: Sequence[Token], at: int, today: datetime.date) -> Mention | None:
    """ "10 days ago", "a week ago", "two weeks ago"."""
    taken = take_number(" ".join(t.text for t in tokens[at : at + 5])) if at < len(tokens) else None
    if taken is None:
        return None
    rest = taken[2].split()
    if len(rest) < 2 or rest[1] != "ago" or SPELLINGS.get(rest[0]) not in {"day", "week"}:
        return None
    days = int(taken[1] * (7 if SPELLINGS[rest[0]] == "week" else 1))
    end = at + next(i for i, t in enumerate(tokens[at:]) if t.text == "ago") + 1
    if days > 3650:
        return None
    return _mention("date", tokens, at, end, Day(date=today - datetime.timedelta(days)))


def _month_day(
    tokens: Sequence[Token], at: int, words: list[str], today: datetime.date
) -> Mention | None:
    word = words[0]
    second = words[1] if len(words) > 1 else ""
    number = re.match(r"(\d{1,2})(?:st|nd|rd|th)?\Z", second)
    if word in _MONTH_NAMES and number:
        made = _near_date(_MONTH_NAMES[word], int(number[1]), today)
        return _mention("date", tokens, at, at + 2, Day(date=made)) if made else None
    if not re.match(r"\d{1,2}\Z", word):
        return None
    # "27th" is two tokens, "27" and "th".
    ordinal = second in _ENDINGS and tokens[at + 1].start == tokens[at].end
    skip = 2 if ordinal else 1
    if len(words) > skip and words[skip] == "of":
        skip += 1
    month = words[skip] if len(words) > skip else ""
    if month in _MONTH_NAMES:
        made = _near_date(_MONTH_NAMES[month], int(word), today)
        return _mention("date", tokens, at, at + skip + 1, Day(date=made)) if made else None
    before = tokens[at - 1].text if at else ""
    if ordinal and before in {"the", "on", "until", "by"} and 1 <= int(word) <= 31:
        return _mention("date", tokens, at, at + 2, Day(month_day=int(word)))
    return None


def _date(year: int, month: int, day: int) -> datetime.date | None:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def _near_date(month: int, day: int, today: datetime.date) -> datetime.date | None:
    """The date with that month and day that is nearest to today."""
    near = [_date(today.year + shift, month, day) for shift in (-1, 0, 1)]
    real = [d for d in near if d is not None]
    return min(real, key=lambda d: abs(d - today)) if real else None


def _token_at(tokens: Sequence[Token], at: int, offset: int) -> int:
    """The first token that starts at or after a place in the text."""
    while at < len(tokens) and tokens[at].start < offset:
        at += 1
    return at


def _mention(
    type_: str,
    tokens: Sequence[Token],
    start: int,
    end: int,
    value: Amount | Span | Day | Fraction,
    ident: str = "",
) -> Mention:
    words = " ".join(t.text for t in tokens[start:end])
    return Mention(type_, ident, words, start, end, value)  # type: ignore[arg-type]


def resolve(day: Day, today: datetime.date, future: bool) -> datetime.date:
    """The date a day word means.

    Without more said, a weekday is the latest one up to today (`future` false) or the next one
    from today on (`future` true). "Last" and "next" shift it: "last Tuesday" said on a Wednesday is
    yesterday's; said on a Tuesday it is a week ago.
    """
    if day.date is not None:
        return day.date
    if day.month_day is not None:
        return _month_day_date(day.month_day, today, future)
    if day.weekday is None:
        return today
    ahead = (day.weekday - today.weekday()) % 7
    behind = (today.weekday() - day.weekday) % 7
    if day.week < 0:
        return today - datetime.timedelta(behind or 7)
    if day.week > 0:
        return today + datetime.timedelta(ahead or 7)
    return today + datetime.timedelta(ahead if future else -behind)


def _month_day_date(number: int, today: datetime.date, future: bool) -> datetime.date:
    for shift in range(13):
        step = shift if future else -shift
        year, month = divmod(today.year * 12 + today.month - 1 + step, 12)
        made = _date(year, month + 1, number)
        if made is not None and (made >= today if future else made <= today):
            return made
    return today
