"""The command that says what the display of a visit is meant to do, and reports judged by it."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from patterns.aim import Aim
from player.cli import run
from readings.evidence.measured import evidence
from readings.report import gather, gather_all, write_report
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.schema import TABLES
from readings.visit.soundness import Soundness
from readings.visit.sums import seal
from readings.visit.visit import Visit
from tests.readings.early_visit import write_early
from tests.readings.grey_readings import SDR, STEPS, power, signal_of_code
from tests.readings.test_visit_damage import damage

PLAN = PlannedRun(
    sequence_title="Greyscale",
    sequence_text="title: Greyscale\n",
    sequence_source="greys.yaml",
    condition="",
    signal_asked=SDR,
    signal_shown=SDR,
    canvas=(3840, 2160),
    output="window",
)
GREY = PlannedStep(label="Grey", kind="window", parameters={}, quantity="colour", role="grey")
METER = Specification(
    luminance_relative_uncertainty=0.02,
    luminance_floor=0.0001,
    luminance_resolution=0.0001,
    chromaticity_resolution=0.0001,
    chromaticity_uncertainty=0.002,
    luminance_repeatability=0.002,
    chromaticity_repeatability=0.0005,
)


def visit_of(path: Path, light, aim: Aim | None = None, own: Aim | None = None) -> Path:
    """A visit with the greys of a display, and what was stated of it, and by its sequence."""
    with Visit.create(path, display="lobby wall") as visit:
        meter = visit.add_instrument(
            "spot meter", kind="typed", role="spot meter", specification=METER
        )
        number = visit.start_run(PLAN, [GREY] * len(STEPS), aim=own or Aim()).id
        for step, code in enumerate(STEPS, 1):
            inks = {"level": (code,) * 3, "background": (64, 64, 64)}
            shown = Shown(
                inks=inks,
                frame_sha256="ab" * 32,
                guard="verified",
                facts={"area_percent": 10.0},
            )
            showing = visit.keep_showing(number, step, shown).id
            seen = light(signal_of_code(code))
            value = Value(quantity="colour", raw="typed", luminance=seen, x=0.3127, y=0.329)
            visit.keep_reading(showing, value, instrument=meter.id)
        if aim:
            visit.state_aim(aim)
    return path


def raised(exponent: float):
    """A power law above a raised black."""
    return power(exponent, white=120.0, black=0.1)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return visit_of(tmp_path / "lobby.visit", raised(2.4))


def test_what_is_stated_is_kept_and_told_again(path, capsys):
    assert run(["aim", str(path)]) == 0
    assert "Aim: not stated" in capsys.readouterr().out
    assert run(["aim", str(path), "--curve", "power 2.4"]) == 0
    assert run(["aim", str(path), "--white", "120 cd/m2", "--white-point", "0.3127,0.329"]) == 0
    with Visit.open(path, write=False) as visit:
        assert visit.aim() == Aim("power 2.4", None, 120.0, (0.3127, 0.329))
        assert [each.aim for each in visit.aims()] == [Aim("power 2.4"), visit.aim()]
    assert run(["aim", str(path)]) == 0
    assert "curve power 2.4; white D65; white of 120 cd/m²" in capsys.readouterr().out
    assert run(["aim", str(path), "--none"]) == 0
    with Visit.open(path, write=False) as visit:
        assert visit.aim() == Aim()
        assert len(visit.aims()) == 3


def test_asking_changes_nothing_and_saying_the_same_again_keeps_nothing(path):
    run(["aim", str(path), "--curve", "srgb"])
    content = path.read_bytes()
    assert run(["aim", str(path)]) == 0
    assert run(["aim", str(path), "--curve", "srgb"]) == 0
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--curve", "2.4"], "A curve is bt1886, srgb, or power and an exponent"),
        (["--white", "120"], "--white: '120' has no unit"),
        (["--white", "0 cd/m2"], "The luminance of white is more than 0"),
        (["--black", "200 cd/m2", "--white", "120 cd/m2"], "The luminance of black"),
        (["--white-point", "0.31"], "--white-point is x and y with a comma"),
        (["--white-point", "0.7,0.5"], "together below 1"),
        (["--none", "--curve", "srgb"], "nothing goes with it"),
    ],
)
def test_what_cannot_be_an_aim_is_refused_in_one_sentence_and_nothing_is_kept(
    path, options, words, capsys
):
    content = path.read_bytes()
    assert run(["aim", str(path), *options]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert len(told.strip().splitlines()) == 1
    assert path.read_bytes() == content


def test_the_report_is_judged_by_the_aim_and_names_it_at_its_head_and_with_verdicts(path, tmp_path):
    def not_good() -> str:
        write_report([path], tmp_path / "report")
        page = (tmp_path / "report" / "report.html").read_text("utf-8")
        assert "aim: " in page
        return page.partition("What is not<")[2].partition("What cannot be told")[0]

    assert "brighter or darker than the curve wants it" in not_good()
    run(["aim", str(path), "--curve", "power 2.4"])
    assert "than the curve wants" not in not_good()
    (visit,) = json.loads((tmp_path / "report" / "findings.json").read_text("utf-8"))["visits"]
    assert visit["aim"] == {"curve": "power 2.4"}
    (greys,) = (each for each in visit["findings"] if each["name"] == "greyscale")
    assert greys["aim"]["curve"] == "power 2.4"
    assert greys["aim"]["white_point"] == [0.3127, 0.329]
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert "curve power 2.4; for the rest what each signal says" in page


def test_what_a_sequence_states_goes_before_what_the_visit_states(tmp_path):
    path = visit_of(
        tmp_path / "own.visit", raised(2.2), Aim("power 2.4", white=120.0), Aim("power 2.2")
    )
    with Visit.open(path, write=False) as visit:
        assert visit.aim(1) == Aim("power 2.2", white=120.0)
        assert {each.aim for each in evidence(visit)} == {visit.aim(1)}
        assert {each.aim for each in evidence(visit, aim=Aim("srgb"))} == {Aim("power 2.2")}
    (found,) = (each for each in gather(path).findings if each.name == "greyscale")
    assert found.value("eotf-error-average").value == pytest.approx(0, abs=1e-6)


def test_a_sequence_with_an_aim_of_its_own_keeps_it_with_its_run(tmp_path):
    sequence = tmp_path / "own.yaml"
    sequence.write_text(
        "title: own\nsignal: sdr8\naim: {curve: power 2.2, white_point: [0.3, 0.31]}\nsteps:\n"
        "  - show: {field: {level: 50 %}}\n    read: luminance\n"
    )
    visit = tmp_path / "own.visit"
    played = ["play", str(sequence), "--visit", str(visit), "--output", "simulated"]
    assert run([*played, "--meter", "simulated", "--unattended"]) == 0
    with Visit.open(visit, write=False) as kept:
        assert kept.aim(1) == Aim("power 2.2", white_point=(0.3, 0.31))
        assert kept.aim() == Aim()


def test_an_adjustment_to_the_aim_is_not_farther_away_though_it_was_stated_only_afterwards(
    tmp_path,
):
    before = visit_of(tmp_path / "before.visit", raised(2.1))
    after = visit_of(tmp_path / "after.visit", raised(2.4), Aim("power 2.4"))
    write_report([before, after], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    front = page.partition("Changes are counted")[2].partition("What changed by less")[0]
    assert "Visit 1 is judged here by the aim of visit 2: curve power 2.4." in front
    assert "nearer to the target" in front
    assert "farther from the target" not in front
    first, second = gather_all([before, after])
    assert (first.aim, first.stated, second.aim) == (Aim("power 2.4"), Aim(), Aim("power 2.4"))


def test_runs_of_two_aims_are_not_told_nearer_or_farther(tmp_path):
    before = visit_of(tmp_path / "before.visit", raised(2.1), own=Aim("power 2.2"))
    after = visit_of(tmp_path / "after.visit", raised(2.4), own=Aim("power 2.4"))
    write_report([before, after], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert "Changes are counted" in page
    assert "nearer to the target" not in page
    assert "farther from the target" not in page


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5])
def test_a_visit_of_an_earlier_version_is_read_and_given_an_aim(path, tmp_path, version):
    early = write_early(path, tmp_path / "early.visit", version=version)
    with Visit.open(early, write=False) as before:
        assert before.aims() == []
        assert before.aim(1) == Aim()
    assert run(["aim", str(early), "--curve", "srgb"]) == 0
    with Visit.open(early, write=False) as grown:
        assert grown.aim(1) == Aim("srgb")
        assert grown.soundness == Soundness()


def test_of_a_damaged_aim_the_ones_before_it_do_not_come_back(path):
    run(["aim", str(path), "--curve", "srgb"])
    run(["aim", str(path), "--curve", "power 2.4"])
    damage(path, 'UPDATE aims SET aim = \'{"curve": "power 1.4"}\' WHERE id = 2')
    with Visit.open(path, write=False) as visit:
        assert visit.aim() == Aim()
        (said,) = visit.soundness.sentences()
    assert "Aim 2 " in said
    assert "does not match its check sum" in said


def test_an_aim_that_no_display_has_is_refused_though_its_check_sum_matches(path, capsys):
    run(["aim", str(path), "--curve", "srgb"])
    damage(path, 'UPDATE aims SET aim = \'{"curve": "round"}\'', "DELETE FROM check_sums")
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        for table in TABLES:
            seal(connection, table)
        connection.commit()
    capsys.readouterr()
    assert run(["aim", str(path)]) != 0
    assert "damaged: its aim reads" in capsys.readouterr().err
