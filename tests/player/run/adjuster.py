"""Adjusts the simulated wall without windows, and says each thing only once the visit has kept it.

Usage: adjuster.py VISIT. Lines: `heard NUMBER AT` at the start, of what a new adviser was told,
then `reading ID`, `turns NUMBER`, and `ended` at the end.
"""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

sys.path.append(str(Path(__file__).parents[3]))  # last: what is installed goes before the tree

import sequences
from patterns.picture.canvas import Canvas
from player.meters import open_meter
from player.meters.base import reading_of
from player.outputs.simulated import SimulatedOutput
from player.run import advised
from player.run.live import LiveRun
from player.run.unattended import instrument_of, value_of
from player.simulated_hands import SimulatedHands, bring_menu
from player.simulated_play import simulated_display
from readings.visit.visit import Visit

CANVAS = Canvas(480, 270)
SEQUENCE = "adjust-two-then-ten"
heard: list[float] = []


class Hearing(advised.Adviser):
    """Notes when it was told something."""

    def read(self, point: int, xyz: advised.Floats, at: float) -> None:
        heard.append(at)
        super().read(point, xyz, at)

    def turned(self, control: int, value: float, at: float) -> None:
        heard.append(at)
        super().turned(control, value, at)


def say(*words: object) -> None:
    """Acknowledge."""
    sys.stdout.write(" ".join(map(str, words)) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Adjust until killed, or to the end."""
    advised.Adviser = Hearing
    wall = simulated_display()
    wall.dimming = False
    output = SimulatedOutput(CANVAS, 8, "full", wall)
    seconds = count()
    with Visit.open(sys.argv[1], write=True) as visit:
        bring_menu(wall, visit)
        live = LiveRun(
            sequences.load(SEQUENCE),
            visit,
            output,
            controls=wall.controls,
            clock=lambda: float(next(seconds)),
        )
        meter = open_meter("simulated", output, visit.path.stat().st_size)
        instrument = instrument_of(visit, meter)
        live.adjustment.read_with = instrument.specification
        hands = SimulatedHands(live, wall, output.wait)
        live.begin()
        say("heard", len(heard), heard[-1] if heard else 0)
        while (step := live.step) is not None:
            live.screen.beat()
            if live.screen.due:
                continue
            if live.adjustment.reads:
                output.wait(3)
                kept = live.take(value_of(reading_of(meter), step), instrument.id)
                say("reading", kept.id)
            else:
                assert hands.act()
                say("turns", len(visit.turns(live.id)))
        live.leave()
        say("ended")


if __name__ == "__main__":
    main()
