"""Records of a visit as texts that people read, the same on the page and on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import datetime

from readings.evidence.correction.applied import doubts_of
from readings.evidence.measured import Measured
from readings.findings import Finding
from readings.ranges import ranges
from readings.report.gather import RunContents, VisitContents
from readings.visit.records import Correction, Instrument, Run

SPECIFIED = {
    "luminance_relative_uncertainty": "luminance ± {percent} % (k = 2)",
    "luminance_floor": "from {value} cd/m²",
    "luminance_resolution": "shows {value} cd/m²",
    "chromaticity_uncertainty": "x, y ± {value} (k = 2)",
    "chromaticity_resolution": "shows {value} in x, y",
    "luminance_repeatability": "repeats within {percent} %",
    "luminance_noise": "repeats within {value} cd/m² in the dark",
    "chromaticity_repeatability": "x, y repeat within {value}",
}


def condition_text(condition: str) -> str:
    """A run's condition, or that it has none."""
    return condition or "no condition named"


def run_text(run: int, condition: str) -> str:
    """A run as it is pointed at: `run 4: dimming on`; `run 4` where no condition was named."""
    return f"run {run}: {condition}" if condition else f"run {run}"


def simulated_text(contents: VisitContents) -> str:
    """What the front page says where a display was simulated; empty where none was."""
    simulated = [run.run.id for run in contents.runs if run.run.output == "simulated"]
    if not simulated:
        return ""
    if len(simulated) == len(contents.runs):
        return "The display is simulated: these readings say nothing about a real one."
    return (
        f"In run {ranges(simulated)} the display is simulated: what was read there says nothing "
        "about a real one."
    )


def damage_texts(contents: VisitContents) -> list[str]:
    """What the front page says of a damaged file, or of one whose damage could not be seen."""
    unseen = contents.soundness.unseen()
    return [*contents.soundness.sentences(), *([unseen] if unseen else [])]


def time_text(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"


def pairs_text(mapping: Mapping[str, object]) -> str:
    """A record as one line of text, whatever it holds."""
    parts = [f"{key.replace('_', ' ')}: {_one(value)}" for key, value in mapping.items()]
    return ", ".join(parts) or "nothing"


def _one(value: object) -> str:
    if isinstance(value, Mapping):
        return f"({pairs_text(value)})"
    return f"{value:g}" if isinstance(value, float) else str(value)


def specified_text(instrument: Instrument) -> str:
    specification = instrument.specification
    parts = []
    for field in fields(specification):
        value = getattr(specification, field.name)
        if value is not None:
            text = SPECIFIED[field.name]
            parts.append(text.format(value=f"{value:g}", percent=f"{100 * value:g}"))
    return "; ".join(parts) or "not known, so no uncertainty is stated for its readings"


def reading_text(reading: Measured) -> str:
    """What was read, with its unit; the text as received stands beside it."""
    if reading.of_light:
        places = 6 if reading.as_read is None else 5  # a matrix makes digits that nobody read
        return _light(reading.luminance, reading.x, reading.y, places)
    if reading.number is not None:
        return f"{reading.number:.6g}{' ms' if reading.quantity == 'milliseconds' else ''}"
    return reading.text or reading.raw


def _light(luminance: float | None, x: float | None, y: float | None, places: int = 6) -> str:
    light = "" if luminance is None else f"{luminance:.{places}g}\u00a0cd/m²"
    return light if x is None or y is None else f"{light} x\u00a0{x:.4f} y\u00a0{y:.4f}"


def as_read_text(reading: Measured) -> str:
    """What the meter gave, where that was corrected; why it was not, where it should be."""
    if reading.as_read is not None:
        before = reading.as_read
        light = _light(before.light.luminance, before.light.x, before.light.y)
        return f"corrected ({before.correction}); as read: {light}"
    return f"not corrected: {reading.uncorrected}" if reading.uncorrected else ""


def correction_text(correction: Correction, contents: VisitContents) -> str:
    """One correction as a sentence or two, and whether it is the one that counts."""
    counts = all(
        later.from_instrument != correction.from_instrument or later.id <= correction.id
        for later in contents.corrections
    )
    names = {instrument.id: instrument.name for instrument in contents.instruments}
    pair = f"{names[correction.from_instrument]} to {names[correction.to_instrument]}"
    text = f"{correction.id}: {pair} ({correction.method}), made {time_text(correction.made_at)}"
    fit = correction.fit
    light, colour = fit.get("luminance_residual"), fit.get("chromaticity_residual")
    if isinstance(light, (int, float)) and isinstance(colour, (int, float)):
        text += f"; largest residuals {100 * light:.1f} % in luminance, {colour:.4f} in x, y"
    text += ". " + (
        "Its meter's readings are corrected by it." if counts else "A later one takes its place."
    )
    doubts = doubts_of(correction)
    return text + (f" Kept against: {' '.join(doubts)}" if doubts else "")


def received_text(reading: Measured) -> str:
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


def codes_text(reading: Measured) -> str:
    """The codes shown: `level 940; background 64`."""
    inks = []
    for name, codes in reading.inks.items():
        same = len(set(codes)) == 1
        inks.append(f"{name} {codes[0] if same else ' '.join(str(code) for code in codes)}")
    return "; ".join(inks)


def guard_counts_text(run: RunContents) -> str:
    """`19 unknown (the display is simulated)`: with the reason where all share one."""
    parts = []
    for state in ("verified", "altered", "unknown"):
        whys = [showing.guard_why for showing in run.showings if showing.guard == state]
        shared = whys[0] if state != "verified" and len(set(whys)) == 1 else ""
        parts += [f"{len(whys)} {state}{f' ({shared})' if shared else ''}"] if whys else []
    return ", ".join(parts) or "nothing was shown"


def step_text(reading: Measured) -> str:
    """`3. Checkerboard, lit box 1`; with what it is of where the label does not say so."""
    of = f" of {reading.of}" if reading.of and reading.of not in reading.label else ""
    return f"{reading.step}. {reading.label}{of}"


def ending_text(run: Run) -> str:
    if run.ended is None or run.ended_at is None:
        return "not ended"
    return f"{run.ended} {time_text(run.ended_at)}"


def light_unit(text: str) -> str:
    """A sentence with its cd/m2 as people write it."""
    return text.replace("cd/m2", "cd/m²")


def from_where(findings: Iterable[Finding]) -> str:
    """Which runs and readings a picture is drawn of."""
    parts: dict[int, set[int]] = {}
    for finding in findings:
        parts.setdefault(finding.run, set()).update(finding.readings)
    return "; ".join(f"run {run}: readings {ranges(ids)}" for run, ids in sorted(parts.items()))
