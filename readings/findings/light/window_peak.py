"""Peak luminance by window area, and how a lit area loads the display."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from readings.evidence.measured import Measured
from readings.evidence.shown import area_of, codes_of
from readings.evidence.uncertainty import Estimate, ratio_of, written
from readings.findings.base import Finding, Number, Value
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import Drawn, FindingKind, Limit, Reads
from readings.findings.ratio import gain_note, level_value
from readings.findings.share import asked_of, value_of
from readings.visit.records import Codes

TITLE = "Peak luminance by window area"
SOURCE = (
    "Our own definitions, after the practice of measuring white windows of several areas; "
    "luminance loading too is a definition of our own"
)


@dataclass(frozen=True, slots=True)
class Window:
    """One area at one level, and what was read there."""

    area: float
    """Percent of the canvas, as shown."""
    codes: Codes
    label: str
    estimate: Estimate
    target: float | None
    """cd/m2 that the signal asks for, where it is absolute."""


class WindowPeak(FindingKind):
    """Luminance for each window area, the largest, and the loading, per run.

    Reads the roles `window`, and `black` beside it.
    """

    name = "window-peak"
    subject = "peak luminance by window area"
    reads = (Reads(("window",), "a `window` or `field`", beside=("black",)),)
    limits = (
        Limit(
            ("peak-luminance",),
            "at least",
            1000.0,
            "cd/m2",
            "Rec. ITU-R BT.2100-3, reference viewing, from memory",
            "Highlights reach what HDR is judged at",
            "Highlights stay below what HDR is judged at",
            "Whether highlights reach what HDR is judged at cannot be told",
            transfers=("pq", "hlg"),
        ),
    )
    pictures = (Drawn("peak_by_area"),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(_finding(mine) for mine in by_run(readings).values())


def _finding(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    windows = _windows(mine, basis)
    if not windows:
        unknown = Value("peak-luminance", "Peak luminance", None, "cd/m2", titled=True)
        return basis.nothing("window-peak", mine[0], title=TITLE, value=unknown, source=SOURCE)
    levels = {window.codes for window in windows}
    if len(levels) > 1:
        basis.warn(
            f"The windows have {len(levels)} levels; each is compared with the full field of its "
            "own level only."
        )
    peak = max(windows, key=lambda window: window.estimate.value)
    values = [replace(_luminance(peak, "peak-luminance", "Peak luminance"), titled=True)]
    values += [
        _luminance(window, "window-luminance", window.label, at=window.label) for window in windows
    ]
    note = ""
    for codes in sorted(levels, reverse=True):
        series = [window for window in windows if window.codes == codes]
        loading, gain = _loading(series, basis)
        values += loading
        note = note or gain
    blacks = with_light((reading for reading in mine if reading.role == "black"), basis)
    if blacks:
        black = basis.estimate(blacks)
        values.append(level_value("black-luminance", "Black", [black]))
        if black.at_floor:
            basis.warn(
                "Black is at or below the lowest luminance that the meter is specified for: it is "
                "at most that."
            )
    _look_for_excess(windows, basis)
    return basis.finding(
        "window-peak",
        mine[0],
        title=TITLE,
        values=values,
        method=(
            "Luminance at the window, for each area as it was really drawn; the largest is the "
            "peak. Luminance loading = (window − full field) / window, both at the same level."
            f"{note}"
        ),
        source=SOURCE,
    )


def _windows(mine: Sequence[Measured], basis: Basis) -> list[Window]:
    """All windows read, the brightest level first, then by area."""
    shown = with_light((reading for reading in mine if reading.role == "window"), basis)
    areas = {reading.reading: _area(reading, basis) for reading in shown}
    windows = []
    for (codes, area), repeats in grouped(
        shown, lambda reading: (codes_of(reading), areas[reading.reading])
    ).items():
        if codes is not None and area is not None:
            first, estimate = repeats[0], basis.estimate(repeats)
            windows.append(Window(area, codes, first.label, estimate, asked_of(first, codes)))
    return sorted(windows, key=lambda w: (tuple(-code for code in w.codes), w.area))


def _area(reading: Measured, basis: Basis) -> float | None:
    """Percent of the canvas: as drawn; else a full field; else as asked; else None."""
    drawn = area_of(reading)
    if drawn is not None:
        return drawn
    asked = str(reading.parameters.get("area", "")).removesuffix("%").strip()
    try:
        area = float(asked)
    except ValueError:
        area = 0.0
    if 0 < area <= 100:
        basis.warn(f"{reading.label}: the area drawn was not kept; the area asked for is given.")
        return area
    basis.warn(f"{reading.label}: its area is not known, so it does not count.")
    return None


def _where(window: Window) -> dict[str, object]:
    return {
        "area_percent": round(window.area, 6),
        "codes": list(window.codes),
        "step": window.label,
    }


def _luminance(window: Window, name: str, label: str, at: str = "") -> Value:
    return level_value(name, label, [window.estimate], _where(window), at=at)


def _loading(series: Sequence[Window], basis: Basis) -> tuple[list[Value], str]:
    """(window - full) / window, percent, for each window of one level; and a note on method."""
    full = next((window for window in series if window.area >= 100), None)
    if full is None:
        basis.warn("No full field of the windows' level was read, so there is no loading.")
        return [], ""
    values, note = [], ""
    for window in series:
        if window is full:
            continue
        row, at = "Loading", f"{window.label} to full field"
        label, where = f"{row}: {at}", _where(window)
        if window.estimate.value <= 0:
            basis.warn(f"{window.label} reads 0 or less, so its loading is undefined.")
            values.append(Value("luminance-loading", label, None, "%", where=where, row=row, at=at))
            continue
        kept = ratio_of([full.estimate], [window.estimate])
        basis.look_at(kept)
        loading = Number.of(100 * (1 - kept.value), kept.expanded and 100 * kept.expanded)
        values.append(value_of("luminance-loading", label, loading, "%", where, row=row, at=at))
        note = note or gain_note(kept)
    return values, note


def _look_for_excess(windows: Sequence[Window], basis: Basis) -> None:
    above = []
    for window in windows:
        read, target = window.estimate, window.target
        if target is not None and read.value - (read.expanded or 0.0) > target:
            above.append(
                f"{window.label} {written(read.value, read.expanded)[0]} against "
                f"{written(target)[0]} cd/m2"
            )
    if above:
        basis.warn(f"Brighter than the signal asks for: {'; '.join(above)}.")
