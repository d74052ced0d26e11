"""A meter's program ends as a whole: with all that it started, and with the player itself."""

from __future__ import annotations

import ctypes
import os
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path
from threading import Thread

import pytest

from player.meters import MeterError, keeper
from player.meters.command import CommandMeter
from player.meters.on_windows import Job, Limits
from player.meters.program import JobProgram
from tests.needs import program as needed

POSIX = pytest.mark.skipif(os.name == "nt", reason="processes are kept so on POSIX only")
LINUX = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="Linux finds orphans")

STARTED = """
import os, subprocess, sys, time
folder = sys.argv[1]
def tell(name):
    with open(f"{folder}/{name}.part", "w") as file:
        file.write(str(os.getpid()))
    os.rename(f"{folder}/{name}.part", f"{folder}/{name}")
if sys.argv[2] == "orphan":
    if os.fork():
        os._exit(0)
    os.setsid()
    if os.fork():
        os._exit(0)
    tell("orphan")
elif sys.argv[2] == "session":
    os.setsid()
    tell("session")
else:
    for name in ("orphan", "session"):
        subprocess.Popen([sys.executable, "-S", __file__, folder, name])
    tell("program")
    if sys.argv[2] == "leave":
        while not all(os.path.exists(f"{folder}/{name}") for name in ("orphan", "session")):
            time.sleep(0.01)
        print("Y 5")
        sys.exit()
time.sleep(120)
"""
NAMES = ("program", "session", "orphan")


@pytest.fixture
def started(tmp_path: Path) -> str:
    """A meter that starts one in a session of its own, and one that it disowns as well."""
    path = tmp_path / "meter.py"
    path.write_text(STARTED, encoding="utf-8")
    return shlex.join([sys.executable, "-S", str(path), str(tmp_path)])


def pids(folder: Path) -> list[int]:
    """The processes once all three are there."""
    end = time.monotonic() + 60
    while not all((folder / name).exists() for name in NAMES):
        assert time.monotonic() < end, sorted(path.name for path in folder.iterdir())
        time.sleep(0.02)
    return [int((folder / name).read_text()) for name in NAMES]


def alive(pid: int) -> bool:
    """Whether a process runs; one that only waits for its parent to notice its end does not."""
    stat = Path(f"/proc/{pid}/stat")
    try:
        os.kill(pid, 0)
        return not stat.exists() or stat.read_bytes().rpartition(b")")[2].split()[0] != b"Z"
    except (ProcessLookupError, FileNotFoundError):
        return False


def gone(pids: list[int]) -> list[int]:
    """Those that still run after a while, which are ended for the tests to come."""
    end = time.monotonic() + 20
    while any(map(alive, pids)) and time.monotonic() < end:
        time.sleep(0.02)
    left = [pid for pid in pids if alive(pid)]
    for pid in left:
        os.kill(pid, signal.SIGKILL)
    return left


@LINUX
def test_no_process_of_a_program_outlives_its_time_limit(tmp_path: Path, started: str):
    meter = CommandMeter(f"{started} stay", timeout=3.0)
    with pytest.raises(MeterError, match=r"gave no reading within 3 s\.$"):
        meter.measure()
    # all of it is over once that is told: the instrument's port is free again
    assert [pid for pid in pids(tmp_path) if alive(pid)] == []


@LINUX
def test_no_process_of_a_program_outlives_a_measurement_that_is_given_up(
    tmp_path: Path, started: str
):
    meter = CommandMeter(f"{started} stay")

    def give_up() -> None:
        pids(tmp_path)
        meter.give_up()

    Thread(target=give_up).start()
    with pytest.raises(MeterError, match=r"ended by signal 9\.$"):
        meter.measure()
    assert [pid for pid in pids(tmp_path) if alive(pid)] == []


@LINUX
@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGTERM, signal.SIGSEGV])
def test_no_process_of_a_program_outlives_the_player(
    tmp_path: Path, started: str, end: signal.Signals
):
    meter = f"CommandMeter({started + ' stay'!r})"
    code = f"from player.meters.command import CommandMeter\n{meter}.measure()"
    player = subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.DEVNULL)
    found = pids(tmp_path)
    player.send_signal(end)
    player.wait()
    assert gone(found) == []


@LINUX
def test_the_program_ends_with_its_keeper(tmp_path: Path, started: str):
    meter = CommandMeter(f"{started} stay")

    def end_keeper() -> None:
        program = pids(tmp_path)[0]
        parent = Path(f"/proc/{program}/stat").read_bytes().rpartition(b")")[2].split()[1]
        os.kill(int(parent), signal.SIGKILL)

    Thread(target=end_keeper).start()
    with pytest.raises(MeterError, match=r"ended by signal 9\.$"):
        meter.measure()
    program, *others = pids(tmp_path)
    for pid in others:  # these no parent asks for
        os.kill(pid, signal.SIGKILL)
    assert gone([program]) == []


@POSIX
def test_what_a_program_that_ends_by_itself_leaves_running_is_left_alone(
    tmp_path: Path, started: str
):
    assert CommandMeter(f"{started} leave").measure().luminance == 5
    _, *others = pids(tmp_path)
    assert [pid for pid in others if not alive(pid)] == []
    for pid in others:
        os.kill(pid, signal.SIGKILL)


@POSIX
def test_a_program_has_the_signals_that_programs_expect(tmp_path: Path):
    path = tmp_path / "meter.py"
    path.write_text(
        "import signal, os\n"
        "kept = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGCHLD]\n"
        "print('Y', [signal.getsignal(each) for each in kept[1:]].count(signal.SIG_DFL))\n"
        "assert not any(os.get_inheritable(each) for each in range(3, 64) if os.path.exists("
        "f'/proc/self/fd/{each}'))\n"
        "assert os.getsid(0) == os.getpid()\n",
        encoding="utf-8",
    )
    meter = CommandMeter(shlex.join([sys.executable, "-S", str(path)]))
    # who runs these tests may have it ignored, and what is ignored is inherited
    here = signal.signal(signal.SIGHUP, signal.SIG_DFL)
    try:
        assert meter.measure().luminance == 3
    finally:
        signal.signal(signal.SIGHUP, here)
    # a shell that was started with SIGPIPE ignored cannot set it back
    shell = "sh -c 'trap - PIPE; (sleep 0.2; kill -PIPE $$) & sleep 20; echo Y 1'"
    with pytest.raises(MeterError, match=r"ended by signal 13\.$"):
        CommandMeter(shell, timeout=15).measure()


@POSIX
def test_descendants_are_found_where_there_is_no_proc(monkeypatch: pytest.MonkeyPatch):
    needed("ps", "lists processes as elsewhere")
    monkeypatch.setattr(keeper.sys, "platform", "darwin")
    # whoever runs the tests may have children of its own, such as the X server of all of them
    before = set(keeper.descendants())
    child = subprocess.Popen(["sh", "-c", "sleep 60 & wait"])
    found: set[int] = set()
    try:
        end = time.monotonic() + 20
        while len(found := {pid for pid in keeper.descendants() if alive(pid)} - before) < 2:
            assert time.monotonic() < end
        assert child.pid in found
    finally:
        for pid in found:
            os.kill(pid, signal.SIGKILL)
        child.wait()


JOB = 0x1_0000_0004


class Create:
    """A made-up CreateJobObjectW: a function of ctypes, which has a type that it gives."""

    restype: object = None

    def __call__(self, *arguments: object) -> int:
        assert arguments == (None, None)
        assert self.restype is ctypes.c_void_p, "a handle does not fit into an int"
        return JOB


class Kernel:
    """A made-up kernel32 that remembers what it is asked, and ends a process for a job."""

    def __init__(self, refuses: str = "") -> None:
        self.refuses = refuses
        self.asked: list[tuple[object, ...]] = []
        self.process: subprocess.Popen[bytes] | None = None
        self.CreateJobObjectW = Create()

    def SetInformationJobObject(  # noqa: N802
        self, job: ctypes.c_void_p, what: int, where: object, size: int
    ) -> int:
        limits = ctypes.cast(where, ctypes.POINTER(Limits)).contents
        self.asked.append(("limit", job.value, what, limits.flags, size))
        return self.refuses != "limit"

    def AssignProcessToJobObject(  # noqa: N802
        self, job: ctypes.c_void_p, process: ctypes.c_void_p
    ) -> int:
        self.asked.append(("assign", job.value, process.value))
        return self.refuses != "assign"

    def TerminateJobObject(self, job: ctypes.c_void_p, code: int) -> int:  # noqa: N802
        self.asked.append(("terminate", job.value, code))
        if self.process is not None:
            self.process.kill()
        return 1

    def CloseHandle(self, handle: ctypes.c_void_p) -> int:  # noqa: N802
        self.asked.append(("close", handle.value))
        return 1


def test_the_limits_of_a_job_have_the_size_of_windows_headers():
    assert ctypes.sizeof(Limits) == 144
    assert (Limits.flags.offset, Limits.counters.offset, Limits.memory.offset) == (16, 64, 112)


def test_a_job_takes_the_process_and_ends_with_its_last_handle():
    kernel = Kernel()
    job = Job(kernel, 0x2_0000_0008)
    assert job.holds
    assert kernel.asked == [("limit", JOB, 9, 0x2000, 144), ("assign", JOB, 0x2_0000_0008)]
    job.end()
    assert kernel.asked[2:] == [("terminate", JOB, 1)]


def test_a_job_that_is_left_ends_nothing():
    kernel = Kernel()
    job = Job(kernel, 8)
    del kernel.asked[:]
    job.leave()
    job.leave()
    job.end()
    assert kernel.asked == [("limit", JOB, 9, 0, 144), ("close", JOB)]


@pytest.mark.parametrize("refuses", ["limit", "assign"])
def test_a_process_that_no_job_takes_is_told(refuses: str):
    assert not Job(Kernel(refuses), 8).holds


def test_a_program_of_windows_is_ended_by_its_job():
    kernel = Kernel()
    program = JobProgram([sys.executable, "-S", "-c", "import time; time.sleep(60)"], kernel)
    kernel.process = program._process
    assert not program.wait(0.05)
    assert program.end() != 0
    names = [name for name, *_ in kernel.asked]
    assert names == ["limit", "assign", "terminate", "limit", "close"]
    program.stdout.close()
    program.stderr.close()


def test_a_program_of_windows_that_ended_by_itself_leaves_the_others_running():
    kernel = Kernel()
    program = JobProgram([sys.executable, "-S", "-c", "raise SystemExit(3)"], kernel)
    assert program.wait(60)
    assert program.end() == 3
    assert [name for name, *_ in kernel.asked] == ["limit", "assign", "limit", "close"]
    assert kernel.asked[-2] == ("limit", JOB, 9, 0, 144)
    program.stdout.close()
    program.stderr.close()
