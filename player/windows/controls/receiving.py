"""What the display reports that it receives, asked before the first PQ or HLG picture."""

from __future__ import annotations

from collections.abc import Callable

from player.keys import Action
from player.run.live import LiveRun
from player.windows.controls.dark_offset import AS_EVER
from readings.visit.receives import RECEIVED

LABEL = "What does the display say that it receives?"
ASK = "Look at its information page, or at its picture mode"
BY_KEY = {"1": "pq", "2": "hlg", "3": "sdr", "4": "unknown"}
PROMPT = "Press " + " · ".join(f"{key}: {RECEIVED[answer]}" for key, answer in BY_KEY.items())
"""One key answers; a clicker's right arrow says that it does not say."""


class Receiving:
    """Asks once, and gives the answer to the run, which keeps it with each picture.

    Args:
        run: has PQ or HLG to show.
        then: what was held up meanwhile.
    """

    def __init__(self, run: LiveRun, then: Callable[[], None]) -> None:
        self._run = run
        self._then = then
        self._open = False

    @property
    def open(self) -> bool:
        """Whether the operator is asked now."""
        return self._open

    @property
    def needed(self) -> bool:
        """Whether it has to be asked, and was not answered yet."""
        return self._run.screen.receives is None

    def ask(self) -> None:
        """Begin to ask."""
        self._open = True

    def means_as_ever(self, action: Action) -> bool:
        """Whether a key means what it always does."""
        return not self._open or action in AS_EVER

    def press(self, action: Action) -> None:
        """Take a key that is no answer by its letter: the right arrow goes on without one."""
        if action is Action.ON:
            self._take("unknown")

    def type(self, text: str) -> None:
        """Take a digit as the answer; anything else leaves the question."""
        if text.strip() in BY_KEY:
            self._take(BY_KEY[text.strip()])

    def _take(self, answer: str) -> None:
        self._open = False
        self._run.screen.receives = answer
        self._then()
