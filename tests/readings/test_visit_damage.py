"""What changed on the disk is named and left out of a visit; the rest of it is given."""

import csv
import json
import re
import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest

from patterns.picture.sheet import Box
from readings.evidence.measured import evidence
from readings.evidence.shown import box_of
from readings.report import gather, write_report
from readings.visit.derivation import Derivation
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.schema import TABLES
from readings.visit.soundness import Soundness
from readings.visit.sums import seal
from readings.visit.table import rows, write_table
from readings.visit.visit import Visit, VisitError
from tests.readings.early_visit import write_early

PLAN = PlannedRun(
    sequence_title="Lobby wall",
    sequence_text="title: Lobby wall\n",
    sequence_source="lobby.yaml",
    condition="",
    signal_asked={},
    signal_shown={"transfer": "pq"},
    canvas=(3840, 2160),
    output="simulated",
)
SUM_OF_1 = f"UPDATE check_sums SET sha256 = '{'a' * 64}' WHERE kept_in = 'readings' AND row = 1"  # noqa: S608
HEAD = (
    "The head of the visit does not match its check sum: its display, settings, place and time "
    "are given as they stand and may be wrong."
)
ALL_OF_1 = "event 1, steps 1–3, showings 1–3, readings 1–3, presses 1–3, withdrawal 1"
OUT = "does not match its check sum and is left out"
STEP = PlannedStep(label="White", kind="field", parameters={}, quantity="luminance")
TALLIED = PlannedStep(label="Zones", kind="moving-box", parameters={}, quantity="tally")
SHOWN = Shown(inks={"level": (1, 2, 3)}, frame_sha256="ab" * 32, facts={}, guard="unknown")


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    """One run with one reading, two meters and a correction between them."""
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display="lobby wall") as made:
        known = Specification(luminance_floor=0.002)
        first = made.add_instrument("a", kind="typed", role="spot meter", specification=known)
        second = made.add_instrument("b", kind="typed", role="reference", specification=known)
        made.add_correction(
            from_instrument=first.id,
            to_instrument=second.id,
            matrix=[1, 0, 0, 0, 1, 0, 0, 0, 1],
            method="four colours",
        )
        showing = made.keep_showing(made.start_run(PLAN, [STEP]).id, 1, SHOWN)
        made.keep_reading(
            showing.id, Value(quantity="luminance", raw="1", luminance=1.0), instrument=first.id
        )
    return path


def damage(path: Path, *statements: str) -> None:
    """Change what a visit never lets change, and leave its tables and triggers as they were."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        kept = triggers.fetchall()
        for name, _ in kept:
            connection.execute(f'DROP TRIGGER "{name}"')
        for statement in statements:
            connection.execute(statement)
        for _, sql in kept:
            connection.execute(sql)


def told(path: Path, folder: Path) -> str:
    """What a table and a report say of it; nothing is written."""
    with pytest.raises(VisitError) as of_report:
        write_report([path], folder / "report")
    assert not (folder / "report").exists()
    assert "\n" not in str(of_report.value)
    return str(of_report.value)


DEEP = '{"a":' * 1200 + "1" + "}" * 1200
CHANGED = [
    ("UPDATE runs SET id = 7", "a row of .* refers to a row that is missing"),
    ("UPDATE steps SET number = 7", "a row of .* refers to a row that is missing"),
    ("UPDATE showings SET id = 7", "a row of readings refers to a row that is missing"),
    ("UPDATE readings SET instrument = 7", "a row of readings refers to a row that is"),
    ("UPDATE readings SET raw = CAST(x'31ff' AS TEXT)", "is damaged or cut short"),
    ("""UPDATE showings SET inks = '{"level": ["a", null, 1.5]}'""", "its inks reads"),
    ("""UPDATE showings SET inks = '{"level": 5}'""", "its inks reads"),
    ("""UPDATE showings SET facts = '{"area_percent": 1e400}'""", "its facts reads"),
    (f"UPDATE showings SET facts = '{DEEP}'", "its facts reads"),  # noqa: S608
    ("""UPDATE runs SET signal_shown = '{"white": 1e400}'""", "its signal_shown reads"),
    ("""UPDATE instruments SET specification = '{"luminance_floor": "x"}'""", "specification"),
    ("""UPDATE instruments SET specification = '{"luminance_floor": 0}'""", "specification"),
    ("""UPDATE corrections SET matrix = '[1,0,0,0,"x",0,0,0,1]'""", "its matrix reads"),
    ("""UPDATE corrections SET fit = '{"luminance_residual": 1e400}'""", "its fit reads"),
]


@pytest.mark.parametrize(("statement", "said"), CHANGED)
def test_content_that_cannot_be_is_damage_of_a_visit_without_check_sums(
    visit: Path, tmp_path: Path, statement: str, said: str
) -> None:
    early = write_early(visit, tmp_path / "early.visit")
    damage(early, statement)
    assert re.search(f"damaged.*{said}|{said}", told(early, tmp_path))


@pytest.mark.parametrize(("statement", "_"), CHANGED)
def test_content_that_cannot_be_is_left_out_of_a_visit_with_check_sums(
    visit: Path, tmp_path: Path, statement: str, _: str
) -> None:
    damage(visit, statement)
    with Visit.open(visit, write=False) as opened:
        assert opened.soundness.damaged
        assert opened.soundness.left_out
        write_table(opened, tmp_path / "lobby.csv")
    assert gather(visit).soundness.left_out


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE runs SET id = 7", "Run 1 is missing; left out with it: step 1, showing 1, read"),
        ("UPDATE showings SET id = 7", "Showing 1 is missing; left out with it: reading 1."),
        ("UPDATE readings SET instrument = 7", "Instrument 7 is missing; left out with it: read"),
    ],
)
def test_what_refers_to_a_row_that_never_was_is_left_out_though_its_check_sum_matches(
    visit: Path, tmp_path: Path, statement: str, said: str
) -> None:
    damage(visit, statement, "DELETE FROM check_sums")
    with closing(sqlite3.connect(visit)) as connection:
        connection.row_factory = sqlite3.Row
        for table in TABLES:
            seal(connection, table)
        connection.commit()
    with Visit.open(visit, write=False) as opened:
        assert any(each.startswith(said) for each in opened.soundness.sentences())
        write_table(opened, tmp_path / "lobby.csv")
    assert gather(visit).soundness.left_out


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5, 6, 7, 8])
@pytest.mark.parametrize(
    "statement",
    ["ALTER TABLE readings RENAME raw TO rbw", "ALTER TABLE notes ADD COLUMN more TEXT"],
)
def test_a_table_that_is_not_that_of_a_visit_is_damage(
    visit: Path, tmp_path: Path, version: int, statement: str
) -> None:
    path = visit
    if version < 8:
        path = write_early(visit, tmp_path / "early.visit", version=version)
    damage(path, statement)
    assert "damaged: its table " in told(path, tmp_path)


def test_a_visit_that_is_whole_is_read_in_full(visit: Path, tmp_path: Path) -> None:
    damage(visit)
    write_report([visit], tmp_path / "report")
    with Visit.open(visit, write=False) as opened:
        assert opened.soundness == Soundness()
        write_table(opened, tmp_path / "lobby.csv")
        assert [measured.luminance for measured in evidence(opened)] == [1.0]
        assert opened.corrections()[0].matrix == (1, 0, 0, 0, 1, 0, 0, 0, 1)


@pytest.fixture
def retaken(tmp_path: Path) -> Path:
    """Two runs of three steps read one after the other; the second step of run 2 read twice.

    Readings 1, 2 and 3 are of run 1; 4, 5, its retake 6, and 7 of run 2. Step 3 of run 2 counts.
    """
    path = tmp_path / "retaken.visit"
    with Visit.create(path, display="lobby wall", place="harbour museum") as made:
        meter = made.add_instrument(
            "a", kind="typed", role="spot meter", specification=Specification()
        )
        for _ in range(2):
            run = made.start_run(PLAN, [STEP, STEP, TALLIED]).id
            for number in (1, 2):
                showing = made.keep_showing(run, number, SHOWN).id
                value = Value(
                    quantity="luminance", raw=f"{run}{number}", luminance=10 * run + number
                )
                kept = made.keep_reading(showing, value, instrument=meter.id)
                if (run, number) == (2, 2):
                    made.keep_reading(showing, value, instrument=meter.id, replaces=kept.id)
            showing = made.keep_showing(run, 3, SHOWN).id
            for position in (1.0, 2.0, 3.0):
                tally = made.keep_tally(
                    showing, position_px=position, axis="vertical", direction="forward"
                )
            made.withdraw_tally(tally.id)
            made.keep_reading(showing, Value(quantity="tally", raw="2", number=2))
            made.keep_note("dark", run=run, step=3)
            made.end_run(run, "finished")
    return path


def left(path: Path) -> tuple[list[str], list[int]]:
    """What is told of a visit, and the readings that are left in it."""
    with Visit.open(path, write=False) as visit:
        return visit.soundness.sentences(), [reading.reading for reading in evidence(visit)]


def test_a_whole_visit_has_nothing_to_tell(retaken: Path) -> None:
    assert left(retaken) == ([], [1, 2, 3, 4, 6, 7])


@pytest.mark.parametrize(
    ("statement", "sentences", "readings"),
    [
        (
            "UPDATE readings SET luminance = 12.5 WHERE id = 2",
            [f"Reading 2 of run 1 {OUT}."],
            [1, 3, 4, 6, 7],
        ),
        (
            "UPDATE readings SET raw = 'x' WHERE id IN (1, 2)",
            ["Readings 1–2 of run 1 do not match their check sums and are left out."],
            [3, 4, 6, 7],
        ),
        (  # what was retaken does not come back
            "UPDATE readings SET luminance = 12.5 WHERE id = 6",
            [f"Reading 6 of run 2 {OUT}; left out with it: reading 5."],
            [1, 2, 3, 4, 7],
        ),
        ("DELETE FROM readings WHERE id = 7", ["Reading 7 is missing."], [1, 2, 3, 4, 6]),
        (
            "UPDATE readings SET id = 9 WHERE id = 7",
            [
                "Reading 7 is missing.",
                f"Reading 9 of run 2 {OUT}.",
            ],
            [1, 2, 3, 4, 6],
        ),
        (
            SUM_OF_1,
            [f"Reading 1 of run 1 {OUT}."],
            [2, 3, 4, 6, 7],
        ),
        (
            "UPDATE steps SET label = 'Black' WHERE run = 1 AND number = 2",
            [f"Step 2 of run 1 {OUT}; left out with it: showing 2, reading 2."],
            [1, 3, 4, 6, 7],
        ),
        (
            "UPDATE runs SET sequence_text = 'title: Lobby hall' WHERE id = 1",
            [f"Run 1 {OUT}; left out with it: {ALL_OF_1}."],
            [4, 6, 7],
        ),
        (
            "UPDATE instruments SET name = 'b'",
            [f"Instrument 1 {OUT}; left out with it: readings 1–2, 4–6."],
            [3, 7],
        ),
        (  # a count with a press lost is no count
            "UPDATE tallies SET position_px = 9 WHERE id = 4",
            [f"Press 4 of run 2 {OUT}; left out with it: reading 7."],
            [1, 2, 3, 4, 6],
        ),
        (  # a press that was taken back does not come back
            "DELETE FROM withdrawals WHERE id = 1",
            ["Withdrawal 1 is missing; left out with it: readings 3, 7."],
            [1, 2, 4, 6],
        ),
        (
            "UPDATE notes SET text = 'bark' WHERE id = 1",
            [f"Note 1 of run 1 {OUT}."],
            [1, 2, 3, 4, 6, 7],
        ),
        (
            "UPDATE visit SET place = 'harbour musem'",
            [HEAD],
            [1, 2, 3, 4, 6, 7],
        ),
    ],
)
def test_what_is_damaged_is_named_and_the_rest_is_given(
    retaken: Path, statement: str, sentences: list[str], readings: list[int]
) -> None:
    damage(retaken, statement)
    assert left(retaken) == (sentences, readings)


def test_a_correction_that_is_damaged_is_named_and_its_readings_stand_as_read(visit: Path) -> None:
    damage(visit, "UPDATE corrections SET matrix = '[2,0,0,0,2,0,0,0,2]'")
    assert left(visit) == (
        [f"Correction 1 {OUT}."],
        [1],
    )


def test_of_very_much_that_is_damaged_the_rest_is_counted(visit: Path) -> None:
    names = "showing, quantity, raw, luminance, taken_at"
    more = [f"INSERT INTO readings ({names}) SELECT {names} FROM readings"] * 7  # noqa: S608
    with closing(sqlite3.connect(visit, isolation_level=None)) as connection:
        for statement in more:
            connection.execute(statement)
        connection.row_factory = sqlite3.Row
        seal(connection, "readings", "WHERE id > 1 AND id % 2")
    (said,), _ = left(visit)
    assert said == (
        "Readings 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24 and 52 more of run 1 do not match "
        "their check sums and are left out."
    )


def flip(path: Path, at: int, bit: int) -> None:
    """Change one bit of a file."""
    content = bytearray(path.read_bytes())
    content[at] ^= 1 << bit
    path.write_bytes(content)


def test_an_index_that_is_damaged_costs_no_reading(retaken: Path) -> None:
    with closing(sqlite3.connect(retaken)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'readings_of_a_showing'"
        ).fetchone()
    # the count of cells of the index's page stands in its bytes 3 and 4
    flip(retaken, (page - 1) * 4096 + 4, 0)
    assert left(retaken) == (
        ["The file is damaged, but all that was kept in it matches its check sums."],
        [1, 2, 3, 4, 6, 7],
    )


def test_a_damaged_visit_is_not_written_any_more(retaken: Path) -> None:
    damage(retaken, "UPDATE readings SET raw = 'x' WHERE id IN (1, 4)")
    content = retaken.read_bytes()
    with pytest.raises(
        VisitError,
        match="is damaged, so nothing more is kept in it; play into another file, and report on "
        r"both: Reading 1 of run 1 does not match its check sum and is left out \(and 1 more\)$",
    ):
        Visit.open(retaken, write=True)
    assert retaken.read_bytes() == content
    assert [file.name for file in retaken.parent.iterdir()] == [retaken.name]


def test_the_table_tells_what_is_left_out_of_it(retaken: Path, tmp_path: Path) -> None:
    damage(
        retaken,
        "UPDATE readings SET raw = 'x' WHERE id = 6",
        "UPDATE notes SET text = 'bark' WHERE id = 1",
    )
    with Visit.open(retaken, write=False) as visit:
        write_table(visit, tmp_path / "lobby.csv")
    with (tmp_path / "lobby.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["reading"] for row in rows] == ["1", "2", "3", "4", "7", "5", "6", ""]
    assert [(row["run"], row["luminance_cd_m2"], row["left_out"]) for row in rows[4:]] == [
        ("2", "", ""),
        (
            "2",
            "",
            f"Reading 5 of run 2 is left out with reading 6 of run 2, which {OUT[:28]}.",
        ),
        ("2", "", f"Reading 6 of run 2 {OUT}."),
        ("", "", f"Note 1 of run 1 {OUT}."),
    ]


def test_the_report_begins_with_what_is_damaged(retaken: Path, tmp_path: Path) -> None:
    damage(retaken, "UPDATE readings SET raw = 'x' WHERE id = 2")
    write_report([retaken], tmp_path / "report")
    sentence = f"Reading 2 of run 1 {OUT}."
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert page.index(sentence) < page.index("<section")
    (found,) = json.loads((tmp_path / "report" / "findings.json").read_text("utf-8"))["visits"]
    assert (found["check_summed"], found["damage"]) == (True, [sentence])


@pytest.mark.parametrize("derivation", ['{"count": 0}', '{"dark": 1e400}', '{"steady": 1}'])
def test_a_derivation_that_cannot_be_is_damage_though_its_check_sum_says_otherwise(
    visit: Path, tmp_path: Path, derivation: str
) -> None:
    damage(
        visit,
        f"UPDATE readings SET derivation = '{derivation}'",  # noqa: S608
        "DELETE FROM check_sums WHERE kept_in = 'readings'",
    )
    with closing(sqlite3.connect(visit, isolation_level=None)) as connection:
        connection.row_factory = sqlite3.Row
        seal(connection, "readings")
    assert "damaged: its derivation reads" in told(visit, tmp_path)


@pytest.mark.parametrize("version", [1, 2])
def test_what_earlier_versions_kept_as_sentences_is_read_as_the_data_that_it_was(
    visit: Path, tmp_path: Path, version: int
) -> None:
    at_3_7 = {"x": 3, "y": 7, "width": 40, "height": 20}
    shown = Shown(
        inks={"level": (1, 2, 3)}, frame_sha256="cd" * 32, facts={"box": at_3_7}, guard="verified"
    )
    mean = Derivation(count=4, deviation=0.0015, measured=0.0525, dark=-0.0025, steady=False)
    value = Value(quantity="luminance", raw="0.05\n0.06", luminance=0.055, derivation=mean)
    with Visit.open(visit, write=True) as today:
        (run,) = today.runs()
        today.keep_reading(today.keep_showing(run.id, 1, shown).id, value, instrument=1)
        kept, table = evidence(today), rows(today)
    assert (kept[1].derivation, kept[1].text) == (mean, None)
    assert box_of(kept[1]) == Box(3, 7, 40, 20)
    said = "mean of 4 readings, standard deviation 0.0015 cd/m2, not steady; measured 0.0525 cd/m2"
    assert table[1]["text"] == f"{said}, dark -0.0025 cd/m2 subtracted"

    early = write_early(visit, tmp_path / "early.visit", version=version)
    content = early.read_bytes()
    assert b'"box": "40x20 at 3,7"' in content
    assert said.encode() in content
    with Visit.open(early, write=False) as before:
        assert (evidence(before), rows(before)) == (kept, table)
    assert early.read_bytes() == content
    with Visit.open(early, write=True) as grown:
        assert (evidence(grown), rows(grown)) == (kept, table)
        after = grown.keep_reading(grown.keep_showing(run.id, 1, shown).id, value, instrument=1)
        assert after.derivation == mean
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()
        assert rows(grown)[:2] == table
        assert grown.readings()[2].derivation == mean


@pytest.mark.parametrize("fit", ["made", "grown", "none"])
def test_an_early_visit_is_read_and_gets_its_check_sums_when_it_is_opened_to_be_written(
    visit: Path, tmp_path: Path, fit: str
) -> None:
    early = write_early(visit, tmp_path / "early.visit", fit=fit)
    content = early.read_bytes()
    with Visit.open(visit, write=False) as today, Visit.open(early, write=False) as before:
        assert before.soundness == Soundness(check_summed=False)
        assert "has no check sums" in before.soundness.unseen()
        assert evidence(before) == evidence(today)
    assert early.read_bytes() == content
    Visit.open(early, write=True).close()
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()
    damage(early, "UPDATE readings SET raw = 'x'")
    assert left(early)[0] == [f"Reading 1 of run 1 {OUT}."]


def test_a_copy_made_by_the_database_itself_matches_its_check_sums(
    retaken: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.visit"
    with closing(sqlite3.connect(retaken)) as connection:
        connection.execute("VACUUM INTO ?", (str(copy),))  # it numbers hidden row ids anew
    assert left(copy) == left(retaken) == ([], [1, 2, 3, 4, 6, 7])


def test_the_check_sum_is_what_the_page_on_the_visit_file_says(visit: Path) -> None:
    with closing(sqlite3.connect(visit)) as connection:
        connection.row_factory = sqlite3.Row
        row = dict(connection.execute("SELECT * FROM readings").fetchone())
        text = json.dumps(
            ["readings", {name: row[name] for name in sorted(row) if row[name] is not None}],
            ensure_ascii=False,
            separators=(",", ":"),
        )
        assert text.startswith('["readings",{"id":1,"instrument":1,"luminance":1.0,"quantity":')
        kept = connection.execute(
            "SELECT row, step, sha256 FROM check_sums WHERE kept_in = 'readings'"
        ).fetchall()
    assert [tuple(each) for each in kept] == [(1, None, sha256(text.encode()).hexdigest())]


def test_names_that_are_no_longer_text_are_damage(visit: Path, tmp_path: Path) -> None:
    content = visit.read_bytes()
    assert content.count(b"ON tallies (showing)") == 1
    visit.write_bytes(content.replace(b"ON tallies (showing)", b"ON tal\xff\xfees (showing)"))
    assert "is damaged or cut short" in told(visit, tmp_path)


@pytest.mark.parametrize("target", ["loop.visit", "nowhere.visit"])
def test_a_link_that_leads_nowhere_is_no_place_for_a_visit(tmp_path: Path, target: str) -> None:
    path = tmp_path / "loop.visit"
    path.symlink_to(tmp_path / target)
    with pytest.raises(VisitError, match="is a link that leads nowhere"):
        Visit.create(path, display="lobby wall")
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", [b"readings\xff", 7, None])
def test_a_name_in_the_schema_that_is_no_text_any_more_is_told(visit: Path, name: object) -> None:
    changed = "UPDATE sqlite_schema SET name = ? WHERE name LIKE '%never_changed'"
    with closing(sqlite3.connect(visit, isolation_level=None)) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(changed, [name])
    with pytest.raises(VisitError, match=r"^[^\n]+$"):
        Visit.open(visit, write=False)
