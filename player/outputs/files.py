"""Output "files": nothing is shown here; the exported file is put up on a media player."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from patterns.errors import PatternError
from patterns.files.manifest import Line, Listing, read_listing
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.outputs.base import Guard, OutputName

ORDER = (".mp4", ".png", ".tiff", ".dpx", ".exr")
"""Which file of a step is named, where a set holds it in several formats: clips before stills."""
TWIN = "-compat.mp4"
UNKNOWN_CODES = "which is of capped bit rate, so that its codes may differ"


class FilesOutput:
    """Names the exported file that holds each frame.

    Args:
        listing: the manifest of the set that the media player has.

    Raises:
        PatternError: pictures of several sizes or signals, or none at all.
    """

    name: OutputName = "files"

    def __init__(self, listing: Listing) -> None:
        if not listing.lines:
            raise PatternError(f"The manifest in {listing.folder} names no file.")
        self._listing = listing
        self._lines = _one_format(listing.lines)
        first = self._lines[0]
        if len({(each.canvas, each.signal) for each in self._lines}) > 1:
            raise PatternError(
                f"The files in {listing.folder} are of several sizes or signals, and a run has one."
            )
        self.canvas = first.canvas
        self.signal: Signal = first.signal
        self.bits = first.signal.bits
        self.range = first.signal.range
        self.flashing = _flashing(listing.lines)
        """What of the set flashes more than three times a second, as its manifest keeps it."""
        self._place = 0
        self.file = ""
        """What to put up now, in words; empty where no file holds this frame."""

    def about(self) -> dict[str, object]:
        """The set and its signal; what the media player does with it is not known."""
        return {
            "bits": self.bits,
            "range": self.range,
            "folder": self._listing.folder.name,
            "manifest_sha256": self._listing.sha256,
        }

    def holds(self, frame: Frame) -> bool:
        """Whether a file of the set shows this frame."""
        return any(each.codes_sha256 == frame.sha256 for each in self._lines)

    def show(self, frame: Frame) -> Guard:
        """Name the file; what the media player makes of it is not known here."""
        places = [
            place for place, each in enumerate(self._lines) if each.codes_sha256 == frame.sha256
        ]
        if not places:
            self.file = ""
            return Guard("unknown", "no exported file holds this frame")
        # the same picture may come again: the next one from here, else the last before
        self._place = next((each for each in places if each >= self._place), places[-1])
        line = self._lines[self._place]
        self.file = self._named(line)
        twin = f", {UNKNOWN_CODES}" if line.file.endswith(TWIN) else ""
        return Guard(
            "unknown",
            f"shown by a media player from file {self.file} (SHA-256 {line.file_sha256}){twin}",
        )

    def _named(self, line: Line) -> str:
        chapters = [each for each in self._lines if each.file == line.file]
        if len(chapters) == 1:
            return line.file
        minutes, rest = divmod(float(line.start), 60)
        at = f"{int(minutes)} min {rest:04.1f} s" if minutes else f"{rest:.1f} s"
        return f"{line.file}, chapter {chapters.index(line) + 1}, at {at}"

    def blackout(self) -> None:
        """Only the operator can take a media player's picture away."""
        self.file = ""

    def close(self) -> None:
        """Nothing is held."""


def open_files(folder: Path, signal: Signal) -> FilesOutput:
    """The output of a set of files, for a sequence of this signal.

    Raises:
        PatternError: there is no such set, or it was exported in another signal.
    """
    output = FilesOutput(read_listing(folder))
    if output.signal.describe() != signal.describe():
        raise PatternError(
            f"The files in {folder} were exported as {output.signal.name}, and the sequence is "
            f"{signal.name}: name the signal of the files with --signal."
        )
    return output


def _one_format(lines: Sequence[Line]) -> list[Line]:
    """The lines of the first format in order; of clips, single ones before that of a sequence."""
    groups: dict[tuple[bool, int, bool], list[Line]] = {}
    for each in lines:
        suffix = Path(each.file).suffix
        rank = ORDER.index(suffix) if suffix in ORDER else len(ORDER)
        film = sum(other.file == each.file for other in lines) > 1
        groups.setdefault((each.file.endswith(TWIN), rank, film), []).append(each)
    return groups[min(groups)]


def _flashing(lines: Sequence[Line]) -> list[str]:
    """A line for each file over the limit, or for the set where only all of it together is."""
    found = {each.file: each.flashes for each in lines if each.flashes and each.flashes.confirmed}
    over = [f"{name} has {each.flashing}" for name, each in found.items() if each.flashing.over]
    return over or ["the set's clips, one after another"] * bool(found)
