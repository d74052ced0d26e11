"""``litfield play``: show a sequence and keep what is read."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from player.commands.asking import confirmed_condition
from player.commands.common import (
    canvas_of,
    console,
    load_sequence,
    one_line,
    progress,
    require_drawable,
    say,
    seed_of,
    signal_option,
    size_option,
)
from player.commands.instruments import AskedInstrument, asked_instrument, instrument_options
from player.commands.metering import Metering, MeterWishes, meter_options
from player.commands.timing import time_options
from player.outcome import NOT_FINISHED, CommandError

if TYPE_CHECKING:
    from patterns.control import Control
    from patterns.picture.canvas import Canvas
    from patterns.signal.quantise import Range
    from player.meters.base import Meter, Moves
    from player.outputs.files import FilesOutput
    from player.simulated import SimulatedDisplay
    from readings.visit.visit import Visit
    from sequences.model import Sequence


ONLY_SIMULATED = {
    "size": ": windows have the size of their screens, and files that of their set",
    "display": "",
    "seed": "",
}
"""Options that mean nothing on a real display, and why."""


_FIRST = (
    click.option(
        "--visit",
        "visit_path",
        metavar="FILE",
        required=True,
        help="the visit that keeps the readings; a new one where there is none",
    ),
    click.option("--screen", type=int, metavar="N", help="show on this screen, counted from 1"),
    click.option(
        "--condition",
        default="",
        metavar="TEXT",
        callback=one_line,
        help="such as 'local dimming off'",
    ),
)
_THEN = (
    click.option(
        "--controls",
        "controls_path",
        metavar="FILE",
        help="the controls of the display, for steps that adjust it; without it the window asks",
    ),
    click.option(
        "--unattended",
        is_flag=True,
        help="read every step through the meter, no key; exit code 1 where one was not read",
    ),
    click.option(
        "--output",
        "output_name",
        type=click.Choice(["window", "files", "simulated"]),
        default="window",
        show_default=True,
    ),
    click.option(
        "--files", metavar="DIR", help="with files: the exported set that the media player has"
    ),
    click.option(
        "--range",
        "range_name",
        type=click.Choice(["full", "narrow"]),
        default="full",
        show_default=True,
        help="the range that the link to the display is set to",
    ),
    click.option(
        "--display-receives",
        "receives",
        type=click.Choice(["pq", "hlg", "sdr", "unknown"]),
        help="what the display reports that it receives while PQ or HLG is shown; without it, the "
        "window asks",
    ),
    click.option(
        "--flashing-confirmed",
        is_flag=True,
        help="you have made sure that nobody at risk sees patterns that flash; kept with the run",
    ),
    click.option(
        "--sounds",
        is_flag=True,
        help="short sounds when a reading is kept or refused, a step has settled, the run is done",
    ),
    click.option(
        "--name",
        default="",
        metavar="TEXT",
        callback=one_line,
        help="the display's name, for a new visit",
    ),
    click.option(
        "--settings",
        default="",
        metavar="TEXT",
        callback=one_line,
        help="how the display is set, for a new visit",
    ),
    click.option(
        "--place",
        default="",
        metavar="TEXT",
        callback=one_line,
        help="where it hangs, for a new visit",
    ),
    click.option("--display", metavar="FILE", help="with simulated: the display's description"),
    click.option(
        "--seed",
        type=int,
        default=1,
        show_default=True,
        callback=seed_of,
        help="with simulated: its noise",
    ),
    signal_option,
    size_option,
)


def play_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what is played on, read with and kept in to a command."""
    for option in reversed(_THEN):
        command = option(command)
    command = meter_options(instrument_options(time_options(command)))
    for option in reversed(_FIRST):
        command = option(command)
    return command


@click.command()
@click.argument("source", metavar="SEQUENCE")
@play_options
def command(**options: Any) -> None:
    """Show SEQUENCE step by step and keep every reading in the visit FILE.

    A run that was left is taken up at its next step.
    """
    play(asked_options(**options))


def asked_options(**options: Any) -> Options:
    """What was asked of the command that runs. Raises CommandError where that makes no sense."""
    source = click.get_current_context().get_parameter_source
    for name, why in ONLY_SIMULATED.items():
        if source(name) is ParameterSource.COMMANDLINE and options["output_name"] != "simulated":
            raise CommandError(f"--{name} goes with --output simulated{why}.")
    return Options(**options)


@dataclass(frozen=True, kw_only=True)
class Options(MeterWishes):
    """What was asked on the command line."""

    source: str
    visit_path: str
    screen: int | None
    condition: str
    instrument: str
    reference: bool
    warm_up: float | None
    minutes: float | None
    longest_bright: float | None
    controls_path: str | None
    unattended: bool
    output_name: str
    files: str | None
    range_name: Range
    receives: str | None
    flashing_confirmed: bool
    sounds: bool
    name: str
    settings: str
    place: str
    display: str | None
    seed: int
    signal_name: str | None
    size: str


def play(asked: Options) -> None:
    """Play as asked; everything that can be wrong is found before the visit is touched."""
    from player.visits import open_or_create, require_fit
    from sequences.model import CAUTIONS

    simulated = asked.output_name == "simulated"
    _require_output(asked)
    instrument = _instrument(asked)
    if asked.unattended and not simulated and asked.meter_name is None:
        raise CommandError("--unattended needs a --meter to read the steps.")
    if simulated and not asked.unattended:
        raise CommandError("A simulated display is read by its meter: add --unattended.")
    path = Path(asked.visit_path)
    require_fit(path, name=asked.name, settings=asked.settings, place=asked.place)
    sequence = load_sequence(asked.source, asked.signal_name)
    asked, controls = _with_controls(asked, sequence)
    if simulated:
        require_drawable(sequence, canvas_of(asked.size))
        display = _display(asked.display)
    output = _files(asked, sequence) if asked.files is not None else None
    metering = Metering(
        asked,
        on_simulated=simulated,
        specification=instrument.specification,
        moves=instrument.moves,
        dark_in_window=not asked.unattended,
    )
    overrides = _overrides(asked)
    for caution in sequence.cautions:
        say(CAUTIONS[caution], err=True)
    canvas = canvas_of(asked.size) if output is None else output.canvas
    if asked.unattended:
        _tell_passed_over(sequence, canvas, metering.moves)
    flashing = _confirmed_flashing(sequence, asked, canvas, output)
    if flashing or asked.flashing_confirmed:
        overrides["flashing_confirmed"] = flashing
    known = canvas if output is not None or simulated else None
    condition = confirmed_condition(path, sequence, asked.condition, asked.output_name, known)
    asked = replace(asked, condition=condition)

    def open_visit() -> Visit:
        visit = open_or_create(path, name=asked.name, settings=asked.settings, place=asked.place)
        metering.keep_in(visit)
        if metering.meter is None:
            instrument.keep_in(visit)
        return visit

    with metering.at_hand():
        if simulated:
            with open_visit() as visit:
                run = _play_simulated(
                    sequence, visit, asked, display, overrides, metering, controls
                )
        else:
            run = _play_in_windows(
                sequence, open_visit, asked, instrument, output, metering.meter, overrides, controls
            )
    _tell(path, run, sequence, unattended=asked.unattended)


def _overrides(asked: Options) -> dict[str, object]:
    """What the command line changes in the sequence, as the run keeps it."""
    from player.run.record import MINUTES

    asked_for = {"signal": asked.signal_name, MINUTES: asked.minutes}
    return {name: value for name, value in asked_for.items() if value is not None}


def _with_controls(asked: Options, sequence: Sequence) -> tuple[Options, tuple[Control, ...]]:
    """The controls of the file that was asked for; the name of its display for a new visit.

    Raises:
        CommandError: a step adjusts by none of them, or they are those of another display.
    """
    from player.visits import named_by
    from sequences.controls import load_controls

    path = asked.controls_path
    if path is None:
        return asked, ()
    given = load_controls(path)
    there = {control.menu for control in given.controls}
    adjusting = [each for each in sequence.steps if each.read is not None and each.read.adjusts]
    if not adjusting:
        raise CommandError("--controls goes with a sequence that adjusts the display.")
    for step in adjusting:
        menus = step.read.adjusts if step.read is not None else ()
        if not there & set(menus):
            raise CommandError(
                f"{path} has no {' or '.join(menus)} controls, and step {step.number} adjusts by "
                "them."
            )
    name = named_by(Path(asked.visit_path), asked.name, given, path)
    return replace(asked, name=name), given.controls


def _require_output(asked: Options) -> None:
    """What goes with an output, and what does not."""
    if asked.output_name == "simulated" and asked.sounds:
        raise CommandError("--sounds goes with windows: nobody listens to a simulated display.")
    if asked.output_name == "simulated" and asked.receives:
        raise CommandError(
            "A simulated display takes what it is sent: --display-receives is left out."
        )
    if (asked.output_name == "files") != (asked.files is not None):
        raise CommandError("--output files goes with --files DIR, the exported set.")
    if asked.files is not None and asked.unattended:
        raise CommandError("Somebody has to put the files up: --unattended goes without them.")


def _instrument(asked: Options) -> AskedInstrument:
    if asked.output_name == "simulated" and (asked.instrument or asked.reference):
        raise CommandError(
            "A simulated instrument has its own name and specification, so --instrument and "
            "--reference are left out: --meter simulated:reference is the reference."
        )
    if asked.reference and not asked.instrument and asked.meter_name is None:
        raise CommandError("--reference goes with --instrument NAME or with --meter.")
    return asked_instrument(asked.instrument, reference=asked.reference)


def _files(asked: Options, sequence: Sequence) -> FilesOutput:
    from patterns.control import ADJUSTING
    from player.outputs.files import open_files

    if all(step.role == ADJUSTING for step in sequence.steps):
        raise CommandError(
            "An adjustment puts up pictures as it goes, and a media player cannot: leave --output "
            "files out."
        )
    return open_files(Path(asked.files or ""), sequence.signal)


def _tell_passed_over(sequence: Sequence, canvas: Canvas, moves: Moves) -> None:
    """How many steps a meter could read, and will not where it is."""
    from player.run.pointing import passed_over
    from player.run.unattended import by_meter

    steps = [step for step in sequence.steps if by_meter(step)]
    whys = Counter(why for step in steps if (why := passed_over(step, moves, canvas)))
    for why, count in whys.items():
        say(f"Passed over, {count} of {len(steps)} steps that a meter can read: {why}.", err=True)


def _confirmed_flashing(
    sequence: Sequence, asked: Options, canvas: Canvas, output: FilesOutput | None
) -> list[str]:
    """What flashes too often; refused unless the operator takes responsibility."""
    from sequences.flashing import flashing_steps
    from sequences.model import CAUTIONS

    steps = [str(step) for step in flashing_steps(sequence, canvas)]
    files = [] if output is None else output.flashing
    if not (steps or files):
        return []
    for what, found in (("steps", steps), ("files", files)):
        if found:
            say(f"These {what} flash more often than three times a second:", err=True)
        for each in found:
            say(f"  {each}", err=True)
    say(f"{CAUTIONS['flashing']} Read docs/safety.md.", err=True)
    if asked.flashing_confirmed:
        return steps + files
    if not sys.stdin.isatty():
        these = "these steps need" if steps else "these files need"
        raise CommandError(f"Nothing was shown: {these} --flashing-confirmed.")
    if not click.confirm("Is nobody at risk in sight of the display?", default=False, err=True):
        raise CommandError("Nothing was shown.", NOT_FINISHED)
    return steps + files


def _display(source: str | None) -> SimulatedDisplay:
    from player.simulated_play import simulated_display

    return simulated_display(source)


def _play_in_windows(
    sequence: Sequence,
    open_visit: Callable[[], Visit],
    asked: Options,
    instrument: AskedInstrument,
    output: FilesOutput | None,
    meter: Meter | None,
    overrides: dict[str, object],
    controls: tuple[Control, ...],
) -> int:
    """In the pattern window, or with ``output`` beside a media player; the run's id."""
    from player.windows.errors import WindowError
    from player.windows.loop import Named, Times, play_beside_media_player, play_in_windows

    common: dict[str, Any] = {
        "condition": asked.condition,
        "named": Named(instrument.name, instrument.role),
        "times": Times(asked.warm_up or 0.0, asked.longest_bright),
        "screen": asked.screen,
        "meter": meter,
        "overrides": overrides,
        "receives": asked.receives or "",
        "sounds": asked.sounds,
        "tell": lambda line: say(line, err=True),
    }
    try:
        if output is not None:
            return play_beside_media_player(sequence, open_visit, output, **common).id
        return play_in_windows(
            sequence,
            open_visit,
            range_=asked.range_name,
            unattended=asked.unattended,
            controls=controls,
            **common,
        ).id
    except WindowError as error:
        raise CommandError(str(error), error.exit_code) from error


def _play_simulated(
    sequence: Sequence,
    visit: Visit,
    asked: Options,
    display: SimulatedDisplay,
    overrides: dict[str, object],
    metering: Metering,
    controls: tuple[Control, ...],
) -> int:
    from player.simulated_play import play_simulated

    with progress(sequence.title, len(sequence.steps)) as count:
        return play_simulated(
            sequence,
            visit,
            display,
            canvas=canvas_of(asked.size),
            seed=asked.seed,
            condition=asked.condition,
            controls=controls,
            overrides=overrides,
            meter=metering.make,
            ask=metering.ask_to_point,
            after=count,
        ).id


def _tell(path: Path, run: int, sequence: Sequence, *, unattended: bool) -> None:
    """What was found, and last of all what has no reading; unattended, that is a failure."""
    from player.run.unread import altered_told, require_readings, unread_of
    from readings.findings import findings_of
    from readings.report import print_findings
    from readings.visit.visit import Visit

    with Visit.open(path, write=False) as visit:
        unread = unread_of(visit, run, sequence)
        if sequence.finds and unread.count < unread.asked:
            print_findings([each for each in findings_of(visit) if each.run == run], console())
        altered = altered_told(visit, run)
    if altered:
        say(altered, err=True)
    if unattended:
        require_readings(unread)
    elif unread.text:
        say(unread.text, err=True)
