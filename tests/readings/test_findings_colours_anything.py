"""Findings of colours of whatever was read: finite, settled, and only of what is there."""

from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from readings.visit.records import Specification
from tests.readings.colour_readings import SDR, black, cube, primaries, walk, white
from tests.readings.made_readings import HLG, METER, PQ, checked

NAMES = ["colour", "gamut"]
TEMPLATE = [
    white(1), black(2), *primaries(), *walk(points=1), *cube(levels=2),
]  # fmt: skip
ROLES = ["chart-24", "chart-140", "skin", "saturation", "ebu-colour", "ebu-primary"]
METERS = [None, Specification(), Specification(luminance_relative_uncertainty=0.04), METER]
SIGNALS = [SDR, PQ, HLG, {}, {"transfer": "pq", "bits": 7}, {"transfer": "bt1886", "bits": 10}]
light = st.one_of(
    st.none(),
    st.sampled_from([0.0, -0.001, 5e-324, 0.001, 0.05, 100.0, 1e8, 1e300]),
    st.floats(-1, 2e4),
)
xy = st.one_of(
    st.just("as it is"),
    st.just((0.3127, 0.3290)),
    st.sampled_from(
        [(None, None), (0.0, 0.0), (0.3, 0.0), (0.0, 1e-9), (100.0, 0.31), (-0.1, 0.3), (1.0, 1.0)]
    ),
    st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
readings = st.lists(
    st.tuples(
        st.integers(0, len(TEMPLATE) - 1),
        st.one_of(st.none(), st.sampled_from(ROLES)),
        st.one_of(st.just("as it is"), light),
        xy,
        st.sampled_from(METERS),
        st.integers(1, 2),
    ),
    max_size=16,
)


def reading_of(number, drawn, signals):
    place, role, luminance, colour, specification, run = drawn
    kept = TEMPLATE[place]
    x, y = (kept.x, kept.y) if colour == "as it is" else colour
    return replace(
        kept,
        reading=number,
        step=number,
        run=run,
        role=role or kept.role,
        luminance=kept.luminance if luminance == "as it is" else luminance,
        x=x,
        y=y,
        specification=specification,
        instrument=1 if specification else None,
        signal=signals[run - 1],
    )


@settings(max_examples=25, deadline=None)
@given(readings, st.tuples(*[st.sampled_from(SIGNALS)] * 2))
def test_whatever_was_read_of_colours_the_findings_are_finite_and_settled(drawn, signals):
    checked([reading_of(n, each, signals) for n, each in enumerate(drawn, 1)], NAMES)


@settings(max_examples=10, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=16, max_size=16),
    st.floats(1e-3, 1e3),
    st.sampled_from([SDR, PQ, HLG]),
)
def test_a_display_of_any_colours_has_findings_that_are_finite(points, scale, signal):
    whole = [
        replace(each, x=x * (1 - y), y=y, luminance=(each.luminance or 0.0) * scale, signal=signal)
        for each, (x, y) in zip(TEMPLATE, [*points, *points], strict=False)
    ]
    numbered = [replace(each, reading=n, step=n) for n, each in enumerate(whole, 1)]
    checked(numbered, NAMES)


def test_the_page_on_colour_names_every_value_and_every_column():
    page = (Path(__file__).parents[2] / "docs" / "findings-colour.md").read_text("utf-8")
    listed = [replace(each, reading=n, step=n) for n, each in enumerate(TEMPLATE, 1)]
    in_pq = [replace(each, signal=PQ) for each in listed]
    found = [*checked(listed, NAMES), *checked(in_pq, NAMES)]
    names = {value.name for finding in found for value in finding.values}
    names |= {c.name for finding in found for s in finding.series for c in s.columns}
    assert len(names) >= 24
    assert [name for name in [*NAMES, *sorted(names)] if f"`{name}`" not in page] == []
