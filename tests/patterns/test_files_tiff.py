"""TIFF files, read back by outside decoders."""

import io

import cv2
import imagecodecs
import imageio.v3 as iio
import numpy as np
import pytest
import tifffile

from patterns.files.base import Item
from patterns.files.container import container16
from patterns.files.tiff import TiffFormat, write_tiff
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from tests.patterns.whole_pictures import frame_of

UHD = Canvas(3840, 2160)


def tiff_bytes(frame: Frame, title: str = "") -> bytes:
    file = io.BytesIO()
    write_tiff(frame, file, title)
    return file.getvalue()


@pytest.mark.parametrize("kind", KINDS)
def test_outside_decoders_give_every_pixel_back_at_3840x2160(suited, kind: str, tmp_path):
    pattern = KINDS[kind]()
    frame = pattern.frame(UHD, suited(KINDS[kind], named_signal("pq10")))
    path = tmp_path / "one.tiff"
    TiffFormat().write(Item(1, kind, pattern, frame), path)
    want = container16(frame).pixels()
    assert np.array_equal(cv2.imread(str(path), cv2.IMREAD_UNCHANGED)[..., ::-1], want)
    assert np.array_equal(imagecodecs.tiff_decode(path.read_bytes()), want)
    assert np.array_equal(iio.imread(path), want)


def test_rows_that_all_differ_come_back():
    y, x = np.mgrid[:130, :90]
    rgb = np.stack([x * 700, y * 500, x * y * 5], axis=-1).astype(np.uint16)
    frame = frame_of(rgb, named_signal("pq16"))
    assert np.array_equal(imagecodecs.tiff_decode(tiff_bytes(frame)), rgb)


def test_the_description_carries_signal_and_rule():
    frame = KINDS["field"]().frame(Canvas(64, 64), named_signal("hlg10"))
    with tifffile.TiffFile(io.BytesIO(tiff_bytes(frame, "Größe → 3"))) as file:
        tags = {tag.name: tag.value for tag in file.pages[0].tags}
    assert tags["ImageDescription"] == (
        "Gr??e ? 3; transfer hlg, primaries bt2020, bits 10, range narrow, peak 1000.0, "
        "black 0.0; 10-bit code << 6"
    )
    assert tags["BitsPerSample"] == (16, 16, 16)
    assert tags["Compression"] == 8  # deflate: TIFF Technical Note 2
    assert tags["Predictor"] == 2  # horizontal differencing: TIFF 6.0 section 14
    assert tags["Software"] == "Litfield"
    assert "DateTime" not in tags


def test_the_same_frame_gives_the_same_bytes():
    frame = KINDS["ramp"]().frame(Canvas(128, 64), named_signal("sdr8"))
    assert tiff_bytes(frame) == tiff_bytes(frame)
