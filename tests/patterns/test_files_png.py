"""PNG files: chunks against published bytes, pixels against outside decoders."""

import struct
import zlib

import cv2
import imagecodecs
import imageio.v3 as iio
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.files.base import Item
from patterns.files.container import container16
from patterns.files.png import PngFormat, cicp, png_parts
from patterns.kinds import KINDS
from patterns.kinds.window import Field, Window
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal, signal_from_parts
from tests.patterns.whole_pictures import frame_of

SMALL = Canvas(128, 64)
UHD = Canvas(3840, 2160)


def chunks(data: bytes) -> dict[str, list[bytes]]:
    """Check signature, order and every CRC; whole chunks by name."""
    assert data[:8] == bytes.fromhex("89504E470D0A1A0A")  # PNG (Third Edition), clause 5.2
    found: dict[str, list[bytes]] = {}
    at = 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        whole = data[at : at + 12 + length]
        assert zlib.crc32(whole[4:-4]) == int.from_bytes(whole[-4:], "big")
        found.setdefault(whole[4:8].decode(), []).append(whole)
        at += 12 + length
    return found


def payload(whole: bytes) -> bytes:
    return whole[8:-4]


def png_bytes(frame: Frame, title: str = "") -> bytes:
    return b"".join(png_parts(frame, title))


def grey(level: str, signal: str) -> Frame:
    return Field(level=level).frame(SMALL, named_signal(signal))


def decoded(data: bytes):
    """The same file through three outside readers, as RGB."""
    raw = np.frombuffer(data, np.uint8)
    flags = cv2.IMREAD_UNCHANGED
    yield "OpenCV", cv2.imdecode(raw, flags)[..., ::-1]
    yield "imagecodecs", imagecodecs.png_decode(data)


# PNG (Third Edition) clause 11.3.2.6, examples in the text and computed CRCs
@pytest.mark.parametrize(
    ("parts", "whole"),
    [
        ({"transfer": "pq", "range": "full"}, "00000004 63494350 09 10 00 01 4D2323FE"),
        ({"transfer": "hlg", "range": "full"}, "00000004 63494350 09 12 00 01 4EA7F790"),
        ({"transfer": "bt1886", "range": "narrow"}, "00000004 63494350 01 01 00 00 E274F2C0"),
        ({"transfer": "bt1886", "range": "full"}, "00000004 63494350 01 01 00 01 9573C256"),
        ({"transfer": "pq", "range": "narrow"}, "00000004 63494350 09 10 00 00 3A241368"),
    ],
)
def test_cicp_is_as_published(parts, whole: str):
    assert cicp(signal_from_parts(parts)) == bytes.fromhex(whole)


def test_cicp_of_p3_d65_names_smpte_eg_432_1():
    # ColourPrimaries 12: Rec. ITU-T H.273 Table 2, second-hand
    signal = signal_from_parts({"transfer": "pq", "primaries": "p3-d65"})
    assert payload(cicp(signal)) == bytes([12, 16, 0, 0])


def test_mastering_display_and_light_level_are_as_computed():
    # PNG (Third Edition) clauses 11.3.2.7 and 11.3.2.8; 1000/0.0001 of BT.2020 is computed
    found = chunks(png_bytes(grey("1000 cd/m2", "pq16")))
    mastering = payload(found["mDCV"][0])
    assert mastering[:16] == bytes.fromhex("8A48 3908 2134 9BAA 1996 08FC 3D13 4042")
    max_cll, max_fall = struct.unpack(">2I", payload(found["cLLI"][0]))
    # the nearest 16-bit code is within half a code, 0.008 %, of 1000 cd/m2
    assert abs(max_cll - 10_000_000) < 1000
    assert max_fall == max_cll
    assert struct.unpack(">2I", mastering[16:])[1] == 1


def test_light_that_is_known_exactly_gives_known_bytes():
    # full-screen PQ peak is 10000 cd/m2: 100000000 units of 0.0001, mastering the same
    found = chunks(png_bytes(grey("100 %", "pq10")))
    assert payload(found["cLLI"][0]) == bytes.fromhex("05F5E100 05F5E100")
    assert payload(found["mDCV"][0])[16:] == bytes.fromhex("05F5E100 00000001")


def test_mastering_peak_is_rounded_up_to_whole_candelas():
    # 203.702958 cd/m2 is 10-bit narrow code 573, computed from BT.2100-3 Table 4
    found = chunks(png_bytes(grey("code 573", "pq10")))
    assert struct.unpack(">2I", payload(found["cLLI"][0])) == (2_037_030, 2_037_030)
    assert struct.unpack(">2I", payload(found["mDCV"][0])[16:]) == (2_040_000, 1)


def test_a_tenth_of_the_screen_has_a_tenth_of_the_mean_light():
    # CTA-861.3-A annex, computed: MaxFALL is the mean over the picture
    window = Window(level="100 %", size={"width": "64 px", "height": "16 px"})
    found = chunks(png_bytes(window.frame(SMALL, named_signal("pq10"))))
    assert struct.unpack(">2I", payload(found["cLLI"][0])) == (100_000_000, 12_500_000)


@pytest.mark.parametrize(("level", "signal"), [("0 %", "pq10"), ("50 %", "hlg10"), ("9 %", "sdr8")])
def test_light_that_is_unknown_or_none_is_absent_and_never_zero(level: str, signal: str):
    found = chunks(png_bytes(grey(level, signal)))
    assert not {"mDCV", "cLLI"} & set(found)


def test_a_mean_light_below_half_a_unit_does_not_read_as_unknown():
    rows = np.full((2, 2000, 3), 64, np.uint16)
    rows[0, 0] = 66  # 0.00017 cd/m2 on one pixel of four million
    order = np.array([0] + 1999 * [1], np.uint16)
    found = chunks(png_bytes(Frame(rows, order, named_signal("pq10"))))
    assert struct.unpack(">2I", payload(found["cLLI"][0])) == (2, 1)


@pytest.mark.parametrize(("signal", "bits"), [("sdr8", 8), ("pq10", 10), ("hlg12", 12)])
def test_sbit_tells_the_depth(signal: str, bits: int):
    assert payload(chunks(png_bytes(grey("50 %", signal)))["sBIT"][0]) == bytes([bits] * 3)


def test_sixteen_bits_need_no_sbit():
    assert "sBIT" not in chunks(png_bytes(grey("50 %", "pq16")))


def test_header_and_order_of_chunks():
    found = chunks(png_bytes(grey("50 %", "pq10"), "half"))
    assert payload(found["IHDR"][0]) == struct.pack(">2I5B", 128, 64, 16, 2, 0, 0, 0)
    names = list(found)
    assert names == ["IHDR", "cICP", "mDCV", "cLLI", "sBIT", "tEXt", "IDAT", "IEND"]
    assert all(len(each) == 1 for name, each in found.items() if name != "tEXt")


def test_text_says_what_it_is_and_how_codes_stand_in_it():
    texts = [payload(each) for each in chunks(png_bytes(grey("50 %", "sdr8"), "Half"))["tEXt"]]
    assert texts == [
        b"Title\0Half",
        (
            b"Description\0transfer bt1886, primaries bt709, bits 8, range full, white 100.0, "
            b"black 0.0; Round(8-bit code * 65535 / 255)"
        ),
        b"Software\0Litfield",
    ]


def test_a_title_beyond_latin_1_is_kept_as_utf_8():
    (text,) = chunks(png_bytes(grey("50 %", "sdr8"), "10 → 20\n"))["iTXt"]
    assert payload(text) == b"Title\0\0\0\0\0" + "10 → 20 ".encode()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("canvas", "signal"), [(UHD, "pq10"), (Canvas(640, 360), "sdr8")], ids=str)
def test_outside_decoders_give_every_pixel_back(suited, kind: str, canvas: Canvas, signal: str):
    frame = KINDS[kind]().frame(canvas, suited(KINDS[kind], named_signal(signal)))
    want = container16(frame).pixels()
    for reader, pixels in decoded(png_bytes(frame)):
        assert pixels.dtype == np.uint16, reader
        assert np.array_equal(pixels, want), reader


def test_imageio_gives_every_pixel_back(tmp_path):
    frame = Window().frame(UHD, named_signal("pq10"))
    path = tmp_path / "window.png"
    PngFormat().write(Item(1, "window", Window(), frame), path)
    # imageio's own PNG reader gives 8 bits without a word; through its OpenCV reader it is whole
    pixels = iio.imread(path, plugin="opencv", flags=cv2.IMREAD_UNCHANGED, colorspace="RGB")
    assert np.array_equal(pixels, container16(frame).pixels())


@st.composite
def any_frames(draw) -> Frame:
    width, height = draw(st.integers(1, 40)), draw(st.integers(1, 160))
    kinds = draw(st.integers(1, 5))
    seed = draw(st.integers(0, 2**32 - 1))
    random = np.random.default_rng(seed)
    rows = random.integers(0, 65_536, (kinds, width, 3), dtype=np.uint16)
    for row in rows:
        if draw(st.booleans()):
            row[:] = row[0]
    runs = draw(
        st.lists(st.tuples(st.integers(0, kinds - 1), st.integers(1, 20)), min_size=1, max_size=12)
    )
    order = np.concatenate([np.full(n, row, np.uint16) for row, n in runs])[:height]
    return frame_of(rows[order], named_signal("pq16"))


@settings(max_examples=60)
@given(any_frames())
def test_any_frame_is_decoded_as_it_is(frame: Frame):
    for reader, pixels in decoded(png_bytes(frame)):
        assert np.array_equal(pixels.reshape(frame.height, frame.width, 3), frame.pixels()), reader


def shapes():
    y, x = np.mgrid[:700, :500]
    yield "every row different", ((x - 250) ** 2 + (y - 350) ** 2) % 1024
    yield "checks of one pixel", (x + y) % 2 * 940
    yield "pairs of lines", y // 2 % 2 * 940
    yield "a ramp downwards", y
    yield "columns of one pixel", x % 2 * 940
    yield "noise", np.random.default_rng(1).integers(0, 1024, (700, 500))


SHAPES = dict(shapes())


@pytest.mark.parametrize("shape", SHAPES)
def test_shapes_that_take_other_ways_through_the_writer(shape: str):
    grey = SHAPES[shape]
    rgb = np.stack([grey, grey, 1023 - grey], axis=-1).astype(np.uint16)
    frame = frame_of(rgb, signal_from_parts({"transfer": "pq", "range": "full"}))
    want = container16(frame).pixels()
    for reader, pixels in decoded(png_bytes(frame)):
        assert np.array_equal(pixels, want), reader


def test_the_same_frame_gives_the_same_bytes():
    frame = KINDS["near-black"]().frame(SMALL, named_signal("pq10"))
    assert png_bytes(frame, "a") == png_bytes(frame, "a")
