"""Whatever numbers a meter gives, what is kept of them can be light, and nothing breaks at them."""

from __future__ import annotations

import re
from contextlib import suppress
from math import inf, isfinite

from hypothesis import example, given
from hypothesis import strategies as st

from player.meters.base import Meter, MeterError, MeterReading, reading_of
from player.meters.dark import DarkCorrectedMeter
from player.meters.repeating import RepeatingMeter, Repeats
from player.run.expecting import Coded, Expected, Past, difference
from player.run.plausible import doubts
from readings.bounds import (
    BRIGHTEST,
    DARK,
    DARKEST,
    ROOM,
    is_chromaticity,
    no_light,
    outside,
    room_of,
    without_dust,
)
from readings.visit.records import Specification, Value

NUMBERS = st.floats() | st.sampled_from([0.0, 1e-320, 5e-324, 1e308, -1e308, 1e-9, 100.0])
SHARES = st.floats() | st.floats(0, 1) | st.sampled_from([5e-324, 1e-300, 0.001])
READINGS = st.builds(
    MeterReading,
    raw=st.just("?"),
    luminance=NUMBERS,
    x=SHARES | st.none(),
    y=SHARES | st.none(),
    tristimulus=st.none() | st.tuples(NUMBERS, NUMBERS, NUMBERS),
)


class Given:
    """Gives readings one after another, and then again."""

    name = "spot meter"
    specification = Specification()

    def __init__(self, readings: list[MeterReading]) -> None:
        self.readings = readings
        self.count = 0

    def measure(self) -> MeterReading:
        self.count += 1
        return self.readings[(self.count - 1) % len(self.readings)]


def what_comes_of(meter: Meter) -> MeterReading | str:
    """A reading, or the sentence where there is none."""
    try:
        return reading_of(meter)
    except MeterError as error:
        return str(error)


def require_light(reading: MeterReading) -> None:
    assert reading.luminance is not None
    assert -DARK <= reading.luminance <= BRIGHTEST
    assert reading.luminance == 0 or abs(reading.luminance) >= DARKEST
    if reading.x is not None and reading.y is not None:
        assert is_chromaticity(reading.x, reading.y, ROOM)  # of a meter that promises nothing
    if reading.tristimulus is not None:
        assert all(map(isfinite, reading.tristimulus))


@given(st.lists(READINGS, min_size=1, max_size=4), READINGS | st.none())
@example([MeterReading("?", 1e308, None, None), MeterReading("?", 1e-320, None, None)], None)
@example([MeterReading("?", 100, 0.3, 5e-324)], MeterReading("?", 0.05, 0.3, 5e-324))
def test_what_comes_of_any_numbers_can_be_light(
    readings: list[MeterReading], dark: MeterReading | None
) -> None:
    plain = Given(readings)
    corrected = DarkCorrectedMeter(Given(readings))
    if dark is not None:
        with suppress(MeterError):
            corrected.take(reading_of(Given([dark])))
    repeated = [
        RepeatingMeter(Given(readings), Repeats(least=3, most=3)),
        RepeatingMeter(Given(readings), Repeats(least=3, most=6)),
    ]
    for meter in (plain, corrected, *repeated):
        came = what_comes_of(meter)
        if isinstance(came, MeterReading):
            require_light(came)
        else:
            assert "failed (" not in came, "an error of arithmetic, and no sentence"


LIGHTS = st.floats(-DARK, BRIGHTEST).map(without_dust)
CODED = st.builds(
    Coded,
    luminance=st.floats(0, 10_000),
    share=st.floats(0, 1.2),
    x=st.floats(0.1, 0.7) | st.none(),
    y=st.floats(0.01, 0.8) | st.none(),
    grey=st.booleans(),
)
COLOURS = st.tuples(st.floats(0, 1), st.floats(0.001, 1)).filter(lambda xy: is_chromaticity(*xy))
VALUES = st.builds(
    lambda light, xy: Value(
        quantity="colour", raw="?", luminance=light, x=xy and xy[0], y=xy and xy[1]
    ),
    LIGHTS | st.sampled_from([1e9, 1e-9, -0.1, 0.0]),
    COLOURS | st.none(),
)
# those of a visit of before are not bounded
EARLIER = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from([1e308, 1e-320, 0.0])


@given(VALUES, CODED | st.none(), CODED, EARLIER, EARLIER, st.booleans(), st.booleans())
def test_no_light_breaks_the_doubts(
    value: Value,
    coded: Coded | None,
    other: Coded,
    read: float,
    should: float,
    alike: bool,
    absolute: bool,
) -> None:
    past = Past(1, "white", Value(quantity="luminance", raw="?", luminance=read), other, "field")
    before = Value(quantity="luminance", raw="?", luminance=read)
    expected = Expected(abs(should), None, None, alike, "about")
    for earlier in (None, before):
        said = doubts(
            value,
            coded=coded,
            like="field" if alike else "window",
            expected=expected,
            past=[past],
            before=earlier,
            absolute=absolute,
        )
        assert not re.search(r"\b(nan|inf)\b", " ".join(said))
    apart = difference(value.luminance or 0.0, read)
    assert apart is None or not re.search(r"\b(nan|inf)\b", apart.figure)


def test_the_bounds_themselves_are_taken_and_what_is_beyond_is_not() -> None:
    assert [no_light(each) for each in (1e9, 0.0, -0.1)] == ["", "", ""]
    assert no_light(1.0000001e9) == "it is brighter than the sun's disc"
    assert all(map(no_light, (inf, -inf, float("nan"), -0.1000001)))
    assert [without_dust(each) for each in (1e-9, 9.9e-10, -9.9e-10, -1e-9)] == [1e-9, 0, 0, -1e-9]
    assert [
        is_chromaticity(*xy) for xy in ((0, 0.001), (0.3, 0.7), (0.3, 0.71), (0.3, 0.0009))
    ] == [
        True,
        True,
        False,
        False,
    ]


def test_x_and_y_may_lie_outside_by_what_the_meter_errs_and_y_may_not_come_to_nothing() -> None:
    # reds of a P3 and of a BT.2020 display (x + y is 1 in both), read with an error of + .006
    reds = ((0.686, 0.326), (0.714, 0.298))
    assert [is_chromaticity(*xy) for xy in reds] == [False, False]
    assert [is_chromaticity(*xy, 0.006) for xy in reds] == [True, True]
    assert [is_chromaticity(*xy, 0.005) for xy in reds] == [False, False]
    assert [round(outside(*xy), 9) for xy in reds] == [0.006, 0.006]
    assert is_chromaticity(-0.006, 0.4, 0.006)
    assert not is_chromaticity(-0.0061, 0.4, 0.006)
    assert not is_chromaticity(0.3, 0.0009, 0.1)
    assert [room_of(None), room_of(0.004)] == [0.01, 0.004]
