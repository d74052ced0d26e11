"""Delay of the picture: from the source to the light, in milliseconds and in frames."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from statistics import fmean

from readings.evidence.measured import Measured
from readings.evidence.shown import box_of
from readings.evidence.uncertainty import COVERAGE, rectangular, type_a, written
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, by_run, grouped, only_found
from readings.findings.kind import FindingKind, Limit, Reads
from readings.findings.share import plain_number


def frame_ms(refresh_hz: float) -> float:
    """Duration of a frame, ms: 16.7 at 60 Hz."""
    return 1000 / refresh_hz


def between_pictures(picture: float) -> float:
    """Standard uncertainty of the time between two events, each seen in one picture of a camera.

    Each event lies anywhere within its picture, so the error of their difference is triangular,
    from minus to plus one picture: picture / sqrt(6) (JCGM 100:2008, 4.3.9, from memory).

    Args:
        picture: time from picture to picture.
    """
    return picture / math.sqrt(6)


TITLE = "Delay of the picture"
SOURCE = (
    "Our own definitions; that a frame is taken off is common practice, no source. Uncertainty: "
    "JCGM 100:2008, from memory"
)
LONGEST_DELAY = 10_000.0
"""ms: what reads above is a slip of the keyboard."""
LATE = 1.2
"""Frames: a picture is drawn within one; the rest is room for reading it. A limit of our own."""
FEW_REPEATS = 5
"""Fewer repeats tell little of how far they scatter: a limit of our own."""


@dataclass(frozen=True, slots=True)
class Delay:
    """The delay of one place."""

    height: float | None
    """% of the height from the top, of the middle of the flash; None where it is not told."""
    label: str
    value: float
    """ms."""
    standard: float | None
    """Standard uncertainty, ms; None where it is not known."""
    repeats: int


class PictureDelay(FindingKind):
    """Delay by place, less a frame, and from top to bottom, per run.

    Reads the role `delay` in milliseconds, and `counter`: two numbers on one photograph.
    """

    name = "delay"
    subject = "the delay of the picture"
    reads = (
        Reads(
            ("delay",),
            "a `flash` at the top, in the middle, at the bottom; `camera 240 Hz` in the label or "
            "in what is read tells its rate",
            ("milliseconds",),
        ),
        Reads(
            ("counter",),
            "a `frame-counter`; the source's number first, then the display's",
            ("text",),
        ),
    )
    limits = (
        Limit(
            ("delay-less-frame",),
            "at most",
            45.0,
            "ms",
            "Rec. ITU-R BT.1359-1: sound ahead of the picture is noticed from there on; from "
            "memory",
            "The picture is not late enough to be noticed against its sound",
            "The picture is late enough to be noticed against its sound",
            "Whether the picture is noticeably late against its sound cannot be told",
        ),
    )
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(_finding(mine) for mine in by_run(readings).values())


def _finding(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    read = [r for r in mine if r.role == "delay" and r.quantity == "milliseconds"]
    timed = _possible(read, basis)
    places = [
        _delay(height, label, repeats, basis)
        for (height, label), repeats in grouped(timed, _place).items()
    ]
    hertz = next((r.refresh_hz for r in mine if r.refresh_hz), None)
    frame = frame_ms(hertz) if hertz and math.isfinite(hertz) else None
    counted = _counted(mine, frame, basis)
    if not places and not counted:
        unknown = Value("delay", "Delay", None, "ms", titled=True)
        return basis.nothing("delay", mine[0], title=TITLE, value=unknown, source=SOURCE)
    values: list[Value] = []
    if places:
        middle = min(places, key=lambda place: abs((place.height or 0.0) - 50))
        others = [place for place in places if place is not middle]
        values += [_value(place) for place in (middle, *others)]
        if any(place.standard is None for place in places):
            basis.warn(
                "The uncertainty of a delay is not known: read it several times, or say the "
                "camera's rate in the label, as in `camera 240 Hz`."
            )
        values += _in_frames(middle, frame, basis) + _scan(places, frame, basis)
    values += counted
    frame_text = "" if frame is None else f" ({written(frame)[0]} ms at {hertz:.6g} Hz)"
    return basis.finding(
        "delay",
        mine[0],
        title=TITLE,
        values=values,
        method=(
            "Time from the source to the light of the patch, the middle of the picture first. "
            f"Less a frame{frame_text}: without the time that the signal itself takes for one "
            "picture. The difference from the top to the bottom shows whether the display draws "
            "from the top. Uncertainty: of repeats, of the last digit, and of a camera whose rate "
            "is told (each event lies somewhere in its picture). Frame counters: the difference of "
            "the two numbers, times a frame."
        ),
        source=SOURCE,
    )


def _possible(read: Sequence[Measured], basis: Basis) -> list[Measured]:
    kept = []
    for reading in read:
        if reading.number is None or not math.isfinite(reading.number):
            continue
        if not 0 <= reading.number <= LONGEST_DELAY:
            basis.warn(
                f"Reading {reading.reading} ({reading.label}) is no delay that a picture has, and "
                "does not count; was it mistyped?"
            )
            continue
        kept.append(reading)
    return kept


def _place(reading: Measured) -> tuple[float | None, str]:
    """Height in % from the top, and the name of the place."""
    at = reading.parameters.get("at")
    written_at = at.get("y") if isinstance(at, dict) else None
    text = str(written_at or "")
    height = plain_number(text.replace("%", " ")) if text.endswith("%") else None
    box = box_of(reading)
    if box is not None and reading.canvas[1] > 0:
        height = 100 * (box.y + box.height / 2) / reading.canvas[1]
    if height is None:
        return None, reading.label
    height = round(height, 1)
    names = {10.0: "top", 50.0: "middle", 90.0: "bottom"}
    return height, names.get(height, f"{written(height)[0]} % from the top")


def _delay(height: float | None, label: str, repeats: Sequence[Measured], basis: Basis) -> Delay:
    basis.used += repeats
    numbers = [reading.number or 0.0 for reading in repeats]
    cameras = [camera_ms(reading) for reading in repeats]
    camera = max((each for each in cameras if each is not None), default=None)
    seen = type_a(numbers)
    by_camera = None if camera is None else between_pictures(camera) / math.sqrt(len(numbers))
    known = [part for part in (seen, by_camera) if part is not None]
    standard = None
    if known:
        digit = rectangular(max((_digit(reading) for reading in repeats), default=0.0))
        standard = math.hypot(max(known), digit)
    if seen is not None and camera is None and len(numbers) < FEW_REPEATS:
        basis.warn(f"Few repeats ({len(numbers)}) carry the uncertainty of a delay.")
    return Delay(height, label, fmean(numbers), standard, len(numbers))


def camera_ms(reading: Measured) -> float | None:
    """Time from picture to picture of the camera, ms, where the step says its rate."""
    texts = (reading.of or "", reading.label, f"camera {reading.variables.get('camera', '')}")
    for text in texts:
        found = re.search(r"camera\D{0,20}?(\d{1,6}(?:\.\d+)?)\s*(?:Hz|fps)\b", text, re.IGNORECASE)
        if found and float(found[1]) > 0:
            return 1000 / float(found[1])
    return None


def _digit(reading: Measured) -> float:
    """The last digit as typed, ms; a whole millisecond where it is not a plain number."""
    try:
        exponent = Decimal(reading.raw.split()[0].replace(",", ".")).as_tuple().exponent
    except (InvalidOperation, IndexError):
        return 1.0
    # 63.0 is known to a tenth, 1e9 no better than to 1
    return float(10.0 ** min(max(exponent, -6), 0)) if isinstance(exponent, int) else 1.0


def _value(place: Delay) -> Value:
    spread = place.standard and COVERAGE * place.standard
    where: dict[str, object] = {"place": place.label, "repeats": place.repeats}
    if place.height is not None:
        where["height_percent"] = place.height
    return Value("delay", f"Delay, {place.label}", place.value, "ms", spread or None,
                 where=where)  # fmt: skip


def _in_frames(place: Delay, frame: float | None, basis: Basis) -> list[Value]:
    if frame is None:
        basis.warn("The refresh of the output is not known, so nothing is told in frames.")
        return []
    spread = (place.standard and COVERAGE * place.standard) or None
    rate = {"frame_ms": round(frame, 4)}
    return [
        Value("delay-less-frame", f"Delay, {place.label}, less a frame of {written(frame)[0]} ms",
              place.value - frame, "ms", spread, where=rate),
        Value("delay-frames", f"Delay, {place.label}, in frames", place.value / frame, "",
              spread and spread / frame, where=rate),
    ]  # fmt: skip


def _scan(places: Sequence[Delay], frame: float | None, basis: Basis) -> list[Value]:
    """From the highest place to the lowest."""
    placed = sorted(
        ((place.height, place) for place in places if place.height is not None),
        key=lambda each: each[0],
    )
    if len(placed) < 2:
        return []
    (above, top), (below, bottom) = placed[0], placed[-1]
    spread = None
    if top.standard is not None and bottom.standard is not None:
        spread = COVERAGE * math.hypot(top.standard, bottom.standard)
    difference = bottom.value - top.value
    where: dict[str, object] = {"from_percent": above, "to_percent": below}
    if below > above:
        where["whole_ms"] = round(100 * difference / (below - above), 2)
    if frame is not None:
        where["of_a_frame_percent"] = round(100 * difference / frame, 1)
        if difference - (spread or 0.0) > LATE * frame:
            basis.warn(
                "From top to bottom the delay grows by more than a frame: was one of them read a "
                "frame late?"
            )
    label = f"Scan-out, from {top.label} to {bottom.label}"
    return [Value("scan-out", label, difference, "ms", spread, where=where)]


def _counted(mine: Sequence[Measured], frame: float | None, basis: Basis) -> list[Value]:
    """Two numbers on one photograph: source first, display second."""
    read = [r for r in mine if r.role == "counter" and r.text]
    frames = []
    for reading in read:
        numbers = re.findall(r"\d{1,9}", str(reading.text))
        if len(numbers) != 2:
            basis.warn(f"{reading.label}: {reading.text} is not two numbers, and does not count.")
            continue
        modulo = plain_number(reading.parameters.get("modulo", ""))
        ahead = int(numbers[0]) - int(numbers[1])
        if ahead < 0 and modulo is not None and modulo > 0:
            ahead += int(modulo)
        if ahead < 0:
            basis.warn(
                f"{reading.label}: the display ({numbers[1]}) is ahead of the source "
                f"({numbers[0]}), and does not count; were the numbers exchanged?"
            )
            continue
        frames.append(float(ahead))
        basis.used.append(reading)
    if not frames:
        return []
    if frame is None:
        basis.warn("The refresh of the output is not known, so frame counters give no time.")
        return []
    seen = type_a(frames) or 0.0
    standard = math.hypot(seen, between_pictures(1.0) / math.sqrt(len(frames)))
    return [
        Value(
            "counter-delay", "Delay by frame counters", fmean(frames) * frame, "ms",
            COVERAGE * standard * frame, where={"photographs": len(frames)},
        )
    ]  # fmt: skip
