"""Highlight ladders, and windows at constant mean level."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

HD = Canvas(1920, 1080)


def draw(kind, signal="pq10", canvas=HD, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return KINDS[kind].model_validate(parameters).frame(canvas, chosen)


def ladder(signal="pq10", **parameters):
    """Codes of one channel: below the first patch, and of the patches."""
    frame = draw("highlights", signal, **parameters)
    names = [f"patch {n}" for n in range(1, len(frame.facts["levels"]) + 1)]
    return [max(frame.inks[name]) for name in ("surround of patch 1", *names)]


@pytest.mark.parametrize(
    ("around", "step", "codes"),
    # Rec. ITU-R BT.2100-3 Tables 4 and 9, PQ at 10 bits, narrow range; computed
    [
        ("10000 cd/m2", "2000 cd/m2", [919, 940]),
        ("4000 cd/m2", "2000 cd/m2", [789, 855]),
        ("1000 cd/m2", "200 cd/m2", [701, 723]),
        ("200 cd/m2", "100 cd/m2", [509, 571]),
    ],
)
def test_a_patch_and_its_square_have_the_published_codes(around, step, codes):
    assert ladder(around=around, step=step, count=1, columns=1) == codes


def test_a_ladder_goes_evenly_through_its_middle_level():
    frame = draw("highlights", around="1000 cd/m2", step="100 cd/m2", count=5, columns=5)
    assert frame.facts["levels"] == [f"{level} cd/m2" for level in (800, 900, 1000, 1100, 1200)]
    assert frame.facts["middle"] == "patch 3"
    assert frame.inks["patch 3"] == (723, 723, 723)
    light = frame.facts["levels_cd_m2"]
    assert np.abs(np.array(light) - [800, 900, 1000, 1100, 1200]).max() < 5
    even = draw("highlights", around="50 %", step="1 %", count=4, columns=4)
    assert even.facts["levels"] == ["49 %", "50 %", "51 %", "52 %"]


def test_steps_in_codes_go_from_code_to_code():
    assert ladder(around="code 700", step="code 4", count=5) == [688, 692, 696, 700, 704, 708]
    # 1000 cd/m2 is code 723
    assert ladder(around="1000 cd/m2", step="code 1", count=3) == [721, 722, 723, 724]
    assert ladder(around="100 %", step="code 20", count=1) == [920, 940]


def test_codes_keep_their_meaning_at_another_depth():
    shown = named_signal("pq10").shown_at(12, "narrow")
    assert ladder(shown, around="code 700", step="code 4", count=3) == [2768, 2784, 2800, 2816]
    assert ladder(shown, around="1000 cd/m2", step="code 1", count=1) == [2888, 2892]


def test_every_patch_stands_in_a_square_one_step_below_it():
    pattern = KINDS["highlights"].model_validate(
        {"around": "90 %", "count": 7, "columns": 3, "background": "20 %", "ticks": False}
    )
    frame = pattern.frame(HD, named_signal("sdr10"))
    expected = np.full((1080, 1920, 3), 239, np.uint16)
    codes = [frame.inks["surround of patch 1"], *(frame.inks[f"patch {n}"] for n in range(1, 8))]
    for box, (below, above) in zip(pattern.squares(HD), pairwise(codes), strict=True):
        expected[box.y : box.bottom, box.x : box.right] = below
        half = box.width // 4 * 2  # all edges on even pixels, for 4:2:0
        quarter = (box.width - half) // 4 * 2
        rows = slice(box.y + quarter, box.y + quarter + half)
        expected[rows, box.x + quarter : box.x + quarter + half] = above
    assert (frame.pixels() == expected).all()
    assert all(below < above for below, above in pairwise(codes))
    lit = sum(box.width * box.height for box in pattern.squares(HD))
    assert frame.facts["area_percent"] == 100 * lit / (1920 * 1080)
    side = pattern.squares(HD)[0].width
    assert side == min(range(2, 1080, 2), key=lambda each: abs(7 * each * each - 207_360))


def test_ticks_stand_below_every_fifth_square_and_longer_below_the_middle_one():
    asked = {"around": "80 %", "count": 15, "columns": 5}
    pattern = KINDS["highlights"].model_validate(asked)
    frame, plain = draw("highlights", **asked), draw("highlights", ticks=False, **asked)
    changed = (frame.pixels() != plain.pixels()).any(axis=2)
    squares = pattern.squares(HD)
    below = [
        int(changed[box.bottom : box.bottom + box.width // 4, box.x : box.right].any(axis=0).sum())
        for box in squares
    ]
    side = squares[0].width
    full = {5: side // 2, 8: side, 10: side // 2, 15: side // 2}
    assert below == [full.get(number, 0) for number in range(1, 16)]
    assert changed.sum() == sum(full.values()) * max(1, side // 16)
    assert (frame.pixels()[changed] == frame.inks["tick"]).all()


@pytest.mark.parametrize(
    ("channel", "lit"), [("white", "rgb"), ("red", "r"), ("cyan", "gb"), ("yellow", "rg")]
)
def test_a_coloured_ladder_has_its_channels_alone(channel, lit):
    frame = draw("highlights", around="4000 cd/m2", step="2000 cd/m2", count=1, channel=channel)
    assert frame.inks["patch 1"] == tuple(855 if each in lit else 64 for each in "rgb")
    assert frame.inks["surround of patch 1"] == tuple(789 if each in lit else 64 for each in "rgb")


def test_spots_of_a_ladder_lie_in_its_patches():
    pattern = KINDS["highlights"].model_validate({"count": 9, "columns": 3})
    frame = pattern.frame(HD, named_signal("hlg10"))
    for name, spot in pattern.spots(HD).items():
        assert tuple(frame.pixels()[int(spot.y), int(spot.x)].tolist()) == frame.inks[name]


@pytest.mark.parametrize(
    ("signal", "parameters", "said"),
    [
        ("pq10", {"step": "0 %"}, "more than nothing"),
        ("pq10", {"step": "5 cd/m2"}, "a level in cd/m2, not 90 %"),
        ("pq10", {"around": "9000 cd/m2", "step": "10 cd/m2"}, "less than a code of pq10"),
        ("pq10", {"around": "9000 cd/m2", "step": "500 cd/m2"}, "out of reach"),
        ("sdr8", {"around": "100 cd/m2", "step": "5 cd/m2"}, "out of reach"),
        ("pq10", {"area": "70 %"}, "do not fit"),
        ("pq10", {"area": "0.0001 %"}, "do not fit"),
    ],
)
def test_a_ladder_that_cannot_be_read_is_refused(signal, parameters, said):
    with pytest.raises(PatternError, match=said):
        draw("highlights", signal, **parameters)


def test_a_ladder_may_be_clipped_and_says_so():
    asked = {"around": "9500 cd/m2", "step": "500 cd/m2", "count": 5, "columns": 5}
    frame = draw("highlights", clip=True, **asked)
    assert frame.facts["clipped"] == ["patch 5: 10500 cd/m2"]
    assert frame.inks["patch 5"] == frame.inks["patch 4"] == (940, 940, 940)


# Windows at constant mean level


def true_mean(frame):
    """Mean signal over all pixels and channels, exactly, by counting."""
    quantiser = frame.signal.quantiser
    total = int(frame.pixels().sum(dtype=np.int64))
    samples = 3 * frame.width * frame.height
    span = quantiser.white - quantiser.black
    return Fraction(total - samples * quantiser.black, samples * span)


@pytest.mark.parametrize("signal", ["sdr8", "sdr10", "pq12", "hlg16"])
@pytest.mark.parametrize("size", [(192, 108), (130, 78), (108, 192)])
def test_no_other_background_comes_nearer_to_the_mean(signal, size):
    """Areas of 1 to 49 %: the mean within half a code of the background, and as reported."""
    canvas, half = Canvas(*size), Fraction(1, 2)
    for area in range(1, 50, 4):
        for level in ("100 %", {"r": "100 %", "g": "50 %", "b": "0 %"}):
            frame = draw("window", signal, canvas, area=f"{area} %", level=level, mean="50 %")
            mean, quantiser = true_mean(frame), frame.signal.quantiser
            box = KINDS["window"].model_validate({"area": f"{area} %"}).box(canvas)
            around = 1 - Fraction(box.width * box.height, canvas.pixels)
            step = around / (quantiser.white - quantiser.black)
            assert abs(mean - half) <= step / 2
            assert frame.facts["mean_level_percent"] == float(100 * mean)
            assert frame.mean_level == pytest.approx(float(100 * mean), rel=1e-14)


@pytest.mark.parametrize(
    ("parameters", "background"),
    [
        # a quarter at 100 %: 25 + 75 b = 50, b = 1/3: 64 + 292
        ({"area": "25 %", "mean": "50 %"}, 356),
        # nothing left for the background
        ({"area": "25 %", "mean": "25 %"}, 64),
        ({"area": "25 %", "level": "0 %", "mean": "75 %"}, 940),
        ({"area": "25 %", "level": "50 %", "mean": "50 %"}, 502),
        # the window's own mean is 50 %: 12.5 + 75 b = 50, b = 1/2
        (
            {"area": "25 %", "level": {"r": "100 %", "g": "50 %", "b": "0 %"}, "mean": "50 %"},
            502,
        ),
    ],
)
def test_the_background_makes_up_the_difference(parameters, background):
    frame = draw("window", "sdr10", **parameters)
    assert frame.inks["background"] == (background,) * 3


@pytest.mark.parametrize("parameters", [{"mean": "9 %"}, {"mean": "99 %", "level": "0 %"}])
def test_a_mean_that_no_background_gives_is_refused_or_clipped(parameters):
    with pytest.raises(PatternError, match=r"A mean of 9.* is out of reach: with this window it"):
        draw("window", **parameters)
    frame = draw("window", clip=True, **parameters)
    assert frame.inks["background"] in ((64,) * 3, (940,) * 3)
    assert f"for a mean of {parameters['mean']}" in frame.facts["clipped"][0]
    assert frame.facts["mean_level_percent"] == float(100 * true_mean(frame))


def test_a_window_of_the_whole_canvas_has_no_background():
    with pytest.raises(PatternError, match="leaves nothing to make a mean of 50 %"):
        draw("window", area="100 %", mean="50 %")


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"mean": "50 %", "background": "5 %"}, "not both"),
        ({"mean": "101 %"}, "0 % to 100 %"),
        ({"mean": "20 cd/m2"}, "unknown unit"),
    ],
)
def test_a_mean_that_is_not_one_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        KINDS["window"].model_validate(parameters)
