"""What a visit does not tell: what nobody read, and what this program could not work out."""

from __future__ import annotations

from readings.findings import FINDINGS
from readings.ranges import ranges
from readings.report.gather import RunContents, VisitContents

MOST_STEPS = 4
"""Steps that are named one by one where they were not read."""


def not_measured(contents: VisitContents) -> list[str]:
    """Sentences of what was not measured, or not worked out."""
    if not contents.runs:
        return ["No run was started."]
    if not contents.counted_runs():
        return ["Every run is set aside."]
    sentences = [
        f"Not worked out, for an error of this program and not of the display: "
        f"{FINDINGS[failed.finding].subject} ({failed.why}). The readings themselves are kept, and "
        "listed below."
        for failed in contents.not_worked_out
    ]
    # where a finding says that all is well, its not being there is no gap
    absent = [FINDINGS[name] for name in contents.not_found()]
    missing = [kind.subject for kind in absent if kind.wanted and not kind.all_well]
    if missing:
        sentences.append(f"No reading speaks to: {'; '.join(missing)}.")
    gaps = [sentence for run in contents.counted_runs() for sentence in _gaps(run)]
    if not gaps and contents.readings():
        sentences.append("Every step that asks for a reading has one.")
    return sentences + gaps


def _gaps(run: RunContents) -> list[str]:
    """What a run asked for and has no reading of, reason by reason."""
    whys: dict[str, list[tuple[int, str]]] = {}
    for gap in run.unread():
        whys.setdefault(gap.why, []).append((gap.step, gap.label))
    condition = f", {run.run.condition}" if run.run.condition else ""
    where = f"Run {run.run.id} ({run.run.sequence_title}{condition})"
    sentences = []
    for why, steps in whys.items():
        if len(steps) > MOST_STEPS:
            which = f"steps {ranges(number for number, _ in steps)}"
        else:
            which = ", ".join(f"step {number} ({label})" for number, label in steps)
        sentences.append(f"{where}: {why}: {which}.")
    return sentences
