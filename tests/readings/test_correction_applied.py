"""Corrected readings: what the findings, the report and the table make of a correction."""

import csv
import math
import sqlite3
from contextlib import closing

import numpy as np
import pytest

from readings.evidence.correction.applied import AT_FLOOR, NO_COLOUR
from readings.evidence.correction.matrix import Light
from readings.evidence.correction.paired import keep as keep_correction
from readings.evidence.correction.paired import make, taken
from readings.evidence.measured import evidence
from readings.findings import findings_of
from readings.report import write_report
from readings.visit.records import PlannedStep
from readings.visit.table import write_csv
from readings.visit.visit import Visit, VisitError
from tests.readings.early_visit import write_early
from tests.readings.paired_run import ERROR, REFERENCE, keep, light_of, meters, paired, start

WHITE, BLACK = (255, 255, 255), (0, 0, 0)


@pytest.fixture
def visit(tmp_path):
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as made:
        yield made


def correct(visit, fit=None):
    """Make a correction from the latest run with each instrument, and keep it."""
    sides = taken(evidence(visit))
    spot = next(side for side in reversed(sides) if side.name == "spot meter")
    reference = next(side for side in reversed(sides) if side.name == "reference")
    made = make(spot, reference)
    if fit is None:
        return keep_correction(visit, made)
    return visit.add_correction(
        from_instrument=spot.instrument,
        to_instrument=reference.instrument,
        matrix=made.matrix,
        method=made.method(),
        fit=fit,
    )


def contrast_run(visit, instrument, white, black, *, repeats=1, dark_colour=False, error=ERROR):
    """Full white and full black, each read so often; black as luminance alone unless asked."""
    roles = ["white"] * repeats + ["black"] * repeats
    steps = [
        PlannedStep(
            label=f"Full {role}", kind="field", parameters={}, quantity="luminance", role=role
        )
        for role in roles
    ]
    run = start(visit, steps, "contrast")
    truth = light_of(WHITE).chromaticity
    for number, role in enumerate(roles, 1):
        level = white if role == "white" else black
        seen = Light.from_tristimulus(error @ (truth * level / truth[1]))
        codes = WHITE if role == "white" else BLACK
        coloured = role == "white" or dark_colour
        keep(visit, run, number, codes, seen, instrument, colour=coloured)
    return run


def test_every_reading_of_a_corrected_meter_is_corrected_and_keeps_what_was_read(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    raw = evidence(visit)
    made = correct(visit)
    after = evidence(visit)
    truth = [light_of(each.inks["level"]) for each in after]
    for each, light in zip(after, truth, strict=True):
        assert (each.luminance, each.x, each.y) == pytest.approx(
            (light.luminance, light.x, light.y), rel=1e-12
        )
    mine = [each for each in after if each.instrument == spot]
    assert [each.as_read.correction for each in mine] == [made.id] * 6
    assert [(e.as_read.light.luminance, e.as_read.light.x) for e in mine] == [
        (each.luminance, each.x) for each in raw if each.instrument == spot
    ]
    # what is kept in the visit is what the meter gave
    assert [reading.luminance for reading in visit.readings()] == [each.luminance for each in raw]
    assert [each.as_read for each in after if each.instrument == reference] == [None] * 6


def test_readings_taken_before_a_correction_are_corrected_too_and_other_meters_are_not(visit):
    spot, reference = meters(visit)
    other = visit.add_instrument(
        "old meter", kind="typed", role="spot meter", specification=REFERENCE
    ).id
    first = contrast_run(visit, spot, 100.0, 0.1, dark_colour=True)
    second = contrast_run(visit, other, 100.0, 0.1, dark_colour=True)
    typed = contrast_run(visit, None, 100.0, 0.1, dark_colour=True)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit)
    assert [each.luminance for each in evidence(visit, first)] == pytest.approx([100.0, 0.1])
    for run in (second, typed):
        assert [(each.as_read, each.uncorrected) for each in evidence(visit, run)] == [
            (None, "")
        ] * 2


def test_the_uncertainty_of_a_corrected_reading_is_that_of_the_reference_with_the_residual(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit, fit={"luminance_residual": 0.015, "chromaticity_residual": 0.0015})
    specification = evidence(visit)[0].specification
    assert specification.luminance_relative_uncertainty == math.hypot(0.02, 0.015) == 0.025
    assert specification.chromaticity_uncertainty == math.hypot(0.002, 0.0015) == 0.0025
    assert (specification.luminance_floor, specification.luminance_resolution) == (0.002, 0.0001)


def test_a_reference_of_unknown_uncertainty_makes_that_of_corrected_readings_unknown(visit):
    spot, _ = meters(visit)
    unknown = visit.add_instrument(
        "borrowed", kind="typed", role="reference", specification=type(REFERENCE)()
    )
    visit.add_correction(
        from_instrument=spot,
        to_instrument=unknown.id,
        matrix=np.eye(3).ravel().tolist(),
        method="by hand",
    )
    contrast_run(visit, spot, 100.0, 0.1, dark_colour=True)
    assert evidence(visit)[0].specification.luminance_relative_uncertainty is None
    (found,) = findings_of(visit)
    assert found.values[0].uncertainty is None
    assert any("gives no relative uncertainty" in warning for warning in found.warnings)


def test_a_luminance_alone_and_a_reading_at_the_floor_stand_as_read_and_it_is_said(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit)
    alone = contrast_run(visit, spot, 100.0, 0.5)
    dark = contrast_run(visit, spot, 100.0, 0.0019, dark_colour=True)
    white, black = evidence(visit, alone)
    assert white.as_read is not None
    assert (black.as_read, black.uncorrected) == (None, NO_COLOUR)
    assert evidence(visit, dark)[1].uncorrected == AT_FLOOR
    first, second = findings_of(visit, ["contrast"])
    ids = [each.reading for each in (black, evidence(visit, dark)[1])]
    assert f"Reading {ids[0]} of the spot meter stands uncorrected ({NO_COLOUR})." in first.warnings
    assert f"Reading {ids[1]} of the spot meter stands uncorrected ({AT_FLOOR})." in second.warnings
    assert second.values[0].bound == "lower"
    assert first.method.endswith(
        "1 of 2 readings are those of the spot meter, corrected to the reference (correction 1)."
    )


def test_the_gain_cancels_in_a_ratio_only_where_both_sides_are_corrected(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit)
    contrast_run(visit, spot, 100.0, 0.5, repeats=2, dark_colour=True)
    contrast_run(visit, spot, 100.0, 0.5, repeats=2)
    both, one = findings_of(visit, ["contrast"])
    assert both.values[0].value == pytest.approx(200.0)
    assert both.values[0].uncertainty < 0.001 * 200
    # 2 % of the reference above, 4 % of the meter below
    assert one.values[0].uncertainty / one.values[0].value == pytest.approx(
        math.hypot(0.02, 0.04), rel=0.01
    )


def test_repeats_of_which_some_cannot_be_corrected_are_not_mixed(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit)
    steps = [
        PlannedStep(label="Full white", kind="field", parameters={}, quantity="luminance", role=r)
        for r in ("white", "white", "white", "black")
    ]
    run = start(visit, steps)
    for number, colour in enumerate((True, False, True), 1):
        keep(visit, run, number, WHITE, light_of(WHITE, ERROR), spot, colour=colour)
    keep(visit, run, 4, BLACK, Light(0.5, 0.3127, 0.329), spot)
    (found,) = findings_of(visit, ["contrast"])
    used = [each for each in evidence(visit, run) if each.reading in found.readings]
    assert [each.as_read is not None for each in used] == [True, True, True]
    assert (
        "Full white: only some readings of spot meter can be corrected; the 2 corrected count."
        in found.warnings
    )


def test_a_second_correction_takes_the_place_of_the_first_and_both_stay(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    first = correct(visit)
    # the meter has changed: the same colours now read 3 % brighter
    paired(visit, spot, 1.03 * ERROR)
    paired(visit, reference)
    second = correct(visit)
    assert visit.corrections() == [first, second]
    assert second.matrix == pytest.approx([value / 1.03 for value in first.matrix])
    readings = [each for each in evidence(visit) if each.instrument == spot]
    assert {each.as_read.correction for each in readings} == {second.id}


def test_a_correction_to_the_meter_itself_is_refused_by_the_visit(visit):
    spot, _ = meters(visit)
    with pytest.raises(VisitError, match="a correction joins two different instruments"):
        visit.add_correction(from_instrument=spot, to_instrument=spot, matrix=[1.0] * 9, method="")


def test_a_matrix_that_leaves_no_light_leaves_the_reading_as_it_was(visit):
    spot, reference = meters(visit)
    visit.add_correction(
        from_instrument=spot, to_instrument=reference, matrix=[-1.0] * 9, method="by hand"
    )
    contrast_run(visit, spot, 100.0, 0.1, dark_colour=True)
    assert {each.uncorrected for each in evidence(visit)} == {
        "the correction leaves no light of it"
    }


def test_the_report_shows_both_values_the_correction_and_what_it_left(visit, tmp_path):
    spot, reference = meters(visit)
    contrast_run(visit, spot, 100.0, 0.5)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit, fit={"luminance_residual": 0.0123, "chromaticity_residual": 0.00046})
    correct(visit, fit={"accepted": ["White changed by 3.1 %."]})
    visit.close()
    write_report([visit.path], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert "corrected (2); as read: 100.752 cd/m² x 0.3116" in page.replace("\u00a0", " ")
    assert "not corrected: luminance alone: there is no X Y Z to correct" in page
    assert "largest residuals 1.2 % in luminance, 0.0005 in x, y" in page
    assert "A later one takes its place." in page
    assert "Its meter&#39;s readings are corrected by it. Kept against: White changed by" in page
    assert ">100\u00a0cd/m² x" in page


def test_the_table_has_what_was_read_and_what_it_was_corrected_to(visit, tmp_path):
    spot, reference = meters(visit)
    contrast_run(visit, spot, 100.0, 0.5)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    before = [reading.luminance for reading in visit.readings()]
    correct(visit)
    write_csv(visit, tmp_path / "lobby.csv")
    with (tmp_path / "lobby.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["luminance_cd_m2"]) for row in rows] == before
    assert float(rows[0]["corrected_luminance_cd_m2"]) == pytest.approx(100.0)
    assert [row["correction"] for row in rows[:2]] == ["1", ""]
    assert rows[1]["uncorrected"] == NO_COLOUR
    assert rows[1]["corrected_luminance_cd_m2"] == ""
    assert {row["correction"] + row["uncorrected"] for row in rows[8:]} == {""}


def test_a_visit_of_before_corrections_kept_their_fit_is_read_and_grows_when_written(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    visit.add_correction(
        from_instrument=spot, to_instrument=reference, matrix=np.eye(3).ravel(), method="by hand"
    )
    visit.close()
    path = write_early(visit.path, visit.path.with_name("early.visit"), fit="none")
    before = path.read_bytes()
    with Visit.open(path, write=False) as early:
        assert [each.fit for each in early.corrections()] == [{}]
        assert len(evidence(early)) == 12
    assert path.read_bytes() == before
    for _ in range(2):
        with Visit.open(path, write=True) as grown:
            made = correct(grown)
    with Visit.open(path, write=False) as late:
        assert [bool(each.fit) for each in late.corrections()] == [False, True, True]
        assert late.corrections()[-1] == made
    with (
        closing(sqlite3.connect(path)) as connection,
        pytest.raises(sqlite3.IntegrityError, match="what a correction was made of is a JSON obj"),
    ):
        connection.execute(
            "INSERT INTO corrections (from_instrument, to_instrument, matrix, method, made_at, fit)"
            " SELECT from_instrument, to_instrument, matrix, method, made_at, '[]' FROM corrections"
        )


def test_findings_warn_of_a_correction_that_was_kept_against_a_guard(visit):
    spot, reference = meters(visit)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit, fit={"accepted": ["White changed by 3.1 %.", "Blue is dim."]})
    contrast_run(visit, spot, 100.0, 0.5, dark_colour=True)
    (found,) = findings_of(visit, ["contrast"])
    told = "Correction 1 was kept against: White changed by 3.1 %. Blue is dim."
    assert found.warnings.count(told) == 1


@pytest.fixture
def twice(visit):
    """Black and white of the spot meter, and a correction of its runs 2 and 4 after one of 2 and 3;
    the second reference run reads a tenth brighter."""
    spot, reference = meters(visit)
    contrast_run(visit, spot, 100.0, 0.1, dark_colour=True)
    paired(visit, spot, ERROR)
    paired(visit, reference)
    correct(visit)
    paired(visit, reference, 1.1 * np.eye(3))
    correct(visit)
    return visit


def white_of(visit):
    """The luminance of white as it counts, and which correction it rests on."""
    white = next(each for each in evidence(visit) if each.role == "white")
    used = None if white.as_read is None else white.as_read.correction
    return round(white.luminance, 6), used, white.uncorrected


def test_a_correction_made_of_a_run_that_is_set_aside_gives_way_to_the_one_before_it(twice):
    assert white_of(twice) == (110.0, 2, "")
    twice.state("counted", "no", run=4)
    assert white_of(twice) == (100.0, 1, "")
    assert [each.aside for each in twice.corrections()] == [(), (4,)]
    twice.state("counted", "yes", run=4)
    assert white_of(twice) == (110.0, 2, "")


def test_without_any_correction_left_readings_stand_as_read_and_say_why(twice, tmp_path):
    twice.state("counted", "no", run=2)
    why = "correction 2 was made of run 2, which is set aside"
    white = next(each for each in evidence(twice) if each.role == "white")
    assert (white.luminance, white.uncorrected) == (pytest.approx(100.7522), why)
    twice.close()
    write_report([twice.path], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert f"It is not used: {why}." in page
    assert "corrected by it" not in page
    assert "A later one takes its place." not in page


def test_no_correction_is_made_of_a_run_that_is_set_aside(twice):
    twice.state("counted", "no", run=4)
    assert {side.run for side in taken(evidence(twice))} == {2, 3}
