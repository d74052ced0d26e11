"""A player that only keeps readings: it is killed by test_visit_kill.py, and says what it kept."""

from __future__ import annotations

import sys

from readings.visit.records import PlannedRun, PlannedStep, Shown, Value, text_sha256
from readings.visit.visit import Visit

TEXT = "title: Lobby wall\n"
CONDITION = "local dimming off"


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
    main(sys.argv[1], int(sys.argv[2]))
