"""Findings made up for the pictures and the front page: every series that pictures are drawn of."""

from datetime import UTC, datetime

from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.report.gather import VisitContents
from readings.visit.records import About
from readings.visit.workbook import Sheet

GREY = ("signal", "luminance", "target-luminance", "x", "y", "red", "green", "blue")
DELTA = ("delta-e-2000", "delta-e-itp", "delta-e-2000-chromaticity")
COLOUR = ("luminance", "x", "y", "target-x", "target-y", "delta-e-2000")


def series(name, columns, rows):
    """A series of rows `(label, *values)`; None is undefined."""
    return Series(
        name, name.capitalize(), tuple(Column(column, column) for column in columns),
        tuple(
            Row(label, tuple(Number(v, 0.1 if v else None) for v in values), {}, (1,))
            for label, *values in rows
        ),
    )  # fmt: skip


def finding(name, *series_there, run=1, values=(), condition="local dimming on", warnings=()):
    """A finding with these series and values."""
    return Finding(
        name, name.capitalize(), condition, run, tuple(values), "how", "where from", (1, 2),
        tuple(warnings), tuple(series_there),
    )  # fmt: skip


def greyscale(run=1, condition="local dimming on"):
    """Eleven greys, the darkest undefined in colour."""
    rows = [("0 %", 0.0, 0.05, 0.05, None, None, None, None, None, None, None, None)]
    for n in range(1, 11):
        light = 100 * (n / 10) ** 2.2
        rows.append((f"{10 * n} %", 10.0 * n, light, 100 * (n / 10) ** 2.4, 0.31 + n / 1000, 0.33,
                     100.0 + n, 100.0, 98.0, n / 2, n, n / 4))  # fmt: skip
    return finding("greyscale", series("greyscale", GREY + DELTA, rows), run=run,
                   condition=condition)  # fmt: skip


def every_finding(run=1, condition="local dimming on"):
    """One of each that a picture is drawn of."""
    curve = ("signal", "luminance", "target-luminance", "reference-curve-luminance", "error")
    tone = [(f"{n} %", float(n), 0.01 * n**2 + 0.01, 0.01 * n**2, 0.009 * n**2 + 0.01, 1.0)
            for n in range(0, 101, 10)]  # fmt: skip
    patches = [(f"Chart, patch {n}", 20.0, 0.2 + n / 100, 0.3, 0.2, 0.3, n / 3) for n in range(30)]
    corners = [
        ("red", 0.64, 0.33),
        ("green", 0.3, 0.6),
        ("blue", 0.15, 0.06),
        ("white", 0.31, 0.33),
    ]
    places = [(f"point {n}", 50.0 * (n % 3), 50.0 * (n // 3), 90.0, 100.0 - n, n / 1000)
              for n in range(9)]  # fmt: skip
    windows = [
        Value("window-luminance", f"{a} % window", 900.0 - a, "cd/m2", 9.0, None,
              {"area_percent": float(a)}) for a in (1, 10, 100)
    ]  # fmt: skip
    contrasts = [
        Value("sequential-contrast", "Sequential contrast", 1140.0, ":1", 98.0),
        Value("sequential-contrast", "By the floor", 120000.0, ":1", None, "lower"),
    ]
    levels = [(f"{n} %", 5.0 - n / 50, n / 100) for n in range(0, 101, 20)]
    found = [
        finding("adjustment", series("adjusted", ("before", "after"), levels)),
        finding("box-contrast", values=[Value("box-contrast", "Boxes", 500.0, ":1", 5.0)]),
        finding("colour", series("chart", COLOUR, patches)),
        finding("contrast", values=contrasts),
        finding("gamut", series("gamut", ("x", "y"), corners)),
        greyscale(),
        finding("halo", series("halo", ("distance", "luminance", "share"),
                               [("near", 1.0, 2.0, 1.0), ("far", 20.0, 0.01, 0.1)])),
        finding("over-time", series("over-time", ("time", "luminance", "share"),
                                    [("a", 0.0, 900.0, 100.0), ("b", 1200.0, 700.0, 78.0)])),
        finding("tone", series("tone", curve, tone)),
        finding("uniformity", series("uniformity", ("place-x", "place-y", "luminance", "share",
                                                    "delta-uv"), places)),
        finding("viewing-angle", series("viewing-angle", ("angle", "luminance", "loss"),
                                        [("0", 0.0, 90.0, 0.0), ("40", 40.0, 60.0, 33.0)])),
        finding("window-peak", values=windows),
        finding("zones", values=[Value("zone-columns", "Columns", 32.0, "", among=(32,)),
                                 Value("zone-rows", "Rows", None, "", among=(17, 18))]),
    ]  # fmt: skip
    return [
        Finding(f.name, f.title, condition, run, f.values, f.method, f.source, f.readings,
                f.warnings, f.series) for f in found
    ]  # fmt: skip


def contents(findings, runs=(), display="Lobby wall"):
    """A visit that has these findings."""
    about = About(
        display=display, settings="", place="", created_at=datetime(2031, 5, 4, tzinfo=UTC)
    )
    return VisitContents(
        file="wall.visit", about=about, instruments=[], corrections=[], runs=list(runs), notes=[],
        findings=list(findings), table=Sheet("wall", ["run"], []),
    )  # fmt: skip
