"""OpenEXR holds the light that the codes mean, as another reader has it."""

import io
import struct

import av
import numpy as np
import pytest

from patterns.files import FORMATS, Item
from patterns.files.exr import write_exr
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

CANVAS = Canvas(258, 146)


def light_in(path) -> np.ndarray:
    with av.open(str(path)) as file:
        (picture,) = file.decode(video=0)
    assert picture.format.name == "gbrpf32le"
    return picture.to_ndarray()


def attributes(data: bytes) -> dict[str, bytes]:
    found, at = {}, 8
    while data[at]:
        name, _, _ = data[at:].partition(b"\0")
        kind, _, _ = data[at + len(name) + 1 :].partition(b"\0")
        at += len(name) + len(kind) + 2
        (length,) = struct.unpack_from("<i", data, at)
        found[name.decode()] = data[at + 4 : at + 4 + length]
        at += 4 + length
    return found


@pytest.mark.parametrize("signal", ["sdr8", "pq10", "hlg12", "pq16"])
@pytest.mark.parametrize("kind", ["window", "ramp", "zone-plate", "saturation"])
def test_ffmpeg_reads_the_light_of_every_pixel(tmp_path, kind: str, signal: str):
    pattern = KINDS[kind]()
    frame = pattern.frame(CANVAS, named_signal(signal))
    path = tmp_path / "a.exr"
    FORMATS["exr"].write(Item(1, "a", pattern, frame), path)
    meant = frame.signal.light(frame.pixels()).astype(np.float32)
    assert np.array_equal(light_in(path), meant)


def test_known_codes_are_known_light(tmp_path):
    # 940 is 10000 cd/m2, 64 is 0 in narrow 10-bit PQ: BT.2100-3 Tables 4 and 9
    pattern = KINDS["window"]()
    FORMATS["exr"].write(
        Item(1, "a", pattern, pattern.frame(CANVAS, named_signal("pq10"))), tmp_path / "a.exr"
    )
    light = light_in(tmp_path / "a.exr")
    assert light[0, 0].tolist() == [0, 0, 0]
    assert light[73, 129].tolist() == [10_000, 10_000, 10_000]


def test_the_header_names_the_primaries_and_that_one_is_one_candela():
    file = io.BytesIO()
    frame = KINDS["window"]().frame(CANVAS, named_signal("pq10"))
    write_exr(frame, file, "10 % Fenster Größe")
    found = attributes(file.getvalue())
    assert file.getvalue()[:8] == bytes([0x76, 0x2F, 0x31, 0x01, 2, 0, 0, 0])
    assert struct.unpack("<f", found["whiteLuminance"]) == (1.0,)
    # BT.2020-2 Table 3: R, G, B, white D65
    assert np.allclose(
        struct.unpack("<8f", found["chromaticities"]),
        [0.708, 0.292, 0.170, 0.797, 0.131, 0.046, 0.3127, 0.3290],
        atol=1e-6,
    )
    assert found["comments"].decode() == (
        "10 % Fenster Größe; R, G, B in cd/m2; from codes: transfer pq, primaries bt2020, "
        "bits 10, range narrow"
    )
    assert struct.unpack("<4i", found["dataWindow"]) == (0, 0, 257, 145)


def test_a_picture_that_does_not_pack_is_kept_as_it_is(tmp_path):
    rng = np.random.default_rng(1)
    pattern = KINDS["field"]()
    plain = pattern.frame(CANVAS, named_signal("pq16"))
    rows = rng.integers(0, 65_536, (146, 258, 3), dtype=np.uint16)
    frame = type(plain)(rows, np.arange(146, dtype=np.uint16), plain.signal)
    FORMATS["exr"].write(Item(1, "a", pattern, frame), tmp_path / "a.exr")
    assert np.array_equal(light_in(tmp_path / "a.exr"), plain.signal.light(rows).astype("f4"))
