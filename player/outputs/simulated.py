"""An output that shows frames on a simulated display."""

from __future__ import annotations

from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.quantise import Range
from player.outputs.base import Guard, OutputError, OutputName
from player.simulated import SimulatedDisplay, SimulatedError


class SimulatedOutput:
    """A link to a simulated display; its clock moves only by `wait`.

    Args:
        canvas: size of the frames.
        bits: depth of the code values on the link.
        range: range of the code values on the link.
        display: the display at the other end.
    """

    def __init__(
        self,
        canvas: Canvas,
        bits: int,
        range: Range,  # noqa: A002 - the trade's word
        display: SimulatedDisplay,
    ) -> None:
        self.name: OutputName = "simulated"
        self.canvas = canvas
        self.bits = bits
        self.range: Range = range
        self.display = display

    def about(self) -> dict[str, object]:
        """Which display is simulated, and what its link carries."""
        return {"simulated": self.display.name, "bits": self.bits, "range": self.range}

    def show(self, frame: Frame) -> Guard:
        """Put the frame on the display. Raises OutputError where it does not fit the link."""
        if (frame.width, frame.height) != (self.canvas.width, self.canvas.height):
            raise OutputError(
                f"A frame of {frame.width}x{frame.height} was given to an output of {self.canvas}."
            )
        if (frame.signal.bits, frame.signal.range) != (self.bits, self.range):
            raise OutputError(
                f"A frame of {frame.signal.bits} bits, {frame.signal.range} range, was given to an "
                f"output of {self.bits} bits, {self.range} range."
            )
        try:
            self.display.show(frame)
        except SimulatedError as error:
            raise OutputError(str(error)) from error
        return Guard("unknown", "the display is simulated: there is no framebuffer to read back")

    def wait(self, seconds: float) -> None:
        """Let the display's clock go on; nothing sleeps."""
        self.display.wait(seconds)

    def blackout(self) -> None:
        """Show black until the next frame."""
        self.display.blackout()

    def close(self) -> None:
        """Nothing is held."""
