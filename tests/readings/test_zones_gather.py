"""What the readings of a run say of zones, and the finding they lead to."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from patterns.picture.sheet import Box
from readings.evidence.measured import Measured, Press
from readings.findings.zones import Zones
from readings.visit.records import Specification
from readings.zones.crawl import Pass
from readings.zones.gather import gathered, passes_of, way_of

AT = datetime(2031, 5, 4, 20, 0, tzinfo=UTC)
USUAL: dict[str, Any] = {
    "run": 1,
    "condition": "local dimming on",
    "sequence": "Counting dimming zones",
    "step": 1,
    "label": "a step",
    "role": None,
    "kind": "moving-box",
    "parameters": {"along": "row", "direction": "forward"},
    "variables": {},
    "quantity": "tally",
    "of": None,
    "inks": {},
    "facts": {},
    "signal": {"transfer": "bt1886"},
    "canvas": (1920, 1080),
    "guard": "verified",
    "guard_why": "",
    "instrument": None,
    "instrument_name": None,
    "specification": None,
    "raw": "",
    "taken_at": AT,
}


def read(reading: int, /, **given: Any) -> Measured:
    return Measured(**USUAL | {"reading": reading} | given)


def crawl(number: int, along: str, direction: Any, *places: float) -> Measured:
    axis = "horizontal" if along == "row" else "vertical"
    return read(
        number,
        parameters={"along": along, "direction": direction},
        presses=tuple(Press(place, axis, direction) for place in places),
        number=float(len(places)),
    )


def comb(number: int, along: str, asked: int, groups: int | None) -> Measured:
    return read(
        number,
        kind="comb",
        parameters={"along": along, "zones": 40},
        facts={"along": along, "zones": asked, "spacing": 3},
        quantity="count",
        number=None if groups is None else float(groups),
        text=None if groups is not None else "can't tell",
    )


def lit(
    number: int, role: str, box: tuple[int, int] | None, luminance: float, **given: Any
) -> Measured:
    specification = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.0001)
    return read(
        number,
        role=role,
        kind="single-box",
        parameters={},
        quantity="luminance",
        facts={} if box is None else {"box": Box(*box, 43, 43).describe()},
        luminance=luminance,
        instrument=1,
        instrument_name="spot meter",
        specification=specification,
        **given,
    )


@pytest.mark.parametrize(
    ("kind", "parameters", "way"),
    [
        ("moving-box", {"along": "top"}, "columns"),
        ("moving-box", {"along": "row"}, "columns"),
        ("moving-box", {"along": "left"}, "rows"),
        ("moving-box", {"along": "column"}, "rows"),
        ("moving-box", {"along": "diagonal"}, None),
        ("comb", {"along": "rows"}, "rows"),
        ("comb", {"along": "columns"}, "columns"),
        ("field", {}, None),
    ],
)
def test_a_box_along_a_row_counts_columns_and_one_along_a_column_rows(
    kind: str, parameters: dict[str, str], way: str | None
) -> None:
    assert way_of(kind, parameters) == way


def test_presses_are_a_pass_for_each_way_that_the_box_took() -> None:
    presses = [
        Press(10.0, "horizontal", "forward"),
        Press(20.0, "horizontal", "forward"),
        Press(15.0, "horizontal", "backward"),
        Press(30.0, "horizontal", "forward"),
    ]
    assert passes_of(presses, "forward") == [
        Pass("forward", (10.0, 20.0)),
        Pass("backward", (15.0,)),
        Pass("forward", (30.0,)),
    ]


def test_a_pass_without_a_press_is_a_pass_in_which_no_hop_was_seen() -> None:
    assert passes_of([], "backward") == [Pass("backward", ())]
    found = gathered([crawl(1, "column", "backward")])
    assert found["rows"].passes == [Pass("backward", ())]
    assert found["rows"].size == 1080


def test_a_number_of_presses_that_was_typed_is_told_and_does_not_count() -> None:
    (found,) = Zones().work_out([read(1, number=31.0)])
    assert [value.value for value in found.values if value.name == "zone-columns"] == [None]
    assert any("1 number was typed without presses" in each for each in found.warnings)


def test_combs_are_those_that_were_shown_not_those_that_were_planned() -> None:
    found = gathered([comb(1, "rows", 17, 1), comb(2, "rows", 18, None)])
    assert [(c.zones, c.spacing, c.groups) for c in found["rows"].combs] == [
        (17, 3, 1),
        (18, 3, None),
    ]


def test_a_trace_has_the_middles_of_its_boxes_in_order() -> None:
    readings = [
        lit(1, "trace-columns", (938, 799), 0.5),
        lit(2, "trace-columns", (0, 799), 0.25),
        lit(3, "trace-rows", (1500, 100), 0.75),
    ]
    found = gathered(readings)
    (columns,), (rows,) = found["columns"].traces, found["rows"].traces
    assert (columns.positions, columns.luminances) == ((21.5, 959.5), (0.25, 0.5))
    assert (rows.positions, rows.luminances, rows.side) == ((121.5,), (0.75,), 43)


def test_a_trace_that_a_dark_offset_took_below_0_reads_0_there() -> None:
    readings = [
        lit(1, "trace-columns", (0, 799), -0.01),
        lit(2, "trace-columns", (938, 799), 0.5),
    ]
    (columns,) = gathered(readings)["columns"].traces
    assert columns.luminances == (0.0, 0.5)


def full_count() -> list[Measured]:
    """12 columns on 1920 pixels and 6 rows on 1080, pressed 0.2 zones late, and a comb each."""
    pitch = {"row": 160.0, "column": 180.0}
    count = {"row": 12, "column": 6}
    readings, number = [], 0
    for along in ("row", "column"):
        for direction, sign in (("forward", 1), ("backward", -1)):
            number += 1
            places = [pitch[along] * (n + 0.2 * sign) for n in range(1, count[along])]
            readings.append(crawl(number, along, direction, *places[::sign]))
    for along, asked in (("columns", 12), ("rows", 6), ("columns", 13), ("rows", 7)):
        number += 1
        readings.append(comb(number, along, asked, asked - {"columns": 12, "rows": 6}[along]))
    return readings


def test_the_finding_says_columns_rows_and_zones_and_what_they_rest_on() -> None:
    (found,) = Zones().work_out(full_count())
    assert [(value.name, value.among) for value in found.values] == [
        ("zones", (72,)),
        ("zone-columns", (12,)),
        ("zone-rows", (6,)),
    ]
    assert found.readings == (1, 2, 3, 4, 5, 6, 7, 8)
    assert "the columns on 22 presses in 2 passes of a crawling box, 2 answers to combs" in (
        found.method
    )
    assert found.source == "Litfield's own method, described in docs/zones.md"


def test_a_count_is_settled_as_a_whole_number_with_its_set() -> None:
    (found,) = Zones().work_out(full_count())
    columns = found.value("zone-columns")
    assert columns is not None
    settled = columns.settled()
    assert settled["set95"] == [12]
    assert settled["value"] in (12, None)
    assert settled["uncertainty"] is None


def test_a_count_that_may_be_larger_is_a_lower_bound() -> None:
    places = [1920 / 505 * n for n in range(1, 505)]
    there = crawl(1, "row", "forward", *places)
    back = crawl(2, "row", "backward", *places[::-1])
    (found,) = Zones().work_out([there, back])
    columns = found.value("zone-columns")
    assert columns is not None
    assert (columns.value, columns.bound, columns.written()) == (None, "lower", "at least 500")
    assert columns.settled()["bound"] == "lower"


def test_an_axis_that_nobody_looked_along_is_said_to_be_unknown() -> None:
    (found,) = Zones().work_out(full_count()[:2])
    rows, both = found.value("zone-rows"), found.value("zones")
    assert rows is not None
    assert both is not None
    assert (rows.value, rows.written(), both.written()) == (None, "undefined", "undefined")
    assert "Rows: nobody looked along them, so they are not known." in found.warnings


def test_the_light_beside_a_lit_zone_stands_in_the_finding_with_its_uncertainty() -> None:
    """U = 4 % of 0.5 cd/m2 and the last digit over root 12, twice: 0.02000."""
    halo = [lit(20, "zone-halo", None, 0.5, of="point 1", label="Beside a lit zone")]
    (found,) = Zones().work_out(full_count() + halo)
    value = found.value("zone-halo-luminance")
    assert value is not None
    assert value.label == "Beside the lit zone, point 1"
    assert value.value == 0.5
    assert value.uncertainty == pytest.approx(0.02, rel=1e-4)
    assert 20 in found.readings


def test_runs_are_counted_apart() -> None:
    again = [read(40, run=2, number=0.0)]
    found = Zones().work_out(full_count() + again)
    assert [each.run for each in found] == [1, 2]
