"""Days named in a question: "yesterday", "last Tuesday", "Nov 27", "3 days ago", "in September".

A month, or a week gone by, stands for its first day: what was frozen "in September" may have been
frozen on the first, and the longer time is the careful one.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence

from assistant.measure.numbers import take_number
from assistant.measure.span import SPELLINGS
from assistant.question.reading import Day
from assistant.question.vocabulary import Vocabulary

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?!\d)")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})\Z")
_DAY = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\Z")
_YEAR = re.compile(r"(?:19|20)\d\d\Z")
_FIGURES = re.compile(r"\d{1,2}\Z")
_LONGEST_AGO = 3650

Found = tuple[Day, int]
"""A day, and where the words that name it end."""


def read_day(
    words: Sequence[str], at: int, vocabulary: Vocabulary, today: datetime.date
) -> Found | None:
    """The day named from word `at` on, if there is one; a date in figures with its year is no word
    of its own and is left to `read_iso`."""
    word = words[at]
    lists, before = vocabulary.lists, words[at - 1] if at else ""
    if word in vocabulary.day_starts:
        for length in (3, 2, 1):
            shift = vocabulary.days.get(" ".join(words[at : at + length]))
            if shift is not None:
                return Day(date=today + datetime.timedelta(shift)), min(at + length, len(words))
    slashed = _SLASHED.match(word) if "/" in word else None
    if slashed and before in lists["before-date"]:
        made = near_date(int(slashed[1]), int(slashed[2]), today)
        return (Day(date=made), at + 1) if made else None
    ago = _ago(words, at, vocabulary, today)
    if ago is not None:
        return ago
    following = words[at + 1] if at + 1 < len(words) else ""
    turn = vocabulary.turns.get(word)
    if turn is not None and following in vocabulary.weekdays:
        return Day(weekday=vocabulary.weekdays[following] - 1, week=turn), at + 2
    if turn is not None and before != "the":
        return _turn(words, at, turn, vocabulary, today)
    if word in vocabulary.weekdays:
        if word in vocabulary.unsure and before not in lists["before-weekday"]:
            return None
        weekday = vocabulary.weekdays[word] - 1
        if " ".join(words[at + 1 : at + 3]) in lists["before-last"]:
            return Day(date=_weekday_ago(weekday, 2, today)), at + 3
        return Day(weekday=weekday), at + 1
    return _month_day(words, at, vocabulary, today) or _month(words, at, vocabulary)


def read_iso(text: str, start: int) -> tuple[datetime.date | None, int] | None:
    """A date such as 2026-11-28 at a place of the text, and where it ends; a date of None is one
    that no calendar has."""
    found = _ISO.match(text, start)
    return (_date(int(found[1]), int(found[2]), int(found[3])), found.end()) if found else None


def _ago(
    words: Sequence[str], at: int, vocabulary: Vocabulary, today: datetime.date
) -> Found | None:
    """ "10 days ago", "a week ago", "two weeks ago", "two Sundays ago"."""
    said = words[at : at + 5]
    if vocabulary.lists["ago"].isdisjoint(said):
        return None
    taken = take_number(" ".join(said))
    rest = taken[2].split() if taken else []
    if taken is None or len(rest) < 2 or rest[1] not in vocabulary.lists["ago"]:
        return None
    end = at + next(i for i, word in enumerate(said) if word == rest[1]) + 1
    weekday = vocabulary.weekdays.get(rest[0])
    if weekday is not None and taken[1].denominator == 1 and 1 <= taken[1] * 7 <= _LONGEST_AGO:
        return Day(date=_weekday_ago(weekday - 1, int(taken[1]), today)), end
    unit = SPELLINGS.get(rest[0])
    if unit not in {"day", "week"}:
        return None
    days = int(taken[1] * (7 if unit == "week" else 1))
    if days > _LONGEST_AGO:
        return None
    return Day(date=today - datetime.timedelta(days)), end


def _weekday_ago(weekday: int, number: int, today: datetime.date) -> datetime.date:
    """The day that was a weekday so many times ago; today is none of them."""
    behind = (today.weekday() - weekday) % 7 or 7
    return today - datetime.timedelta(behind + 7 * (number - 1))


def _turn(
    words: Sequence[str], at: int, turn: int, vocabulary: Vocabulary, today: datetime.date
) -> Found | None:
    """ "Last month", "next week", "last March": what `turn` shifts is the word behind it."""
    following = words[at + 1] if at + 1 < len(words) else ""
    month = vocabulary.months.get(following)
    if month is not None:
        # "This may do" is no month.
        verb = following in vocabulary.unsure and (turn == 0 or _is_verb(words, at + 1, vocabulary))
        return None if verb or turn == 0 else (Day(month=month, week=turn), at + 2)
    unit = SPELLINGS.get(following)
    if turn == 0 or following != unit or unit not in {"week", "month", "year"}:
        return None
    if unit == "week":
        made = today - datetime.timedelta(today.weekday() - 7 * turn)
    elif unit == "year":
        made = datetime.date(today.year + turn, 1, 1)
    else:
        year, month = divmod(today.year * 12 + today.month - 1 + turn, 12)
        made = datetime.date(year, month + 1, 1)
    return Day(date=made), at + 2


def _month(words: Sequence[str], at: int, vocabulary: Vocabulary) -> Found | None:
    """A month without a day, where its year or the word before it makes that plain."""
    month = vocabulary.months.get(words[at])
    if month is None:
        return None
    following = words[at + 1] if at + 1 < len(words) else ""
    year = _YEAR.match(following)
    if year is not None:
        return Day(date=datetime.date(int(following), month, 1)), at + 2
    before = words[at - 1] if at else ""
    unsure = words[at] in vocabulary.unsure
    plain = before in vocabulary.lists["before-unsure-month" if unsure else "before-month"]
    if not plain or (unsure and _is_verb(words, at, vocabulary)):
        return None
    return Day(month=month), at + 1


def _is_verb(words: Sequence[str], at: int, vocabulary: Vocabulary) -> bool:
    """Whether the word behind "may" or "march" makes a verb of it."""
    return at + 1 < len(words) and words[at + 1] in vocabulary.lists["after-verb"]


def _month_day(
    words: Sequence[str], at: int, vocabulary: Vocabulary, today: datetime.date
) -> Found | None:
    """ "Nov 27", "27th of November", "until the 3rd"."""
    word, lists = words[at], vocabulary.lists
    following = words[at + 1] if at + 1 < len(words) else ""
    number = _DAY.match(following)
    if word in vocabulary.months and number:
        made = near_date(vocabulary.months[word], int(number[1]), today)
        return (Day(date=made), at + 2) if made else None
    if not _FIGURES.match(word):
        return None
    # "27th" is two words, "27" and "th".
    ordinal = following in lists["ordinal-endings"]
    end = at + 2 if ordinal else at + 1
    if words[end : end + 1] == ["of"]:
        end += 1
    month = words[end] if end < len(words) else ""
    if month in vocabulary.months:
        made = near_date(vocabulary.months[month], int(word), today)
        return (Day(date=made), end + 1) if made else None
    before = words[at - 1] if at else ""
    if ordinal and before in lists["before-ordinal"] and 1 <= int(word) <= 31:
        return Day(month_day=int(word)), at + 2
    return None


def _date(year: int, month: int, day: int) -> datetime.date | None:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        return None


def near_date(month: int, day: int, today: datetime.date) -> datetime.date | None:
    """The date with that month and day that is nearest to today; None where no calendar has it."""
    near = [_date(today.year + shift, month, day) for shift in (-1, 0, 1)]
    real = [d for d in near if d is not None]
    return min(real, key=lambda d: abs(d - today)) if real else None


def resolve(day: Day, today: datetime.date, future: bool) -> datetime.date:
    """The date a day word means.

    Without more said, a weekday is the latest one up to today (`future` false) or the next one
    from today on (`future` true). "Last" and "next" shift it: "last Tuesday" said on a Wednesday is
    yesterday's; said on a Tuesday it is a week ago. A month is its first day: of the latest such
    month that has begun, or of the next; "until November" said in November means its last day.
    """
    if day.date is not None:
        return day.date
    if day.month_day is not None:
        return _month_day_date(day.month_day, today, future)
    if day.month is not None:
        return _month_date(day.month, day.week, today, future)
    if day.weekday is None:
        return today
    ahead = (day.weekday - today.weekday()) % 7
    behind = (today.weekday() - day.weekday) % 7
    if day.week < 0:
        return today - datetime.timedelta(behind or 7)
    if day.week > 0:
        return today + datetime.timedelta(ahead or 7)
    return today + datetime.timedelta(ahead if future else -behind)


def _month_date(month: int, turn: int, today: datetime.date, future: bool) -> datetime.date:
    """The day that a month alone stands for."""
    if turn < 0 or (turn == 0 and not future):
        past = month < today.month or (month == today.month and turn == 0)
        return datetime.date(today.year if past else today.year - 1, month, 1)
    if month == today.month and turn == 0:
        return datetime.date(today.year + month // 12, month % 12 + 1, 1) - datetime.timedelta(1)
    return datetime.date(today.year if month > today.month else today.year + 1, month, 1)


def _month_day_date(number: int, today: datetime.date, future: bool) -> datetime.date:
    for shift in range(13):
        step = shift if future else -shift
        year, month = divmod(today.year * 12 + today.month - 1 + step, 12)
        made = _date(year, month + 1, number)
        if made is not None and (made >= today if future else made <= today):
            return made
    return today
