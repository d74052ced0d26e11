"""The simulated meter reads the simulated display as meters do: with errors of its own."""

from fractions import Fraction
from statistics import mean, stdev

import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.place import Place
from patterns.signal.signal import named_signal
from player.meters import METERS, Meter, MeterError, MeterReading, open_meter
from player.meters.simulated import (
    REFERENCE,
    SPOT_METER,
    TRAITS,
    MeterTraits,
    SimulatedMeter,
)
from player.meters.text import parse_reading
from player.outputs.simulated import SimulatedOutput
from player.simulated import DisplayParameters, SimulatedDisplay

CANVAS = Canvas(640, 360)
PQ = named_signal("pq10")
PERFECT = MeterTraits(name="perfect", repeatability=0, floor=0.00001, resolution=1e-6, digits=7)


def display(leakage: float = 0.0, settle: float = 0.0) -> SimulatedDisplay:
    return SimulatedDisplay(
        DisplayParameters.model_validate(
            {
                "name": "plain",
                "peak": 1000,
                "responses": {"pq": {"white": 1000}},
                "light": {"kind": "emissive", "leakage": leakage},
                "time": {"settle": settle},
            }
        )
    )


def pattern(kind: str, **values: object):
    return KINDS[kind].model_validate(values)


def showing(kind: str, leakage: float = 0.0, **values: object) -> SimulatedDisplay:
    screen = display(leakage)
    screen.show(pattern(kind, **values).frame(CANVAS, PQ))
    return screen


def at(x: int, y: int) -> Place:
    return Place("spot", None, Fraction(x), Fraction(y), CANVAS)


def test_without_errors_it_reads_the_light():
    reading = SimulatedMeter(showing("field"), PERFECT).measure()
    assert reading == MeterReading("Yxy 1000.000 0.3127 0.3290", 1000.0, 0.3127, 0.329)


def test_what_it_prints_is_what_it_read():
    reading = SimulatedMeter(showing("field"), SPOT_METER, seed=5).measure()
    assert parse_reading(reading.raw)[0] == reading


def test_the_same_seed_gives_the_same_readings():
    def readings(seed: int) -> list[MeterReading]:
        meter = SimulatedMeter(showing("field"), SPOT_METER, seed)
        return [meter.measure() for _ in range(5)]

    assert readings(1) == readings(1)
    assert readings(1) != readings(2)


def test_readings_scatter_by_the_repeatability():
    traits = MeterTraits(name="rough", repeatability=0.01, digits=6)
    meter = SimulatedMeter(showing("field"), traits, seed=3)
    seen = [meter.measure().luminance or 0 for _ in range(400)]
    assert stdev(seen) == pytest.approx(10, rel=0.15)
    assert mean(seen) == pytest.approx(1000, abs=2)


def test_in_the_dark_the_noise_is_what_is_left():
    traits = MeterTraits(name="noisy", noise=0.01, resolution=0.0001)
    meter = SimulatedMeter(showing("field", level="0 %"), traits)
    seen = [meter.measure() for _ in range(200)]
    assert min(each.luminance or 0 for each in seen) == 0
    assert 0 < max(each.luminance or 0 for each in seen) < 0.05


def test_below_its_floor_it_gives_no_colour():
    meter = SimulatedMeter(showing("field", leakage=0.004, level="0 %"), REFERENCE)
    reading = meter.measure()
    assert reading.luminance is not None
    assert reading.luminance < REFERENCE.floor
    assert (reading.x, reading.y) == (None, None)
    assert reading.raw == f"Y {reading.luminance:.3f}"


@pytest.mark.parametrize(
    ("light", "raw"), [(0.01237, "Y 0.0124"), (1.23456, "1.235"), (9.87654, "9.877")]
)
def test_it_shows_so_many_digits_and_none_below_its_resolution(light: float, raw: str):
    traits = MeterTraits(name="four", repeatability=0, floor=0.02, resolution=0.0001, digits=4)
    meter = SimulatedMeter(showing("field", leakage=light, level="0 %"), traits)
    assert raw in meter.measure().raw


def test_six_thousand_in_three_digits_ends_in_zeros():
    traits = MeterTraits(name="three", repeatability=0, digits=2)
    assert SimulatedMeter(showing("field"), traits).measure().raw.startswith("Yxy 1000 ")


def test_its_matrix_is_an_error_of_colour():
    red_shift = ((1.1, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    traits = MeterTraits(name="shifted", repeatability=0, matrix=red_shift)
    reading = SimulatedMeter(showing("field"), traits).measure()
    assert reading.luminance == 1000
    assert (reading.x or 0) > 0.325


def test_a_bright_surround_strays_into_a_dark_spot():
    glaring = MeterTraits(name="glaring", repeatability=0, glare=0.001, resolution=0.0001)
    ring = {"level": "0 %", "background": "100 %", "area": "25 %"}
    reading = SimulatedMeter(showing("window", **ring), glaring).measure()
    assert reading.luminance == pytest.approx(0.75, rel=0.01)


def test_it_reads_where_it_is_aimed():
    half = {"size": {"width": "50 %", "height": "100 %"}, "at": {"x": "25 %", "y": "50 %"}}
    meter = SimulatedMeter(showing("window", **half), PERFECT)
    meter.aim(at(480, 180))
    assert meter.measure().luminance == 0
    meter.aim(at(160, 180))
    assert meter.measure().luminance == 1000


@pytest.mark.parametrize(("x", "y"), [(646, 180), (320, -4)])
def test_it_is_not_aimed_off_the_screen(x: int, y: int):
    with pytest.raises(MeterError, match="does not lie on the screen"):
        SimulatedMeter(display()).aim(at(x, y))


def test_a_reading_takes_its_time():
    screen = display(settle=1.0)
    screen.show(pattern("field").frame(CANVAS, PQ))
    meter = SimulatedMeter(screen, PERFECT)
    first, second = meter.measure().luminance or 0, meter.measure().luminance or 0
    assert first == 0
    assert second == pytest.approx(632.12, abs=0.01)


@pytest.mark.parametrize("name", TRAITS)
def test_what_its_maker_promises_fits_a_visit(name: str):
    meter: Meter = SimulatedMeter(display(), TRAITS[name])
    assert meter.specification.luminance_floor == TRAITS[name].floor
    assert meter.specification.luminance_relative_uncertainty == TRAITS[name].uncertainty
    assert meter.name == getattr(meter, "role", "") == name


@pytest.mark.parametrize("name", TRAITS)
def test_it_keeps_its_makers_promise_in_good_light(name: str):
    meter = SimulatedMeter(showing("field"), TRAITS[name], seed=9)
    for _ in range(20):
        reading = meter.measure()
        assert reading.luminance == pytest.approx(1000, rel=TRAITS[name].uncertainty)
        for seen, true in ((reading.x, 0.3127), (reading.y, 0.329)):
            assert seen == pytest.approx(true, abs=TRAITS[name].xy_uncertainty)


def test_the_registry_opens_it_on_a_simulated_output():
    output = SimulatedOutput(CANVAS, 10, "narrow", display())
    assert open_meter("simulated", output).name == "spot meter"
    assert open_meter("simulated: reference", output, seed=4).name == "reference"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("simulated", "sees nothing but a simulated display"),
        ("simulated:ruler", "no simulated meter 'ruler'; there are spot meter, reference"),
        ("", "no meter ''; there are command, line, simulated"),
        ("ruler:1", "no meter 'ruler'; there are command, line, simulated"),
    ],
)
def test_a_meter_that_cannot_be_opened_is_told(text: str, said: str):
    with pytest.raises(MeterError, match=said):
        open_meter(text)


def test_every_meter_of_the_registry_is_tested_here_or_beside():
    assert sorted(METERS) == ["command", "line", "simulated"]
