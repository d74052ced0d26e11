"""Primaries, saturation sweeps, walks along a gamut, and samples of the RGB cube."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.kinds.patch import boundary_point
from patterns.picture.canvas import Canvas
from patterns.signal.colours import to_uv
from patterns.signal.primaries import D65, PRIMARIES
from patterns.signal.signal import named_signal, signal_from_parts

HD = Canvas(1920, 1080)
SIX = ["red", "green", "blue", "cyan", "magenta", "yellow"]
CHANNELS = {"red": "r", "green": "g", "blue": "b", "cyan": "gb", "magenta": "rb", "yellow": "rg"}
SIGNALS = ["sdr10", "pq10", "hlg10", "sdr16", "pq16", "hlg16"]


def draw(kind, signal="sdr10", canvas=HD, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return KINDS[kind].model_validate(parameters).frame(canvas, chosen)


def level(kind, signal="sdr10", **parameters):
    return draw(kind, signal, **parameters).inks["level"]


def shown(frame):
    """x, y and luminance of the patch as its codes have them."""
    x, y, z = frame.signal.xyz(np.array(frame.inks["level"]))
    return np.array([x / (x + y + z), y / (x + y + z)]), y


def uv(point):
    x, y = point
    return np.array([4 * x, 9 * y]) / (-2 * x + 12 * y + 3)


# Patches


@pytest.mark.parametrize("signal", ["sdr10", "pq10", "hlg10"])
def test_named_colours_are_their_channels_and_nothing_else(signal):
    for colour, lit in CHANNELS.items():
        assert level("patch", signal, colour=colour) == tuple(
            940 if channel in lit else 64 for channel in "rgb"
        )
    assert level("patch", signal) == (940, 940, 940)
    assert level("patch", signal, colour="yellow", level="75 %") == (721, 721, 64)
    assert level("patch", signal, colour="blue", level="code 502") == (64, 64, 502)


@pytest.mark.parametrize(
    ("colour", "codes"),
    # Rec. ITU-R BT.2111-3 (05/2025) Table 3, PQ narrow 10 bits, bars of BT.709: second-hand
    [
        ("yellow", (569, 572, 381)),
        ("green", (474, 565, 368)),
        ("red", (531, 351, 257)),
        ("blue", (318, 236, 563)),
    ],
)
def test_colours_of_bt709_in_bt2020_have_the_codes_of_the_hdr_bars(colour, codes):
    # luminance of BT.709 colours at the bars' white, 203.152145938 cd/m2: SMPTE RP 177, computed
    weights = {"r": "0.2126390059", "g": "0.7151686788", "b": "0.0721923154"}
    luminance = Decimal("203.152145938") * sum(Decimal(weights[part]) for part in CHANNELS[colour])
    strength = {"luminance": f"{luminance} cd/m2"}
    assert level("patch", "pq10", colour=colour, primaries="bt709", **strength) == codes


def test_the_strongest_channel_of_a_colour_of_smaller_primaries_has_the_level():
    for colour in SIX:
        for signal, code in (("pq10", 721), ("hlg16", 49151)):
            codes = level("patch", signal, colour=colour, primaries="bt709", level="75 %")
            assert max(codes) == code
            assert min(codes) > (64 if signal == "pq10" else 0)


def test_a_patch_of_larger_primaries_is_refused_or_clipped():
    with pytest.raises(PatternError, match=r"red of bt2020 .* is outside what sdr10 can hold"):
        level("patch", colour="red", primaries="bt2020")
    frame = draw("patch", colour="red", primaries="bt2020", clip=True)
    assert frame.inks["level"] == (940, 64, 64)
    assert "red of bt2020" in frame.facts["clipped"][0]


def test_p3_red_lies_slightly_outside_bt2020():
    """SMPTE EG 432-1 red x 0.680, y 0.320 against Rec. ITU-R BT.2020-2 Table 3; second-hand."""
    with pytest.raises(PatternError, match="red of p3-d65"):
        level("patch", "pq10", colour="red", primaries="p3-d65")
    for colour in ("green", "blue"):
        assert min(level("patch", "pq10", colour=colour, primaries="p3-d65")) > 64


@pytest.mark.parametrize("signal", SIGNALS)
def test_a_grey_of_any_chromaticity_has_it(signal):
    point, fine = {"x": 0.3457, "y": 0.3585}, signal.endswith("16")
    frame = draw("patch", signal, chromaticity=point, level="50 %")
    xy, _ = shown(frame)
    assert np.abs(xy - [0.3457, 0.3585]).max() < (2e-5 if fine else 1e-3)
    codes = frame.inks["level"]
    assert max(codes) == codes[0] == named_signal(signal).quantiser.code(Fraction(1, 2))
    assert codes[0] > codes[1] > codes[2]
    assert frame.facts["x"] == 0.3457


def test_a_patch_has_the_luminance_that_is_asked():
    frame = draw("patch", "pq16", colour="magenta", luminance="48 cd/m2")
    assert shown(frame)[1] == pytest.approx(48, rel=1e-3)
    assert frame.facts["luminance_cd_m2"] == pytest.approx(48, rel=1e-15)
    assert frame.facts["colour"] == "magenta of bt2020"


def test_named_colours_are_codes_where_black_gives_light_too():
    lifted = signal_from_parts({"transfer": "bt1886", "black": "0.1"})
    frame = draw("patch", lifted, colour="red")
    assert frame.inks["level"] == (940, 64, 64)
    assert "x" not in frame.facts
    # the pure primary would need less light than the display's black in the others
    with pytest.raises(PatternError, match="is outside"):
        draw("saturation", lifted, colour="red")


def test_a_patch_lies_where_a_window_lies():
    where = {"area": "4 %", "shape": "square", "at": {"x": "25 %", "y": "75 %"}}
    window = KINDS["window"].model_validate(where).box(HD)
    pattern = KINDS["patch"].model_validate(where | {"background": "10 %"})
    assert pattern.box(HD) == window
    frame = pattern.frame(HD, named_signal("sdr10"))
    expected = np.full((1080, 1920, 3), 152, np.uint16)
    expected[window.y : window.bottom, window.x : window.right] = 940
    assert (frame.pixels() == expected).all()
    spot = pattern.spots(HD)["patch"]
    assert frame.pixels()[int(spot.y), int(spot.x)].tolist() == [940] * 3
    assert frame.facts["area_percent"] == 100 * window.width * window.height / (1920 * 1080)


# Saturation


@pytest.mark.parametrize("colour", SIX)
@pytest.mark.parametrize("diagram", ["uv", "xy"])
def test_a_sweep_begins_at_white_and_ends_at_the_colour(colour, diagram):
    for signal in ("sdr10", "pq10", "hlg10"):
        sweep = {"colour": colour, "diagram": diagram}
        red, green, blue = level("saturation", signal, saturation="0 %", **sweep)
        assert red == green == blue > 64
        ends = tuple(721 if channel in CHANNELS[colour] else 64 for channel in "rgb")
        assert level("saturation", signal, **sweep) == ends
        white = level("saturation", signal, saturation="0 %", constant="code", **sweep)
        assert white == (721, 721, 721)


@pytest.mark.parametrize("colour", SIX)
@pytest.mark.parametrize("primaries", [None, "bt709"])
@pytest.mark.parametrize("signal", ["sdr16", "pq16", "hlg16"])
def test_steps_of_a_sweep_lie_on_the_line_in_even_steps(colour, primaries, signal):
    """In u', v' of CIE 1976; D65 is u' 0.19783001, v' 0.46831999 (computed)."""
    asked = {"colour": colour, "primaries": primaries, "level": "75 %"}
    frames = [draw("saturation", signal, saturation=f"{s} %", **asked) for s in range(20, 101, 20)]
    points = [uv(shown(frame)[0]) for frame in frames]
    start = np.array([0.19783001, 0.46831999])
    for step, point in enumerate(points, 1):
        assert np.abs(point - (start + step / 5 * (points[-1] - start))).max() < 6e-5
    luminances = [shown(frame)[1] for frame in frames]
    assert max(luminances) / min(luminances) < 1.0005


@pytest.mark.parametrize("signal", ["sdr10", "pq10", "hlg10"])
def test_at_constant_code_the_strongest_channel_stays(signal):
    for colour in SIX:
        steps = [
            level("saturation", signal, colour=colour, saturation=f"{s} %", constant="code")
            for s in range(0, 101, 10)
        ]
        assert {max(codes) for codes in steps} == {721}
        weakest = [min(codes) for codes in steps]
        assert all(above > below for above, below in pairwise(weakest))


def test_both_diagrams_go_the_same_way_with_other_steps():
    steps = [
        draw("saturation", "pq16", colour="blue", saturation="50 %", diagram=diagram)
        for diagram in ("uv", "xy")
    ]
    white, blue = np.array([0.3127, 0.3290]), np.array([0.131, 0.046])
    (by_uv, _), (by_xy, _) = (shown(frame) for frame in steps)
    assert np.abs(by_xy - (white + blue) / 2).max() < 2e-5
    along = (by_uv - white) / (blue - white)
    assert abs(along[0] - along[1]) < 2e-4
    assert 0.6 < along[0] < 0.7


def test_a_sweep_at_a_luminance_has_it_at_every_step():
    for saturation in ("0 %", "40 %", "100 %"):
        asked = {"colour": "green", "saturation": saturation, "luminance": "20 cd/m2"}
        assert shown(draw("saturation", "sdr16", **asked))[1] == pytest.approx(20, rel=1e-4)


# Walks


@pytest.mark.parametrize("name", PRIMARIES)
@pytest.mark.parametrize("points", [1, 2, 7])
def test_points_of_a_walk_divide_each_edge_evenly(name, points):
    primaries = PRIMARIES[name]
    corners = [primaries.red, primaries.green, primaries.blue, primaries.red]
    walk = [boundary_point(primaries, points, n) for n in range(1, 3 * points + 1)]
    assert len(set(walk)) == 3 * points
    assert walk[::points] == corners[:3]
    for number, point in enumerate(walk):
        a, b = corners[number // points], corners[number // points + 1]
        share = Fraction(number % points, points)
        assert point == (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


@pytest.mark.parametrize("signal", ["sdr10", "pq10", "hlg10"])
def test_on_the_boundary_a_channel_is_dark_and_the_strongest_has_the_level(signal):
    for number in range(1, 25):
        codes = level("gamut-walk", signal, points=8, point=number, level="50 %")
        assert min(codes) == 64
        assert max(codes) == 502
        # only the corners have two dark channels
        assert sorted(codes)[1] == 64 or number % 8 != 1


@pytest.mark.parametrize("signal", ["pq16", "hlg16"])
def test_a_walk_along_smaller_primaries_stays_inside_and_where_it_was_asked(signal):
    for number in range(1, 13):
        frame = draw("gamut-walk", signal, points=4, point=number, primaries="bt709")
        assert min(frame.inks["level"]) > 0
        x, y = boundary_point(PRIMARIES["bt709"], 4, number)
        assert np.abs(shown(frame)[0] - [float(x), float(y)]).max() < 3e-5


def test_a_walk_beyond_the_signal_is_refused_at_its_point():
    with pytest.raises(PatternError, match="point 9 of 24 along bt2020"):
        level("gamut-walk", point=9, primaries="bt2020")


# Cube


@pytest.mark.parametrize(("levels", "surface", "count"), [(3, False, 27), (3, True, 26)])
def test_samples_of_the_cube_are_counted_once_each(levels, surface, count):
    seen = [
        level("cube", levels=levels, surface=surface, sample=n, area="1 %")
        for n in range(1, count + 1)
    ]
    assert len(set(seen)) == count
    assert (seen[0], seen[1], seen[-1]) == ((64, 64, 64), (64, 64, 502), (940, 940, 940))
    assert seen == sorted(seen)
    assert ((502, 502, 502) in seen) is not surface


def test_the_surface_of_eleven_levels_has_602_samples():
    """6 * 121 - 12 * 11 + 8; the use of it by IDMS v1.3 clause 5.32 is from memory."""
    last = {"levels": 11, "surface": True, "sample": 602}
    assert level("cube", **last) == (940, 940, 940)
    with pytest.raises(ValidationError, match="samples 1 to 602, not 603"):
        KINDS["cube"].model_validate(last | {"sample": 603})


@pytest.mark.parametrize("canvas", [HD, Canvas(1080, 1920), Canvas(330, 100)])
@pytest.mark.parametrize("levels", [2, 4, 7])
def test_a_sheet_shows_every_sample_at_its_place(canvas, levels):
    pattern = KINDS["cube-sheet"].model_validate({"levels": levels, "background": "20 %"})
    frame = pattern.frame(canvas, named_signal("pq10"))
    side, spots = frame.facts["side"], pattern.spots(canvas)
    assert len(spots) == frame.facts["samples"] == levels**3
    expected = np.full((canvas.height, canvas.width, 3), 239, np.uint16)
    for number, spot in enumerate(spots.values(), 1):
        left, top = int(spot.x - Fraction(side, 2)), int(spot.y - Fraction(side, 2))
        place = expected[top : top + side, left : left + side]
        assert place.shape == (side, side, 3)
        assert (place == 239).all()
        place[:] = level("cube", "pq10", levels=levels, sample=number, area="1 %")
    assert (frame.pixels() == expected).all()


def test_a_sheet_too_fine_for_the_canvas_is_refused():
    with pytest.raises(PatternError, match="17 levels a channel does not fit on a canvas of 64x64"):
        draw("cube-sheet", canvas=Canvas(64, 64), levels=17)


@pytest.mark.parametrize(
    ("kind", "parameters", "said"),
    [
        ("patch", {"colour": "purple"}, "'white'"),
        ("patch", {"colour": "red", "chromaticity": {"x": 0.3, "y": 0.3}}, "not both"),
        ("patch", {"chromaticity": {"x": 0.3, "y": 0}}, "greater than 0"),
        ("patch", {"level": "50 %", "luminance": "5 cd/m2"}, "not both"),
        ("patch", {"area": "5 %", "size": {"width": "9 px", "height": "9 px"}}, "not both"),
        ("saturation", {"saturation": "101 %"}, "0 % to 100 %"),
        ("saturation", {"colour": "white"}, "'red'"),
        ("saturation", {"constant": "code", "luminance": "5 cd/m2"}, "a level, not a luminance"),
        ("gamut-walk", {"points": 4, "point": 13}, "points 1 to 12, not 13"),
        ("cube", {"levels": 3, "sample": 28}, "samples 1 to 27, not 28"),
    ],
)
def test_what_is_no_colour_patch_is_refused(kind, parameters, said):
    with pytest.raises(ValidationError, match=said):
        KINDS[kind].model_validate(parameters)


def test_a_colour_beyond_the_peak_is_refused():
    with pytest.raises(PatternError, match=r"up to 100 % of the signal, not at 105 %"):
        draw("saturation", level="105 %")


def test_d65_is_white_in_every_set():
    assert {primaries.white for primaries in PRIMARIES.values()} == {D65}
    assert to_uv(D65) == (Fraction(12508, 63226), Fraction(29610, 63226))
