"""Putting access units into an mp4 file, each with its time, and chapters where pictures begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from patterns.files.light import Light
from patterns.video.hevc import set_up
from patterns.video.settings import Settings


@dataclass(frozen=True)
class Start:
    """Where a picture begins in a clip: its title, first frame and number of frames."""

    title: str
    first: int
    frames: int


class Mp4:
    """An mp4 file of one ``hvc1`` track being written; ``moov`` comes last.

    Args:
        path: of the file.
        settings: of the clip.
        light: static metadata, None for none.
        starts: the pictures; with two or more, each is a chapter.
        title: of the file.
    """

    def __init__(
        self,
        path: Path,
        settings: Settings,
        light: Light | None,
        starts: Sequence[Start],
        title: str,
    ) -> None:
        import av

        rate = settings.rate
        # no date and no version in the file, and a clock that counts the frames exactly
        options = {"fflags": "+bitexact", "video_track_timescale": str(rate.numerator)}
        self._container = av.open(str(path), "w", format="mp4", options=options)
        if title:
            self._container.metadata["title"] = title
        self._stream = self._container.add_stream("libx265", rate)
        # this encoder codes nothing: it writes the parameter sets for the sample entry
        set_up(self._stream.codec_context, settings, light)
        self._stream.codec_context.codec_tag = "hvc1"
        self._stream.time_base = 1 / rate
        if len(starts) > 1:
            self._container.set_chapters(
                [
                    {
                        "id": number,
                        "start": start.first * rate.denominator,
                        "end": (start.first + start.frames) * rate.denominator,
                        "time_base": 1 / rate / rate.denominator,
                        "metadata": {"title": start.title},
                    }
                    for number, start in enumerate(starts, 1)
                ]
            )
        self._container.start_encoding()
        self._tick = 1 / rate
        self.sizes: list[int] = []
        """Bytes of each access unit so far."""

    @property
    def headers(self) -> bytes:
        """Parameter sets and SEI of the sample entry, as a byte stream."""
        return bytes(self._stream.codec_context.extradata or b"")

    def add(self, unit: bytes, *, key: bool) -> None:
        """Add the next access unit, one frame long."""
        from av.packet import Packet

        packet = Packet(unit)
        packet.stream = self._stream
        packet.time_base = self._tick
        packet.pts = packet.dts = len(self.sizes)
        packet.duration = 1
        packet.is_keyframe = key
        self.sizes.append(len(unit))
        self._container.mux_one(packet)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._container.close()
