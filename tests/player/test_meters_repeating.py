"""A mean of several readings, taken until it is steady, and what is kept of it."""

from collections.abc import Iterator
from itertools import chain, cycle, repeat
from pathlib import Path

import pytest

import sequences
from player.meters.base import MeterError, MeterReading, close, give_up, innermost, progress
from player.meters.dark import DarkCorrectedMeter, dark_of
from player.meters.repeating import RepeatingMeter, Repeats
from player.run.live import LiveRun
from player.run.unattended import run_unattended
from readings.evidence.measured import evidence
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.recording import RecordingOutput


class Given:
    """A meter that gives what it is told to, numbers as luminances."""

    name = "reference"
    role = "reference"

    def __init__(self, *answers: object, resolution: float | None = None) -> None:
        self.specification = Specification(luminance_resolution=resolution)
        self.answers: Iterator[object] = iter(answers)
        self.count = 0
        self.closed = False

    def measure(self) -> MeterReading:
        self.count += 1
        answer = next(self.answers)
        if isinstance(answer, Exception):
            raise answer
        if isinstance(answer, MeterReading):
            return answer
        assert isinstance(answer, float | int)
        return MeterReading(f"Y {answer}", float(answer), None, None)

    def close(self) -> None:
        self.closed = True


def endless(*answers: object, resolution: float | None = None) -> Given:
    meter = Given(resolution=resolution)
    meter.answers = cycle(answers)
    return meter


def coloured(luminance: float, x: float, y: float) -> MeterReading:
    return MeterReading(f"Yxy {luminance} {x} {y}", luminance, x, y)


def test_the_mean_of_so_many_readings_keeps_every_one_of_them():
    meter = Given(1, 2, 3, 6)
    reading = RepeatingMeter(meter, Repeats(least=4, most=4)).measure()
    assert reading.raw == "Y 1\nY 2\nY 3\nY 6"
    assert reading.luminance == 3
    assert reading.derivation is not None
    assert (reading.derivation.count, reading.derivation.steady) == (4, True)
    assert reading.derivation.deviation == pytest.approx(2.160246899)


def test_readings_of_several_lines_stay_apart():
    lines = [MeterReading("ready\nY 1", 1.0, None, None), MeterReading("Y 1", 1.0, None, None)]
    assert RepeatingMeter(Given(*lines), Repeats(least=2, most=2)).measure().raw == (
        "ready\nY 1\n\nY 1"
    )


def test_one_reading_is_what_it_was():
    reading = RepeatingMeter(Given(5), Repeats(least=1, most=1)).measure()
    assert (reading.raw, reading.derivation) == ("Y 5", None)


def test_a_mean_ends_once_its_standard_error_is_below_a_share_of_it():
    # s = 0.1 * sqrt(n / (n - 1)); s / sqrt(n) = 0.1 / sqrt(n - 1), at most 0.05 from n = 6 on
    # (even n, when the mean is 10): n = 5 has mean 9.98, s = 0.10954, error 0.04899
    meter = endless(9.9, 10.1)
    reading = RepeatingMeter(meter, Repeats(least=3, most=50, share=0.005)).measure()
    assert meter.count == 5
    assert reading.derivation is not None
    assert reading.derivation.steady


def test_a_mean_ends_at_the_most_readings_and_says_that_it_is_not_steady():
    meter = endless(1, 3)
    reading = RepeatingMeter(meter, Repeats(least=3, most=8, share=0.001)).measure()
    assert meter.count == 8
    assert "not steady" in str(reading.derivation)


def test_at_least_three_readings_are_taken_however_much_they_agree():
    meter = endless(5)
    RepeatingMeter(meter, Repeats(least=3, most=20)).measure()
    assert meter.count == 3


def test_the_floor_ends_what_a_share_of_almost_nothing_never_would():
    answers = (0.0001, 0.0003)
    meter = endless(*answers)
    RepeatingMeter(meter, Repeats(least=3, most=100, floor=0.0001)).measure()
    assert meter.count == 3
    meter = endless(*answers, resolution=0.0001)
    RepeatingMeter(meter, Repeats(least=3, most=100)).measure()
    assert meter.count == 3, "the last digit of the meter is the floor where none is given"
    meter = endless(*answers)
    RepeatingMeter(meter, Repeats(least=3, most=100)).measure()
    assert meter.count == 100


def test_only_dark_readings_are_repeated_where_that_is_asked():
    repeats = Repeats(least=3, most=3, below=1)
    assert RepeatingMeter(endless(1.0), repeats).measure().raw == "Y 1.0"
    assert RepeatingMeter(endless(0.99), repeats).measure().raw.count("Y") == 3


def test_colours_are_averaged_as_x_y_z():
    # X Y Z of the two: 1 1 1 and 1 2 5; their mean 1 1.5 3
    readings = [coloured(1, 1 / 3, 1 / 3), coloured(2, 1 / 8, 2 / 8)]
    reading = RepeatingMeter(Given(*readings), Repeats(least=2, most=2)).measure()
    assert reading.luminance == 1.5
    assert reading.x == pytest.approx(1 / 5.5)
    assert reading.y == pytest.approx(1.5 / 5.5)


def test_one_reading_without_a_colour_leaves_the_mean_without():
    readings = [coloured(1, 0.3, 0.3), MeterReading("Y 1", 1, None, None)]
    reading = RepeatingMeter(Given(*readings), Repeats(least=2, most=2)).measure()
    assert (reading.luminance, reading.x, reading.y) == (1, None, None)


def test_a_failure_or_two_among_many_throw_no_reading_away():
    failed = MeterError("The meter is busy.")
    meter = Given(1, failed, 1, failed, 1)
    assert RepeatingMeter(meter, Repeats(least=3, most=3)).measure().raw == "Y 1\nY 1\nY 1"
    meter = Given(1, failed, failed, failed)
    with pytest.raises(MeterError, match=r"^The meter is busy, after 1 of at least 3 readings\.$"):
        RepeatingMeter(meter, Repeats(least=3, most=3)).measure()
    with pytest.raises(MeterError, match=r"^The meter is busy\.$"):
        RepeatingMeter(Given(failed), Repeats(least=3, most=3)).measure()


def test_a_mean_is_given_up_between_two_readings():
    class Impatient(Given):
        def measure(self) -> MeterReading:
            if self.count == 2:
                give_up(repeating)
            return super().measure()

    meter = Impatient(*repeat(1, 9))
    repeating = RepeatingMeter(meter, Repeats(least=9, most=9))
    with pytest.raises(MeterError, match="given up"):
        repeating.measure()
    assert meter.count == 3
    meter.answers = chain(repeat(2.0, 9))
    assert repeating.measure().luminance == 2


def test_the_operator_is_told_which_reading_is_taken():
    said: list[str] = []

    class Watched(Given):
        def measure(self) -> MeterReading:
            said.append(progress(corrected))
            return super().measure()

    repeating = RepeatingMeter(Watched(5, 5, 5), Repeats(least=3, most=20))
    corrected = DarkCorrectedMeter(repeating, MeterReading("Y 0", 0.0, None, None))
    corrected.measure()
    assert said == ["", "reading 2 of 3 to 20", "reading 3 of 3 to 20"]
    assert progress(corrected) == ""


@pytest.mark.parametrize(("least", "most"), [(0, 0), (5, 4), (1, 10), (2, 3), (3, 1001)])
def test_numbers_of_readings_that_make_no_sense_are_refused(least: int, most: int):
    with pytest.raises(MeterError, match="is repeated"):
        Repeats(least=least, most=most)


def test_the_dark_is_subtracted_and_both_values_are_there():
    dark = MeterReading("Y 0.0625", 0.0625, None, None)
    reading = DarkCorrectedMeter(Given(coloured(1.0625, 0.31, 0.33)), dark).measure()
    assert (reading.luminance, reading.x, reading.y) == (1, 0.31, 0.33)
    assert reading.raw == "Yxy 1.0625 0.31 0.33"
    assert reading.tristimulus is not None
    assert reading.tristimulus[1] == 1.0625
    assert str(reading.derivation) == (
        "measured 1.0625 cd/m2, dark 0.0625 cd/m2 subtracted, chromaticity as measured"
    )


def test_a_dark_with_a_colour_is_subtracted_from_x_y_z():
    dark = MeterReading("XYZ .01 .02 .03", 0.02, None, None, (0.01, 0.02, 0.03))
    light = MeterReading("XYZ .31 .32 .43", 0.32, None, None, (0.31, 0.32, 0.43))
    reading = DarkCorrectedMeter(Given(light), dark).measure()
    assert reading.luminance == pytest.approx(0.3)
    assert (reading.x, reading.y) == (pytest.approx(0.3), pytest.approx(0.3))
    assert reading.tristimulus == (0.31, 0.32, 0.43)
    assert str(reading.derivation) == "measured 0.32 cd/m2, dark 0.02 cd/m2 subtracted"


def test_what_is_no_brighter_than_the_dark_has_no_colour_and_may_be_below_zero():
    dark = MeterReading("Y 0.0625", 0.0625, None, None)
    reading = DarkCorrectedMeter(Given(coloured(0.03125, 0.3, 0.3)), dark).measure()
    assert (reading.luminance, reading.x, reading.y) == (-0.03125, None, None)


def test_a_dark_reading_that_sees_light_is_refused():
    with pytest.raises(MeterError, match="reads 120 cd/m2: a dark offset is read with its cap on"):
        dark_of(MeterReading("Y 120", 120.0, None, None))


def test_the_instrument_within_is_named_and_closed():
    meter = Given(0.0, 1)
    wrapped = DarkCorrectedMeter(
        RepeatingMeter(meter, Repeats(least=1, most=1)), MeterReading("Y 0.0", 0.0, None, None)
    )
    assert innermost(wrapped) is meter
    close(wrapped)
    assert meter.closed


SEQUENCE = """title: dark
signal: sdr8
steps:
  - {show: {field: {level: 0 %}}, read: luminance}
  - {show: {field: {level: 50 %}}, read: colour}
"""


def test_a_visit_keeps_the_raw_text_the_measured_and_the_corrected_value(tmp_path: Path):
    meter = Given(0.25, 0.5, coloured(1, 0.3, 0.3), coloured(2, 0.3, 0.3))
    dark = MeterReading("Y 0.0625", 0.0625, None, None)
    wrapped = DarkCorrectedMeter(RepeatingMeter(meter, Repeats(least=2, most=2)), dark)
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as visit:
        live = LiveRun(sequences.load_text(SEQUENCE, "dark.yaml"), visit, RecordingOutput())
        run_unattended(live, wrapped, wait=lambda _: None)
        black, grey = visit.readings()
        (instrument,) = visit.instruments()
        found = evidence(visit)
    assert (instrument.name, instrument.kind, instrument.role) == (
        "reference",
        "given",
        "reference",
    )
    assert (black.raw, black.luminance, black.x) == ("Y 0.25\nY 0.5", 0.3125, None)
    assert (grey.luminance, grey.x) == (1.4375, 0.3)
    assert grey.tristimulus is not None
    assert grey.tristimulus[1] == 1.5
    derivation = found[0].derivation
    assert derivation is not None, "a finding can tell how the value came about"
    assert (derivation.count, derivation.measured, derivation.dark) == (2, 0.375, 0.0625)
    assert derivation.deviation == pytest.approx(0.176776695, rel=1e-5)
    assert [kept.text for kept in live.keeping.kept] == [
        "0.3125, mean of 2, dark subtracted",
        "1.4375  0.3000 0.3000, mean of 2, dark subtracted",
    ]
