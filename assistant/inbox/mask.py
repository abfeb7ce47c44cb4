"""Names, addresses, phones and staff numbers, masked in everything that is printed or written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from assistant.corpus.corpus import Corpus
from assistant.corpus.records import WordList
from assistant.inbox.message import Item
from assistant.retrieval.words import fold

_MAIL = re.compile(r"[\w.+%-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){0,4}")
_PHONE = re.compile(r"(?<![\w.,/])\+?\(?\d{1,4}\)?(?:[ .-]{1,2}\(?\d{2,5}\)?){1,5}(?![\w/])")
_DATE = re.compile(r"\d{4}-\d\d-\d\d\Z")
_STREET = re.compile(
    r"\b\d{1,6}\s(?:[A-Z][\w.]{0,20}\s){1,4}"
    r"(?:Street|St|Avenue|Ave|Road|Rd|Lane|Ln|Drive|Dr|Court|Ct|Boulevard|Blvd|Place|Way)\b\.?"
)
# Who sent a question or is to hear of it, told before it: "from Priya and Lea: …".
_SENDER = re.compile(r"\s{0,9}(?:from|for)\s[^:.?!\n]{1,60}(?=:)", re.IGNORECASE)
# What stands behind a word: more names, then two words that may say that somebody asked.
_AFTER = re.compile(
    r"(?:\s(?:(?:and|&)\s)?[^\W\d_a-z][^\W\d_]{1,20}){0,3},?\s(?:also\s)?"
    r"(([a-z']{1,20})(?:\s[a-z']{1,20})?)"
)
_GAP = re.compile(r"[,.:]?\s{1,4}")
_WORD = re.compile(r"[^\W\d_](?:[\w'’]*\w)?")
_NAME = re.compile(r"[^\W\d_][^\W\d_'’-]*(?:['’-][^\W\d_]+)*")


class Masker:
    """Masks texts. `shown` (asked for by the user) switches it off."""

    def __init__(self, corpus: Corpus, senders: Iterable[str], shown: bool = False) -> None:
        lists = corpus.lists
        self.shown = shown
        self.never = words_of(lists, "inbox-never-names") | food_words(corpus)
        relations = words_of(lists, "inbox-name-cues") | words_of(lists, "inbox-name-sources")
        self.cues = relations | words_of(lists, "inbox-greetings")
        self.relations = {cue for cue in relations if " " not in cue}
        self.says = words_of(lists, "inbox-name-says")
        self.tellers = self.never | words_of(lists, "inbox-tellers")
        self.greetings = {g.split()[-1] for g in words_of(lists, "inbox-greetings")}
        self.first = {cue.split()[-1] for cue in self.cues}
        marks = sorted(map(re.escape, words_of(lists, "inbox-staff-words")), key=len)
        staff = "|".join(marks) or "staff"
        self.staff = re.compile(
            rf"\b({staff})(\s*(?:number|no\.?|num|id|#|:)?\s*[#:]?\s*)(?=[\w-]{{0,12}}\d)[\w-]{{2,14}}",
            re.IGNORECASE,
        )
        self.people: dict[str, int] = {}
        self.known: set[str] = set()
        for sender in senders:
            if sender:
                self.people.setdefault(sender.lower(), len(self.people) + 1)
                self.known |= self._names(sender)

    def person(self, sender: str) -> str:
        """Who wrote: `person 3` for the same sender throughout, or the name where it is shown."""
        if self.shown or not sender:
            return sender
        number = self.people.setdefault(sender.lower(), len(self.people) + 1)
        return f"person {number}"

    def text(self, text: str, sender: str = "") -> str:
        """`text` with everything personal replaced by `[name]`, `[address]`, `[phone]`, `[number]`.

        Masking twice changes nothing.
        """
        if self.shown:
            return text
        text = _MAIL.sub("[address]", text)
        text = _STREET.sub("[address]", text)
        text = _PHONE.sub(_phone, text)
        text = self.staff.sub(lambda m: f"{m[1]}{m[2]}[number]", text)
        return self._without_names(text, self._names(sender, own=True))

    def _without_names(self, text: str, own: set[str]) -> str:
        out: list[str] = []
        at = 0
        before = ""
        masked_end = -1
        sender = _SENDER.match(text)
        head = sender.end() if sender else 0
        for found in _WORD.finditer(text):
            word = found.group()
            low = fold(word.removesuffix("'s").removesuffix("’s"))
            capital = word[0].isupper()
            if word == "address" and text[found.start() - 1 : found.start()] == "[":
                before = low
                continue
            name = low in own or (
                capital
                and low not in self.never
                and (
                    low in self.known
                    or (
                        (not (word.isupper() and len(word) > 1))
                        and self._cued(before, text, found.start())
                    )
                    or (
                        low not in self.tellers
                        and (found.start() < head or self._told(text, found))
                    )
                    or (masked_end >= 0 and text[masked_end : found.start()] in {" ", ". ", "-"})
                )
            )
            if name and text[found.start() - 1 : found.start()] != "[":
                out.append(text[at : found.start()])
                joined = masked_end >= 0 and text[masked_end : found.start()] in {" ", ". ", "-"}
                if joined:
                    out.pop()
                out.append("" if joined else "[name]")
                at = found.start() + len(word.removesuffix("'s").removesuffix("’s"))
                masked_end = at
            else:
                masked_end = -1
            before = low
        out.append(text[at:])
        return "".join(out)

    def _cued(self, before: str, text: str, start: int) -> bool:
        """Whether the words before announce a name: "Regards," or "my name is"."""
        if before not in self.first:
            return False
        # "Hi! Sorry …" and "Morning,\n\nBeen thinking" announce no name; "Regards,\nStan" does.
        gap = re.sub(r".*\w", "", text[max(0, start - 6) : start], flags=re.DOTALL)
        if not _GAP.fullmatch(gap) or ("\n" in gap and before in self.greetings):
            return False
        ahead = fold(re.sub(r"[^\w\s']", " ", text[max(0, start - 40) : start])).replace("'", "")
        flat = " ".join(ahead.split())
        return any(flat == cue or flat.endswith(f" {cue}") for cue in self.cues)

    def _told(self, text: str, found: re.Match[str]) -> bool:
        """Whether a capital word is named as somebody: "Lea asked", "@Lea", "Lea's son"."""
        word = found.group()
        if text[found.start() - 1 : found.start()] == "@":
            return True
        after = _AFTER.match(text, found.end())
        if after is None or (word.isupper() and len(word) > 1):
            return False
        if word.endswith(("'s", "’s")):
            return after[2] in self.relations
        return after[1] in self.says or after[2] in self.says

    def _names(self, sender: str, own: bool = False) -> set[str]:
        """The words of a sender's name; of an address also its first part."""
        shown, _, address = sender.partition("<")
        source = shown if shown.strip(' "') else address
        if "@" in source:
            source = source.partition("@")[0].replace(".", " ").replace("_", " ")
        # What stands behind a dash or in brackets is a post, not a name.
        source = re.split(r"\s[-–|/(]", source)[0]
        words = {fold(w) for w in _NAME.findall(source) if len(w) > 1}
        # Somebody called Rosemary: her own name goes also where it is spelled like the herb.
        return {w for w in words if w not in self.never}


def _phone(found: re.Match[str]) -> str:
    text = found.group()
    groups = re.findall(r"\d+", text)
    digits = sum(map(len, groups))
    # 1000-1200 and 2026-10-06 are no telephone numbers.
    if digits < 7 or digits > 15 or _DATE.match(text) or [len(g) for g in groups] == [4, 4]:
        return text
    return "[phone]"


def words_of(lists: Mapping[str, WordList], ident: str) -> set[str]:
    """The words of a list of the corpus in small letters; none where there is no such list."""
    found = lists.get(ident)
    return {word.lower() for word in found.words} if found else set()


def food_words(corpus: Corpus) -> set[str]:
    """The words of every name in pantry, recipes and vocabulary."""
    names = [n for item in corpus.pantry.values() for n in (item.name, item.plural, *item.names)]
    names += [n for recipe in corpus.recipes.values() for n in (recipe.title, *recipe.names)]
    names += [n for term in corpus.terms.values() for n in (term.name, *term.names)]
    names += [corpus.programme.name, corpus.programme.employer]
    return {fold(word) for name in names for word in _NAME.findall(name)}


def masker(corpus: Corpus, items: Iterable[Item], shown: bool = False) -> Masker:
    """A masker that knows the senders of an inbox."""
    return Masker(corpus, (item.message.sender for item in items), shown)
