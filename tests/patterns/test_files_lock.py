"""One export at a time in a folder, by each system's own lock; that of Windows is made up."""

import errno
import os
import sys
from types import SimpleNamespace

import pytest

from patterns.files import Item, lock
from patterns.files.export import ExportError, export
from patterns.files.journal import JOURNAL, Journal, JournalTakenError, Made
from patterns.files.verify import verify
from patterns.kinds.window import Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

SMALL = Canvas(256, 144)
fcntl = pytest.importorskip("fcntl")  # the made-up library stands on it


def items(count: int):
    for number in range(1, count + 1):
        pattern = Window(area=f"{number} %")
        yield Item(number, f"{number} %", pattern, pattern.frame(SMALL, named_signal("sdr8")))


class Msvcrt:
    """A made-up msvcrt: asks for a real lock, and tells of a held one as Windows does."""

    LK_NBLCK = 2

    def __init__(self) -> None:
        self.refuses = 0
        self.asked = 0

    def locking(self, descriptor: int, mode: int, count: int) -> None:
        assert (mode, count) == (self.LK_NBLCK, 1)
        # from where the file stands: what is locked nobody else can read
        assert os.lseek(descriptor, 0, os.SEEK_CUR) > 1 << 30
        self.asked += 1
        if self.refuses:
            raise OSError(self.refuses, "refused")
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise OSError(errno.EACCES, "Permission denied") from None


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> Msvcrt:
    made = Msvcrt()
    monkeypatch.setitem(sys.modules, "msvcrt", made)
    monkeypatch.setattr(lock, "_lock", lock._by_msvcrt)
    return made


@pytest.mark.usefixtures("windows")
def test_a_second_export_is_kept_out_on_windows(tmp_path):
    first = Journal.open(tmp_path)
    with pytest.raises(JournalTakenError, match="Another export is writing into"):
        Journal.open(tmp_path)
    with pytest.raises(ExportError, match="Another export is writing into"):
        export(items(1), tmp_path)
    first.finish()
    second = Journal.open(tmp_path)
    second.finish()


def test_an_export_on_windows_is_whole_and_leaves_no_lock_behind(tmp_path, windows: Msvcrt):
    for _ in range(2):
        export(items(2), tmp_path)
        assert not (tmp_path / JOURNAL).exists()
    assert windows.asked == 2
    assert verify(tmp_path).good


@pytest.mark.usefixtures("windows")
def test_a_journal_that_is_locked_on_windows_is_written_at_its_end_and_read(tmp_path):
    journal = Journal.open(tmp_path)
    journal.entitle("Windows of the lobby wall")
    lines = (tmp_path / JOURNAL).read_bytes().splitlines()
    assert len(lines) == 2
    assert b"lobby wall" in lines[1]
    journal.note("1.png", Made("key", "0" * 64))
    journal.close()
    again = Journal.open(tmp_path)
    assert (again.title, list(again.made)) == ("Windows of the lobby wall", ["1.png"])
    again.finish()


@pytest.mark.parametrize("refuses", [errno.EINVAL, errno.ENOLCK])
def test_a_disk_without_locks_is_written_to_all_the_same(tmp_path, windows: Msvcrt, refuses: int):
    windows.refuses = refuses
    Journal.open(tmp_path).finish()


def test_a_lock_that_cannot_be_asked_for_is_not_taken_for_a_held_one(monkeypatch):
    def refuse(_: int, __: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    made = SimpleNamespace(LOCK_EX=2, LOCK_NB=4, flock=refuse)
    monkeypatch.setitem(sys.modules, "fcntl", made)
    monkeypatch.setattr(lock, "_lock", lock._by_flock)
    with pytest.raises(OSError, match="No locks available"):
        lock.taken(0)
