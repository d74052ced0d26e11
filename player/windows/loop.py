"""Playing a sequence in windows: what the command line calls."""

from __future__ import annotations

import importlib
import time
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any

from patterns.control import Control
from patterns.signal.quantise import Range
from player.depth import largest_error
from player.meters.base import Meter, MeterError, close, moves_of
from player.outputs.files import FilesOutput
from player.run.live import LiveRun
from player.run.unattended import instrument_of, stopped, typed_with
from player.windows.appearance import Appearance
from player.windows.awake import Awake
from player.windows.controls.controls import Controls
from player.windows.controls.measuring import Measuring
from player.windows.controls.notices import Notices
from player.windows.controls.panels import Panels
from player.windows.controls.warm_up import WarmUp
from player.windows.errors import WindowError
from player.windows.interruptions import Interruptions
from player.windows.operator import OperatorWindow
from player.windows.pattern.on_x11 import end_with_server
from player.windows.pattern.output import WindowOutput
from player.windows.pattern.screens import Places, choose
from player.windows.pattern.screens import named as screen_name
from player.windows.pattern.window import PatternWindow
from player.windows.player import Player
from player.windows.sounds import Sounds
from player.windows.strip import Strip
from readings.visit.receives import NOT_ASKED
from readings.visit.records import InstrumentRole
from readings.visit.visit import Visit
from sequences.model import Sequence

__all__ = ["WindowError", "play_in_windows"]

Tell = Callable[[str], object]


@dataclass(frozen=True)
class Named:
    """How the operator calls the instrument."""

    name: str = ""
    """Empty where it keeps its own."""
    role: InstrumentRole | None = None
    """None where it keeps its own."""


UNNAMED = Named()


@dataclass(frozen=True)
class Times:
    """What the operator asked of the clock."""

    warm_up: float = 0.0
    """Seconds that the display should have been on; 0 where nobody asked."""
    bright: float | None = None
    """Seconds that a bright picture may stand still: 0 for any, None for the usual."""


USUAL_TIMES = Times()


def play_in_windows(  # noqa: PLR0913 - what the command line may say, each by its name
    sequence: Sequence,
    open_visit: Callable[[], Visit],
    *,
    condition: str = "",
    screen: int | None = None,
    range_: Range = "full",
    meter: Meter | None = None,
    named: Named = UNNAMED,
    times: Times = USUAL_TIMES,
    unattended: bool = False,
    controls: tuple[Control, ...] = (),
    overrides: Mapping[str, object] | None = None,
    receives: str = "",
    sounds: bool = False,
    tell: Tell = print,
) -> LiveRun:
    """Play a sequence full screen until the operator leaves, and give back its run.

    Args:
        sequence: what to play.
        open_visit: gives the visit, open for writing, once the windows stand; every reading is in
            it before the operator is told so, and it is closed at the end.
        condition: what the run is taken under, such as "local dimming off".
        screen: the screen of the pattern window, from 1; the last one where None.
        range_: the range that the link to the display is set to.
        meter: read on Enter and on F6, where there is one.
        named: the instrument as the operator calls it; without a meter, the one that is typed.
        times: how long to warm up, and how long a bright picture may stand still.
        unattended: read every step through the meter, without a key.
        controls: those of the display, where a file describes them.
        overrides: what the command line changed in the sequence.
        receives: what the display reports that it receives, a key of `RECEIVED`; where it is
            empty, the operator is asked before the first picture of PQ or HLG.
        sounds: whether short sounds tell what has come about.
        tell: told, before the first step, what the framebuffer is and what its depth costs.

    Raises:
        WindowError: there is no display, no OpenGL, or a window that could not be exact.
        SequenceError: a step cannot be drawn exactly at the depth that the framebuffer has.
        VisitError: the run cannot be kept; what goes wrong later is told in the windows.
    """
    if unattended and meter is None:
        raise WindowError("Without a meter nothing can be read unattended.")
    undone = ExitStack()
    places = choose(screens_here(), screen)
    end_with_server(undone.close)
    with ExitStack() as stack:
        # first of all windows: made second, it takes the size of the first on X11
        output = WindowOutput(PatternWindow(places.pattern, sequence.signal.bits), range_)
        stack.callback(output.close)
        _tell_first(sequence, output, places, tell)
        _require_no_flashing(sequence, output, overrides or {})
        operator = operator_at(places, stack)
        visit = visit_of(open_visit, meter, stack, undone)
        run = LiveRun(
            sequence,
            visit,
            output,
            condition=condition,
            overrides=overrides,
            typed_with=_typed_with(visit, meter, named),
            controls=controls,
        )
        if run.screen.signal.transfer.name != "bt1886":
            run.screen.receives = receives or (NOT_ASKED if unattended else None)
        play_run(
            run,
            output,
            operator,
            meter,
            tell,
            named=named,
            times=times,
            unattended=unattended,
            sounds=sounds_if(on=sounds),
        )
    return run


def play_beside_media_player(  # noqa: PLR0913 - as above
    sequence: Sequence,
    open_visit: Callable[[], Visit],
    output: FilesOutput,
    *,
    condition: str = "",
    screen: int | None = None,
    meter: Meter | None = None,
    named: Named = UNNAMED,
    times: Times = USUAL_TIMES,
    overrides: Mapping[str, object] | None = None,
    receives: str = "",
    sounds: bool = False,
    tell: Tell = print,
) -> LiveRun:
    """Take readings of files that a media player shows, with the operator window alone.

    Args:
        sequence: what is read; its codes are those of the files.
        open_visit: gives the visit, open for writing, once the window stands.
        output: the set of files.
        condition: what the run is taken under.
        screen: the screen of the operator window, from 1; the first one where None.
        meter: read on Enter and on F6, where there is one.
        named, times: as above.
        overrides: what the command line changed in the sequence.
        receives: as above; nobody is asked.
        sounds: as above.
        tell: told, before the first step, which steps have no file.

    Raises:
        WindowError: there is no display, or no OpenGL.
        SequenceError: a step cannot be drawn.
        VisitError: the run cannot be kept.
    """
    undone = ExitStack()
    places = choose(screens_here(), screen or 1)
    end_with_server(undone.close)
    _tell_files(sequence, output, tell)
    with ExitStack() as stack:
        operator = OperatorWindow(places.pattern)
        stack.callback(operator.close)
        visit = visit_of(open_visit, meter, stack, undone)
        run = LiveRun(
            sequence,
            visit,
            output,
            condition=condition,
            overrides=overrides,
            typed_with=_typed_with(visit, meter, named),
        )
        if run.screen.signal.transfer.name != "bt1886":
            run.screen.receives = receives
        play_run(
            run,
            output,
            operator,
            meter,
            tell,
            named=named,
            times=times,
            sounds=sounds_if(on=sounds),
        )
    return run


def operator_at(places: Places, stack: ExitStack) -> OperatorWindow | None:
    """The operator window beside the pattern, closed with the stack; None with one screen."""
    if places.operator is None:
        return None
    operator = OperatorWindow(places.operator)
    stack.callback(operator.close)
    return operator


def visit_of(
    open_visit: Callable[[], Visit], meter: Meter | None, stack: ExitStack, undone: ExitStack
) -> Visit:
    """The visit, closed with the stack; `undone` lets go of it and of the meter where the X server
    ends the program."""
    visit = stack.enter_context(open_visit())
    undone.callback(visit.close)
    if meter is not None:
        undone.callback(close, meter)
    return visit


def _typed_with(visit: Visit, meter: Meter | None, named: Named) -> int | None:
    """The visit's id of the meter whose readings are typed; None where one reads, or is unnamed."""
    if meter is not None or not named.name:
        return None
    return typed_with(visit, named.name, named.role or "spot meter").id


def play_run(  # noqa: PLR0913 - what the command line may say, each by its name
    run: LiveRun,
    output: WindowOutput | FilesOutput,
    operator: OperatorWindow | None,
    meter: Meter | None,
    tell: Tell,
    *,
    named: Named,
    times: Times,
    unattended: bool = False,
    appearance: Appearance | None = None,
    sounds: Sounds | None = None,
) -> None:
    """Play until the operator leaves."""
    look = appearance or (operator.appearance if operator is not None else Appearance())
    if run.message:
        tell(run.message)
    window = output if isinstance(output, WindowOutput) else None
    panels = Panels(strip_there=window is not None and operator is None)
    strip, measuring = None, None
    if window is not None and operator is None:
        strip = Strip(window.pattern.window, panels, run.screen.settle_anew, look)
    if meter is not None:
        instrument = instrument_of(run.visit, meter, named.role, named.name)
        covered = strip.covers_for_now if strip is not None else _never
        measuring = Measuring(run, meter, instrument.id, covered)
        run.adjustment.read_with = instrument.specification
    asks = meter is not None and moves_of(meter) == "ask"
    notices = Notices(run, time.monotonic)
    interruptions = Interruptions(run, window, notices, measuring, mends=unattended)
    controls = Controls(
        run,
        measuring,
        notices=notices,
        panels=panels,
        warm_up=WarmUp(run.visit.about().created_at, times.warm_up),
        # unattended, nobody would bring a picture back; each stands only until it is read
        bright_limit=0.0 if unattended and not asks else times.bright,
        put_back=interruptions.put_back,
        unattended=unattended,
    )
    player = Player(
        controls,
        output,
        operator,
        strip,
        interruptions,
        Awake(),
        look,
        sounds=sounds,
        unattended=unattended,
    )
    player.play()
    if unattended and notices.refusal is not None:
        raise notices.refusal
    if unattended and run.keeping.stuck:
        raise MeterError(stopped(run.keeping.stuck))
    if notices.alert:
        tell(notices.alert)


def sounds_if(*, on: bool) -> Sounds | None:
    return Sounds() if on else None


def _never() -> bool:
    return False


def _tell_files(sequence: Sequence, output: FilesOutput, tell: Tell) -> None:
    """Which steps no file shows; refuses what cannot be drawn."""
    import sequences
    from sequences.model import SequenceError

    problems = sequences.drawable(sequence, output.canvas)
    if problems:
        raise SequenceError(problems)
    missing: list[str] = []
    before, held = None, True
    for step in sequence.steps:
        if step.pattern != before:
            held = output.holds(step.pattern.frame(output.canvas, sequence.signal))
            before = step.pattern
        if not held:
            missing.append(str(step.number))
    if len(missing) == len(sequence.steps):
        raise WindowError(
            "None of the files shows a step of this sequence: they come from another one, or from "
            "an older state of it."
        )
    if missing:
        steps = ", ".join(missing[:12]) + (", …" if len(missing) > 12 else "")
        tell(f"No file shows step {steps}: export the sequence again to have all of them.")
    tell("The patterns are shown by a media player: the window names the file to put up.")


def screens_here() -> list[Any]:
    """The screens of this desktop. Raises WindowError where there is none, or no OpenGL."""
    import pyglet

    # a hidden window of pyglet's own would be the first one, with a framebuffer nobody asked for
    pyglet.options["shadow_window"] = False
    try:
        # pyglet's own names load nothing before they are used
        importlib.import_module("pyglet.window")
    except ImportError as error:
        raise WindowError(
            f"OpenGL is missing on this computer, so there can be no windows ({error})."
        ) from error
    # the exception for it is known only where there is an X server to be missed
    missing: tuple[type[Exception], ...] = ()
    if pyglet.compat_platform == "linux":
        missing = (importlib.import_module("pyglet.display.xlib").NoSuchDisplayException,)
    try:
        return list(pyglet.display.get_display().get_screens())
    except missing as error:
        raise WindowError(
            "No display can be opened: start the player on the desktop of the computer."
        ) from error


def _require_no_flashing(
    sequence: Sequence, output: WindowOutput, overrides: Mapping[str, object]
) -> None:
    """Ask again on the real screen: what moves by the frame flashes more often on a faster one."""
    if "flashing_confirmed" in overrides:
        return
    if found := flashing_on(sequence, output):
        raise WindowError(
            f"At {float(output.canvas.refresh):.6g} Hz {found[0]}; read docs/safety.md, and add "
            "--flashing-confirmed where nobody at risk sees the display."
        )


def flashing_on(sequence: Sequence, output: WindowOutput) -> list[str]:
    """What of a sequence flashes on this screen."""
    from sequences.flashing import flashing_steps

    shown = sequence.signal.shown_at(output.bits, output.range)
    return [str(step) for step in flashing_steps(sequence, output.canvas, shown)]


def require_drawable(sequence: Sequence, output: WindowOutput) -> None:
    """Refuse what cannot be drawn on this screen. Raises SequenceError."""
    import sequences
    from sequences.model import SequenceError

    shown = sequence.signal.shown_at(output.bits, output.range)
    if problems := sequences.drawable(sequence, output.canvas, shown):
        raise SequenceError(problems)


def _tell_first(sequence: Sequence, output: WindowOutput, places: Places, tell: Tell) -> None:
    """What the operator has to know before the first step; refuses what cannot be drawn."""
    require_drawable(sequence, output)
    shown = sequence.signal.shown_at(output.bits, output.range)
    tell(output.pattern.describe())
    error = largest_error(sequence, output.canvas, shown)
    if error is None:
        tell(f"At {output.bits} bits, {output.range} range, every level is exact.")
    else:
        tell(f"At {output.bits} bits, {output.range} range, the largest error of a level: {error}.")
    shown_on = f"The patterns are on screen {places.number}, {screen_name(places.pattern)}"
    if places.operator is not None:
        tell(f"{shown_on}; the operator window is on {screen_name(places.operator)}.")
    if places.operator is None:
        tell(
            "There is one screen, which shows the pattern: typing brings the operator strip up, "
            "F3 holds it, F1 lists the keys, Escape twice leaves."
        )
