"""Measuring places are marked on the operator's picture, and never on what is measured."""

import numpy as np
import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.spots import named_in
from patterns.signal.signal import named_signal
from player.windows.thumbnail import RING, WANTED, Mark, marked, marks_of, thumbnail

CANVAS = Canvas(1920, 1080)


def marks(kind: str, of: str, **parameters: object) -> tuple[Mark, ...]:
    return marks_of(KINDS[kind].model_validate(parameters), of, 1920, 1080)


def test_every_place_is_marked_and_the_one_to_read_comes_last() -> None:
    found = marks("uniformity", "point 6", points=9)
    assert len(found) == 9
    assert [mark.wanted for mark in found] == [False] * 8 + [True]
    assert (found[-1].x, found[-1].y) == (0.9, 0.5)


def test_a_single_place_is_the_one_to_read_whatever_it_is_called() -> None:
    assert marks("window", "", area="4 %") == (Mark(0.5, 0.5, True),)


def test_without_a_name_no_place_is_singled_out() -> None:
    assert not any(mark.wanted for mark in marks("checkerboard", ""))
    assert marks("field", "the middle") == ()


def test_of_very_many_places_only_the_one_to_read_is_marked() -> None:
    (found,) = marks("checkerboard", "box 64", columns=8, rows=8)
    assert (found.x, found.y, found.wanted) == (0.9375, 0.9375, True)


@pytest.mark.parametrize("level", ["0 %", "50 %", "100 %"])
def test_rings_and_the_dot_show_on_black_grey_and_white(level: str) -> None:
    pattern = KINDS["uniformity"].model_validate({"points": 5, "level": level})
    plain = thumbnail(pattern.frame(CANVAS, named_signal("sdr8")), 440, 248)
    shown = marked(plain, marks_of(pattern, "point 3", 1920, 1080))
    assert shown.shape == plain.shape
    middle, corner = shown[:, 150:290], shown[:60, :100]
    assert (middle[shown.shape[0] // 2, 70] == WANTED).all()
    assert (corner == RING).all(axis=2).sum() > 10
    assert not (corner == WANTED).all(axis=2).any()
    # a black rim, and away from the marks the picture is as it was
    around = middle[(middle != plain[0, 0]).any(axis=2)]
    assert set(map(tuple, around.tolist())) <= {WANTED, (0, 0, 0)}
    assert (shown[70:100, 100:200] == plain[70:100, 100:200]).all()


def test_marking_leaves_the_picture_that_it_was_given_alone() -> None:
    plain = np.zeros((60, 100, 3), np.uint8)
    shown = marked(plain, (Mark(0.0, 1.0, True),))
    assert not plain.any()
    assert shown.any()
    assert marked(plain, ()) is plain


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("the top left box", "top left"),
        ("left", "left"),
        ("Point 1", "point 1"),
        ("point 12", "point 12"),
        ("point 3", None),
        ("", None),
    ],
)
def test_a_text_names_the_place_that_says_most(text: str, place: str | None) -> None:
    assert named_in(text, ["left", "top left", "point 1", "point 12"]) == place
