"""Readings of greys as a meter with no error would have made them, for the tests of findings."""

from datetime import UTC, datetime, timedelta

import numpy as np

from patterns.signal import signal_from_parts
from readings.evidence import Measured
from readings.records import Specification

SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 10, "range": "narrow"}
PQ = {"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}
HLG = {"transfer": "hlg", "primaries": "bt2020", "bits": 10, "range": "narrow"}
D65 = (0.3127, 0.3290)
METER = Specification(
    luminance_relative_uncertainty=0.04,
    luminance_floor=0.002,
    luminance_resolution=0.0001,
    luminance_repeatability=0.004,
    luminance_noise=0.0004,
    chromaticity_uncertainty=0.006,
    chromaticity_resolution=0.0001,
    chromaticity_repeatability=0.0008,
)
STEPS = (64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940)
"""0 to 100 % in steps of 10 %, 10 bits in narrow range."""


def signal_of_code(code, signal=SDR):
    """E' of a grey."""
    return float(signal_from_parts(signal).quantiser.signals(np.array([code]))[0])


def grey(reading, code, luminance, xy=D65, **changes):
    """One reading of a grey in a window of 10 %."""
    x, y = (None, None) if xy is None else xy
    given = {
        "reading": reading,
        "run": 1,
        "condition": "after",
        "sequence": "Greyscale",
        "step": reading,
        "label": f"Code {code}",
        "role": "grey",
        "kind": "window",
        "parameters": {"area": "10 %"},
        "variables": {},
        "quantity": "colour",
        "of": None,
        "inks": {"level": (code,) * 3, "background": (64, 64, 64)},
        "facts": {"area_percent": 10.0},
        "signal": SDR,
        "canvas": (1920, 1080),
        "guard": "verified",
        "guard_why": "",
        "instrument": 1,
        "instrument_name": "spot meter",
        "specification": METER,
        "raw": "",
        "luminance": luminance,
        "x": x,
        "y": y,
        "taken_at": datetime(2031, 5, 4, 9, 30, tzinfo=UTC) + timedelta(seconds=10 * reading),
    }
    return Measured(**given | changes)


def greys(luminance, codes=STEPS, xy=D65, signal=SDR, start=1, **changes):
    """Readings of greys by a function from E' to cd/m2; numbered from `start`."""
    return [
        grey(n, code, luminance(signal_of_code(code, signal)), xy, signal=signal, **changes)
        for n, code in enumerate(codes, start)
    ]


def counted(number, role, count, patches, **changes):
    """One count of patches by eye; `patches` are their codes."""
    given = {
        "role": role,
        "label": f"Patches {number}",
        "kind": "near-black",
        "parameters": {},
        "quantity": "count",
        "number": count,
        "facts": {},
        "instrument": None,
        "instrument_name": None,
        "specification": None,
        "inks": {"background": (0, 0, 0)} | {f"patch {n}": c for n, c in enumerate(patches, 1)},
    }
    return grey(number, 64, None, None, **given | changes)


def power(exponent, white=100.0, black=0.0):
    """A display with a power law above its black."""
    return lambda signal: black + (white - black) * max(signal, 0.0) ** exponent
