"""What a visit keeps while a display is adjusted by its own controls."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from patterns.control import Control
from readings.visit.records import PlannedRun, PlannedStep, Shown, Value
from readings.visit.soundness import Soundness
from readings.visit.visit import Visit, VisitError
from tests.readings.early_visit import write_early
from tests.readings.test_visit_damage import PLAN, damage

ADJUST = PlannedStep(
    label="ten points", kind="window", parameters={}, quantity="colour", role="adjusting"
)
READ = PlannedStep(label="white", kind="window", parameters={}, quantity="colour")
SHOWN = Shown(inks={"window": (512, 512, 512)}, frame_sha256="ab" * 32, guard="verified")
AT_70 = Shown(
    inks={"window": (716, 716, 716)},
    frame_sha256="cd" * 32,
    facts={"changed": {"level": "70 %"}},
    guard="verified",
)
GREY = Value(quantity="colour", raw="50 0.31 0.33", luminance=50.0, x=0.31, y=0.33)
CONTROLS = [
    Control("Red gain", "gain", "red", None, -50, 50, 0.5, 2),
    Control("70 % blue", "point", "blue", 70, -20, 20, 1, 0),
    Control("Backlight", "backlight", None, None, 0, 100, 5, 80),
    Control("Cyan hue", "hue", "cyan", None, -10, 10, 1, 0),
]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "lobby.visit"


@pytest.fixture
def visit(path: Path) -> Iterator[Visit]:
    with Visit.create(path, display="lobby wall") as made:
        yield made


@pytest.fixture
def run(visit: Visit) -> int:
    """Step 1 is read, step 2 adjusts, step 3 is read."""
    return visit.start_run(PLAN, [READ, ADJUST, READ]).id


def read(visit: Visit, run: int, step: int, shown: Shown = SHOWN) -> int:
    return visit.keep_reading(visit.keep_showing(run, step, shown).id, GREY).id


def test_controls_come_back_as_they_were_given_and_in_their_order(
    visit: Visit, path: Path, run: int
) -> None:
    kept = visit.keep_controls(run, 2, CONTROLS)
    assert [each.control for each in kept] == CONTROLS
    assert [(each.run, each.step) for each in kept] == [(run, 2)] * 4
    with Visit.open(path, write=False) as reader:
        assert reader.controls(run) == kept


def test_turns_come_back_with_what_was_advised_and_what_was_done(
    visit: Visit, path: Path, run: int
) -> None:
    gain, point, *_ = (each.id for each in visit.keep_controls(run, 2, CONTROLS))
    showing = visit.keep_showing(run, 2, AT_70).id
    turns = [
        visit.keep_turn(gain, value=-12, advised=-11.5, showing=showing, why="white is too red"),
        visit.keep_turn(point, "left out", advised=3, why="it does nothing here"),
        visit.keep_turn(point, "taken in"),
        visit.keep_turn(gain, value=-11),
    ]
    assert [(t.control, t.event, t.advised, t.value, t.showing, t.why) for t in turns] == [
        (gain, "turned", -11.5, -12.0, showing, "white is too red"),
        (point, "left out", 3.0, None, None, "it does nothing here"),
        (point, "taken in", None, None, None, ""),
        (gain, "turned", None, -11.0, None, ""),
    ]
    with Visit.open(path, write=False) as reader:
        assert reader.turns(run) == turns


def test_a_list_of_controls_is_kept_whole_or_not_at_all(visit: Visit, run: int) -> None:
    with pytest.raises(VisitError, match="two controls of one list have the same name"):
        visit.keep_controls(run, 2, [CONTROLS[0], CONTROLS[0]])
    with pytest.raises(VisitError, match="controls belong to a step that adjusts"):
        visit.keep_controls(run, 1, CONTROLS)
    assert visit.controls(run) == []
    visit.keep_controls(run, 2, CONTROLS)
    with pytest.raises(VisitError, match="step 2 of run 1 has its controls already"):
        visit.keep_controls(run, 2, CONTROLS[:1])
    assert len(visit.controls(run)) == 4


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"value": 51}, "that is outside the range of the control"),
        ({"value": 1, "advised": -50.5}, "that is outside the range of the control"),
        ({}, "a control that is turned reads something"),
        ({"event": "left out", "value": 1}, "a control that is turned reads something"),
        ({"event": "broken"}, "a control is turned, left out or taken in"),
        ({"value": float("nan")}, "must be a finite number"),
        ({"value": 1, "showing": 1}, "that showing belongs to another step"),
    ],
)
def test_a_turn_that_no_menu_allows_is_refused(
    visit: Visit, run: int, given: dict[str, object], why: str
) -> None:
    visit.keep_showing(run, 1, SHOWN)
    gain, *_ = visit.keep_controls(run, 2, CONTROLS)
    with pytest.raises(VisitError, match=why):
        visit.keep_turn(gain.id, **given)  # type: ignore[arg-type]
    with pytest.raises(VisitError, match="control that is not in this visit"):
        visit.keep_turn(99, value=1)
    assert visit.turns(run) == []


def test_an_adjusting_step_is_open_until_its_adjusting_ended_whatever_was_read(
    visit: Visit, run: int
) -> None:
    read(visit, run, 1)
    for shown in (SHOWN, AT_70, SHOWN):
        read(visit, run, 2, shown)
        assert visit.next_step(run) == 2
    assert [each.step for each in visit.readings(run)] == [1, 2, 2, 2]
    ended = visit.end_adjustment(run, 2, "nothing left", largest=1.2, spread=0.4, text="as told")
    assert (ended.why, ended.largest, ended.spread, ended.text) == (
        "nothing left", 1.2, 0.4, "as told",
    )  # fmt: skip
    assert visit.next_step(run) == 3
    visit.end_adjustment(run, 2, "gone on")
    assert visit.next_step(run) == 2
    visit.end_adjustment(run, 2, "reached")
    assert visit.next_step(run) == 3
    assert [each.ended for each in visit.adjustments(run)] == [True, False, True]


def test_an_adjusting_step_that_was_passed_over_is_done_until_it_is_gone_on_with(
    visit: Visit, run: int
) -> None:
    read(visit, run, 1)
    read(visit, run, 2)
    visit.skip_step(run, 2, why="no time")
    assert visit.next_step(run) == 3
    visit.end_adjustment(run, 2, "gone on")
    assert visit.next_step(run) == 2
    visit.skip_step(run, 2, why="no time")
    assert visit.next_step(run) == 3
    read(visit, run, 3)
    assert visit.next_step(run) is None


def test_only_a_step_that_adjusts_ends_an_adjustment(visit: Visit, run: int) -> None:
    with pytest.raises(VisitError, match="only a step that adjusts ends an adjustment"):
        visit.end_adjustment(run, 1, "reached")
    with pytest.raises(VisitError, match="no adjusting ends like that"):
        visit.end_adjustment(run, 2, "tired")  # type: ignore[arg-type]
    with pytest.raises(VisitError, match="a spread is that of a largest error"):
        visit.end_adjustment(run, 2, "reached", spread=0.3)


def adjusted(path: Path, plan: PlannedRun = PLAN) -> None:
    """Two controls turned twice each, and an end that was gone on with."""
    with Visit.create(path, display="lobby wall") as made:
        run = made.start_run(plan, [ADJUST]).id
        kept = made.keep_controls(run, 1, CONTROLS[:2])
        for each in (*kept, *kept):
            showing = made.keep_showing(run, 1, AT_70).id
            made.keep_reading(showing, GREY)
            made.keep_turn(each.id, value=made.now().second % 5, showing=showing)
        made.end_adjustment(run, 1, "reached", largest=0.5)
        made.end_adjustment(run, 1, "gone on")
        made.end_adjustment(run, 1, "nothing left")


def test_where_a_turn_is_damaged_its_control_is_left_out_and_the_others_stand(path: Path) -> None:
    adjusted(path)
    damage(path, "UPDATE turns SET value = 9 WHERE id = 3")
    with Visit.open(path, write=False) as opened:
        assert [each.id for each in opened.controls(1)] == [2]
        assert [each.id for each in opened.turns(1)] == [2, 4]
        (said,) = opened.soundness.sentences()
    assert said.startswith("Turn 3 of run 1 does not match its check sum and is left out")
    assert said.endswith("; left out with it: control 1, turn 1.")


def test_where_a_turn_is_missing_nobody_knows_of_which_control_it_was(path: Path) -> None:
    adjusted(path)
    damage(path, "DELETE FROM turns WHERE id = 4")
    with Visit.open(path, write=False) as opened:
        assert (opened.controls(1), opened.turns(1)) == ([], [])
        assert len(opened.readings(1)) == 4


def test_a_turn_stands_without_what_was_on_screen(path: Path) -> None:
    adjusted(path)
    damage(path, "UPDATE showings SET guard = 'unknown' WHERE id = 4")
    with Visit.open(path, write=False) as opened:
        assert [each.showing for each in opened.turns(1)] == [1, 2, 3, 4]
        assert [each.id for each in opened.readings(1)] == [1, 2, 3]


def test_where_the_last_end_is_damaged_the_ones_before_it_do_not_come_back(path: Path) -> None:
    adjusted(path)
    damage(path, "UPDATE adjustments SET text = 'x' WHERE id = 3")
    with Visit.open(path, write=False) as opened:
        assert opened.adjustments(1) == []
        assert opened.next_step(1) == 1


def test_a_visit_of_before_adjusting_is_read_and_takes_it_once_opened_for_writing(
    path: Path, tmp_path: Path
) -> None:
    with Visit.create(path, display="lobby wall") as made:
        read(made, made.start_run(PLAN, [READ, READ]).id, 1)
    early = write_early(path, tmp_path / "early.visit", version=6)
    content = early.read_bytes()
    with Visit.open(early, write=False) as before:
        assert (before.controls(1), before.turns(1), before.adjustments(1)) == ([], [], [])
        assert before.next_step(1) == 2
    assert early.read_bytes() == content
    with Visit.open(early, write=True) as grown:
        run = grown.start_run(PLAN, [ADJUST]).id
        grown.keep_turn(grown.keep_controls(run, 1, CONTROLS)[0].id, value=1)
        assert grown.end_adjustment(run, 1, "reached").ended
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()
        assert len(grown.controls(2)) == 4


def test_what_was_noticed_of_controls_comes_back_in_its_order(
    visit: Visit, path: Path, run: int
) -> None:
    gain, point, *_ = (each.id for each in visit.keep_controls(run, 2, CONTROLS))
    showing = visit.keep_showing(run, 2, AT_70).id
    noticed = [
        visit.keep_noticing(point, "no effect seen", point="70 %", showing=showing),
        visit.keep_noticing(gain, "reversed"),
        visit.keep_noticing(gain, "at its ceiling", point="100 %"),
    ]
    assert [(n.run, n.step, n.control, n.what, n.point, n.showing) for n in noticed] == [
        (run, 2, point, "no effect seen", "70 %", showing),
        (run, 2, gain, "reversed", None, None),
        (run, 2, gain, "at its ceiling", "100 %", None),
    ]
    with Visit.open(path, write=False) as reader:
        assert reader.noticings(run) == noticed


def test_a_noticing_that_cannot_be_is_refused(visit: Visit, run: int) -> None:
    elsewhere = visit.keep_showing(run, 1, SHOWN).id
    gain, *_ = visit.keep_controls(run, 2, CONTROLS)
    with pytest.raises(VisitError, match="nothing of that kind is noticed of a control"):
        visit.keep_noticing(gain.id, "odd")  # type: ignore[arg-type]
    with pytest.raises(VisitError, match="that showing belongs to another step"):
        visit.keep_noticing(gain.id, "reversed", showing=elsewhere)
    with pytest.raises(VisitError, match="control that is not in this visit"):
        visit.keep_noticing(99, "reversed")
    visit.keep_noticing(gain.id, "reversed", point="70 %")
    with pytest.raises(VisitError, match="that was noticed of the control already"):
        visit.keep_noticing(gain.id, "reversed", point="50 %")
    assert len(visit.noticings(run)) == 1


def test_the_time_that_was_said_last_counts_and_may_be_taken_back(visit: Visit, run: int) -> None:
    assert visit.minutes(run) is None
    for minutes in (20, 12.5, None):
        assert visit.give_minutes(run, minutes).minutes == minutes
        found = visit.minutes(run)
        assert found is not None
        assert (found.run, found.minutes) == (run, minutes)
    for wrong in (0, -1, float("inf")):
        with pytest.raises(VisitError):
            visit.give_minutes(run, wrong)
    assert visit.minutes(run + 1) is None


def test_a_noticing_goes_with_its_control_and_stands_without_what_was_on_screen(
    path: Path,
) -> None:
    with Visit.create(path, display="lobby wall") as made:
        run = made.start_run(PLAN, [ADJUST]).id
        first, second, *_ = made.keep_controls(run, 1, CONTROLS)
        showing = made.keep_showing(run, 1, AT_70).id
        made.keep_noticing(first.id, "reversed", showing=showing)
        made.keep_noticing(second.id, "dead zone", point="70 %", showing=showing)
        made.give_minutes(run, 20)
        made.give_minutes(run, 5)
    damage(
        path, "UPDATE showings SET guard = 'unknown'", "UPDATE controls SET name = 'x' WHERE id = 1"
    )
    with Visit.open(path, write=False) as opened:
        assert [each.what for each in opened.noticings(1)] == ["dead zone"]
        assert "left out with it: noticing 1." in " ".join(opened.soundness.sentences())
    damage(path, "UPDATE minutes SET minutes = 6 WHERE id = 2")
    with Visit.open(path, write=False) as opened:
        assert opened.minutes(1) is None
        assert any("Time 2 of run 1 does not match" in s for s in opened.soundness.sentences())


def test_a_visit_of_version_7_is_read_and_takes_what_is_noticed_once_opened_for_writing(
    path: Path, tmp_path: Path
) -> None:
    adjusted(path)
    early = write_early(path, tmp_path / "early.visit", version=7)
    content = early.read_bytes()
    with Visit.open(early, write=False) as before, Visit.open(path, write=False) as today:
        assert (before.noticings(1), before.minutes(1)) == ([], None)
        assert before.turns(1) == today.turns(1)
        assert before.adjustments(1) == today.adjustments(1)
    assert early.read_bytes() == content
    with Visit.open(early, write=True) as grown:
        grown.keep_noticing(grown.controls(1)[0].id, "reversed")
        grown.give_minutes(1, 20)
    with Visit.open(early, write=False) as grown:
        assert grown.soundness == Soundness()
        assert [each.what for each in grown.noticings(1)] == ["reversed"]
        assert grown.minutes(1) is not None
