"""What Enter makes of what is typed: a reading, a note or the minutes, kept by the run."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from player import keys
from player.run.agenda import LONGEST_RUN_MINUTES
from player.run.entry import EntryError, parse_number
from player.run.live import LiveRun
from player.windows.controls.entry_line import EntryLine
from player.windows.controls.measuring import MeterKeys
from player.windows.controls.not_kept import Refused
from player.windows.controls.notices import BUSY, DARK, Notices
from readings.visit.visit import VisitError

UNFINISHED = "Enter keeps what was typed; Delete erases it. Then go on or back."
UNFINISHED_PASTE = "Enter keeps what was typed; Delete erases it. Then paste."
WHAT_NEXT = " Backspace brings it back, Delete forgets it."
NO_PHOTO = "Type the name of the photo's file; Delete and Tab go back."


class EntryKeeper:
    """Gives what is typed to the run; what cannot be kept is set apart, and shown as not kept.

    Args:
        run: keeps it.
        entry: the line that is typed.
        notices: tell why something was not kept.
        meter: keeps a value again that it gave and that could not be kept.
    """

    def __init__(self, run: LiveRun, entry: EntryLine, notices: Notices, meter: MeterKeys) -> None:
        self._run = run
        self._entry = entry
        self._notices = notices
        self._meter = meter

    def unfinished(self) -> bool:
        """Whether a reading was typed that is not kept yet: it is set apart, and that is told."""
        entry = self._entry
        if entry.reading.strip():
            entry.set_apart(entry.picture)
        elif entry.not_kept.pending("reading", entry.picture) is None:
            entry.take_reading()
            return False
        self._notices.warn(UNFINISHED)
        return True

    def keep_other(self) -> None:
        """Keep what is typed that is no reading; with nothing typed, what was not kept before.

        Raises:
            VisitError, EntryError: it could not be kept, and is set apart.
        """
        entry, purpose = self._entry, self._entry.purpose
        if not entry.text.strip():
            entry.put_back(entry.not_kept.again(purpose, purpose))
        try:
            kept = self._keep_note() if purpose == "note" else self._keep_minutes()
        except (EntryError, VisitError):
            entry.set_apart(purpose)
            raise
        if kept:
            entry.finish()

    def _keep_note(self) -> bool:
        note = self._entry.note
        if note.strip() == keys.PHOTO.strip():
            self._notices.warn(NO_PHOTO)
            return False
        self._run.note(note, self._entry.note_to)
        return True

    def keep_what_is_left(self) -> None:
        """Keep every note that was begun: the run ends. What cannot be kept is told in full."""
        entry = self._entry
        notes = [(each.text, each.note_to) for each in entry.not_kept.take("note")]
        notes.append((entry.note, entry.note_to))
        for text, begun_at in notes:
            bare = text.strip() in ("", keys.PHOTO.strip())
            if not bare and not self._notices.attempt(partial(self._run.note, text, begun_at)):
                self._notices.warn(f"{self._notices.alert} The note: {text.strip()}")

    def _keep_minutes(self) -> bool:
        """Take the minutes that there are; none, or 0, goes back to the order of the file."""
        run, entry, text = self._run, self._entry, self._entry.text.strip()
        minutes = parse_number(text.removesuffix("min")) if text else 0
        if not 0 <= minutes <= LONGEST_RUN_MINUTES:
            raise EntryError(f"The time is 0 to {LONGEST_RUN_MINUTES:g} minutes.")
        if minutes or run.agenda.given is not None:
            begun = bool(entry.reading) or bool(entry.not_kept.of("reading"))
            run.take_minutes(minutes or None, stay=begun or self._meter.busy)
        return True

    def keep_reading(self, refused: Refused | None = None) -> bool:
        """Keep what is typed, or what was refused before, for the picture on screen.

        False where it was not kept: then it is set apart, and why is told.

        Raises:
            VisitError, EntryError: the reading itself or only what comes after it could not be
                kept.
        """
        run, not_kept = self._run, self._entry.not_kept
        if refused is None:
            refused = Refused("reading", self._entry.take_reading(), self._entry.picture)
        if run.screen.due or run.step is None or run.step.read is None:
            refused = replace(refused, picture=None)  # never to be kept by a mere Enter
        before = run.keeping.taken
        try:
            if refused.value is None:
                taken = run.enter(refused.text)
            else:
                taken = run.may_read()
                if taken:
                    self._meter.keep(refused.value)
        except (VisitError, EntryError):
            if run.keeping.taken == before:
                not_kept.add(refused)
            raise
        if taken:
            not_kept.kept("reading", refused.text)
        else:
            not_kept.add(refused)
            self._notices.warn_of_refusal()
            if run.screen.due and refused.text.strip():
                self._notices.warn(self._notices.alert + WHAT_NEXT)
        return taken

    def paste(self, text: str) -> None:
        """Keep several values, for as many steps; why not is told."""
        if self._run.screen.blacked_out:
            self._notices.warn(DARK)
        elif self._meter.busy:
            self._notices.warn(BUSY)
        elif self.unfinished():
            self._notices.warn(UNFINISHED_PASTE)
        else:
            self._notices.attempt(lambda: self._paste(text))

    def _paste(self, text: str) -> None:
        if not self._run.paste(text):
            self._notices.warn_of_refusal()
