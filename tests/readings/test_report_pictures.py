"""Pictures: drawn of what is there, by marks and lines and not by colour alone, the same again."""

import re
from dataclasses import replace
from importlib import import_module
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from readings.findings.base import Number, Value
from readings.report.page import page
from readings.report.pictures import MOST_PICTURES, PICTURES, Labelled, pictures_of
from readings.report.pictures.eotf_pq import of_pq
from readings.report.pictures.paper import LIMIT, LONGEST_LABEL, STYLES, plain, svg_of
from readings.report.sheets import sheets
from readings.report.visit_report import label_of, visit_report
from tests.readings.report_samples import contents, every_finding, finding, greyscale, series
from tests.readings.test_report_sheets import text_of


def drawn(findings):
    labelled = [Labelled(f"run {f.run}: {f.condition}", f) for f in findings]
    pictures, undrawn = pictures_of(labelled)
    assert undrawn == []
    return {picture.name: picture for picture in pictures}


@pytest.fixture(scope="module")
def pictures():
    return drawn(every_finding())


def test_every_picture_is_drawn_where_its_finding_is_there(pictures):
    assert list(pictures) == list(PICTURES)[:MOST_PICTURES]
    angle = drawn(f for f in every_finding() if f.name == "viewing-angle")
    assert list(angle) == ["viewing_angle"]


def test_a_picture_is_a_whole_element_that_fetches_runs_and_styles_nothing(pictures):
    for picture in pictures.values():
        root = ET.fromstring(picture.svg.replace("<svg ", '<svg xmlns:xlink="x" ', 1))  # noqa: S314
        assert root.tag == "svg"
        assert {e.tag for e in root.iter()} <= {
            "svg", "g", "path", "defs", "use", "text", "tspan", "clipPath", "rect", "pattern",
        }  # fmt: skip
        links = [value for e in root.iter() for name, value in e.items() if name.endswith("href")]
        assert all(link.startswith("#") for link in links)
        assert "://" not in picture.svg


def test_no_two_pictures_share_an_id(pictures):
    ids = [i for p in pictures.values() for i in re.findall(r' id="([^"]*)"', p.svg)]
    assert len(ids) == len(set(ids))
    used = {i for p in pictures.values() for i in re.findall(r'(?:url\(|href=")#([^")]*)', p.svg)}
    assert used <= set(ids)


def test_the_same_findings_give_the_same_pictures(pictures):
    again = drawn(every_finding())
    assert {name: p.svg for name, p in again.items()} == {n: p.svg for n, p in pictures.items()}


def test_each_picture_says_how_to_read_it_and_where_it_is_from(pictures):
    for picture in pictures.values():
        assert len(picture.says) > 30
        assert picture.used
        assert picture.topic in PICTURES[picture.name]


def test_runs_differ_in_mark_and_line_and_not_in_colour_alone():
    assert len({style["marker"] for style in STYLES}) == len(STYLES)
    assert len({str(style["linestyle"]) for style in STYLES}) == len(STYLES)
    two = drawn([*every_finding(), *every_finding(2, "local dimming off")])
    for name in ("eotf_log", "peak_by_area", "contrasts", "halo", "over_time"):
        assert "run 1: local dimming on" in two[name].svg
        assert "run 2: local dimming off" in two[name].svg
        assert {f.run for f in two[name].used} == {1, 2}


def test_runs_for_which_there_is_no_room_are_counted():
    many = drawn([greyscale(run) for run in range(1, 6)])
    assert many["eotf_log"].left_out == 2
    assert many["greyscale_balance"].left_out == 3


def test_greys_alone_are_no_diagram_of_colours():
    assert not {"chromaticity_uv", "chromaticity_xy"} & set(drawn([greyscale()]))


def test_channels_are_named_beside_their_lines(pictures):
    words = re.findall(r">([^<]+)</text>", pictures["greyscale_balance"].svg)
    assert {"R", "G", "B"} <= set(words)


def test_bars_above_the_limit_are_hatched(pictures):
    assert pictures["colour_errors"].svg.count("<pattern") == 1
    low = series("chart", ("delta-e-2000",), [("a", 1.0), ("b", 2.0)])
    assert "<pattern" not in drawn([finding("colour", low)])["colour_errors"].svg


def test_a_lower_bound_is_marked_as_one(pictures):
    words = re.findall(r">([^<]+)</text>", pictures["contrasts"].svg)
    assert "≥ 120\u202f000" in words
    assert "1140" in words


def test_what_the_operator_wrote_is_text_in_a_picture_and_no_markup():
    evil = greyscale(condition="<script>x</script> $\\frac{1}$ & \x07 漢")
    svg = drawn([evil])["eotf_log"].svg
    assert "<script" not in svg
    assert "&lt;script&gt;x&lt;/script&gt; $" in svg
    assert "\x07" not in svg


def test_a_series_without_the_columns_of_a_picture_draws_nothing():
    assert drawn([finding("greyscale", series("greyscale", ("signal",), [("a", 1.0)]))]) == {}
    assert drawn([finding(name) for name in {n for each in PICTURES.values() for n in each}]) == {}


@pytest.mark.parametrize(
    ("light", "signal"), [(0.0, 0.0), (100.0, 0.5080784), (1000.0, 0.7518271), (10000.0, 1.0)]
)
def test_the_pq_axis_is_that_of_bt_2100(light, signal):
    assert of_pq(light) == pytest.approx(signal, abs=2e-4)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (0.01, "0.01"), (1e5, "100\u202f000"), (-5.0, "−5"), (1e300, "1e+300")],
)
def test_ticks_are_written_as_people_do(value, text):
    assert plain(value) == text


def pick(chance):
    return ABSURD[chance.integers(len(ABSURD))]


ABSURD = (None, None, 0.0, -1.0, -1e6, 5e-324, 1e-9, 0.3, 3.0, 50.0, 100.0, 2e4, 1e9)


@pytest.mark.parametrize("seed", range(12))
def test_whatever_the_numbers_are_pictures_come_out_all_the_same(seed):
    chance = np.random.default_rng(seed)
    found = []
    for each in every_finding():
        made = tuple(
            replace(s, rows=tuple(
                replace(row, numbers=tuple(Number(pick(chance), 0.5) for _ in row.numbers))
                for row in s.rows[:5]
            ))
            for s in each.series
        )  # fmt: skip
        values = tuple(replace(v, value=pick(chance)) for v in each.values if not v.among)
        found.append(replace(each, series=made, values=values or each.values))
    for name, wanted in PICTURES.items():  # one by one, so that nothing is caught on the way
        mine = [Labelled("run 1", f) for f in found if f.name in wanted]
        drawing = import_module(f"readings.report.pictures.{name}").draw(mine)
        assert drawing is None or svg_of(drawing.figure, "x-").startswith("<svg")


def test_what_no_axis_holds_is_no_picture_and_a_sentence(tmp_path):
    far = [
        Value("window-luminance", f"{area} %", light, "cd/m2", None, None, {"area_percent": area})
        for area, light in ((1.0, 1e308), (10.0, -1e308))
    ]
    found = [Labelled("run 1", finding("window-peak", values=far)), Labelled("run 1", greyscale())]
    pictures, undrawn = pictures_of(found)
    assert "peak_by_area" not in {picture.name for picture in pictures}
    assert "eotf_log" in {picture.name for picture in pictures}
    (told_of,) = undrawn
    assert told_of.topic == "window-peak"
    assert told_of.says.startswith("The picture “peak by area” cannot be drawn of these numbers (")
    assert told_of.says.endswith("); the tables have them.")
    whole = visit_report(contents([each.finding for each in found]))
    html = page([whole], []).decode()
    assert html.count("The picture “peak by area” cannot be drawn") == 1
    assert "picture “peak by area” cannot" in text_of(sheets([whole], []), tmp_path)


def test_signals_of_different_transfers_have_pictures_of_the_eotf_of_their_own():
    sdr = replace(greyscale(1), title="Greyscale", played=("Greys", "bt1886"))
    tone = next(f for f in every_finding(2) if f.name == "tone")
    pq = replace(tone, title="PQ tracking", played=("Tone", "pq"))
    same = replace(greyscale(2), title="Greyscale, PQ", played=("Tone", "pq"))
    labelled = [Labelled(label_of(f), f) for f in (sdr, same, pq)]
    pictures, _ = pictures_of(labelled)
    curves = [
        (p.name, p.heading, [f.run for f in p.used]) for p in pictures if p.name.startswith("eotf")
    ]
    assert curves == [
        ("eotf_log", "PQ tracking", [2]),
        ("eotf_log", "Greyscale", [1]),
        ("eotf_pq", "PQ tracking", [2]),
    ]
    assert "BT.2390 curve" in next(p.svg for p in pictures if p.heading == "PQ tracking")


def test_a_run_is_named_by_its_sequence_and_its_condition_and_cut_where_that_does_not_fit():
    def label(sequence, condition):
        return label_of(replace(greyscale(4, condition), played=(sequence, "pq")))

    assert (
        label("Greyscale in 21 steps", "dimming on") == "run 4: Greyscale in 21 steps, dimming on"
    )
    assert label("Greyscale", "") == "run 4: Greyscale"
    assert label("", "dimming on") == "run 4: dimming on"
    assert label("", "") == "run 4"
    cut = label("Windows on a background of 2 %", "local dimming on, picture mode museum")
    assert cut == "run 4: Windows on a ba…, local dimming on, picture mode museum"
    assert len(label("s" * 80, "c" * 30)) == LONGEST_LABEL


def test_a_single_value_of_a_picture_with_curves_draws_none():
    lone = [Value("window-luminance", "10 %", 900.0, "cd/m2", None, None, {"area_percent": 10.0})]
    assert drawn([finding("window-peak", values=lone)]) == {}


def unsure_at(steps):
    """Eleven greys of which the first `steps` hardly tell red from blue."""
    grey = greyscale()
    (greys,) = grey.series
    place = [column.name for column in greys.columns].index("blue")
    rows = list(greys.rows)
    for n in range(1, steps + 1):
        numbers = list(rows[n].numbers)
        numbers[place] = Number(40.0, 70.0)
        rows[n] = replace(rows[n], numbers=tuple(numbers))
    return replace(grey, series=(replace(greys, rows=tuple(rows)),))


def test_a_step_whose_balance_is_hardly_known_is_not_drawn_and_is_named():
    whole, without = (drawn([each])["greyscale_balance"] for each in (greyscale(), unsure_at(1)))
    assert "Not drawn" not in whole.says
    assert without.says.endswith("known within ± 60 %: 10 %.")
    marks = [picture.svg.count("<use") for picture in (whole, without)]
    assert marks[0] - marks[1] == 3  # one of each channel
    assert drawn([unsure_at(5)])["greyscale_balance"].says.endswith("60 %: 5 steps.")


def test_where_no_step_is_well_known_all_are_drawn():
    assert "Not drawn" not in drawn([unsure_at(10)])["greyscale_balance"].says


def test_the_limit_is_as_dashed_as_its_caption_says():
    dash, gap = LIMIT["linestyle"][1]
    assert dash * LIMIT["linewidth"] > 5  # points: a dot is no longer than the line is wide
    assert gap < dash
    says = drawn([greyscale()])["grey_errors"].says
    assert "dashed" in says
