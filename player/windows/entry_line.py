"""What the operator types: a reading, a note or a time, until it is kept in the visit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from player import keys
from player.run.agenda import LONGEST
from player.run.entry import EntryError, parse_number
from player.run.live import LiveRun
from player.run.pasting import is_several
from player.windows.measuring import Measuring
from player.windows.not_kept import Line, NotKept, Refused
from player.windows.step_list import StepList
from player.windows.telling import BUSY, DARK, Telling
from readings.visit.records import Showing
from readings.visit.visit import VisitError

UNFINISHED = "Enter keeps what was typed; Delete erases it. Then go on or back."
WHAT_NEXT = " Backspace brings it back, Delete forgets it."
NUMERIC = ("luminance", "colour", "count", "milliseconds", "tally")


class EntryLine(Telling):
    """Takes typed and pasted text; what cannot be kept is set apart, and shown as not kept."""

    def __init__(
        self, run: LiveRun, measuring: Measuring | None, clock: Callable[[], float]
    ) -> None:
        super().__init__(run, measuring, clock)
        self.typing: Line = "reading"
        """Which line is typed on now."""
        self._texts: dict[Line, str] = {"reading": "", "note": "", "minutes": ""}
        self.not_kept = NotKept(clock)
        self._note_to: tuple[int, Showing | None] = (0, None)
        """The step and the showing that were up when the note was begun."""
        self._picture_seen: object = None
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
        if self.noting and text and not self.typed:
            self._note_to = (self.run.number, self.run.screen.showing)
        self._texts[self.typing] = text

    @property
    def note_to(self) -> int | None:
        """The step that the note on the line was begun at, where it is no longer on screen."""
        number = self._note_to[0]
        return number if self.note and self.noting and number != self.run.number else None

    # ---- what is refused

    @property
    def _picture(self) -> object:
        """What is on screen, as far as a reading of it is concerned."""
        return self.run.number, self.run.screen.pattern

    def _at_a_key(self) -> None:
        """Where another picture has come up, Enter no longer keeps what was refused before it."""
        self.not_kept.at_a_key()
        if self._picture != self._picture_seen:
            self._picture_seen = self._picture
            self.not_kept.part("reading")

    def _set_apart(self, picture: object) -> None:
        """Take what is typed off its line, as not kept."""
        text, self.typed = self.typed, ""
        note_to = self._note_to if self.noting else None
        self.not_kept.add(Refused(self.typing, text, picture, note_to=note_to))

    def _put_back(self, refused: Refused | None) -> None:
        """Take what was set apart onto its line again."""
        if refused is not None:
            self.typed = refused.text
            self._note_to = refused.note_to or self._note_to

    def _unfinished(self) -> bool:
        """Whether a reading was typed that is not kept yet: it is set apart, and that is told."""
        if self.line.strip():
            self._set_apart(self._picture)
        elif self.not_kept.pending("reading", self._picture) is None:
            self.line = ""
            return False
        self.alert = UNFINISHED
        return True

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
        self._at_a_key()
        if self.typing == "reading" and self.steps.open:
            self.steps.type(plain)
            return
        if self.typing == "reading" and self.run.screen.blacked_out:
            self.alert = DARK  # it may be finished once the picture is back
        point = plain == keys.CLICKER_POINT and self.typing == "reading" and not self.line
        if point and self._numeric:
            self._point_at = self._clock()
        self.typed = (self.typed + plain)[: keys.LONGEST]

    def paste(self, text: str) -> None:
        """Take pasted text: one value goes on the line, several to as many steps."""
        special = self.typing != "reading"
        self.steps.open = self.steps.open and special
        if special or not is_several(text):
            self.type(" ".join(text.split()))
            return
        self._begin_anew()
        if self.run.screen.blacked_out:
            self.alert = DARK
        elif self.busy:
            self.alert = BUSY
        elif self._unfinished():
            self.alert = "Enter keeps what was typed; Delete erases it. Then paste."
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
        return self.typing == "reading" and self.run.counting.way is not None

    # ---- what keys do to the line

    def _erase(self) -> None:
        """Take the last character off; on an empty line, off what was not kept last."""
        if not self.typed:
            self._put_back(self.not_kept.bring_back(self.typing))
        self.typed = self.typed[:-1]

    def _clear(self) -> None:
        """Empty the line; where it is empty, forget what was not kept, or take a press back."""
        if self.typed:
            self.typed = ""
        elif not self.not_kept.forget(self.typing) and self._tallies:
            self.run.untally()

    def _toggle(self, line: Line) -> None:
        self.not_kept.forget("minutes")
        self.typing = "reading" if self.typing == line else line

    def _toggle_note(self) -> None:
        """Begin a note, or go back from whatever is typed that is no reading."""
        self._toggle("note" if self.typing == "reading" else self.typing)

    def _photo(self) -> None:
        """Begin a note that names a photo, or name one in the note on the way."""
        self.typing = "note"
        self.typed = f"{self.note.rstrip()} {keys.PHOTO}".lstrip()

    def _keep_special(self) -> None:
        """Keep what is typed that is no reading; with nothing typed, what was not kept before."""
        line = self.typing
        if not self.typed.strip():
            self._put_back(self.not_kept.again(line, line))
        try:
            kept = self._keep_note() if line == "note" else self._keep_minutes()
        except (EntryError, VisitError):
            self._set_apart(line)
            raise
        if kept:
            self.not_kept.kept(line, self.typed)
            self.typed = ""
            self.typing = "reading"

    def _keep_note(self) -> bool:
        if self.note.strip() == keys.PHOTO.strip():
            self.alert = "Type the name of the photo's file; Delete and Tab go back."
            return False
        self.run.note(self.note, self._note_to)
        return True

    def _keep_minutes(self) -> bool:
        """Take the minutes that there are; none, or 0, goes back to the order of the file."""
        minutes = parse_number(self.typed.strip().removesuffix("min")) if self.typed.strip() else 0
        if not 0 <= minutes <= LONGEST:
            raise EntryError(f"The time is 0 to {LONGEST:g} minutes.")
        if minutes or self.run.agenda.given is not None:
            stays = bool(self.line) or self.busy or bool(self.not_kept.of("reading"))
            self.run.take_minutes(minutes or None, stay=stays)
        return True

    def _keep_reading(self, refused: Refused | None = None) -> bool:
        """Keep what is typed, or what was refused before, for the picture on screen.

        False where it was not kept: then it is set apart, and why is told. Raises VisitError or
        EntryError, where the reading itself or only what comes after it could not be kept.
        """
        run = self.run
        if refused is None:
            text, self.line = self.line, ""
            refused = Refused("reading", text, self._picture)
        if run.screen.due or run.step is None or run.step.read is None:
            refused = replace(refused, picture=None)  # never to be kept by a mere Enter
        before = run.keeping.taken
        try:
            if refused.value is None or self.measuring is None:
                taken = run.enter(refused.text)
            else:
                taken = run.may_read()
                if taken:
                    self.measuring.keep(refused.value)
        except (VisitError, EntryError):
            if run.keeping.taken == before:
                self.not_kept.add(refused)
            raise
        if taken:
            self.not_kept.kept("reading", refused.text)
        else:
            self.not_kept.add(refused)
            self._refused()
            if run.screen.due and refused.text.strip():
                self.alert += WHAT_NEXT
        return taken
