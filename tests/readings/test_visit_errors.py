"""Everything that can be wrong with a visit file is said in one sentence, and harms nothing."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest

from readings import visit_schema
from readings.records import PlannedRun, PlannedStep, Shown, Value
from readings.visit import Visit, VisitError

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="POSIX permissions")
SHOWN = Shown(inks={"field": (1, 2, 3)}, frame_sha256="ab" * 32, guard="unknown")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "lobby.visit"


def start(visit: Visit, steps: int = 400) -> int:
    plan = PlannedRun(
        sequence_title="Lobby wall",
        sequence_text="title: Lobby wall\n",
        sequence_source="lobby.yaml",
        condition="",
        signal_asked={},
        signal_shown={},
        canvas=(3840, 2160),
        output="simulated",
    )
    step = PlannedStep(label="field", kind="field", parameters={}, quantity="text")
    return visit.start_run(plan, [step] * steps).id


def keep(visit: Visit, run: int, text: str = "seen") -> int:
    step = visit.next_step(run)
    assert step is not None
    showing = visit.keep_showing(run, step, SHOWN)
    return visit.keep_reading(showing.id, Value(quantity="text", raw=text, text=text)).id


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A visit with readings in it, kept once: a busy disk takes its time over each."""
    path = tmp_path_factory.mktemp("template") / "lobby.visit"
    with Visit.create(path, display="lobby wall") as visit:
        run = start(visit)
        for _ in range(20):
            keep(visit, run)
    return path


@pytest.fixture
def whole(path: Path, template: Path) -> Path:
    """A visit with readings in it, closed."""
    return shutil.copyfile(template, path)


def refused(path: Path, sentence: str) -> None:
    """Both ways of opening say the sentence, touch nothing and leave nothing behind."""
    before = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    content = path.read_bytes() if path.is_file() else None
    for write in (True, False):
        with pytest.raises(VisitError, match=sentence) as caught:
            Visit.open(path, write=write)
        assert "\n" not in str(caught.value)
        assert path.name in str(caught.value)
    assert (sorted(path.parent.iterdir()) if path.parent.is_dir() else []) == before
    assert (path.read_bytes() if path.is_file() else None) == content


@pytest.mark.parametrize("content", [b"display,luminance\n" * 400, b"x", bytes(8192)])
def test_a_file_that_is_no_database_is_not_a_visit(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    refused(path, "not a visit file")


def test_an_empty_file_is_not_a_visit(path: Path) -> None:
    path.touch()
    refused(path, "is empty, so it is not a visit file")


@pytest.mark.parametrize("mode", ["delete", "wal"])
def test_a_database_of_another_program_is_not_a_visit(path: Path, mode: str) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute(f"PRAGMA journal_mode = {mode}")
        other.execute("CREATE TABLE visit (id)")
        other.execute("PRAGMA user_version = 1")
    refused(path, "is a file of another program")


def test_a_visit_of_a_newer_version_is_left_alone(whole: Path) -> None:
    with closing(sqlite3.connect(whole)) as other:
        other.execute("PRAGMA user_version = 2")
    refused(whole, r"written by a newer Litfield \(visit version 2; this one knows 1\)")


def test_a_visit_without_a_version_is_damaged(whole: Path) -> None:
    with closing(sqlite3.connect(whole)) as other:
        other.execute("PRAGMA user_version = 0")
    refused(whole, "no valid visit version")


def test_a_visit_without_its_tables_is_damaged(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute(f"PRAGMA application_id = {visit_schema.APPLICATION_ID}")
        other.execute(f"PRAGMA user_version = {visit_schema.VERSION}")
    refused(path, "part of the visit is missing")


@pytest.mark.parametrize("share", [0.0001, 0.002, 0.03, 0.2, 0.5, 0.9, 0.99])
def test_a_visit_cut_short_is_damaged(whole: Path, share: float) -> None:
    content = whole.read_bytes()
    whole.write_bytes(content[: max(1, int(len(content) * share))])
    refused(whole, "damaged|not a visit file")


def test_a_visit_with_a_page_overwritten_is_damaged(whole: Path) -> None:
    content = bytearray(whole.read_bytes())
    pages = len(content) // 4096
    assert pages > 10
    for page in range(1, pages):
        spoilt = content.copy()
        spoilt[page * 4096 : page * 4096 + 64] = bytes([page % 251 + 1]) * 64
        whole.write_bytes(spoilt)
        refused(whole, "damaged")


def test_content_that_changed_under_its_checks_is_damage_too(whole: Path) -> None:
    content = whole.read_bytes()
    assert b'{"field": [1, 2, 3]}' in content
    whole.write_bytes(content.replace(b'{"field": [1, 2, 3]}', b'{"field": [1, 22] }'.ljust(20)))
    with (
        Visit.open(whole, write=False) as visit,
        pytest.raises(VisitError, match="the visit is damaged: its inks reads"),
    ):
        visit.showings()


def test_a_folder_is_not_a_visit(path: Path) -> None:
    path.mkdir()
    refused(path, "is a folder")


def test_a_visit_that_is_not_there_is_not_made_by_opening_it(path: Path) -> None:
    refused(path, "there is no visit file")
    refused(path.parent / "nowhere" / "lobby.visit", "there is no visit file")


def test_a_new_visit_needs_a_folder_that_is_there(path: Path) -> None:
    with pytest.raises(VisitError, match="there is no folder"):
        Visit.create(path.parent / "nowhere" / "lobby.visit", display="lobby wall")


def test_a_new_visit_never_takes_the_place_of_a_file(path: Path, whole: Path) -> None:
    content = whole.read_bytes()
    with pytest.raises(VisitError, match="is there already"):
        Visit.create(path, display="lobby wall")
    assert whole.read_bytes() == content


def test_a_new_visit_that_fails_leaves_nothing_behind(path: Path) -> None:
    with pytest.raises(VisitError, match="the display needs a name"):
        Visit.create(path, display="  ")
    assert list(path.parent.iterdir()) == []


def test_nothing_half_made_appears_at_the_path_when_making_it_is_killed(path: Path) -> None:
    killed = """
import os, sys
from readings import visit_schema
from readings.visit import Visit
make = visit_schema.make
def make_and_die(connection):
    make(connection)
    os._exit(9)
visit_schema.make = make_and_die
Visit.create(sys.argv[1], display="lobby wall")
"""
    assert subprocess.run([sys.executable, "-c", killed, str(path)], check=False).returncode == 9
    assert not path.exists()
    with Visit.create(path, display="lobby wall") as visit:
        assert visit.about().display == "lobby wall"


@pytest.mark.parametrize("suffix", ["-journal", "-wal"])
def test_the_journal_of_an_earlier_file_is_not_played_into_a_new_one(
    path: Path, suffix: str
) -> None:
    leftover = path.with_name(path.name + suffix)
    leftover.write_bytes(b"earlier")
    with pytest.raises(VisitError, match="belongs to an earlier file"):
        Visit.create(path, display="lobby wall")
    with (
        Visit.create(path.with_name("other.visit"), display="lobby wall") as visit,
        pytest.raises(VisitError, match="belongs to an earlier file"),
    ):
        visit.copy_to(path)
    assert leftover.read_bytes() == b"earlier"
    assert not path.exists()


def test_a_second_player_is_told_that_the_visit_is_open(whole: Path) -> None:
    with Visit.open(whole, write=True):
        with pytest.raises(VisitError, match="is open in another player"):
            Visit.open(whole, write=True)
        second = """
import sys
from readings.visit import Visit, VisitError
try:
    Visit.open(sys.argv[1], write=True)
except VisitError as error:
    print(error)
"""
        said = subprocess.run(
            [sys.executable, "-c", second, str(whole)], capture_output=True, check=True
        )
        assert b"is open in another player" in said.stdout
    Visit.open(whole, write=True).close()
    assert [file.name for file in whole.parent.iterdir()] == [whole.name]


def test_the_lock_of_a_killed_player_is_free_at_once(whole: Path) -> None:
    holder = """
import sys, time
from readings.visit import Visit
visit = Visit.open(sys.argv[1], write=True)
print("open", flush=True)
time.sleep(600)
"""
    player = subprocess.Popen([sys.executable, "-c", holder, str(whole)], stdout=subprocess.PIPE)
    assert player.stdout is not None
    assert player.stdout.readline().strip() == b"open"
    with pytest.raises(VisitError, match="is open in another player"):
        Visit.open(whole, write=True)
    player.kill()
    player.communicate()
    with Visit.open(whole, write=True) as visit:
        assert len(visit.readings()) == 20


def test_readers_look_on_while_a_player_writes_and_keep_nothing(whole: Path) -> None:
    with Visit.open(whole, write=True) as player, Visit.open(whole, write=False) as reader:
        kept = keep(player, 1)
        assert reader.readings()[-1].id == kept
        with pytest.raises(VisitError, match="was opened for reading only"):
            reader.keep_note("no")
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            reader._connection.execute("INSERT INTO notes (text, at) VALUES ('x', 'y')")
        keep(player, 1)


def test_another_program_that_holds_the_database_is_named_as_such(whole: Path) -> None:
    with (
        closing(sqlite3.connect(whole, isolation_level=None)) as other,
        Visit.open(whole, write=True) as visit,
    ):
        visit._connection.execute("PRAGMA busy_timeout = 50")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(VisitError, match="another program is using"):
            visit.keep_note("not kept")
        other.execute("ROLLBACK")
        visit.keep_note("kept")
        assert [note.text for note in visit.notes()] == ["kept"]


def test_a_closed_visit_says_so_and_closes_twice(whole: Path) -> None:
    visit = Visit.open(whole, write=True)
    visit.close()
    visit.close()
    with pytest.raises(VisitError, match="closed"):
        visit.runs()


@pytest.fixture
def plain_user() -> Iterator[Path]:
    """A visit of a user whom permissions bind, and that user in charge until the test ends."""
    folder = Path(tempfile.mkdtemp(prefix="litfield-"))
    path = folder / "lobby.visit"
    with Visit.create(path, display="lobby wall") as visit:
        start(visit)
    root = os.geteuid() == 0
    if root:
        os.chown(path, 65534, 65534)
        os.chown(folder, 65534, 65534)
        os.seteuid(65534)
    try:
        yield path
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o777)
        shutil.rmtree(folder)


@POSIX
def test_a_folder_that_cannot_be_written_is_named(plain_user: Path) -> None:
    other = plain_user.with_name("new.visit")
    plain_user.parent.chmod(0o555)
    for attempt in (
        lambda: Visit.create(other, display="lobby wall"),
        lambda: Visit.open(plain_user, write=True),
    ):
        with pytest.raises(VisitError, match=f"folder {plain_user.parent} may not be written"):
            attempt()
    with Visit.open(plain_user, write=False) as visit:
        assert visit.about().display == "lobby wall"
        with pytest.raises(VisitError, match="may not be written"):
            visit.copy_to(other)


@POSIX
def test_a_folder_that_turns_unwritable_during_play_loses_nothing(plain_user: Path) -> None:
    with Visit.open(plain_user, write=True) as visit:
        keep(visit, 1)
        plain_user.parent.chmod(0o555)
        with pytest.raises(VisitError, match="its folder cannot be written"):
            keep(visit, 1)
        plain_user.parent.chmod(0o777)
        keep(visit, 1)
        assert [reading.step for reading in visit.readings()] == [1, 2]


@POSIX
def test_a_read_only_file_is_read_but_not_written(plain_user: Path) -> None:
    plain_user.chmod(0o444)
    with pytest.raises(VisitError, match="is read-only"):
        Visit.open(plain_user, write=True)
    with Visit.open(plain_user, write=False) as visit:
        assert visit.about().display == "lobby wall"
    plain_user.chmod(0o000)
    with pytest.raises(VisitError, match="cannot be opened"):
        Visit.open(plain_user, write=False)
    assert [file.name for file in plain_user.parent.iterdir()] == [plain_user.name]


def fill_the_disk(visit: Visit, run: int) -> list[int]:
    """Keep readings until there is no room, and return the ids of those acknowledged."""
    kept: list[int] = []
    sentence = ""
    while not sentence:
        try:
            kept.append(keep(visit, run, "seen " * 400))
        except VisitError as error:
            sentence = str(error)
    assert "the disk is full" in sentence
    assert "\n" not in sentence
    assert not visit._connection.in_transaction
    return kept


def goes_on(visit: Visit, run: int, kept: list[int]) -> None:
    """The visit holds exactly what it acknowledged, and takes more."""
    assert [reading.id for reading in visit.readings()] == kept
    assert visit.next_step(run) == len(kept) + 1
    assert visit._connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


def test_a_full_database_keeps_what_it_had_and_goes_on_once_there_is_room(path: Path) -> None:
    with Visit.create(path, display="lobby wall") as visit:
        run = start(visit)
        pages = visit._connection.execute("PRAGMA page_count").fetchone()[0]
        visit._connection.execute(f"PRAGMA max_page_count = {pages + 20}")
        kept = fill_the_disk(visit, run)
        assert len(kept) > 5
        goes_on(visit, run, kept)
        visit._connection.execute("PRAGMA max_page_count = 100000")
        kept.append(keep(visit, run))
        goes_on(visit, run, kept)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of one megabyte."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root on Linux")
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk)]
    done = subprocess.run(mount, capture_output=True, check=False, text=True)
    if done.returncode != 0:
        pytest.skip(f"a small disk could not be mounted: {done.stderr.strip()}")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_loses_nothing_and_the_visit_goes_on_once_there_is_room(
    small_disk: Path,
) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(300_000))
    path = small_disk / "lobby.visit"
    with Visit.create(path, display="lobby wall") as visit:
        run = start(visit)
        kept = fill_the_disk(visit, run)
        assert len(kept) > 5
        goes_on(visit, run, kept)
        with Visit.open(path, write=False) as reader:
            assert [reading.id for reading in reader.readings()] == kept
        ballast.unlink()
        kept.append(keep(visit, run))
        goes_on(visit, run, kept)
    with Visit.open(path, write=True) as visit:
        goes_on(visit, run, kept)


def test_a_new_visit_and_a_copy_on_a_full_disk_leave_nothing_behind(
    small_disk: Path, whole: Path
) -> None:
    (small_disk / "earlier.visit").write_bytes(b"an earlier copy")
    with suppress(OSError), (small_disk / "ballast").open("wb") as ballast:
        while True:
            ballast.write(bytes(4096))
            ballast.flush()
    before = sorted(small_disk.iterdir())
    with pytest.raises(VisitError, match="the disk is full"):
        Visit.create(small_disk / "lobby.visit", display="lobby wall")
    with Visit.open(whole, write=False) as visit:
        for name in ("copy.visit", "earlier.visit"):
            with pytest.raises(VisitError, match="the disk is full"):
                visit.copy_to(small_disk / name)
    assert sorted(small_disk.iterdir()) == before
    assert (small_disk / "earlier.visit").read_bytes() == b"an earlier copy"


def test_a_copy_made_during_play_is_a_whole_visit_of_its_own(whole: Path) -> None:
    copy = whole.with_name("copy.visit")
    copy.write_bytes(b"an earlier copy")
    earlier = whole.with_name("earlier.visit")
    earlier.hardlink_to(copy)
    with Visit.open(whole, write=True) as visit:
        visit.copy_to(copy)
        # Another file took the name at once; the earlier one was not written over.
        assert earlier.read_bytes() == b"an earlier copy"
        earlier.unlink()
        keep(visit, 1)
        with Visit.open(copy, write=True) as other:
            assert len(other.readings()) == 20
            assert other.runs() == visit.runs()
            keep(other, 1)
        assert len(visit.readings()) == 21
    assert sorted(file.name for file in whole.parent.iterdir()) == [copy.name, whole.name]


def test_a_copy_never_goes_over_the_visit_itself_a_folder_or_an_open_visit(
    whole: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    link = tmp_path / "link.visit"
    with Visit.open(whole, write=False) as visit:
        with pytest.raises(VisitError, match="is the visit itself"):
            visit.copy_to(whole.parent / "." / whole.name)
        if sys.platform != "win32":
            link.symlink_to(whole)
            with pytest.raises(VisitError, match="is the visit itself"):
                visit.copy_to(link)
        with pytest.raises(VisitError, match="is a folder"):
            visit.copy_to(folder)
        with (
            Visit.create(tmp_path / "open.visit", display="other wall"),
            pytest.raises(VisitError, match="is open in another player"),
        ):
            visit.copy_to(tmp_path / "open.visit")
        with pytest.raises(VisitError, match="there is no folder"):
            visit.copy_to(tmp_path / "nowhere" / "copy.visit")


def test_a_copy_that_is_not_whole_does_not_replace_the_earlier_one(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = whole.with_name("copy.visit")
    copy.write_bytes(b"an earlier copy")

    def spoil(connection: sqlite3.Connection, path: Path) -> Any:
        raise VisitError(f"{path} is damaged: {connection.total_changes}")

    with Visit.open(whole, write=False) as visit:
        monkeypatch.setattr(visit_schema, "recognise", spoil)
        with pytest.raises(VisitError, match="damaged"):
            visit.copy_to(copy)
    assert copy.read_bytes() == b"an earlier copy"
    assert sorted(file.name for file in whole.parent.iterdir()) == [copy.name, whole.name]
