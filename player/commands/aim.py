"""``litfield aim``: say what the display of a visit is meant to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from player.commands.common import say
from player.outcome import CommandError

if TYPE_CHECKING:
    from patterns.aim import Aim


@click.command()
@click.argument("visit_path", metavar="VISIT")
@click.option("--curve", help='bt1886, srgb, or power and an exponent: "power 2.4"')
@click.option(
    "--black", metavar="LUMINANCE", help="luminance of 0 % that the curve starts from: 0.05cd/m2"
)
@click.option(
    "--white", metavar="LUMINANCE", help="luminance that white is meant to have: 120cd/m2"
)
@click.option("--white-point", metavar="X,Y", help="of white and of greys: 0.3127,0.329, as is D65")
@click.option("--none", "withdrawn", is_flag=True, help="take back all that was stated")
def command(
    visit_path: str,
    curve: str | None,
    black: str | None,
    white: str | None,
    white_point: str | None,
    *,
    withdrawn: bool,
) -> None:
    """Say what the display of VISIT is meant to do; without options, what was said.

    Every run of VISIT is judged by it, those of before too; what a sequence states itself goes
    before it. Where nothing is stated, SDR is judged by BT.1886 between the measured white and
    black, PQ and HLG by their own curves, and white by D65.
    """
    from patterns.aim import NOT_STATED, Aim
    from readings.visit.visit import Visit, require_sound

    given = Aim(curve, _luminance(black, "--black"), _luminance(white, "--white"), _xy(white_point))
    if withdrawn and given:
        raise CommandError("--none takes back all that was stated, so nothing goes with it.")
    with Visit.open(visit_path, write=bool(given) or withdrawn) as visit:
        before = visit.aim()
        aim = NOT_STATED if withdrawn else given.over(before)
        if aim != before:
            require_sound(visit.path, visit.soundness)
            visit.state_aim(aim)
    kept = "" if aim == before else f"Kept in {visit_path}. "
    say(f"{kept}{_told(aim)}")


def _told(aim: Aim) -> str:
    from readings.report.wording import aim_text

    return f"Aim: {aim_text(aim)}."


def _luminance(given: str | None, option: str) -> float | None:
    from patterns.errors import ParameterError
    from patterns.signal.measures import parse_measure

    if given is None:
        return None
    try:
        return float(parse_measure(given, ("cd/m2",), "120 cd/m2").number)
    except ParameterError as error:
        raise CommandError(f"{option}: {error}.") from None


def _xy(given: str | None) -> tuple[float, float] | None:
    if given is None:
        return None
    try:
        x, y = (float(each) for each in given.split(","))
    except ValueError:
        raise CommandError(
            f"--white-point is x and y with a comma between, such as 0.3127,0.329, not {given}."
        ) from None
    return x, y
