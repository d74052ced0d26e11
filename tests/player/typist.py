"""Somebody who types readings at a given pace, and what has to have become of each of them."""

from __future__ import annotations

import itertools
import random

from player.run.gate import CHANGE_GAP
from player.run.screen import NOT_UP
from player.windows.view import view_of
from tests.player.desk import Desk

BEAT = 0.1
"""Seconds between two beats of the windows' clock."""
WHOLE_WAY = 10_000
"""Refreshes in which every box here goes its whole way."""


def sequence_of(rounds: int) -> str:
    """A sequence with every kind of entry, no picture of it like another."""
    steps = []
    for each in range(1, rounds + 1):
        steps += [
            f"  - {{show: {{window: {{area: {each + 41} %, level: 30 %}}}}, read: luminance}}",
            f"  - {{show: {{window: {{area: {each} %, level: 8 %}}}}, read: colour}}",
            f"  - {{show: {{window: {{area: {each} %, level: 60 %}}}}, read: count}}",
            f"  - {{show: {{field: {{level: {each + 40} %}}}}, read: milliseconds}}",
            f"  - show: {{window: {{area: {each} %, level: 50 %}}}}",
            "    read: {choice: [even, odd]}",
            f"  - {{show: {{window: {{area: {each} %, level: 40 %}}}}, read: text}}",
            f"  - {{show: {{moving-box: {{along: row, place: {each} %}}}}, read: tally}}",
            "  - {show: {comb: {zones: 20, spacing: 3}}, read: count}",
        ]
    return "title: Lobby wall\nsignal: sdr8\nsteps:\n" + "\n".join(steps) + "\n"


ANSWERS = {
    "luminance": ("412", "0,3", "7.25", "9"),
    "colour": ("100 0.3127 0.329", "4", "12,5 0.31 0.33"),
    "count": ("1", "12", "?", "3"),
    "milliseconds": ("16", "33,4", "5"),
    "choice": ("1", "2", "even"),
    "text": ("lit rim", "7", "clipped"),
    "tally": ("3", "15"),
}
"""What somebody who knows the sequence may type."""


class Typist:
    """Types on a desk without windows, whose clock goes on by ``pace`` s with every key.

    What became of what is typed is looked up outside of the run: in the visit file, in what the
    output showed last, and in the words of the window.
    """

    def __init__(self, desk: Desk, pace: float, seed: int) -> None:
        self.desk = desk
        self.pace = pace
        self.chance = random.Random(seed)  # noqa: S311 - no secret
        self.typed: list[str] = []
        """Every text that was ended with Enter."""
        self.kept: list[str] = []
        self.refused: list[str] = []
        self.changes: list[float] = []
        """When the picture changed."""
        self._beat_at = desk.clock.now

    def wait(self, seconds: float) -> None:
        """Let time pass as in the windows: a beat each 0.1 s, and one when a picture may come."""
        desk, until = self.desk, self.desk.clock.now + seconds
        while True:
            left = desk.run.screen.change_left if desk.run.screen.due else BEAT
            at = min(until, self._beat_at + BEAT, desk.clock.now + left)
            before = len(desk.output.seen)
            desk.clock.now = at
            if at >= self._beat_at + BEAT:
                self._beat_at = at
                desk.controls.beat()
            elif desk.run.screen.due:
                desk.controls.show_what_waits()
            self._look(before)
            if at >= until:
                return

    def _look(self, before: int) -> None:
        self.changes += [self.desk.clock.now] * (len(self.desk.output.seen) - before)

    def key(self, name: str) -> None:
        """A key of the keyboard."""
        self.wait(self.pace)
        before = len(self.desk.output.seen)
        self.desk.controls.key(name)
        self._look(before)

    def text(self, text: str) -> None:
        """Letters, as keys first, as a keyboard sends them."""
        for letter in text:
            self.wait(self.pace)
            if not self.desk.controls.key("SPACE" if letter == " " else letter.upper()):
                self.desk.controls.type(letter)

    def enter(self, text: str) -> bool:
        """Type a reading and Enter; whether it was kept. Fails where nothing is told of it."""
        desk = self.desk
        presses = len(desk.visit.tallies())
        self.text(text)
        self.wait(self.pace)
        if len(desk.visit.tallies()) > presses:
            text = text.replace(" ", "")  # a box came up meanwhile: a space was a press, and told
        before = desk.visit.readings(replaced=True)
        seen, changes = desk.output.seen[-1], len(desk.output.seen)
        desk.controls.key("ENTER")
        self._look(changes)
        after = desk.visit.readings(replaced=True)
        self.typed.append(text)
        if len(after) == len(before):
            view = view_of(desk.controls, "")
            last = view.not_kept.split(" · ")[-1]
            assert last == text.strip(), f"neither kept nor told: {desk.controls.notice}"
            assert view.pressing, "and it is told why"
            self.refused.append(text)
            return False
        (reading,) = after[len(before) :]
        assert reading.raw == text.strip(), "what was typed is what is kept"
        frame = desk.visit.showing(reading.showing).frame_sha256
        step = desk.run.sequence.steps[reading.step - 1]
        if not step.pattern.moves:  # of a box that moves, the frame that it began with is kept
            assert frame == seen, "for the picture that was on screen"
        self.kept.append(text)
        return True

    def presses(self, number: int) -> int:
        """Press space; how many presses were kept. Each other one has to have been refused."""
        desk, kept = self.desk, 0
        for _ in range(number):
            self.wait(self.pace)
            before = len(desk.visit.tallies())
            box = desk.run.step is not None and desk.run.step.pattern.moves
            desk.controls.key("SPACE")
            desk.controls.type(" ")
            one = len(desk.visit.tallies()) - before
            assert one or not box or desk.controls.notice == NOT_UP
            kept += one
        return kept

    def answer(self) -> None:
        """Type what the step asks that this typist believes to be on screen."""
        step = self.desk.run.step
        if step is None or step.read is None:
            return
        if step.read.quantity == "tally" and self.chance.random() < 0.5:
            self.crawl(self.chance.randint(1, 3))
        else:
            self.enter(self.chance.choice(ANSWERS[step.read.quantity]))

    def crawl(self, number: int) -> None:
        """Press space at hops, and Enter: all presses of the step are the reading."""
        desk = self.desk
        self.presses(number)
        self.wait(self.pace)
        desk.run.screen.tick(WHOLE_WAY)
        before, changes = len(desk.visit.readings()), len(desk.output.seen)
        desk.controls.key("ENTER")
        self._look(changes)
        if len(desk.visit.readings()) > before:
            step = desk.visit.readings()[-1].step
            shown = [desk.visit.showing(each.showing).step for each in desk.visit.tallies()]
            self.kept.append(str(shown.count(step)))

    def check(self) -> None:
        """Nothing is in the visit but what was kept before these eyes; no change came too soon."""
        raws = [each.raw for each in self.desk.visit.readings(replaced=True)]
        assert raws == [text.strip() for text in self.kept]
        apart = [later - earlier for earlier, later in itertools.pairwise(self.changes)]
        assert min(apart) >= CHANGE_GAP - 1e-6
