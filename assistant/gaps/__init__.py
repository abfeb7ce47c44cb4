"""What the corpus could not answer: a log that the user chose to keep, and what it lacks.

Off until asked for. `record` writes a line for each question, `read` reads the logs, `find` groups
what went unanswered, `drafts` makes of each group the record that would answer it.
"""

from assistant.gaps.log import LogError, record, usable

__all__ = ["LogError", "record", "usable"]
