"""Star fields: the generator, the layout, and what moves."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.pace import below, draws
from patterns.signal.signal import named_signal

HD, UHD = Canvas(1920, 1080), Canvas(3840, 2160)
SDR = named_signal("sdr8")


def stars(**parameters):
    return KINDS["stars"].model_validate(parameters)


def moving(**parameters):
    return KINDS["moving-stars"].model_validate(parameters)


def corners(image):
    """Top left pixels of the dots, by looking at neighbours; image (height, width) of 0 and 1."""
    above = np.zeros_like(image)
    above[1:] = image[:-1]
    before = np.zeros_like(image)
    before[:, 1:] = image[:, :-1]
    return np.argwhere(image & ~above & ~before)


def test_the_generator_is_splitmix64():
    """First draws of seeds 0 and 1234567 as SplitMix64 is known to give them; from memory."""
    assert draws(0, 3).tolist() == [0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F]
    assert draws(1234567, 5).tolist() == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ]


@given(st.integers(0, 2**63 - 1), st.integers(1, 50))
def test_the_generator_agrees_with_its_definition_in_whole_numbers(seed, count):
    word = 2**64 - 1
    state, expected = seed, []
    for _ in range(count):
        state = (state + 0x9E3779B97F4A7C15) & word
        mixed = ((state ^ (state >> 30)) * 0xBF58476D1CE4E5B9) & word
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & word
        expected.append(mixed ^ (mixed >> 31))
    assert draws(seed, count).tolist() == expected


def test_draws_below_a_limit_cover_it_evenly():
    assert below(np.array([0, 2**64 - 1], np.uint64), 6).tolist() == [0, 5]
    counts = np.bincount(below(draws(3, 60_000), 6), minlength=7)
    assert counts[6] == 0
    assert (abs(counts[:6] - 10_000) < 400).all()


def test_a_sky_is_the_same_for_ever():
    """The picture of these seeds, as first drawn: another machine or numpy gives no other one."""
    assert stars().frame(HD, SDR).sha256 == (
        "563d9fde700471509728f0e19d7a0d515761ccfda909526b7b564ad9f61b472d"
    )
    assert stars(seed=2).frame(HD, SDR).sha256 == (
        "3c941e2ae257e016bd885ddb74a439b55661bbb4bed9f1196f07c02c359075ae"
    )


@pytest.mark.parametrize(
    ("parameters", "count", "side"),
    [
        ({}, 115, 3),
        ({"size": "1 px", "density": "500 dots/Mpx"}, 1037, 1),
        ({"size": "0.5 %", "density": "1 %"}, 829, 5),
        ({"size": "2 px", "density": "20 %"}, 103680, 2),
    ],
)
def test_there_are_as_many_dots_as_the_density_says_and_none_touch(parameters, count, side):
    """Round(share x 1920 x 1080 / side squared): 0.05 % of them over 9 is 115.2."""
    frame = stars(**parameters).frame(HD, SDR)
    image = frame.pixels()[..., 0] == 255
    assert image.sum() == count * side * side
    assert frame.facts["dots"] == count
    assert frame.facts["area_percent"] == pytest.approx(100 * count * side * side / (1920 * 1080))
    tops = corners(image)
    assert len(tops) == count
    for down in range(side):
        for across in range(side):
            assert image[tops[:, 0] + down, tops[:, 1] + across].all()


@settings(max_examples=40, deadline=None)
@given(
    st.integers(1, 9),
    st.integers(1, 160),
    st.integers(0, 2**63 - 1),
    st.sampled_from([Canvas(640, 360), Canvas(360, 640), Canvas(1366, 768), Canvas(64, 64)]),
)
def test_dots_of_any_seed_are_whole_and_apart(side, tenths, seed, canvas):
    pattern = stars(size=f"{side} px", density=f"{tenths / 10} %", seed=seed)
    try:
        image = pattern.frame(canvas, SDR).pixels()[..., 0] == 255
    except PatternError as error:
        assert "touching" in str(error) or "less than one dot" in str(error)  # noqa: PT017 - some seeds
        return
    count, _ = pattern.dots(canvas)
    tops = corners(image)
    assert (len(tops), image.sum()) == (count, count * side * side)


@pytest.mark.parametrize("canvas", [HD, UHD, Canvas(7680, 4320), Canvas(1080, 1920)], ids=str)
def test_few_rows_differ(canvas):
    for parameters in ({}, {"size": "1 px", "density": "500 dots/Mpx"}, {"density": "1 %"}):
        frame = stars(**parameters).frame(canvas, SDR)
        dots = frame.facts["dots"]
        assert len(frame.rows) <= max(241, 2 * int((dots * canvas.height / canvas.width) ** 0.5))


def test_dots_are_spread_over_the_whole_picture():
    image = stars(density="0.5 %").frame(HD, SDR).pixels()[..., 0] == 255
    ninths = [part.sum() for rows in np.split(image, 3) for part in np.split(rows, 3, axis=1)]
    assert max(ninths) < 1.15 * min(ninths)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"density": "60 %"}, "density of 60 % do not fit"),
        ({"size": "1 px", "density": "26 %"}, "do not fit"),
        ({"density": "0.0001 %"}, "density of 0.0001 % is less than one dot"),
        ({"size": "2000 px", "density": "20 %"}, "less than one dot"),
        ({"size": "1100 px", "density": "1000 dots/Mpx"}, "do not fit"),
    ],
)
def test_a_sky_too_dense_or_too_empty_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        stars(**parameters).frame(HD, SDR)


# ---- moving


@pytest.mark.parametrize("rate", [50, Fraction(60000, 1001), 60, 120], ids=str)
@pytest.mark.parametrize(
    ("direction", "axis", "sign"), [("left", 1, -1), ("right", 1, 1), ("up", 0, -1), ("down", 0, 1)]
)
def test_the_sky_moves_as_a_whole_in_whole_pixels_a_frame(rate, direction, axis, sign):
    canvas = Canvas(640, 360, Fraction(rate))
    pattern = moving(direction=direction, speed="3 px/frame", density="0.5 %")
    still = stars(density="0.5 %").frame(canvas, SDR).pixels()
    for n in (0, 1, 7, 119, 120, 5000):
        frame = pattern.frame(canvas, SDR, Fraction(n) / canvas.refresh)
        assert (frame.pixels() == np.roll(still, sign * 3 * n, axis=axis)).all()
        assert len(np.unique(frame.rows, axis=0)) == len(frame.rows)


def test_between_two_refreshes_the_sky_stands_still():
    pattern = moving()
    assert pattern.at(HD, Fraction(1, 60)) == pattern.at(HD, Fraction(199, 6000)) == (1918, 0)
    assert pattern.at(HD, Fraction(2, 60)) == (1916, 0)


def test_a_moving_sky_keeps_its_levels_apart():
    one = moving(level="code 200").frame(HD, SDR, Fraction(1))
    other = moving(level="code 100").frame(HD, SDR, Fraction(1))
    narrow = moving(level="50 %").frame(HD, named_signal("sdr10"), Fraction(1))
    assert (one.inks["level"][0], other.inks["level"][0], narrow.inks["level"][0]) == (
        200,
        100,
        502,
    )
    assert (one.pixels().max(), other.pixels().max(), narrow.pixels().max()) == (200, 100, 502)


def test_a_clipped_level_is_told_in_every_frame():
    frame = moving(level="300 cd/m2", clip=True).frame(HD, SDR, Fraction(3))
    assert frame.facts["clipped"] == ["level: 300 cd/m2"]


def test_a_speed_that_is_not_whole_pixels_a_frame_is_refused():
    pattern = moving(speed="100 px/s")
    with pytest.raises(PatternError, match=r"100 px/s is 1\.66667 pixels a frame at 60 Hz"):
        pattern.frame(HD, SDR)
    assert pattern.at(Canvas(1920, 1080, Fraction(50)), Fraction(1)) == (1820, 0)
