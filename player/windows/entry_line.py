"""What the operator types: a reading, a note or a time, until it is kept in the visit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from player import keys
from player.entry import EntryError, parse_number
from player.pasting import is_several
from player.run import LiveRun
from player.run_time import LONGEST
from player.windows.measuring import Measuring
from player.windows.step_list import StepList
from player.windows.telling import BUSY, DARK, Telling

Line = Literal["reading", "note", "minutes"]
NUMERIC = ("luminance", "colour", "count", "milliseconds", "tally")


class EntryLine(Telling):
    """Takes typed and pasted text; keeps what is on the line until it is kept in the visit."""

    def __init__(
        self, run: LiveRun, measuring: Measuring | None, clock: Callable[[], float]
    ) -> None:
        super().__init__(run, measuring, clock)
        self.typing: Line = "reading"
        """Which line is typed on now."""
        self._texts: dict[Line, str] = {"reading": "", "note": "", "minutes": ""}
        self.steps = StepList(run)

    @property
    def line(self) -> str:
        """What is typed of a reading."""
        return self._texts["reading"]

    @line.setter
    def line(self, text: str) -> None:
        self._texts["reading"] = text

    @property
    def note(self) -> str:
        """What is typed of a note."""
        return self._texts["note"]

    @property
    def noting(self) -> bool:
        """Whether a note is typed now."""
        return self.typing == "note"

    @property
    def typed(self) -> str:
        """What is on the line that is typed on now."""
        return self._texts[self.typing]

    @typed.setter
    def typed(self, text: str) -> None:
        self._texts[self.typing] = text

    # ---- what comes in

    def type(self, text: str) -> None:
        """Take typed characters."""
        if is_several(text):
            self.paste(text)
            return
        plain = keys.typed(text)
        if not plain or (plain == " " and self._tallies):
            return
        self._begin_anew()
        if self.typing != "reading":
            self.typed = (self.typed + plain)[: keys.LONGEST]
            return
        if self.steps.open:
            self.steps.type(plain)
        elif not self.run.finished:
            self._to_line(plain)

    def _to_line(self, plain: str) -> None:
        if self.run.blacked_out:
            self.alert = DARK
            return
        if not self.line and self._numeric and plain == keys.CLICKER_POINT:
            self._point_at = self._clock()
        self.line = (self.line + plain)[: keys.LONGEST]

    def paste(self, text: str) -> None:
        """Take pasted text: one value goes on the line, several to as many steps."""
        special = self.typing != "reading"
        self.steps.open = self.steps.open and special
        if special or not is_several(text):
            self.type(" ".join(text.split()))
            return
        self._begin_anew()
        if self.run.blacked_out:
            self.alert = DARK
        elif self.busy:
            self.alert = BUSY
        elif self.line.strip():
            self.alert = "Enter keeps what is typed; Delete erases it. Then paste."
        else:
            self.attempt(lambda: self._paste(text))

    def _paste(self, text: str) -> None:
        if not self.run.paste(text):
            self._refused()

    def _lone_point(self, now: float) -> bool:
        """Take a point off the line that nothing followed: it was a clicker's blackout."""
        if self._point_at is None or now - self._point_at < keys.POINT_WAITS:
            return False
        self._point_at = None
        alone = self.line == keys.CLICKER_POINT
        if alone:
            self.line = ""
        return alone

    # ---- what the step lets be typed

    @property
    def _numeric(self) -> bool:
        read = self.run.step.read if self.run.step else None
        return read is None or read.quantity in NUMERIC

    @property
    def _tallies(self) -> bool:
        step = self.run.step
        read = step.read if step else None
        return self.typing == "reading" and read is not None and read.quantity == "tally"

    @property
    def _counts(self) -> bool:
        """Whether keys change the picture by hand on this step."""
        return self.typing == "reading" and self.run.counting is not None

    # ---- what keys do to the line

    def _erase(self) -> None:
        self.typed = self.typed[:-1]

    def _clear(self) -> None:
        if not self.typed and self._tallies:
            self.run.untally()
        else:
            self.typed = ""

    def _toggle(self, line: Line) -> None:
        self.typing = "reading" if self.typing == line else line

    def _toggle_note(self) -> None:
        """Begin a note, or go back from whatever is typed that is no reading."""
        self._toggle("note" if self.typing == "reading" else self.typing)

    def _photo(self) -> None:
        """Begin a note that names a photo, or name one in the note on the way."""
        self.typing = "note"
        self.typed = f"{self.note.rstrip()} {keys.PHOTO}".lstrip()

    def _keep_note(self) -> None:
        if self.note.strip() == keys.PHOTO.strip():
            self.alert = "Type the name of the photo's file; Delete and Tab go back."
            return
        self.run.note(self.note)
        self.typed = ""
        self.typing = "reading"

    def _keep_minutes(self) -> None:
        """Take the minutes that there are; none, or 0, goes back to the order of the file."""
        minutes = parse_number(self.typed.strip().removesuffix("min")) if self.typed.strip() else 0
        if not 0 <= minutes <= LONGEST:
            raise EntryError(f"The time is 0 to {LONGEST:g} minutes.")
        if minutes or self.run.given is not None:
            self.run.take_minutes(minutes or None, stay=bool(self.line) or self.busy)
        self.typed = ""
        self.typing = "reading"
