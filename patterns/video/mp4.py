"""Putting access units into an mp4 file, each with its time, and chapters where pictures begin."""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Self

from patterns.picture.light import Light, chromaticity_units
from patterns.video.encoder import PTL_AT, TIER_BIT, kind_of, set_up, with_level
from patterns.video.levels import Level
from patterns.video.planes import whole
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


HOLDERS = (b"moov", b"trak", b"mdia", b"minf", b"stbl")
ENTRY_FIELDS = 78
"""Bytes of a visual sample entry before its boxes."""
LIST_FIELDS = 8
"""Bytes of ``stsd`` before its entries."""
RECORD_LEVEL_AT, RECORD_ARRAYS_AT = 12, 22
"""Of the decoder configuration record: general_level_idc, and numOfArrays."""

Change = Callable[[bytes], bytes]


def box(name: bytes, content: bytes) -> bytes:
    """One box."""
    return struct.pack(">I4s", 8 + len(content), name) + content


def boxes(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Names and contents of the boxes in some bytes.

    Raises:
        ValueError: they are not whole boxes.
    """
    at = 0
    while at < len(data):
        if at + 8 > len(data):
            raise ValueError("a box is cut off")
        size, name = struct.unpack_from(">I4s", data, at)
        head = 8
        if size == 1 and at + 16 <= len(data):
            size, head = struct.unpack_from(">Q", data, at + 8)[0], 16
        if size < head or at + size > len(data):
            raise ValueError(f"box {name.decode('latin-1')} is cut off")
        yield name, data[at + head : at + size]
        at += size


def top_level(file: BinaryIO) -> list[tuple[bytes, int, int]]:
    """Name, place and size of the boxes of a whole file.

    Raises:
        ValueError: the file ends within a box.
    """
    end = file.seek(0, 2)
    at, found = 0, []
    while at < end:
        file.seek(at)
        head = file.read(16)
        size, name = struct.unpack(">I4s", head[:8].ljust(8, b"\0"))
        if size == 1 and len(head) == 16:
            size = struct.unpack(">Q", head[8:])[0]
        if size < 8 or at + size > end:
            raise ValueError("the file is cut off")
        found.append((name, at, size))
        at += size
    return found


def finish(path: Path, level: Level, light: Light | None) -> None:
    """State level and tier in the sample entry of an ``hvc1`` file, and the light of an HDR10 one.

    Raises:
        ValueError: the file is not whole, or its ``moov`` is not last.
        OSError: as the operating system has it.
    """
    with path.open("r+b") as file:
        parts = top_level(file)
        name, at, size = parts[-1]
        if name != b"moov" or {each for each, _, _ in parts} != {b"ftyp", b"free", b"mdat", name}:
            raise ValueError("the file is not as the muxer writes it")
        file.seek(at)
        moov = file.read(size)
        file.seek(at)
        file.write(_rebuilt(moov, lambda entry: _entry(entry, level, light)))
        file.truncate()


def _rebuilt(data: bytes, change: Change) -> bytes:
    """The boxes anew, with the content of every ``hvc1`` sample entry changed."""
    out = []
    for name, content in boxes(data):
        made = content
        if name in HOLDERS:
            made = _rebuilt(content, change)
        elif name == b"stsd":
            entries = boxes(content[LIST_FIELDS:])
            made = content[:LIST_FIELDS] + b"".join(
                box(kind, change(entry) if kind == b"hvc1" else entry) for kind, entry in entries
            )
        out.append(box(name, made))
    return b"".join(out)


def _entry(content: bytes, level: Level, light: Light | None) -> bytes:
    out = [content[:ENTRY_FIELDS]]
    for name, inner in boxes(content[ENTRY_FIELDS:]):
        out.append(box(name, _record(inner, level) if name == b"hvcC" else inner))
        if name == b"colr" and light is not None:
            out += [mdcv(light), clli(light)]
    return b"".join(out)


def _record(record: bytes, level: Level) -> bytes:
    """The decoder configuration record with level and tier, there and in its parameter sets."""
    head = bytearray(record[: RECORD_ARRAYS_AT + 1])
    head[1] = head[1] & ~TIER_BIT | (TIER_BIT if level.high else 0)
    head[RECORD_LEVEL_AT] = level.idc
    out, at = [bytes(head)], len(head)
    for _ in range(head[RECORD_ARRAYS_AT]):
        _, count = struct.unpack_from(">BH", record, at)
        out.append(record[at : at + 3])
        at += 3
        for _ in range(count):
            (size,) = struct.unpack_from(">H", record, at)
            unit = record[at + 2 : at + 2 + size]
            at += 2 + size
            if kind_of(unit) in PTL_AT:
                unit = with_level(unit, level.idc, high=level.high)
            out.append(struct.pack(">H", len(unit)) + unit)
    return b"".join(out)


def mdcv(light: Light) -> bytes:
    """Mastering display colour volume: G, B, R, white in 0.00002; luminances in 0.0001 cd/m2."""
    space = light.primaries
    points = (space.green, space.blue, space.red, space.white)
    places = [each for point in points for each in chromaticity_units(point)]
    return box(b"mdcv", struct.pack(">8H2I", *places, light.max_mastering, light.min_mastering))


def clli(light: Light) -> bytes:
    """Content light level: MaxCLL and MaxFALL in whole cd/m2."""
    return box(b"clli", struct.pack(">2H", whole(light.max_cll), whole(light.max_fall)))
