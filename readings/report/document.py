"""`findings.json`: what a machine may read. docs/findings.md describes it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from patterns.aim import Aim
from readings.findings import settle
from readings.report.gather import RunContents, VisitContents
from readings.report.history import Said
from readings.visit.records import Correction, Instrument

FORMAT = "litfield findings"
VERSION = 1
"""Goes up when a name changes its meaning or goes away; new names leave it as it is."""


def document(visits: Sequence[VisitContents]) -> bytes:
    """The findings of some visits as JSON in UTF-8, the same bytes for the same visits."""
    content = {
        "format": FORMAT,
        "version": VERSION,
        "visits": [_visit(contents, str(number)) for number, contents in enumerate(visits)],
    }
    text = json.dumps(content, allow_nan=False, ensure_ascii=False, indent=2)
    for number, contents in enumerate(visits):
        # a finding a line: laid out in full, the series take thousands of lines and long to write
        lines = [
            json.dumps(finding, allow_nan=False, ensure_ascii=False)
            for finding in settle(contents.findings)
        ]
        listed = ",\n        ".join(lines)
        whole = f"[\n        {listed}\n      ]" if lines else "[]"
        # no text of a visit holds a bare quotation mark, so this is nowhere but there
        text = text.replace(f'"findings": "{number}"', f'"findings": {whole}', 1)
    return f"{text}\n".encode()


def _visit(contents: VisitContents, findings: str) -> dict[str, object]:
    return {
        "file": contents.file,
        "display": contents.about.display,
        "settings": contents.about.settings,
        "place": contents.about.place,
        "aim": contents.aim.describe(),
        "created_at": _time(contents.about.created_at),
        "check_summed": contents.soundness.check_summed,
        "damage": contents.soundness.sentences(),
        "instruments": [_instrument(instrument) for instrument in contents.instruments],
        "corrections": [_correction(correction) for correction in contents.corrections],
        "runs": [_run(run) for run in contents.runs],
        "history": [_said(said) for said in contents.history],
        "findings": findings,
        "not_found": contents.not_found(),
        "not_worked_out": [asdict(failed) for failed in contents.not_worked_out],
    }


def _instrument(instrument: Instrument) -> dict[str, object]:
    return {
        "id": instrument.id,
        "name": instrument.name,
        "kind": instrument.kind,
        "role": instrument.role,
        "specification": asdict(instrument.specification),
    }


def _correction(correction: Correction) -> dict[str, object]:
    return {
        "id": correction.id,
        "from_instrument": correction.from_instrument,
        "to_instrument": correction.to_instrument,
        "matrix": list(correction.matrix),
        "method": correction.method,
        "fit": dict(correction.fit),
        "made_at": _time(correction.made_at),
        "counted": correction.counted,
    }


def _run(contents: RunContents) -> dict[str, object]:
    run = contents.run
    return {
        "run": run.id,
        "condition": run.condition,
        "counted": run.counted,
        "sequence": run.sequence_title,
        "sequence_sha256": run.sequence_sha256,
        "signal": dict(run.signal_shown),
        "canvas": list(run.canvas),
        "refresh_hz": run.refresh_hz,
        "output": run.output,
        "started_at": _time(run.started_at),
        "ended": run.ended,
        "ended_at": None if run.ended_at is None else _time(run.ended_at),
        "readings": len(contents.measured),
        "corrected": sum(reading.as_read is not None for reading in contents.measured),
        "named_afterwards": sum(reading.named_at is not None for reading in contents.measured),
        "not_measured": [
            {"step": unread.step, "label": unread.label, "why": unread.why}
            for unread in contents.unread()
        ],
    }


def _said(said: Said) -> dict[str, object]:
    return {
        "at": _time(said.at),
        "by": said.by or None,
        "what": said.what,
        "run": said.run,
        "before": _stood(said.before),
        "now": _stood(said.now),
        "why": said.why or None,
        "readings": list(said.readings),
    }


def _stood(stood: str | Aim) -> object:
    return stood.describe() if isinstance(stood, Aim) else stood


def _time(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")
