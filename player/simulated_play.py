"""Playing a sequence on a simulated display with its meter: no window, no waiting."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from datetime import timedelta
from pathlib import Path

from patterns.control import Control
from patterns.picture.canvas import Canvas
from player.meters import Meter, open_meter
from player.outputs.simulated import SimulatedOutput
from player.run.live import LiveRun
from player.run.unattended import instrument_of, run_unattended
from player.simulated import SimulatedDisplay
from player.simulated.files import load_display
from player.simulated_eye import SimulatedEye, SimulatedOperator
from player.simulated_hands import SimulatedHands, bring_menu
from readings.visit.visit import Visit
from sequences.model import Sequence

SHIPPED = "lobby-wall"


def simulated_display(model: str | Path | None = None) -> SimulatedDisplay:
    """A display from its description, a file or a shipped name. Raises SimulatedError."""
    return SimulatedDisplay(load_display(model or SHIPPED))


def _simulated_meter(output: SimulatedOutput, seed: int) -> Meter:
    return open_meter("simulated", output, seed)


def play_simulated(  # noqa: PLR0913 - what the command line may say, each by its name
    sequence: Sequence,
    visit: Visit,
    display: SimulatedDisplay,
    *,
    canvas: Canvas,
    seed: int = 1,
    condition: str = "",
    controls: tuple[Control, ...] = (),
    overrides: Mapping[str, object] | None = None,
    meter: Callable[[SimulatedOutput, int], Meter] = _simulated_meter,
    ask: Callable[[str], bool] = lambda _: False,
    after: Callable[[int], None] = lambda _: None,
) -> LiveRun:
    """Play a sequence to its end; a meter that moves is aimed at what each step asks for.

    `meter` makes the meter for the display behind an output, with a seed for its errors. `ask` has
    somebody point one that does not move by itself. `controls` are those of the display where a
    file describes them: simulated hands turn them where an adjustment says so. The menu reads what
    the visit says that it reads.
    The codes on the link are those of the sequence's own depth and range.
    """
    signal = sequence.signal
    bring_menu(display, visit)
    output = SimulatedOutput(canvas, signal.bits, signal.range, display)
    passed = [0.0]

    def wait(seconds: float) -> None:
        output.wait(seconds)
        passed[0] += seconds

    with _own_time(visit, passed):
        live = LiveRun(
            sequence,
            visit,
            output,
            condition=condition,
            overrides={**(overrides or {}), "seed": seed},
            controls=controls or display.controls,
            clock=lambda: passed[0],
        )

        # another run of the same seed is not to repeat the same errors
        reader = meter(output, seed + live.id)
        eye = SimulatedEye(live, display, wait, SimulatedOperator(), seed + live.id)
        hands = SimulatedHands(live, display, wait)
        live.adjustment.read_with = instrument_of(visit, reader).specification
        run_unattended(
            live, reader, wait=wait, ask=ask, eye=eye.answers, hands=hands.act, after=after
        )
    return live


def _own_time(visit: Visit, passed: list[float]) -> AbstractContextManager[None]:
    """What is kept meanwhile is kept at the display's time: nobody waits, but time goes by."""
    ends = [run.ended_at for run in visit.runs() if run.ended_at is not None]
    # a run before this one may have taken longer by its own clock than it really did
    began = max([visit.now(), *ends])
    return visit.at_times_of(lambda: began + timedelta(seconds=passed[0]))
