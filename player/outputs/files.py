"""Output "files": nothing is shown here; the exported file is put up on a media player."""

from __future__ import annotations

from collections.abc import Mapping

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.quantise import Range
from player.outputs.base import Guard, OutputName


class FilesOutput:
    """Names the exported file that holds each frame.

    Args:
        files: SHA-256 of a frame, as the export's manifest gives it, to the file's name.
        canvas, bits, range_: those of the export.
    """

    name: OutputName = "files"

    def __init__(self, files: Mapping[str, str], canvas: Canvas, bits: int, range_: Range) -> None:
        self._files = files
        self.canvas = canvas
        self.bits = bits
        self.range: Range = range_
        self.file = ""
        """Name of the file to put up now; empty where none was exported with this frame."""

    def about(self) -> dict[str, object]:
        """The signal of the files; what the media player does with them is not known."""
        return {"bits": self.bits, "range": self.range}

    def show(self, frame: Frame) -> Guard:
        """Name the file; what the media player makes of it is not known here."""
        self.file = self._files.get(frame.sha256, "")
        if not self.file:
            return Guard("unknown", "no exported file holds this frame")
        return Guard("unknown", f"shown by a media player from file {self.file}")

    def blackout(self) -> None:
        """Only the operator can take a media player's picture away."""
        self.file = ""

    def close(self) -> None:
        """Nothing is held."""
