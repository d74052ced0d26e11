"""An unattended run with a meter that fails in every way: each step is read, or says why not."""

import os
import shlex
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

import sequences
from player.cli import run
from player.run.live import LiveRun
from player.run.unattended import run_unattended
from readings.visit.visit import Visit
from tests.player.desk import ToldMeter
from tests.player.recording import Clock, RecordingOutput

PROGRAM = Path(__file__).with_name("flaky_meter.py")
STATED = (
    "ended with exit code 3, saying 'instrument lost'.",
    "ended by signal 9.",
    "ended with exit code",
    "printed nothing.",
    "which is no reading.",
    "which is no chromaticity.",
    "bytes: no reading.",
    "gave no reading within ",
)


def play(tmp_path: Path, steps: int, seed: int, timeout: float) -> tuple[int, int, Counter[str]]:
    """Play so many steps through `litfield play`; how many were read and skipped, and why."""
    levels, passes = min(steps, 100), -(-steps // 100)
    each = f"{{from: 1 %, to: {levels} %, step: 1 %}}"
    runs = f"[{', '.join(str(each) for each in range(1, passes + 1))}]"
    sequence = tmp_path / "flaky.yaml"
    sequence.write_text(
        "title: flaky\nsignal: sdr8\nsettle: 0 s\nsteps:\n"
        f"  - each: {{pass: {runs}, level: {each}}}\n    show: {{field: {{}}}}\n"
        '    label: "pass {pass}, {level}"\n    read: colour\n',
        encoding="utf-8",
    )
    parts = [sys.executable, "-S", str(PROGRAM), str(tmp_path), str(seed), "60"]
    command = subprocess.list2cmdline(parts) if os.name == "nt" else shlex.join(parts)
    visit_path = tmp_path / "flaky.visit"
    arguments = ["play", str(sequence), "--visit", str(visit_path), "--name", "lobby wall"]
    arguments += ["--output", "simulated", "--size", "640x360", "--unattended"]
    arguments += ["--meter", f"command:{command}", "--meter-timeout", str(timeout)]
    code = run(arguments)
    read, skipped, reasons = judged(visit_path, tmp_path / "log", steps)
    assert code == (1 if skipped else 0)
    return read, skipped, reasons


def judged(visit_path: Path, log: Path, steps: int) -> tuple[int, int, Counter[str]]:
    """Every step has a reading or a reason, and every reading is one that the program gave."""
    deeds = log.read_text("utf-8").splitlines()
    given = {int(deed.partition(":")[2]) for deed in deeds if ":" in deed}
    with Visit.open(visit_path, write=False) as visit:
        (played,) = visit.runs()
        readings, skips = visit.readings(played.id), visit.skips(played.id)
    assert (played.ended, played.step_count) == ("finished", steps)
    read = [reading.step for reading in readings]
    skipped = [skip.step for skip in skips]
    assert sorted(read + skipped) == list(range(1, steps + 1))
    for reading in readings:
        assert reading.raw == f"Yxy {reading.luminance:.0f} 0.3127 0.3290"
    values = [reading.luminance for reading in readings]
    assert values == sorted(set(values)), "a reading is kept once, and in order"
    assert set(values) <= given
    # a slow machine may end a program at the timeout between its reading and the player
    assert len(given - set(values)) <= len(deeds) // 50, "hardly a whole reading is lost"
    reasons: Counter[str] = Counter()
    for skip in skips:
        stated = next((each for each in STATED if each in skip.why), None)
        assert stated is not None, skip.why
        assert skip.why.startswith("no reading in 3 tries: The meter's program ")
        reasons[stated] += 1
    # a call for each reading, and three for each step without
    assert len(deeds) >= len(readings) + 3 * len(skips)
    return len(readings), len(skips), reasons


def test_every_step_of_a_short_run_is_read_or_says_why_not(tmp_path: Path):
    read, skipped, _ = play(tmp_path, steps=26, seed=1, timeout=0.8)
    assert read >= 10
    assert skipped >= 1


def test_what_nobody_foresaw_in_an_instrument_is_told_and_ends_no_run(tmp_path: Path):
    text = (
        "{title: Two whites, signal: sdr8, steps: "
        "[{each: {level: [90 %, 100 %]}, show: {field: {}}, read: luminance}]}"
    )
    unforeseen = ZeroDivisionError("division by zero")
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        sequence = sequences.load_text(text, "two.yaml")
        live = LiveRun(sequence, visit, RecordingOutput(), clock=Clock(1.0))
        run_unattended(live, ToldMeter(*[unforeseen] * 4, 400), wait=lambda _: None)
        (skip,), (reading,), (played,) = visit.skips(live.id), visit.readings(), visit.runs()
    assert (skip.step, skip.why) == (
        1,
        "no reading in 3 tries: The meter failed (ZeroDivisionError: division by zero).",
    )
    assert (reading.step, reading.raw, played.ended) == (2, "Y 400", "finished")


@pytest.mark.campaign
def test_every_step_of_a_long_run_is_read_or_says_why_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    start = time.monotonic()
    read, skipped, reasons = play(tmp_path, steps=300, seed=7, timeout=1.0)
    with capsys.disabled():
        deeds = Counter(
            deed.partition(":")[0] for deed in (tmp_path / "log").read_text("utf-8").splitlines()
        )
        sys.stdout.write(
            f"\n300 steps: {read} read, {skipped} with a reason, {sum(deeds.values())} calls, "
            f"{time.monotonic() - start:.0f} s\ncalls: {dict(deeds)}\nreasons: {dict(reasons)}\n"
        )
    assert read >= 200
    assert skipped >= 5
