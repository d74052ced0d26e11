"""What a visit is told of a run: its plan, and each frame that is shown."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.outputs.base import Guard, Output
from readings.visit.records import PlannedRun, PlannedStep, Run, Shown
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


def _shown(overrides: Mapping[str, object]) -> dict[str, object]:
    """What was changed of what is shown: a run goes on whatever time there is."""
    return {name: value for name, value in overrides.items() if name != MINUTES}


def planned_step(step: Step) -> PlannedStep:
    """The record of a step before it is shown."""
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
