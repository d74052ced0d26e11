"""``litfield export``: a sequence as numbered picture files, all that a media player shows of a
plan, or a check of such a set."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from player.commands.common import (
    canvas_of,
    json_option,
    load_sequence,
    require_drawable,
    say,
    signal_option,
    size_option,
)
from player.outcome import CommandError

if TYPE_CHECKING:
    from player.commands.exporting import Wanted
    from sequences.model import Sequence


@click.command()
@click.argument("source", metavar="[SEQUENCE|PLAN]", required=False)
@click.option("--to", "target", metavar="DIR", help="the folder to write into")
@click.option(
    "--as",
    "formats",
    metavar="FORMAT",
    multiple=True,
    default=("png",),
    show_default=True,
    help="png, tiff, exr, dpx, hevc (a clip for each step) or hevc-film (one clip of all steps); "
    "may be given more than once",
)
@click.option(
    "--hold", metavar="TIME", help="of each picture in clips: 20 s; before what SEQUENCE says"
)
@click.option(
    "--rate", metavar="HZ", help="pictures a second in clips, 23.976 to 60; that of --size, or 60"
)
@click.option(
    "--chroma",
    type=click.Choice(["4:2:0", "4:4:4"]),
    default="4:2:0",
    show_default=True,
    help="of clips; few players have 4:4:4",
)
@click.option(
    "--compat", is_flag=True, help="beside each lossless clip one of capped bit rate, not exact"
)
@click.option(
    "--metadata",
    metavar="set|file|CLL,FALL",
    default="set",
    show_default=True,
    help="static HDR metadata: of the whole set in every file, of each file, or these, in cd/m2",
)
@click.option(
    "--flashing-confirmed",
    is_flag=True,
    help="you have made sure that nobody at risk sees clips that flash; kept in manifest.csv",
)
@click.option(
    "--verify",
    "check",
    metavar="DIR",
    help="read a set, or a folder of them, again; says which files differ",
)
@json_option
@signal_option
@size_option
def command(**options: Any) -> int:
    """Write SEQUENCE as numbered files with manifest.csv, SHA256SUMS and overviews to print.

    Of a PLAN: one such set in a folder of its own for each sequence that a media player shows.

    Steps in a row that show the same picture share one file, numbered after the first of them; the
    lists and the overviews say which. An export that was cut off goes on where it stopped when it
    is asked for again. Clips that would flash more than three times a second, alone or one after
    another, are not written before --flashing-confirmed.
    """
    check, source, target = options.pop("check"), options.pop("source"), options.pop("target")
    as_json = options.pop("as_json")
    if check is not None:
        if source is not None or target is not None:
            raise CommandError("--verify takes a folder only, and writes nothing.")
        from player.commands.verifying import verify_sets

        return verify_sets(Path(check), as_json=as_json)
    if source is None or target is None or not target.strip():
        raise CommandError("An export needs a SEQUENCE or a PLAN, and a folder: --to DIR.")
    if as_json:
        raise CommandError("--json goes with --verify; an export writes manifest.csv.")
    wanted = _wanted(**options)
    for sequence, folder in _sets(source, Path(target), wanted):
        _write(sequence, folder, wanted)
    return 0


def _sets(source: str, target: Path, wanted: Wanted) -> list[tuple[Sequence, Path]]:
    """What to write, and where; everything that can be wrong with a plan is found before."""
    from player.plan_checks import set_folders
    from readings.findings import FINDINGS
    from sequences.plans import is_plan, load_plan

    if not is_plan(source):
        return [(load_sequence(source, wanted.signal_name), target)]
    if wanted.signal_name is not None:
        raise CommandError("--signal is about a sequence: those of a plan keep their own.")
    plan = load_plan(source, FINDINGS)
    sets = set_folders(plan.sequences("files"), target)
    for sequence, _ in sets:
        require_drawable(sequence, canvas_of(wanted.size))
    if not sets:
        say(f"Nothing was written: no task of {source} has output: files, so no stick is needed.")
    return sets


def _wanted(**options: Any) -> Wanted:
    from player.commands.exporting import Wanted, hold_of, metadata_of, rate_of

    return Wanted(
        formats=options["formats"],
        size=options["size"],
        signal_name=options["signal_name"],
        hold=hold_of(options["hold"]),
        rate=rate_of(options["rate"]),
        chroma=options["chroma"],
        compat=options["compat"],
        metadata=metadata_of(options["metadata"]),
        flashing_confirmed=options["flashing_confirmed"],
    )


def _write(sequence: Sequence, target: Path, wanted: Wanted) -> None:
    from player.commands.exporting import write_sequence
    from sequences.model import CAUTIONS

    made = write_sequence(sequence, target, wanted)
    say(f"{len(made.files)} files written to {made.folder}.")
    for number, steps in made.shared.items():
        say(f"The picture numbered {number} is for steps {steps}.")
    if made.kept:
        say(f"{made.kept} of them were there from an export that was cut off.")
    if made.light is not None:
        content, frame = (each / 10_000 for each in (made.light.max_cll, made.light.max_fall))
        say(f"Every file states MaxCLL {content:.6g} and MaxFALL {frame:.6g} cd/m2.")
    for played in made.flashes:
        say(f"Confirmed, and kept in manifest.csv: {played}.", err=True)
    if made.flashes:
        say(f"{CAUTIONS['flashing']} Read docs/safety.md.", err=True)
    if made.left:
        say(f"Left from an earlier export, and in no list: {', '.join(made.left)}")
