"""The words of a report, made once: the page, the sheets and the terminal only lay them out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import datetime

from patterns.aim import Aim
from patterns.words import count, figures
from readings.evidence.correction.applied import doubts_of, set_aside_text
from readings.evidence.measured import Measured
from readings.findings import Finding
from readings.ranges import ranges
from readings.report.gather import RunContents, VisitContents
from readings.report.history import Said
from readings.report.tables import Topic
from readings.visit.receives import RECEIVED, received_of
from readings.visit.records import Correction, Instrument, Note, Run

KICKER = "Display report"
UNCERTAINTY = (
    "± is the expanded uncertainty, k = 2 (about 95 %); in brackets, alike, is what a thing may be "
    "that errors move more to one side"
)
LEGEND = (
    f"{UNCERTAINTY}, by JCGM 100:2008. Numbers keep no more digits than that allows. A "
    "thing is called good, or not, only where the whole of its uncertainty lies on one side of its "
    "limit."
)
CLOSING = (
    "“Verified” means that the picture handed to the display output held the codes asked for; "
    "nothing is claimed about the cable or the display's own processing. Times are in UTC. The "
    "same numbers, for machines, are in findings.json; all readings, with the codes shown, in "
    "readings.xlsx."
)
DISPLAY, NOTES, STATED = "Display and instruments", "Notes", "Stated afterwards"
"""Heads of parts."""
STATED_NOTE = (
    "Nothing that was kept is changed by it: what was said first stays in the visit, and the last "
    "counts."
)
SAID = ("When", "What", "Before", "Since then", "By", "Why")
"""Heads of the table of what was stated afterwards."""
VALUE = "Value"
READING = ("No.", "Step", "Reading", "Codes shown", "Picture", "Meter", "Time")
"""Heads of the table of readings."""
THIS_TABLE = "the runs of this table"
"""Where a picture beside a table is from."""

SPECIFIED = {
    "luminance_relative_uncertainty": "luminance ± {percent} % (k = 2)",
    "luminance_floor": "from {value} cd/m²",
    "luminance_resolution": "shows {value} cd/m²",
    "chromaticity_uncertainty": "x, y ± {value} (k = 2)",
    "chromaticity_resolution": "shows {value} in x, y",
    "luminance_repeatability": "repeats within {percent} %",
    "luminance_noise": "repeats within {value} cd/m² in the dark",
    "chromaticity_repeatability": "x, y repeat within {value}",
    "luminance_linearity": "linear to {percent} % a decade",
}


def aim_text(aim: Aim) -> str:
    """What the display is meant to do; or what is taken where nothing was stated."""
    taken = "what each signal says: BT.1886, PQ or HLG, with white D65"
    if not aim:
        return f"not stated; taken is {taken}"
    return f"{light_unit(aim.told())}; for the rest {taken}"


def condition_text(condition: str) -> str:
    """A run's condition, or that it has none."""
    return condition or "no condition named"


def run_text(run: int, condition: str) -> str:
    """A run as it is pointed at: `run 4: dimming on`; `run 4` where no condition was named."""
    return f"run {run}: {condition}" if condition else f"run {run}"


def run_head(contents: RunContents) -> str:
    """The same over what is told of the run, with that it is set aside where it is."""
    run = contents.run
    aside = "" if run.counted else ", set aside"
    return f"{capital(run_text(run.id, run.condition))}{aside}"


def set_aside_of(contents: RunContents) -> str:
    """Who set a run aside, when and why; empty of one that counts."""
    if contents.run.counted:
        return ""
    kept = "What was read is kept, and is in no finding."
    said = contents.aside
    if said is None:
        return kept
    by = f", by {said.by}" if said.by else ""
    why = f": {said.why.rstrip('.')}" if said.why else "; no reason was given"
    return f"{time_text(said.at)}{by}{why}. {kept}"


def said_cells(said: Said) -> tuple[str, ...]:
    """One row of the table of what was stated afterwards."""
    what = {
        "display": "Name of the display",
        "settings": "Settings",
        "place": "Place",
        "condition": f"Condition of run {said.run}",
        "counted": f"Run {said.run}",
        "instrument": f"Instrument of {count(len(said.readings), 'reading')} of run {said.run}",
        "aim": f"Aim of run {said.run}" if said.run else "Aim",
    }[said.what]
    ends = (_said_text(said, each) for each in (said.before, said.now))
    return (time_text(said.at), what, *ends, said.by or "not given", said.why)


def _said_text(said: Said, stood: str | Aim) -> str:
    if isinstance(stood, Aim):
        return light_unit(stood.told()) if stood else "not stated"
    if said.what == "counted":
        return "counts" if stood == "yes" else "set aside"
    if said.what == "condition":
        return condition_text(stood)
    return stood or ("none named" if said.what == "instrument" else "not given")


def simulated_text(contents: VisitContents) -> str:
    """What the front page says where a display was simulated; empty where none was."""
    counted = contents.counted_runs()
    simulated = [run.run.id for run in counted if run.run.output == "simulated"]
    if not simulated:
        return ""
    if len(simulated) == len(counted):
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
    return figures(value, 6) if isinstance(value, float) else str(value)


def specified_text(instrument: Instrument) -> str:
    specification = instrument.specification
    parts = []
    for field in fields(specification):
        value = getattr(specification, field.name)
        if value is not None:
            text = SPECIFIED[field.name]
            parts.append(text.format(value=figures(value), percent=figures(100 * value)))
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
    light = "" if luminance is None else f"{figures(luminance, places)}\u00a0cd/m²"
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
        if later.counted
    )
    names = {instrument.id: instrument.name for instrument in contents.instruments}
    pair = f"{names[correction.from_instrument]} to {names[correction.to_instrument]}"
    text = f"{correction.id}: {pair} ({correction.method}), made {time_text(correction.made_at)}"
    fit = correction.fit
    light, colour = fit.get("luminance_residual"), fit.get("chromaticity_residual")
    if isinstance(light, (int, float)) and isinstance(colour, (int, float)):
        text += f"; largest residuals {100 * light:.1f} % in luminance, {colour:.4f} in x, y"
    if not correction.counted:
        text += f". It is not used: {set_aside_text(correction)}."
    else:
        text += ". " + (
            "Its meter's readings are corrected by it."
            if counts
            else "A later one takes its place."
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


def derivation_text(reading: Measured) -> str:
    """How a meter's value was derived, where it is more than the one number."""
    return "" if reading.derivation is None else str(reading.derivation)


def meter_text(reading: Measured) -> str:
    """The meter's name, or that there was none."""
    return reading.instrument_name or "no meter"


def clock_text(reading: Measured) -> str:
    """The time of day that a reading was taken at."""
    return f"{reading.taken_at:%H:%M:%S}"


def codes_text(reading: Measured) -> str:
    """The codes shown: `level 940; background 64`."""
    inks = []
    for name, codes in reading.inks.items():
        same = len(set(codes)) == 1
        inks.append(f"{name} {codes[0] if same else ' '.join(str(code) for code in codes)}")
    return "; ".join(inks)


def display_receives_text(run: RunContents) -> str:
    """What the display was seen to receive, in its order; empty where that was not kept."""
    return "; then ".join(RECEIVED.get(each, each) for each in received_of(run.showings))


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


def capital(text: str) -> str:
    """The first letter alone: conditions stay as they were written."""
    return text[:1].upper() + text[1:]


def which_visit(number: int, of: int) -> str:
    """What stands over a visit: which it is, where there are several."""
    return f"{KICKER}, visit {number} of {of}" if of > 1 else KICKER


def heading_facts(contents: VisitContents) -> str:
    """What stands below the display's name: the place, the time, the file."""
    about = contents.about
    facts = (about.place, time_text(about.created_at), contents.file)
    return " · ".join(fact for fact in facts if fact)


def settings_text(contents: VisitContents) -> str:
    """How the display was set; empty where nobody said."""
    return f"Settings: {contents.about.settings}" if contents.about.settings else ""


def listed_text(contents: VisitContents) -> str:
    """A visit in the list of several, after its number and its file."""
    about = contents.about
    settings = f", settings: {about.settings}" if about.settings else ""
    return f"{about.display}, {time_text(about.created_at)}{settings}"


def nothing_found(contents: VisitContents) -> str:
    """What is said where there is no finding; empty where there is one."""
    if contents.runs and not contents.counted_runs():
        return "Every run of this visit is set aside, so there is nothing to find."
    if not contents.readings():
        return "No reading was taken in this visit, so there is nothing to find."
    if not contents.findings and not contents.not_worked_out:
        return "Readings were taken, but none that a finding speaks to."
    return ""


def warnings_stand(number: int) -> str:
    """That warnings stand with the findings; empty where none does."""
    if not number:
        return ""
    stand = "1 warning stands" if number == 1 else f"{number} warnings stand"
    return f"{stand} with the findings below: read them before you rely on a number."


def limit_text(held: str, *, assumed: bool = False) -> str:
    """What a sentence is held against, and whether it rests on the meter that is assumed where
    nothing is promised of the real one; empty where it is held against nothing."""
    why = "as how far the real one errs is not known"
    rests = f" It rests on an assumed meter, {why}." if assumed else ""
    return f"Limit: {held}.{rests}" if held else ""


def named_figure(what: str, sentence: str) -> str:
    """What stands before a figure; nothing where the sentence over it says the same."""
    return f"{what}: " if what and what != sentence else ""


def drawn_from(where: str, left_out: int) -> str:
    """Below a picture: what it is drawn of, and what there was no room for."""
    text = f"From {where}."
    if left_out:
        runs = "run is" if left_out == 1 else "runs are"
        text += f" {left_out} more {runs} in the tables only."
    return text


def warnings_head(finding: Finding) -> str:
    """What stands over the warnings of a finding."""
    return f"Warnings, {run_text(finding.run, finding.condition)}"


def long_title(title: str, finding: Finding) -> str:
    """What stands over a long table."""
    return f"{title}, {run_text(finding.run, finding.condition)}"


def step_at(step: str) -> str:
    """Which step a value is of, where its row does not say."""
    return f"at {step}" if step else ""


def note_head(note: Note) -> str:
    """When a note was written, and what it is about."""
    run = f", run\u00a0{note.run}" if note.run else ""
    return time_text(note.at) + run + (f", step\u00a0{note.step}" if note.step else "")


Named = list[tuple[str, str]]
"""Rows of a name and a text."""


def origin(topic: Topic) -> Named:
    """How the findings of a topic were worked out, after whom, and from which readings."""
    methods = topic.methods()
    several = len(methods) > 1
    used = (f"run {each.run}: {ranges(each.readings)}" for each in topic.findings)
    return [
        *(
            (f"Method, run {ranges(runs)}" if several else "Method", light_unit(method))
            for method, runs in methods.items()
        ),
        ("Source", f"{topic.findings[0].source}."),
        ("Readings used", f"{'; '.join(used)}."),
    ]


def display_rows(contents: VisitContents) -> Named:
    """The display, its instruments and their corrections."""
    about = contents.about
    rows = [
        ("Display", about.display),
        ("Place", about.place or "not given"),
        ("Aim", aim_text(contents.aim)),
        ("Settings", about.settings or "not given"),
    ]
    for meter in contents.instruments:
        text = f"{meter.name} ({meter.kind}): {specified_text(meter)}."
        later = sum(
            reading.named_at is not None and reading.instrument == meter.id
            for reading in contents.readings()
        )
        if later:
            text += f" Named afterwards for {count(later, 'reading')}."
        rows.append((meter.role.capitalize(), text))
    if not contents.instruments:
        rows.append(("Instruments", "none named"))
    return rows + [("Correction", correction_text(each, contents)) for each in contents.corrections]


def run_rows(contents: RunContents) -> Named:
    """What is to be known of a run."""
    run = contents.run
    digest = f"SHA-256 {run.sequence_sha256[:12]}…"
    shown = pairs_text(run.signal_shown)
    if run.signal_asked != run.signal_shown:
        shown += f" (asked: {pairs_text(run.signal_asked)})"
    rate = f" at {run.refresh_hz:g} Hz" if run.refresh_hz else ""
    replaced = count(contents.retaken, "earlier reading")
    aim = contents.stated.told()
    rows = [
        ("Set aside", set_aside_of(contents)),
        ("Sequence", f"{run.sequence_title} ({run.sequence_source}, {digest})"),
        *([("Aim of its own", light_unit(aim))] if aim else []),
        ("Time", f"{time_text(run.started_at)}, {ending_text(run)}"),
        ("Signal shown", shown),
        ("Canvas", f"{run.canvas[0]} × {run.canvas[1]}{rate}, output: {run.output}"),
        ("Display reports that it receives", display_receives_text(contents)),
        ("Pictures shown", guard_counts_text(contents)),
        ("Guards at the start", pairs_text(run.guards) if run.guards else ""),
        ("Changed for this run", pairs_text(run.overrides) if run.overrides else ""),
        ("Presses", f"{len(contents.tallies)}" if contents.tallies else ""),
        ("Readings", f"{len(contents.measured) or 'none'}"),
        ("Retaken", f"{replaced} replaced, kept in the visit" if contents.retaken else ""),
    ]
    return [(name, text) for name, text in rows if text]
