"""What `litfield play` is told about the meter, and what the visit then keeps."""

from __future__ import annotations

import io
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from player.cli import run
from player.meters import Moves
from readings.visit.derivation import Derivation
from readings.visit.visit import Visit
from tests.player.far_end import ANSWER, GOOD, Socket

SEQUENCE = """title: two fields
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {level: 0 %}}, read: luminance}
  - {show: {field: {level: 50 %}}, read: luminance}
"""


def playing(folder: Path, *more: str) -> list[str]:
    sequence = folder / "two.yaml"
    sequence.write_text(SEQUENCE, encoding="utf-8")
    return [
        *("play", str(sequence), "--visit", str(folder / "lobby.visit"), "--name", "lobby wall"),
        *("--output", "simulated", "--size", "640x360", "--unattended", *more),
    ]


def counting(folder: Path) -> str:
    """A meter's program that gives 0.0625, then 1.0625, 2.0625 and so on."""
    program = folder / "meter.py"
    count = str(folder / "count")
    program.write_text(
        f"open({count!r}, 'a').write('x')\nprint('Y', len(open({count!r}).read()) - 1 + 0.0625)\n",
        encoding="utf-8",
    )
    parts = [sys.executable, "-S", str(program)]
    return f"command:{subprocess.list2cmdline(parts) if os.name == 'nt' else shlex.join(parts)}"


def visit_of(folder: Path) -> Visit:
    return Visit.open(folder / "lobby.visit", write=False)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--repeat", "often"], "takes a number of readings such as 5, or 3-20, not 'often'"),
        (["--repeat", "0"], "is repeated 1 to 1000 times"),
        (["--repeat", "9-3"], "is repeated 1 to 1000 times, or from 3 times up"),
        (["--repeat", "1-20"], "or from 3 times up until it is steady, not 1 to 20"),
        (["--steady", "1 %"], "--steady and --repeat-below go with --repeat."),
        (["--repeat-below", "1"], "--steady and --repeat-below go with --repeat."),
        (["--repeat", "5", "--steady", "1 %"], "--steady goes with a --repeat from and to"),
        (["--repeat", "3-9", "--steady", "1"], "--steady takes a share such as '0.5 %'"),
        (["--repeat", "3-9", "--steady", "0 %"], "--steady takes a share such as '0.5 %'"),
        (["--repeat", "3-9", "--steady", "5000 %"], "--steady takes a share such as '0.5 %'"),
        (["--repeat", "3", "--repeat-below", "1e308"], "1e+308 is not in the range"),
        (["--moves", "sometimes"], "'sometimes' is not one of 'yes', 'no', 'ask'"),
        (["--dark-offset"], "--dark-offset goes with a --meter that has a cap"),
        (["--meter", "line:none.yaml"], "none.yaml cannot be read"),
        (["--meter", "simulated:ruler"], "There is no simulated meter 'ruler'"),
        (["--meter", "crystal ball"], "There is no meter 'crystal ball'"),
    ],
)
def test_what_makes_no_sense_is_told_before_the_visit_is_made(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], more: list[str], said: str
):
    assert run(playing(tmp_path, *more)) == 2
    error = capfd.readouterr().err
    assert said in error
    assert len(error.splitlines()) == 1
    assert not (tmp_path / "lobby.visit").exists()


@pytest.mark.parametrize("option", [["--repeat", "3"], ["--meter-timeout", "9"], ["--dark-offset"]])
def test_options_of_a_meter_need_a_meter(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], option: list[str]
):
    visit = str(tmp_path / "lobby.visit")
    assert run(["play", "near-black", "--visit", visit, *option]) == 2
    assert capfd.readouterr().err == f"{option[0]} goes with --meter.\n"


def test_a_simulated_display_is_read_several_times_by_its_own_meter(tmp_path: Path):
    assert run(playing(tmp_path, "--repeat", "4")) == 0
    with visit_of(tmp_path) as visit:
        derivations = [reading.derivation for reading in visit.readings()]
        raws = [reading.raw for reading in visit.readings()]
    assert [each.count for each in derivations if each] == [4, 4]
    assert [len(raw.splitlines()) for raw in raws] == [4, 4]


def test_only_what_is_dark_is_repeated_where_that_is_asked(tmp_path: Path):
    more = ["--meter", counting(tmp_path), "--repeat", "3-9", "--repeat-below", "4"]
    assert run(playing(tmp_path, *more, "--steady", "0.6 cd/m2", "--steady", "0,1 %")) == 0
    with visit_of(tmp_path) as visit:
        first, second = visit.readings()
    # 0.0625, 1.0625, 2.0625: s = 1, error 0.577
    assert (first.luminance, first.raw) == (1.0625, "Y 0.0625\nY 1.0625\nY 2.0625")
    derivation = first.derivation
    assert derivation is not None
    assert (derivation.count, derivation.deviation, derivation.steady) == (3, 1, True)
    # 3.0625 is below 4 and goes on with 4.0625, 5.0625
    assert second.raw.count("Y") == 3


def test_the_dark_is_asked_for_kept_and_subtracted(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("sys.stdin", io.StringIO("\n\n"))
    assert run(playing(tmp_path, "--meter", counting(tmp_path), "--dark-offset")) == 0
    said = capfd.readouterr().err.splitlines()
    assert said[:3] == [
        "Put the cap on the meter, then press Enter.",
        "Dark offset of command: 0.0625 cd/m2 with its cap on.",
        "Take the cap off and point the meter, then press Enter.",
    ]
    with visit_of(tmp_path) as visit:
        readings, (note,) = visit.readings(), visit.notes()
    assert [(reading.raw, reading.luminance) for reading in readings] == [
        ("Y 1.0625", 1),
        ("Y 2.0625", 2),
    ]
    assert readings[0].derivation == Derivation(measured=1.0625, dark=0.0625)
    assert note.text == (
        "Dark offset of command: 0.0625 cd/m2 with its cap on. As received:\nY 0.0625"
    )
    report = ["report", str(tmp_path / "lobby.visit"), "--to", str(tmp_path / "report")]
    assert run(report) == 0
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert "measured 1.0625 cd/m2, dark 0.0625 cd/m2 subtracted" in page
    assert "Dark offset of command" in page


@pytest.mark.parametrize(
    ("typed", "code", "said"),
    [
        ("", 2, "--dark-offset needs somebody at the terminal to put the cap on."),
        ("\n", 2, "--dark-offset needs somebody at the terminal to put the cap on."),
    ],
)
def test_without_anybody_at_the_terminal_there_is_no_dark_offset(
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    typed: str,
    code: int,
    said: str,
):
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    assert run(playing(tmp_path, "--meter", counting(tmp_path), "--dark-offset")) == code
    assert capfd.readouterr().err.splitlines()[-1] == said
    assert not (tmp_path / "lobby.visit").exists()


def test_a_cap_that_is_not_on_is_told(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    (tmp_path / "count").write_text("xxx")
    monkeypatch.setattr("sys.stdin", io.StringIO("\n\n"))
    assert run(playing(tmp_path, "--meter", counting(tmp_path), "--dark-offset")) == 1
    assert "No dark offset: The meter reads 3.0625 cd/m2" in capfd.readouterr().err
    assert not (tmp_path / "lobby.visit").exists()


def placed(folder: Path, *more: str) -> tuple[int, list[str]]:
    """Play a board of four boxes through a program that prints what it is told; what was kept."""
    program = folder / "placed.py"
    program.write_text("import os\nprint(os.environ['LITFIELD_PLACE_LABEL'])\nprint('Y 5')\n")
    sequence = folder / "boxes.yaml"
    sequence.write_text(
        "title: boxes\nsignal: sdr8\nsettle: 0 s\nsteps:\n"
        "  - {show: {field: {}}, read: luminance}\n"
        "  - {show: {checkerboard: {columns: 2, rows: 2}}, read: {luminance: box 3}}\n"
    )
    parts = [sys.executable, "-S", str(program)]
    command = subprocess.list2cmdline(parts) if os.name == "nt" else shlex.join(parts)
    code = run(
        [
            *("play", str(sequence), "--visit", str(folder / "lobby.visit"), "--name", "lobby"),
            *("--output", "simulated", "--size", "640x360", "--unattended"),
            *("--meter", f"command:{command}", *more),
        ]
    )
    with visit_of(folder) as visit:
        return code, [reading.raw.splitlines()[0] for reading in visit.readings()]


def test_a_program_of_which_nothing_is_said_is_not_taken_to_move_the_meter(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    assert placed(tmp_path) == (1, ["middle"])
    said = capfd.readouterr().err
    assert (
        "Passed over, 1 of 2 steps that a meter can read: read elsewhere than in the middle of "
        "the screen, where the meter stays." in " ".join(said.split())
    )
    with visit_of(tmp_path) as visit:
        (skip,) = visit.skips(1)
    assert skip.why == "read elsewhere than in the middle of the screen, where the meter stays"


def test_a_program_that_moves_the_meter_reads_every_place(tmp_path: Path):
    assert placed(tmp_path, "--moves", "yes") == (0, ["middle", "box 3"])


def test_a_meter_is_moved_by_somebody_who_is_asked_at_the_terminal(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    assert placed(tmp_path, "--moves", "ask") == (0, ["middle", "box 3"])
    said = " ".join(capfd.readouterr().err.split())
    asked = "Point the meter at box 3, 25 % from the left and 75 % from the top."
    assert f"{asked} Then press Enter." in said


def test_with_nobody_at_the_terminal_the_place_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert placed(tmp_path, "--moves", "ask") == (1, ["middle"])


@pytest.mark.parametrize(("asked", "moves"), [(None, "yes"), ("no", "no")])
def test_the_instruments_file_says_whether_it_moves_and_the_command_line_goes_before_it(
    tmp_path: Path, asked: Moves | None, moves: Moves
):
    (tmp_path / "spot-meter.yaml").write_text("name: spot meter\nmoves: yes\n")
    from player.commands.instruments import asked_instrument
    from player.commands.metering import Metering, MeterWishes

    instrument = asked_instrument(str(tmp_path / "spot-meter.yaml"), reference=False)
    wishes = MeterWishes(
        meter_name=f"command:{sys.executable}",
        meter_timeout=None,
        repeat=None,
        steady=(),
        repeat_below=None,
        dark_offset=False,
        moves=asked,
    )
    metering = Metering(wishes, on_simulated=False, moves=instrument.moves)
    assert metering.moves == moves


def test_a_meter_described_in_a_file_is_read_and_its_session_ended(tmp_path: Path):
    far = Socket("what?\r\n", GOOD, GOOD.replace("100.5", "50"))
    file = tmp_path / "spot.yaml"
    file.write_text(
        f"name: spot meter\n{far.where}\nmeasure: M\nbegin: REMOTE\nend: LOCAL\ntimeout: 0.5\n"
        f"answer: '{ANSWER}'\nspecification: {{luminance_floor: 0.01}}\n",
        encoding="utf-8",
    )
    assert run(playing(tmp_path, "--meter", f"line:{file}")) == 0
    far.until_heard("REMOTE", "M", "REMOTE", "M", "M", "LOCAL")
    far.close()
    with visit_of(tmp_path) as visit:
        (instrument,) = visit.instruments()
        readings = visit.readings()
    assert (instrument.name, instrument.kind, instrument.role) == (
        "spot meter",
        "line",
        "spot meter",
    )
    assert instrument.specification.luminance_floor == 0.01
    assert [reading.luminance for reading in readings] == [100.5, 50]
    assert [reading.instrument for reading in readings] == [instrument.id] * 2


@pytest.mark.parametrize(
    ("printed", "kept"),
    [
        (["Y 1e308", "Y 1e-320", "Y 1e308", "Y 100"], [0.0, 100.0]),
        (["Y -5", "Y -0.0004", "Yxy 100 0.3 1e-300", "Y 100"], [-0.0004, 100.0]),
    ],
)
def test_absurd_numbers_of_a_meter_are_failures_and_the_run_goes_on(
    tmp_path: Path, printed: list[str], kept: list[float]
):
    program, count = tmp_path / "meter.py", str(tmp_path / "count")
    program.write_text(
        f"open({count!r}, 'a').write('x')\nprint({printed!r}[len(open({count!r}).read()) - 1])\n",
        encoding="utf-8",
    )
    command = shlex.join([sys.executable, "-S", str(program)])
    assert run(playing(tmp_path, "--meter", f"command:{command}")) == 0
    with visit_of(tmp_path) as visit:
        assert [reading.luminance for reading in visit.readings()] == kept
