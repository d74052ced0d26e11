"""``litfield visit FILE --plan PLAN``: a whole sitting in one pair of windows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from player.commands.common import one_line, say
from player.commands.metering import Metering, MeterWishes, meter_options
from player.commands.timing import time_options
from player.outcome import CommandError

if TYPE_CHECKING:
    from patterns.control import Control
    from patterns.signal.quantise import Range
    from readings.visit.records import Stating
    from readings.visit.visit import Visit
    from sequences.model import Sequence
    from sequences.plans.model import Plan

Command = TypeVar("Command", bound=Callable[..., Any])

_OPTIONS = (
    click.option("--plan", "plan_source", metavar="PLAN", callback=one_line, default="",
                 help="sit down with the display by this plan: a YAML file, or a shipped one"),
    click.option("--screen", type=int, metavar="N",
                 help="with --plan: show patterns on this screen, counted from 1"),
    click.option("--instrument", metavar="NAME|FILE.yaml", callback=one_line, default="",
                 help="with --plan: the spot meter, also where its readings are typed"),
    click.option("--reference", metavar="NAME|FILE.yaml", callback=one_line, default="",
                 help="with --plan: the reference, whose readings are typed"),
    click.option("--range", "range_name", type=click.Choice(["full", "narrow"]),
                 help="with --plan: the range that the link to the display is set to"),
    click.option("--controls", "controls_path", metavar="FILE",
                 help="with --plan: the controls of the display, for tasks that adjust it"),
    click.option("--files", metavar="DIR",
                 help="with --plan: the exported sets that a media player has"),
    click.option("--flashing-confirmed", is_flag=True,
                 help="with --plan: nobody at risk sees patterns that flash; kept with the runs"),
    click.option("--sounds", is_flag=True,
                 help="with --plan: short sounds when something is kept, refused, settled, done"),
)  # fmt: skip


def sitting_options(command: Command) -> Command:
    """Add the options of a sitting to a command."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return cast("Command", meter_options(time_options(command)))


@dataclass(frozen=True, kw_only=True)
class AskedSitting(MeterWishes):
    """What was asked on the command line; what is left out is as it was in the visit."""

    plan_source: str
    screen: int | None
    instrument: str
    reference: str
    range_name: Range | None
    files: str | None
    controls_path: str | None
    flashing_confirmed: bool
    sounds: bool
    warm_up: float | None
    minutes: float | None
    longest_bright: float | None

    def with_what_was_stated(self, said: dict[str, str]) -> AskedSitting:
        """The same with what the visit remembers, where nothing was asked."""
        screen = said.get("screen", "")
        return replace(
            self,
            meter_name=self.meter_name or said.get("meter") or None,
            instrument=self.instrument or said.get("instrument", ""),
            reference=self.reference or said.get("reference", ""),
            range_name=self.range_name or cast("Range", said.get("range", "full")),
            screen=int(screen) if self.screen is None and screen.isdecimal() else self.screen,
        )

    def require_none(self) -> None:
        """Refuse what goes with a plan alone. Raises CommandError."""
        for each in fields(self):
            if getattr(self, each.name) not in (None, "", False, ()):
                raise CommandError("That goes with --plan PLAN, a sitting: name the plan.")

    def stated(self) -> dict[Stating, str]:
        """What the visit is to remember of it."""
        given: dict[Stating, str] = {
            "meter": self.meter_name or "",
            "instrument": self.instrument,
            "reference": self.reference,
            "range": self.range_name or "",
            "screen": "" if self.screen is None else str(self.screen),
        }
        return {what: value for what, value in given.items() if value}


def sit(path: str, asked: AskedSitting, *, name: str, settings: str, place: str) -> None:
    """Sit down with a display by a plan; everything that can be wrong is found before it begins.

    Args:
        path: the visit, a new one where there is none.
        asked: what was asked.
        name, settings, place: of the display, for a new visit.
    """
    from player.commands.instruments import asked_instrument
    from player.visits import named_by, open_or_create, require_fit
    from player.windows.errors import WindowError
    from player.windows.loop import Named, Times
    from player.windows.sitting.loop import sit_in_windows
    from sequences.controls import load_controls
    from sequences.duration import sequence_seconds
    from sequences.plans.loading import USUAL_CANVAS

    plan = _plan(asked)
    require_fit(Path(path), name=name, settings=settings, place=place)
    controls: tuple[Control, ...] = ()
    if asked.controls_path is not None:
        given = load_controls(asked.controls_path)
        name = named_by(Path(path), name, given, asked.controls_path)
        controls = given.controls
    asked = asked.with_what_was_stated(_stated(path))
    instrument = asked_instrument(asked.instrument, reference=False)
    reference = asked_instrument(asked.reference, reference=True)
    metering = Metering(
        asked,
        on_simulated=False,
        specification=instrument.specification,
        moves=instrument.moves,
        dark_in_window=True,
    )

    def open_visit() -> Visit:
        visit = open_or_create(Path(path), name=name, settings=settings, place=place)
        metering.keep_in(visit)
        if metering.meter is None:
            instrument.keep_in(visit)
        reference.keep_in(visit)
        before = visit.stated()
        for what, value in asked.stated().items():
            if before.get(what) != value:
                visit.state(what, value)
        return visit

    with metering.at_hand():
        try:
            sit_in_windows(
                plan,
                open_visit,
                load=load,
                minutes=lambda sequence: sequence_seconds(sequence, USUAL_CANVAS) / 60,
                screen=asked.screen,
                range_=asked.range_name or "full",
                meter=metering.meter,
                named=Named(instrument.name, instrument.role),
                reference=reference.name,
                times=Times(asked.warm_up or 0.0, asked.longest_bright),
                files=None if asked.files is None else Path(asked.files),
                controls=controls,
                overrides={"flashing_confirmed": []} if asked.flashing_confirmed else {},
                sounds=asked.sounds,
                tell=lambda line: say(line, err=True),
            )
        except WindowError as error:
            raise CommandError(str(error), error.exit_code) from error
    _tell_the_rest(path, plan)


def _plan(asked: AskedSitting) -> Plan:
    from readings.findings import FINDINGS
    from sequences.plans.loading import load_plan

    plan = load_plan(asked.plan_source, FINDINGS)
    return plan if asked.minutes is None else replace(plan, minutes=asked.minutes)


def load(source: str) -> Sequence:
    """A sequence by its file or shipped name, as tasks that were added on the spot have it."""
    import sequences
    from readings.findings import FINDINGS

    return sequences.load(source, FINDINGS)


def _stated(path: str) -> dict[str, str]:
    """What the visit remembers; nothing where there is none yet."""
    from readings.visit.visit import Visit

    if not Path(path).exists():
        return {}
    with Visit.open(path, write=False) as visit:
        return visit.stated()


def _tell_the_rest(path: str, plan: Plan) -> None:
    """What is left of the plan, and how to go on."""
    from player.sitting.sitting import Sitting
    from readings.visit.visit import Visit

    with Visit.open(path, write=False) as visit:
        if visit.plan() is None:
            return
        lines = Sitting(plan, visit, load, lambda _: 0.0).lines()
    left = [each.task.label for each in lines if each.state in ("to come", "begun")]
    if not left:
        say("Every task of the plan is done.", err=True)
        return
    named = "; ".join(left[:3]) + ("; …" if len(left) > 3 else "")
    many = "1 task is" if len(left) == 1 else f"{len(left)} tasks are"
    say(f"{many} left: {named}. The same command takes the sitting up there.", err=True)
