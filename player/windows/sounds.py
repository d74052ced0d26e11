"""Short, soft sounds for those who look at the display: what is heard, and when.

They are made and played by a thread of their own: however long an audio driver takes, and whatever
it fails at, no key waits for it.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from enum import Enum
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from player.windows.controls.controls import Controls

RATE = 22050
"""Samples a second."""
SOFT = 0.12
"""The highest amplitude, of 1: 18 dB below the loudest there is."""
SHORT, LONG, GAP = 0.07, 0.26, 0.09
"""Seconds of a short and a long beat, and between two."""
NO_AUDIO = "There is no sound: no audio device can be used."


class Cue(Enum):
    """What is heard: pitch in Hz, and the rhythm, which tells them apart by itself."""

    KEPT = (660, (SHORT,))
    SETTLED = (520, (SHORT, SHORT))
    REFUSED = (330, (LONG,))
    DONE = (660, (SHORT, SHORT, LONG))

    def __init__(self, pitch: int, beats: tuple[float, ...]) -> None:
        self.pitch = pitch
        self.beats = beats
        """Seconds of each."""

    @property
    def seconds(self) -> float:
        """How long it is, all in all."""
        return sum(self.beats) + GAP * (len(self.beats) - 1)


class Rhythm:
    """An envelope, as pyglet's synthesis takes them: beats that die away, and silence between.

    Args:
        beats: seconds of each.
    """

    def __init__(self, beats: tuple[float, ...]) -> None:
        self._beats = beats

    def get_generator(self, sample_rate: float, _: float) -> Iterator[float]:
        """The amplitude of each sample, 0 to `SOFT`."""
        for beat in self._beats:
            samples = int(beat * sample_rate)
            # it comes within 5 ms, so that it does not click
            rise = max(int(0.005 * sample_rate), 1)
            for each in range(samples):
                yield SOFT * min(each / rise, 1.0) * (1 - each / samples)
            for _ in range(int(GAP * sample_rate)):
                yield 0.0
        while True:
            yield 0.0


Play = Callable[[Cue], object]


def audio() -> Play:
    """What plays a cue on the computer's audio device. Raises OSError where there is none."""
    from pyglet.media import Player as Playing
    from pyglet.media import StaticSource, synthesis
    from pyglet.media.drivers import get_audio_driver
    from pyglet.media.drivers.silent.adaptation import SilentDriver

    find_driver: Any = get_audio_driver  # which pyglet leaves without types
    if isinstance(find_driver(), SilentDriver):
        raise OSError("no audio device")

    class Once(Playing):
        """Plays one sound; at its end the event loop is not to touch the driver."""

        def on_eos(self) -> None:
            """Leave it as it is, until the next sound takes its place."""

    made = {}
    for cue in Cue:
        rhythm = cast("Any", Rhythm(cue.beats))
        made[cue] = StaticSource(synthesis.Sine(cue.seconds, cue.pitch, RATE, rhythm))
    before: list[Any] = []

    def play(cue: Cue) -> None:
        while before:
            before.pop().delete()
        player = Once()
        player.queue(made[cue])
        player.play()
        before.append(player)

    return play


class Sounds:
    """Plays cues. Nothing here waits, and nothing is raised.

    Args:
        audio: gives what plays a cue; called and used by the thread alone.
    """

    def __init__(self, audio: Callable[[], Play] = audio) -> None:
        self._audio = audio
        self._wanted: queue.Queue[Cue] = queue.Queue(1)
        self._thread: threading.Thread | None = None
        self._trouble = ""

    def start(self) -> None:
        """Look for the audio device; called again, it does nothing."""
        if self._thread is None:
            # a daemon: a driver that never answers is not waited for at the end either
            self._thread = threading.Thread(target=self._go, name="sounds", daemon=True)
            self._thread.start()

    def play(self, cue: Cue) -> None:
        """Let a cue be heard; it is left out where the one before has not begun yet."""
        with suppress(queue.Full):
            self._wanted.put_nowait(cue)

    def take_trouble(self) -> str:
        """Why nothing is heard, once; empty where there is nothing to tell."""
        told, self._trouble = self._trouble, ""
        return told

    def _go(self) -> None:
        try:
            play = self._audio()
            while True:
                play(self._wanted.get())
        except Exception:  # noqa: BLE001 - whatever a driver fails at, the run goes on in silence
            self._trouble = NO_AUDIO


class Listening:
    """Says which cue is due: compares what is true now with what was at the last look.

    Args:
        controls: the run, and what the operator is told.
        play: lets a cue be heard.
    """

    def __init__(self, controls: Controls, play: Callable[[Cue], object]) -> None:
        self._controls = controls
        self._play = play
        self._before = self._now()

    def _now(self) -> tuple[bool, int, int, int, bool, bool]:
        """Done, how often somebody was needed, and something kept; step, settled; a doubt."""
        run = self._controls.run
        screen = run.screen
        away = screen.halted or screen.blacked_out or screen.due or screen.waiting
        read = run.step.read if run.step is not None else None
        settles = read is not None and not run.finished and not away
        left = max(screen.settle_left, run.agenda.warm_up_left)
        settled = settles and left <= 0
        return (
            run.finished,
            self._controls.notices.warned,
            run.keeping.taken,
            run.number if settles else 0,
            settled,
            run.pressing,
        )

    def look(self) -> None:
        """Let be heard what has come about since the last look; one cue at most."""
        before, now = self._before, self._now()
        self._before = now
        done, warned, taken, number, settled, doubted = now
        told = warned != before[1] and bool(self._controls.notices.alert)
        if told or (doubted and not before[5]):
            self._play(Cue.REFUSED)
        elif done and not before[0]:
            self._play(Cue.DONE)
        elif taken != before[2]:
            self._play(Cue.KEPT)
        elif settled and not before[4] and number == before[3]:
            # it was up at the last look, and had not settled
            self._play(Cue.SETTLED)
