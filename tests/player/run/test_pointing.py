"""A meter is told what it is to read, and what it cannot come to is passed over or asked for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from patterns.place import Place
from player.meters.base import MeterReading, Moves
from player.run.live import LiveRun
from player.run.pointing import ELSEWHERE, FROM_ASIDE, NOBODY
from player.run.unattended import run_unattended
from player.simulated import SimulatedDisplay
from player.simulated.files import load_display
from player.simulated_play import play_simulated
from player.visits import open_or_create
from readings.report.gather import gather
from readings.report.summary import Summary, summary
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.desk import Clock
from tests.player.recording import RecordingOutput

BOXES = """
title: white, two boxes, white
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {}}, read: luminance}
  - {show: {checkerboard: {}}, read: {luminance: box 1}}
  - {show: {checkerboard: {start: dark}}, read: {luminance: box 1}}
  - {show: {checkerboard: {}}, read: {luminance: box 4}}
  - {show: {field: {}}, read: luminance}
"""
ANGLES = """
title: two sides
signal: sdr8
settle: 0 s
steps:
  - each: {direction: [left], angle: [0, "0.0", 30]}
    show: {field: {}}
    read: luminance
    label: "{direction} {angle}"
"""


class PointedMeter:
    """Always reads 10 cd/m2, and knows what it was told to read."""

    name = "spot meter"

    def __init__(self, moves: Moves) -> None:
        self.specification = Specification()
        self.moves = moves
        self.told: list[str] = []

    def aim(self, place: Place | None) -> None:
        self.told.append("?" if place is None else place.label)

    def measure(self) -> MeterReading:
        return MeterReading("Y 10", 10.0, None, None)


def play(
    folder: Path, text: str, moves: Moves, ask: Callable[[str], bool] = lambda _: False
) -> tuple[list[str], list[int], dict[int, str]]:
    """What the meter was told, which steps were read, and why the others were not."""
    meter = PointedMeter(moves)
    with Visit.create(folder / f"{moves}.visit", display="lobby wall") as visit:
        sequence = sequences.load_text(text, "boxes.yaml")
        live = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
        run_unattended(live, meter, wait=lambda _: None, ask=ask)
        skips = {skip.step: skip.why for skip in visit.skips(live.id)}
        return meter.told, [reading.step for reading in visit.readings()], skips


def test_a_meter_that_moves_is_told_every_place(tmp_path: Path) -> None:
    told, read, skips = play(tmp_path, BOXES, "yes")
    assert told == ["middle", "box 1", "box 1", "box 4", "middle"]
    assert (read, skips) == ([1, 2, 3, 4, 5], {})


def test_a_meter_that_stays_reads_the_middle_and_the_rest_is_passed_over_with_the_reason(
    tmp_path: Path,
) -> None:
    told, read, skips = play(tmp_path, BOXES, "no")
    assert told == ["middle", "middle"]
    assert (read, skips) == ([1, 5], dict.fromkeys((2, 3, 4), ELSEWHERE))


def test_somebody_is_asked_once_for_each_place_and_for_the_way_back(tmp_path: Path) -> None:
    asked: list[str] = []
    told, read, _ = play(tmp_path, BOXES, "ask", lambda what: not asked.append(what))
    assert told == ["middle", "box 1", "box 1", "box 4", "middle"]
    assert read == [1, 2, 3, 4, 5]
    # box 1 of four by four has its middle an eighth from the left and from the top
    assert asked == [
        "Point the meter at box 1, 12 % from the left and 12 % from the top.",
        "Point the meter at box 4, 88 % from the left and 12 % from the top.",
        "Point the meter at middle, 50 % from the left and 50 % from the top.",
    ]


def test_where_nobody_answers_nothing_is_read_in_the_wrong_place(tmp_path: Path) -> None:
    _, read, skips = play(tmp_path, BOXES, "ask")
    assert (read, skips) == ([1, 5], dict.fromkeys((2, 3, 4), NOBODY))


@pytest.mark.parametrize("moves", ["yes", "no"])
def test_no_meter_goes_around_a_screen_by_itself(tmp_path: Path, moves: Moves) -> None:
    _, read, skips = play(tmp_path, ANGLES, moves)
    assert (read, skips) == ([1, 2], {3: FROM_ASIDE})


def test_somebody_is_asked_to_go_around_the_screen(tmp_path: Path) -> None:
    asked: list[str] = []
    _, read, _ = play(tmp_path, ANGLES, "ask", lambda what: not asked.append(what))
    assert read == [1, 2, 3]
    assert [what.rpartition(", ")[2] for what in asked] == ["from 30° left."]


def test_a_box_that_is_not_there_is_passed_over_with_that_reason(tmp_path: Path) -> None:
    text = BOXES.replace("box 4", "box 44")
    _, read, skips = play(tmp_path, text, "yes")
    assert (read, list(skips)) == ([1, 2, 3, 5], [4])
    assert skips[4] == "There is no box 44 on this pattern, which has box 1 to box 16"


def front(folder: Path, names: list[str], link: str) -> Summary:
    """The front page of a display that is right but for its link, with a meter in the middle."""
    from player.meters import open_meter

    parameters = load_display("ticket-desk")
    taken = parameters.link.model_copy(update={"range": link})
    display = SimulatedDisplay(parameters.model_copy(update={"link": taken}))
    path = folder / f"{link}.visit"
    with open_or_create(path, name="lobby wall") as visit:
        for name in names:
            play_simulated(
                sequences.load(name),
                visit,
                display,
                canvas=Canvas(1920, 1080),
                meter=lambda output, seed: open_meter("simulated", output, seed, moves="no"),
            )
    return summary(gather(path))


def test_a_meter_in_the_middle_tells_the_range_and_nothing_that_it_has_not_seen(
    tmp_path: Path,
) -> None:
    names = ["path-check-8", "black-and-contrast", "uniformity-9"]
    right, wrong = (front(tmp_path, names, link) for link in ("follow", "narrow"))
    said = [each.sentence for each in right.statements]
    assert "Range: what arrives looks like full, as it is set (sure)" in said
    assert "Range: full is set, what arrives looks like narrow range (sure)" == (
        wrong.of("bad")[0].sentence
    )
    for told in (right, wrong):
        judged = [each.sentence for each in (*told.of("good"), *told.of("bad"))]
        assert not [each for each in judged if "evenly" in each or "beside" in each]
        assert sum(f"skipped: {ELSEWHERE}" in each for each in told.not_measured) == 2
