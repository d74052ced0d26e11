"""A sitting in one pair of windows: choosing a task, playing it, and saying what it gave."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from patterns.control import Control
from patterns.errors import LitfieldError
from player.meters.base import Meter
from player.outputs.files import FilesOutput, open_files
from player.plan_checks import set_folder
from player.run.alike import Question, questions
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.run.record import earlier_runs
from player.run.unattended import typed_with
from player.sitting.given import Given, given_of
from player.sitting.sitting import Sitting, becomes_run
from player.windows.appearance import Appearance, asked, dimmed
from player.windows.awake import Awake
from player.windows.board import GROUND, Board, clear, font_name
from player.windows.errors import WindowError
from player.windows.focus import Focus
from player.windows.large import write_page
from player.windows.operator import HEIGHT, WIDTH, OperatorWindow
from player.windows.pattern.on_x11 import let_go
from player.windows.pattern.output import WindowOutput
from player.windows.sitting import page
from player.windows.sitting.choosing import Choosing, SittingView
from player.windows.sounds import Cue, Sounds
from readings.report.gather import gather
from readings.visit.records import InstrumentRole
from sequences.model import Sequence, SequenceError
from sequences.plans.model import Adjust, Play, Task

BEAT = 0.1
"""Seconds between two looks at the clock."""
BROKE = "The program has a fault: what this task gave is told by the report alone."
ONE_SCREEN = (
    "With one screen there is no window beside the pattern: files of a media player are read with "
    "“litfield play --output files”."
)
FLASHING = "flashing_confirmed"
"""What of the overrides holds what flashes, and nobody at risk sees."""
Flashing = Callable[[Sequence], list[str]]
PlayRun = Callable[[LiveRun, "WindowOutput | FilesOutput", Meter | None], object]


@dataclass
class Means:
    """What a sitting is played with."""

    output: WindowOutput
    operator: OperatorWindow | None
    """None with one screen: the page is drawn over the black pattern."""
    meter: Meter | None
    named: dict[InstrumentRole, str] = field(default_factory=dict)
    """What instruments are called whose readings are typed."""
    files: Path | None = None
    """Where the sets lie that a media player shows."""
    overrides: dict[str, object] = field(default_factory=dict)
    using: str = ""
    """What is read and shown with, for people."""
    receives: dict[str, str] = field(default_factory=dict)
    """By transfer, what the display was said to receive last."""
    appearance: Appearance = field(default_factory=Appearance)
    """How the page looks, and the windows of the runs."""
    sounds: Sounds | None = None
    """What is heard; None for silence."""
    controls: tuple[Control, ...] = ()
    """Those of the display, where a file describes them."""


class SittingPlayer:
    """Goes through a sitting until the operator leaves.

    Args:
        sitting: the tasks.
        means: windows and instruments.
        shipped: names of the sequences that may be added on the spot.
        play_run: plays a run in these windows until the operator leaves it.
        flashing: what of a sequence flashes on this screen.
        undrawable: raises SequenceError where a sequence cannot be drawn on this screen.
    """

    def __init__(
        self,
        sitting: Sitting,
        means: Means,
        shipped: list[str],
        *,
        play_run: PlayRun,
        flashing: Flashing,
        undrawable: Callable[[Sequence], None],
    ) -> None:
        self.sitting = sitting
        self.means = means
        self._play_run = play_run
        self._flashing = flashing
        self._undrawable = undrawable
        self.choosing = Choosing(sitting, shipped, self._flashes, means.using, self._alike)
        self._black_since = float("-inf")
        self._drawn: SittingView | None = None
        self._focus = Focus(time.monotonic)
        self._looked = means.appearance.state
        self._board: Board | None = None
        self._work: Future[dict[int, Given]] | None = None

    def _flashes(self, task: Task) -> list[str]:
        """What has to be confirmed before a task is shown."""
        what, confirmed = task.what, FLASHING in self.means.overrides
        return [] if confirmed or not becomes_run(what) else self._flashing_of(what)

    def _flashing_of(self, what: Play | Adjust) -> list[str]:
        """What flashes too often: steps on this screen, or exported clips."""
        found = self._flashing(what.sequence)
        if what.output == "files":
            with suppress(LitfieldError, OSError):  # told once the task is started
                output = self._output(what)
                found += output.flashing if isinstance(output, FilesOutput) else []
        return found

    def _alike(self, task: Task) -> Question | None:
        """What is to be asked of a task's condition: the plan's own conditions are no slips."""
        what, tasks = task.what, self.sitting.tasks
        if not becomes_run(what):
            return None
        planned = {each.what.condition for each in tasks if becomes_run(each.what)}
        earlier = earlier_runs(self.sitting.visit, what.sequence, what.output, None)
        asked = questions(what.condition, earlier)
        return next((q for q in asked if q.about == "alike" and q.condition not in planned), None)

    def sit(self) -> None:
        """Choose and play until the operator leaves. Raises WindowError where OpenGL fails."""
        with Awake(), ThreadPoolExecutor(1) as workers:
            path = self.sitting.visit.path
            self._work = workers.submit(_worked_out, path)
            if self.means.sounds is not None:
                self.means.sounds.start()
            while True:
                self._choose()
                task = self.choosing.start
                if self.choosing.left or task is None:
                    return
                self._play(task)
                self._work = workers.submit(_worked_out, path)

    # ---- a run

    def _play(self, task: Task) -> None:
        """Play a task's sequence; what cannot be played is told on the page."""
        means, what = self.means, task.what
        assert becomes_run(what)  # noqa: S101 - only a sequence is started
        try:
            output = self._output(what)
        except (SequenceError, WindowError, OSError) as error:
            self.choosing.start = None
            self.choosing.tell(str(error).splitlines()[0])
            return
        overrides, asked = dict(means.overrides), self.choosing.condition
        if self.choosing.confirmed:
            overrides[FLASHING] = list(self.choosing.confirmed)
        elif FLASHING in overrides:
            overrides[FLASHING] = self._flashing_of(what)
        meter = means.meter if what.instrument == "spot meter" else None
        visit = self.sitting.visit
        name = means.named.get(what.instrument, "")
        typed = typed_with(visit, name, what.instrument).id if meter is None and name else None
        run = LiveRun(
            what.sequence,
            visit,
            output,
            condition=what.condition if asked is None else asked,
            overrides=overrides,
            typed_with=typed,
            controls=means.controls,
        )
        self.sitting.begun(task, run.id)
        time.sleep(max(0.0, self._black_since + CHANGE_GAP - time.monotonic()))
        transfer = run.screen.signal.transfer.name
        if transfer != "bt1886":
            run.screen.receives = means.receives.get(transfer)
        try:
            self._play_run(run, output, meter)
        finally:
            means.output.pattern.lay_over(_nothing)
            self._black(run.screen.gate.left)
        if run.screen.receives:
            means.receives[transfer] = run.screen.receives
        if visit.run(run.id).ended == "finished":
            self.sitting.done(task, run.id)
        self.choosing.played(task)

    def _black(self, after: float = 0.0) -> None:
        """Show black, so many seconds from now: as far apart as pictures of a run may change."""
        time.sleep(min(after, CHANGE_GAP))
        self.means.output.blackout()
        self._black_since = time.monotonic()

    def _output(self, what: Play | Adjust) -> WindowOutput | FilesOutput:
        """What shows it. Raises SequenceError or WindowError where it cannot be shown."""
        if what.output == "window":
            self._undrawable(what.sequence)
            return self.means.output
        if self.means.operator is None:
            raise WindowError(ONE_SCREEN)
        if self.means.files is None:
            raise WindowError(
                "No exported set was named: start the sitting with --files DIR, as “litfield "
                "export PLAN --to DIR” writes it."
            )
        return open_files(set_folder(what.sequence, self.means.files), what.sequence.signal)

    # ---- between two runs

    def _windows(self) -> list[Any]:
        own = [self.means.operator.window] if self.means.operator is not None else []
        return [self.means.output.pattern.window, *own]

    def _choose(self) -> None:
        """The page, until a task is started or the operator leaves; the pattern is black."""
        import pyglet

        means = self.means
        self._drawn = None
        windows = self._windows()
        for window in windows:
            window.push_handlers(
                on_key_press=self._key,
                on_key_release=partial(let_go, window),
                on_text=self._text,
                on_close=self._close,
                on_expose=self._exposed,
                on_activate=partial(self._focus.came, window),
                on_deactivate=partial(self._focus.went, window),
                on_mouse_press=partial(self._clicked, window),
            )
        if means.operator is None:
            means.output.pattern.lay_over(self._over)
        self._black()
        pyglet.clock.schedule_interval(self._beat, BEAT)
        try:
            self._show()
            pyglet.app.run(interval=None)
        except pyglet.gl.lib.GLException as error:
            raise WindowError(
                f"The graphics driver failed ({error}); what was kept is kept, and the sitting can "
                "be taken up again."
            ) from error
        finally:
            pyglet.clock.unschedule(self._beat)
            for window in windows:
                window.pop_handlers()
            means.output.pattern.lay_over(_nothing)
            if means.operator is not None:
                means.operator.forget()

    def _key(self, symbol: int, modifiers: int) -> bool:
        self._focus.key_came()
        from pyglet.window import key

        look = asked(symbol, modifiers)
        if look is not None:
            means = self.means
            why = means.appearance.change(look, means.operator, page=True)
            if why and not self.choosing.notice:
                self.choosing.tell(why)
            self._after()
        elif not modifiers & (key.MOD_CTRL | key.MOD_ALT | key.MOD_COMMAND):
            done = self._done()
            self.choosing.key(key.symbol_string(symbol))
            if symbol in (key.ENTER, key.NUM_ENTER):
                self._let_hear(done)
            self._after()
        return True  # pyglet's own Escape would close the window

    def _clicked(self, window: Any, *_: int) -> None:
        """A click brings the keyboard here."""
        if self._focus.lost:
            window.activate()

    def _done(self) -> int:
        """How many tasks are done, where that is heard."""
        if self.means.sounds is None:
            return 0
        return sum(each.state == "done" for each in self.sitting.lines())

    def _let_hear(self, before: int) -> None:
        """What Enter did, where sounds are wanted: a run's sounds are its own."""
        sounds, now = self.means.sounds, self._done()
        if sounds is None or self.choosing.start is not None:
            return
        if self.choosing.view().pressing:
            sounds.play(Cue.REFUSED)
        elif now != before:
            sounds.play(Cue.KEPT if self.sitting.next is not None else Cue.DONE)

    def _text(self, text: str) -> None:
        self.choosing.type(text)
        self._after()

    def _close(self) -> bool:
        self.choosing.left = True
        self._after()
        return True

    def _exposed(self, *_: object) -> None:
        self._drawn = None
        self.means.output.pattern.redraw()

    def _beat(self, _: float) -> None:
        sounds = self.means.sounds
        if sounds is not None and not self.choosing.notice:
            self.choosing.notice = sounds.take_trouble()
        work = self._work
        if work is not None and work.done():
            self._work = None
            error = work.exception()
            if error is None:
                self.choosing.given = work.result()
            else:
                self.choosing.given_of = None
                self.choosing.tell(BROKE)
        self._after()

    def _after(self) -> None:
        import pyglet

        if self.choosing.left or self.choosing.start is not None:
            pyglet.app.exit()
        else:
            self._show()

    def _show(self) -> None:
        look = self.means.appearance.state
        view = replace(self.choosing.view(), keys_lost=self._focus.lost)
        if view == self._drawn and look == self._looked:
            return
        self._drawn, self._looked = view, look
        if self.means.operator is not None:
            self.means.operator.show_page(lambda board: self._write(board, view))
        else:
            self.means.output.pattern.redraw()

    def _write(self, board: Board, view: SittingView) -> None:
        little = self.means.appearance.large and not (view.help or view.adding)
        (write_page if little else page.write)(board, view)
        if view.keys_lost and not little:
            page.write_lost(board)

    def _over(self) -> int:
        """Draw the page over the black pattern; it covers all of it."""
        from pyglet import gl

        window = self.means.output.pattern.window
        width, height = (int(side) for side in window.get_framebuffer_size())
        if self._board is None:
            scale = min(width / WIDTH, height / HEIGHT)
            self._board = Board(width / scale, scale, height, font_name())
        self._board.level = self.means.appearance.level
        gl.glViewport(0, 0, width, height)
        clear(dimmed(GROUND, self._board.level))
        self._board.begin()
        self._write(self._board, self._drawn or self.choosing.view())
        self._board.draw()
        return height


def _worked_out(path: Path) -> dict[int, Given]:
    return given_of(gather(path))


def _nothing() -> int:
    return 0
