"""Verbs after the name of a dish or a food: "the pancakes freeze", "the soup freezes"."""

from __future__ import annotations


def is_plural(name: str) -> bool:
    """Whether a dish's or a food's name takes a verb in the plural.

    The head of a name stands before "with" or "in": the hummus with vegetables is one thing.
    """
    words = name.split()
    end = min((words.index(word) for word in ("with", "in") if word in words), default=len(words))
    head = words[end - 1] if end else ""
    return head.endswith("s") and not head.endswith(("ss", "us", "is"))


def agree(name: str, one: str, many: str) -> str:
    """`one` after a name in the singular, `many` after one in the plural."""
    return many if is_plural(name) else one
