"""What is heard and when, and that no audio driver holds a key up."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from itertools import combinations, islice, pairwise
from pathlib import Path

import pytest

from player.cli import run as litfield
from player.windows.sounds import (
    GAP,
    NO_AUDIO,
    RATE,
    SOFT,
    Cue,
    Listening,
    Play,
    Rhythm,
    Sounds,
)
from readings.visit.visit import Visit
from tests.player.desk import Desk, ToldMeter, finish
from tests.player.playing import Environment, Playing

PATIENCE = 10.0
WALL = """
title: Lobby wall
signal: sdr8
settle: 6 s
steps:
  - {show: {field: {level: 100 %}}, label: Full white, read: luminance}
  - {show: {field: {level: 50 %}}, label: Grey, read: luminance}
  - {show: {field: {level: 20 %}}, label: Only to look at}
"""


class Heard:
    """A desk, and the cues that were due at it."""

    def __init__(self, visit: Visit, *answers: float) -> None:
        meter = ToldMeter(*answers) if answers else None
        self.desk = Desk(WALL, visit, meter)
        self.cues: list[Cue] = []
        self.listening = Listening(self.desk.controls, self.cues.append)

    def key(self, *names: str) -> None:
        for name in names:
            self.desk.key(name)
            self.listening.look()

    def type(self, text: str) -> None:
        for each in text:
            self.desk.type(each)
            self.listening.look()

    def wait(self, seconds: float) -> None:
        for _ in range(int(seconds * 2)):
            self.desk.wait(0.5)
            self.listening.look()

    def taken(self) -> list[Cue]:
        """What was heard since this was asked last."""
        heard, self.cues[:] = list(self.cues), []
        return heard


@pytest.fixture
def heard(visit: Visit) -> Heard:
    return Heard(visit)


def test_a_step_that_has_settled_is_heard_once(heard: Heard) -> None:
    heard.wait(4)
    assert heard.taken() == []
    heard.wait(20)
    assert heard.taken() == [Cue.SETTLED]


def test_a_reading_that_is_kept_or_refused_is_heard_each_time(heard: Heard) -> None:
    heard.type("45e")
    assert heard.taken() == []
    heard.key("ENTER")
    assert heard.taken() == [Cue.REFUSED]
    heard.key("ENTER")
    assert heard.taken() == [Cue.REFUSED], "the same is said again"
    heard.type("451")
    heard.key("ENTER")
    assert heard.taken() == [Cue.KEPT]
    heard.wait(10)
    assert heard.taken() == [Cue.SETTLED], "the next step"


def test_the_end_is_heard_and_black_is_not(heard: Heard) -> None:
    heard.key("F5")
    heard.wait(20)
    heard.key("F5")
    assert heard.taken() == []
    heard.key("RIGHT", "RIGHT")
    heard.wait(20)
    assert heard.taken() == [], "where nothing is read nobody waits"
    heard.key("RIGHT")
    assert heard.taken() == [Cue.DONE]


def test_what_is_asked_about_leaving_and_how_it_looks_is_not_heard(heard: Heard) -> None:
    heard.key("F1", "F1", "F4", "F4", "TAB", "TAB", "ESCAPE")
    assert heard.taken() == []


def test_a_reading_of_the_meter_is_heard_when_it_is_kept(visit: Visit) -> None:
    heard = Heard(visit, 400.0)
    heard.wait(8)
    assert heard.taken() == [Cue.SETTLED]
    heard.key("ENTER")
    finish(heard.desk.controls)
    heard.listening.look()
    assert heard.taken() == [Cue.KEPT]


# ---- what it sounds like


def samples(cue: Cue) -> list[float]:
    generator: Iterator[float] = Rhythm(cue.beats).get_generator(RATE, cue.seconds)
    return list(islice(generator, int(cue.seconds * RATE)))


@pytest.mark.parametrize("cue", Cue)
def test_a_sound_is_short_soft_and_does_not_click(cue: Cue) -> None:
    amplitudes = samples(cue)
    assert cue.seconds <= 0.6
    assert 0.5 * SOFT < max(amplitudes) <= SOFT <= 0.125
    assert amplitudes[0] == 0
    assert amplitudes[-1] < 0.01 * SOFT
    jumps = [abs(b - a) for a, b in pairwise(amplitudes)]
    assert max(jumps) <= SOFT / 50


def test_they_differ_in_rhythm_whatever_the_pitch() -> None:
    for one, other in combinations(Cue, 2):
        assert one.beats != other.beats
    for cue in Cue:
        still, gaps = 0, 0
        for amplitude in samples(cue)[1:]:
            still = still + 1 if amplitude == 0 else 0
            gaps += still == int(GAP * RATE) - 1
        assert gaps == len(cue.beats) - 1


# ---- drivers


def until(what: Callable[[], bool]) -> None:
    for _ in range(int(PATIENCE * 100)):
        if what():
            return
        threading.Event().wait(0.01)
    pytest.fail("it never came")


def test_cues_go_to_what_plays_them_in_a_thread_of_their_own() -> None:
    played: list[tuple[Cue, str]] = []
    sounds = Sounds(lambda: lambda cue: played.append((cue, threading.current_thread().name)))
    sounds.start()
    sounds.start()
    sounds.play(Cue.KEPT)
    until(lambda: bool(played))
    assert played == [(Cue.KEPT, "sounds")]
    assert sounds.take_trouble() == ""


def test_a_driver_that_never_answers_holds_nobody_up() -> None:
    let, begun = threading.Event(), threading.Event()

    def audio() -> Play:
        begun.set()
        let.wait(PATIENCE)
        raise OSError

    sounds = Sounds(audio)
    sounds.start()
    assert begun.wait(PATIENCE)
    for cue in (*Cue, *Cue):
        sounds.play(cue)  # comes back while the driver is still at it
    assert not let.is_set()
    assert sounds.take_trouble() == ""
    let.set()


def test_a_driver_that_hangs_in_a_sound_holds_nobody_up() -> None:
    let, begun = threading.Event(), threading.Event()

    def play(_: Cue) -> None:
        begun.set()
        let.wait(PATIENCE)

    sounds = Sounds(lambda: play)
    sounds.start()
    sounds.play(Cue.KEPT)
    assert begun.wait(PATIENCE)
    for cue in (*Cue, *Cue):
        sounds.play(cue)
    assert not let.is_set()
    let.set()


@pytest.mark.parametrize("error", [OSError("no audio device"), ImportError("gone")])
def test_without_an_audio_device_it_says_so_once_and_goes_on(error: Exception) -> None:
    def audio() -> Play:
        raise error

    sounds = Sounds(audio)
    sounds.start()
    told: list[str] = []
    until(lambda: bool(told.append(sounds.take_trouble()) or told[-1]))
    assert told[-1] == NO_AUDIO
    sounds.play(Cue.KEPT)
    sounds.play(Cue.DONE)
    assert sounds.take_trouble() == ""


def test_a_driver_that_breaks_on_the_way_is_told_too() -> None:
    def play(_: Cue) -> None:
        raise OSError("the device was unplugged")

    sounds = Sounds(lambda: play)
    sounds.start()
    sounds.play(Cue.KEPT)
    until(lambda: sounds.take_trouble() == NO_AUDIO)


# ---- the command line, and a real window


def test_sounds_without_anybody_to_listen_are_refused(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    visit = str(tmp_path / "lobby.visit")
    simulated = ["--output", "simulated", "--unattended", "--sounds"]
    assert litfield(["play", "black-and-contrast", "--visit", visit, *simulated]) == 2
    assert "--sounds goes with windows" in capfd.readouterr().err
    assert litfield(["visit", visit, "--sounds"]) == 2
    assert "goes with --plan" in capfd.readouterr().err
    assert not Path(visit).exists()


@pytest.mark.gl
def test_in_windows_without_an_audio_device_everything_goes_on_in_silence(
    screen_env: Environment, tmp_path: Path
) -> None:
    none = {"ALSOFT_DRIVERS": "none", "PULSE_SERVER": "/nowhere", "PULSE_RUNTIME_PATH": "/nowhere"}
    path = tmp_path / "lobby.yaml"
    path.write_text(WALL)
    visit = str(tmp_path / "lobby.visit")
    options = {"sequence": str(path), "visit": visit, "halves": 640, "sounds": True}
    with Playing(screen_env(960, 400, 24) | none, tmp_path, **options) as player:
        player.shows(1)
        player.type("451")
        player.key("Return")
        player.keeps(lambda kept: len(kept.readings()) == 1, "it is kept")
        player.type("45e")
        player.key("Return", "Escape", "Escape")
        assert player.ended() == 0, player.said()
