"""Everything that can be wrong with a visit file is said in one sentence, and harms nothing."""

from __future__ import annotations

import errno
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from patterns.files import lock
from player.visits import require_fit
from readings.visit import damage as visit_damage
from readings.visit import disk as visit_disk
from readings.visit import errors as visit_errors
from readings.visit import lock as visit_lock
from readings.visit import schema as visit_schema
from readings.visit.records import PlannedRun, PlannedStep, Shown, Value
from readings.visit.visit import Visit, VisitError
from tests.readings.early_visit import write_early

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
        run = start(visit, 40)
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
        other.execute("PRAGMA user_version = 9")
    refused(whole, r"written by a newer Litfield \(visit version 9; this one knows 8\)")


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
    is_damaged(whole)


def test_a_visit_with_a_page_overwritten_is_damaged(whole: Path) -> None:
    content = bytearray(whole.read_bytes())
    pages = len(content) // 4096
    assert pages > 10
    for page in range(1, pages):
        spoilt = content.copy()
        spoilt[page * 4096 : page * 4096 + 64] = bytes([page % 251 + 1]) * 64
        whole.write_bytes(spoilt)
        is_damaged(whole)


def is_damaged(path: Path) -> None:
    """It is not written any more; what is read of it is what was kept, and the rest is told."""
    content = path.read_bytes()
    with pytest.raises(VisitError, match=r"damaged|not a visit file"):
        Visit.open(path, write=True)
    told = ""
    try:
        with Visit.open(path, write=False) as visit:
            told = " ".join(visit.soundness.sentences())
            assert {reading.raw for reading in visit.readings()} <= {"seen"}
    except VisitError as error:
        told = str(error)
    assert re.search("damaged|not a visit file|check sum|is missing|are missing", told)
    assert "\n" not in told
    assert path.read_bytes() == content


def test_readings_on_both_sides_of_a_damaged_page_are_given(path: Path) -> None:
    with Visit.create(path, display="lobby wall") as visit:
        run = start(visit)
        for _ in range(12):
            keep(visit, run, "seen " * 200)
    content = bytearray(path.read_bytes())
    pages = [
        at // 4096 for at in range(0, len(content), 4096) if b"seen seen" in content[at : at + 4096]
    ]
    spoilt = pages[len(pages) // 2] * 4096
    content[spoilt : spoilt + 4096] = bytes(4096)
    path.write_bytes(content)
    with Visit.open(path, write=False) as visit:
        given = [reading.id for reading in visit.readings()]
        missing = {left.row for left in visit.soundness.left_out if left.kept_in == "readings"}
        assert given[0] == 1
        assert given[-1] == 12
        assert missing == set(range(1, 13)) - set(given)
        assert missing
        assert "missing" in " ".join(visit.soundness.sentences())


def changed(path: Path, *statements: str) -> Path:
    """Let another program write into a visit."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA writable_schema = ON")
        for statement in statements:
            other.execute(statement)
    return path


NEVER_CHANGED = """CREATE TRIGGER notes_are_never_changed BEFORE UPDATE ON notes
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in notes is changed'); END"""
BARE = "CREATE TABLE skips (id INTEGER PRIMARY KEY, run, step, why, at)"
ENDLESS = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n"


@pytest.mark.parametrize(
    ("statements", "sentence"),
    [
        (
            [
                "ALTER TABLE notes RENAME TO hidden",
                f"CREATE VIEW notes AS {ENDLESS}",
            ],
            "holds the (view notes|table hidden), which no visit has",
        ),
        ([f"CREATE VIEW more AS {ENDLESS}"], "holds the view more, which no visit has"),
        (
            ["CREATE TRIGGER t AFTER INSERT ON notes BEGIN DELETE FROM notes; END"],
            "holds the trigger t, which no visit has",
        ),
        (["CREATE TABLE extra (a)"], "holds the table extra, which no visit has"),
        (["CREATE INDEX i ON notes (text)"], "holds the index i, which no visit has"),
        (["DROP TRIGGER notes_are_never_changed"], "part of the visit is missing"),
        (["DROP INDEX readings_of_a_showing"], "part of the visit is missing"),
        (
            [
                "DROP TRIGGER notes_are_never_changed",
                "CREATE TRIGGER notes_are_never_changed BEFORE UPDATE ON notes BEGIN SELECT 1; END",
            ],
            "its trigger notes_are_never_changed is not that of a visit",
        ),
        (  # columns, and no constraints
            [f"UPDATE sqlite_schema SET sql = '{BARE}' WHERE name = 'skips'"],  # noqa: S608
            "its table skips is not that of a visit",
        ),
    ],
)
def test_tables_views_and_triggers_that_no_visit_has_are_refused_before_they_run(
    whole: Path, statements: list[str], sentence: str
) -> None:
    refused(changed(whole, *statements), sentence)


def test_a_file_with_endless_views_is_refused_at_once(whole: Path) -> None:
    with closing(sqlite3.connect(whole, isolation_level=None)) as other:
        other.execute("PRAGMA writable_schema = ON")
        other.execute("BEGIN")
        other.executemany(
            "INSERT INTO sqlite_schema VALUES ('view', ?1, ?1, 0, ?2)",
            [(f"v{n}", f"CREATE VIEW v{n} AS SELECT 1") for n in range(20_000)],
        )
        other.execute("COMMIT")
    refused(whole, "holds many more tables than a visit has")


def test_a_statement_of_the_schema_that_is_endless_is_refused(whole: Path) -> None:
    changed(whole, f"CREATE VIEW v AS SELECT {', '.join('1' for _ in range(1900))}, '{'x' * 9000}'")
    refused(whole, "lobby.visit")


@pytest.mark.parametrize("early", [False, True])
def test_a_huge_note_is_not_read_into_memory(whole: Path, path: Path, early: bool) -> None:
    if early:
        whole = write_early(whole, path.with_name("early.visit"))
    changed(
        whole,
        "INSERT INTO notes (text, at) VALUES (printf('%.*c', 20000000, 'x'), "
        "'2031-05-04T09:30:00.000000Z')",
    )
    before = memory_kb()
    if early:
        with pytest.raises(VisitError):
            Visit.open(whole, write=False)
    else:
        with Visit.open(whole, write=False) as visit:
            assert visit.notes() == []
            assert visit.soundness.damaged
    assert memory_kb() - before < 15_000


def test_rows_on_both_sides_of_one_that_is_too_large_are_given(whole: Path) -> None:
    with Visit.open(whole, write=True) as visit:
        for text in ("before", "huge", "after"):
            visit.keep_note(text)
    changed(
        whole,
        "DROP TRIGGER notes_are_never_changed",
        "UPDATE notes SET text = printf('%.*c', 5000000, 'x') WHERE id = 2",
        NEVER_CHANGED,
    )
    with Visit.open(whole, write=False) as visit:
        assert [note.text for note in visit.notes()] == ["before", "after"]
        assert visit.soundness.sentences() == ["Note 2 is missing."]
        assert len(visit.readings()) == 20


def test_a_step_that_says_no_run_is_left_out_with_what_rests_on_it(whole: Path) -> None:
    with closing(sqlite3.connect(whole)) as other:
        (steps,) = other.execute("SELECT sql FROM sqlite_schema WHERE name = 'steps'").fetchone()
    loose = steps.replace("run INTEGER NOT NULL", "run INTEGER").replace(") STRICT", ")")
    assert loose != steps
    write = "UPDATE sqlite_schema SET sql = '{}' WHERE name = 'steps'"
    changed(whole, write.format(loose.replace("'", "''")))
    with closing(sqlite3.connect(whole, isolation_level=None)) as other:
        (never,) = other.execute(
            "SELECT sql FROM sqlite_schema WHERE name = 'steps_are_never_changed'"
        ).fetchone()
        other.execute("DROP TRIGGER steps_are_never_changed")
        other.execute("UPDATE steps SET run = NULL WHERE number = 2")
        other.execute(never)
    changed(whole, write.format(steps.replace("'", "''")))
    with Visit.open(whole, write=False) as visit:
        assert visit.soundness.sentences() == [
            "Step 2 of run 1 is missing; left out with it: showing 2, reading 2."
        ]
        assert [reading.id for reading in visit.readings()] == [1, *range(3, 21)]


def memory_kb() -> int:
    """The most memory that this process has had, in kilobytes."""
    resource = pytest.importorskip("resource")
    return int(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def test_more_rows_than_a_visit_has_are_refused(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(visit_damage, "MOST_ROWS", 30)
    refused(whole, "has more than 30 rows of steps, as no visit has")


def test_a_file_larger_than_any_visit_is_not_looked_into(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(128 * 2**20 + 1)
    with pytest.raises(VisitError, match="has 128 MiB, and a visit at most 128 MiB"):
        Visit.open(path, write=False)


def test_what_is_longer_than_a_visit_takes_is_refused_before_it_is_kept(whole: Path) -> None:
    with Visit.open(whole, write=True) as visit:
        visit.keep_note("x" * 2**18)
        with pytest.raises(
            VisitError, match="the note has 262145 bytes; a visit keeps at most 262144"
        ):
            visit.keep_note("x" * 2**18 + "y")
        with pytest.raises(VisitError, match=r"facts has 262\d{3} bytes"):
            visit.keep_showing(1, 1, replace(SHOWN, facts={"a": "x" * 2**18}))
        assert len(visit.notes()) == 1
    with Visit.open(whole, write=False) as visit:
        assert [len(note.text) for note in visit.notes()] == [2**18]


def test_a_visit_that_is_as_large_as_may_be_says_so(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(visit_errors, "LARGEST_FILE", 0)
    with Visit.open(whole, write=True) as visit:
        pages = visit._connection.execute("PRAGMA page_count").fetchone()[0]
        assert visit._connection.execute("PRAGMA max_page_count").fetchone()[0] == 128 * 256
        visit._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(VisitError, match="is as large as a visit may be"):
            visit.keep_note("x" * 100_000)
        assert visit.notes() == []


def test_a_signal_gets_through_while_a_visit_is_looked_through(whole: Path) -> None:
    with Visit.open(whole, write=False) as visit:
        signal.signal(signal.SIGALRM, signal.default_int_handler)
        signal.setitimer(signal.ITIMER_REAL, 0.05)
        try:
            with pytest.raises(KeyboardInterrupt):
                visit._all(f"SELECT count(*) FROM ({ENDLESS})")  # noqa: S608
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
        assert len(visit.readings()) == 20


def test_a_look_that_takes_longer_than_any_visit_needs_ends(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(visit_disk, "_LONGEST_LOOK_S", 0.0)
    monkeypatch.setattr(visit_disk, "_STEPS", 10)
    refused(whole, "took more than 0 s to look through")


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
from player.visits import require_fit
from readings.visit import damage as visit_damage
from readings.visit import disk as visit_disk
from readings.visit import errors as visit_errors
from readings.visit import lock as visit_lock
from readings.visit import schema as visit_schema
from readings.visit.visit import Visit
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
    assert leftover.read_bytes() == b"earlier"
    assert not path.exists()


def test_a_second_player_is_told_that_the_visit_is_open(whole: Path) -> None:
    with Visit.open(whole, write=True):
        with pytest.raises(VisitError, match="is open in another player"):
            Visit.open(whole, write=True)
        second = """
import sys
from readings.visit.visit import Visit, VisitError
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
from readings.visit.visit import Visit
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


@POSIX
def test_a_folder_that_turns_unwritable_during_play_loses_nothing(plain_user: Path) -> None:
    with Visit.open(plain_user, write=True) as visit:
        keep(visit, 1)
        plain_user.parent.chmod(0o555)
        with pytest.raises(VisitError, match="may not be written by this user, and "):
            keep(visit, 1)
        plain_user.parent.chmod(0o777)
        keep(visit, 1)
        assert [reading.step for reading in visit.readings()] == [1, 2]


@POSIX
def test_a_read_only_file_is_read_but_not_written(plain_user: Path) -> None:
    plain_user.chmod(0o444)
    with pytest.raises(VisitError, match="is read-only for this user, so nothing can be kept"):
        Visit.open(plain_user, write=True)
    with Visit.open(plain_user, write=False) as visit:
        assert visit.about().display == "lobby wall"
    plain_user.chmod(0o000)
    with pytest.raises(VisitError, match="may not be read by this user: change who may"):
        Visit.open(plain_user, write=False)
    assert [file.name for file in plain_user.parent.iterdir()] == [plain_user.name]


CUT_OFF = """
import os, sys
from readings.visit.visit import Visit
visit = Visit.open(sys.argv[1], write=True)
visit._connection.execute("PRAGMA cache_size = 1")  # pages go to the file before the commit
visit._connection.execute("PRAGMA cache_spill = 1")
visit._connection.execute("BEGIN IMMEDIATE")
for _ in range(200):
    visit._connection.execute(
        "INSERT INTO notes (text, at) VALUES (?, '2031-05-04T09:30:00.000000Z')", ("x" * 4000,)
    )
os._exit(9)
"""


def cut_off(path: Path) -> None:
    """Leave a visit as a player does that is killed in the middle of a commit."""
    subprocess.run([sys.executable, "-c", CUT_OFF, str(path)], check=False)
    path.with_name(f"{path.name}.lock").unlink(missing_ok=True)
    assert path.with_name(f"{path.name}-journal").stat().st_size > 0


@pytest.fixture
def interrupted(whole: Path) -> tuple[bytes, bytes]:
    """The bytes of a visit that was cut off, and of its journal."""
    cut_off(whole)
    return whole.read_bytes(), whole.with_name("lobby.visit-journal").read_bytes()


@POSIX
@pytest.mark.parametrize("file_mode", [0o644, 0o444])
def test_a_visit_cut_off_while_it_was_written_needs_a_folder_that_can_be_written(
    interrupted: tuple[bytes, bytes], plain_user: Path, file_mode: int
) -> None:
    journal = plain_user.with_name("lobby.visit-journal")
    for content, target in zip(interrupted, (plain_user, journal), strict=True):
        target.write_bytes(content)
        target.chmod(file_mode)
    plain_user.parent.chmod(0o555)
    short = "the folder .* may not be written" if file_mode == 0o644 else "it is read-only for"
    for write in (False, True):
        with pytest.raises(
            VisitError,
            match=f"was cut off while it was written; that has to be undone .*, and {short}.*: "
            "copy it together with lobby.visit-journal into a folder that can be written",
        ):
            Visit.open(plain_user, write=write)
    copies = plain_user.parent.with_name(f"{plain_user.parent.name}-copies")
    copies.mkdir()
    try:
        for file in (plain_user, journal):
            shutil.copyfile(file, copies / file.name)
        with Visit.open(copies / plain_user.name, write=False) as visit:
            assert len(visit.readings()) == 20
            assert visit.notes() == []
    finally:
        shutil.rmtree(copies)


@pytest.mark.parametrize("hot", [False, True])
def test_a_disk_that_is_read_only_is_named(small_disk: Path, whole: Path, hot: bool) -> None:
    path = small_disk / "lobby.visit"
    shutil.copyfile(whole, path)
    if hot:
        cut_off(path)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    said = "lies on a disk that is read-only, so nothing can be kept in it: copy it to a disk that"
    if hot:
        said = "was cut off while it was written; .*, and its disk is read-only: copy it together"
        with pytest.raises(VisitError, match=said):
            Visit.open(path, write=False)
    else:
        with Visit.open(path, write=False) as visit:
            assert len(visit.readings()) == 20
    with pytest.raises(VisitError, match=said):
        Visit.open(path, write=True)
    with pytest.raises(VisitError, match=said):
        require_fit(path)


def test_trouble_with_the_lock_is_told_as_itself(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(number: int) -> Callable[[int], None]:
        def refuse(_: int) -> None:
            raise OSError(number, os.strerror(number))

        return refuse

    for number in (errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK, errno.EDEADLK):
        monkeypatch.setattr(lock, "_lock", fail(number))
        with pytest.raises(VisitError, match="is open in another player"):
            Visit.open(whole, write=True)
    monkeypatch.setattr(lock, "_lock", fail(errno.ENOLCK))
    with pytest.raises(VisitError, match=f"cannot be used: {os.strerror(errno.ENOLCK)}"):
        Visit.open(whole, write=True)


def test_a_visit_is_kept_from_a_second_player_on_windows(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows tells a held lock as access denied; the library is made up."""
    held: list[int] = []

    def locking(descriptor: int, mode: int, count: int) -> None:
        assert (mode, count) == (2, 1)
        if held:
            raise OSError(errno.EACCES, "Permission denied")
        held.append(descriptor)

    made = SimpleNamespace(LK_NBLCK=2, locking=locking)
    monkeypatch.setitem(sys.modules, "msvcrt", made)
    monkeypatch.setattr(lock, "_lock", lock._by_msvcrt)
    with (
        Visit.open(whole, write=True),
        pytest.raises(VisitError, match="is open in another player; close it there first"),
    ):
        Visit.open(whole, write=True)


def test_a_lock_that_is_another_file_each_time_is_given_up(
    whole: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[int] = []
    real = os.open

    def count(path: Path, flags: int, mode: int) -> int:
        opened.append(real(path, flags, mode))
        return opened[-1]

    monkeypatch.setattr(visit_lock.os.path, "samestat", lambda *_: False)
    monkeypatch.setattr(visit_lock.os, "open", count)
    with pytest.raises(VisitError, match="is another file each time it is opened"):
        Visit.open(whole, write=True)
    monkeypatch.undo()
    assert len(opened) == 100
    for descriptor in opened:
        with pytest.raises(OSError, match="Bad file"):
            os.fstat(descriptor)


def test_numbers_beyond_those_of_a_database_are_not_in_a_visit(whole: Path) -> None:
    with Visit.open(whole, write=False) as visit:
        for ask in (visit.run, visit.showing, visit.reading, visit.tally):
            with pytest.raises(VisitError, match=r"has no .* 99999999999999999999"):
                ask(99999999999999999999)


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


def test_a_new_visit_on_a_full_disk_leaves_nothing_behind(small_disk: Path) -> None:
    with suppress(OSError), (small_disk / "ballast").open("wb") as ballast:
        while True:
            ballast.write(bytes(4096))
            ballast.flush()
    before = sorted(small_disk.iterdir())
    with pytest.raises(VisitError, match="the disk is full"):
        Visit.create(small_disk / "lobby.visit", display="lobby wall")
    assert sorted(small_disk.iterdir()) == before
