"""Readings of greys as a meter with no error would have made them, for the tests of findings."""

import numpy as np

from patterns.signal.signal import signal_from_parts
from tests.readings.made_readings import made

SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 10, "range": "narrow"}
D65 = (0.3127, 0.3290)
STEPS = (64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940)
"""0 to 100 % in steps of 10 %, 10 bits in narrow range."""


def signal_of_code(code, signal=SDR):
    """E' of a grey."""
    return float(signal_from_parts(signal).quantiser.signals(np.array([code]))[0])


def grey(reading, code, luminance, xy=D65, **changes):
    """One reading of a grey in a window of 10 %."""
    x, y = (None, None) if xy is None else xy
    given = {
        "condition": "after",
        "label": f"Code {code}",
        "role": "grey",
        "kind": "window",
        "parameters": {"area": "10 %"},
        "quantity": "colour",
        "inks": {"level": (code,) * 3, "background": (64, 64, 64)},
        "facts": {"area_percent": 10.0},
        "signal": SDR,
        "luminance": luminance,
        "x": x,
        "y": y,
    }
    return made(reading, **given | changes)


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
