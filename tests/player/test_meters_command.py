"""Any program can be the meter, and what goes wrong with it is said in one sentence."""

import os
import shlex
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from threading import Thread

import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.place import in_the_middle, place_read
from player.meters import MeterError, open_meter
from player.meters.command import CommandMeter


def python(tmp_path: Path, code: str) -> str:
    """Write a program and give the command that runs it."""
    program = tmp_path / "a meter.py"
    program.write_text(code, encoding="utf-8")
    parts = [sys.executable, "-S", str(program)]
    return subprocess.list2cmdline(parts) if os.name == "nt" else shlex.join(parts)


def fails(meter: CommandMeter) -> str:
    with pytest.raises(MeterError) as caught:
        meter.measure()
    said = str(caught.value)
    assert "\n" not in said
    return said


def test_a_program_is_run_for_each_reading(tmp_path: Path):
    count = tmp_path / "count"
    code = (
        f"path = {str(count)!r}\nopen(path, 'a').write('x')\n"
        "print('Yxy', len(open(path).read()), 0.3127, 0.329)"
    )
    meter = open_meter(f"command:{python(tmp_path, code)}")
    assert [meter.measure().luminance for _ in range(3)] == [1, 2, 3]
    assert meter.name == "command"


def test_arguments_reach_the_program_as_quoted(tmp_path: Path):
    code = "import sys\nassert sys.argv[1:] == ['spot 1', '$HOME', '*'], sys.argv\nprint('Y 5')"
    command = python(tmp_path, code) + ' "spot 1" $HOME *'
    assert CommandMeter(command).measure().luminance == 5


OF_PLACE = (
    "import os\nfor name in sorted(os.environ):\n"
    "    if name.startswith('LITFIELD_PLACE'): print(name, '=', os.environ[name], ';')\n"
    "print('Y 5')"
)


def test_the_program_is_told_the_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("LITFIELD_PLACE_LABEL", "of another program")
    meter = CommandMeter(python(tmp_path, OF_PLACE))
    assert meter.measure().raw == "Y 5"
    board = KINDS["checkerboard"].model_validate({"columns": 6, "rows": 3})
    meter.aim(place_read("the middle of box 7", board, Canvas(1922, 1080)))
    told = dict(line.rstrip(" ;").split(" = ") for line in meter.measure().raw.splitlines()[:-1])
    # the first column ends at 320 of 1922 pixels, rows at 360 and 720
    assert told == {
        "LITFIELD_PLACE": "7",
        "LITFIELD_PLACE_LABEL": "box 7",
        "LITFIELD_PLACE_X_PERCENT": "8.325",
        "LITFIELD_PLACE_Y_PERCENT": "50",
        "LITFIELD_PLACE_X_PX": "160",
        "LITFIELD_PLACE_Y_PX": "540",
    }
    meter.aim(None)
    assert meter.measure().raw == "Y 5"


def test_the_middle_of_a_picture_without_places_has_no_number(tmp_path: Path):
    meter = CommandMeter(python(tmp_path, OF_PLACE))
    meter.aim(in_the_middle(Canvas(1922, 1080)))
    said = meter.measure().raw
    assert "LITFIELD_PLACE =  ;" in said
    assert "LITFIELD_PLACE_LABEL = middle ;" in said
    assert "LITFIELD_PLACE_X_PX = 961 ;" in said


def test_the_raw_text_is_kept(tmp_path: Path):
    meter = CommandMeter(python(tmp_path, "print('ready\\r\\n 100,5 0,31 0,33 ')"))
    assert meter.measure().raw == "ready\n 100,5 0,31 0,33"


def test_the_order_is_kept_from_bright_to_dim_readings(tmp_path: Path):
    bright = tmp_path / "bright"
    code = (
        f"import os\nif os.path.exists({str(bright)!r}): print('0.3 0.31 0.33')\n"
        f"else: print('95 100 108.9'); open({str(bright)!r}, 'w')"
    )
    meter = CommandMeter(python(tmp_path, code))
    assert meter.measure().luminance == 100
    assert meter.measure().luminance == 0.31
    assert "can be X Y Z or Y x y" in fails(CommandMeter(python(tmp_path, code)))


@pytest.mark.parametrize(("order", "luminance"), [("XYZ", 0.31), ("Yxy", 0.3), ("xyY", 0.33)])
def test_the_order_can_be_said_before_the_program(tmp_path: Path, order: str, luminance: float):
    program = python(tmp_path, "print('0.3 0.31 0.33')")
    meter = open_meter(f"command:{order}: {program}")
    assert meter.measure().luminance == luminance


def test_an_exit_code_is_told_with_the_last_complaint(tmp_path: Path):
    code = "import sys\nprint('Y 5')\nprint('first\\nno instrument', file=sys.stderr)\nsys.exit(3)"
    said = fails(CommandMeter(python(tmp_path, code)))
    assert said.endswith("ended with exit code 3, saying 'no instrument'.")


def test_a_program_that_prints_nothing_is_told(tmp_path: Path):
    assert fails(CommandMeter(python(tmp_path, ""))) == "The meter's program printed nothing."


def test_bytes_that_are_no_text_are_told(tmp_path: Path):
    code = "import sys\nsys.stdout.buffer.write(bytes(range(128, 256)) + b'\\0')"
    assert "which is no reading" in fails(CommandMeter(python(tmp_path, code)))


def test_a_program_that_takes_too_long_is_ended(tmp_path: Path):
    code = "import time\nprint('Y 5', flush=True)\ntime.sleep(60)"
    meter = CommandMeter(python(tmp_path, code), timeout=1.0)
    start = time.monotonic()
    assert fails(meter).endswith("gave no reading within 1 s.")
    assert time.monotonic() - start < 20


def test_a_program_that_prints_without_end_is_ended(tmp_path: Path):
    meter = CommandMeter(python(tmp_path, "while True: print('Y 5' * 1000)"))
    assert fails(meter).endswith("printed more than 65536 bytes: no reading.")


def test_a_program_may_complain_at_length(tmp_path: Path):
    code = "import sys\nsys.stderr.write('warming up\\n' * 50_000)\nprint('Y 5')"
    assert CommandMeter(python(tmp_path, code)).measure().luminance == 5


def test_a_program_gets_no_input(tmp_path: Path):
    code = "import sys\nassert sys.stdin.read() == ''\nprint('Y 5')"
    assert CommandMeter(python(tmp_path, code)).measure().luminance == 5


@pytest.mark.skipif(os.name == "nt", reason="processes are ended in groups on POSIX only")
def test_what_the_program_started_ends_with_it(tmp_path: Path):
    mark = tmp_path / "mark"
    child = f"import time; time.sleep(2); open({str(mark)!r}, 'w')"
    code = f"import subprocess, sys\nsubprocess.run([sys.executable, '-S', '-c', {child!r}])"
    fails(CommandMeter(python(tmp_path, code), timeout=1.0))
    time.sleep(2.5)
    assert not mark.exists()


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ("no-such-program-here 1", "no-such-program-here did not start: No such file"),
        ("/", "did not start"),
    ],
)
def test_a_program_that_is_not_there_is_told(command: str, said: str):
    assert said in fails(CommandMeter(command))


@pytest.mark.parametrize("command", ["", "  ", "Yxy:", "''", "a\0b"])
def test_an_empty_command_is_refused(command: str):
    with pytest.raises(MeterError, match="command:PROGRAM ARGUMENTS"):
        open_meter(f"command:{command}")


@pytest.mark.skipif(os.name == "nt", reason="Windows splits the command itself")
def test_an_open_quotation_is_refused():
    with pytest.raises(MeterError, match="quotation without end"):
        CommandMeter("read 'meter")


@pytest.mark.skipif(os.name == "nt", reason="the child is told by POSIX means")
def test_what_the_program_leaves_running_holds_nothing_up(tmp_path: Path):
    code = (
        "import subprocess, sys\nprint('Y 5', flush=True)\n"
        "subprocess.Popen([sys.executable, '-S', '-c', 'import time; time.sleep(6)'])"
    )
    meter = CommandMeter(python(tmp_path, code), timeout=30.0)
    start = time.monotonic()
    assert meter.measure().luminance == 5
    assert time.monotonic() - start < 5


@pytest.mark.skipif(os.name == "nt", reason="the child is told by POSIX means")
def test_half_a_line_of_a_program_that_left_something_running_is_no_reading(tmp_path: Path):
    code = (
        "import subprocess, sys\nprint('Y 10', end='', flush=True)\n"
        "subprocess.Popen([sys.executable, '-S', '-c', 'import time; time.sleep(4)'])"
    )
    assert fails(CommandMeter(python(tmp_path, code))).endswith("without ending its last line.")


@pytest.mark.parametrize("end", [CommandMeter.give_up, CommandMeter.close])
def test_a_program_under_way_is_ended_where_the_measurement_is_given_up(
    tmp_path: Path, end: Callable[[CommandMeter], None]
):
    began = tmp_path / "began"
    code = f"import time\nopen({str(began)!r}, 'w').close()\ntime.sleep(60)"
    meter = CommandMeter(python(tmp_path, code))

    def give_up() -> None:
        while not began.exists():
            time.sleep(0.02)
        end(meter)

    Thread(target=give_up).start()
    start = time.monotonic()
    assert "ended " in fails(meter)
    assert time.monotonic() - start < 20


@pytest.mark.skipif(os.name == "nt", reason="signals are of POSIX")
def test_a_program_that_dies_in_the_middle_of_a_line_gives_no_reading(tmp_path: Path):
    code = "import os\nprint('Y 100', end='', flush=True)\nos.kill(os.getpid(), 9)"
    assert fails(CommandMeter(python(tmp_path, code))).endswith("ended by signal 9.")


def test_a_reading_after_a_failure_is_a_new_one(tmp_path: Path):
    failed = tmp_path / "failed"
    code = (
        f"import os, sys\nif os.path.exists({str(failed)!r}): print('Y 5')\n"
        f"else: open({str(failed)!r}, 'w').close(); sys.exit(1)"
    )
    meter = CommandMeter(python(tmp_path, code))
    assert "exit code 1" in fails(meter)
    assert meter.measure().luminance == 5


def test_the_timeout_can_be_said_where_the_meter_is_opened(tmp_path: Path):
    command = python(tmp_path, "import time\ntime.sleep(60)")
    meter = open_meter(f"command:{command}", timeout=0.5)
    assert isinstance(meter, CommandMeter)
    assert fails(meter).endswith("gave no reading within 0.5 s.")
