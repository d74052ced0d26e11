"""The player's program without a window, in software here: every code, every kind, and faults."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from player.windows.pattern.shader import FRAGMENT
from tests.gpu.offscreen import FULL

pytestmark = pytest.mark.gl

# last, so that the rooms are those under test
PATH = f"import sys; sys.path.append({str(Path(__file__).parents[2])!r})\n"
RUN = """
import runpy
sys.argv = ["gpu", "320x180"]
runpy.run_module("tests.gpu.gpu", run_name="__main__")
"""
FAULT = """
from patterns.picture.canvas import Canvas
from patterns.kinds import KINDS
from patterns.signal.signal import named_signal
from player.windows.pattern.shader import FRAGMENT
from tests.gpu.offscreen import Offscreen, context
window = context()
frame = KINDS["ramp"]().frame(Canvas(320, 180), named_signal("pq10").shown_at(10, "full"))
late = FRAGMENT.replace("vec3(code) / largest", "vec3(code + uint(at.x == 7)) / largest")
assert late != FRAGMENT
for fragment in (FRAGMENT, late):
    with Offscreen(320, 180, 10, fragment) as screen:
        screen.show(frame)
        print(screen.wrong(frame) or "right")
"""

AHEAD = """
from patterns.picture.canvas import Canvas
from patterns.kinds import KINDS
from patterns.signal.signal import named_signal
from tests.gpu.offscreen import Offscreen, context
window = context()
field = KINDS["field"]
frames = {
    name: field.model_validate({"level": level}).frame(Canvas(64, 64), named_signal("sdr8"))
    for name, level in (("first", "20 %"), ("second", "60 %"), ("third", "90 %"))
}
def shown():
    return next(name for name, frame in frames.items() if not screen.wrong(frame))
with Offscreen(64, 64, 8) as screen:
    screen.draw(frames["first"])
    print(shown())
    screen.prepare(frames["second"])
    screen.program.draw(64)  # as where a window is uncovered
    print(shown(), "again")
    real, screen.program._fill = screen.program._fill, None  # nothing is uploaded now
    screen.draw(frames["second"])
    screen.program._fill = real
    print(shown())
    screen.prepare(frames["first"])
    screen.draw(frames["third"])  # another one than was taken ahead
    print(shown())
"""


def python(code: str) -> str:
    """Run in a process of its own: OpenGL without a screen is a choice for a whole process."""
    done = subprocess.run(
        [sys.executable, "-c", PATH + code],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_every_code_and_every_kind_is_drawn_exactly_at_8_and_10_bits() -> None:
    said = python(RUN)
    assert "8 bits: all 256 codes, alone and together, are right" in said
    assert "10 bits: all 1024 codes, alone and together, are right" in said
    assert said.count("every pixel is right") == 2
    assert "WRONG" not in said


def test_the_times_from_a_key_are_told_of_every_kind_that_was_drawn() -> None:
    said = python(RUN).splitlines()
    drawn = [int(line.split(" bits, ")[1].split()[0]) for line in said if " kinds: " in line]
    told = [line for line in said if "steps within 16.7 ms" in line]
    assert len(drawn) == 2
    assert min(drawn) >= 30
    assert len(told) == 8, "at each depth: ready, drawn, uploaded at the key, compared"
    counted = [line.split(" steps within")[0].split()[-1] for line in told]
    assert counted == [str(number) for number in drawn for _ in range(4)]
    for ready, alone, late, compared in zip(*[iter(told)] * 4, strict=True):
        assert "on the card already: median" in ready
        assert "drawing alone: median" in alone
        assert "uploaded at the key: median" in late
        assert "compared, after the swap: median" in compared


def test_a_frame_taken_ahead_is_not_drawn_before_it_is_asked_for() -> None:
    assert python(AHEAD).splitlines() == ["first", "first again", "second", "third"]


def test_one_code_too_many_in_one_column_is_seen() -> None:
    right, wrong = python(FAULT).splitlines()
    assert right == "right"
    assert wrong.startswith("180 of 57600 pixels are wrong; the first is at x 7, y 0")


def test_the_program_for_whole_images_looks_no_row_up() -> None:
    assert "order, ivec2" in FRAGMENT
    assert "order, ivec2" not in FULL
