"""English word forms: one key for singular and plural, one for all forms of a word.

A short suffix table after M. F. Porter's English stemmer ("Porter2", steps 1a–1c and 5), with the
kitchen's irregular words. The published package for it takes 30–40 ms to import and some 80 µs a
word, and keeps leaf/leaves, half/halves and freeze/frozen apart while joining ice/icing. Keys are
for comparing, never for showing: "berry" and "berries" are both "berri".
"""

from __future__ import annotations

import re
from functools import lru_cache

_PLURALS = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife", "shelves": "shelf",
    "calves": "calf", "wives": "wife", "wolves": "wolf", "children": "child", "teeth": "tooth",
    "feet": "foot", "geese": "goose", "women": "woman", "men": "man", "mice": "mouse",
    "shoes": "shoe", "canoes": "canoe", "aloes": "aloe", "menus": "menu", "tofus": "tofu",
    "this": "this", "series": "series", "species": "species",
}  # fmt: skip
_FORMS = {
    "froze": "freez", "frozen": "freez", "freezer": "freez", "kept": "keep", "made": "make",
    "ate": "eat", "eaten": "eat", "held": "hold", "bought": "buy", "taken": "take",
    "substitution": "substitut", "storage": "store",
}  # fmt: skip
# Words that end like a verb's form and are a thing of their own: icing is not ice.
# fmt: off
_WHOLE = frozenset((
    "herring", "icing", "canning", "stuffing", "shortening", "dressing", "topping", "filling",
    "evening", "morning", "pudding", "ceiling", "nothing", "something", "anything", "everything",
    "during", "seedling", "dumpling", "paste",
))
# fmt: on
_DOUBLES = ("bb", "dd", "ff", "gg", "mm", "nn", "pp", "rr", "tt")
_VOWEL = re.compile(r"[aeiouy]")
_REGION = re.compile(r"[aeiouy][^aeiouy]")
_SHORT_END = re.compile(r"(?:^|[^aeiouy])[aeiouy][^aeiouywxz]$|^[aeiouy][^aeiouy]$")
_FORM = re.compile(r"(?:ing|ed)(?:l[yi])?$")


def _y_to_i(word: str) -> str:
    if len(word) > 2 and word[-1] == "y" and word[-2] not in "aeiouy":
        return word[:-1] + "i"
    return word


@lru_cache(maxsize=32768)
def singular(word: str) -> str:
    """A key that is the same for the singular and the plural of a folded `word`.

    Only number is taken off: "canned" is not "can" and "baking" is not "bake", since names of
    foods are compared by it ("can chickpeas" is the start of a question). Anything that is not
    all letters comes back as it is.
    """
    irregular = _PLURALS.get(word)
    if irregular is not None:
        return irregular
    if len(word) < 3 or not word.isalpha():
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-2]
    if word.endswith("ie") and len(word) > 4:
        return word[:-1]
    if word.endswith("oes") and len(word) > 4:
        return word[:-2]
    if word.endswith(("ches", "shes", "sses", "xes", "zes")):
        return word[:-2]
    if word.endswith(("che", "she", "sse", "xe", "ze")) and len(word) > 3:
        # "quiche" must meet "quiches", which cannot be told from "peaches".
        return word[:-1]
    if (
        word[-1] == "s"
        and len(word) > 3
        and not word.endswith(("ss", "us", "sis"))
        and _VOWEL.search(word, 0, len(word) - 2)
    ):
        return _y_to_i(word[:-1])
    return _y_to_i(word)


def _region(word: str, start: int = 0) -> int:
    """Where Porter's R1 begins: behind the first consonant that follows a vowel from `start`."""
    match = _REGION.search(word, start)
    return match.end() if match else len(word)


def _without_verb_ending(word: str) -> str:
    match = _FORM.search(word)
    if match is None or word.endswith("eed") or not _VOWEL.search(word, 0, match.start()):
        return word
    if word.endswith("ied"):
        return word[:-2] if len(word) > 4 else word[:-1]
    base = word[: match.start()]
    if base.endswith(("at", "bl")):
        return base + "e"
    if base.endswith(_DOUBLES):
        return base if len(base) == 3 and base[0] in "aeo" else base[:-1]
    if _SHORT_END.search(base) and _region(base) == len(base):
        return base + "e"
    return base


@lru_cache(maxsize=32768)
def stem(word: str) -> str:
    """A key that the forms of a folded `word` share: bean, beans; soak, soaked, soaking.

    Used for finding passages, where joining too much costs a rank; names use `singular`. Anything
    that is not all letters comes back as it is.
    """
    irregular = _FORMS.get(word)
    if irregular is not None:
        return irregular
    word = singular(word)
    if len(word) < 4 or not word.isalpha() or word in _WHOLE:
        return word
    word = _without_verb_ending(word)
    # `singular` made "li" of "ly"; only after these letters does it make an adverb.
    if word.endswith("li") and len(word) > 5 and word[-3] in "cdeghkmnrt":
        word = word[:-2]
    for ending in ("ation", "ator", "ate"):
        base = word.removesuffix(ending)
        if base != word and len(base) >= 4 and base[-1] not in "eo":  # "reheate" is no verb in -ate
            return base
    if word[-1] == "e":
        first = _region(word)
        last = len(word) - 1
        if _region(word, first) <= last or (first <= last and not _SHORT_END.search(word, 0, last)):
            return word[:-1]
    return _y_to_i(word)
