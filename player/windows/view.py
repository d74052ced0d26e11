"""What the operator is told at this moment, as words, the clock's too: nothing is drawn here."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from patterns.control import ADJUSTING
from patterns.kinds import Pattern
from patterns.words import duration
from player import keys
from player.outputs.files import FilesOutput
from player.run.expecting import difference
from player.run.keeping import Kept, short_text
from player.run.live import LiveRun
from player.run.watching import Live
from player.windows.controls.adjusting_picture import AdjustingPicture
from player.windows.controls.controls import Controls
from player.windows.controls.image_retention import WORTH_TELLING
from player.windows.controls.receiving import ASK, LABEL
from player.windows.controls.step_list import StepLine
from player.windows.controls.zone_picture import ZonePicture
from readings.visit.receives import RECEIVED
from sequences.zone_steps import is_comb

if TYPE_CHECKING:  # loaded with the first picture up
    from player.run.target import Told

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

SETTLED = "Settled"
SCREEN_GONE = "SCREEN GONE"
NOT_KNOWN = "What the display shows is not known; nothing is shown or kept until it is back"
"""What is known while the screen of the patterns is gone."""

DRAWN = "Every pixel was drawn as asked. What the cable and the display make of it is not seen."
"""What is known of a picture that was compared and found right."""

SPECIAL = {
    "note": "NOTE{}: Enter keeps it, Tab goes back",
    "minutes": "MINUTES LEFT: Enter takes them, Tab goes back",
}
"""What is typed that is no reading."""

HINTS = ("F1 keys", "F4 steps", "F9 time")
"""Keys that are told at the foot; while a dark offset is asked for, the first alone."""

METERED = ("luminance", "colour", "milliseconds")
"""Quantities that a meter on a tripod reads, at a place of the pattern."""


class LastReading(NamedTuple):
    """One of the last readings."""

    number: int
    """Of its step."""
    label: str
    text: str
    """What was kept."""
    apart: str
    """How far it is from what it should be, or from an alike one before: `2.1 % above step 4`."""


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
    choices: tuple[str, ...]
    """What there is to choose from, each with its number; empty where nothing is chosen."""
    unit: str
    expect: str
    """What the reading should come to, where that can be said."""
    held: str
    """The reading that the step has already, where it has one."""
    countdown: str
    noting: bool
    special: str
    """What is typed that is no reading, a note or a time; empty where a reading is."""
    entry: bool
    """Whether there is anything to type."""
    line: str
    not_kept: str
    """What was typed or measured here before and could not be kept; empty where nothing was."""
    selected: str
    """The last of that where it stands on the line, selected; empty where it does not."""
    beside: str
    """What of it stands beside the line."""
    notice: str
    """What is told now."""
    pressing: bool
    """Whether what is told needs the operator now: a question, or something that went wrong."""
    screen: str
    """What is on the pattern screen, in a word or two."""
    dark: bool
    """Whether it was taken away for now."""
    guard: str
    why: str
    last: tuple[LastReading, ...]
    """The last readings, newest first: step, label, what was kept, and how far off it is from
    what was expected, or from the reading before."""
    steps: tuple[StepLine, ...]
    """The list of steps, while it is called."""
    steps_title: str
    warm: str
    """How far the display has warmed up, where that was asked for."""
    receives: str
    """What the display reports that it receives; empty where that is not asked."""
    left: str
    following: str
    """The step that is played after this one; empty where none is."""
    awake: str
    keys_lost: bool
    """Whether keys go to another program."""
    helping: bool
    file: str
    """With a media player: the file to put up."""
    aim: str | None
    """What the meter reads, as the sequence names it; None where no meter is asked."""
    hint: str
    """The keys that call something up."""
    help: tuple[tuple[str, str], ...]
    """The keys of this step, listed on F1."""
    zones: ZonePicture | None
    """The count of zones as it stands, where the step serves one."""
    live: Live | None
    """What is told of the light that is watched; None where it is not."""
    counting: str
    """What is to be known of the count beside its picture: the comb on screen, or what to do."""
    adjusting: AdjustingPicture | None
    """What is told of an adjustment, where the step adjusts the display."""
    pattern: Pattern | None = field(compare=False)
    """What is on the screen, where a meter is asked: it knows the measuring places."""


def view_of(controls: Controls, awake: str, most: int = 3) -> View:
    """The view of a run and its controls now."""
    run, entry = controls.run, controls.entry
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
    presses = "1 press" if run.counting.tallies == 1 else f"{run.counting.tallies} presses"
    tally = f"{presses} kept; Enter ends the step"
    if run.counting.crawling is not None:
        then = "once the box is at its end" if run.counting.unfinished else "keeps the pass"
        tally = f"{presses}; Enter {then}"
    refused = entry.not_kept.of(entry.purpose)
    is_tally = read is not None and read.quantity == "tally"
    metered = read is not None and read.quantity in METERED
    view = View(
        title=run.sequence.title,
        condition=run.condition,
        place=_place(run),
        label=step.label if step else _missing(run),
        ask=ask,
        choices=tuple(f"{n}  {each}" for n, each in enumerate(read.choices, 1)) if read else (),
        unit=tally if is_tally else run.expected,
        expect=_expect(run),
        held=_held(run),
        countdown=countdown(controls),
        noting=entry.purpose == "note",
        special=_special(controls),
        entry=_entry(controls),
        line=entry.text,
        not_kept=" · ".join(refused),
        selected=entry.selected,
        beside=" · ".join(refused[:-1] if entry.selected else refused),
        notice=controls.notice,
        pressing=controls.notices.asking or bool(controls.notices.alert) or run.pressing,
        screen=_screen(run),
        dark=bool(run.screen.halted) or (run.screen.blacked_out and not run.finished),
        guard=_guard(run),
        why=_why(run),
        last=_last(run, most),
        steps=controls.steps.lines(),
        steps_title=_steps_title(controls),
        warm=controls.warm_up.text if controls.warm_up is not None else "",
        receives=RECEIVED.get(run.screen.receives or "", ""),
        left=time_left(run),
        following=_following(run),
        awake=awake,
        keys_lost=controls.keys_lost,
        helping=controls.panels.help,
        file=file,
        aim=read.of if read and metered else None,
        hint=" · ".join(HINTS),
        help=keys.help_for(_special_keys(run), _useless(controls)),
        zones=controls.zones.picture if run.counting.way else None,
        live=controls.watching.live,
        counting=_counting(controls),
        adjusting=controls.adjusting.picture,
        pattern=run.screen.pattern if step and metered else None,
    )
    if view.adjusting is not None:
        view = _adjusting(view, view.adjusting, controls)
    if controls.receiving.open:
        return _before(view, LABEL, ASK, run)
    dark = controls.dark_offset
    if dark is not None and dark.open:
        return _before(view, dark.label, dark.result, run)
    return view


def _adjusting(view: View, picture: AdjustingPicture, controls: Controls) -> View:
    """The view while the display is adjusted: what to do stands where a step's name does."""
    typed = controls.run.adjustment.typed
    return replace(
        view,
        label=" · ".join(picture.head),
        ask=picture.why,
        held=picture.to_go,
        expect=f"wanted {picture.wanted}" if picture.state == "look" and picture.wanted else "",
        entry=typed or controls.entry.purpose != "reading",
    )


def _before(view: View, label: str, ask: str, run: LiveRun) -> View:
    """The view while something is asked for before a step: no reading is typed meanwhile."""
    first = run.number == 0
    return replace(
        view,
        place="Before the first step" if first else "Dark offset again",
        label=label,
        ask=ask,
        choices=(),
        unit="",
        expect="",
        held="",
        countdown="",
        entry=False,
        screen="No step is up yet" if first else view.screen,
        guard="" if first else view.guard,
        why="" if first else view.why,
        file="",
        following="",
        aim=None,
        zones=None,
        live=None,
        counting="",
        adjusting=None,
        hint=HINTS[0],
        pattern=None,
    )


def _entry(controls: Controls) -> bool:
    """Whether there is a line: at the end only where something was typed all the same."""
    more = bool(controls.entry.reading or controls.entry.not_kept.of("reading"))
    return controls.entry.purpose != "reading" or not controls.run.finished or more


def _special(controls: Controls) -> str:
    """What is typed that is no reading; of a note, also to which step, where it has gone."""
    begun_at = controls.entry.note_to_other_step
    to_step = "" if begun_at is None else f" to step {begun_at}"
    return SPECIAL.get(controls.entry.purpose, "").format(to_step)


def _counting(controls: Controls) -> str:
    if controls.run.counting.way is None:
        return ""
    picture = controls.zones.picture
    return controls.run.counting.comb_shown or (picture.advice if picture is not None else "")


def _special_keys(run: LiveRun) -> tuple[tuple[str, str], ...]:
    if run.adjustment.here:
        return keys.ADJUSTING_HELP
    if run.counting.way is None:
        return ()
    return keys.COMB_HELP if is_comb(run.step) else keys.CRAWL_HELP


def _useless(controls: Controls) -> set[str]:
    """Keys that do nothing in these windows, and with this meter."""
    there = {
        "F3": controls.panels.strip_there,
        "F6": controls.measuring is not None,
        "F8": not controls.run.screen.elsewhere,
        "F10": controls.dark_offset is not None,
        "F11": not controls.panels.strip_there,
        "F12": controls.measuring is not None and not controls.run.adjustment.here,
        "Ctrl+F": not controls.panels.strip_there,
    }
    return {key for key, does in there.items() if not does}


def _place(run: LiveRun) -> str:
    number = len(run.sequence.steps)
    if run.finished:
        return f"All {number} steps are done"
    return f"Step {run.number} of {number}"


def _following(run: LiveRun) -> str:
    if run.finished or run.step is None:
        return ""
    number = run.agenda.step_after(run.number)
    return "" if number is None else run.sequence.steps[number - 1].label


def _missing(run: LiveRun) -> str:
    """What has no reading at the end."""
    if not run.finished:
        return ""
    kept = {each.number for each in run.keeping.kept}
    missing = [s.number for s in run.sequence.steps if s.read is not None and s.number not in kept]
    if not missing:
        return "Every reading is kept"
    named = ", ".join(map(str, missing[:12])) + (", …" if len(missing) > 12 else "")
    return f"No reading for step {named}" if len(missing) == 1 else f"No reading for steps {named}"


def _last(run: LiveRun, most: int) -> tuple[LastReading, ...]:
    found = []
    for place in range(len(run.keeping.kept) - 1, max(len(run.keeping.kept) - 1 - most, -1), -1):
        kept = run.keeping.kept[place]
        before = run.keeping.kept[place - 1] if place else None
        other, name = kept.expected, "expected"
        if other is None and before is not None and not _adjusts(run, before, kept):
            other, name = before.luminance, f"step {before.number}"
        apart = None
        if kept.luminance is not None and other is not None and kept.told is None:
            apart = difference(kept.luminance, other)
        # black and white one after the other tell nothing by how many times they are apart
        if kept.expected is None and apart is not None and not apart.near:
            apart = None
        found.append(
            LastReading(
                kept.number,
                kept.label,
                kept.text.strip(),
                _apart(kept.told, "" if apart is None else apart.from_(name)),
            )
        )
    return tuple(found)


def _adjusts(run: LiveRun, *kept: Kept) -> bool:
    """Whether any of these was read on the way to other settings, of one level or another."""
    return any(run.sequence.steps[each.number - 1].role == ADJUSTING for each in kept)


def _apart(told: Told | None, otherwise: str) -> str:
    """How far a reading is from its target, where it has one."""
    return otherwise if told is None else told.in_short


def _expect(run: LiveRun) -> str:
    read = run.step.read if run.step else None
    colour = read is not None and read.quantity == "colour"
    target = run.keeping.target
    if target is not None and (target.figure or colour):
        if colour and target.xy is not None:
            x, y = target.xy
            return f"{target.figure or 'target'} {x:.4f} {y:.4f}"
        return ", ".join(filter(None, (target.figure, target.basis)))
    found = run.keeping.expects
    if found is None:
        return ""
    if colour and found.x is not None and found.y is not None:
        return f"{found.figure} {found.x:.4f} {found.y:.4f}"
    return ", ".join(part for part in (found.figure, found.basis) if part)


def _held(run: LiveRun) -> str:
    reading = run.keeping.current(run.number)
    if reading is None or run.screen.due or run.counting.way is not None:
        return ""
    return f"Read already: {short_text(reading).strip()}. A new one replaces it."


def _steps_title(controls: Controls) -> str:
    lines = controls.steps.lines()
    if not lines:
        return ""
    first, count = controls.steps.first, controls.steps.count
    what = "Steps" if controls.run.agenda.given is None else "By importance:"
    return f"{what} {first} to {first + len(lines) - 1} of {count}"


def _screen(run: LiveRun) -> str:
    if run.screen.halted:
        return SCREEN_GONE
    if run.screen.elsewhere:
        return _elsewhere(run)
    if run.finished:
        return "Black: nothing is left to read"
    if run.screen.blacked_out:
        return "BLACKOUT"
    return _on_screen(run)


def _on_screen(run: LiveRun) -> str:
    if run.screen.paused:
        return "On screen, standing still"
    if run.counting.at_end:
        return "On screen, at its end"
    return "On screen, moving" if run.screen.moving is not None else "On screen"


def _guard(run: LiveRun) -> str:
    screen = run.screen
    none = run.finished or screen.blacked_out or screen.halted
    return "" if none else WORDS[screen.guard.state]


def _why(run: LiveRun) -> str:
    if run.screen.halted:
        return _sentence(NOT_KNOWN)
    if run.screen.guard.state == "verified" and _guard(run):
        return DRAWN
    return _sentence(run.screen.guard.why) if _guard(run) else ""


def _elsewhere(run: LiveRun) -> str:
    if run.finished:
        return "Nothing is left to read"
    if run.screen.blacked_out:
        return "TAKE THE PICTURE AWAY"
    file = run.output.file if isinstance(run.output, FilesOutput) else ""
    return "On the media player" if file else "NO FILE FOR THIS STEP"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""


def countdown(controls: Controls) -> str:
    """What is counted down now: rest, warming up, settling; empty where nothing is."""
    run, step = controls.run, controls.run.step
    if run.screen.halted:
        return ""
    if run.screen.coming:
        return "Next picture…"
    if run.screen.blacked_out:
        rest = controls.retention.rest
        return f"Rest: {_rounded_up(rest)} more" if rest >= WORTH_TELLING else ""
    if (soon := controls.retention.left) is not None:
        return f"Goes black in {ceil(soon)} s"
    if (cold := run.agenda.warm_up_left) > 0:
        return f"Warm-up: {_rounded_up(cold)}"
    return _way(run) or ("" if step is None or not step.settle else _settling(run))


def _way(run: LiveRun) -> str:
    """How far a crawling box has to go, once it has settled; empty where none crawls."""
    if run.counting.at_end:
        return "At its end"
    left = run.counting.way_left
    return "" if left is None or run.screen.settle_left > 0 else f"{ceil(left)} s to its end"


def _settling(run: LiveRun) -> str:
    left = run.screen.settle_left
    if run.screen.waiting:
        return "Enter once it is up"
    # tenths near the end, where the eye waits for it
    if left > 10:
        return f"Settling: {ceil(left)} s"
    return f"Settling: {ceil(left * 10) / 10:.1f} s" if left > 0 else SETTLED


def time_left(run: LiveRun) -> str:
    """How long the run still takes, or the time that there is; empty at the end."""
    if run.finished:
        return ""
    there = run.agenda.time_there
    if there is None:
        left = _minutes(run.agenda.seconds_left)
        return f"About {left} left" if left else "Under a minute left"
    over = len(run.agenda.too_many)
    steps = "1 step" if over == 1 else f"{over} steps"
    if there <= 0:
        return f"Time is up: {steps} to go"
    left = _minutes(there) or "Under a minute"
    return f"{left} left: {steps} too many" if over else f"{left} left: enough"


def _minutes(seconds: float) -> str:
    """In whole minutes; empty for less than one."""
    minutes = ceil(seconds / 60)
    return duration(60 * minutes) if minutes > 1 else ""


def _rounded_up(seconds: float) -> str:
    """What is counted down: in seconds for the last minute and a half."""
    whole = 60 * ceil(seconds / 60) if seconds > 90 else ceil(seconds)
    return duration(whole, minutes_from=91)
