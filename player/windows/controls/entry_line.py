"""What the operator types: the text, what it is for, and what was refused of it before."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from player import keys
from player.windows.controls.not_kept import NotKept, Purpose, Refused
from readings.visit.records import Showing


class OnScreen(Protocol):
    """What is on the pattern screen, as far as what is typed belongs to it."""

    @property
    def number(self) -> int:
        """Number of the step."""
        ...

    @property
    def pattern(self) -> object:
        """The picture."""
        ...

    @property
    def showing(self) -> Showing | None:
        """Its record, where it has one."""
        ...

    @property
    def asks(self) -> str:
        """What is asked of it, where that changes while it stands."""
        ...


class EntryLine:
    """One line for each purpose, of which one is typed on. It keeps nothing in the visit.

    Args:
        screen: what is on screen while something is typed.
        clock: seconds.
    """

    def __init__(self, screen: OnScreen, clock: Callable[[], float]) -> None:
        self._screen = screen
        self._clock = clock
        self._purpose: Purpose = "reading"
        self._texts: dict[Purpose, str] = {"reading": "", "note": "", "minutes": ""}
        self._note_to: tuple[int, Showing | None] = (0, None)
        self._point_at: float | None = None
        self._picture_seen: object = None
        self.not_kept = NotKept(clock)
        """What was ended with Enter and could not be kept."""

    # ---- what stands on it

    @property
    def purpose(self) -> Purpose:
        """What is typed now."""
        return self._purpose

    @property
    def text(self) -> str:
        """What is on the line that is typed on now."""
        return self._texts[self._purpose]

    @property
    def reading(self) -> str:
        """What is typed of a reading."""
        return self._texts["reading"]

    @property
    def selected(self) -> str:
        """What was refused and stands on the empty line, selected; empty where nothing does.

        Enter tries it again, what is typed replaces it, and Backspace goes on typing it.
        """
        if self.text:
            return ""
        of = self.picture if self._purpose == "reading" else self._purpose
        found = self.not_kept.pending(self._purpose, of)
        return "" if found is None else found.text.strip()

    @property
    def note(self) -> str:
        """What is typed of a note."""
        return self._texts["note"]

    @property
    def note_to(self) -> tuple[int, Showing | None]:
        """The step and the showing that were up when the note was begun."""
        return self._note_to

    @property
    def note_to_other_step(self) -> int | None:
        """The step that the note on the line was begun at, where it is no longer on screen."""
        number = self._note_to[0]
        noting = self._purpose == "note" and bool(self.note)
        return number if noting and number != self._screen.number else None

    @property
    def picture(self) -> object:
        """What is on screen, as far as a reading of it is concerned."""
        return self._screen.number, self._screen.pattern, self._screen.asks

    # ---- what comes in

    def at_a_key(self) -> None:
        """A key was pressed. Where another picture has come up, Enter keeps none of before it."""
        self.not_kept.at_a_key()
        if self.picture != self._picture_seen:
            self._picture_seen = self.picture
            self.not_kept.part("reading")

    def type(self, text: str, *, point_waits: bool) -> None:
        """Take printable characters at the end of the line.

        Args:
            text: the characters; of all, the line holds at most `keys.LONGEST_LINE`.
            point_waits: whether a point at the beginning of a reading may be a clicker's blackout.
        """
        first = self._purpose == "reading" and not self.reading
        if point_waits and first and text == keys.CLICKER_POINT:
            self._point_at = self._clock()
        self._put((self.text + text)[: keys.LONGEST_LINE])

    def drop_point(self) -> None:
        """Something followed a point, which is therefore a decimal's."""
        self._point_at = None

    def lone_point(self, now: float) -> bool:
        """Whether nothing has followed a point for a while: it may be a clicker's blackout.

        It stays on the line, since a number may have begun with it; `take_point` takes it off.
        """
        if self._point_at is None or now - self._point_at < keys.POINT_WAITS:
            return False
        self._point_at = None
        return self.point_alone

    @property
    def point_alone(self) -> bool:
        """Whether a reading is begun with a point, and nothing else."""
        return self.reading == keys.CLICKER_POINT

    def take_point(self) -> None:
        """Take a point off the line that nothing has followed."""
        if self.point_alone:
            self._texts["reading"] = ""

    def erase(self) -> None:
        """Take the last character off; on an empty line, off what was not kept last."""
        if not self.text:
            self.put_back(self.not_kept.bring_back(self._purpose))
        self._put(self.text[:-1])

    def clear(self) -> bool:
        """Empty the line, or forget what was not kept of it; False where there was neither."""
        if self.text:
            self._put("")
            return True
        return self.not_kept.forget(self._purpose)

    def toggle(self, purpose: Purpose) -> None:
        """Type for another purpose, or for a reading again."""
        self.not_kept.forget("minutes")
        self._purpose = "reading" if self._purpose == purpose else purpose

    def toggle_note(self) -> None:
        """Begin a note, or go back from whatever is typed that is no reading."""
        self.toggle("note" if self._purpose == "reading" else self._purpose)

    def leave(self) -> bool:
        """Go back to the reading, the note staying on its line; whether anything else was typed."""
        if self._purpose == "reading":
            return False
        self._texts["minutes"] = ""
        self.toggle_note()
        return True

    def name_photo(self) -> None:
        """Begin a note that names a photo, or name one in the note on the way."""
        self._purpose = "note"
        self._put(f"{self.note.rstrip()} {keys.PHOTO}".lstrip())

    # ---- what becomes of it

    def take_reading(self) -> str:
        """Take the reading off its line, to be kept."""
        text, self._texts["reading"] = self._texts["reading"], ""
        return text

    def set_apart(self, picture: object) -> None:
        """Take what is typed off its line, as not kept at this picture; None: at none."""
        text, purpose = self.text, self._purpose
        self._put("")
        note_to = self._note_to if purpose == "note" else None
        self.not_kept.add(Refused(purpose, text, picture, note_to=note_to))

    def put_back(self, refused: Refused | None) -> None:
        """Take what was set apart onto its line again."""
        if refused is not None:
            self._put(refused.text)
            self._note_to = refused.note_to or self._note_to

    def finish(self) -> None:
        """What is typed that is no reading was kept: a reading is typed next."""
        self.not_kept.kept(self._purpose, self.text)
        self._put("")
        self._purpose = "reading"

    def _put(self, text: str) -> None:
        if self._purpose == "note" and text and not self.text:
            self._note_to = (self._screen.number, self._screen.showing)
        self._texts[self._purpose] = text
