"""A player that only keeps readings, or turns of controls; test_visit_kill.py kills it.

It says what it kept.
"""

from __future__ import annotations

import sys

from patterns.control import PRIMARIES, Control
from readings.visit.records import PlannedRun, PlannedStep, Shown, Value, text_sha256
from readings.visit.visit import Visit

TEXT = "title: Lobby wall\n"
CONDITION = "local dimming off"


def adjust(path: str) -> None:
    """Turn a control of the visit's only run for ever, after its controls were kept."""
    with Visit.open(path, write=True) as visit:
        (run,) = visit.runs()
        controls = [
            Control(f"{channel} gain", "gain", channel, None, 0, 1e5, 1, 0) for channel in PRIMARIES
        ]
        kept = visit.controls(run.id) or visit.keep_controls(run.id, 1, controls)
        value = len(visit.turns(run.id))
        while True:
            turn = visit.keep_turn(kept[value % 3].id, value=value, advised=value)
            sys.stdout.write(f"{turn.id} {turn.control} {turn.value:g}\n")
            sys.stdout.flush()
            value += 1


def main(path: str, step_count: int) -> None:
    with Visit.open(path, write=True) as visit:
        run = visit.unfinished_run(text_sha256(TEXT), CONDITION)
        if run is None:
            plan = PlannedRun(
                sequence_title="Lobby wall",
                sequence_text=TEXT,
                sequence_source="lobby.yaml",
                condition=CONDITION,
                signal_asked={"transfer": "pq"},
                signal_shown={"transfer": "pq", "bits": 10},
                canvas=(3840, 2160),
                output="simulated",
            )
            step = PlannedStep(label="field", kind="field", parameters={}, quantity="luminance")
            run = visit.start_run(plan, [step] * step_count)
        else:
            run = visit.resume_run(run.id)
        while (step_number := visit.next_step(run.id)) is not None:
            shown = Shown(
                inks={"field": (step_number, 0, 0)}, frame_sha256="0f" * 32, guard="unknown"
            )
            showing = visit.keep_showing(run.id, step_number, shown)
            value = Value(quantity="luminance", raw=f"{step_number},5", luminance=step_number + 0.5)
            reading = visit.keep_reading(showing.id, value)
            sys.stdout.write(f"{reading.id} {reading.step} {reading.raw}\n")
            sys.stdout.flush()
        visit.end_run(run.id, "finished")


if __name__ == "__main__":
    if sys.argv[2] == "adjust":
        adjust(sys.argv[1])
    main(sys.argv[1], int(sys.argv[2]))
