"""Readings of colours as a meter without error makes them of a display, for tests of findings."""

from datetime import UTC, datetime, timedelta

import numpy as np

from patterns.canvas import parse_canvas
from patterns.kinds import KINDS
from patterns.signal import signal_from_parts
from readings.evidence import Measured
from readings.records import Specification

SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 16, "range": "full"}
PQ = {"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}
HLG = {"transfer": "hlg", "primaries": "bt2020", "bits": 10, "range": "narrow"}
WHITE, BLACK = 200.0, 0.05
COLOURS = ("red", "green", "blue", "cyan", "magenta", "yellow")
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
CANVAS = parse_canvas("320x180")


def perfect(signal):
    """XYZ of codes, cd/m2, on a display that does just what the signal stands for."""
    parts = dict(signal)
    if parts["transfer"] == "bt1886":
        parts |= {"white": WHITE, "black": BLACK}
    if parts["transfer"] == "hlg":
        parts |= {"peak": WHITE, "black": BLACK}
    return signal_from_parts(parts).xyz


def read(number, role, show, signal=SDR, display=None, **changes):
    """One reading of a pattern as drawn; `show` has its kind and parameters."""
    ((kind, parameters),) = show.items()
    frame = KINDS[kind](**parameters).frame(CANVAS, signal_from_parts(signal))
    ink = frame.inks.get("level", frame.inks.get("colour"))
    xyz = np.asarray((display or perfect(signal))(np.array(ink)), float)
    total = xyz.sum()
    given = {
        "reading": number,
        "run": 1,
        "condition": "after",
        "sequence": "Lobby wall, colours",
        "step": number,
        "label": f"Step {number}",
        "role": role,
        "kind": kind,
        "parameters": parameters,
        "variables": {},
        "quantity": "colour",
        "of": None,
        "inks": dict(frame.inks),
        "facts": dict(frame.facts),
        "signal": signal,
        "canvas": (320, 180),
        "guard": "verified",
        "guard_why": "",
        "instrument": 1,
        "instrument_name": "spot meter",
        "specification": METER,
        "raw": "",
        "luminance": float(xyz[1]),
        "x": float(xyz[0] / total) if total > 0 else None,
        "y": float(xyz[1] / total) if total > 0 else None,
        "taken_at": datetime(2031, 5, 4, 9, 30, tzinfo=UTC) + timedelta(seconds=10 * number),
    }
    return Measured(**given | changes)


def white(number, signal=SDR, display=None, **changes):
    """White in a window of 10 %."""
    return read(number, "white", {"patch": {"colour": "white"}}, signal, display, **changes)


def black(number, signal=SDR, display=None, **changes):
    """A full black field."""
    return read(number, "black", {"field": {"level": "0 %"}}, signal, display, **changes)


def chart(signal=SDR, display=None, patches=range(1, 25), start=3, **changes):
    """Patches of the chart of 24."""
    return [
        read(
            n,
            "chart-24",
            {"chart-patch": {"chart": 24, "patch": patch, "clip": True}},
            signal,
            display,
            **changes,
        )
        for n, patch in enumerate(patches, start)
    ]


def primaries(signal=SDR, display=None, colours=COLOURS, start=3, level="100 %", **changes):
    """Primaries and secondaries."""
    return [
        read(n, name, {"patch": {"colour": name, "level": level}}, signal, display, **changes)
        for n, name in enumerate(colours, start)
    ]


def cube(signal=SDR, display=None, levels=3, start=1, **changes):
    """All samples of the cube."""
    return [
        read(n, "cube", {"cube": {"levels": levels, "sample": n - start + 1}}, signal, display,
             **changes)
        for n in range(start, start + levels**3)
    ]  # fmt: skip


def walk(signal=SDR, display=None, points=3, start=1, **changes):
    """The boundary of the signal's gamut."""
    return [
        read(n, "gamut-boundary", {"gamut-walk": {"points": points, "point": n - start + 1}},
             signal, display, **changes)
        for n in range(start, start + 3 * points)
    ]  # fmt: skip
