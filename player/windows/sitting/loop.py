"""Going through a plan in one pair of windows: what the command line calls."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import ExitStack
from pathlib import Path

from patterns.control import Control
from patterns.signal.quantise import Range
from player.meters.base import Meter
from player.outputs.files import FilesOutput
from player.run.live import LiveRun
from player.sitting.sitting import Sitting
from player.windows.appearance import Appearance
from player.windows.loop import (
    UNNAMED,
    USUAL_TIMES,
    Named,
    Tell,
    Times,
    flashing_on,
    operator_at,
    play_run,
    require_drawable,
    screens_here,
    sounds_if,
    visit_of,
)
from player.windows.pattern.on_x11 import end_with_server
from player.windows.pattern.output import WindowOutput
from player.windows.pattern.screens import choose
from player.windows.pattern.window import PatternWindow
from player.windows.sitting.player import Means, SittingPlayer
from readings.visit.visit import Visit
from sequences.loading import shipped
from sequences.model import Sequence
from sequences.plans.model import Plan


def sit_in_windows(  # noqa: PLR0913 - what the command line may say, each by its name
    plan: Plan,
    open_visit: Callable[[], Visit],
    *,
    load: Callable[[str], Sequence],
    minutes: Callable[[Sequence], float],
    screen: int | None = None,
    range_: Range = "full",
    meter: Meter | None = None,
    named: Named = UNNAMED,
    reference: str = "",
    times: Times = USUAL_TIMES,
    files: Path | None = None,
    controls: tuple[Control, ...] = (),
    overrides: Mapping[str, object] | None = None,
    sounds: bool = False,
    tell: Tell = print,
) -> None:
    """Go through a plan in one pair of windows until the operator leaves.

    Args:
        plan: the tasks.
        open_visit: gives the visit, open for writing, once the windows stand.
        load: gives a sequence by its name or file, for those that are added on the spot.
        minutes: how long a sequence takes.
        screen: the screen of the pattern window, from 1; the last one where None.
        range_: the range that the link to the display is set to.
        meter: reads what is not read with the reference.
        named: that meter, or the one whose readings are typed, as the operator calls it.
        reference: the reference as the operator calls it; its readings are typed.
        times: how long to warm up, and how long a bright picture may stand still.
        files: where the exported sets lie that a media player shows.
        controls: those of the display, where a file describes them.
        overrides: what the command line changed in every sequence.
        sounds: whether short sounds tell what has come about.
        tell: told what the framebuffer is.

    Raises:
        WindowError: there is no display, no OpenGL, or a window that could not be exact.
        VisitError: the visit cannot be opened or kept.
    """
    undone = ExitStack()
    places = choose(screens_here(), screen)
    end_with_server(undone.close)
    bits = max((each.signal.bits for each in plan.sequences()), default=8)
    with ExitStack() as stack:
        output = WindowOutput(PatternWindow(places.pattern, bits), range_)
        stack.callback(output.close)
        output.blackout()
        tell(output.pattern.describe())
        operator = operator_at(places, stack)
        visit = visit_of(open_visit, meter, stack, undone)
        overridden = dict(overrides or {})
        look = operator.appearance if operator is not None else Appearance()
        heard = sounds_if(on=sounds)

        def one(run: LiveRun, shown: WindowOutput | FilesOutput, read_by: Meter | None) -> None:
            play_run(
                run,
                shown,
                operator,
                read_by,
                lambda _: None,
                named=named,
                times=times,
                appearance=look,
                sounds=heard,
            )

        means = Means(
            output,
            operator,
            meter,
            {"spot meter": named.name, "reference": reference or "reference"},
            files,
            overridden,
            _using(meter, named, reference, output, screen),
            appearance=look,
            sounds=heard,
            controls=controls,
        )
        SittingPlayer(
            Sitting(plan, visit, load, minutes),
            means,
            sorted(shipped()),
            play_run=one,
            flashing=lambda sequence: flashing_on(sequence, output),
            undrawable=lambda sequence: require_drawable(sequence, output),
        ).sit()


def _using(
    meter: Meter | None, named: Named, reference: str, output: WindowOutput, screen: int | None
) -> str:
    """What a sitting reads and shows with, for people."""
    read_by = named.name or (meter.name if meter is not None else "")
    how = "by the meter" if meter is not None else "typed"
    parts = [
        f"Read {how}{f': {read_by}' if read_by else ', no instrument named'}",
        f"reference: {reference}" if reference else "",
        f"{output.range} range",
        "" if screen is None else f"screen {screen}",
    ]
    return " · ".join(filter(None, parts))
