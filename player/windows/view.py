"""What the operator is told at this moment, as words: no window here, and nothing is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil

from patterns.kinds import Pattern
from player import keys
from player.outputs.files import FilesOutput
from player.run import LiveRun
from player.windows.controls import Controls
from player.windows.counting import ZonePicture
from player.zone_count import is_comb

WORDS = {"verified": "VERIFIED", "altered": "ALTERED", "unknown": "NOT CHECKED"}
"""Guard states as the operator reads them."""

QUANTITIES = {
    "luminance": "Read the luminance",
    "colour": "Read the colour",
    "count": "Count",
    "milliseconds": "Read the time",
    "choice": "Choose",
    "text": "Describe",
    "tally": "Press space at every change",
}

METERED = ("luminance", "colour", "milliseconds")
"""Quantities that a meter on a tripod reads, at a place of the pattern."""


@dataclass(frozen=True)
class View:
    """Everything the operator window says; equal views look alike, so one drawing serves both."""

    title: str
    condition: str
    place: str
    """Step n of N."""
    label: str
    ask: str
    """What to read and what it is read of."""
    unit: str
    countdown: str
    noting: bool
    entry: bool
    """Whether there is anything to type."""
    line: str
    saying: str
    pressing: bool
    """Whether what is said needs the operator now: a question, or something that went wrong."""
    screen: str
    """What is on the pattern screen, in a word or two."""
    guard: str
    why: str
    last: tuple[tuple[int, str, str], ...]
    """The last readings, newest first: step, label, what was kept."""
    left: str
    awake: str
    helping: bool
    file: str
    """With a media player: the file to put up."""
    aim: str | None
    """What the meter reads, as the sequence names it; None where no meter is asked."""
    help: tuple[tuple[str, str], ...]
    """The keys of this step, listed on F1."""
    zones: ZonePicture | None
    """The count of zones as it stands, where the step serves one."""
    counting: str
    """What is to be known of the count beside its picture: the comb on screen, or what to do."""
    pattern: Pattern | None = field(compare=False)
    """What is on the screen, where a meter is asked: it knows the measuring places."""


def view_of(controls: Controls, awake: str, most: int = 7) -> View:
    """The view of a run and its controls now."""
    run = controls.run
    file = run.output.file if isinstance(run.output, FilesOutput) else ""
    step = run.step
    read = step.read if step else None
    ask = ""
    if step is not None:
        ask = QUANTITIES[read.quantity] if read else "Nothing to read: look at it"
        if read and read.of:
            ask += (
                f": {read.of}" if read.quantity in ("choice", "text", "tally") else f" of {read.of}"
            )
    presses = "1 press" if run.tallies == 1 else f"{run.tallies} presses"
    tally = f"{presses} kept; Enter ends the step"
    is_tally = read is not None and read.quantity == "tally"
    metered = read is not None and read.quantity in METERED
    return View(
        title=run.sequence.title,
        condition=run.condition,
        place=_place(run),
        label=step.label if step else _missing(run),
        ask=ask,
        unit=tally if is_tally else run.expected,
        countdown=_countdown(run),
        noting=controls.noting,
        entry=controls.noting or not run.finished,
        line=controls.note if controls.noting else controls.line,
        saying=controls.saying,
        pressing=controls.asking or bool(controls.alert),
        screen=_screen(run),
        guard="" if run.finished or run.blacked_out else WORDS[run.guard.state],
        why="" if run.finished or run.blacked_out else _sentence(run.guard.why),
        last=tuple(
            (kept.number, kept.label, kept.text.strip()) for kept in run.kept[: -most - 1 : -1]
        ),
        left=_time_left(run),
        awake=awake,
        helping=controls.helping,
        file=file,
        aim=read.of if read and metered else None,
        help=keys.help_for(_special_keys(run)),
        zones=controls.counting.picture if run.counting else None,
        counting=_counting(controls),
        pattern=run.pattern if step and metered else None,
    )


def _counting(controls: Controls) -> str:
    if controls.run.counting is None:
        return ""
    picture = controls.counting.picture
    return controls.run.comb_shown or (picture.said if picture is not None else "")


def _special_keys(run: LiveRun) -> tuple[tuple[str, str], ...]:
    if run.counting is None:
        return ()
    return keys.COMB_HELP if is_comb(run.step) else keys.CRAWL_HELP


def _place(run: LiveRun) -> str:
    number = len(run.sequence.steps)
    if run.finished:
        return f"All {number} steps are done"
    return f"Step {run.number} of {number}"


def _missing(run: LiveRun) -> str:
    """What has no reading at the end."""
    if not run.finished:
        return ""
    kept = {each.number for each in run.kept}
    missing = [s.number for s in run.sequence.steps if s.read is not None and s.number not in kept]
    if not missing:
        return "Every reading is kept"
    named = ", ".join(map(str, missing[:12])) + (", …" if len(missing) > 12 else "")
    return f"No reading for step {named}" if len(missing) == 1 else f"No reading for steps {named}"


def _countdown(run: LiveRun) -> str:
    step = run.step
    if step is None or run.blacked_out or not step.settle:
        return ""
    left = run.settle_left
    if run.waiting:
        return "Enter once it is up"
    # tenths near the end, where the eye waits for it
    if left > 10:
        return f"Settling: {ceil(left)} s"
    return f"Settling: {ceil(left * 10) / 10:.1f} s" if left > 0 else "Settled"


def _screen(run: LiveRun) -> str:
    if run.elsewhere:
        return _elsewhere(run)
    if run.finished:
        return "Black: nothing is left to read"
    if run.blacked_out:
        return "BLACKOUT"
    if run.paused:
        return "On screen, standing still"
    return "On screen, moving" if run.moving is not None else "On screen"


def _elsewhere(run: LiveRun) -> str:
    if run.finished:
        return "Nothing is left to read"
    if run.blacked_out:
        return "TAKE THE PICTURE AWAY"
    file = run.output.file if isinstance(run.output, FilesOutput) else ""
    return "On the media player" if file else "NO FILE FOR THIS STEP"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""


def _time_left(run: LiveRun) -> str:
    if run.finished:
        return ""
    minutes = ceil(run.seconds_left / 60)
    if minutes > 90:
        return f"About {minutes // 60} h {minutes % 60:02d} min left"
    return f"About {minutes} min left" if minutes > 1 else "Less than a minute left"
