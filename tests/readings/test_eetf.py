"""The reference tone mapping of BT.2390: the worked numbers, and what the curve keeps to."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from readings.colorimetry.eetf import bent, eetf, pq_signal

TABLE = Path(__file__).parents[1] / "data" / "bt2390_eetf.csv"
peaks = st.floats(50, 9000)
blacks = st.floats(0, 0.5)


def rows():
    lines = TABLE.read_text("utf-8").splitlines()
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [{name: float(cell) for name, cell in row.items()} for row in table]


@pytest.mark.parametrize("row", rows(), ids=str)
def test_the_curve_and_its_steps_are_those_of_the_table(row):
    span = pq_signal(row["master_peak"])
    signal, top = (pq_signal(row[name]) / span for name in ("cd_m2", "display_peak"))
    assert signal == pytest.approx(row["e1"], abs=5.1e-10)
    assert bent(signal, top) == pytest.approx(row["e2"], abs=5.1e-10)
    out = eetf(row["cd_m2"], row["display_peak"], master_peak=row["master_peak"])
    assert out == pytest.approx(row["out_cd_m2"], rel=1e-8)


def test_the_knee_of_the_table_is_where_the_curve_bends():
    # 10,000 to 1,000 cd/m2: KS = 0.627740644
    knee = 0.627740644
    top = pq_signal(1000.0)
    assert bent(knee - 1e-6, top) == knee - 1e-6
    assert bent(knee + 1e-3, top) < knee + 1e-3


def test_the_lift_of_a_black_is_left_at_the_top():
    # a master of 0.005 to 4,000 cd/m2 on a display of 0.05 to 600
    assert eetf(4000.0, 600.0, 0.05, 4000.0, 0.005) == pytest.approx(600.502, abs=5e-4)


@given(peaks)
def test_the_slope_at_the_knee_is_1_and_the_end_is_the_displays_peak(peak):
    top = float(pq_signal(peak))
    knee = 1.5 * top - 0.5
    above, below = bent([knee + 1e-6, knee - 1e-6], top)
    assert (above - below) / 2e-6 == pytest.approx(1, abs=1e-4)
    assert bent(1.0, top) == pytest.approx(top, abs=1e-12)


@given(peaks, blacks)
def test_master_and_display_alike_leave_all_as_it_is(peak, black):
    light = np.geomspace(black + 0.001, peak, 40)
    assert eetf(light, peak, black, peak, black) == pytest.approx(light, rel=1e-9)


@given(peaks, blacks, st.floats(100, 10_000))
def test_more_light_never_maps_to_less(peak, black, master):
    out = eetf(np.geomspace(1e-3, 10_000, 400), peak, black, master)
    assert (np.diff(out) >= -1e-9 * out[1:]).all()


@given(peaks, st.floats(100, 10_000))
def test_a_display_without_black_gives_no_more_than_it_has_and_no_more_than_is_asked(peak, master):
    light = np.geomspace(1e-3, master, 200)
    out = eetf(light, peak, master_peak=master)
    assert (out <= min(peak, master) * (1 + 1e-9)).all()
    assert (out <= light * (1 + 1e-9)).all()


def test_the_display_without_light_has_no_curve():
    assert np.isnan(eetf(100.0, [0.0, 1.0], [0.0, 2.0])).all()


def test_pq_agrees_with_colour_science_on_1000_random_luminances():
    from colour.models import eotf_inverse_ST2084

    light = np.random.default_rng(2031).uniform(0, 1, 1000) ** 4 * 10_000
    assert pq_signal(light) == pytest.approx(eotf_inverse_ST2084(light), rel=1e-12)
