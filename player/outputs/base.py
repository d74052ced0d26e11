"""What the run asks of anything that can show a frame."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from patterns.errors import LitfieldError
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.quantise import Range


class OutputError(LitfieldError):
    """The output cannot show what it was given; the text is one sentence for the operator."""


GuardState = Literal["verified", "altered", "unknown"]
OutputName = Literal["window", "files", "simulated"]


@dataclass(frozen=True)
class Guard:
    """What is known about the pixels that were shown.

    `verified`: the back buffer was read back and holds the frame's codes.
    `altered`: it was read back and holds something else.
    `unknown`: it was not, or could not be, read back; `why` says the reason.
    Nothing is claimed about the cable or about the display behind it.
    """

    state: GuardState
    why: str
    checks: Mapping[str, tuple[GuardState, str]] = field(default_factory=dict, compare=False)
    """The checks that it sums up: name to state and sentence."""


class Output(Protocol):
    """A place where frames are shown: a window, a media player, a simulated display.

    `bits` and `range` are those of the code values that leave the output; frames given to
    `show` are already at that depth and in that range, and of the size of `canvas`.
    """

    name: OutputName
    canvas: Canvas
    bits: int
    range: Range

    def about(self) -> dict[str, object]:
        """What is known of the way to the display before the first step, for the record."""
        ...

    def show(self, frame: Frame) -> Guard:
        """Put the frame up and say what is known of the pixels on screen, or raise OutputError."""
        ...

    def blackout(self) -> None:
        """Show black until the next frame."""
        ...

    def close(self) -> None:
        """Give back what the output holds; a second call does nothing."""
        ...
