"""Changes by hand while zones are counted: exact, within bounds, and never flashing."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest

from patterns.errors import PatternError
from patterns.flashing import flashing_of, flashing_of_frames
from patterns.kinds import KINDS, Pattern
from patterns.kinds.moving_box import Comb
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.run.by_hand import Change, changeable, changed, changes, with_comb
from player.run.gate import CHANGE_GAP

UHD = Canvas(3840, 2160)
SDR = named_signal("sdr8")
START = Fraction(0)


def box(**parameters: object) -> Pattern:
    usual = {"along": "row", "place": "50 %", "speed": "96 px/s", "ends": "stop"}
    return KINDS["moving-box"].model_validate(usual | parameters)


def comb(**parameters: object) -> Pattern:
    return KINDS["comb"].model_validate(parameters)


def after(pattern: Pattern, change: Change, time: Fraction = START) -> dict[str, object]:
    return changes(pattern, changed(pattern, change, UHD, time))


@pytest.mark.parametrize(
    ("change", "changed"),
    [
        (Change.UP, {"speed": "120 px/s", "start": "960 px"}),
        (Change.DOWN, {"speed": "77 px/s", "start": "960 px"}),
        (Change.LARGER, {"side": "54 px", "start": "954 px"}),
        (Change.SMALLER, {"side": "34 px", "start": "964 px"}),
        (Change.BACK, {"start": "959 px"}),
        (Change.ON, {"start": "961 px"}),
        (Change.TURN, {"start": "960 px", "direction": "backward"}),
        (Change.HERE, {"start": "960 px"}),
    ],
)
def test_a_box_changed_after_ten_seconds_goes_on_from_pixel_960(
    change: Change, changed: dict[str, object]
) -> None:
    assert after(box(), change, Fraction(10)) == changed


@pytest.mark.parametrize(
    ("change", "changed"),
    [
        (Change.UP, {"zones": 41}),
        (Change.DOWN, {"zones": 39}),
        (Change.BACK, {"phase": 0.4375}),
        (Change.ON, {"phase": 0.5625}),
        (Change.SPACING, {"spacing": 4}),
        (Change.LARGER, {"side": "28 px"}),
        (Change.SMALLER, {"side": "18 px"}),
    ],
)
def test_a_comb_changes_in_one_parameter_at_a_time(
    change: Change, changed: dict[str, object]
) -> None:
    assert after(comb(), change) == changed


def test_the_phase_of_a_comb_comes_round_after_sixteen_steps() -> None:
    pattern = comb()
    for _ in range(16):
        pattern = changed(pattern, Change.ON, UHD, START)
    assert changes(comb(), pattern) == {}


def test_the_spacing_of_a_comb_comes_round_after_six_steps() -> None:
    pattern = comb(side="4 px")
    found = []
    for _ in range(6):
        pattern = changed(pattern, Change.SPACING, UHD, START)
        found.append(pattern.parameters()["spacing"])
    assert found == [4, 5, 6, 1, 2, 3]


@pytest.mark.parametrize("change", [Change.UP, Change.DOWN, Change.LARGER, Change.SMALLER])
def test_a_box_stays_within_its_bounds_however_often_a_key_is_pressed(change: Change) -> None:
    pattern = box()
    for _ in range(80):
        pattern = changed(pattern, change, UHD, START)
        pattern.frame(UHD, SDR)
    found = pattern.parameters()
    bounds = {
        Change.UP: ("speed", "960 px/s"),  # four seconds across
        Change.DOWN: ("speed", "1 px/s"),
        Change.LARGER: ("side", "432 px"),  # a fifth of the height
        Change.SMALLER: ("side", "1 px"),
    }
    name, bound = bounds[change]
    assert found[name] == bound


@pytest.mark.parametrize(("zones", "change"), [(1, Change.DOWN), (500, Change.UP)])
def test_a_comb_is_for_1_to_500_zones(zones: int, change: Change) -> None:
    with pytest.raises(PatternError, match="1 to 500 zones"):
        changed(comb(zones=zones), change, UHD, START)


def test_what_does_not_fit_the_picture_is_refused_in_a_sentence() -> None:
    with pytest.raises(PatternError, match="no spacing"):
        changed(box(), Change.SPACING, UHD, START)
    with pytest.raises(PatternError, match="stands still"):
        changed(comb(), Change.TURN, UHD, START)
    with pytest.raises(PatternError, match="not changed by hand"):
        changed(KINDS["field"](), Change.UP, UHD, START)


def test_only_combs_and_boxes_that_are_counted_by_are_changed_by_hand() -> None:
    assert changeable(comb())
    assert changeable(box())
    diagonal = KINDS["moving-box"].model_validate({"along": "diagonal"})
    assert not any(map(changeable, (diagonal, KINDS["field"](), None)))


@pytest.mark.parametrize("canvas", [UHD, Canvas(7680, 4320)])
@pytest.mark.parametrize("along", ["columns", "rows"])
def test_every_comb_that_can_be_asked_for_is_drawn_or_refused_with_a_reason(
    canvas: Canvas, along: str
) -> None:
    """A side of four pixels; one of one, where there are more zones than 200."""
    for side, counts in (("4 px", range(1, 201)), ("1 px", range(201, 501, 13))):
        plan = Comb.model_validate({"along": along, "side": side})
        for zones in counts:
            for spacing in (1, 3, 4):
                assert with_comb(plan, zones, spacing, 0.5).boxes(canvas)


@pytest.mark.parametrize(
    "pattern",
    [
        box(speed="960 px/s", side="432 px", ends="turn"),
        box(along="column", speed="540 px/s", side="432 px", ends="turn"),
    ],
)
def test_the_fastest_and_largest_box_stays_within_the_limits_of_flashing(
    pattern: Pattern,
) -> None:
    assert not flashing_of(pattern, Canvas(1920, 1080), SDR).over


@pytest.mark.parametrize(
    "changes_by_hand",
    [
        (Change.UP, Change.DOWN),
        (Change.ON, Change.BACK),
        (Change.LARGER, Change.SMALLER),
        (Change.UP, Change.UP),
        (Change.ON, Change.ON),
        (Change.SPACING, Change.SPACING),
    ],
)
def test_combs_changed_as_fast_as_the_run_lets_them_stay_within_the_limits_of_flashing(
    changes_by_hand: tuple[Change, Change],
) -> None:
    """Three seconds of a key pressed without a pause, boxes as large as they get."""
    canvas = Canvas(1920, 1080)
    pattern = comb(zones=6, spacing=3, side="20 %", phase=0.4)
    shown = []
    for number in range(9):
        shown.append((Fraction(str(CHANGE_GAP)) * number, pattern.frame(canvas, SDR)))
        with suppress(PatternError):  # boxes that would touch stay as they are
            pattern = changed(pattern, changes_by_hand[number % 2], canvas, START)
    assert len({frame.sha256 for _, frame in shown}) > 1
    judged = flashing_of_frames(shown)
    assert judged.flashes <= 3
    assert not judged.over


def test_the_judge_of_flashing_sees_combs_that_change_ten_times_a_second() -> None:
    """That the test above can fail."""
    canvas = Canvas(1920, 1080)
    two = [comb(zones=6, spacing=3, side="20 %", phase=phase) for phase in (0.4, 0.9)]
    shown = [(Fraction(n, 10), two[n % 2].frame(canvas, SDR)) for n in range(30)]
    assert flashing_of_frames(shown).over
