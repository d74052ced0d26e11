"""Findings of greys of whatever was read: finite, settled, and only of what is there."""

from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from readings.findings import findings_from
from readings.visit.records import Specification
from tests.readings.grey_readings import SDR, counted, grey, greys
from tests.readings.made_readings import HLG, METER, PQ, checked

NAMES = ["clipping", "greyscale", "near-black", "near-white", "tone"]
ROLES = ["grey", "grey-at-mean", "near-black", "near-white", "black", "white"]
COUNTS = ["near-black-patches", "near-white-patches", "highlights", "highlights-red"]
METERS = [None, Specification(), Specification(luminance_relative_uncertainty=0.04), METER]
PATCHES = [(n, n, n) for n in range(64, 68)]
light = st.one_of(
    st.none(),
    st.sampled_from([0.0, -0.001, 5e-324, 0.001, 0.05, 100.0, 1e8, 1e300]),
    st.floats(-1, 2e4),
)
xy = st.one_of(
    st.none(),
    st.just((0.3127, 0.3290)),
    st.sampled_from([(0.0, 0.0), (0.3, 0.0), (0.0, 1e-9), (100.0, 0.31), (-0.1, 0.3), (1.0, 1.0)]),
    st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
by_meter = st.tuples(
    st.sampled_from(ROLES),
    st.sampled_from([0, 4, 48, 64, 65, 80, 502, 721, 900, 940, 1019]),
    light,
    xy,
    st.sampled_from(METERS),
    st.integers(1, 2),
)
by_eye = st.tuples(
    st.sampled_from(COUNTS), st.sampled_from([None, -1, 0, 1, 2, 3, 4, 5, 1.5]), st.integers(1, 2)
)


def readings_of(meter, eye, signals):
    readings = []
    for n, (role, code, luminance, colour, specification, run) in enumerate(meter, 1):
        known = {} if specification else {"instrument": None, "instrument_name": None}
        readings.append(
            grey(n, code, luminance, colour, role=role, run=run, signal=signals[run - 1],
                 specification=specification, **known)
        )  # fmt: skip
    for n, (role, count, run) in enumerate(eye, len(readings) + 1):
        readings.append(counted(n, role, count, PATCHES, run=run, signal=signals[run - 1]))
    return readings


@settings(max_examples=40, deadline=None)
@given(
    st.lists(by_meter, max_size=9),
    st.lists(by_eye, max_size=3),
    st.tuples(*[st.sampled_from([SDR, PQ, HLG, {}, {"transfer": "pq", "bits": 7}])] * 2),
)
def test_whatever_was_read_of_greys_the_findings_are_finite_and_settled(meter, eye, signals):
    checked(readings_of(meter, eye, signals), NAMES)


def test_the_page_names_every_value_and_every_column():
    page = (Path(__file__).parents[2] / "docs" / "findings-tone.md").read_text("utf-8")
    codes = (64, 80, 152, 327, 502, 590, 677, 765, 852, 900, 940)
    named, columns = set(), set()
    for signal in (SDR, PQ):
        readings = [
            reading
            for n, role in enumerate(("grey", "near-black", "near-white"))
            for reading in greys(
                lambda value: min(500 * value**2.3, 300) + 0.05,
                codes,
                signal=signal,
                start=1 + 20 * n,
                role=role,
            )
        ]
        readings += [counted(80 + n, role, 2, PATCHES, signal=signal)
                     for n, role in enumerate(COUNTS)]  # fmt: skip
        for found in findings_from(readings, NAMES):
            named |= {value.name for value in found.values}
            columns |= {column.name for series in found.series for column in series.columns}
    assert len(named) >= 35
    assert [name for name in [*sorted(named), *sorted(columns)] if f"`{name}`" not in page] == []
