"""Zone plate: every code against its own cosine at 50 digits, and where the finest rings lie."""

import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal, signal_from_parts

HD = Canvas(1920, 1080)


def framed(kind, canvas, signal="sdr8", **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    named = {key.rstrip("_"): each for key, each in parameters.items()}
    return KINDS[kind].model_validate(named).frame(canvas, chosen)


def of_range(bits, range_):
    return signal_from_parts({"transfer": "bt1886", "bits": bits, "range": range_})


def grey(frame):
    """Codes (height, width), where R = G = B everywhere."""
    pixels = frame.pixels()
    assert (pixels == pixels[:, :, :1]).all()
    return pixels[:, :, 0]


def plate(reference, canvas, radius, low, high, bits, range_):
    """Codes of the upper left quarter, each from its own cosine at 50 digits."""
    real, cos, pi = reference.real, reference.REAL.cos, reference.REAL.pi
    codes = {}
    picture = np.empty((canvas.height // 2, canvas.width // 2), int)
    for y in range(canvas.height // 2):
        for x in range(canvas.width // 2):
            square = (2 * x + 1 - canvas.width) ** 2 + (2 * y + 1 - canvas.height) ** 2
            if square not in codes:
                # r^2 is a quarter of the square, and the phase is pi r^2 / 2R
                signal = (low + high) / 2 + (high - low) / 2 * cos(pi * real(square) / (8 * radius))
                codes[square] = reference.code(signal, bits, range_)
            picture[y, x] = codes[square]
    return picture


@pytest.mark.parametrize(
    ("bits", "range_"), [(8, "full"), (8, "narrow"), (10, "narrow"), (12, "full"), (16, "full")]
)
def test_every_code_of_a_zone_plate_is_correctly_rounded(reference, bits, range_):
    canvas = Canvas(96, 64)
    signal = of_range(bits, range_)
    picture = grey(framed("zone-plate", canvas, signal, radius="37 px", beyond="rings"))
    zero, one = reference.real(0), reference.real(1)
    assert (picture[:32, :48] == plate(reference, canvas, 37, zero, one, bits, range_)).all()
    assert (picture == picture[::-1]).all()
    assert (picture == picture[:, ::-1]).all()


def test_a_zone_plate_between_two_levels_keeps_to_them(reference):
    canvas = Canvas(96, 64)
    levels = {"from_": "20 %", "to": "70 %"}
    frame = framed("zone-plate", canvas, "pq10", radius="48 px", beyond="rings", **levels)
    low, high = reference.real(20) / 100, reference.real(70) / 100
    expected = plate(reference, canvas, 48, low, high, 10, "narrow")
    assert (grey(frame)[:32, :48] == expected).all()
    # 64 + 876 x 0.2, 0.7 and 0.45
    assert frame.inks == {"from": (239,) * 3, "to": (677,) * 3, "mean": (458,) * 3}


@pytest.mark.parametrize("radius", [30, 31, 40, 60])
def test_nothing_of_a_zone_plate_lies_beyond_its_radius_in_either_axis(radius):
    """The middle is at (60, 40); a pixel's middle is as far off as half its odd distance."""
    canvas = Canvas(120, 80)
    square = grey(framed("zone-plate", canvas, radius=f"{radius} px"))
    rings = grey(framed("zone-plate", canvas, radius=f"{radius} px", beyond="rings"))
    y, x = np.mgrid[0:80, 0:120]
    beyond = (abs(2 * x + 1 - 120) > 2 * radius) | (abs(2 * y + 1 - 80) > 2 * radius)
    assert (square == np.where(beyond, 128, rings)).all()
    assert beyond.any() == (radius < 60)


@pytest.mark.parametrize("radius", [540, 541, 960])
def test_a_zone_plate_reaches_a_cycle_in_two_pixels_at_its_radius(radius):
    """Neighbours near the radius are half a cycle apart; half way there, a quarter of one."""
    picture = grey(framed("zone-plate", HD, "sdr16", radius=f"{radius} px", beyond="rings"))
    row = picture[540].astype(float) / 65535 * 2 - 1
    near = row[960 + radius - 25 : 960 + min(radius, 959)]
    assert abs(near[1:] + near[:-1]).max() < 0.15
    middle = row[960 + radius // 2 - 8 : 960 + radius // 2 + 8]
    assert abs(middle[2:] + middle[:-2]).max() < 0.15
    assert row[960] > 0.999


def test_a_zone_plate_of_half_the_height_fills_it():
    frame = framed("zone-plate", Canvas(3840, 2160), "pq10")
    picture = grey(frame)
    assert frame.facts["radius_px"] == 1080
    assert (picture[:, :840] == 502).all()
    assert (picture[:, 3000:] == 502).all()
    assert (picture[:, 840] != 502).any()
    assert (picture[0] != 502).any()
    assert picture.min() == 64
    assert picture.max() == 940


def test_a_zone_plate_too_small_for_rings_is_refused():
    with pytest.raises(PatternError, match="at 8 to 16384 pixels, not at 7"):
        framed("zone-plate", HD, radius="7 px")
    with pytest.raises(PatternError, match="not at 16385"):
        framed("zone-plate", HD, radius="16385 px")
