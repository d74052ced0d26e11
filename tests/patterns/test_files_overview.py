"""Small pictures for people."""

import numpy as np
import pytest

from patterns.files.overview import Thumbnail, Thumbnails, overview, thumbnail
from patterns.kinds.window import Field, Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from tests.patterns.whole_pictures import frame_of

CANVAS = Canvas(3840, 2160)


def test_a_thumbnail_keeps_the_shape_of_the_picture():
    assert thumbnail(Field().frame(CANVAS, named_signal("sdr8"))).shape == (180, 320, 3)
    assert thumbnail(Field().frame(Canvas(2160, 3840), named_signal("sdr8"))).shape == (320, 180, 3)
    assert thumbnail(Field().frame(Canvas(64, 64), named_signal("sdr8"))).shape == (64, 64, 3)


@pytest.mark.parametrize("signal", ["sdr8", "pq10", "hlg10"])
def test_peak_is_white_and_black_is_black(signal: str):
    picture = thumbnail(Window().frame(CANVAS, named_signal(signal)))
    assert picture[90, 160].tolist() == [255, 255, 255]
    assert picture[5, 5].tolist() == [0, 0, 0]


def test_reference_white_of_pq_is_about_half_as_bright_as_the_peak():
    picture = thumbnail(Field(level="203 cd/m2").frame(CANVAS, named_signal("pq16")))
    # m = 1, p = 10000/203: linear (1 + 1/p**2) / 2 = 0.50021, in sRGB 187.6
    assert picture[0, 0].tolist() == [188, 188, 188]


def test_colours_of_wider_primaries_are_moved_to_those_of_the_screen():
    # BT.2020 red lies outside BT.709: its green and blue parts would be below zero
    red = {"r": "100 %", "g": "0 %", "b": "0 %"}
    picture = thumbnail(Field(level=red).frame(CANVAS, named_signal("pq10")))
    assert picture[0, 0, 0] == 255
    assert picture[0, 0, 1:].tolist() == [0, 0]


def test_a_fine_pattern_shows_its_mean_and_no_beat():
    y, x = np.mgrid[:360, :640]
    grey = np.repeat(((x + y) % 2 * 255).astype(np.uint16)[..., None], 3, axis=2)
    picture = thumbnail(frame_of(grey, named_signal("sdr8")))
    assert len(np.unique(picture)) == 1


@pytest.mark.parametrize(("count", "size"), [(1, (376, 280)), (5, (1768, 280)), (6, (1768, 532))])
def test_the_sheet_has_five_thumbnails_in_a_line(count: int, size: tuple[int, int]):
    small = np.zeros((180, 320, 3), np.uint8)
    assert overview([Thumbnail(n, "label", small) for n in range(1, count + 1)]).size == size


def test_every_thumbnail_has_a_frame_and_a_caption_within_its_place():
    small = np.zeros((180, 320, 3), np.uint8)
    words = "a label that is far too long for the place below its picture, " * 5
    picture = np.asarray(overview([Thumbnail(1, words, small), Thumbnail(2, "Größe ×", small)]))
    assert picture[27, 27].tolist() == [0x4A, 0x4F, 0x58]
    assert picture[28, 28].tolist() == [0, 0, 0]
    paper = [0x14, 0x16, 0x1A]
    caption = picture[210:250]
    assert (caption[:, 28:348] != paper).any()
    assert (caption[:, 348:376] == paper).all()
    assert (caption[:, 376:600] != paper).any()


def test_packed_thumbnails_come_back_as_they_were():
    rng = np.random.default_rng(3)
    pictures = [rng.integers(0, 256, (18, 32, 3), dtype=np.uint8) for _ in range(3)]
    packed = Thumbnails()
    for number, picture in enumerate(pictures, 1):
        packed.append(Thumbnail(number, f"no. {number}", picture))
    assert [(each.number, each.label) for each in packed] == [
        (1, "no. 1"),
        (2, "no. 2"),
        (3, "no. 3"),
    ]
    assert np.array_equal(packed[-1].picture, pictures[2])
    assert [each.number for each in packed[1:]] == [2, 3]
    with pytest.raises(IndexError):
        packed[3]
