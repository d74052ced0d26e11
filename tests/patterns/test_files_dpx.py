"""DPX holds the signal's own codes, as another reader has them."""

import io
import struct

import av
import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.files import FORMATS, Item
from patterns.files.dpx import write_dpx
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal

CANVAS = Canvas(258, 146)
PIXELS = {"sdr8": "rgb24", "pq10": "gbrp10le", "hlg12": "gbrp12le", "pq16": "rgb48be"}


def header_of(signal: str, title: str = "") -> bytes:
    file = io.BytesIO()
    write_dpx(KINDS["window"]().frame(CANVAS, named_signal(signal)), file, title)
    return file.getvalue()


@pytest.mark.parametrize("signal", PIXELS)
@pytest.mark.parametrize("kind", ["window", "ramp", "zone-plate"])
@pytest.mark.parametrize("canvas", [CANVAS, Canvas(256, 144)], ids=str)
def test_ffmpeg_reads_every_code(tmp_path, kind: str, signal: str, canvas: Canvas):
    pattern = KINDS[kind]()
    item = Item(1, "a", pattern, pattern.frame(canvas, named_signal(signal)))
    FORMATS["dpx"].write(item, tmp_path / "a.dpx")
    with av.open(str(tmp_path / "a.dpx")) as file:
        (picture,) = file.decode(video=0)
    assert picture.format.name == PIXELS[signal]
    assert np.array_equal(picture.to_ndarray(), item.frame.pixels())
    assert (tmp_path / "a.dpx").stat().st_size <= FORMATS["dpx"].room(item)


def test_three_codes_of_ten_bits_share_a_word_of_32():
    codes = np.array([[[1, 2, 3]] * 64], np.uint16)
    file = io.BytesIO()
    write_dpx(Frame(codes, np.zeros(64, np.uint16), named_signal("pq10")), file)
    # 1 << 22 | 2 << 12 | 3 << 2, method A of ST 268-1, from memory
    assert file.getvalue()[2048:2052] == struct.pack(">I", 0x0040_200C)
    assert len(file.getvalue()) == 2048 + 4 * 64 * 64


def test_the_header_says_size_depth_and_signal():
    data = header_of("pq10", "10 % Größe")
    assert data[:4] == b"SDPX"
    assert struct.unpack_from(">I", data, 4) == (2048,)
    assert data[8:12] == b"V2.0"
    assert struct.unpack_from(">I", data, 16) == (len(data),)
    assert struct.unpack_from(">HHII", data, 768) == (0, 1, 258, 146)
    # low and high reference: narrow range at 10 bits, BT.2100-3 Table 9
    assert struct.unpack_from(">IfIf", data, 784) == (64, 0.0, 940, 10_000.0)
    # RGB, user-defined transfer and colorimetry, 10 bits, method A
    assert struct.unpack_from(">4BHH", data, 800) == (50, 0, 0, 10, 1, 0)
    project = data[260:460].partition(b"\0")[0].decode()
    assert project == "transfer pq, primaries bt2020, bits 10, range narrow; 10 % Grosse"


def test_sdr_says_that_it_is_bt_709():
    assert struct.unpack_from(">4B", header_of("sdr8"), 800) == (50, 6, 6, 8)


def test_a_code_beyond_its_depth_is_refused():
    rows = np.full((1, 64, 3), 1024, np.uint16)
    frame = Frame(rows, np.zeros(64, np.uint16), named_signal("pq10"))
    with pytest.raises(PatternError, match=r"holds code 1024, and 10 bits end at 1023\.$"):
        write_dpx(frame, io.BytesIO())
