"""What a visit is told of a run: its plan, and each frame that is shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.outputs.base import Guard, Output
from player.run.alike import Earlier
from readings.visit.records import PlannedRun, PlannedStep, Run, Shown
from readings.visit.visit import Visit
from sequences.model import Sequence, Step

MINUTES = "minutes"
"""What was changed in a sequence by saying how much time there is: its order, and nothing shown."""


def planned_run(
    sequence: Sequence,
    output: Output,
    signal: Signal,
    condition: str,
    overrides: Mapping[str, object],
) -> PlannedRun:
    """The record of a run before it begins; ``signal`` is the one that is really shown."""
    return PlannedRun(
        sequence_title=sequence.title,
        sequence_text=sequence.text,
        sequence_source=sequence.source,
        condition=condition,
        signal_asked=sequence.signal.describe(),
        signal_shown=signal.describe(),
        canvas=(output.canvas.width, output.canvas.height),
        refresh_hz=float(output.canvas.refresh),
        output=output.name,
        guards=output.about(),
        overrides=dict(overrides),
    )


def goes_on(left: Run, plan: PlannedRun) -> bool:
    """Whether a run that was left can be taken up: what is shown would be the very same."""
    return (left.canvas, left.signal_shown, _shown(left.overrides), left.output) == (
        plan.canvas,
        plan.signal_shown,
        _shown(plan.overrides),
        plan.output,
    )


def earlier_runs(
    visit: Visit, sequence: Sequence, output: str, canvas: Canvas | None
) -> list[Earlier]:
    """The runs that count, as far as a new one of a sequence has to know of them.

    Args:
        visit: keeps them.
        sequence: what is to be played.
        output: what is to show it: `window`, `files` or `simulated`.
        canvas: on which; None where only the window will tell.
    """
    found = []
    for run in visit.runs():
        same = run.sequence_sha256 == sequence.sha256
        can_go_on = (
            same
            and run.ended != "finished"
            and (run.output, run.signal_asked) == (output, sequence.signal.describe())
            and (canvas is None or run.canvas == (canvas.width, canvas.height))
        )
        left_at = visit.next_step(run.id) if can_go_on else None
        if run.counted:
            found.append(Earlier(run.id, run.condition, same, left_at))
    return found


def _shown(overrides: Mapping[str, object]) -> dict[str, object]:
    """What was changed of what is shown: a run goes on whatever time there is."""
    return {name: value for name, value in overrides.items() if name != MINUTES}


@dataclass(frozen=True)
class Begun:
    """A run that was begun."""

    run: int
    """Its id in the visit."""
    resumed: bool
    """Whether it was left or broken off before, and goes on."""
    broken_off: bool
    """Whether nobody left it, as after a kill or a power cut."""
    message: str
    """What the operator has to know of that; empty for a new run where none was left."""


def begin_or_resume(
    visit: Visit,
    sequence: Sequence,
    output: Output,
    condition: str,
    overrides: Mapping[str, object],
) -> Begun:
    """Resume the run that was left, where nothing has changed, or start a new one."""
    signal = sequence.signal.shown_at(output.bits, output.range)
    plan = planned_run(sequence, output, signal, condition, overrides)
    left = visit.unfinished_run(sequence.sha256, condition)
    if left is not None and goes_on(left, plan):
        visit.resume_run(left.id, guards=plan.guards)
        broken_off = left.ended is None
        return Begun(left.id, True, broken_off, f"Run {left.id} goes on where it was left.")
    message = ""
    if left is not None:
        message = (
            f"Run {left.id} was left unfinished on another canvas, signal or output; "
            "this is a new run."
        )
    steps = [planned_step(step, signal.range) for step in sequence.steps]
    return Begun(visit.start_run(plan, steps, aim=sequence.aim).id, False, False, message)


def planned_step(step: Step, range_: str) -> PlannedStep:
    """The record of a step before it is shown on a link of `full` or `narrow` range."""
    read = step.read
    return PlannedStep(
        label=step.label,
        kind=step.pattern.kind,
        parameters=step.pattern.parameters(),
        quantity=read.quantity if read else None,
        role=step.role or None,
        read_of=(read.of or None) if read else None,
        settle_s=float(step.settle),
        variables=step.variables,
        faults=None if step.faults is None else step.faults.on(range_),
    )


def shown_record(
    frame: Frame, guard: Guard, more: Mapping[str, object] = MappingProxyType({})
) -> Shown:
    """The record of a frame on screen: its codes, its hash, what is true of it, and `more`."""
    checks = {name: list(told) for name, told in guard.checks.items()}
    return Shown(
        inks=frame.inks,
        frame_sha256=frame.sha256,
        facts={**facts_of(frame), **({"guards": checks} if checks else {}), **more},
        guard=guard.state,
        guard_why=guard.why,
    )


def facts_of(frame: Frame) -> dict[str, object]:
    """What is kept of a frame besides its codes and hash."""
    facts: dict[str, object] = dict(frame.facts)
    facts["mean_level_percent"] = frame.mean_level
    facts["lit_area_percent"] = frame.lit_area
    if frame.signal.transfer.name != "bt1886":
        facts |= {"max_cll_cd_m2": frame.max_cll, "max_fall_cd_m2": frame.max_fall}
    return facts
