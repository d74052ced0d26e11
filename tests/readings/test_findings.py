"""What every finding keeps to, and the form of findings in a file."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readings.findings import FINDINGS, FindingError, findings_from, settle
from readings.findings.base import Finding, Value
from readings.visit.records import Specification
from tests.readings.made_readings import checked, made

PLACES = [
    ("white", "field", {}, None),
    ("black", "field", {}, None),
    ("window", "window", {"area": "10 %"}, None),
    ("window", "field", {}, None),
    ("lit", "checkerboard", {"columns": 2, "rows": 2, "start": "lit"}, "box 1"),
    ("dark", "checkerboard", {"columns": 2, "rows": 2, "start": "lit"}, "box 2"),
    ("dark", "checkerboard", {"columns": "two"}, "box 99"),
    ("halo-box", "halo", {}, "box"),
    ("halo", "halo", {}, "point 1"),
    ("halo", "halo", {}, "point 2"),
    ("halo-ring", "halo", {}, "point 1"),
    ("corner-boxes-lit", "corner-boxes", {}, "top left"),
    ("corner-boxes-dark", "corner-boxes", {}, "centre"),
    ("uniformity", "uniformity", {"points": 9}, "point 1"),
    ("uniformity", "uniformity", {"points": 9}, "point 5"),
    ("drift", "uniformity", {"points": 9}, "point 1"),
    ("place", "window", {"place": 25}, None),
    ("over-time", "window", {"area": "10 %"}, None),
    ("warm-up", "field", {}, None),
    ("viewing-angle", "window", {}, None),
    ("grey", "window", {"area": "10 %"}, None),
    ("near-black", "field", {}, None),
    ("near-white", "window", {"area": "10 %"}, None),
]
METERS = [
    None,
    Specification(),
    Specification(luminance_relative_uncertainty=0.04),
    Specification(
        luminance_relative_uncertainty=0.04, luminance_floor=0.01, luminance_resolution=0.01
    ),
]


def measured(number, place, luminance, meter):
    role, kind, parameters, of = PLACES[place]
    inks = {"level": (64, 64, 64) if role == "black" else (940, 940, 940)}
    facts = {"area_percent": 10.0} if kind == "window" else {}
    if kind in {"halo", "corner-boxes"}:
        inks |= {"background": (64, 64, 64)}
        facts |= {"points": {f"point {n}": {"distance_px": 54.0 * n} for n in (1, 2)}}
    named = METERS[meter] is not None
    return made(
        number,
        step=place + 1,
        label=f"Step {place + 1}",
        role=role,
        kind=kind,
        parameters=parameters,
        variables={"angle": str(number % 3 * 30)} if role == "viewing-angle" else {},
        of=of,
        inks=inks,
        facts=facts,
        guard="unknown",
        instrument=meter if named else None,
        instrument_name="spot meter" if named else None,
        specification=METERS[meter],
        raw=repr(luminance),
        luminance=luminance,
    )


luminances = st.one_of(
    st.none(),
    st.sampled_from([0.0, -0.0, -0.001, 5e-324, 0.01, 120.0, 1e300]),
    st.floats(-1, 2e4),
)
anything = st.lists(
    st.tuples(st.integers(0, len(PLACES) - 1), luminances, st.integers(0, len(METERS) - 1)),
    max_size=12,
)


@given(anything)
def test_whatever_was_read_findings_are_finite_settled_and_used_only_what_is_there(drawn):
    readings = [measured(n, *what) for n, what in enumerate(drawn, 1)]
    checked(readings)


@pytest.mark.parametrize("name", FINDINGS)
def test_no_readings_mean_nothing(name):
    assert findings_from([], [name]) == []


def test_the_page_on_findings_names_every_finding_and_every_value():
    docs = Path(__file__).parents[2] / "docs"
    page = "".join(path.read_text("utf-8") for path in sorted(docs.glob("findings*.md")))
    places = [n for n in range(len(PLACES)) if n != 6]
    drawn = [(place, light) for place in places for light in (0.0, 50.0, 100.0)]
    named = set()
    for dark in (0.0, 0.5):
        kept = [(p, dark if p in {1, 5} else light) for p, light in drawn]
        readings = [measured(n, p, light, 3) for n, (p, light) in enumerate(kept, 1)]
        named |= {value.name for found in findings_from(readings) for value in found.values}
    assert len(named) >= 11
    assert [name for name in [*FINDINGS, *sorted(named)] if f"`{name}`" not in page] == []


def test_a_finding_that_there_is_none_of_is_one_clear_sentence():
    with pytest.raises(
        FindingError, match=r"^There is no finding 'glow'; there are adjustment, box-contrast, "
    ):
        findings_from([], ["glow"])


def test_findings_come_in_the_order_of_their_names_whatever_order_they_are_asked_for():
    readings = [measured(n, place, 100.0, 3) for n, place in enumerate((0, 1, 2), 1)]
    found = findings_from(readings, ["window-peak", "contrast"])
    assert [finding.name for finding in found] == ["contrast", "window-peak"]


def test_a_settled_finding_has_these_names_and_no_spare_digits():
    value = Value(
        "sequential-contrast", "Sequential contrast", 1139.96, ":1", 73.24, where={"b": 2, "a": 1}
    )
    finding = Finding(
        "contrast", "Title", "after", 2, (value,), "how", "where from", (4, 7), ("w",)
    )
    assert settle([finding]) == [
        {
            "name": "contrast",
            "title": "Title",
            "run": 2,
            "condition": "after",
            "values": [
                {
                    "name": "sequential-contrast",
                    "label": "Sequential contrast",
                    "value": 1140.0,
                    "unit": ":1",
                    "uncertainty": 73.0,
                    "coverage_factor": 2.0,
                    "bound": None,
                    "where": {"a": 1, "b": 2},
                }
            ],
            "method": "how",
            "source": "where from",
            "readings": [4, 7],
            "warnings": ["w"],
            "series": [],
            "aim": None,
            "doubted": [],
        }
    ]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Value("n", "l", 1140.2, ":1", 73.2), "1140:1 ± 73"),
        (Value("n", "l", 30000.0, ":1", bound="lower"), "at least 30000:1"),
        (Value("n", "l", 0.005, "cd/m2", bound="upper"), "at most 0.005 cd/m2"),
        (Value("n", "l", 75.0, "%", 1.4143), "75.0 ± 1.4 %"),
        (Value("n", "l", None, ":1"), "undefined"),
    ],
)
def test_a_value_is_written_as_a_calibrator_would(value, text):
    assert value.written() == text
