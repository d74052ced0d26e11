"""Readings of colours as a meter without error makes them of a display, for tests of findings."""

import numpy as np

from patterns.kinds import KINDS
from patterns.picture.canvas import parse_canvas
from patterns.signal.signal import signal_from_parts
from tests.readings.made_readings import made

SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 16, "range": "full"}
WHITE, BLACK = 200.0, 0.05
COLOURS = ("red", "green", "blue", "cyan", "magenta", "yellow")
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
        "condition": "after",
        "role": role,
        "kind": kind,
        "parameters": parameters,
        "quantity": "colour",
        "inks": dict(frame.inks),
        "facts": dict(frame.facts),
        "signal": signal,
        "canvas": (320, 180),
        "luminance": float(xyz[1]),
        "x": float(xyz[0] / total) if total > 0 else None,
        "y": float(xyz[1] / total) if total > 0 else None,
    }
    return made(number, **given | changes)


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
