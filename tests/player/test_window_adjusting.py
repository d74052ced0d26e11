"""A display adjusted in the windows by real keys: its menu is turned as the window tells."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from readings.adjusting.advice import Look, Stop, Turn
from readings.visit.visit import Visit, VisitError
from tests.player.playing import Environment, Playing, until
from tests.player.recording import RecordingOutput
from tests.player.wall_before_meter import WallBeforeMeter

pytestmark = pytest.mark.gl

OPERATOR, PATTERN, HEIGHT = 640, 320, 400
SEQUENCE = """
title: The lobby wall adjusted
signal: sdr8
settle: 0.4 s
steps:
  - show: {window: {area: 10 %, level: 100 %}}
    label: Two-point controls
    read: {adjust: {controls: [two-point], levels: [0 %, 30 %, 60 %, 100 %]}}
"""
MINUTES = 3
"""That are given, so that it ends soon."""
LONGEST = 110.0
"""Seconds that an adjustment may take here."""


class Adjuster:
    """Somebody with the wall's remote.

    What the window advises is what any adviser does that is told all that the visit has: this one
    asks its own, on a copy of the visit.
    """

    def __init__(self, playing: Playing, folder: Path, wall: WallBeforeMeter) -> None:
        self.playing = playing
        self.folder = folder
        self.wall = wall
        self.turned = 0
        self.minutes: float | None = None
        """That were given."""

    def kept(self) -> tuple[int, int, bool]:
        """How many readings and turns the visit has, and whether it has ended."""
        while True:
            try:
                with Visit.open(self.playing.visit_path, write=False) as visit:
                    return len(visit.readings()), len(visit.turns(1)), bool(visit.adjusted(1))
            except VisitError:
                self.playing.running()
                time.sleep(0.02)

    def advice(self) -> object:
        """What is advised now."""
        copy = self.folder / "copy.visit"
        copy.write_bytes(self.playing.visit_path.read_bytes())
        output = RecordingOutput(Canvas(PATTERN, HEIGHT))
        output.name = "window"
        try:
            with Visit.open(copy, write=True) as visit:
                sequence = sequences.load(self.folder / "wall.yaml")
                run = LiveRun(sequence, visit, output)
                assert run.id == 1
                run.adjustment.be_worth(self.minutes)
                run.adjustment.pattern_of(sequence.steps[0])
                return run.adjustment.advice
        except VisitError:
            return None  # it was being written
        finally:
            copy.unlink()

    def do(self, turn: Turn) -> None:
        """Turn the menu as told, and say so with Enter."""
        for move in turn.moves:
            self.wall.turn(NAMES[move.control], move.to)
        before, many = self.kept()[1], len(turn.moves)
        self.playing.key("Return")
        until(lambda: self.kept()[1] == before + many, "the turns are kept")
        self.turned += many

    def go_through(self) -> None:
        """To the end, with a meter that reads by itself."""
        until_then, before = time.monotonic() + LONGEST, None
        while not self.kept()[2]:
            assert time.monotonic() < until_then, self.playing.said()
            now = self.kept()
            advice = self.advice() if now == before else None
            before = now
            if isinstance(advice, Turn) and self.kept() == now:
                self.do(advice)
            elif isinstance(advice, Stop):
                self.playing.key("Return")
            time.sleep(0.2)


NAMES = [f"{channel} {does}" for does in ("gain", "offset") for channel in ("Red", "Green", "Blue")]
Adjusting = Callable[..., "contextmanager[tuple[Playing, Adjuster]]"]


@pytest.fixture
def adjusting(screen_env: Environment, tmp_path: Path) -> Adjusting:
    """Starts the player with a meter before the wall."""
    (tmp_path / "wall.yaml").write_text(SEQUENCE)
    env = screen_env(OPERATOR + PATTERN, HEIGHT, 24)
    part = (OPERATOR, 0, PATTERN, HEIGHT)

    @contextmanager
    def start(**more: object) -> Iterator[tuple[Playing, Adjuster]]:
        with WallBeforeMeter(env["DISPLAY"], part, tmp_path / "asks") as wall:
            options = {
                "sequence": str(tmp_path / "wall.yaml"),
                "visit": str(tmp_path / "lobby.visit"),
                "halves": OPERATOR,
                "controls": [asdict(each) for each in wall.wall.controls],
                "program": wall.meter,
            }
            with Playing(env, tmp_path, **(options | more)) as playing:
                playing.shows(1)
                time.sleep(0.5)
                yield playing, Adjuster(playing, tmp_path, wall)

    return start


def test_a_display_is_adjusted_to_its_end_with_a_meter_that_reads_by_itself(
    adjusting: Adjusting, tmp_path: Path
) -> None:
    with adjusting() as (playing, somebody):
        playing.key("F9")
        playing.type(str(MINUTES))
        playing.key("Return")
        somebody.minutes = MINUTES
        playing.key("Return")  # the meter is in its place: from now on it reads by itself
        somebody.go_through()
        playing.key("Return")
        assert playing.ended() == 0
        assert somebody.wall.answers > somebody.kept()[0], "what moved the bars was not kept"
    with Visit.open(tmp_path / "lobby.visit", write=False) as visit:
        (end,) = visit.adjustments(1)
        assert end.why in ("reached", "within the meter", "not worth the time", "nothing left")
        assert end.largest is not None
        assert end.largest < 2
        turns = visit.turns(1)
        assert len(turns) == somebody.turned > 0
        assert all(each.value == each.advised and each.why for each in turns)
        assert visit.run(1).ended == "finished"


def test_with_typed_readings_a_menu_that_reads_something_else_and_one_that_is_put_back(
    adjusting: Adjusting, tmp_path: Path
) -> None:
    with adjusting(controls=[], program="") as (playing, somebody):
        playing.type("-30 to 30, now 2")
        playing.key("Return", "End")  # all the others are as supposed
        playing.keeps(lambda visit: len(visit.controls(1)) == 6, "the controls are kept")
        while isinstance(advice := somebody.advice(), Look | None):
            if advice is None:
                continue
            many = somebody.kept()[0]
            time.sleep(CHANGE_GAP + 0.5)  # the picture is up, and has settled
            playing.type(somebody.wall.read().removeprefix("Yxy "))
            playing.key("Return")
            until(lambda many=many: somebody.kept()[0] > many, "the reading is kept")
        assert isinstance(advice, Turn)
        values = [max(move.to - 1, -30.0) for move in advice.moves]
        playing.type(" ".join(f"{value:g}" for value in values))
        playing.key("Return")
        until(lambda: somebody.kept()[1] == len(values), "the turns are kept")
        playing.key("F2", "Return")
        until(lambda: somebody.kept()[1] == len(values) + 1, "it is put back")
        playing.key("End", "Return")
        until(lambda: somebody.kept()[2], "it has ended")
        playing.key("Return")
        assert playing.ended() == 0
    with Visit.open(tmp_path / "lobby.visit", write=False) as visit:
        controls = [each.control for each in visit.controls(1)]
        assert [(each.lowest, each.highest, each.found) for each in controls] == [
            (-30, 30, 2), (-30, 30, 0), (-30, 30, 0), (-50, 50, 0), (-50, 50, 0), (-50, 50, 0),
        ]  # fmt: skip
        *turns, back = visit.turns(1)
        assert [each.value for each in turns] == values
        assert [each.advised for each in turns] == [move.to for move in advice.moves]
        assert (back.advised, back.value) == (None, advice.moves[-1].now)
        (end,) = visit.adjustments(1)
        assert end.why == "ended by hand"
        assert end.largest is not None
