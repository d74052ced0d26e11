"""Colours against what their codes stand for: charts, sweeps, primaries."""

from dataclasses import replace

import numpy as np
import pytest

from readings.colorimetry.chromaticity import xyz_of
from readings.colorimetry.difference import delta_e_2000, delta_e_itp
from readings.findings import findings_from
from readings.report.summary import limits, verdict_of
from readings.visit.records import Specification
from tests.readings.colour_readings import (
    BLACK,
    SDR,
    WHITE,
    black,
    chart,
    perfect,
    primaries,
    read,
    white,
)
from tests.readings.made_readings import HLG, METER, PQ, said
from tests.readings.tables import rows_of


def colour(readings):
    (found,) = findings_from(readings, ["colour"])
    return found


def of_chart(display=None, signal=SDR, **changes):
    return [
        white(1, signal, display),
        black(2, signal, display),
        *chart(signal, display, **changes),
    ]


def numbers(found, name):
    return [number.value for number in found.series[0].column(name)]


def reddish(codes):
    return perfect(SDR)(codes) * np.array([1.05, 1.0, 1.0])


def test_a_display_that_shows_what_its_codes_stand_for_has_no_difference_and_says_what_is_sure():
    found = colour(of_chart())
    assert found.title == "Reference chart, 24 patches"
    assert found.values[0].name == "delta-e-2000-average"
    assert found.values[0].value == pytest.approx(0, abs=1e-6)
    assert found.value("delta-e-itp-largest").value == pytest.approx(0, abs=1e-5)
    low, high = found.values[0].interval
    assert low == 0
    assert 0.5 < high < 3
    assert "would find about 1." in said(found)
    assert found.series[0].name == "chart"
    assert [row.where["patch"] for row in found.series[0].rows] == list(range(1, 25))


def test_targets_are_those_of_the_published_chart_data():
    found = colour(of_chart())
    names = {  # the table's names by their numbers on the chart
        "dark skin": 1, "light skin": 2, "foliage": 4, "blue flower": 5, "orange": 7,
        "purplish blue": 8, "purple": 10, "orange yellow": 12, "blue": 13, "red": 15,
        "yellow": 16, "white 9.5": 19, "neutral 8": 20, "neutral 5": 22, "neutral 3.5": 23,
    }  # fmt: skip
    rows = [row for row in rows_of("chart24_d65") if row["patch"] != "cyan"]  # outside BT.709
    plain = [
        replace(reading, luminance=0.0) if reading.role == "black" else reading
        for reading in of_chart()
    ]
    found = colour(plain)
    # through the code of BT.1886 with a white of 200 cd/m2 and a black of 0, at 16 bits
    for row in rows:
        place = names[row["patch"]] - 1
        assert numbers(found, "target-x")[place] == pytest.approx(float(row["x"]), abs=3e-5)
        assert numbers(found, "target-y")[place] == pytest.approx(float(row["y"]), abs=3e-5)
        light = WHITE * float(row["Y"])
        assert numbers(found, "target-luminance")[place] == pytest.approx(light, abs=0.01)
    assert len(rows) == len(names) == 15


def test_differences_are_those_of_each_patch_and_the_largest_says_which():
    found = colour(of_chart(reddish))
    patches = chart(SDR, reddish)
    xyz = xyz_of([p.luminance for p in patches], [(p.x, p.y) for p in patches])
    codes = np.array([patch.inks["level"] for patch in patches])
    target, by = perfect(SDR)(codes), xyz_of(WHITE, (0.3127, 0.3290))
    wanted = delta_e_2000(xyz, target, by)
    assert numbers(found, "delta-e-2000") == pytest.approx(wanted, abs=1e-4)
    assert numbers(found, "delta-e-itp") == pytest.approx(delta_e_itp(xyz, target), abs=1e-4)
    assert found.value("delta-e-2000-average").value == pytest.approx(wanted.mean(), abs=1e-4)
    largest = found.value("delta-e-2000-largest")
    assert largest.value == pytest.approx(wanted.max(), abs=1e-4)
    assert largest.where["patch"] == wanted.argmax() + 1
    assert f"patch {wanted.argmax() + 1}" in largest.label


def test_a_display_too_light_and_too_colourful_is_told_so_by_the_signs():
    def bold(codes):
        xyz = perfect(SDR)(codes)
        return 1.1 * xyz if codes.max() < 60000 else xyz

    found = colour(of_chart(bold, patches=range(1, 19)))
    assert found.value("lightness-difference-average").value == pytest.approx(2.2, abs=0.5)
    assert found.value("chroma-difference-average").value > 0.5
    assert found.value("hue-difference-average").value == pytest.approx(0, abs=0.1)


def test_how_many_are_above_3_is_a_set_where_the_meter_leaves_it_open():
    close = colour(of_chart(reddish)).value("delta-e-2000-above-3")
    assert close.value is None
    assert len(close.among) > 1

    def wrong(codes):
        return perfect(SDR)(codes)[..., [1, 1, 2]] * np.array([1.4, 1.0, 0.3])

    far = colour([white(1), black(2), *chart(SDR, wrong, patches=[22, 23])])
    assert far.value("delta-e-2000-above-3").value == 2
    assert far.value("delta-e-2000-above-3").among == (2,)


def test_a_clipped_patch_is_judged_by_its_codes_and_named():
    found = colour(of_chart())
    assert "(patch 18)" in said(found)
    row = found.series[0].rows[17]
    assert row.where["clipped"] is True
    assert found.series[0].column("delta-e-2000")[17].value == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("signal", [PQ, HLG])
def test_pq_and_hlg_have_delta_e_itp_only_and_the_method_says_why(signal):
    found = colour(of_chart(signal=signal))
    assert found.value("delta-e-2000-average") is None
    assert found.values[0].name == "delta-e-itp-average"
    assert found.values[0].value == pytest.approx(0, abs=1e-3)
    assert set(numbers(found, "delta-e-2000")) == {None}
    assert "CIEDE2000 is made for surface colours" in found.method


def test_patches_that_ask_pq_for_more_than_the_display_has_count_in_no_average():
    def dim(codes):
        xyz = perfect(PQ)(codes)
        return xyz * min(1.0, 500 / max(xyz[..., 1].max(), 1e-9))

    asked = [*primaries(PQ, dim, level="100 %"), *primaries(PQ, dim, level="50 %", start=20)]
    found = colour([white(1, PQ, dim), *asked])
    assert found.value("delta-e-itp-average").value == pytest.approx(0, abs=1e-3)
    assert "6 of 12 patches ask for more light than the display's white has (500" in said(found)
    assert len(found.series[0].rows) == 12
    assert max(numbers(found, "delta-e-itp")) > 50


def test_without_a_white_differences_are_undefined_and_readings_stand():
    found = colour(chart())
    assert [value.value for value in found.values] == [None] * len(found.values)
    assert "No white was read" in said(found)
    assert numbers(found, "luminance")[0] == pytest.approx(chart()[0].luminance)
    assert set(numbers(found, "target-luminance")) == {None}


def test_a_white_of_another_run_stands_in_and_is_said():
    readings = [white(1), black(2), *chart(run=2)]
    found = colour(readings)
    assert found.run == 2
    assert found.values[0].value == pytest.approx(0, abs=1e-6)
    assert "Taken from another run: white in a window" in said(found)


def test_without_a_black_it_is_taken_as_0_and_said():
    found = colour([white(1), *chart()])
    assert "No black was read" in said(found)
    # BT.1886 lifts all dark tones with its black: 1 / 4,000 of white is plain to see
    assert found.values[0].value == pytest.approx(1.34, abs=0.02)


def test_a_chart_broken_off_says_how_much_was_read():
    found = colour(of_chart(patches=range(1, 6)))
    assert "5 of 24 patches were read" in said(found)


def test_columns_that_were_swapped_are_named_and_do_not_count():
    readings = of_chart()
    wrong = replace(readings[4], luminance=0.31, x=0.33, y=readings[4].luminance)
    found = colour([*readings[:4], wrong, *readings[5:]])
    assert f"Reading {wrong.reading} (Step 5)" in said(found)
    assert "were its columns swapped?" in said(found)
    assert wrong.reading not in found.readings


def test_readings_without_a_colour_leave_a_finding_that_says_so():
    plain = [replace(reading, x=None, y=None) for reading in of_chart()]
    found = colour(plain)
    assert found.values[0].value is None
    assert "No patch was read with its colour" in said(found)
    assert "24 readings are without a colour" in said(found)


def test_a_meter_that_promises_nothing_has_no_uncertainty_and_a_plain_count():
    unknown = [replace(reading, specification=Specification()) for reading in of_chart(reddish)]
    found = colour(unknown)
    assert found.values[0].uncertainty is None
    assert found.value("delta-e-2000-above-3").value == sum(
        number > 3 for number in numbers(found, "delta-e-2000")
    )
    assert "not known" in said(found)


def test_white_that_reads_below_black_gives_no_targets_and_asks():
    readings = of_chart()
    readings[0], readings[1] = (
        replace(readings[0], luminance=BLACK),
        replace(readings[1], luminance=WHITE),
    )
    found = colour(readings)
    assert found.values[0].value is None
    assert "White reads no brighter than black" in said(found)


def test_a_white_that_is_hardly_brighter_than_black_is_doubted():
    readings = of_chart()
    assert "showing the patterns" not in said(colour(readings))
    readings[1] = replace(readings[1], luminance=WHITE / 1.05)
    assert "White is hardly brighter than black: is the display showing" in said(colour(readings))


def test_primaries_saturations_and_skin_are_findings_of_their_own():
    readings = [
        white(1),
        black(2),
        *primaries(level="75 %"),
        read(20, "saturation", {"saturation": {"colour": "red", "saturation": "60 %"}}),
        read(21, "skin", {"skin": {"tone": 4}}),
        read(22, "ebu-colour", {"ebu-colour": {"colour": 3}}),
    ]
    found = {each.title: each for each in findings_from(readings, ["colour"])}
    assert list(found) == [
        "Skin tones",
        "EBU Tech 3325 colours",
        "Saturation sweeps",
        "Primaries and secondaries",
    ]
    series = [each.series[0] for each in found.values()]
    assert [each.name for each in series] == ["chart", "chart", "saturation", "primaries"]
    assert series[0].rows[0].where["patch"] == 4
    assert series[2].rows[0].where["saturation"] == 60.0
    assert series[3].rows[0].where == {
        "codes": list(series[3].rows[0].where["codes"]),
        "colour": "red",
        "level": 75,
    }


def test_repeats_of_a_patch_are_one_row():
    readings = of_chart(patches=[3])
    again = replace(readings[2], reading=9, luminance=readings[2].luminance * 1.01)
    (row,) = colour([*readings, again]).series[0].rows
    assert row.readings == (3, 9)
    assert row.numbers[0].value == pytest.approx(readings[2].luminance * 1.005)


def test_of_greys_alone_there_is_no_hue():
    greys = [replace(white(n, PQ), role="chart-24") for n in (1, 2)]
    found = {value.name for finding in findings_from(greys, ["colour"]) for value in finding.values}
    assert "chroma-difference-average" in found
    assert "hue-difference-average" not in found


def test_one_patch_that_is_surely_off_decides_though_another_reads_farther_off():
    loud = replace(METER, chromaticity_uncertainty=0.1, chromaticity_repeatability=0.1)
    given = of_chart()
    maybe, surely = given[10], given[12]
    given[10] = replace(maybe, x=maybe.x + 0.09, y=maybe.y - 0.05, specification=loud)
    given[12] = replace(surely, x=surely.x + 0.04, y=surely.y - 0.005)
    value = colour(given).value("delta-e-2000-largest")
    (limit,) = (each for _, each in limits() if each.applies(value, "bt1886"))
    assert value.at == "patch 9"
    assert verdict_of(replace(value, parts=()), limit) == "unsure"
    assert verdict_of(value, limit) == "bad"
    assert len(value.parts) == value.count == 24
