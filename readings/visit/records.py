"""What a visit file holds, as plain records: no database here, and no arithmetic beyond names.

Luminance is in cd/m2, times are aware datetimes in UTC, and None means unknown, never zero.
Every record that comes out of a visit carries the `id` that the visit gave it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from typing import Any, Literal

from patterns.aim import Aim
from patterns.control import Control
from patterns.faults import Faults
from patterns.quantity import LIGHT, Quantity
from readings.visit.derivation import Derivation

GuardState = Literal["verified", "altered", "unknown"]
InstrumentRole = Literal["spot meter", "reference"]
Output = Literal["window", "files", "simulated"]
Ending = Literal["finished", "left"]
Axis = Literal["horizontal", "vertical"]
Direction = Literal["forward", "backward"]
Stating = Literal[
    "display", "settings", "place", "condition", "counted",
    "meter", "instrument", "reference", "range", "screen", "operator",
]  # fmt: skip
"""What may be stated: of the display and of runs, which corrects what was kept at first; and what
was played with last, which the next run takes."""
TurnEvent = Literal["turned", "left out", "taken in"]
NoticedOfControl = Literal["no effect seen", "reversed", "dead zone", "at its ceiling"]
"""What may be found out about a control."""
AdjustmentEnd = Literal[
    "reached", "within the meter", "not worth the time", "nothing left", "ended by hand", "gone on"
]
"""How the adjusting of a step ended; after `gone on` it is open again."""
TaskEventKind = Literal["added", "begun", "done", "answered", "left out", "taken up"]

Json = Mapping[str, Any]
Codes = tuple[int, int, int]
Triple = tuple[float, float, float]


def text_sha256(text: str) -> str:
    """The SHA-256 of a sequence's text in UTF-8, as 64 lower-case hexadecimal digits."""
    return sha256(text.encode("utf-8")).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """The sitting itself."""

    display: str
    """The display's name, never empty."""
    settings: str
    """How the display was set, in the operator's words; may be empty."""
    place: str
    """Where it hangs; may be empty."""
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Specification:
    """What an instrument's maker promises. Each value is positive, or None when unknown.

    `readings.bounds.PROMISES` says between what a description of an instrument may put each.
    """

    luminance_relative_uncertainty: float | None = None
    """Expanded (k = 2), relative: 0.02 is 2 %."""
    luminance_floor: float | None = None
    """The lowest luminance the instrument is specified for, cd/m2."""
    luminance_resolution: float | None = None
    """The last digit shown, cd/m2."""
    chromaticity_uncertainty: float | None = None
    """Expanded (k = 2), absolute, in each of CIE 1931 x and y."""
    chromaticity_resolution: float | None = None
    """The last digit shown, in x and y."""
    luminance_repeatability: float | None = None
    """How far one reading lies from the mean of many in good light: expanded (k = 2), relative."""
    luminance_noise: float | None = None
    """The same in the dark, of each of X, Y and Z: expanded (k = 2), cd/m2."""
    chromaticity_repeatability: float | None = None
    """The same of x and y in good light: expanded (k = 2), absolute."""
    luminance_linearity: float | None = None
    """The most by which its gain changes over a decade of luminance, relative: 0.005 is 0.5 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A meter that readings were taken with."""

    id: int
    name: str
    kind: str
    """How it is read: `typed`, `command`, `simulated`, or what the meter calls itself."""
    role: InstrumentRole
    specification: Specification


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A matrix that brings one instrument's X Y Z to another's."""

    id: int
    from_instrument: int
    to_instrument: int
    matrix: tuple[float, ...]
    """Nine finite numbers, row by row: corrected XYZ = matrix times measured XYZ."""
    method: str
    made_at: datetime
    fit: Json = field(default_factory=dict)
    """What it was made of, and how well it fits: see `readings.evidence.correction.paired`."""
    aside: tuple[int, ...] = ()
    """The runs that it was made of and that are set aside now."""

    @property
    def counted(self) -> bool:
        """Whether readings are corrected by it: not where a run that it rests on is set aside."""
        return not self.aside

    def made_of(self) -> set[int]:
        """The runs that it was made of, as far as that was kept."""
        runs = self.fit.get("runs")
        numbers = runs.values() if isinstance(runs, Mapping) else ()
        return {number for number in numbers if isinstance(number, int)}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStep:
    """One step of a run's plan, before the visit has given it a number."""

    label: str
    kind: str
    """The pattern kind, such as `window`."""
    parameters: Json
    quantity: Quantity | None
    """What is read here; None where there is nothing to read."""
    role: str | None = None
    """What the reading is for, such as `black`."""
    read_of: str | None = None
    """What it is read of, such as `the left half`."""
    settle_s: float = 0.0
    """Seconds to wait before reading, 0 or more."""
    variables: Json = field(default_factory=dict)
    """The values that `each` gave this step."""
    faults: Faults | None = None
    """Which answers are faults of the display; None where the sequence does not say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(PlannedStep):
    """One step of a run's plan."""

    run: int
    number: int
    """1 for the first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRun:
    """One pass through a sequence under one condition, before the visit has numbered it."""

    sequence_title: str
    sequence_text: str
    """The whole sequence file, as it was read."""
    sequence_source: str
    """The file or the shipped name it came from."""
    condition: str
    signal_asked: Json
    signal_shown: Json
    canvas: tuple[int, int]
    """Width and height in pixels, each 1 or more."""
    refresh_hz: float | None = None
    output: Output
    guards: Json = field(default_factory=dict)
    """What each guard said before the first step."""
    overrides: Json = field(default_factory=dict)
    """What the command line changed in the sequence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run(PlannedRun):
    """One pass through a sequence, under one condition."""

    id: int
    """Also the run's number in this visit: 1 for the first."""
    sequence_sha256: str
    """`text_sha256` of the sequence's text."""
    step_count: int
    started_at: datetime
    ended: Ending | None
    """How it ended; None while it plays, after a resumption, or after a crash."""
    ended_at: datetime | None
    counted: bool = True
    """False where it was set aside: kept, and in no finding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Skip:
    """A step that the operator passed over."""

    id: int
    run: int
    step: int
    why: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What was on the display, before the visit has kept it."""

    inks: Mapping[str, Codes]
    """The code values really shown: ink name to red, green, blue, each 0 to 65535."""
    frame_sha256: str
    """64 lower-case hexadecimal digits."""
    facts: Json = field(default_factory=dict)
    """What is true of the frame: true area, mean level, MaxCLL, MaxFALL, what was clipped."""
    guard: GuardState
    guard_why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Showing(Shown):
    """One time that a step was on the display."""

    id: int
    run: int
    step: int
    shown_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """What the meter or the eye gave, before the visit has kept it."""

    quantity: Quantity
    raw: str
    """The text as typed or received, untouched."""
    luminance: float | None = None
    """cd/m2; a meter that subtracts its own dark may give slightly less than zero."""
    x: float | None = None
    y: float | None = None
    """CIE 1931 chromaticity; both or neither."""
    tristimulus: Triple | None = None
    """CIE 1931 X Y Z with Y in cd/m2, where the meter gave them, as measured: before anything
    was subtracted. A visit works out the luminance, x and y from them where those are None."""
    number: float | None = None
    """A count or milliseconds, 0 or more; None of a count where it cannot be told."""
    text: str | None = None
    """What was chosen or written; of a count without a number, why there is none."""
    derivation: Derivation | None = None
    """How a meter's value came from the raw text, where that holds more than the one number."""

    @property
    def of_light(self) -> bool:
        """Whether it is of light, as a meter can read it; a number may be typed all the same."""
        return self.quantity in LIGHT


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Value):
    """A value kept for one showing."""

    id: int
    run: int
    step: int
    showing: int
    instrument: int | None
    """None for the eye, and where none was ever named."""
    named_at: datetime | None = None
    """When the instrument was named, where that was after the reading; else None."""
    taken_at: datetime
    replaces: int | None
    """The id of the reading that this one retakes."""
    replaced_by: int | None
    """The id of the retake; None for a current reading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """With what a reading was taken, said afterwards; the latest one of a reading counts."""

    id: int
    reading: int
    instrument: int
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedAim:
    """What the display is meant to do; the latest one of a run, or of the visit, counts."""

    id: int
    run: int | None
    """None where it is for the whole visit."""
    aim: Aim
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """Something to say afterwards, before the visit has kept it."""

    what: Stating
    value: str
    run: int | None = None
    """None where it is for the whole visit."""
    why: str = ""
    """The reason; it is kept as a note of the run, or of the visit, of the same time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What was said afterwards of a run or of the visit; the latest of a kind counts."""

    id: int
    run: int | None
    what: Stating
    value: str
    by: str
    """Who said it; empty where nobody is named."""
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPlan:
    """A plan that a visit went by."""

    id: int
    title: str
    text: str
    """The whole file, as it was read."""
    sha256: str
    source: str
    """The file or the shipped name it came from."""
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskEvent:
    """What happened to a task of a plan."""

    id: int
    plan: int
    task: int
    """1 for the first; those that were added on the spot come after the plan's own."""
    event: TaskEventKind
    run: int | None
    """The run that it began, took up or finished."""
    text: str
    """The answer, why it was left out, or what was added."""
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptControl:
    """A control that a step adjusts by; their order is that in which they were given."""

    id: int
    run: int
    step: int
    control: Control
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptTurn:
    """What became of a control; the latest value of one is what its menu reads."""

    id: int
    run: int
    step: int
    control: int
    """The id of the kept control."""
    showing: int | None
    """What was on screen; None for nothing."""
    event: TurnEvent
    advised: float | None
    """What the menu should have read; None where the operator turned it without advice."""
    value: float | None
    """What the menu reads from now on; None where it was not turned."""
    why: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptNoticing:
    """What was found out about a control."""

    id: int
    run: int
    step: int
    control: int
    """The id of the kept control."""
    showing: int | None
    """What was on screen; None for nothing."""
    what: NoticedOfControl
    point: str | None
    """What the grey or colour is called at which it was seen, `70 %`; None where everywhere."""
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptMinutes:
    """How much time there is for what is left of a run; the latest counts."""

    id: int
    run: int
    minutes: float | None
    """More than 0; None for as much as it takes."""
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """How the adjusting of a step ended, or that it was gone on with; the latest counts."""

    id: int
    run: int
    step: int
    why: AdjustmentEnd
    largest: float | None
    """The largest error that was believed then, delta E; None where nobody could say."""
    spread: float | None
    """Its k = 2."""
    text: str
    at: datetime

    @property
    def ended(self) -> bool:
        """Whether the step is done with it."""
        return self.why != "gone on"


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What the operator wrote, about a showing, a step, a run or the whole visit."""

    id: int
    run: int | None
    step: int | None
    showing: int | None
    text: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """One dimming zone counted: where the moving mark was when the operator saw it change."""

    id: int
    run: int
    step: int
    showing: int
    position_px: float
    """Pixels from the left or the top edge, 0 or more."""
    axis: Axis
    """`horizontal`: the mark moves along a row, and columns of zones are counted."""
    direction: Direction
    """`forward`: rightwards or downwards."""
    at: datetime
    withdrawn: bool
    """Whether the operator took it back."""
