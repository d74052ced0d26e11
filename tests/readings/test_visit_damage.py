"""A visit whose content changed on the disk is called damaged, in one sentence."""

import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from readings.evidence import evidence
from readings.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.report import write_report
from readings.table import write_table
from readings.visit import Visit, VisitError


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    """One run with one reading, two meters and a correction between them."""
    path = tmp_path / "lobby.visit"
    plan = PlannedRun(
        sequence_title="Lobby wall",
        sequence_text="title: Lobby wall\n",
        sequence_source="lobby.yaml",
        condition="",
        signal_asked={},
        signal_shown={"transfer": "pq"},
        canvas=(3840, 2160),
        output="simulated",
    )
    step = PlannedStep(label="White", kind="field", parameters={}, quantity="luminance")
    shown = Shown(inks={"level": (1, 2, 3)}, frame_sha256="ab" * 32, facts={}, guard="unknown")
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
        showing = made.keep_showing(made.start_run(plan, [step]).id, 1, shown)
        made.keep_reading(
            showing.id, Value(quantity="luminance", raw="1", luminance=1.0), instrument=first.id
        )
    return path


def damage(path: Path, *statements: str) -> None:
    """Change what a visit never lets change."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for (name,) in names.fetchall():
            connection.execute(f'DROP TRIGGER "{name}"')
        for statement in statements:
            connection.execute(statement)


def told(path: Path, folder: Path) -> str:
    """What a table and a report say of it; nothing is written."""
    with pytest.raises(VisitError) as of_report:
        write_report([path], folder / "report")
    assert not (folder / "report").exists()
    assert "\n" not in str(of_report.value)
    return str(of_report.value)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE runs SET id = 7", "a row of .* refers to a row that is missing"),
        ("UPDATE steps SET number = 7", "a row of .* refers to a row that is missing"),
        ("UPDATE showings SET id = 7", "a row of readings refers to a row that is missing"),
        ("UPDATE readings SET instrument = 7", "a row of readings refers to a row that is"),
        ("ALTER TABLE readings RENAME raw TO rbw", "its columns are not those of a visit"),
        ("UPDATE readings SET raw = CAST(x'31ff' AS TEXT)", "its raw is not text"),
        ("""UPDATE showings SET inks = '{"level": ["a", null, 1.5]}'""", "its inks reads"),
        ("""UPDATE showings SET inks = '{"level": 5}'""", "its inks reads"),
        ("""UPDATE showings SET facts = '{"area_percent": 1e400}'""", "its facts reads"),
        ("""UPDATE runs SET signal_shown = '{"white": 1e400}'""", "its signal_shown reads"),
        ("""UPDATE instruments SET specification = '{"luminance_floor": "x"}'""", "specification"),
        ("""UPDATE instruments SET specification = '{"luminance_floor": 0}'""", "specification"),
        ("""UPDATE corrections SET matrix = '[1,0,0,0,"x",0,0,0,1]'""", "its matrix reads"),
        ("""UPDATE corrections SET fit = '{"luminance_residual": 1e400}'""", "its fit reads"),
    ],
)
def test_content_that_cannot_be_is_damage(
    visit: Path, tmp_path: Path, statement: str, said: str
) -> None:
    damage(visit, statement)
    assert re.search(f"damaged: .*{said}", told(visit, tmp_path))


def test_a_visit_that_is_whole_is_read_in_full(visit: Path, tmp_path: Path) -> None:
    damage(visit)
    write_report([visit], tmp_path / "report")
    with Visit.open(visit, write=False) as opened:
        write_table(opened, tmp_path / "lobby.csv")
        assert [measured.luminance for measured in evidence(opened)] == [1.0]
        assert opened.corrections()[0].matrix == (1, 0, 0, 0, 1, 0, 0, 0, 1)


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
