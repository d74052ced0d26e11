"""What is told while a display is adjusted, as words and shares: nothing is drawn here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from patterns.words import figures
from player.run.adjustment import Adjustment, State
from player.windows.controls.following import Following

if TYPE_CHECKING:  # loaded with the first picture of a step that adjusts
    from player.run.advised import Advised, Floats
    from readings.adjusting.advice import Floats3


@dataclass(frozen=True)
class LevelLine:
    """The error of one level."""

    label: str
    read: str
    """Delta E as it was read last; empty where nothing was since the last turn."""
    believed: str
    """Delta E as believed, with its k = 2: `1.0 ± 0.4`."""
    error: float
    """The same as a number."""
    up: bool
    """Whether it is on screen."""
    worst: bool
    """Whether its error is the largest."""


@dataclass(frozen=True)
class ControlLine:
    """One control, as found and now."""

    name: str
    found: str
    now: str
    state: Literal["", "turn", "left out"]


@dataclass(frozen=True)
class LevelLight:
    """The light of red, green and blue of one level."""

    label: str
    light: Floats3
    """Share of the wanted: 1 is on the mark."""
    lands: Floats3 | None
    """Where this move should bring it; None where it is not moved."""


@dataclass(frozen=True)
class AdjustingPicture:
    """What the operator window shows of an adjustment; equal ones look alike."""

    state: State
    head: tuple[str, ...]
    """What to do: `Red gain  0 → −12`; of a page one line each."""
    why: str
    heed: bool
    """Whether why has to be read before anything is turned: it makes things worse at first."""
    to_go: str
    """How long it takes still, and what comes of it."""
    shown: str
    """What is on screen: `70 % on screen`."""
    prompt: str
    """What keys do now."""
    lights: tuple[LevelLight, ...]
    """Of the level on screen, and of the one that this move helps most; none where unknown."""
    lights_of: str
    """What the first of them is: a mean of what was read just now, or as believed."""
    wanted: str
    """What should be read of the level on screen: `91.4  0.3127 0.3290`."""
    levels: tuple[LevelLine, ...]
    controls: tuple[ControlLine, ...]


PROMPTS: dict[State, str] = {
    "controls": "Enter takes it, or type it · Right: no such control · End: take all the rest",
    "look": "",
    "turn": "Enter: done · a number: what it reads now · Right: leave out · F2: put back",
    "back": "Enter: done · F2: the one before · Right: after all not",
    "hold": "Space goes on",
    "stop": "Enter ends it · Space goes on all the same",
    "end": "Enter ends it · Right goes on",
    "done": "Space goes on with it · Right goes on to the next step",
}
READS = "The meter reads it by itself · Escape stops that"
ASKS = "Enter: the meter reads it, and from then on reads by itself"
BELIEVED = "as believed"


class AdjustingPictures:
    """Follows the adjustment of a run, and words it anew only where something changed.

    Args:
        adjustment: the run's.
        following: its meter, which may read by itself.
    """

    def __init__(self, adjustment: Adjustment, following: Following) -> None:
        self._adjustment = adjustment
        self._following = following
        self._of: object = None
        self._picture: AdjustingPicture | None = None

    @property
    def picture(self) -> AdjustingPicture | None:
        """What is shown now; None where nothing is adjusted."""
        adjustment = self._adjustment
        if not adjustment.state:
            self._of = self._picture = None
            return None
        of = adjustment.version
        if of != self._of:
            self._of, self._picture = of, picture_of(adjustment)
        if self._picture is not None and adjustment.reads and self._following.here:
            prompt = READS if self._following.by_itself else ASKS
            return replace(self._picture, prompt=prompt)
        return self._picture


def picture_of(adjustment: Adjustment) -> AdjustingPicture:
    """What is told of an adjustment in its state."""
    from readings.adjusting.advice import Look, Stop, Turn
    from readings.adjusting.words import errors, look, offer, stopped, to_go

    state, advised, advice = adjustment.state, adjustment.advised, adjustment.advice
    head, why, left = _head(adjustment), "", ""
    if state == "controls":
        asked = adjustment.asked
        why = "What does the display's menu have? It is kept in the visit."
        left = f"{asked.left} to go" if asked is not None else ""
    elif state == "turn":
        why = adjustment.why
        if isinstance(advice, Turn):
            left = f"{to_go(advice)} · {errors(advice.before, advice.after)}"
    elif state == "look" and advised is not None:
        if isinstance(advice, Look) and not adjustment.by_hand:
            why = look(advice, advised.points_of_advice)
        left = _largest(advised)
    elif state == "hold" and advised is not None:
        why, left = _now(adjustment, advised), f"wanted {_wanted(adjustment, advised)}"
    elif state == "stop" and isinstance(advice, Stop):
        why, left = stopped(advice), offer(advice)
    elif advised is not None:
        left = _largest(advised)
    lights, of = ((), "") if advised is None else _lights(adjustment, advised)
    return AdjustingPicture(
        state=state,
        head=head,
        why=why,
        heed=state == "turn" and isinstance(advice, Turn) and advice.detour,
        to_go=left,
        shown=f"{adjustment.label} on screen" if adjustment.label else "",
        prompt=PROMPTS[state],
        lights=lights,
        lights_of=of,
        wanted="" if advised is None else _wanted(adjustment, advised),
        levels=() if advised is None else _levels(adjustment, advised),
        controls=() if advised is None else _controls(adjustment, advised),
    )


def _head(adjustment: Adjustment) -> tuple[str, ...]:
    from player.run.asked_controls import line_of
    from readings.adjusting.words import reads

    state, advised = adjustment.state, adjustment.advised
    if state == "controls" and adjustment.asked is not None:
        asked = adjustment.asked.asked
        return () if asked is None else (line_of(asked),)
    if advised is not None and state in ("turn", "back"):
        return tuple(
            f"{advised.controls[move.control].name} {reads(move.now)} → {reads(move.to)}"
            for move in adjustment.moves
        )
    if state == "look":
        return (f"Read {adjustment.label}",)
    return {
        "hold": (f"Watching {adjustment.label}",),
        "stop": ("Nothing more is advised",),
        "end": ("End the adjustment here?",),
        "done": ("The adjustment has ended",),
    }.get(state, ())


def _largest(advised: Advised) -> str:
    from readings.adjusting.words import believed

    return "" if advised.worst is None else believed(advised.worst)


def _lights(adjustment: Adjustment, advised: Advised) -> tuple[tuple[LevelLight, ...], str]:
    """The light of the levels that matter now, and what the first of it is."""
    from readings.adjusting.advice import Turn

    point, advice = adjustment.point, adjustment.advice
    believed, of = advised.believed, BELIEVED
    turn = advice if adjustment.state == "turn" and isinstance(advice, Turn) else None
    helped = None if turn is None else advised.place_of(turn.off.point)
    expected = {} if turn is None else dict(turn.expected)
    lands = {advised.place_of(place): light for place, light in expected.items()}
    found = []
    for each in dict.fromkeys((point, helped)):
        known = None if each is None else believed.get(each)
        if each is None or known is None or not advised.has_bars(each):
            continue
        light = known.light
        if each == point and adjustment.seen is not None:
            light = advised.lights(each, adjustment.seen) or light
            of = f"{_now(adjustment, advised)}, {adjustment.seen_of}"
        found.append(LevelLight(advised.points[each].label, light, lands.get(each)))
    return tuple(found), of if found else ""


def _now(adjustment: Adjustment, advised: Advised) -> str:
    """What was read just now: `92.1  0.3127 0.3290, dE 0.8`; empty where nothing was."""
    point, xyz = adjustment.point, adjustment.seen
    if point is None or xyz is None:
        return ""
    error = advised.error(point, xyz)
    return _colour(xyz) + ("" if error is None else f", dE {error:.1f}")


def _wanted(adjustment: Adjustment, advised: Advised) -> str:
    point = adjustment.point
    xyz = None if point is None else advised.wanted(point)
    return "" if xyz is None else _colour(xyz)


def _colour(xyz: Floats) -> str:
    if not xyz.sum() > 0:
        return ""
    x, y = (float(each / xyz.sum()) for each in xyz[:2])
    return f"{figures(float(xyz[1]))}  {x:.4f} {y:.4f}"


def _levels(adjustment: Adjustment, advised: Advised) -> tuple[LevelLine, ...]:
    believed, worst = advised.believed, advised.worst
    return tuple(
        LevelLine(
            label=advised.points[place].label,
            read="" if each.read is None else f"{each.read:.1f}",
            believed=f"{each.error:.1f} ± {each.spread:.1f}",
            error=each.error,
            up=place == adjustment.point,
            worst=each is worst,
        )
        for place, each in sorted(believed.items(), reverse=True)
    )


def _controls(adjustment: Adjustment, advised: Advised) -> tuple[ControlLine, ...]:
    from readings.adjusting.words import reads

    turned = {move.control for move in adjustment.moves}

    def state(place: int) -> Literal["", "turn", "left out"]:
        if place in advised.left_out:
            return "left out"
        return "turn" if place in turned else ""

    return tuple(
        ControlLine(control.name, reads(control.found), reads(advised.now[place]), state(place))
        for place, control in enumerate(advised.controls)
    )
