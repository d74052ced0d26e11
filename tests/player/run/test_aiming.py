"""What is told of a reading as it is kept: its target, its error, and how far white has moved."""

from datetime import timedelta

import pytest

from patterns.aim import Aim
from player.run.live import REST
from readings.evidence.measured import evidence
from readings.findings import findings_of
from readings.visit.visit import Visit
from tests.player.recording import Clock, run_of

GREYS = """
title: Lobby wall, greys
signal: sdr8
settle: 0 s
steps:
  - show: {window: {area: 10 %, level: 100 %}}
    read: colour
    role: white
  - show: {window: {area: 10 %, level: 50 %}}
    read: colour
    role: grey
  - show: {window: {area: 10 %, level: 100 %}}
    read: colour
    role: white
"""
BOXES = """
title: Boxes
signal: sdr8
settle: 0 s
steps:
  - show: {window: {area: 10 %, level: 100 %}}
    read: luminance
    role: white
  - show: {checkerboard: {columns: 4, rows: 4, start: lit}}
    read: {luminance: box 2}
    role: dark
  - show: {checkerboard: {columns: 4, rows: 4, start: lit}}
    read: {luminance: box 1}
    role: lit
"""
# 50 % of 8 bits is code 128: BT.1886 from no black is (128 / 255) ^ 2.4 = 0.19130
MID = 0.19130 * 400


@pytest.fixture
def later(visit):
    """The visit's clock, in minutes that a test sets."""
    began = visit.now()
    passed = [0.0]
    with visit.at_times_of(lambda: began + timedelta(minutes=passed[0])):
        yield passed


def test_a_reading_is_told_with_its_target_from_the_second_step_on(visit):
    live = run_of(GREYS, visit, Clock(1.0))
    assert live.keeping.target.luminance is None
    assert live.enter("400 0.3127 0.3290")
    assert live.message == (
        "Kept Y 400, x 0.3127, y 0.3290 for step 1. Delta E 2000 0.0: within 3; there."
    )
    assert live.keeping.target.luminance == pytest.approx(MID, rel=1e-3)
    assert live.enter(f"{1.05 * MID:.2f} 0.3090 0.3255")
    told = live.keeping.kept[-1].told
    assert told.light == "5.0 % too bright"
    assert live.message.endswith(
        "Target 76.5 cd/m2: 5.0 % too bright, within 12 %. Delta E 2000 1.2: within 3; "
        "a little too blue."
    )


def test_white_of_another_run_under_the_same_condition_gives_the_first_target(visit):
    first = run_of(GREYS, visit, Clock(1.0))
    first.enter("400 0.3127 0.3290")
    first.leave()
    other = run_of(GREYS.replace("greys", "more greys"), visit, Clock(1.0))
    other.go_to(2)
    assert other.keeping.target.luminance == pytest.approx(MID, rel=1e-3)
    assert other.keeping.target.basis == f"from white 400 of run {first.id}"


def test_white_of_a_run_that_was_set_aside_gives_none(visit):
    first = run_of(GREYS, visit, Clock(1.0))
    first.enter("400 0.3127 0.3290")
    first.leave()
    visit.state("counted", "no", run=first.id)
    other = run_of(GREYS.replace("greys", "more greys"), visit, Clock(1.0))
    other.go_to(2)
    assert other.keeping.target is None


def test_the_aim_of_the_visit_counts_and_that_of_the_sequence_goes_before_it(visit):
    visit.state_aim(Aim("power 2.2", white=380.0))
    live = run_of(GREYS, visit, Clock(1.0))
    assert live.keeping.target.figure == "target 380"
    live.enter("400 0.3127 0.3290")
    assert "Target 380 cd/m2: 5.3 % too bright, within 10 %." in live.message
    # 0.50196 to the power of 2.2
    assert live.keeping.target.luminance == pytest.approx(0.21958 * 400, rel=1e-3)
    live.leave()
    own = GREYS.replace("signal: sdr8", "signal: sdr8\naim: {curve: power 2.6}")
    live = run_of(own.replace("greys", "other"), visit, Clock(1.0))
    live.go_to(2)
    assert live.keeping.target.luminance == pytest.approx((128 / 255) ** 2.6 * 400, rel=1e-3)


def test_a_white_that_is_taken_again_makes_the_targets_anew(visit):
    live = run_of(GREYS, visit, Clock(1.0))
    live.enter("400 0.3127 0.3290")
    live.back()
    live.enter("200 0.3127 0.3290")
    assert live.keeping.target.luminance == pytest.approx(MID / 2, rel=1e-3)


def test_the_lit_and_the_dark_box_have_the_targets_of_their_own_codes(visit):
    live = run_of(BOXES, visit, Clock(1.0))
    live.enter("400")
    assert live.keeping.target is None  # of black nothing is aimed at
    live.enter("0.5")
    assert live.enter("380")
    assert live.keeping.kept[-1].told is None  # its white is the aim, and no luminance was stated


def test_white_read_again_is_told_with_its_change_and_how_long_ago_also_at_the_end(visit, later):
    live = run_of(GREYS, visit, Clock(1.0))
    live.enter("400 0.3127 0.3290")
    live.enter("76 0.3127 0.3290")
    later[0] = 48.0
    live.enter("391.6 0.3147 0.3290")
    assert live.finished
    assert live.message.endswith(
        "White is 2.1 % below the first one, read 48 min ago; its colour moved by 0.0014 in u'v'."
    )
    assert REST not in live.message
    live.leave()
    (finding,) = findings_of(visit, ["white-drift"])
    assert finding.value("white-drift").value == pytest.approx(-2.1)
    assert finding.value("white-drift-uv").value == pytest.approx(0.0014, abs=5e-5)


def test_a_white_of_another_area_is_not_compared(visit, later):
    live = run_of(GREYS, visit, Clock(1.0))
    live.enter("400 0.3127 0.3290")
    live.leave()
    later[0] = 30.0
    other = GREYS.replace("area: 10 %", "area: 25 %").replace("greys", "larger")
    live = run_of(other, visit, Clock(1.0))
    live.enter("300 0.3127 0.3290")
    assert "White is" not in live.message


def test_what_is_told_live_is_what_the_greyscale_says_afterwards(visit):
    live = run_of(GREYS, visit, Clock(1.0))
    for text in ("400 0.3127 0.3290", "83 0.3090 0.3255", "400 0.3127 0.3290"):
        live.enter(text)
    live.leave()
    (finding,) = findings_of(visit, ["greyscale"])
    (grey,) = [each for each in evidence(visit) if each.role == "grey"]
    names = [column.name for column in finding.series[0].columns]
    row = dict(zip(names, finding.series[0].rows[0].numbers, strict=True))
    told = live.keeping.kept[1].told
    assert row["target-luminance"].value == pytest.approx(told.target.luminance)
    assert f"{row['eotf-error'].value:.1f} % too bright" == told.light
    assert f"delta E 2000 {row['delta-e-2000-chromaticity'].value:.1f}" == told.colour
    assert grey.luminance == 83


def test_nothing_is_aimed_at_where_no_light_is_read(tmp_path):
    text = "title: x\nsignal: sdr8\nsteps:\n  - show: {field: {level: 50 %}}\n    read: text\n"
    with Visit.create(tmp_path / "x.visit", display="x") as visit:
        live = run_of(text, visit, Clock(1.0))
        assert live.keeping.target is None
        assert live.enter("even")


def test_a_run_that_is_taken_up_again_knows_the_white_it_has_read(visit, later):
    first = run_of(GREYS, visit, Clock(1.0))
    first.enter("400 0.3127 0.3290")
    first.leave()
    later[0] = 25.0
    again = run_of(GREYS, visit, Clock(1.0))
    assert again.id == first.id
    assert again.number == 2
    assert again.keeping.target.basis == "from white 400"
    again.go_to(3)
    again.enter("404 0.3127 0.3290")
    assert "White is 1.0 % above the first one, read 25 min ago; its colour" in again.message
