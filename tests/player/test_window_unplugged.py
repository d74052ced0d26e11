"""The display's plug is pulled in the middle of a run and put back; the computer sleeps."""

from __future__ import annotations

import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from player.windows.interruptions import SLEPT
from readings.visit.visit import Visit
from tests.player.playing import Environment, Playing, frames_of
from tests.player.two_outputs import HEIGHT, WIDTH, TwoOutputs, two_outputs

pytestmark = pytest.mark.gl

SEQUENCE = """
title: Two greys and white
signal: sdr8
steps:
  - each: {level: [25 %, 50 %, 100 %]}
    show: {field: {}}
    read: luminance
"""


@pytest.fixture
def screens(tmp_path: Path) -> Iterator[TwoOutputs]:
    with two_outputs(tmp_path) as found:
        yield found


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "greys.yaml"
    found.write_text(SEQUENCE)
    return found


def notes(visit: Visit) -> list[str]:
    return [note.text for note in visit.notes()]


def test_while_the_screen_is_gone_nothing_is_kept_and_then_the_run_goes_on(
    screens: TwoOutputs, path: Path, tmp_path: Path
) -> None:
    visit = tmp_path / "lobby.visit"
    shown = frames_of(path, WIDTH, HEIGHT)
    with Playing(screens.env, tmp_path, sequence=str(path), visit=str(visit)) as player:
        player.shows(1)
        player.sees(shown[0], x=WIDTH)
        player.type("12.5")
        player.key("Return")
        player.shows(2)
        screens.unplug()
        player.keeps(
            lambda kept: any("was gone from now on" in note for note in notes(kept)), "it is noted"
        )
        player.type("48")
        player.key("Return", "Right")
        with Visit.open(visit, write=False) as kept:
            assert [reading.luminance for reading in kept.readings()] == [12.5]
            assert kept.skips(1) == []
        screens.plug_in()
        player.keeps(lambda kept: any("was back" in note for note in notes(kept)), "it is back")
        player.sees(shown[1], x=WIDTH)
        player.key("Return")
        player.shows(3)
        player.type("300")
        player.key("Return")
        player.key("Return")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [reading.luminance for reading in kept.readings()] == [12.5, 48.0, 300.0]
        second = [showing for showing in kept.showings() if showing.step == 2]
        assert len(second) == 2, "shown again once the screen was back"
        assert [showing.guard for showing in second] == ["verified", "verified"]
        assert kept.readings()[1].showing == second[1].id


def test_unattended_the_run_waits_for_the_screen(
    screens: TwoOutputs, path: Path, tmp_path: Path
) -> None:
    """The meter takes 0.3 s for a reading; none is taken of a screen that is not there."""
    visit = tmp_path / "lobby.visit"
    meter = [1.0, 2.0, 3.0, 4.0, 5.0]
    slow = path.read_text().replace("steps:", "settle: 2 s\nsteps:")
    path.write_text(slow)
    options = {"sequence": str(path), "visit": str(visit), "meter": meter, "unattended": True}
    with Playing(screens.env, tmp_path, **options) as player:
        player.shows(1)
        screens.unplug()
        player.keeps(
            lambda kept: any("was gone from now on" in note for note in notes(kept)), "it is noted"
        )
        with Visit.open(visit, write=False) as kept:
            before = len(kept.readings())
        time.sleep(4)  # long enough to settle and to be read, were the screen there
        player.running()
        with Visit.open(visit, write=False) as kept:
            assert len(kept.readings()) == before
        screens.plug_in()
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert len(kept.readings()) == 3
        assert [run.ended for run in kept.runs()] == ["finished"]


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="a process is not stopped there")
def test_after_a_sleep_the_step_is_shown_again_and_settles_anew(
    screen_env: Environment, path: Path, tmp_path: Path
) -> None:
    """A stopped process stands for a sleeping computer: both find that time has passed."""
    visit = tmp_path / "lobby.visit"
    env = screen_env(WIDTH, HEIGHT, 24)
    with Playing(env, tmp_path, sequence=str(path), visit=str(visit)) as player:
        player.shows(1)
        player.type("1")
        player.process.send_signal(signal.SIGSTOP)
        time.sleep(SLEPT + 1)
        player.process.send_signal(signal.SIGCONT)
        player.keeps(
            lambda kept: any(note.startswith("Nothing went on") for note in notes(kept)), "noted"
        )
        player.type("2")
        player.key("Return")
        player.shows(2)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(visit, write=False) as kept:
        assert [reading.luminance for reading in kept.readings()] == [12.0], "nothing typed is lost"
        assert [showing.step for showing in kept.showings()] == [1, 1, 2]
