"""An export that was cut off, by kill -9 or a full disk, goes on where it stopped."""

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from patterns.files import FORMATS, Item
from patterns.files.export import ExportError, export
from patterns.files.folder import Folder
from patterns.files.journal import JOURNAL, Journal, JournalTakenError
from patterns.files.verify import verify
from patterns.kinds.window import Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

SMALL = Canvas(256, 144)
LISTS = ["SHA256SUMS", "manifest.csv", "overview.pdf", "overview.png"]


def items(count: int, level: str = "100 %"):
    for number in range(1, count + 1):
        pattern = Window(level=level, area=f"{number} %")
        yield Item(number, f"{number} %", pattern, pattern.frame(SMALL, named_signal("pq10")))


def contents(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir()}


class Stop(Exception):  # noqa: N818 - it is no error
    """Stands for a power cut."""


def cut_off(folder: Path, after: int, count: int = 6, level: str = "100 %") -> None:
    """Stop an export after some files, and take the lists that a kill would not leave."""

    def told(number: int, _name: str) -> None:
        if number == after:
            raise Stop

    with pytest.raises(Stop):
        export(items(count, level), folder, watch=told)
    for name in LISTS:
        (folder / name).unlink(missing_ok=True)


def written(monkeypatch) -> list[int]:
    """Numbers of the items that are really written from now on."""
    numbers: list[int] = []
    real = FORMATS["png"].write
    monkeypatch.setattr(
        FORMATS["png"],
        "write",
        lambda item, path: (numbers.append(item.number), real(item, path))[1],
    )
    return numbers


def test_what_was_made_is_kept_and_the_rest_is_written(tmp_path, monkeypatch):
    cut_off(tmp_path / "cut", after=4)
    (tmp_path / "cut" / ".part-0123456789ab.png").write_bytes(b"half")
    numbers = written(monkeypatch)
    made = export(items(6), tmp_path / "cut")
    assert numbers == [5, 6]
    assert made.kept == 4
    export(items(6), tmp_path / "straight")
    assert contents(tmp_path / "cut") == contents(tmp_path / "straight")


def test_clips_that_are_kept_are_told_of_as_if_they_were_made_now(tmp_path):
    def clips():
        return [replace(item, hold=Fraction(1, 5)) for item in items(3)]

    def told(number: int, _name: str) -> None:
        if number == 2:
            raise Stop

    with pytest.raises(Stop):
        export(clips(), tmp_path / "cut", ("hevc",), told)
    made = export(clips(), tmp_path / "cut", ("hevc",))
    assert made.kept == 2
    export(clips(), tmp_path / "straight", ("hevc",))
    assert contents(tmp_path / "cut") == contents(tmp_path / "straight")


@pytest.mark.parametrize("line", [b"{}", b"[]", b'{"file": "001-1-percent.png", "key": "x"}'])
def test_a_line_of_another_version_is_passed_over(tmp_path, line: bytes):
    cut_off(tmp_path, after=2)
    with (tmp_path / JOURNAL).open("ab") as journal:
        journal.write(line + b"\n")
    assert export(items(3), tmp_path).kept == 2


def test_a_kept_file_that_was_changed_is_not_taken_for_whole(tmp_path):
    cut_off(tmp_path, after=3)
    (tmp_path / "002-2-percent.png").write_bytes(b"rot")
    with pytest.raises(ExportError, match=r"^002-2-percent\.png is in .* choose another folder"):
        export(items(6), tmp_path)


def test_a_kept_file_that_is_missing_is_written_again(tmp_path, monkeypatch):
    cut_off(tmp_path, after=3)
    (tmp_path / "002-2-percent.png").unlink()
    numbers = written(monkeypatch)
    assert export(items(6), tmp_path).kept == 2
    assert numbers == [2, 4, 5, 6]


def test_what_is_to_be_otherwise_is_written_anew(tmp_path, monkeypatch):
    cut_off(tmp_path, after=3)
    numbers = written(monkeypatch)
    made = export(items(6, level="50 %"), tmp_path)
    assert numbers == [1, 2, 3, 4, 5, 6]
    assert made.kept == 0
    assert verify(tmp_path).good


def test_replacing_an_older_set_can_be_cut_off_too(tmp_path):
    export(items(6, level="50 %"), tmp_path)
    cut_off(tmp_path, after=3)
    assert export(items(6), tmp_path).kept == 3
    assert verify(tmp_path).good


def test_a_line_that_was_cut_off_is_passed_over(tmp_path):
    cut_off(tmp_path, after=3)
    with (tmp_path / JOURNAL).open("ab") as journal:
        journal.write(b'{"file": "004-4-perc')
    assert export(items(6), tmp_path).kept == 3
    assert not (tmp_path / JOURNAL).exists()


@pytest.mark.parametrize("text", [b"", b'{"export": "lit'])
def test_a_journal_that_was_hardly_begun_is_no_hindrance(tmp_path, text: bytes):
    (tmp_path / JOURNAL).write_bytes(text)
    assert export(items(2), tmp_path).kept == 0
    assert verify(tmp_path).good


def test_a_file_of_somebody_else_in_the_journals_place_is_left(tmp_path):
    (tmp_path / JOURNAL).write_text("mine\n")
    with pytest.raises(ExportError, match="is not the journal of an export"):
        export(items(2), tmp_path)
    assert contents(tmp_path) == {JOURNAL: b"mine\n"}


def test_part_files_of_others_stay(tmp_path):
    cut_off(tmp_path, after=2)
    (tmp_path / ".part-of-a-letter.png").write_bytes(b"x")
    export(items(3), tmp_path)
    assert (tmp_path / ".part-of-a-letter.png").exists()


def test_two_exports_into_one_folder_keep_out_of_each_others_way(tmp_path):
    first = Journal.open(tmp_path)
    try:
        with pytest.raises(JournalTakenError, match="Another export is writing into"):
            Journal.open(tmp_path)
    finally:
        first.finish()


EXPORTER = """
import sys
from pathlib import Path
from patterns.picture.canvas import Canvas
from patterns.files import Item
from patterns.files.export import export
from patterns.kinds.window import Window
from patterns.signal.signal import named_signal
def items():
    for number in range(1, 31):
        pattern = Window(area=f"{number} %")
        yield Item(number, "w", pattern, pattern.frame(Canvas(1280, 720), named_signal("pq10")))
print("go", flush=True)
export(items(), Path(sys.argv[1]), ("png", "dpx"), lambda *_: print("one", flush=True))
print("whole", flush=True)
"""


def kill_often(folder: Path, pauses: list[float]) -> int:
    """Kill an export again and again until one run is through; how often it was killed."""
    script = folder.with_suffix(".py")
    script.write_text(EXPORTER)
    kills = 0
    for pause in [*pauses, None]:
        process = subprocess.Popen(
            [sys.executable, str(script), str(folder)], stdout=subprocess.PIPE, text=True
        )
        assert process.stdout is not None
        with process, process.stdout:
            process.stdout.readline()
            if pause is not None:
                time.sleep(pause)
                process.send_signal(signal.SIGKILL if os.name == "posix" else signal.SIGTERM)
                kills += 1
            rest = process.stdout.read()
        check_what_is_there(folder)
    assert rest.endswith("whole\n")
    return kills


def check_what_is_there(folder: Path) -> None:
    """Every file that has its name is whole, at every moment."""
    sums = folder / "SHA256SUMS"
    if sums.exists():
        for line in sums.read_text().splitlines():
            digest, name = line.split("  ")
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    journal = folder / JOURNAL
    if journal.exists():
        told = {}
        for line in journal.read_bytes().splitlines()[1:]:
            try:
                each = json.loads(line)
            except ValueError:
                continue
            told[each["file"]] = each["sha256"]
        for path in folder.glob("0*"):
            assert hashlib.sha256(path.read_bytes()).hexdigest() == told[path.name]


def test_killed_at_any_moment_an_export_goes_on(tmp_path):
    folder = tmp_path / "USB stick ä"
    assert kill_often(folder, [0.0, 0.05, 0.2]) == 3
    assert verify(folder).good
    assert len(list(folder.glob("0*"))) == 60


STAGES = """
import os, sys
from pathlib import Path
from patterns.picture.canvas import Canvas
from patterns.files import Item
from patterns.files.export import export
from patterns.files.verify import verify
from patterns.kinds.window import Window
from patterns.signal.signal import named_signal

def make(folder, level):
    def items():
        for number in (1, 2):
            pattern = Window(level=level, area=f"{number} %")
            yield Item(number, "w", pattern, pattern.frame(Canvas(64, 64), named_signal("pq10")))
    export(items(), folder)

def deadly(call):
    def counted(*args, **more):
        global left
        left -= 1
        if left == 0:
            os._exit(9)
        result = call(*args, **more)
        left -= 1
        if left == 0:
            os._exit(9)
        return result
    return counted

make(Path(sys.argv[1]) / "imported", "1 %")
kills, stage = 0, 0
while True:
    stage += 1
    folder = Path(sys.argv[1]) / str(stage)
    if sys.argv[2] == "again":
        make(folder, "50 %")
    child = os.fork()
    if child == 0:
        left = stage
        os.fsync, Path.replace, Path.unlink = map(deadly, (os.fsync, Path.replace, Path.unlink))
        make(folder, "100 %")
        os._exit(0)
    _, status = os.waitpid(child, 0)
    if os.waitstatus_to_exitcode(status) == 0:
        break
    kills += 1
    make(folder, "100 %")
    assert verify(folder).good, (stage, verify(folder))
print(kills)
"""


@pytest.mark.skipif(os.name != "posix", reason="only POSIX forks")
@pytest.mark.parametrize("what", ["anew", "again"])
def test_killed_before_and_after_every_step_on_the_disk_an_export_goes_on(tmp_path, what: str):
    done = subprocess.run(
        [sys.executable, "-c", STAGES, str(tmp_path), what],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 40


@pytest.mark.campaign
def test_killed_a_hundred_times_an_export_goes_on(tmp_path):
    folder = tmp_path / "stick"
    kill_often(folder, [0.006 * n for n in range(100)])
    assert verify(folder).good


class FullError(OSError):
    """Stands for a disk that is full at one moment."""

    def __init__(self) -> None:
        super().__init__(28, "No space left on device")


@pytest.mark.parametrize("stage", range(20))
def test_a_disk_that_is_full_at_any_stage_leaves_what_is_whole(tmp_path, monkeypatch, stage: int):
    calls = 0
    real = os.fsync

    def fsync(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == stage + 1:
            raise FullError
        real(handle)

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", fsync)
        try:
            export(items(3), tmp_path)
        except ExportError as error:
            assert "the disk is full" in str(error)  # noqa: PT017 - late stages do not come
    assert not [name for name in contents(tmp_path) if name.startswith(".part")]
    check_what_is_there(tmp_path) if contents(tmp_path) else None
    export(items(3), tmp_path)
    assert verify(tmp_path).good


def test_room_for_the_whole_set_is_asked_for_first(tmp_path, monkeypatch):
    asked: list[str] = []
    real = Folder.require_room
    monkeypatch.setattr(
        Folder, "require_room", lambda self, *args: (asked.append(args[1]), real(self, *args))[1]
    )
    export(list(items(2)), tmp_path)
    assert asked == ["the set", "001-1-percent.png", "002-2-percent.png"]


def test_a_set_without_room_is_refused_before_its_first_file(tmp_path, monkeypatch):
    import shutil

    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 9, 300_000))
    with pytest.raises(ExportError, match=r"has 0\.3 MB free, and the set may need \d\.\d MB\.$"):
        export(list(items(20)), tmp_path)
    assert contents(tmp_path) == {}
