"""``litfield demo``: a whole visit on the simulated display."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from player.commands.common import console, folder_to_write, progress, say, seed_of
from player.outcome import CommandError

if TYPE_CHECKING:
    from player.simulated import SimulatedDisplay
    from readings.visit.visit import Visit

SPOT, REFERENCE = "simulated", "simulated:reference"
RUNS = (
    ("black-and-contrast", False, SPOT, ""),
    ("black-and-contrast", True, SPOT, ""),
    ("peak-by-area", True, SPOT, ""),
    ("greyscale-11", True, SPOT, ""),
    ("zone-count", True, SPOT, ""),
    ("meter-correction", True, SPOT, "spot meter, "),
    ("meter-correction", True, REFERENCE, "reference, "),
)
"""Of each run of the demo's visit: sequence, whether it dims, meter, and what its condition begins
with."""
ADJUSTING = (
    ("greyscale-11", False, SPOT, "as found, "),
    ("adjust-two-then-ten", False, SPOT, ""),
    ("greyscale-11", False, SPOT, "as left, "),
)
"""The same of what comes once the spot meter is corrected, where the display has a menu."""
FILES = "black-and-contrast"
"""The sequence that the demo writes as files."""


@click.command()
@click.option("--to", "target", metavar="DIR", required=True, help="where the results go")
@click.option("--display", metavar="FILE", help="description of the display to simulate")
@click.option(
    "--seed",
    type=int,
    default=1,
    show_default=True,
    callback=seed_of,
    help="of the meter's noise",
)
def command(target: str, display: str | None, seed: int) -> None:
    """A whole visit on a simulated display: pattern files, readings, findings. No window needed."""
    from player.simulated_play import simulated_display

    simulated = simulated_display(display)
    folder = folder_to_write(target)
    visit_path = folder / "lobby.visit"
    if visit_path.exists():
        raise CommandError(
            f"{visit_path} is there already, and a visit is never written over; "
            "name another folder."
        )
    for path in (visit_path, *(folder / name for name in ("files", "readings.csv", "report"))):
        if path.is_symlink():
            raise CommandError(f"{path} is a link; take it away, or name another folder.")
    _write_files(folder)
    _play(visit_path, simulated, seed)
    _tell(visit_path, folder)


def _write_files(folder: Path) -> None:
    import sequences
    from player.commands.exporting import Wanted, write_sequence

    wanted = Wanted(formats=("png",), size="1920x1080")
    write_sequence(sequences.load(FILES), folder / "files", wanted)


def _play(visit_path: Path, display: SimulatedDisplay, seed: int) -> None:
    import sequences
    from patterns.picture.canvas import Canvas
    from player.meters import open_meter
    from player.simulated_play import play_simulated
    from readings.visit.visit import Visit

    canvas = Canvas(3840, 2160)

    def play(runs: tuple[tuple[str, bool, str, str], ...]) -> None:
        for name, dimming, meter, which in runs:
            sequence = sequences.load(name)
            condition = f"{which}local dimming {'on' if dimming else 'off'}"
            _set_dimming(display, on=dimming)
            title = f"{sequence.title}, {condition}"
            with progress(title, len(sequence.steps)) as count:
                play_simulated(
                    sequence,
                    visit,
                    display,
                    canvas=canvas,
                    seed=seed,
                    condition=condition,
                    meter=partial(open_meter, meter),
                    after=count,
                )

    with Visit.create(
        visit_path, display=display.name, place="lobby wall of a harbour museum"
    ) as visit:
        play(RUNS)
        _correct(visit)
        if display.controls:
            play(ADJUSTING)


def _correct(visit: Visit) -> None:
    """Bring the spot meter to the reference, where nothing speaks against it."""
    from readings.evidence.correction.paired import keep, make, taken
    from readings.evidence.measured import evidence

    made = make(*taken(evidence(visit)))
    if made.refused:
        say(f"The meter correction was not kept. {' '.join(made.refused)}")
    else:
        keep(visit, made)


def _set_dimming(display: SimulatedDisplay, *, on: bool) -> None:
    from player.simulated.files import SimulatedError

    try:
        display.dimming = on
    except SimulatedError:
        # a self-emissive display has no dimming: both runs are then of the same setting
        return


def _tell(visit_path: Path, folder: Path) -> None:
    from readings.findings import findings_of
    from readings.report import print_findings, write_report
    from readings.visit.table import write_table
    from readings.visit.visit import Visit

    written = write_report([visit_path], folder / "report")
    with Visit.open(visit_path, write=False) as visit:
        write_table(visit, folder / "readings.csv")
        print_findings(findings_of(visit), console())
    say()
    for path in (folder / "files", visit_path, folder / "readings.csv", *written):
        say(f"Written: {path}")
