"""What the chat keeps in the user's data folder: history, the question log, what is switched on."""

from __future__ import annotations

import contextlib
import datetime
import os
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from assistant.answer import Answer
    from assistant.inbox.mask import Masker

_VARIABLE = "ASSISTANT_DATA"


def data_folder() -> Path:
    """The user's data folder for this program; ASSISTANT_DATA names another."""
    named = os.environ.get(_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("lunch-hour-assistant", appauthor=False)


class Switches(msgspec.Struct, frozen=True):
    """What the user has switched on or off: history is kept unless told, the log only when told."""

    history: bool = True
    log: bool = False


class Keep:
    """Files in one folder, made when first needed, readable by the user alone.

    A folder that cannot be written costs the history, never an answer.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.switches = self._read()

    @property
    def history(self) -> Path:
        """The file of lines typed, in the form that the line editor reads."""
        return self.folder / "history"

    @property
    def log(self) -> Path:
        """The file of questions, in the form that `assistant gaps` reads."""
        return self.folder / "questions.jsonl"

    @property
    def _left(self) -> Path:
        return self.folder / "left.json"

    @property
    def _settings(self) -> Path:
        return self.folder / "chat.json"

    def _read(self) -> Switches:
        try:
            return msgspec.json.decode(self._settings.read_bytes(), type=Switches)
        except (OSError, msgspec.DecodeError):
            return Switches()

    def switch(self, *, history: bool | None = None, log: bool | None = None) -> bool:
        """Switch something on or off, now and later. Returns whether that could be kept."""
        now = self.switches
        self.switches = Switches(
            history=now.history if history is None else history,
            log=now.log if log is None else log,
        )
        try:
            self.prepare()
            self._settings.write_bytes(msgspec.json.encode(self.switches))
        except OSError:
            return False
        return True

    def prepare(self) -> None:
        """Make the folder and the history file. Raises OSError where that cannot be done."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if self.switches.history and not self.history.exists():
            self.history.touch(mode=0o600)

    def leave_behind(self, state: bytes) -> None:
        """Keep what a chat is to go on with if its window dies, unless history is off."""
        if not self.switches.history:
            self.forget()
            return
        with contextlib.suppress(OSError):
            self.prepare()
            made = self._left.with_suffix(".new")
            made.touch(mode=0o600)
            made.write_bytes(state)
            made.replace(self._left)

    def left_behind(self) -> bytes:
        """What the chat before left behind; nothing where it was left in good order."""
        try:
            return self._left.read_bytes()
        except OSError:
            return b""

    def forget(self) -> None:
        """The chat is left in good order."""
        with contextlib.suppress(OSError):
            self._left.unlink()

    def asked(self, answer: Answer, today: datetime.date, mask: Masker) -> str:
        """Add a question to the log. Returns why it could not be added, in words, or nothing.

        `mask` takes names, addresses and numbers out of it before it is written.
        """
        from assistant.gaps import LogError, record

        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            record(self.log, answer, today, mask)
        except OSError as error:
            return f"cannot write {self.log}: {error.strerror or error}"
        except LogError as error:
            return str(error)
        return ""
