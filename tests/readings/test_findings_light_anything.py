"""Whatever was read of light: findings are finite, settled, and use only what is there."""

import math
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from readings.visit.records import Specification
from tests.readings.light_readings import BLACK, SDR, WHITE, reading
from tests.readings.made_readings import METER, PQ, START, checked

NAMES = [
    *("box-contrast", "delay", "halo", "over-time", "plausibility", "uniformity"),
    "viewing-angle",
]
ROLES = {
    "halo": ["halo-box", "halo", "halo-ring", "halo-look"],
    "corner-boxes": ["corner-boxes-dark", "corner-boxes-lit", "edge-boxes-dark"],
    "surround": ["surround-dark", "surround-lit", "reverse-lit"],
    "ebu-boxes": ["ebu-1", "ebu-2"],
    "ebu-square": ["ebu-3"],
    "uniformity": ["uniformity", "drift"],
    "window": ["place", "over-time", "viewing-angle", "grey", "drift"],
    "field": ["white", "black", "warm-up"],
    "patch": ["red"],
    "flash": ["delay"],
    "frame-counter": ["counter"],
}
POINTS = {f"point {n}": {"distance_px": 27.0 * n} for n in range(1, 9)}
CODES = [WHITE, BLACK, (128, 128, 128), (255, 0, 0), (0, 0, 200), (99999, 1, 1)]
LOOSE = Specification(luminance_relative_uncertainty=0.04)


@st.composite
def anything(draw):
    kind = draw(st.sampled_from(sorted(ROLES)))
    meter = draw(st.sampled_from([None, Specification(), LOOSE, METER]))
    number = None if meter is None else draw(st.integers(1, 2))
    names = draw(st.sampled_from([(), ("level",), ("level", "background"), ("level", "surround"),
                                  ("white", "black", "grey")]))  # fmt: skip
    x, y = draw(
        st.sampled_from(
            [(None, None), (0.3127, 0.329), (0.329, 0.3127), (0.3127, 100.0), (0.0, 0.0),
             (0.1, 0.9), (-1.0, 2.0), (1e-300, 1e-300)]
        )
    )  # fmt: skip
    return {
        "role": draw(st.sampled_from(ROLES[kind])),
        "luminance": draw(
            st.one_of(
                st.sampled_from([None, 0.0, -0.001, 5e-324, 0.002, 0.3127, 120.0, 1e300]),
                st.floats(-1, 2e4),
            )
        ),
        "kind": kind,
        "inks": {name: draw(st.sampled_from(CODES)) for name in names},
        "x": x,
        "y": y,
        "specification": meter,
        "instrument": number,
        "instrument_name": None if number is None else f"meter {number}",
        "of": draw(
            st.sampled_from([None, "box", "point 1", "point 2", "point 77", "centre", "top left"])
        ),
        "facts": draw(
            st.sampled_from(
                [{}, {"points": POINTS}, {"points": "IDMS"}, {"area_percent": 10.0, "box": "a"},
                 {"centre_area_percent": 10.0, "box_area_percent": 4.0,
                  "box": {"x": 0, "y": 7, "width": 20, "height": 20}},
                 {"points": {"point 1": {"distance_px": math.inf}}}]
            )
        ),
        "parameters": draw(
            st.sampled_from(
                [{}, {"points": 9}, {"points": "x"}, {"place": 13}, {"place": 26}, {"point": 7},
                 {"at": {"x": "5 %", "y": "90 %"}}, {"at": {"y": "9 px"}}, {"modulo": 60}]
            )
        ),
        "variables": draw(
            st.sampled_from(
                [{}, {"angle": "0"}, {"angle": "30 °", "direction": "left"}, {"angle": "1e999"},
                 {"angle": "-15", "direction": ""}, {"angle": "steep"}, {"point": "3"}]
            )
        ),
        "number": draw(st.sampled_from([None, 0.0, 63.0, 1e300, -1.0])),
        "quantity": draw(st.sampled_from(["milliseconds", "colour", "text"])),
        "text": draw(st.sampled_from([None, "", "12 9", "9 12", "even and faint"])),
        "raw": draw(st.sampled_from(["", "63", "6,3", "x y"])),
        "signal": draw(st.sampled_from([SDR, PQ, {}])),
        "guard": draw(st.sampled_from(["verified", "altered", "unknown"])),
        "refresh_hz": draw(st.sampled_from([None, 60.0])),
        "came_on": draw(st.sampled_from([None, START, START + timedelta(minutes=5)])),
        "run": draw(st.sampled_from([1, 1, 2])),
    }  # fmt: skip


@given(st.lists(anything(), max_size=10))
def test_whatever_was_read_of_light_the_findings_are_finite_and_settled(drawn):
    readings = []
    for number, what in enumerate(drawn, 1):
        given = dict(what)
        role, luminance = given.pop("role"), given.pop("luminance")
        readings.append(reading(number, role, luminance, **given))
    checked(readings, NAMES)
