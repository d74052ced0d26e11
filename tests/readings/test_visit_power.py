# ruff: noqa: S311 (moments of a trial)
"""The power goes at any moment: what was acknowledged is in the visit, whatever the disk had.

A player is traced, and what it wrote is replayed up to a moment. What it had synced is on the disk.
Of what was written after that, any part may be there: each sector of 512 bytes by itself, in any
order, and names of files that were made or removed in the order in which they were. (That a disk
keeps what it was told to sync, and that a sector is whole, is what SQLite asks of it: "Atomic
Commit In SQLite", sections 2 and 9, from memory.)
"""

from __future__ import annotations

import random
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from readings.visit.visit import Visit
from tests.needs import program

WRITER = Path(__file__).with_name("visit_writer.py")
SECTOR = 512
CALL = re.compile(r"^\d+ +(\w+)\((.*)\) += (-?\d+)")
TEXT = r'"((?:\\x[0-9a-f]{2})*)"'


@dataclass
class Event:
    """One call of the player: `sync`, `write`, `make`, `remove` or `say`."""

    what: str
    file: str = ""
    at: int = 0
    content: bytes = b""


def plain(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


def traced(visit: Path, log: Path, steps: int) -> list[Event]:
    """Let a player keep readings, and give what it did to the files of the visit, in order."""
    calls = "trace=openat,pwrite64,write,fsync,fdatasync,unlink,ftruncate,rename,renameat2"
    strace = [program("strace", "needs the calls of a player"), "-f", "-y", "-xx", "-s", "70000"]
    command = [*strace, "-e", calls, "-o", str(log), sys.executable, str(WRITER)]
    done = subprocess.run(
        [*command, str(visit), str(steps)], capture_output=True, text=True, check=False
    )
    if "ptrace" in done.stderr and done.returncode:
        pytest.skip(f"a player cannot be traced here: {done.stderr.strip()}")
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == steps
    return [
        event
        for line in log.read_text("ascii").splitlines()
        if (event := _event(line, visit)) is not None
    ]


def _event(line: str, visit: Path) -> Event | None:
    call = CALL.match(line)
    if call is None or call[3].startswith("-"):
        return None
    name, given = call[1], call[2]
    opened = re.match(r"(\d+)<((?:\\x[0-9a-f]{2})*)>", given)
    path = plain(opened[2]).decode() if opened else ""
    texts = [plain(text) for text in re.findall(TEXT, given)]
    ours = {str(visit), f"{visit}-journal"}
    found = None
    if name == "write" and opened and opened[1] == "1":
        found = Event("say", content=texts[0])
    elif name == "openat" and "O_CREAT" in given and texts[0].decode() in ours:
        found = Event("make", texts[0].decode())
    elif name == "unlink" and texts[0].decode() in ours:
        found = Event("remove", texts[0].decode())
    elif name in {"fsync", "fdatasync"} and path in {*ours, str(visit.parent)}:
        found = Event("sync", path)
    elif name == "pwrite64" and path in ours:
        assert len(texts[0]) == int(call[3])
        found = Event("write", path, int(given.rpartition(",")[2]), texts[0])
    # calls that no visit needs, and that are not replayed
    assert name not in {"ftruncate", "rename", "renameat2"} or path not in ours, line
    return found


@dataclass
class File:
    """What is on the disk of a file, and what was written after it was last synced."""

    disk: bytes = b""
    written: list[tuple[int, bytes]] = field(default_factory=list)

    def sync(self) -> None:
        self.disk = _with(self.disk, self.written)
        self.written = []

    def after_power(self, chance: random.Random) -> bytes:
        """The content with some of the sectors that were not synced, in some order."""
        sectors = [
            (at + start, content[start : start + SECTOR - (at + start) % SECTOR])
            for at, content in self.written
            for start in _starts(at, len(content))
        ]
        share = chance.choice((0.0, 0.1, 0.5, 0.9, 1.0))
        kept = [sector for sector in sectors if chance.random() < share]
        if chance.random() < 0.5:
            chance.shuffle(kept)
        return _with(self.disk, kept)


def _starts(at: int, length: int) -> list[int]:
    """Where the sectors of a write begin in it."""
    first = SECTOR - at % SECTOR
    return [0, *range(first, length, SECTOR)]


def _with(content: bytes, written: list[tuple[int, bytes]]) -> bytes:
    changed = bytearray(content)
    for at, new in written:
        if len(changed) < at + len(new):
            changed.extend(bytes(at + len(new) - len(changed)))
        changed[at : at + len(new)] = new
    return bytes(changed)


def lose_power(visit: Path, whole: bytes, events: list[Event], chance: random.Random) -> list[str]:
    """Leave on the disk what may be there after the events, and give what had been acknowledged."""
    names = {str(visit): File(whole)}
    on_disk = [dict(names)]
    acknowledged: list[str] = []
    for event in events:
        if event.what == "say":
            acknowledged += event.content.decode().splitlines()
        elif event.what == "make" and event.file not in names:
            names[event.file] = File()
            on_disk.append(dict(names))
        elif event.what == "remove":
            del names[event.file]
            on_disk.append(dict(names))
        elif event.what == "write":
            names[event.file].written.append((event.at, event.content))
        elif event.what == "sync" and event.file in names:
            names[event.file].sync()
        elif event.what == "sync":
            on_disk = [dict(names)]
    for name in (str(visit), f"{visit}-journal", f"{visit}.lock"):
        Path(name).unlink(missing_ok=True)
    for name, file in chance.choice(on_disk).items():
        Path(name).write_bytes(file.after_power(chance))
    return acknowledged


def replay(folder: Path, steps: int, trials: int, chance: random.Random) -> tuple[int, int]:
    """Lose power that often; how often a commit had to be undone, and the readings acknowledged."""
    visit = folder / "lobby.visit"
    Visit.create(visit, display="lobby wall").close()
    whole = visit.read_bytes()
    events = traced(visit, folder / "calls", steps)
    assert sum(event.what == "say" for event in events) == steps
    undone = most = 0
    for _ in range(trials):
        moment = chance.randrange(len(events) + 1)
        acknowledged = lose_power(visit, whole, events[:moment], chance)
        undone += Path(f"{visit}-journal").exists()
        most += len(acknowledged)
        with Visit.open(visit, write=chance.random() < 0.5) as opened:
            assert opened.soundness.sentences() == [], moment
            kept = {f"{r.id} {r.step} {r.raw}": r for r in opened.readings()}
            assert [line for line in acknowledged if line not in kept] == [], moment
            # at most one was on the disk whose acknowledgement was cut off
            assert len(kept) <= len(acknowledged) + 1
            assert all(r.luminance == r.step + 0.5 for r in kept.values())
        with closing(sqlite3.connect(visit)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    return undone, most


def test_power_lost_at_any_moment_takes_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    seed = random.randrange(2**32)
    undone, acknowledged = replay(tmp_path, 4, 60, random.Random(seed))
    assert undone, f"seed {seed}"
    assert acknowledged, f"seed {seed}"


@pytest.mark.campaign
def test_power_lost_four_thousand_times_takes_nothing_that_was_acknowledged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    undone, acknowledged = replay(tmp_path, 40, 4000, random.Random(4))
    with capsys.disabled():
        print(f"\n4,000 times, {undone} with a commit to undo, {acknowledged} acknowledged")  # noqa: T201
