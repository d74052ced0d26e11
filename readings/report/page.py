"""`report.html`: one file, no network, no scripts; from the contents of visits to the template."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from itertools import groupby
from pathlib import Path

from readings.correction.applied import doubts_of
from readings.evidence import Measured
from readings.findings import Finding, Value
from readings.records import Correction, Instrument, Run
from readings.report.gather import RunContents, VisitContents
from readings.uncertainty import written

COLUMNS = 3
"""Runs side by side in one table: what a sheet of paper holds."""
FOLDER = Path(__file__).parent
SPECIFIED = {
    "luminance_relative_uncertainty": "luminance ± {percent} % (k = 2)",
    "luminance_floor": "from {value} cd/m²",
    "luminance_resolution": "shows {value} cd/m²",
    "chromaticity_uncertainty": "x, y ± {value} (k = 2)",
    "chromaticity_resolution": "shows {value} in x, y",
    "luminance_repeatability": "repeats within {percent} %",
    "luminance_noise": "and {value} cd/m² in the dark",
    "chromaticity_repeatability": "x, y repeat within {value}",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One value as it is printed."""

    number: str
    unit: str
    spread: str
    """`± 73`, `± not known`, or empty."""
    bound: str
    """`at least`, `at most`, or empty."""
    step: str
    """The step it was read at, where the row does not say."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value of a finding, run by run."""

    label: str
    cells: list[Cell | None]


@dataclass(frozen=True, slots=True)
class Table:
    """One finding over some runs."""

    findings: list[Finding]
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class Topic:
    """All findings of one title."""

    title: str
    findings: list[Finding]
    tables: list[Table]

    def methods(self) -> dict[str, list[int]]:
        """The methods in order of appearance, each with its runs."""
        methods: dict[str, list[int]] = {}
        for finding in self.findings:
            methods.setdefault(finding.method, []).append(finding.run)
        return methods


def page(visits: Sequence[VisitContents]) -> bytes:
    """The report of some visits as HTML in UTF-8, the same bytes for the same visits."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters |= {
        "time": _time,
        "ranges": ranges,
        "pairs": _pairs,
        "specified": _specified,
        "cell": cell,
        "reading": _reading,
        "as_read": _as_read,
        "correction": _correction,
        "received": _received,
        "codes": _codes,
    }
    text = environment.get_template("report.html.j2").render(
        visits=[{"contents": contents, "topics": topics(contents.findings)} for contents in visits],
        style=(FOLDER / "report.css").read_text("utf-8"),
        guard_counts=_guard_counts,
        ending=_ending,
    )
    return plain(text).encode()


def topics(findings: Iterable[Finding]) -> list[Topic]:
    """Findings of one title together, their runs side by side."""
    by_title: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        by_title.setdefault((finding.name, finding.title), []).append(finding)
    return [
        Topic(
            title,
            listed,
            [_table(listed[i : i + COLUMNS]) for i in range(0, len(listed), COLUMNS)],
        )
        for (_, title), listed in by_title.items()
    ]


def _table(findings: list[Finding]) -> Table:
    """Values of the same name and label share a row; of several, the first with the first."""
    cells: dict[tuple[str, str, int], dict[int, Value]] = {}
    for column, finding in enumerate(findings):
        seen: Counter[tuple[str, str]] = Counter()
        for value in finding.values:
            key = (value.name, value.label)
            cells.setdefault((*key, seen[key]), {})[column] = value
            seen[key] += 1
    rows = [
        Row(label, [cell(by[column]) if column in by else None for column in range(len(findings))])
        for (_, label, _), by in cells.items()
    ]
    return Table(findings, rows)


def cell(value: Value) -> Cell:
    """A value with the digits that its uncertainty allows."""
    step = str(value.where.get("step", ""))
    step = "" if step in value.label else step
    if value.among:
        return Cell(value.written(), "", "", "", step)
    if value.value is None:
        return Cell("undefined", "", "", "", step)
    number, spread = written(value.value, value.uncertainty)
    bound = {"lower": "at least", "upper": "at most", None: ""}[value.bound]
    plus = f"± {_thousands(spread)}" if spread else "± not known"
    if value.bound and not spread:
        plus = ""
    unit = {"cd/m2": "cd/m²"}.get(value.unit, value.unit)
    return Cell(_thousands(number), unit, plus, bound, step)


def _thousands(number: str) -> str:
    """Groups of three from five digits on, by narrow no-break spaces (ISO 80000-1, 7.3.1)."""
    whole, point, rest = number.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    return (whole + point + rest).replace("-", "−")


def ranges(numbers: Iterable[int]) -> str:
    """Numbers as people list them: `1–3, 7`."""
    texts = []
    ordered = enumerate(sorted(numbers))
    for _, group in groupby(ordered, key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        texts.append(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}")
    return ", ".join(texts)


def _time(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"


def _pairs(mapping: Mapping[str, object]) -> str:
    """A record as one line of text, whatever it holds."""
    parts = [f"{key.replace('_', ' ')}: {_one(value)}" for key, value in mapping.items()]
    return ", ".join(parts) or "nothing"


def _one(value: object) -> str:
    if isinstance(value, Mapping):
        return f"({_pairs(value)})"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _specified(instrument: Instrument) -> str:
    specification = instrument.specification
    parts = []
    for field in fields(specification):
        value = getattr(specification, field.name)
        if value is not None:
            text = SPECIFIED[field.name]
            parts.append(text.format(value=f"{value:g}", percent=f"{100 * value:g}"))
    return "; ".join(parts) or "not known, so no uncertainty is stated for its readings"


def _reading(reading: Measured) -> str:
    """What was read, with its unit; the text as received stands beside it."""
    if reading.quantity in {"luminance", "colour"}:
        places = 6 if reading.as_read is None else 5  # a matrix makes digits that nobody read
        return _light(reading.luminance, reading.x, reading.y, places)
    if reading.number is not None:
        return f"{reading.number:.6g}{' ms' if reading.quantity == 'milliseconds' else ''}"
    return reading.text or reading.raw


def _light(luminance: float | None, x: float | None, y: float | None, places: int = 6) -> str:
    light = "" if luminance is None else f"{luminance:.{places}g}\u00a0cd/m²"
    return light if x is None or y is None else f"{light} x\u00a0{x:.4f} y\u00a0{y:.4f}"


def _as_read(reading: Measured) -> str:
    """What the meter gave, where that was corrected; why it was not, where it should be."""
    if reading.as_read is not None:
        before = reading.as_read
        light = _light(before.light.luminance, before.light.x, before.light.y)
        return f"corrected ({before.correction}); as read: {light}"
    return f"not corrected: {reading.uncorrected}" if reading.uncorrected else ""


def _correction(correction: Correction, contents: VisitContents) -> str:
    """One correction as a sentence or two, and whether it is the one that counts."""
    counts = all(
        later.from_instrument != correction.from_instrument or later.id <= correction.id
        for later in contents.corrections
    )
    names = {instrument.id: instrument.name for instrument in contents.instruments}
    pair = f"{names[correction.from_instrument]} to {names[correction.to_instrument]}"
    text = f"{correction.id}: {pair} ({correction.method}), made {_time(correction.made_at)}"
    fit = correction.fit
    light, colour = fit.get("luminance_residual"), fit.get("chromaticity_residual")
    if isinstance(light, (int, float)) and isinstance(colour, (int, float)):
        text += f"; largest residuals {100 * light:.1f} % in luminance, {colour:.4f} in x, y"
    text += ". " + (
        "Its meter's readings are corrected by it." if counts else "A later one takes its place."
    )
    doubts = doubts_of(correction)
    return text + (f" Kept against: {' '.join(doubts)}" if doubts else "")


def _received(reading: Measured) -> str:
    """The text as received, where it says more than the number printed for it."""
    if reading.as_read is not None:
        before = reading.as_read.light
        numbers = [float(found) for found in re.findall(r"\d+(?:\.\d+)?", reading.raw)]
        if sorted(numbers) == sorted((before.luminance, before.x, before.y)):
            return ""  # it stands there as read
    try:
        plain_number = float(reading.raw.replace(",", "."))
    except ValueError:
        return "" if reading.raw == reading.text else reading.raw
    return "" if plain_number in {reading.luminance_as_read, reading.number} else reading.raw


def _codes(reading: Measured) -> str:
    """The codes shown: `level 940; background 64`."""
    inks = []
    for name, codes in reading.inks.items():
        same = len(set(codes)) == 1
        inks.append(f"{name} {codes[0] if same else ' '.join(str(code) for code in codes)}")
    return "; ".join(inks)


def _guard_counts(run: RunContents) -> str:
    counts = Counter(showing.guard for showing in run.showings)
    parts = [f"{counts[s]} {s}" for s in ("verified", "altered", "unknown") if counts[s]]
    return ", ".join(parts) or "nothing was shown"


def _ending(run: Run) -> str:
    if run.ended is None or run.ended_at is None:
        return "not ended"
    return f"{run.ended} {_time(run.ended_at)}"


def plain(text: str) -> str:
    """Text in which control characters, which HTML does not allow, are shown as replaced."""
    return re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", "\ufffd", text)
