"""Visits with paired runs for a meter correction, by a made-up meter and reference."""

import numpy as np

from readings.evidence.correction.applied import Light
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit

ERROR = np.array([[1.021, -0.012, 0.003], [0.006, 1.004, -0.002], [0.002, -0.009, 1.031]])
"""What the spot meter makes of true X Y Z."""
PRIMARIES = np.array([[41.2, 35.8, 18.0], [21.3, 71.5, 7.2], [1.9, 11.9, 95.1]])
"""X Y Z of full red, green and blue, in columns."""
COLOURS = {
    "white": (255, 255, 255),
    "red": (255, 0, 0),
    "green": (0, 255, 0),
    "blue": (0, 0, 255),
    "cyan": (0, 255, 255),
    "white again": (255, 255, 255),
}
SIGNAL = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}
SPOT = Specification(
    luminance_relative_uncertainty=0.04,
    luminance_floor=0.002,
    luminance_resolution=0.0001,
    chromaticity_uncertainty=0.006,
    luminance_linearity=0.0001,
)
REFERENCE = Specification(
    luminance_relative_uncertainty=0.02, luminance_floor=0.02, chromaticity_uncertainty=0.002
)


def light_of(codes, error=None):
    """What a meter sees of codes that are all on or off."""
    true = PRIMARIES @ (np.array(codes) / 255)
    return Light.from_tristimulus(true if error is None else error @ true)


def meters(visit: Visit) -> tuple[int, int]:
    """Add the two instruments, and give their ids."""
    spot = visit.add_instrument("spot meter", kind="typed", role="spot meter", specification=SPOT)
    reference = visit.add_instrument(
        "reference", kind="typed", role="reference", specification=REFERENCE
    )
    return spot.id, reference.id


def start(visit: Visit, steps: list[PlannedStep], condition: str = "") -> int:
    plan = PlannedRun(
        sequence_title="Meter correction",
        sequence_text="title: Meter correction\n",
        sequence_source="meter-correction",
        condition=condition,
        signal_asked=SIGNAL,
        signal_shown=SIGNAL,
        canvas=(1920, 1080),
        output="window",
    )
    return visit.start_run(plan, steps).id


def keep(visit, run, step, codes, light, instrument, guard="verified", colour=True):
    """Keep one reading: of a colour, or of its luminance alone."""
    shown = Shown(inks={"level": codes}, frame_sha256="ab" * 32, guard=guard)
    showing = visit.keep_showing(run, step, shown).id
    value = Value(
        quantity="colour" if colour else "luminance",
        raw=f"{light.luminance:.6g}",
        luminance=light.luminance,
        x=light.x if colour else None,
        y=light.y if colour else None,
    )
    return visit.keep_reading(showing, value, instrument=instrument)


def paired(visit, instrument, error=None, change=None, colours=COLOURS):
    """Keep one run of the colours with one instrument, and give its number.

    `change` maps names of colours to functions from codes and light to codes and light.
    """
    steps = [
        PlannedStep(
            label=name,
            kind="patch",
            parameters={},
            quantity="colour",
            role=f"correction-{name.split()[0]}",
        )
        for name in colours
    ]
    run = start(visit, steps)
    for number, (name, codes) in enumerate(colours.items(), 1):
        shown, light = codes, light_of(codes, error)
        if change and name in change:
            shown, light = change[name](shown, light)
        keep(visit, run, number, shown, light, instrument)
    visit.end_run(run, "finished")
    return run
