"""What an adviser says, in words: made of its figures, and read back by nobody."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from patterns.control import PRIMARIES, Control
from patterns.words import count, duration
from readings.adjusting.advice import Advice, Believed, Floats3, Look, Noticed, Off, Stop, Turn
from readings.adjusting.goal import Point

ON_THE_MARK = 0.005
"""Share of the wanted light by which a channel may be off and is told as there: about half a
delta E near white. A choice of our own."""
TOLD = 0.0005
"""Share of the wanted light below which nothing is told of a channel."""
ALIKE = 0.4
"""Share of the largest deviation that the others have at least where all is told as brightness: a
choice of our own."""


def reads(value: float) -> str:
    """What a menu reads, with a true minus: `−12`."""
    return f"{value:.6g}".replace("-", "−")


def label_of(point: Point) -> str:
    """A point as it begins a sentence: `White`, `Black`, `70 %`, `Magenta`."""
    if point.black:
        return "Black"
    return (
        "White"
        if point.grey and point.signal[0] == 1
        else point.label[:1].upper() + point.label[1:]
    )


# ---- a turn


def why(turn: Turn, controls: Sequence[Control], points: Sequence[Point]) -> str:
    """Why this is to be turned, in a sentence or two.

    Args:
        turn: the advice.
        controls: the adviser's.
        points: the goal's.
    """
    moved = [controls[move.control] for move in turn.moves]
    point = points[turn.off.point]
    wrong = off(turn.off, moved, point)
    if turn.trial:
        return TRIAL if len(moved) == 1 else TRIALS
    after = next((light for place, light in turn.expected if place == turn.off.point), None)
    if not wrong:
        said = f"This brings {_inside(label_of(point))} nearer."
    else:
        said = f"{wrong}; {_landing(moved, after)}."
    return f"{said} {DETOUR.format(turn.after)}" if turn.detour else said


TRIAL = "Little is known of this control: this shows what it does."
TRIALS = "Little is known of these controls: this shows what they do."
DETOUR = "The error rises first, and falls after: about {:.1f} in the end."


def off(found: Off, moved: Sequence[Control], point: Point) -> str:
    """What is wrong at a point, as far as the controls that move can mend it; empty where nothing
    is told."""
    light = dict(zip(PRIMARIES, (found.red, found.green, found.blue), strict=True))
    channels = [each for each in PRIMARIES if any(control.channel == each for control in moved)]
    largest = max(light.values(), key=abs)
    if abs(largest) < TOLD:
        return ""
    mean = sum(light.values()) / 3
    label = label_of(point)
    alike = all(each * largest > 0 and abs(each) >= ALIKE * abs(largest) for each in light.values())
    if not channels or (alike and len(moved) == len(PRIMARIES)):
        return f"{label} is {_percent(mean)} too {'bright' if mean > 0 else 'dark'}"
    said = [
        f"{_percent(light[each])} {'too much' if light[each] > 0 else 'too little'} {each}"
        for each in channels
        if abs(light[each]) >= TOLD
    ]
    if not said:
        return ""
    return f"{label} has {_listed(said)}"


def _landing(moved: Sequence[Control], after: Floats3 | None) -> str:
    if after is None:
        return "this brings it nearer"
    light = dict(zip(PRIMARIES, after, strict=True))
    own = [light[each] for each in PRIMARIES if any(control.channel == each for control in moved)]
    rest = max((each - 1 for each in own or light.values()), key=abs)
    if abs(rest) <= ON_THE_MARK:
        return "this takes it to the mark"
    return f"this takes it to {_percent(rest)} {'too much' if rest > 0 else 'too little'}"


def to_go(turn: Turn) -> str:
    """What is still to be done and what comes of it: `about 20 s, 4 changes to go`."""
    left = _about(turn.seconds_to_go)
    return f"about {left}, {count(turn.changes_to_go, 'change')} to go"


def errors(before: float, after: float) -> str:
    """The largest error now and in the end: `largest dE 2.9 → about 1.2`."""
    return f"largest dE {before:.1f} → about {after:.1f}"


# ---- a reading


def look(advice: Look, points: Sequence[Point]) -> str:
    """Why a point is to be read."""
    point = points[advice.point]
    name = _inside(label_of(point))
    return {
        "first": f"Nothing is known of {name} yet.",
        "after": f"What the turn did to {name}.",
        "late": f"The menu acts late: {name} once more.",
        "unsure": f"Knowing {name} better helps to choose what to turn.",
        "again": f"What was read of {name} is not what was expected: once more.",
        "closing": f"A last look at {name} before it is called done.",
    }[advice.why]


# ---- the end


def stopped(stop: Stop) -> str:
    """Why nothing more is advised, in a sentence."""
    largest = f"{stop.largest:.1f} ± {stop.spread:.1f}"
    return {
        "reached": f"Reached: the largest dE is about {largest}.",
        "within the meter": f"What is left is less than the meter can tell: largest dE about "
        f"{largest}.",
        "not worth the time": f"More is not worth its time: the largest dE is about {largest}.",
        "nothing left": f"No control is known that helps: the largest dE is about {largest}.",
    }[stop.why]


def offer(stop: Stop) -> str:
    """What going on would cost, and give; empty where nobody knows."""
    if stop.more is None:
        return ""
    cost = "" if stop.seconds is None else f" in about {_about(stop.seconds)}"
    return f"Going on might bring it to {stop.more:.1f}{cost}."


def believed(worst: Believed) -> str:
    """The largest error as believed, with its k = 2."""
    return f"Largest dE as believed: {worst.error:.1f} ± {worst.spread:.1f}"


# ---- what was found out


def noticed(found: Noticed, points: Sequence[Point]) -> str:
    """What was found out about a control, in a sentence."""
    name = found.control.name
    at = "" if found.point is None else f" at {_inside(label_of(points[found.point]))}"
    return {
        "no effect seen": f"No effect of {name} was seen{at}.",
        "reversed": f"{name} goes the other way{at}: more of it is less light.",
        "dead zone": f"{name} does nothing about where it stands{at}.",
        "at its ceiling": f"{name} gives no more light{at}: it is at its ceiling.",
    }[found.what]


def kind(advice: Advice) -> Literal["turn", "look", "stop"]:
    """Which of the three it is."""
    if isinstance(advice, Turn):
        return "turn"
    return "look" if isinstance(advice, Look) else "stop"


def _percent(share: float) -> str:
    size = 100 * abs(share)
    return f"{size:.0f} %" if size >= 9.95 else f"{size:.1f} %"


def _about(seconds: float) -> str:
    """A time as one says it beforehand: in tens of seconds, then in minutes."""
    if seconds < 90:
        return f"{max(round(seconds / 10) * 10, 10)} s"
    return duration(60 * max(round(seconds / 60), 2))


def _inside(label: str) -> str:
    """A label inside a sentence."""
    return label[:1].lower() + label[1:]


def _listed(parts: Sequence[str]) -> str:
    *before, last = parts
    return f"{', '.join(before)} and {last}" if before else last
