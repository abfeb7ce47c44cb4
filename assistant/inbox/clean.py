"""What a message's sender wrote anew, told apart from quotes, signatures and mails sent on."""

from __future__ import annotations

import re
from collections.abc import Mapping

import msgspec

from assistant.corpus.records import WordList


class Parts(msgspec.Struct, frozen=True, kw_only=True):
    """A message's text in its parts, each with its own lines; `words` is what was written anew."""

    words: str
    quoted: str = ""
    forwarded: str = ""
    signature: str = ""


class Marks(msgspec.Struct, frozen=True, kw_only=True):
    """The word lists of corpus/inbox/words.yaml that tell the parts apart."""

    sign_offs: frozenset[str]
    devices: tuple[str, ...]
    notices: tuple[str, ...]
    headers: frozenset[str]
    forwards: tuple[str, ...]
    originals: tuple[str, ...]
    below: tuple[str, ...]
    programme: str = ""


def make_marks(lists: Mapping[str, WordList], programme: str) -> Marks:
    """The marks from the corpus's word lists; a list that is missing is empty."""

    def words(name: str) -> tuple[str, ...]:
        found = lists.get(f"inbox-{name}")
        return tuple(word.lower() for word in found.words) if found else ()

    return Marks(
        sign_offs=frozenset(words("sign-offs")),
        devices=words("device-lines"),
        notices=words("notices"),
        headers=frozenset(words("headers")),
        forwards=words("forwards"),
        originals=words("originals"),
        below=words("look-below"),
        programme=programme.lower(),
    )


_WROTE = re.compile(
    r"(?:on|am|le|el)\b.{6,300}\b(?:wrote|writes|schrieb|écrit|escribió)\s?:?\s*\Z", re.I
)
_RULE = re.compile(r"[-_=*]{3,}\s*(?P<title>[^-_=*]*?)\s*[-_=*]*\Z")
_QUOTE = re.compile(r"\s*[>|]")
_DELIMITER = re.compile(r"--\s?\Z")
_AFTERTHOUGHT = re.compile(r"(?:p\.?\s?p?\.?\s?s\b|one more|oh,? )", re.IGNORECASE)
# A line of a signature is short and asks nothing.
_SHORT = 9


def parts(text: str, marks: Marks) -> Parts:
    """Tell the parts of a message's text apart. Takes time linear in the text.

    A signature ends where something stands that none would hold (a long line, a question, a "PS"),
    so that no new words are lost with it.
    """
    lines = text.split("\n")
    kinds = ["words"] * len(lines)
    at = _bodies(lines, kinds, marks)
    _signatures(lines[:at], kinds, marks)
    picked: dict[str, list[str]] = {"words": [], "quoted": [], "forwarded": [], "signature": []}
    for line, kind in zip(lines, kinds, strict=True):
        picked[kind].append(line)
    joined = {kind: "\n".join(found).strip() for kind, found in picked.items()}
    return Parts(**joined)


def _bodies(lines: list[str], kinds: list[str], marks: Marks) -> int:
    """Mark quoted lines and everything under a forwarding mark; returns where the latter begins."""
    for i, line in enumerate(lines):
        if _QUOTE.match(line):
            kinds[i] = "quoted"
            continue
        flat = line.strip()
        if not flat:
            continue
        if len(flat) < 320 and _WROTE.match(flat):
            kinds[i] = "quoted"
            continue
        # The line "On … wrote:" may be wrapped.
        if flat.lower().startswith("on ") and i + 1 < len(lines) and len(flat) < 200:
            both = f"{flat} {lines[i + 1].strip()}"
            if len(both) < 320 and _WROTE.match(both):
                kinds[i] = kinds[i + 1] = "quoted"
                continue
        body = _body(lines, i, flat, marks)
        if body:
            for j in range(i, len(lines)):
                kinds[j] = body
            return i
    return len(lines)


def _body(lines: list[str], i: int, flat: str, marks: Marks) -> str:
    """ "forwarded" or "quoted" where line `i` begins a mail inside the mail; else ""."""
    if len(flat) < 120:
        rule = _RULE.match(flat)
        title = (rule["title"] if rule else flat.rstrip(":")).lower()
        if title in marks.forwards:
            return "forwarded"
        if title in marks.originals and (rule or flat.endswith(":")):
            return "quoted"
    if _header(flat, marks) in {"from", "date", "sent"}:
        named = {_header(line.strip(), marks) for line in lines[i : i + 6]} - {""}
        if len(named) >= 3:
            return "quoted"
    return ""


def _header(line: str, marks: Marks) -> str:
    name, colon, rest = line[:200].partition(":")
    name = name.strip("* ").lower()
    return name if colon and rest.strip() and name in marks.headers else ""


def _signatures(lines: list[str], kinds: list[str], marks: Marks) -> None:
    at = 0
    while at < len(lines):
        line = lines[at]
        flat = line.strip()
        if kinds[at] != "words" or not flat:
            at += 1
            continue
        low = flat.lower()
        if low.startswith(marks.devices) and len(flat) < 120:
            kinds[at] = "signature"
        elif low.startswith(marks.notices) and at > 0:
            while at < len(lines) and lines[at].strip() and kinds[at] == "words":
                kinds[at] = "signature"
                at += 1
            continue
        elif _DELIMITER.match(line) or _sign_off(flat, marks):
            kinds[at] = "signature"
            end = at + 1
            while end < len(lines) and end < at + 9 and _in_signature(lines[end], kinds[end]):
                kinds[end] = "signature"
                end += 1
            at = end
            continue
        at += 1
    _closing_block(lines, kinds)


def _sign_off(line: str, marks: Marks) -> bool:
    """Whether a line is a closing ("Kind regards,"), with at most a name behind it."""
    if len(line) > 60:
        return False
    low = re.sub(r"[^\w\s']", " ", line.lower()).split()
    for size in range(min(4, len(low)), 0, -1):
        if " ".join(low[:size]) in marks.sign_offs:
            rest = line.split()[size:]
            named = line.split(",", 1)[1].split() if "," in line else rest
            return not rest or (
                len(rest) <= 3 and rest == named and all(w[:1].isupper() for w in rest)
            )
    return False


def _in_signature(line: str, kind: str) -> bool:
    flat = line.strip()
    if kind != "words" or _AFTERTHOUGHT.match(flat):
        return False
    if "?" in flat or "!" in flat:
        return False
    return len(flat.split()) <= _SHORT and not re.search(r"[a-z]{3,}\.(?:\s|\Z)", flat)


def _closing_block(lines: list[str], kinds: list[str]) -> None:
    """The last lines, under an empty one, that are only a name, a post and a number."""
    end = len(lines)
    while end and (not lines[end - 1].strip() or kinds[end - 1] != "words"):
        end -= 1
    start = end
    while start and lines[start - 1].strip() and kinds[start - 1] == "words":
        start -= 1
    block = lines[start:end]
    before = any(lines[i].strip() and kinds[i] == "words" for i in range(start))
    if not before or len(block) > 5:
        # A name alone on the last line, under the text itself.
        if end >= 2 and end - start > 1 and _name_line(lines[end - 1]):
            kinds[end - 1] = "signature"
        return
    if all(_name_line(line) for line in block):
        for i in range(start, end):
            kinds[i] = "signature"
    elif len(block) > 1 and _name_line(block[-1]):
        kinds[end - 1] = "signature"


def _name_line(line: str) -> bool:
    """Whether a line is a name or a post: a few capitalized words, no sentence."""
    flat = line.strip()
    if not flat or len(flat) > 70 or flat[-1] in "?!;:" or "?" in flat:
        return False
    words = re.findall(r"[^\W\d_][\w'’-]*", flat)
    if not 1 <= len(words) <= 7 or _AFTERTHOUGHT.match(flat):
        return False
    if flat[-1] == "." and len(words) > 3:
        return False
    capital = sum(w[0].isupper() for w in words)
    # A line all in capitals is shouting, not signing.
    if flat.isupper() and len(words) > 2:
        return False
    return capital >= len(words) - 1 and bool(words[0][0].isupper())


def looked_below(made: Parts, marks: Marks) -> bool:
    """Whether a message's own words only point at the mail sent on below them."""
    words = made.words.lower()
    return bool(made.forwarded) and (
        len(words.split()) < 4 or any(mark in words for mark in marks.below)
    )


def forwarded_words(made: Parts, marks: Marks) -> str:
    """The words of a mail sent on, without its headers; "" for one of the programme's own."""
    lines = made.forwarded.split("\n")[1:]
    kept: list[str] = []
    inside = True
    for line in lines:
        name = _header(line.strip(), marks) if inside else ""
        if name == "from" and marks.programme and _own(line, marks.programme):
            return ""
        if inside and (name or not line.strip()):
            continue
        inside = False
        kept.append(line)
    return "\n".join(kept).strip()


def _own(line: str, programme: str) -> bool:
    squeezed = re.sub(r"[^a-z]", "", line.lower())
    return re.sub(r"[^a-z]", "", programme) in squeezed
