"""``litfield correct``: bring a spot meter to a reference, from a paired run in a visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from player.commands.common import console, json_option, say
from player.outcome import NOT_FINISHED, CommandError

if TYPE_CHECKING:
    from readings.evidence.correction.paired import Made, Taken
    from readings.evidence.measured import Measured
    from readings.visit.records import Instrument
    from readings.visit.visit import Visit

SEQUENCE = "meter-correction"


@click.command()
@click.argument("visit_path", metavar="VISIT")
@click.option("--run", type=int, metavar="N", help="the run with the meter to be corrected")
@click.option("--reference-run", type=int, metavar="N", help="the run with the reference")
@click.option("--look", is_flag=True, help="say what the correction would be, and keep nothing")
@click.option("--anyway", is_flag=True, help="keep it though something speaks against it")
@json_option
def command(
    visit_path: str,
    run: int | None,
    reference_run: int | None,
    look: bool,
    anyway: bool,
    as_json: bool,
) -> None:
    """Make a meter correction from red, green, blue and white read with two instruments.

    The colours are those of the sequence meter-correction, played once with each instrument into
    VISIT. The latest run of each counts unless a run is named. The correction is kept in VISIT;
    from then on findings use the corrected readings of that meter, with those as read beside them.
    """
    from readings.evidence.correction.matrix import CorrectionError
    from readings.evidence.correction.paired import keep, make
    from readings.visit.visit import Visit, require_sound

    with Visit.open(visit_path, write=not look) as visit:
        require_sound(visit.path, visit.soundness)
        meter, reference = _sides(visit, run, reference_run)
        try:
            made = make(meter, reference)
        except CorrectionError as error:
            raise CommandError(f"There is no correction: {error}") from error
        refused = bool(made.refused) and not anyway
        there = _there(visit, made)
        kept = there
        if kept is None and not look and not refused:
            kept = keep(visit, made).id
    if as_json:
        import json

        say(json.dumps(_as_data(made, kept)))
    else:
        _print(made)
    if refused and not look:
        raise CommandError(
            f"The correction was not kept. {' '.join(made.refused)} "
            "--anyway keeps it all the same.",
            NOT_FINISHED,
        )
    if as_json:
        return
    if kept is None:
        say("Nothing was kept.")
    elif kept == there:
        say(f"Correction {kept} in {visit_path} is the same: it is there already.")
    else:
        say(f"Correction {kept} is kept in {visit_path}: findings use it from now on.")


def _there(visit: Visit, made: Made) -> int | None:
    """The correction of this meter that counts now, where this one would say the same."""
    kept = (each for each in visit.corrections() if each.counted)
    mine = [each for each in kept if each.from_instrument == made.meter.instrument]
    same = bool(mine) and (
        mine[-1].to_instrument == made.reference.instrument
        and list(mine[-1].matrix) == list(made.matrix)
        and mine[-1].method == made.method()
    )
    return mine[-1].id if same else None


def _sides(visit: Visit, run: int | None, reference_run: int | None) -> tuple[Taken, Taken]:
    """The latest readings for a correction with each instrument, or those of the runs named."""
    from readings.evidence.correction.paired import taken
    from readings.evidence.measured import evidence

    everything = evidence(visit)
    found = taken(everything)
    instruments = {known.id: known for known in visit.instruments()}
    for number in (run, reference_run):
        if number is not None:
            if not visit.run(number).counted:
                raise CommandError(
                    f"Run {number} is set aside, so no correction is made of it; "
                    f"litfield visit {visit.path} --run {number} --count-again has it count again."
                )
            _require_colours(found, number, unnamed=_unnamed(everything, number))
    reference = _latest(found, instruments, "reference", reference_run)
    meter = _latest(found, instruments, "spot meter", run, not_with=reference)
    return meter, reference


def _unnamed(everything: list[Measured], run: int) -> bool:
    from readings.evidence.correction.paired import colour_of

    return any(each.run == run and not each.with_meter and colour_of(each) for each in everything)


def _require_colours(found: list[Taken], run: int, *, unnamed: bool) -> None:
    if any(side.run == run for side in found):
        return
    if unnamed:
        raise CommandError(
            f"The colours of run {run} were typed without naming the meter, so nothing can be "
            "corrected by them: play it again with --instrument."
        )
    raise CommandError(f"Run {run} has no readings for a correction; play {SEQUENCE}.")


def _latest(
    found: list[Taken],
    instruments: dict[int, Instrument],
    role: str,
    run: int | None,
    not_with: Taken | None = None,
) -> Taken:
    """The latest side of a role; in a run that is named, the one of that role comes first."""
    if run is not None:
        mine = [side for side in found if side.run == run]
        other = not_with.instrument if not_with else None
        # of two instruments in one run: the right role first, and never the other side's
        mine.sort(key=lambda s: (s.instrument != other, instruments[s.instrument].role == role))
        return mine[-1]
    mine = [side for side in found if instruments[side.instrument].role == role]
    if not mine:
        raise CommandError(
            f"No {role} has read the colours for a correction in this visit; play {SEQUENCE} with "
            f"it, or name its run with {'--run' if role == 'spot meter' else '--reference-run'}."
        )
    return mine[-1]


def _as_data(made: Made, kept: int | None) -> dict[str, object]:
    return {
        "kept": kept,
        "meter": made.meter.name,
        "reference": made.reference.name,
        "method": made.method(),
        "matrix": made.matrix,
        "refused": made.refused,
        **made.fit(),
    }


def _print(made: Made) -> None:
    """The matrix, what is left of each colour, and what speaks against it."""
    from rich.table import Table

    screen = console()
    screen.print(
        f"{made.meter.name} (run {made.meter.run}) to {made.reference.name} "
        f"(run {made.reference.run}), by the four-colour matrix method",
        markup=False,
    )
    matrix = Table("matrix", "X", "Y", "Z", box=None, pad_edge=False)
    for name, row in zip("XYZ", made.found.matrix.tolist(), strict=True):
        matrix.add_row(f"corrected {name}", *(f"{value:.6f}" for value in row))
    screen.print(matrix)
    screen.print()
    left = Table("left over", "x", "y", "luminance", "", box=None, pad_edge=False)
    for each in made.left:
        left.add_row(
            each.colour,
            f"{_zero(each.x, 5):+.5f}",
            f"{_zero(each.y, 5):+.5f}",
            f"{_zero(100 * each.luminance, 2):+.2f} %",
            "fitted" if each.fitted else "check",
        )
    screen.print(left)
    for guarded in made.guarded:
        kind = "Against it" if guarded.refuses else "Note"
        screen.print(f"{kind}: {guarded.sentence}", markup=False)


def _zero(value: float, places: int) -> float:
    """Rounded, and without the sign of a zero."""
    return round(value, places) + 0.0
