"""Reference charts: published colours, adapted to D65, as patches and as whole charts."""

import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture import charts
from patterns.picture.canvas import Canvas
from patterns.signal.primaries import BT709, BT2020, D65, apply
from patterns.signal.signal import named_signal

HD = Canvas(1920, 1080)
METHODS = [("bradford", "Bradford"), ("cat02", "CAT02")]
SPACES = {"sdr10": "ITU-R BT.709", "pq10": "ITU-R BT.2020", "hlg10": "ITU-R BT.2020"}


def draw(kind, signal="sdr10", canvas=HD, **parameters):
    return KINDS[kind].model_validate(parameters).frame(canvas, named_signal(signal))


def of_library(size, transform):
    """XYZ at D65 of all patches, through colour-science's own functions."""
    colour = charts.colour_science()
    data = colour.CCS_COLOURCHECKERS[charts._DATA[size]]
    return colour.chromatic_adaptation(
        colour.xyY_to_XYZ(np.array(list(data.data.values()))),
        colour.xy_to_XYZ(np.array(data.illuminant)),
        colour.xy_to_XYZ(np.array([0.3127, 0.3290])),
        method="Von Kries",
        transform=transform,
    )


def library_codes(signal, xyz, white):
    """10-bit narrow codes through colour-science: linear RGB, its transfer, one rounding."""
    colour = charts.colour_science()
    space = colour.RGB_COLOURSPACES[SPACES[signal]].copy()
    space.use_derived_transformation_matrices(usage=True)
    light = np.maximum(white * (xyz @ space.matrix_XYZ_to_RGB.T), 0)
    with np.errstate(invalid="ignore"):  # its HLG takes the logarithm of all, then chooses
        if signal == "sdr10":
            shares = colour.models.eotf_inverse_BT1886(light / 100)
        elif signal == "pq10":
            shares = colour.models.eotf_inverse_ST2084(light)
        else:
            shares = colour.models.eotf_inverse_BT2100_HLG(light)
    return np.floor(64 + 876 * shares + 0.5).astype(int)


@pytest.mark.parametrize("method", ["bradford", "cat02"])
def test_adaptation_matrices_are_the_published_ones(vectors, agrees, method):
    white = charts.chart(24).white
    assert agrees(float(white[0]), "0.34570291")
    assert agrees(float(white[1]), "0.35853860")
    matrix = charts.adaptation(method, white, D65)
    rows = [row for row in vectors("adaptation_d50_d65") if row["method"] == method]
    assert [row["row"] for row in rows] == ["X", "Y", "Z"]
    for cells, row in zip(matrix, rows, strict=True):
        assert all(agrees(float(cell), row[key]) for cell, key in zip(cells, "xyz", strict=True))


def test_patches_are_at_d65_what_the_table_says(vectors, agrees):
    rows = vectors("chart24_d65")
    assert len(rows) == 16
    # the table leaves out the densities that the data writes behind a grey's name
    patches = {patch.key.split(" (")[0]: patch for patch in charts.chart(24).patches}
    for row in rows:
        patch = patches[row["patch"]]
        source = (patch.x, patch.y, patch.luminance)
        for value, key in zip(source, ("sx", "sy", "sY"), strict=True):
            assert agrees(float(value), row[key]), (row["patch"], key)
        xyz = charts.adapted(patch, "bradford", D65)
        shown = (xyz[0] / sum(xyz), xyz[1] / sum(xyz), xyz[1])
        for value, key in zip(shown, ("x", "y", "Y"), strict=True):
            assert agrees(float(value), row[key]), (row["patch"], key)
        for primaries, space in ((BT709, "709"), (BT2020, "2020")):
            for value, channel in zip(apply(primaries.xyz_to_rgb, xyz), "rgb", strict=True):
                assert agrees(float(value), row[channel + space]), (row["patch"], channel, space)


@pytest.mark.parametrize("size", [24, 140])
@pytest.mark.parametrize(("method", "transform"), METHODS)
def test_every_patch_agrees_with_the_conversion_of_colour_science(size, method, transform):
    """Largest difference over all patches: 4e-16 in x, y and 5e-16 in Y when this was written."""
    library = of_library(size, transform)
    patches = charts.chart(size).patches
    assert len(patches) == size
    ours = np.array([[float(v) for v in charts.adapted(each, method, D65)] for each in patches])
    xy = [values[:, :2] / values.sum(axis=1, keepdims=True) for values in (ours, library)]
    assert np.abs(xy[0] - xy[1]).max() < 1e-14
    assert np.abs(ours[:, 1] - library[:, 1]).max() < 1e-14


@pytest.mark.parametrize("size", [24, 140])
@pytest.mark.parametrize(("method", "transform"), METHODS)
@pytest.mark.parametrize("signal", SPACES)
def test_codes_of_the_whole_chart_are_those_of_colour_science(size, method, transform, signal):
    """No code differs, and what rounding to 10 bits costs stays within these bounds.

    Over both charts, methods and all three signals, the largest were 0.0022 in x, y, 1 % of a
    patch's own Y (both in the blacks), and 0.0043 of white in Y.
    """
    frame = draw("chart", signal, chart=size, adaptation=method)
    white = frame.facts["white_cd_m2"]
    xyz = of_library(size, transform)
    codes = library_codes(signal, xyz, white)
    shown = [number for number in range(1, size + 1) if f"patch {number}" in frame.inks]
    assert len(shown) >= size - 21
    inks = np.array([frame.inks[f"patch {number}"] for number in shown])
    wanted = xyz[np.array(shown) - 1]
    assert (inks == codes[np.array(shown) - 1]).all()
    got = frame.signal.xyz(inks) / white
    xy = [values[:, :2] / values.sum(axis=1, keepdims=True) for values in (got, wanted)]
    assert np.abs(xy[0] - xy[1]).max() < 0.0025
    assert (np.abs(got[:, 1] / wanted[:, 1] - 1)).max() < 0.01
    assert np.abs(got[:, 1] - wanted[:, 1]).max() < 0.005


@pytest.mark.parametrize(
    ("signal", "cd_m2", "codes"),
    # Report ITU-R BT.2408-9 (03/2026) Table 1, second-hand: 203 cd/m2, 58 % PQ, 75 % HLG
    [("pq10", 203, 573), ("pq12", 203, 2291), ("hlg10", 203.152, 721), ("sdr10", 100, 940)],
)
def test_a_perfect_diffuser_has_the_reference_white_of_the_signal(signal, cd_m2, codes):
    signal = named_signal(signal)
    white = charts.reference_white(signal)
    assert round(float(white), 3) == cd_m2
    point = {"x": 0.3127, "y": 0.329}
    level = {"chromaticity": point, "luminance": f"{float(white)!r} cd/m2"}
    frame = KINDS["patch"].model_validate(level).frame(HD, signal)
    assert frame.inks["level"] == (codes, codes, codes)


def test_cyan_is_outside_bt709_and_refused_until_it_may_be_clipped():
    with pytest.raises(PatternError, match=r"patch 18 .* outside what sdr10 can hold"):
        draw("chart-patch", patch=18)
    clipped = draw("chart-patch", patch=18, clip=True)
    assert clipped.facts["clipped"] == ["level: patch 18 of the 24-patch chart"]
    assert clipped.inks["level"][0] == 64
    held = draw("chart-patch", "pq10", patch=18)
    assert "clipped" not in held.facts
    assert min(held.inks["level"]) > 64


def test_a_whole_chart_leaves_out_what_the_signal_cannot_hold_and_says_so():
    frame = draw("chart", background="20 %")
    assert frame.facts["outside"] == [18]
    assert "clipped" not in frame.facts
    place = KINDS["chart"]().spots(HD)["patch 18"]
    assert frame.pixels()[int(place.y), int(place.x)].tolist() == list(frame.inks["background"])
    clipped = draw("chart", background="20 %", clip=True)
    assert clipped.facts["outside"] == [18]
    assert clipped.facts["clipped"] == ["patch 18: patch 18 of the 24-patch chart"]
    assert "outside" not in draw("chart", "hlg10").facts
    assert "outside" not in draw("chart", "pq10", chart=140).facts
    assert len(draw("chart", chart=140).facts["outside"]) == 21


@pytest.mark.parametrize("size", [24, 140])
@pytest.mark.parametrize("canvas", [HD, Canvas(1080, 1920), Canvas(3440, 1440), Canvas(200, 150)])
def test_each_patch_lies_at_its_place_alone(size, canvas):
    pattern = KINDS["chart"].model_validate({"chart": size})
    frame = pattern.frame(canvas, named_signal("pq10"))
    expected = np.full((canvas.height, canvas.width, 3), 64, np.uint16)
    side = frame.facts["side"]
    for number, spot in enumerate(pattern.spots(canvas).values(), 1):
        left, top = int(spot.x - Fraction(side, 2)), int(spot.y - Fraction(side, 2))
        assert (expected[top : top + side, left : left + side] == 64).all()
        expected[top : top + side, left : left + side] = frame.inks[f"patch {number}"]
    assert (frame.pixels() == expected).all()
    assert len(pattern.spots(canvas)) == size


def test_the_charts_are_counted_row_by_row():
    small, large = charts.chart(24), charts.chart(140)
    assert (small.columns, small.rows, large.columns, large.rows) == (6, 4, 14, 10)
    keys = [patch.key for patch in small.patches]
    assert (keys[0], keys[5], keys[6], keys[18]) == (
        "dark skin",
        "bluish green",
        "orange",
        "white 9.5 (.05 D)",
    )
    first = [patch.key for patch in large.patches[:15]]
    assert first == [*(f"{column}1" for column in "ABCDEFGHIJKLMN"), "A2"]
    assert large.patches[46].key == "E4"
    for chart in (small, large):
        assert [patch.number for patch in chart.patches] == list(range(1, chart.size + 1))


def test_luminance_follows_the_white_that_is_asked():
    dim, bright = (draw("chart-patch", "pq10", patch=22, white=f"{w} cd/m2") for w in (100, 400))
    assert bright.facts["luminance_cd_m2"] == pytest.approx(4 * dim.facts["luminance_cd_m2"])
    # neutral 5 has Y 0.19062 at D65 (colour-science 0.4.7, Bradford; computed)
    assert dim.facts["luminance_cd_m2"] == pytest.approx(19.062, abs=0.0005)
    assert dim.facts["adaptation"] == "Bradford, D50 to D65"
    assert draw("chart-patch", adaptation="cat02").facts["adaptation"] == "CAT02, D50 to D65"


def test_skin_tones_run_from_light_to_dark_and_all_lie_in_bt709():
    tones = charts.skin_tones()
    light = [tone.luminance for tone in tones]
    assert len(set(tones)) == 16
    assert light == sorted(light, reverse=True)
    assert {tone.key for tone in tones} == {
        *(f"{column}{row}" for row in (7, 8) for column in "DEFGHIJ"),
        "light skin",
        "dark skin",
    }
    for number, tone in enumerate(tones, 1):
        frame = draw("skin", tone=number)
        assert frame.facts["colour"] == str(tone)
        red, green, blue = frame.inks["level"]
        assert red > green > blue > 64


def test_colour_data_is_loaded_only_when_a_chart_is_drawn():
    script = (
        "import sys\n"
        "from patterns.picture.canvas import Canvas\n"
        "from patterns.kinds import KINDS\n"
        "KINDS['chart-patch'](patch=3).box(Canvas(1920, 1080))\n"
        "KINDS['chart'](chart=140).spots(Canvas(1920, 1080))\n"
        "assert not {'colour', 'scipy'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"patch": 25}, "patches 1 to 24, not 25"),
        ({"patch": 0}, "greater than or equal to 1"),
        ({"chart": 140, "patch": 141}, "less than or equal to 140"),
        ({"chart": 30}, "24 or 140"),
        ({"patch": 1.5}, "valid integer"),
        ({"patch": True}, "valid integer"),
        ({"patch": "orange"}, "valid integer"),
        ({"adaptation": "linear"}, "bradford"),
        ({"white": "50 %"}, "cd/m2"),
        ({"area": "5 %", "size": {"width": "9 px", "height": "9 px"}}, "not both"),
    ],
)
def test_a_patch_that_is_on_no_chart_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        KINDS["chart-patch"].model_validate(parameters)


def test_a_chart_too_large_for_the_canvas_is_refused():
    with pytest.raises(PatternError, match="140 patches do not fit on a canvas of 64x64"):
        draw("chart", canvas=Canvas(64, 64), chart=140)
