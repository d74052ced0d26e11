"""A run without a key: every step is shown, left to settle, and read by the meter."""

from __future__ import annotations

from collections.abc import Callable

from patterns.quantity import needs_someone
from player.meters.base import Meter, MeterError, MeterReading, innermost, reading_of
from player.run.agreeing import agreed
from player.run.live import LiveRun
from player.run.pointing import NOBODY, Pointing
from readings.evidence.repeatability import Repeatability
from readings.visit.records import Instrument, InstrumentRole, Specification, Value
from readings.visit.visit import Visit
from sequences.model import Step

TRIES = 3
HANDS = "needs someone who turns the display's controls"
MOST_TOLD = 600
"""Readings and turns of one adjustment after which nobody waits for its end any more: one that goes
well has a quarter of that."""
NO_END = f"adjusting came to no end in {MOST_TOLD} readings and turns"
UNKNOWN = Specification()
"""Of an instrument whose maker's promises nobody has written down."""


def instrument_of(
    visit: Visit, meter: Meter, role: InstrumentRole | None = None, name: str = ""
) -> Instrument:
    """The visit's record of this meter, added where it is new.

    It has its own name and role unless others are given, and its own specification. Where that is
    empty, it has the one that the visit knows by this name.
    """
    instrument = innermost(meter)
    called = name or meter.name
    return visit.add_instrument(
        called,
        kind=type(instrument).__name__.removesuffix("Meter").lower(),
        role=role or role_of(instrument),
        specification=known_specification(visit, called, meter.specification),
    )


def typed_with(
    visit: Visit,
    name: str,
    role: InstrumentRole = "spot meter",
    specification: Specification = UNKNOWN,
) -> Instrument:
    """The visit's record of a meter whose readings are typed, added where it is new.

    Without a specification it has the one that the visit knows by this name.
    """
    specification = known_specification(visit, name, specification)
    return visit.add_instrument(name, kind="typed", role=role, specification=specification)


def known_specification(
    visit: Visit, name: str, specification: Specification = UNKNOWN
) -> Specification:
    """A specification as given; where it is empty, the latest that the visit has by this name."""
    if specification != UNKNOWN:
        return specification
    known = (each.specification for each in reversed(visit.instruments()) if each.name == name)
    return next((each for each in known if each != UNKNOWN), UNKNOWN)


def role_of(meter: Meter) -> InstrumentRole:
    """A spot meter, unless the meter says that it is a reference."""
    return "reference" if getattr(meter, "role", "") == "reference" else "spot meter"


def by_meter(step: Step) -> bool:
    """Whether a meter can read what a step asks."""
    return step.read is not None and step.read.of_light


def needs_an_eye(step: Step) -> str:
    """Why a step is passed over that no meter can read; nothing where nothing is read there."""
    return "" if step.read is None else needs_someone(step.read.quantity)


def needs_hands(step: Step) -> str:
    """Why a step is passed over in which the display is adjusted; nothing of all others."""
    return HANDS if step.read is not None and step.read.adjusts else ""


def gave_nothing(error: str) -> str:
    """Why a step is passed over whose meter failed every time."""
    return f"no reading in {TRIES} tries: {error}"


def stopped(stuck: str) -> str:
    """Why a run without a key ends early, by what is known of its meter."""
    return (
        f"{stuck} The run was left there: look at the meter, retake what it gave, and play the "
        "sequence again to go on."
    )


def value_of(reading: MeterReading, step: Step) -> Value:
    """A meter's reading as the value that the step asks for, or MeterError."""
    if step.read is None or not by_meter(step):
        raise MeterError("A meter cannot answer what this step asks.")
    if reading.luminance is None:
        raise MeterError(f"The meter gave no luminance: {reading.raw!r}.")
    # in the dark many meters give no x and y: the luminance of a colour is worth keeping alone
    return Value(
        quantity="colour" if step.read.quantity == "colour" else "luminance",
        raw=reading.raw,
        luminance=reading.luminance,
        x=reading.x,
        y=reading.y,
        # without x and y the visit would work them out from what may be noise
        tristimulus=None if reading.x is None else reading.tristimulus,
        derivation=reading.derivation,
    )


def run_unattended(
    live: LiveRun,
    meter: Meter,
    *,
    wait: Callable[[float], None],
    ask: Callable[[str], bool] = lambda _: False,
    eye: Callable[[], bool] = lambda: False,
    hands: Callable[[], bool] | None = None,
    after: Callable[[int], None] = lambda _: None,
) -> None:
    """Play a run to its end through a meter; every step ends with a reading or a stated reason.

    A meter that is stuck ends it early; what was read is kept, and the run can be taken up again.

    Args:
        wait: lets seconds pass, for settling (a simulated display lets its own clock go on).
        ask: asks somebody to point the meter, in a sentence that says where; False where nobody
            has done so.
        eye: answers the step on screen where that takes an eye; False where it cannot.
        hands: turn the display's controls as told; False where they cannot. None: there are none.
        after: called after each step with the number of those that are done.

    Raises:
        MeterError: the meter gave one number for several unlike pictures.
    """
    instrument = instrument_of(live.visit, meter)
    pointing = Pointing(meter, live.screen.canvas)
    live.begin()
    while (step := live.step) is not None:
        wait(max(live.screen.settle_left, live.screen.change_left, live.agenda.warm_up_left))
        if live.screen.due:
            live.screen.beat()  # the picture that was waited for
            continue
        if not by_meter(step):
            if not eye():
                live.go_on(why=needs_an_eye(step))
        elif _turned(live, step, hands):
            pass  # what comes of it is read next
        elif why := pointing.passed_over(step):
            live.go_on(why=why)
        elif (what := pointing.asked(step)) and not ask(what):
            live.go_on(why=NOBODY)
        else:
            _read(live, meter, pointing, step, instrument.id)
        after(live.agenda.played)
        if live.keeping.stuck:
            live.leave()
            raise MeterError(stopped(live.keeping.stuck))
    live.leave()


def _turned(live: LiveRun, step: Step, hands: Callable[[], bool] | None) -> bool:
    """Whether the step asked for hands: they turned, or it was passed over without them."""
    why, adjustment = needs_hands(step), live.adjustment
    if not why:
        return False
    if hands is not None and adjustment.told > MOST_TOLD:
        live.go_on(why=NO_END)
    elif hands is not None and adjustment.reads:
        return False
    elif hands is None or not hands():
        live.go_on(why=why)
    return True


def _read(live: LiveRun, meter: Meter, pointing: Pointing, step: Step, instrument: int) -> None:
    why = ""
    for _ in range(TRIES):
        try:
            pointing.point(step)
            value = _settled(live, meter, step, instrument)
        except MeterError as error:
            why = str(error)
            continue
        live.take(value, instrument)
        return
    live.go_on(why=gave_nothing(why))


def _settled(live: LiveRun, meter: Meter, step: Step, instrument: int) -> Value:
    """A reading; where a display is adjusted and may still settle, one that agrees with another or
    with what was expected.

    Raises MeterError.
    """
    readings = [value_of(reading_of(meter), step)]
    while live.adjustment.here and live.adjustment.settles:
        expected = live.adjustment.expects(readings[-1], instrument)
        if expected or agreed(readings, Repeatability.promised(meter.specification)):
            break
        readings.append(value_of(reading_of(meter), step))
    return readings[-1]
