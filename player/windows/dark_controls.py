"""What the operator's keys do while the meter's dark offset is asked for."""

from __future__ import annotations

from collections.abc import Callable

from player.keys import Action
from player.run.live import LiveRun
from player.windows.capping import Capping
from player.windows.entry_line import EntryLine
from player.windows.measuring import Measuring
from player.windows.telling import BUSY


class DarkControls(EntryLine):
    """The line that is typed, and the meter's cap before it."""

    def __init__(
        self, run: LiveRun, measuring: Measuring | None, clock: Callable[[], float]
    ) -> None:
        super().__init__(run, measuring, clock)
        dark = measuring.dark if measuring is not None else None
        self.capping = None if dark is None else Capping(run, dark)
        """Asks for the meter's dark offset; None where none is subtracted."""

    def begin(self) -> None:
        """Show the first step, or ask for the meter's dark offset before it."""
        if self.capping is not None and self.capping.needed:
            self.run.dark_first()
            self.capping.ask()
        else:
            self.attempt(self.run.begin)

    @property
    def capped(self) -> bool:
        """Whether the operator is asked for the meter's dark offset."""
        return self.capping is not None and self.capping.open

    @property
    def saying(self) -> str:
        """What is said now: a question, what went wrong, or what was done last."""
        if self.capping is not None and self.capping.open and not self.asking:
            return self.alert or self.capping.saying
        return super().saying

    def type(self, text: str) -> None:
        """Take typed characters, as long as nothing else is asked for."""
        if not self.capped:
            super().type(text)

    def paste(self, text: str) -> None:
        """Take pasted text, as long as nothing else is asked for."""
        if not self.capped:
            super().paste(text)

    # ---- what keys do

    def _dark(self) -> None:
        if self.capping is None:
            self.alert = "Start with a --meter and --dark-offset to have its dark subtracted."
        elif self.busy:
            self.alert = BUSY
        else:
            self.capping.ask()

    def _take_dark(self, action: Action) -> None:
        """What a key does while the dark is asked for."""
        capping = self.capping
        assert capping is not None  # noqa: S101 - it is asked for
        if capping.busy:
            self.alert = BUSY
        elif action is Action.AGAIN or (action is Action.KEEP and not capping.done):
            capping.read()
        elif action in (Action.KEEP, Action.ON):
            capping.go_on()

    def _look_for_dark(self) -> None:
        if self.capping is not None:
            self.alert = self.capping.beat() or self.alert
