# ruff: noqa: S311 (what somebody does of a trial)
"""Adjusts the simulated wall without windows, and says each thing only once the visit has kept it.

Usage: adjuster.py VISIT HOW SEED. HOW is `metered`, `typed`, or `asked`: typed, and the controls
are asked for. SEED decides what somebody does who does not always do as told. It writes JSON, a
list a line, whose first is what the others are of:

- `told`, step, and what an adviser was told: that of a run taken up again is told all of it anew;
- `begun`, step, what F2 would put back: it knows all that it can;
- `undo`, step, what F2 would put back after all that was said before;
- `control`, id, step, name; `reading`, id, step, luminance; `turn`, id, event, control, value;
  `end`, id, step, why: what the visit has, all of it at the beginning, and then what is new;
- `asked`: a control was said, and none is kept before all are;
- `finished`.
"""

from __future__ import annotations

import json
import random
import sys
import time
from itertools import count
from pathlib import Path
from typing import ClassVar

sys.path.append(str(Path(__file__).parents[3]))  # last: what is installed goes before the tree

import sequences
from patterns.control import Control
from patterns.picture.canvas import Canvas
from player.meters import open_meter
from player.meters.base import Meter, reading_of
from player.outputs.simulated import SimulatedOutput
from player.run import advised
from player.run.live import LiveRun
from player.run.unattended import instrument_of, value_of
from player.simulated import SimulatedDisplay
from player.simulated_play import simulated_display
from readings.visit.visit import Visit

CANVAS = Canvas(480, 270)
SEQUENCE = "adjust-two-then-ten"
LOOKING = 0.02
"""Seconds to look up what a menu has."""
MOST_GONE_ON = 2
"""How often somebody wants to go on after the end."""


def say(*words: object) -> None:
    """Acknowledge."""
    sys.stdout.write(json.dumps(words) + "\n")
    sys.stdout.flush()


class Hearing(advised.Adviser):
    """Says what it was told, once it was."""

    step: ClassVar[int] = 0

    def read(self, point: int, xyz: advised.Floats, at: float) -> None:
        super().read(point, xyz, at)
        say("told", self.step, "read", point, [float(each) for each in xyz], at)

    def turned(self, control: int, value: float, at: float) -> None:
        super().turned(control, value, at)
        say("told", self.step, "turned", control, value, at)

    def leave_out(self, control: int, *, out: bool = True) -> None:
        super().leave_out(control, out=out)
        say("told", self.step, "left out" if out else "taken in", control)

    def go_on(self) -> None:
        super().go_on()
        say("told", self.step, "gone on")


class Somebody:
    """Does what an adjustment asks, and now and then something else."""

    def __init__(
        self,
        live: LiveRun,
        wall: SimulatedDisplay,
        output: SimulatedOutput,
        meter: Meter,
        how: str,
        chance: random.Random,
    ) -> None:
        self.live, self.wall, self.output, self.meter = live, wall, output, meter
        self.typed, self.chance = how != "metered", chance
        self.instrument = instrument_of(live.visit, meter).id
        self.seen = [0, 0, 0, 0]
        self.tell_news()

    def act(self) -> None:
        """Do the next thing."""
        live, state = self.live, self.live.adjustment.state
        if state == "controls":
            time.sleep(LOOKING)
            self.enter("" if self.chance.random() < 0.9 else "-40 to 40, now 0")
            say("asked")
        elif state == "look":
            self.read()
        elif state == "turn":
            self.turn()
        elif state == "back":
            (move,) = live.adjustment.moves
            self.put(self.controls[move.control], move.to)
            self.enter("")
        elif state == "hold":
            live.hold()
        elif state == "stop":
            ends = live.visit.adjustments(live.id)
            if sum(not each.ended for each in ends) < MOST_GONE_ON and self.chance.random() < 0.5:
                live.hold()
            else:
                self.enter("")
        else:
            raise AssertionError(state)

    def read(self) -> None:
        """Let the meter read, or type what it says."""
        live, step = self.live, self.live.step
        assert step is not None
        self.output.wait(3)
        value = value_of(reading_of(self.meter), step)
        if not self.typed:
            live.take(value, self.instrument)
        elif value.x is None:
            self.enter(f"{value.luminance:.5g}")
        else:
            self.enter(f"{value.luminance:.5g} {value.x:.4f} {value.y:.4f}")

    def turn(self) -> None:
        """As told as a rule."""
        live, moves, luck = self.live, self.live.adjustment.moves, self.chance.random()
        if luck < 0.14:
            assert live.do_without()
        elif luck < 0.28:
            live.put_back()
        elif luck < 0.32:
            live.read_again()
        elif luck < 0.35:
            live.hold()
        elif luck < 0.5:  # one of a page alone, and by another value
            control = self.controls[moves[0].control]
            value = min(max(moves[0].to + control.step, control.lowest), control.highest)
            self.put(control, value)
            self.enter(f"{value:g}")
        else:
            for move in moves:
                self.put(self.controls[move.control], move.to)
            self.enter("")

    @property
    def controls(self) -> tuple[Control, ...]:
        """Of the step on screen."""
        known = self.live.adjustment.advised
        assert known is not None
        return known.controls

    def put(self, control: Control, value: float) -> None:
        """Make the wall's menu read a value."""
        put(self.wall, control, value)
        self.output.wait(2)

    def enter(self, text: str) -> None:
        """Type it; what is doubted once more."""
        if not self.live.enter(text):
            assert "Enter once more" in self.live.message, self.live.message
            assert self.live.enter(text), self.live.message

    def tell_news(self) -> None:
        """Say what the visit has that was not said in this life."""
        visit, run = self.live.visit, self.live.id
        names = {each.id: each.control.name for each in visit.controls(run)}
        news: tuple[list[tuple[object, ...]], ...] = (
            [("control", each.id, each.step, each.control.name) for each in visit.controls(run)],
            [("reading", each.id, each.step, each.luminance) for each in visit.readings(run)],
            [
                ("turn", each.id, each.event, names[each.control], each.value)
                for each in visit.turns(run)
            ],
            [("end", each.id, each.step, each.why) for each in visit.adjustments(run)],
        )
        for place, kept in enumerate(news):
            for each in kept[self.seen[place] :]:
                say(*each)
            self.seen[place] = len(kept)
        say("undo", Hearing.step, to_undo(self.live))


def to_undo(live: LiveRun) -> list[list[float]]:
    """What F2 would put back, one after another, the last one first to be."""
    known = live.adjustment.advised
    turns = [] if known is None else known.turns
    return [[each.control, each.before, each.after] for each in turns]


def put(wall: SimulatedDisplay, control: Control, value: float) -> None:
    """Turn the wall's control of this kind, whatever its scale, so far as its menu goes."""
    kind = control.does, control.channel, control.level
    own = next(each for each in wall.controls if (each.does, each.channel, each.level) == kind)
    wall.turn(own.name, own.value(control.clicks(value)))


def main() -> None:
    """Adjust until killed, or to the end."""
    _, path, how, seed = sys.argv
    chance = random.Random(int(seed))
    # this process has one adjustment and ends with it, so nothing is put back
    advised.Adviser = Hearing  # type: ignore[misc]
    wall = simulated_display()
    wall.dimming = False
    output = SimulatedOutput(CANVAS, 8, "full", wall)
    seconds = count()
    with Visit.open(path, write=True) as visit:
        for run in visit.runs():
            kept = {each.id: each.control for each in visit.controls(run.id)}
            for turn in visit.turns(run.id):
                if turn.value is not None:
                    put(wall, kept[turn.control], turn.value)
        Hearing.step = next((visit.next_step(run.id) or 0 for run in visit.runs()), 1)
        live = LiveRun(
            sequences.load(SEQUENCE),
            visit,
            output,
            controls=() if how == "asked" else wall.controls,
            clock=lambda: float(next(seconds)),
        )
        meter = open_meter("simulated", output, int(seed))
        live.adjustment.read_with = instrument_of(visit, meter).specification
        live.begin()
        say("begun", live.number, to_undo(live))
        somebody = Somebody(live, wall, output, meter, how, chance)
        while (step := live.step) is not None:
            Hearing.step = step.number
            live.screen.beat()
            if live.screen.due:
                continue
            somebody.act()
            somebody.tell_news()
        live.leave()
        say("finished")


if __name__ == "__main__":
    main()
