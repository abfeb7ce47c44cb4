"""A pasted chat or list of questions -> the messages in it, without times and names."""

from __future__ import annotations

import re

_NAME = r"[A-Z][\w.'’-]{0,20}(?: [A-Z][\w.'’-]{0,20}){0,2}"
_TIME = r"\[?\d{1,2}:\d\d(?::\d\d)?(?: ?[AaPp]\.?[Mm]\.?)?\]?"
# "Kim Lee: is it vegan?", "Kim to Everyone: …"; capitalized words, so that "Red lentil soup: …" is
# no name.
_SENDER = re.compile(rf"{_NAME}(?: to {_NAME})?(?: \([\w ]{{1,20}}\))?: (?:{_TIME} )?(?=\S)")
# A line that only says who wrote, and when.
_HEADING = re.compile(rf"(?:{_NAME}\s+{_TIME}|{_TIME}\s+{_NAME}):?\Z")
_BULLET = re.compile(r"(?:[-*•–]|\d{1,2}[.)])\s+(?=\S)")


def messages(text: str) -> list[str]:
    """The texts of the messages, in order. The readers of the inbox know the usual exports."""
    from assistant.inbox.readers import read_bytes
    from assistant.inbox.readers.forms import Options

    made = read_bytes(text.encode("utf-8", "replace"), "paste", Options())
    found = [message.text.strip() for message in made if message.text.strip()]
    found = [_BULLET.sub("", one, count=1) for one in found if not _HEADING.match(one)]
    if len(found) > 1 and all(_SENDER.match(one) for one in found):
        return [_SENDER.sub("", one, count=1) for one in found]
    return found
