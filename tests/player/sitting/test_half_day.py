"""The shipped half day by real keys, on two X screens, with a meter before the simulated wall."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest

from patterns.picture.canvas import Canvas
from readings.report import write_report
from readings.visit.visit import Visit
from sequences.plans.loading import load_plan
from tests.player.sitting.calibrator import Calibrator
from tests.player.sitting.test_sitting_windows import meter_of, sits, tasks_stand
from tests.player.sitting.watching import Watch
from tests.player.two_outputs import HEIGHT, WIDTH, TwoOutputs, two_outputs

pytestmark = pytest.mark.gl

SHORT = """
title: A first look, shortened
tasks:
  - tell: Switch local dimming off.
  - ask: Does the display take HDR?
    name: hdr
    choices: [HDR, SDR only]
  - play: line-up-sdr
    condition: as found
  - play: tone-pq
    only_if: {hdr: HDR}
  - note: What strikes you?
"""


@pytest.fixture
def screens(tmp_path: Path) -> Iterator[TwoOutputs]:
    with two_outputs(tmp_path) as found:
        yield found


def go_through(screens: TwoOutputs, source: Path, folder: Path) -> tuple[Calibrator, Watch]:
    plan = load_plan(str(source) if source.suffix else source.name)
    with sits(screens, source, folder, *meter_of(), "--screen", "2") as playing:
        tasks_stand(playing)
        calibrator = Calibrator(playing, plan, {"hdr": "2"}, Canvas(WIDTH, HEIGHT))
        part = (WIDTH, 0, WIDTH, HEIGHT)
        with Watch(screens.env["DISPLAY"], part, plan.sequences()) as watch:
            calibrator.go_through()
            playing.key("Escape", "Escape")
            assert playing.ended() == 0
    assert "Every task of the plan is done." in playing.said()
    return calibrator, watch


def test_a_plan_is_gone_through_to_its_end_by_keys_alone(
    screens: TwoOutputs, tmp_path: Path
) -> None:
    path = tmp_path / "short.yaml"
    path.write_text(SHORT)
    calibrator, watch = go_through(screens, path, tmp_path)
    assert watch.strange == []
    assert watch.black > 0
    with Visit.open(tmp_path / "lobby.visit", write=False) as visit:
        assert [run.ended for run in visit.runs()] == ["finished"]
        assert len(visit.readings()) == 5
    assert calibrator.log.keys["reading"] == 10  # a letter and Enter for each


@pytest.mark.campaign
def test_the_shipped_half_day_is_played_to_its_end_by_one_command(
    screens: TwoOutputs, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calibrator, watch = go_through(screens, Path("half-day"), tmp_path)
    log = calibrator.log
    with Visit.open(tmp_path / "lobby.visit", write=False) as visit:
        runs, readings = visit.runs(), visit.readings()
    write_report([tmp_path / "lobby.visit"], tmp_path / "report")
    with capsys.disabled():
        print(  # noqa: T201 - what the campaign is for
            f"\n1 command, {len(runs)} runs, {len(readings)} readings in {log.seconds / 60:.1f} min"
            f"\nkeys: {dict(log.keys)}; a reading {log.keys['reading'] / len(readings):.2f}"
            f"\nbetween sequences: median {median(log.between):.1f} s, most {max(log.between):.1f}"
            f"\nlooks: {watch.looks}, black {watch.black}, moving {watch.moving},"
            f" frames {len(watch.frames)}, strange {len(watch.strange)}"
        )
    assert watch.strange == []
    assert all(run.ended == "finished" for run in runs)
    assert log.keys["reading"] / len(readings) < 2
