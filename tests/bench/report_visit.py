"""A visit of 400 readings and more, played on the simulated display: the yield of half a day."""

from __future__ import annotations

from pathlib import Path

import sequences
from patterns.picture.canvas import Canvas
from player.simulated_play import play_simulated, simulated_display
from readings.visit.visit import Visit

RUNS = (
    ("black-and-contrast", "local dimming off"),
    ("black-and-contrast", "local dimming on"),
    ("greyscale-21", "local dimming off"),
    ("greyscale-21", "local dimming on"),
    ("peak-by-area", "local dimming off"),
    ("peak-by-area", "local dimming on"),
    ("near-black", "local dimming on"),
    ("highlights", "local dimming on"),
    ("chart-24", "local dimming on"),
    ("primaries", "local dimming on"),
    ("saturation-sweeps", "local dimming on"),
    ("contrast-by-boxes", "local dimming on"),
    ("halo", "local dimming on"),
    ("uniformity-25", "local dimming on"),
    ("edge-crawl", "local dimming on"),
    ("gamut-samples", "local dimming on"),
    ("tone-pq", "local dimming on"),
    ("peak-over-time", "local dimming on"),
    ("viewing-angle", "local dimming on"),
    ("path-check-8", "local dimming on"),
    ("ebu-3325-grey", "local dimming on"),
    ("ebu-3325-colour", "local dimming on"),
    ("windows-2-percent-background", "local dimming on"),
)
"""Sequence and condition of each run."""


def play(
    path: Path, *, display: str | None = None, runs: tuple[tuple[str, str], ...] = RUNS
) -> int:
    """Play the runs into a new visit; the number of its current readings."""
    simulated = simulated_display(display)
    with Visit.create(
        path, display=simulated.name, settings="picture: museum", place="lobby wall of a museum"
    ) as visit:
        for name, condition in runs:
            simulated.dimming = condition.endswith("on")
            play_simulated(
                sequences.load(name), visit, simulated, canvas=Canvas(3840, 2160),
                condition=condition,
            )  # fmt: skip
        return len(visit.readings())
