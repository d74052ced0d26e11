"""A sitting from the command line in one pair of windows: real keys, and a look from outside."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from readings.visit.visit import Visit
from sequences.plans.loading import load_plan
from tests.player.playing import Playing, until
from tests.player.sitting.watching import Watch
from tests.player.two_outputs import HEIGHT, WIDTH, TwoOutputs, two_outputs

pytestmark = pytest.mark.gl

WHITE = """
title: White and black
signal: sdr8
finds: [contrast]
steps:
  - {show: {field: {level: 100 %}}, label: White, read: luminance, role: white, settle: 0 s}
  - {show: {field: {level: 0 %}}, label: Black, read: luminance, role: black, settle: 0 s}
"""
PLAN = """
title: A short sitting
minutes: 30
tasks:
  - tell: Switch local dimming off.
  - ask: Does the display take HDR?
    name: hdr
    choices: [HDR, SDR only]
  - play: white.yaml
    condition: local dimming off
  - play: white.yaml
    only_if: {hdr: HDR}
    condition: HDR
  - note: What strikes you?
  - play: white.yaml
    condition: again
"""
METER = Path(__file__).with_name("wall_meter.py")


@pytest.fixture
def screens(tmp_path: Path) -> Iterator[TwoOutputs]:
    with two_outputs(tmp_path) as found:
        yield found


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    (tmp_path / "white.yaml").write_text(WHITE)
    path = tmp_path / "short.yaml"
    path.write_text(PLAN)
    return path


def sits(screens: TwoOutputs, plan: Path, folder: Path, *more: str) -> Playing:
    """The command of a sitting, begun."""
    visit = folder / "lobby.visit"
    return Playing(
        screens.env,
        folder,
        visit=str(visit),
        arguments=["visit", str(visit), "--plan", str(plan), *more],
    )


def meter_of() -> list[str]:
    program = f"{sys.executable} {METER} {WIDTH} 0 {WIDTH} {HEIGHT} off"
    return ["--meter", f"command:{program}"]


def has_window(playing: Playing, caption: str = "Litfield") -> bool:
    """Whether a window is on the desktop."""
    try:
        return bool(playing.window(caption))
    except (subprocess.CalledProcessError, IndexError):
        return False


def tasks_stand(playing: Playing, before: NDArray[np.uint16] | None = None) -> None:
    """Wait until the tasks stand on the operator's screen, and keys go to them.

    Args:
        playing: the sitting.
        before: what a window that was killed may have left there.
    """
    looks = [np.zeros((HEIGHT, WIDTH, 3), np.uint16)]

    def stand() -> bool:
        time.sleep(0.4)
        looks.append(playing.see(0, 0, WIDTH, HEIGHT))
        new = before is None or bool((looks[-1] != before).any())
        still = bool((looks[-1] == looks[-2]).all())
        return has_window(playing) and new and still and bool(looks[-1].any())

    until(stand, "the tasks are there")
    playing.focus(
        "Litfield"
    )  # without a window manager, a window that was killed leaves it nowhere


def events(playing: Playing) -> list[tuple[int, str]]:
    with Visit.open(playing.visit_path, write=False) as visit:
        return [(each.task, each.event) for each in visit.task_events(1)]


def happened(playing: Playing, task: int, event: str) -> None:
    playing.keeps(
        lambda visit: (task, event) in [(e.task, e.event) for e in visit.task_events(1)],
        f"task {task} is {event}",
    )


def test_a_sitting_is_one_command_and_the_pattern_screen_shows_nothing_but_black_and_its_frames(
    screens: TwoOutputs, plan: Path, tmp_path: Path
) -> None:
    with sits(screens, plan, tmp_path, *meter_of(), "--screen", "2") as playing:
        tasks_stand(playing)
        display = (WIDTH, 0, WIDTH, HEIGHT)
        with Watch(screens.env["DISPLAY"], display, load_plan(plan).sequences()) as watch:
            playing.key("Return")
            happened(playing, 1, "done")
            playing.type("2")
            playing.key("Return")
            happened(playing, 2, "answered")
            for task, run in ((3, 1), (6, 2)):
                playing.key("Return")
                happened(playing, task, "begun")
                for number in (1, 2):
                    showings = 2 * (run - 1) + number
                    playing.keeps(
                        lambda visit, n=showings: len(visit.showings()) == n, "the step is up"
                    )
                    playing.key("Return")
                    playing.keeps(
                        lambda visit, n=showings: len(visit.readings()) == n, "it is read"
                    )
                playing.key("Return")  # nothing is left to read
                happened(playing, task, "done")
                time.sleep(0.5)
                playing.key("Return")  # what it gave has been read
                if task == 3:
                    playing.type("a bright corner")
                    playing.key("Return")
                    happened(playing, 5, "answered")
            playing.key("Escape", "Escape")
            assert playing.ended() == 0
    assert watch.looks > 20
    assert watch.black > 5
    assert watch.frames == {"White"}
    assert watch.strange == []
    with Visit.open(playing.visit_path, write=False) as visit:
        # the wall of the simulated display: 450 cd/m2 in white, a hundred thousandth in black
        white, black = (each.luminance for each in visit.readings(1))
        assert 200 < white < 600
        assert black < 1
        assert [run.condition for run in visit.runs()] == ["local dimming off", "again"]
        assert [note.text for note in visit.notes()] == ["a bright corner"]
        assert visit.stated()["screen"] == "2"
        assert "wall_meter.py" in visit.stated()["meter"]
    assert "Every task of the plan is done." in playing.said()


def test_killed_on_the_way_the_same_command_goes_on_at_the_same_task_with_the_same_meter(
    screens: TwoOutputs, plan: Path, tmp_path: Path
) -> None:
    with sits(screens, plan, tmp_path, *meter_of(), "--screen", "2") as playing:
        tasks_stand(playing)
        playing.key("Return")
        happened(playing, 1, "done")
        playing.type("2")
        playing.key("Return", "Return")
        playing.keeps(lambda visit: len(visit.showings()) == 1, "the first step is up")
        playing.key("Return")
        playing.keeps(lambda visit: len(visit.readings()) == 1, "it is read")
        playing.process.send_signal(signal.SIGKILL)
        playing.process.wait()
        left_there = playing.see(0, 0, WIDTH, HEIGHT)
    with Visit.open(playing.visit_path, write=False) as visit:
        shown = len(visit.showings())  # the second step may have come up before the kill, or not
    with sits(screens, plan, tmp_path) as again:
        tasks_stand(again, left_there)
        again.key("Return")
        again.keeps(lambda visit: len(visit.showings()) > shown, "the second step is up")
        again.key("Return")
        again.keeps(lambda visit: len(visit.readings()) == 2, "it is read by the meter of before")
        again.key("Return")
        happened(again, 3, "done")
        again.key("Escape", "Escape")
        assert again.ended() == 0
    assert "2 tasks are left: What strikes you?; White and black, again." in again.said()
    with Visit.open(again.visit_path, write=False) as visit:
        assert [run.ended for run in visit.runs()] == ["finished"]


def test_with_one_screen_the_tasks_stand_on_the_black_pattern_and_go_for_the_picture(
    screen_env, plan: Path, tmp_path: Path
) -> None:
    env = screen_env(640, 480, 24)
    visit = tmp_path / "lobby.visit"
    arguments = ["visit", str(visit), "--plan", str(plan)]
    with Playing(env, tmp_path, visit=str(visit), arguments=arguments) as playing:
        playing.keeps(lambda kept: kept.plan() is not None, "the plan is kept")
        until(lambda: bool(playing.see(0, 0, 640, 480).any()), "the page stands there")
        playing.key("Down", "Down", "Return")
        playing.keeps(lambda kept: len(kept.showings()) == 1, "the step is up")
        until(lambda: bool((playing.see(0, 0, 640, 480) == 255).all()), "it is white all over")
        playing.key("Escape", "Escape")
        happened(playing, 3, "begun")
        until(lambda: not (playing.see(0, 0, 640, 480) == 255).all(), "the page is back")
        playing.key("Escape", "Escape")
        assert playing.ended() == 0
    assert "are left" in playing.said()


def test_between_two_runs_it_is_told_where_keys_go_elsewhere(
    screens: TwoOutputs, plan: Path, tmp_path: Path
) -> None:
    with sits(screens, plan, tmp_path, "--screen", "2") as playing:
        tasks_stand(playing)
        page = playing.see(0, 0, WIDTH, HEIGHT)
        other = "import pyglet; pyglet.window.Window(20, 20, caption='other'); pyglet.app.run()"
        elsewhere = subprocess.Popen([sys.executable, "-c", other], env=screens.env)
        try:
            until(lambda: has_window(playing, "other"), "another program's window is there")
            playing.focus("other")
            band = slice(round(HEIGHT * 0.33), round(HEIGHT * 0.38))
            until(
                lambda: (playing.see(0, 0, WIDTH, HEIGHT) != page)[band].mean() > 0.3,
                "a band lies across the page",
            )
        finally:
            elsewhere.kill()
            elsewhere.wait()
        playing.focus("Litfield")
        until(
            lambda: (playing.see(0, 0, WIDTH, HEIGHT) != page)[band].mean() < 0.3,
            "the band is gone",
        )
        playing.key("Escape", "Escape")
        assert playing.ended() == 0
