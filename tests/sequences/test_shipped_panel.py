"""Shipped sequences of contrast, uniformity and the panel: they show what their comments say."""

from fractions import Fraction

import pytest

import sequences
from patterns.picture.canvas import Canvas
from patterns.picture.sheet import Box
from sequences import Sequence

HD = Canvas(1920, 1080)


def loaded(name: str) -> Sequence:
    return sequences.load(name)


def aims(sequence: Sequence, *, role: str) -> list[str]:
    return [step.read.of for step in sequence.steps if step.role == role and step.read]


@pytest.mark.parametrize(
    "name",
    ["uniformity-9", "uniformity-25", "contrast-by-boxes", "ebu-3325-contrast"],
)
def test_every_place_that_is_read_is_one_of_the_pattern(name: str):
    for step in loaded(name).steps:
        assert step.read
        spots = step.pattern.spots(HD)
        assert not step.read.of or step.read.of in spots


def test_nine_points_are_read_at_three_levels_with_one_move_each():
    sequence = loaded("uniformity-9")
    levels = [str(step.pattern.parameters()["level"]) for step in sequence.steps]
    assert levels == ["100 %", "50 %", "5 %"] * 9 + ["100 %"]
    points = [f"point {n}" for n in range(1, 10) for _ in range(3)]
    assert aims(sequence, role="uniformity") == points


def test_all_25_points_are_read_once():
    sequence = loaded("uniformity-25")
    points = [f"point {n}" for n in range(1, 26)]
    assert aims(sequence, role="uniformity") == points
    assert list(sequence.steps[0].pattern.spots(HD)) == points


def test_the_25_windows_cover_the_canvas_once():
    boxes = {}
    for step in loaded("window-25-places").steps:
        frame = step.pattern.frame(HD, loaded("window-25-places").signal)
        assert frame.facts["area_percent"] == 4
        boxes[str(Box.described(frame.facts["box"]))] = step.pattern.spots(HD)["window"]
    places = [f"384x216 at {384 * i},{216 * j}" for j in range(5) for i in range(5)]
    assert list(boxes) == places
    assert boxes["384x216 at 0,0"].x == Fraction(192)


def test_near_white_ends_with_high_windows_by_code():
    steps = [step for step in loaded("near-white").steps if step.role == "near-white"]
    codes = [int(step.variables["level"].split()[1]) for step in steps]
    assert codes == [*range(255, 244, -1), 243, 239, 235, 231]


def test_dead_pixels_are_looked_for_on_black_each_primary_and_white():
    sequence = loaded("dead-pixels")
    codes = [
        step.pattern.frame(HD, sequence.signal).inks["level"]
        for step in sequence.steps
        if step.read and step.read.quantity == "count"
    ]
    assert codes == [(0, 0, 0), (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255)]


def test_inversion_pictures_are_all_different_and_stand_still():
    sequence = loaded("panel-inversion")
    frames = [step.pattern.frame(HD, sequence.signal) for step in sequence.steps]
    assert len({frame.sha256 for frame in frames}) == len(frames) == 9
    assert not any(step.pattern.moves for step in sequence.steps)
    # 25 % of a level or half of 50 % everywhere: each has the same mean
    assert {round(frame.mean_level) for frame in frames} == {25}


def test_contrast_by_boxes_shows_where_black_is_read():
    sequence = loaded("contrast-by-boxes")
    for step in sequence.steps:
        assert step.read
        if step.role.endswith(("-dark", "-lit")):
            frame = step.pattern.frame(HD, sequence.signal)
            spot = step.pattern.spots(HD)[step.read.of]
            code = frame.rows[frame.order[int(spot.y)], int(spot.x)].tolist()
            assert code == ([0] * 3 if step.role.endswith("-dark") else [255] * 3), step.label


def test_the_ebu_greys_are_shown_with_the_codes_of_the_document():
    """EBU Tech 3325 v2.0 (2022), EBU_4, second-hand."""
    sequence = loaded("ebu-3325-grey")
    greys = [step for step in sequence.steps if step.role == "grey"]
    codes = [step.pattern.frame(HD, sequence.signal).inks["grey"][0] for step in greys]
    expected = [64, 86, 138, 190, 242, 294, 346, 398, 450, 502, 554, 606, 658, 710, 762, 814, 866]
    assert codes == [*expected, 918, 940, 1019]


def test_the_ebu_patterns_are_all_there():
    """EBU Tech 3325 v2.0 (2022), EBU_1 to EBU_3 and EBU_5, second-hand."""
    contrast = loaded("ebu-3325-contrast")
    shown = [step.pattern.frame(HD, contrast.signal).facts for step in contrast.steps]
    assert [facts["pattern"] for facts in shown if "pattern" in facts] == [
        *(["EBU_1"] * 6 + ["EBU_2"] * 5 + ["EBU_3"] * 13)
    ]
    assert not any("clipped" in facts for facts in shown)
    areas = [facts["area_percent"] for facts in shown if "pattern" not in facts and facts]
    # 10 % of 1920x1080 is 207,360 pixels; 607 x 342 is 207,594
    assert areas == [4, 100 * 607 * 342 / 2_073_600, 25, 81, 100]
    colour = loaded("ebu-3325-colour")
    frames = [step.pattern.frame(HD, colour.signal) for step in colour.steps]
    assert [step.role for step in colour.steps[:2]] == ["white", "black"]
    assert len({frame.inks["colour"] for frame in frames if "colour" in frame.inks}) == 18
