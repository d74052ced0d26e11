"""What the display reports that it receives, asked before the first picture of PQ or HLG."""

from __future__ import annotations

from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.cli import run as litfield
from player.meters.dark import DarkCorrectedMeter
from player.run.live import LiveRun
from player.run.unattended import instrument_of
from player.simulated_play import play_simulated, simulated_display
from player.visits import open_or_create
from player.windows.controls.controls import Controls
from player.windows.controls.measuring import Measuring
from player.windows.view import View, view_of
from readings.report.gather import gather
from readings.report.summary import summary
from readings.report.wording import run_rows
from readings.visit.receives import received_of
from readings.visit.visit import Visit
from tests.player.desk import ToldMeter
from tests.player.playing import Environment, Playing
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Lobby wall
signal: {signal}
settle: 0 s
steps:
  - {{show: {{field: {{level: 0 %}}}}, label: Full black, read: luminance}}
  - {{show: {{field: {{level: 5 %}}}}, label: Grey, read: luminance}}
"""


class ReceivingDesk:
    """A desk before the first step of a run whose question has not been answered."""

    def __init__(
        self, visit: Visit, signal: str = "pq10", *, dark: bool = False, text: str = TEXT
    ) -> None:
        sequence = sequences.load_text(text.format(signal=signal), "lobby.yaml")
        self.visit, self.clock = visit, Clock()
        self.output = RecordingOutput(bits=10)
        self.run = LiveRun(sequence, visit, self.output, clock=self.clock)
        self.run.screen.receives = None
        meter = DarkCorrectedMeter(ToldMeter(0.0003)) if dark else None
        measuring = None
        if meter is not None:
            measuring = Measuring(self.run, meter, instrument_of(visit, meter).id)
        self.controls = Controls(self.run, measuring, clock=self.clock)
        self.controls.begin()

    @property
    def view(self) -> View:
        return view_of(self.controls, "")

    def key(self, name: str) -> None:
        self.clock.now += 1
        self.controls.key(name)

    def type(self, text: str) -> None:
        self.clock.now += 1
        self.controls.type(text)

    @property
    def kept(self) -> tuple[str, ...]:
        return received_of(self.visit.showings())


def test_it_is_asked_before_anything_is_shown(visit: Visit) -> None:
    desk = ReceivingDesk(visit)
    assert (desk.view.place, desk.view.label, desk.view.entry) == (
        "Before the first step",
        "What does the display say that it receives?",
        False,
    )
    assert desk.view.notice == "Press 1: HDR PQ · 2: HDR HLG · 3: SDR · 4: it does not say"
    assert (desk.run.number, desk.output.seen, visit.showings()) == (0, ["blackout"], [])
    assert desk.controls.wants_strip


@pytest.mark.parametrize(
    ("key", "answer", "said"),
    [
        ("1", "pq", "HDR PQ"),
        ("2", "hlg", "HDR HLG"),
        ("3", "sdr", "SDR"),
        ("4", "unknown", "it does not say"),
    ],
)
def test_one_key_answers_and_the_answer_is_shown_and_kept_with_each_picture(
    visit: Visit, key: str, answer: str, said: str
) -> None:
    desk = ReceivingDesk(visit)
    desk.type(key)
    assert (desk.run.number, desk.view.receives, desk.view.entry) == (1, said, True)
    desk.key("RIGHT")
    assert [each.facts["display_receives"] for each in visit.showings()] == [answer, answer]
    assert desk.controls.entry.text == ""


def test_a_clicker_goes_on_without_an_answer(visit: Visit) -> None:
    desk = ReceivingDesk(visit)
    desk.key("PAGEDOWN")
    assert (desk.run.number, desk.kept) == (1, ("unknown",))


def test_other_keys_answer_nothing_and_show_nothing(visit: Visit) -> None:
    desk = ReceivingDesk(visit)
    for name in ("ENTER", "LEFT", "TAB", "F2", "F4", "F5", "F6", "F9"):
        desk.key(name)
    for text in ("5", "x", " ", "12"):
        desk.type(text)
    desk.controls.paste("1\n2")
    assert desk.controls.receiving.open
    assert (desk.run.number, visit.showings(), visit.readings()) == (0, [], [])
    desk.key("ESCAPE")
    desk.key("ESCAPE")
    assert desk.controls.left


def test_the_meter_s_dark_is_asked_for_after_it(visit: Visit) -> None:
    desk = ReceivingDesk(visit, dark=True)
    assert desk.view.label == "What does the display say that it receives?"
    desk.type("1")
    assert (desk.view.label, desk.run.number) == ("Put the cap on the meter", 0)
    desk.key("RIGHT")
    assert (desk.run.number, desk.kept) == (1, ("pq",))


def test_the_report_s_run_section_says_what_was_answered_and_a_later_answer_too(
    tmp_path: Path,
) -> None:
    path = tmp_path / "lobby.visit"
    with open_or_create(path, name="lobby wall") as visit:
        desk = ReceivingDesk(visit)
        desk.type("3")
        desk.run.leave()
        again = ReceivingDesk(visit)
        assert again.run.id == desk.run.id
        again.type("1")
        again.run.leave()
    (run,) = gather(path).runs
    assert dict(run_rows(run))["Display reports that it receives"] == "SDR; then HDR PQ"


CONTRAST = """
title: Lobby wall
signal: {signal}
settle: 0 s
steps:
  - {{show: {{field: {{level: 0 %}}}}, label: Full black, read: luminance, role: black}}
  - {{show: {{field: {{level: 75 %}}}}, label: Full white, read: luminance, role: white}}
  - {{show: {{field: {{level: 50 %}}}}, label: Pixels that stay dark, read: count,
     faults: {{above: 0}}}}
"""


@pytest.mark.parametrize(("key", "good"), [("3", 0), ("1", 2), ("4", 2)])
def test_where_the_display_reported_sdr_that_is_said_first_and_nothing_read_then_is_good(
    tmp_path: Path, key: str, good: int
) -> None:
    path = tmp_path / "lobby.visit"
    with open_or_create(path, name="lobby wall") as visit:
        desk = ReceivingDesk(visit, text=CONTRAST)
        desk.type(key)
        for typed in ("0.080", "910.5", "0"):
            desk.type(typed)
            desk.key("ENTER")
        assert len(visit.readings()) == 3
    page = summary(gather(path))
    told = [each.sentence for each in page.of("good") if each.held or "fault" in each.sentence]
    assert len(told) == good
    first = [each.sentence for each in page.of("bad")][:1]
    if key != "3":
        assert first == []
        return
    assert page.of("good") == []
    assert first == ["Curve: PQ is sent, and the display reported that it receives SDR"]
    why = "the display reported that it receives SDR while PQ was sent"
    doubted = {each.note for said in page.of("unsure") for each in said.figures}
    assert doubted == {why}


def test_a_simulated_display_is_asked_nothing(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    with open_or_create(path, name="lobby wall") as visit:
        sequence = sequences.load("peak-by-area")
        play_simulated(sequence, visit, simulated_display(), canvas=Canvas(640, 360))
        assert received_of(visit.showings()) == ()
    (run,) = gather(path).runs
    assert "Display reports that it receives" not in dict(run_rows(run))


def written(folder: Path, signal: str = "pq10") -> Path:
    """The sequence as a file."""
    path = folder / "lobby.yaml"
    path.write_text(TEXT.format(signal=signal))
    return path


@pytest.mark.gl
def test_in_the_windows_one_key_answers_and_the_first_picture_comes(
    screen_env: Environment, tmp_path: Path
) -> None:
    options = {"sequence": str(written(tmp_path)), "visit": str(tmp_path / "a.visit")}
    with Playing(screen_env(1280, 360, 24), tmp_path, **options, asks=True, halves=640) as player:
        player.keeps(lambda visit: bool(visit.runs()), "a run has begun")
        player.key("Return", "Left")
        player.key("3")
        player.shows(1)
        player.keeps(lambda visit: received_of(visit.showings()) == ("sdr",), "it is kept")
        player.key("Right")
        player.shows(2)
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()
    with Visit.open(tmp_path / "a.visit", write=False) as visit:
        assert [each.facts["display_receives"] for each in visit.showings()] == ["sdr", "sdr"]


@pytest.mark.gl
@pytest.mark.parametrize(
    ("signal", "given", "kept"),
    [("pq10", "", ("not asked",)), ("hlg10", "hlg", ("hlg",)), ("sdr8", "pq", ())],
)
def test_unattended_nobody_is_asked_and_that_is_kept(
    screen_env: Environment, tmp_path: Path, signal: str, given: str, kept: tuple[str, ...]
) -> None:
    options = {
        "sequence": str(written(tmp_path, signal)),
        "visit": str(tmp_path / "a.visit"),
        "receives": given,
    }
    how = {"meter": [0.01, 12.5], "fast": True, "unattended": True}
    with Playing(screen_env(640, 360, 24), tmp_path, **options, **how) as player:
        assert player.ended() == 0, player.said()
    with Visit.open(tmp_path / "a.visit", write=False) as visit:
        assert [each.luminance for each in visit.readings()] == [0.01, 12.5]
        assert received_of(visit.showings()) == kept


@pytest.mark.gl
def test_the_command_line_answers_it_beforehand(screen_env: Environment, tmp_path: Path) -> None:
    visit = tmp_path / "a.visit"
    arguments = ["play", str(written(tmp_path)), "--visit", str(visit), "--name", "lobby wall"]
    arguments += ["--display-receives", "unknown"]
    options = {"visit": str(visit), "arguments": arguments}
    with Playing(screen_env(640, 360, 24), tmp_path, **options) as player:
        player.shows(1)
        player.keeps(lambda kept: received_of(kept.showings()) == ("unknown",), "it is kept")
        player.key("Escape", "Escape")
        assert player.ended() == 0, player.said()


def test_before_a_simulated_display_the_answer_is_refused(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    arguments = ["play", "tone-pq", "--visit", str(tmp_path / "a.visit"), "--unattended"]
    arguments += ["--output", "simulated", "--display-receives", "pq"]
    assert litfield(arguments) == 2
    assert "A simulated display takes what it is sent" in capfd.readouterr().err
    assert not (tmp_path / "a.visit").exists()
