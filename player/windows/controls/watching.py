"""Watching the light of the picture on screen: the meter reads on and on, and nothing is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from patterns.control import ADJUSTING
from player.keys import Action
from player.meters.base import MeterError, MeterReading
from player.meters.repeating import one_by_one
from player.run.aiming import SeenLight
from player.run.live import LiveRun
from player.run.unattended import TRIES, by_meter
from player.run.watching import Light, Live, Steady, Steadying, live_of
from player.windows.controls.measuring import Measuring
from player.windows.controls.notices import BUSY, DARK, Notices
from player.windows.controls.reading_thread import ReadingThread
from readings.evidence.repeatability import Repeatability

NEEDS_METER = (
    "Watching the light needs a meter that answers by itself, named with --meter; "
    "what is typed is read once."
)
NOTHING_TO_WATCH = "No light is read of what is on screen, so there is none to watch."
SPACE_WATCHES = "While the display is adjusted, the space bar watches the light."
UNATTENDED = "The meter reads step after step by itself; meanwhile nothing is watched."
FIRST_READING = "The meter reads for the first time\N{HORIZONTAL ELLIPSIS}"
SETTLES = "Waits until the picture has settled"
BLACK = "Waits: the picture is away"
ENDED = "Watched {}; nothing of it was kept."
APART = 0.3
"""Seconds between the beginnings of two readings, of a meter that is quicker."""
AFTER_FAILURE = 2.0
STAYS = (Action.HELP, Action.STRIP, Action.PUT_BACK, Action.BLACKOUT)
"""Keys that do what they always do while the light is watched; all others end that."""
ENDS = (Action.KEEP, Action.LEAVE, Action.WATCH)
"""Keys that do no more than to end it."""


class Watching:
    """Lets the meter of a run read on and on, and says what it sees. It keeps nothing.

    Only `beat`, called by the windows, touches the run.

    Args:
        run: what is on screen.
        measuring: its meter; None where readings are typed.
        notices: tell why it cannot be watched.
        clock: seconds that never go back.
        unattended: whether the meter reads step after step by itself.
    """

    def __init__(
        self,
        run: LiveRun,
        measuring: Measuring | None,
        notices: Notices,
        clock: Callable[[], float],
        *,
        unattended: bool = False,
    ) -> None:
        self._run = run
        self._measuring = measuring
        self._notices = notices
        self._clock = clock
        self._unattended = unattended
        self._thread: ReadingThread | None = None
        self._steadying: Steadying | None = None
        self._number = 0
        self._began = self._next = 0.0
        self._failures = 0
        self._failed = ""
        """What went wrong with the last reading, as it is told until one succeeds."""
        self._away = False
        self._told_of: tuple[Steady, bool] | None = None
        self._live = Live()

    @property
    def on(self) -> bool:
        """Whether the light is watched."""
        return self._thread is not None

    @property
    def live(self) -> Live | None:
        """What is told of it; None where it is not watched."""
        return self._live if self.on else None

    def toggle(self) -> None:
        """Begin to watch the picture on screen, or end it; why not is told."""
        if self.on:
            self.end()
            return
        run, step = self._run, self._run.step
        if self._unattended:
            self._notices.warn(UNATTENDED)
        elif self._measuring is None:
            self._notices.warn(NEEDS_METER)
        elif step is None or not by_meter(step):
            self._notices.warn(NOTHING_TO_WATCH)
        elif step.role == ADJUSTING:
            self._notices.warn(SPACE_WATCHES)
        elif self._measuring.busy:
            self._notices.warn(BUSY)
        elif run.screen.blacked_out:
            self._notices.warn(DARK)
        elif not run.may_read():
            self._notices.warn_of_refusal()
        else:
            if run.screen.waiting:
                run.up()
            self._begin(self._measuring)

    def _begin(self, measuring: Measuring) -> None:
        meter = one_by_one(measuring.meter)
        self._thread = ReadingThread(meter)
        self._steadying = Steadying(Repeatability.promised(meter.specification))
        self._number = self._run.number
        self._next, self._failures, self._failed, self._away = 0.0, 0, "", False
        self._told_of, self._live = None, Live(waits=FIRST_READING)
        self._run.keeping.load_colour()
        self._run.message = ""
        self.beat()

    def end(self) -> None:
        """Watch no more; what the meter still says is thrown away."""
        if self._thread is None or self._steadying is None:
            return
        self._thread.forget()
        many = self._steadying.count
        self._thread = self._steadying = None
        self._run.message = ENDED.format("1 reading" if many == 1 else f"{many} readings")

    def beat(self) -> None:
        """Take up what the meter said, and let it read on once the picture is up and settled."""
        if self._thread is None or self._steadying is None:
            return
        run, screen, now = self._run, self._run.screen, self._clock()
        if run.number != self._number:
            self.end()
            return
        if screen.blacked_out or screen.halted:
            self._wait_for_the_picture()
            return
        answer = self._thread.answer()
        if isinstance(answer, MeterReading):
            self._take(answer, now)
        elif answer is not None:
            self._fail(str(answer), now)
        if self._thread is None:
            return
        if not self._thread.busy and now >= self._next:
            if screen.due or max(screen.settle_left, screen.change_left) > 0:
                self._tell(SETTLES)
            else:
                self._read(now)
        else:
            self._tell("")

    def _wait_for_the_picture(self) -> None:
        """What was being read is of no picture any more, and what was told of none that is up."""
        if self._thread is not None and not self._away:
            self._away = True
            self._thread.forget()
        self._tell(BLACK)

    def _read(self, now: float) -> None:
        if self._thread is None or self._steadying is None or self._measuring is None:
            return
        if self._away:
            self._away = False
            self._steadying.begin_anew()
        try:
            if self._run.step is not None:
                self._measuring.pointing.point(self._run.step)
        except MeterError as error:
            self._fail(str(error), now)
            return
        self._began, self._next = now, now + APART
        self._thread.start()
        self._tell("")

    def _take(self, answer: MeterReading, now: float) -> None:
        if answer.luminance is None:
            self._fail(f"The meter gave no luminance: {answer.raw!r}.", now)
            return
        if self._steadying is not None:
            self._notices.withdraw(self._failed)
            self._failures = 0
            light = Light(answer.luminance, answer.x, answer.y)
            self._steadying.add(light, self._began, now)

    def _fail(self, why: str, now: float) -> None:
        """A failure is told, and the meter tries again; after a few in a row it is over."""
        self._failures += 1
        self._failed, self._next = why, now + AFTER_FAILURE
        if self._failures >= TRIES:
            self.end()
        self._notices.warn(why)

    def _tell(self, waits: str) -> None:
        """Bring what is told up to what is known."""
        steadying = self._steadying
        steady = None if steadying is None else steadying.steady
        if steadying is None or steady is None or steadying.first is None:
            self._live = Live(waits=waits or FIRST_READING)
            return
        of = (steady, self._run.keeping.colour_loaded)
        if of != self._told_of:
            now, before = self._looked_up(steady), self._looked_up(steadying.first)
            if now is None or before is None:
                return
            self._told_of, self._live = of, live_of(steady, now, steadying.first, before)
        if self._live.waits != waits:
            self._live = replace(self._live, waits=waits)

    def _looked_up(self, steady: Steady) -> SeenLight | None:
        measuring = self._measuring
        if measuring is None:
            return None
        return self._run.keeping.seen(steady.light, measuring.instrument, steady.spread)
