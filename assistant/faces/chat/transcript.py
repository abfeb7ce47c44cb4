"""A pasted chat or list of questions -> the messages in it, without times and names."""

from __future__ import annotations


def messages(text: str) -> list[str]:
    """The texts of the messages, in order. The readers of the inbox know the usual exports."""
    from assistant.inbox.readers import read_bytes
    from assistant.inbox.readers.forms import Options

    made = read_bytes(text.encode("utf-8", "replace"), "paste", Options())
    return [message.text for message in made if message.text.strip()]
