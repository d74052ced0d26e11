"""All that a report says of a visit, read once, as records."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from patterns.aim import NOT_STATED, Aim
from readings.evidence.assumed import with_assumption, without_promises
from readings.evidence.measured import Measured, evidence
from readings.findings import FINDINGS, Finding, findings_from
from readings.report.history import Said, history_of, set_aside
from readings.visit.records import (
    About,
    Correction,
    Instrument,
    Note,
    Run,
    Showing,
    Skip,
    Step,
    Tally,
)
from readings.visit.soundness import Soundness
from readings.visit.table import sheet
from readings.visit.unread import unread_steps
from readings.visit.visit import Visit
from readings.visit.workbook import Sheet


@dataclass(frozen=True, slots=True)
class Unread:
    """A step that asked for a reading and has none."""

    step: int
    label: str
    why: str


@dataclass(frozen=True, slots=True)
class NotWorkedOut:
    """A finding that broke down over the readings of a visit: an error of the program."""

    finding: str
    """Its name in the registry."""
    why: str
    """The exception's name and sentence: `ZeroDivisionError: division by zero`."""


@dataclass(frozen=True, slots=True)
class RunContents:
    """One run and what was kept of it."""

    run: Run
    steps: list[Step]
    skips: list[Skip]
    showings: list[Showing]
    measured: list[Measured]
    retaken: int
    """How many readings were replaced by a retake."""
    tallies: list[Tally]
    stated: Aim = NOT_STATED
    """What its sequence says that the display is meant to do."""
    aside: Said | None = None
    """Who set it aside, when and why; None where it counts."""

    def read_steps(self) -> set[int]:
        """The steps with a current reading, or with presses."""
        return {each.step for each in self.measured} | {each.step for each in self.tallies}

    def unread(self) -> Iterator[Unread]:
        """The steps without a current reading, and why; none of a run that is set aside."""
        if not self.run.counted:
            return
        read = self.read_steps()
        why = {skip.step: skip.why for skip in self.skips}
        shown = {showing.step for showing in self.showings}
        for found in unread_steps(self.steps, read, why, shown):
            yield Unread(found.step.number, found.step.label, found.why)


@dataclass(frozen=True, slots=True)
class VisitContents:
    """One visit, its runs and what they mean."""

    file: str
    """The file's name, without its folder."""
    about: About
    instruments: list[Instrument]
    corrections: list[Correction]
    runs: list[RunContents]
    notes: list[Note]
    findings: list[Finding]
    table: Sheet
    """All readings, replaced ones too, as `readings.visit.table` has them."""
    not_worked_out: list[NotWorkedOut] = field(default_factory=list)
    assumed: list[Finding] = field(default_factory=list)
    """What runs would mean with readings of whose meter nothing is promised, were it the one that
    is assumed (`readings.evidence.assumed`): for verdicts alone."""
    aim: Aim = NOT_STATED
    """What the display is meant to do, as far as it is judged by something of the visit's own."""
    stated: Aim = NOT_STATED
    """The same as this visit states it."""
    soundness: Soundness = field(default_factory=Soundness)
    """Whether the file is as it was written; what is damaged in it is in nothing of the above."""
    history: list[Said] = field(default_factory=list)
    """What was stated afterwards, the latest last."""

    def counted_runs(self) -> list[RunContents]:
        """The runs that are not set aside."""
        return [run for run in self.runs if run.run.counted]

    def readings(self) -> list[Measured]:
        """All current readings that count, run by run."""
        return [reading for run in self.counted_runs() for reading in run.measured]

    def not_found(self) -> list[str]:
        """The findings that no reading of this visit speaks to, by name."""
        known = {found.name for found in self.findings}
        known |= {failed.finding for failed in self.not_worked_out}
        return [name for name in sorted(FINDINGS) if name not in known]


def named_twice(paths: Sequence[Path]) -> str | None:
    """The sentence that refuses one file under two names; None where all are different files."""
    for place, path in enumerate(paths):
        for other in paths[:place]:
            try:
                same = path.samefile(other)
            except OSError:  # whoever opens it says what is wrong with it
                continue
            if same:
                which = f"{path} is named twice" if path == other else f"{other} and {path} are one"
                return f"{which}: name each visit once."
    return None


def gather(path: Path, aim: Aim | None = None) -> VisitContents:
    """Read a whole visit.

    Args:
        path: its file.
        aim: what to judge it by instead of what it states; a run's own sequence goes before both.

    Raises:
        VisitError: the file cannot be read, or is no visit.
    """
    with Visit.open(path, write=False) as visit:
        return contents_of(visit, aim)


def contents_of(visit: Visit, aim: Aim | None = None) -> VisitContents:
    """The same of a visit that is open.

    Raises:
        VisitError: it cannot be read.
    """
    measured = evidence(visit, aim=aim)
    history = history_of(visit)
    runs = _runs(visit, measured, aim, set_aside(history))
    findings, not_worked_out = _worked_out(measured, sorted(FINDINGS))
    assumed, failed = _with_assumption(measured)
    known = {each.finding for each in not_worked_out}
    not_worked_out += [each for each in failed if each.finding not in known]
    return VisitContents(
        file=visit.path.name,
        about=visit.about(),
        instruments=visit.instruments(),
        corrections=visit.corrections(),
        runs=runs,
        notes=visit.notes(),
        findings=findings,
        table=sheet(visit, visit.path.stem),
        not_worked_out=not_worked_out,
        assumed=assumed,
        aim=visit.aim() if aim is None else aim,
        stated=visit.aim(),
        soundness=visit.soundness,
        history=history,
    )


def _runs(
    visit: Visit, measured: Sequence[Measured], aim: Aim | None, aside: Mapping[int, Said]
) -> list[RunContents]:
    """All runs, those that are set aside too, which are in none of the readings that count."""
    everything = visit.readings(replaced=True)
    showings = visit.showings()
    by_run = {each.run: each.aim for each in visit.aims()}
    return [
        RunContents(
            run=run,
            steps=visit.steps(run.id),
            skips=visit.skips(run.id),
            showings=[showing for showing in showings if showing.run == run.id],
            measured=[reading for reading in measured if reading.run == run.id]
            if run.counted
            else evidence(visit, run.id, aim),
            retaken=sum(r.run == run.id and r.replaced_by is not None for r in everything),
            tallies=visit.tallies(run.id),
            stated=by_run.get(run.id, NOT_STATED),
            aside=None if run.counted else aside.get(run.id),
        )
        for run in visit.runs()
    ]


def gather_all(paths: Sequence[Path]) -> list[VisitContents]:
    """Read visits that are told beside each other.

    Before and after of one display are judged by one aim, the one that was stated last: a display
    that was adjusted to an aim is no farther from it than before because it was stated later.

    Raises:
        VisitError: a file cannot be read, or is no visit.
    """
    visits = [gather(path) for path in paths]
    if len({visit.about.display for visit in visits}) > 1:
        return visits
    last = next((visit.aim for visit in reversed(visits) if visit.aim), NOT_STATED)
    return [
        visit if visit.aim == last else gather(path, last)
        for visit, path in zip(visits, paths, strict=True)
    ]


def _with_assumption(
    measured: Sequence[Measured],
) -> tuple[list[Finding], list[NotWorkedOut]]:
    """The findings that limits are for, of the runs with readings of a meter without promises."""
    runs = {reading.run for reading in measured if without_promises(reading)}
    mine = with_assumption(reading for reading in measured if reading.run in runs)
    return _worked_out(mine, [name for name in sorted(FINDINGS) if mine and FINDINGS[name].limits])


def _worked_out(
    measured: Sequence[Measured], names: Sequence[str]
) -> tuple[list[Finding], list[NotWorkedOut]]:
    """Every finding, one by one: what is wrong with one costs none of the others."""
    found: list[Finding] = []
    failed: list[NotWorkedOut] = []
    for name in names:
        try:
            found += findings_from(measured, [name])
        except Exception as error:  # noqa: BLE001 - any: it is told everywhere
            sentence = " ".join(str(error).split())
            kind = type(error).__name__
            failed.append(NotWorkedOut(name, f"{kind}: {sentence}" if sentence else kind))
    return found, failed
