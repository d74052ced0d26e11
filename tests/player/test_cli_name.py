"""The command that names the instrument of typed readings afterwards: what it keeps beside them."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from player.cli import run
from readings.evidence.measured import evidence
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.soundness import Soundness
from readings.visit.table import rows
from readings.visit.visit import Visit, VisitError
from tests.readings.early_visit import write_early
from tests.readings.test_visit_damage import damage

SPOT = (
    "name: spot meter\nspecification: {luminance_relative_uncertainty: 4 %, luminance_floor: 0.002}"
)
PLAN = PlannedRun(
    sequence_title="Lobby wall",
    sequence_text="title: Lobby wall\n",
    sequence_source="lobby.yaml",
    condition="",
    signal_asked={},
    signal_shown={"transfer": "pq"},
    canvas=(3840, 2160),
    output="window",
)
STEPS = [
    PlannedStep(label="White", kind="field", parameters={}, quantity="luminance"),
    PlannedStep(label="Dead", kind="field", parameters={}, quantity="count"),
]
SHOWN = Shown(inks={"level": (1, 2, 3)}, frame_sha256="ab" * 32, guard="verified")
KNOWN = Specification(luminance_relative_uncertainty=0.04, luminance_floor=0.002)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Two runs: a typed reading, its retake, a count and one of a named meter in each."""
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display="lobby wall") as visit:
        other = visit.add_instrument(
            "reference", kind="typed", role="reference", specification=Specification()
        )
        for _ in range(2):
            number = visit.start_run(PLAN, STEPS).id
            white = visit.keep_showing(number, 1, SHOWN).id
            first = visit.keep_reading(white, light(100.0))
            visit.keep_reading(white, light(101.0), replaces=first.id)
            visit.keep_reading(white, light(99.0), instrument=other.id)
            dead = visit.keep_showing(number, 2, SHOWN).id
            visit.keep_reading(dead, Value(quantity="count", raw="3", number=3.0))
    return path


@pytest.fixture
def spot(tmp_path: Path) -> Path:
    file = tmp_path / "spot-meter.yaml"
    file.write_text(SPOT)
    return file


def light(luminance: float) -> Value:
    return Value(quantity="luminance", raw=f"{luminance:g}", luminance=luminance)


def named(path: Path) -> dict[int, str | None]:
    """Of every reading, the replaced ones too, the name of its instrument."""
    with Visit.open(path, write=False) as visit:
        names = {each.id: each.name for each in visit.instruments()}
        return {r.id: names.get(r.instrument or 0) for r in visit.readings(replaced=True)}


def kept(path: Path) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("SELECT * FROM readings").fetchall()


def test_typed_readings_of_light_get_the_instrument_and_what_was_kept_stays_as_it_is(
    path: Path, spot: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    before = kept(path)
    assert run(["name", str(path), "--instrument", str(spot)]) == 0
    said = capfd.readouterr().out
    assert said == (
        f"Kept in {path}: 2 readings of run 1 and 2 readings of run 2 were taken with spot meter.\n"
    )
    assert named(path) == {1: "spot meter", 2: "spot meter", 3: "reference", 4: None,
                           5: "spot meter", 6: "spot meter", 7: "reference", 8: None}  # fmt: skip
    assert kept(path) == before
    with Visit.open(path, write=False) as visit:
        assert visit.soundness == Soundness()
        measured = {each.reading: each for each in evidence(visit)}
        assert measured[2].specification == KNOWN
        assert measured[2].meter == measured[6].meter is not None
        at = visit.namings()[0].at
        assert visit.reading(2).named_at == at
        assert visit.reading(3).named_at is None
        assert [each.named_at for each in visit.readings(1, replaced=True)] == [at, at, None, None]
        table = {row["reading"]: row for row in rows(visit)}
        assert table[1]["instrument"] == "spot meter"
        assert table[1]["instrument_named_at"] == at.isoformat()
        assert table[3]["instrument_named_at"] is None


def test_one_run_alone_can_be_named(path: Path, spot: Path) -> None:
    assert run(["name", str(path), "--instrument", str(spot), "--run", "2"]) == 0
    assert [n for n, name in named(path).items() if name == "spot meter"] == [5, 6]


def test_what_was_named_is_named_anew_only_where_that_is_asked_and_the_first_name_stays_in_it(
    path: Path, spot: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(SPOT.replace("spot meter", "borrowed"))
    run(["name", str(path), "--instrument", str(spot), "--run", "1"])
    capfd.readouterr()
    assert run(["name", str(path), "--instrument", str(other), "--run", "1"]) == 0
    said = capfd.readouterr().out
    assert said.startswith("Every reading of light there has its instrument; nothing was kept. --a")
    assert named(path)[2] == "spot meter"
    assert run(["name", str(path), "--instrument", str(other), "--run", "1", "--again"]) == 0
    assert [named(path)[n] for n in (1, 2, 3)] == ["borrowed", "borrowed", "reference"]
    with Visit.open(path, write=False) as visit:
        assert [(each.reading, each.instrument) for each in visit.namings()] == [
            (1, 2), (2, 2), (1, 3), (2, 3),
        ]  # fmt: skip
    capfd.readouterr()
    assert run(["name", str(path), "--instrument", str(other), "--run", "1", "--again"]) == 0
    assert capfd.readouterr().out == "They are with borrowed already; nothing was kept.\n"


def test_a_name_is_enough_where_the_visit_knows_what_its_maker_promises(
    path: Path, spot: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["name", str(path), "--instrument", "spot meter"]) == 2
    assert "is not known, so nothing was kept: name a YAML file" in capfd.readouterr().err
    assert set(named(path).values()) == {"reference", None}
    run(["name", str(path), "--instrument", str(spot), "--run", "1"])
    assert run(["name", str(path), "--instrument", "spot meter"]) == 0
    assert named(path)[6] == "spot meter"


@pytest.mark.parametrize("options", [["--run", "7"], ["--instrument", "nowhere.yaml"]])
def test_what_is_not_there_names_nothing(
    path: Path, spot: Path, options: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["name", str(path), "--instrument", str(spot), *options]) == 2
    assert capfd.readouterr().err.count("\n") == 1
    assert set(named(path).values()) == {"reference", None}


def test_a_count_and_a_reading_of_a_named_instrument_take_no_other(path: Path) -> None:
    with Visit.open(path, write=True) as visit:
        for reading in (3, 4, 99):
            with pytest.raises(VisitError, match="named later for a reading of light that has no"):
                visit.name_instrument(1, [2, reading])
        assert visit.namings() == []


@pytest.mark.parametrize("version", [1, 2, 3, 4])
def test_a_visit_of_an_earlier_version_is_read_and_named_too(
    path: Path, spot: Path, tmp_path: Path, version: int
) -> None:
    early = write_early(path, tmp_path / "early.visit", version=version)
    content = early.read_bytes()
    with Visit.open(early, write=False) as before:
        assert before.namings() == []
        assert [each.instrument for each in before.readings(1)] == [None, 1, None]
    assert early.read_bytes() == content
    assert run(["name", str(early), "--instrument", str(spot)]) == 0
    assert named(early)[2] == "spot meter"
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()


def twice(path: Path) -> None:
    """Name all with one instrument, and then the first two readings with another."""
    with Visit.open(path, write=True) as visit:
        for name, readings in (("first", (1, 2, 5, 6)), ("second", (1, 2))):
            meter = visit.add_instrument(name, kind="typed", role="spot meter", specification=KNOWN)
            visit.name_instrument(meter.id, readings)


def test_a_damaged_naming_is_left_out_and_what_was_said_before_it_does_not_come_back(
    path: Path,
) -> None:
    twice(path)
    damage(path, "UPDATE namings SET at = '2001-01-01T00:00:00.000000Z' WHERE id = 6")
    with Visit.open(path, write=False) as visit:
        (said,) = visit.soundness.sentences()
    assert said == (
        "Naming 6 of run 1 does not match its check sum and is left out; left out with it: "
        "naming 2."
    )
    assert [named(path)[n] for n in (1, 2, 5, 6)] == ["second", None, "first", "first"]


def test_where_a_naming_is_missing_no_earlier_one_counts(path: Path) -> None:
    twice(path)
    damage(path, "DELETE FROM namings WHERE id = 6")
    assert [named(path)[n] for n in (1, 2, 5, 6)] == [None] * 4


def test_where_an_instrument_named_afterwards_is_lost_its_readings_stand_without_one(
    path: Path,
) -> None:
    twice(path)
    damage(path, "UPDATE instruments SET name = 'x' WHERE name = 'second'")
    assert [named(path)[n] for n in (1, 2, 5, 6)] == [None, None, "first", "first"]
