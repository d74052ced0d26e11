"""What lies between a key and the picture, and what comes after it, on this graphics card.

A key finds the next step on the card, as the player leaves it: the card has to draw it and to make
the copy that is compared, and then it can be swapped. `glFinish` stands for the swap, which waits
for the screen besides. The copy is compared after that.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import median
from time import perf_counter

from patterns.picture.frame import Frame
from tests.gpu.offscreen import Offscreen

REFRESH = 1 / 60
"""Seconds: one refresh of a usual screen."""


@dataclass(frozen=True)
class Times:
    """Seconds of each round of one step."""

    drawn: list[float]
    """The step drawn, already on the card."""
    ready: list[float]
    """Drawn, and copied for the comparison: the picture can be swapped."""
    late: list[float]
    """The same, uploaded only now."""
    compared: list[float]
    """The copy taken from the card and compared, afterwards."""


def from_a_key(screen: Offscreen, frame: Frame, rounds: int) -> tuple[Times, str]:
    """The times of a frame, and what was wrong with any copy of it; nothing where all were right.

    The clock of each time stops when the card is done.
    """
    times = Times([], [], [], [])
    wrong = ""
    for _ in range(rounds):
        screen.prepare(frame)
        times.drawn.append(_seconds(lambda: screen.draw(frame)))
        screen.prepare(frame)
        times.ready.append(_seconds(lambda: screen.draw(frame, copied=True)))
        times.late.append(_seconds(lambda: screen.draw(frame, copied=True)))
        begun = perf_counter()
        wrong = screen.wrong_copy(frame) or wrong
        times.compared.append(perf_counter() - begun)
    return times, wrong


def _seconds(what: Callable[[], None]) -> float:
    begun = perf_counter()
    what()
    return perf_counter() - begun


def told(found: Mapping[str, Times]) -> list[str]:
    """Lines: medians over the steps, the slowest of all rounds, and the steps within a refresh.

    A step is within it where its slowest round is; up to six of those that are not are named.
    """
    lines = []
    for what, times in (
        ("key to picture ready, the step on the card already", lambda each: each.ready),
        ("  of it the drawing alone", lambda each: each.drawn),
        ("key to picture ready, the step uploaded at the key", lambda each: each.late),
        ("the copy compared, after the swap", lambda each: each.compared),
    ):
        rounds: dict[str, list[float]] = {name: times(each) for name, each in found.items()}
        middle = median(median(each) for each in rounds.values())
        slowest = max(max(each) for each in rounds.values())
        late = [name for name, each in rounds.items() if max(each) > REFRESH]
        named = f" (not {', '.join(late[:6])}{', …' if len(late) > 6 else ''})" if late else ""
        lines.append(
            f"    {what}: median {1000 * middle:.2f} ms, slowest {1000 * slowest:.1f} ms, "
            f"{len(found) - len(late)} of {len(found)} steps within {1000 * REFRESH:.1f} ms{named}"
        )
    return lines
