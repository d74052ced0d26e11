"""Peak luminance by window area, luminance loading, and what is warned about."""

import pytest

from readings.findings import findings_from
from readings.visit.records import Specification
from tests.readings.made_readings import made, said

SPOT = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.005, luminance_resolution=0.1
)


def window(luminance, area, number, **changes):
    """One reading of a window of this area, percent."""
    given = {
        "run": 3,
        "condition": "before",
        "label": f"Window of {area} %",
        "role": "window",
        "kind": "window",
        "parameters": {"area": f"{area} %"},
        "variables": {"area": f"{area} %"},
        "inks": {"level": (940, 940, 940), "background": (64, 64, 64)},
        "facts": {"area_percent": float(area)},
        "specification": SPOT,
        "raw": str(luminance),
        "luminance": luminance,
    }
    return made(number, **given | changes)


SERIES = [(700.0, 1), (1000.0, 10), (600.0, 50), (250.0, 100)]


def series(**changes):
    return [window(value, area, n, **changes) for n, (value, area) in enumerate(SERIES, 1)]


def only(readings):
    (finding,) = findings_from(readings, ["window-peak"])
    return finding


def test_the_peak_is_the_largest_of_the_areas():
    finding = only(series())
    peak = finding.values[0]
    assert (peak.name, peak.value, peak.unit) == ("peak-luminance", 1000.0, "cd/m2")
    assert peak.where["area_percent"] == 10.0
    # 2 x sqrt((0.02 x 1000)^2 + (0.1 / sqrt 12)^2)
    assert peak.uncertainty == pytest.approx(40.0, abs=0.001)
    assert peak.written() == "1000 ± 40 cd/m2"
    assert finding.readings == (1, 2, 3, 4)
    assert finding.warnings == ()


def test_every_area_has_its_luminance_in_the_order_of_the_areas():
    finding = only(reversed(series()))
    luminances = [(v.where["area_percent"], v.value) for v in finding.values]
    assert luminances[1:5] == [(1.0, 700.0), (10.0, 1000.0), (50.0, 600.0), (100.0, 250.0)]
    assert {v.name for v in finding.values[1:5]} == {"window-luminance"}


def test_the_true_area_is_given_where_the_pixels_make_it_differ_from_what_was_asked():
    finding = only([window(500.0, 10, 1, facts={"area_percent": 9.99664834})])
    assert finding.values[1].where == {
        "area_percent": 9.996648,
        "codes": [940, 940, 940],
        "step": "Window of 10 %",
    }


def test_loading_is_the_part_of_the_window_that_the_full_field_lacks():
    finding = only(series())
    loading = [v for v in finding.values if v.name == "luminance-loading"]
    assert [v.where["area_percent"] for v in loading] == [1.0, 10.0, 50.0]
    # (1000 - 250) / 1000; uncertainty 2 x 25 % x sqrt(2) x 0.02
    assert loading[1].value == pytest.approx(75.0)
    assert loading[1].unit == "%"
    assert loading[1].uncertainty == pytest.approx(1.4143, rel=0.001)
    assert "definition of our own" in finding.source


def test_with_repeats_the_gain_cancels_in_the_loading():
    # full 250 +- 1, window 1000 +- 2 (standard, type A); steps of 0.1 add next to nothing:
    # 2 x 25 % x sqrt((1 / 250)^2 + (2 / 1000)^2)
    repeats = [(249.0, 100), (251.0, 100), (998.0, 10), (1002.0, 10)]
    finding = only([window(value, area, n) for n, (value, area) in enumerate(repeats, 1)])
    loading = finding.value("luminance-loading")
    assert loading.uncertainty == pytest.approx(0.2236, rel=0.001)
    assert "cancels" in finding.method


def test_without_a_full_field_there_is_no_loading():
    finding = only(series()[:3])
    assert finding.value("luminance-loading") is None
    assert "No full field" in said(finding)


def test_a_full_field_of_another_level_is_not_compared():
    dim = {"inks": {"level": (502, 502, 502)}, "kind": "field", "facts": {}}
    finding = only([*series()[:3], window(90.0, 100, 4, **dim)])
    assert finding.value("luminance-loading") is None
    assert "2 levels" in said(finding)


def test_a_full_screen_field_counts_as_all_of_the_area():
    field = window(250.0, 100, 4, kind="field", facts={}, parameters={}, label="Full white")
    finding = only([*series()[:3], field])
    assert finding.values[4].where["area_percent"] == 100.0


def test_an_area_that_was_not_kept_is_taken_as_asked_and_said_so():
    finding = only([window(500.0, 10, 1, facts={})])
    assert finding.values[1].where["area_percent"] == 10.0
    assert "the area asked for is given" in said(finding)


def test_a_window_of_unknown_area_does_not_count():
    finding = only([window(500.0, 10, 1, facts={}, parameters={})])
    assert (finding.values[0].written(), finding.readings) == ("undefined", ())
    assert "its area is not known" in said(finding)


def test_black_beside_the_windows_is_at_most_the_floor_when_it_reads_below():
    black = window(0.002, 0, 9, role="black", kind="field", label="Full black")
    value = only([*series(), black]).value("black-luminance")
    assert (value.value, value.bound) == (pytest.approx(0.005), "upper")
    assert value.written() == "at most 0.005 cd/m2"


def test_a_black_that_the_meter_sees_is_given_as_read():
    black = window(0.4, 0, 9, role="black", kind="field", label="Full black")
    value = only([*series(), black]).value("black-luminance")
    assert (value.value, value.bound) == (pytest.approx(0.4), None)


def test_brighter_than_the_signal_asks_for_is_noticed():
    # PQ, 10 bits, narrow: code 502 is the half of the signal, 92.2457 cd/m2 (ST 2084, computed)
    half = {"inks": {"level": (502, 502, 502), "background": (64, 64, 64)}}
    assert "Brighter" not in said(only([window(95.0, 10, 1, **half)]))
    assert "Window of 10 % 110.0 against 92.2 cd/m2" in said(only([window(110.0, 10, 1, **half)]))


def test_a_relative_signal_asks_for_no_luminance():
    dim = {"inks": {"level": (502, 502, 502)}, "signal": {"transfer": "bt1886", "bits": 10}}
    assert "Brighter" not in said(only([window(1000.0, 10, 1, **dim)]))


def test_an_altered_picture_is_warned_about():
    finding = only(series(guard="altered", guard_why="night light"))
    assert "Reading 1 (Window of 1 %) was taken while the picture was altered" in said(finding)


def test_windows_that_read_zero_have_no_loading():
    finding = only([window(0.0, 10, 1), window(250.0, 100, 2)])
    assert finding.value("luminance-loading").value is None
    assert "undefined" in said(finding)


def test_a_missing_specification_leaves_the_uncertainty_unknown():
    finding = only(series(specification=Specification()))
    assert {v.uncertainty for v in finding.values} == {None}
    assert "uncertainty is not known" in said(finding)


def test_each_run_has_a_finding_of_its_own():
    after = series(run=4, condition="after")
    found = findings_from([*after, *series()], ["window-peak"])
    assert [(f.run, f.condition) for f in found] == [(3, "before"), (4, "after")]


def test_no_windows_give_no_finding():
    assert findings_from([], ["window-peak"]) == []
    assert findings_from([window(1.0, 10, 1, role="black")], ["window-peak"]) == []
