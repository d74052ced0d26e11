"""Coding pictures as HEVC: libx265 through PyAV, and the parameters it is given.

A key frame and the pictures that repeat it come from encoders of their own, and fit together
because every encoder of a clip has the same parameters. The one picture that says "as before" for
the whole canvas holds for any picture of its size, since with temporal motion vectors and the loop
filters off nothing in it refers to content.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import PatternError
from patterns.picture.light import Light, chromaticity_units
from patterns.video.levels import UNLIMITED, Buffer, largest_units, level_for
from patterns.video.planes import Planes, whole
from patterns.video.settings import Settings

if TYPE_CHECKING:
    from av.video.codeccontext import VideoCodecContext
    from av.video.frame import VideoFrame

START = b"\0\0\0\1"
VPS, SPS, PPS = 32, 33, 34
PARAMETER_SETS = (VPS, SPS, PPS)

POC_BITS = 8
"""Bits of slice_pic_order_cnt_lsb, which the encoder is told to use."""

PTL_AT = {VPS: 6, SPS: 3}
"""Where profile_tier_level begins, in bytes after the NAL unit's first."""
TIER_BIT, LEVEL_AT = 0x20, 11
"""general_tier_flag in the first byte of profile_tier_level; general_level_idc in the twelfth."""


def nal_units(stream: bytes) -> list[bytes]:
    """The NAL units of a byte stream, without start codes."""
    # a NAL unit never ends in 0, so that zeros before a start code belong to the start code
    return [unit.rstrip(b"\0") for unit in stream.split(b"\0\0\1") if unit.strip(b"\0")]


def byte_stream(units: list[bytes]) -> bytes:
    """NAL units as a byte stream."""
    return b"".join(START + unit for unit in units)


def kind_of(unit: bytes) -> int:
    """nal_unit_type."""
    return unit[0] >> 1 & 0x3F


def split_headers(stream: bytes) -> tuple[list[bytes], bytes]:
    """The parameter sets of an access unit, and the access unit without them.

    They stand in the sample entry of an ``hvc1`` track and nowhere else (ISO/IEC 14496-15, from
    memory); SEI messages stay.
    """
    units = nal_units(stream)
    headers = [unit for unit in units if kind_of(unit) in PARAMETER_SETS]
    return headers, byte_stream([unit for unit in units if kind_of(unit) not in PARAMETER_SETS])


def at_count(repeat: bytes, count: int) -> bytes:
    """A P picture of one slice, as the ``count``-th picture after its key frame.

    Only slice_pic_order_cnt_lsb is set: the eight bits after first_slice_segment_in_pic_flag 1,
    slice_pic_parameter_set_id 0 (one bit) and slice_type P (010). The picture refers to the one
    before it and keeps no other, so that it may follow any number of its like.

    Raises:
        ValueError: the picture does not begin as described.
    """
    units = nal_units(repeat)
    if len(units) != 1 or kind_of(units[0]) != 1 or units[0][2] >> 3 != 0b11010:
        raise ValueError("not a P picture of one slice")
    unit = bytearray(units[0])
    lsb = count % (1 << POC_BITS)
    unit[2] = unit[2] & 0xF8 | lsb >> 5
    unit[3] = (lsb & 0x1F) << 3 | unit[3] & 7
    # what follows is short_term_ref_pic_set_sps_flag 0 and num_negative_pics 1 (010): never three
    # zeros, so that no emulation prevention comes or goes
    if unit[3] & 7 != 0b001:
        raise ValueError("a P picture with more than one reference")
    return START + bytes(unit)


def with_level(unit: bytes, level: int, *, high: bool) -> bytes:
    """A VPS or SPS with another general_level_idc and tier."""
    plain = bytearray(unit.replace(b"\0\0\3", b"\0\0"))
    at = PTL_AT[kind_of(unit)]
    plain[at] = plain[at] & ~TIER_BIT | (TIER_BIT if high else 0)
    plain[at + LEVEL_AT] = level
    return escaped(bytes(plain))


def escaped(plain: bytes) -> bytes:
    """With emulation prevention: 3 goes before a byte 0 to 3 that follows two zeros."""
    out = bytearray()
    zeros = 0
    for byte in plain:
        if zeros == 2 and byte <= 3:
            out.append(3)
            zeros = 0
        out.append(byte)
        zeros = zeros + 1 if byte == 0 else 0
    return bytes(out)


Coded = tuple[bytes, bool]
"""An access unit without parameter sets, and whether it is a key frame."""

FRAME_THREADS = 2
"""Fixed, because the stream depends on it and is to be the same on every machine."""

PRESET = {False: "ultrafast", True: "fast"}
"""Of libx265, lossless and compat. All presets are exact when lossless; this one takes a third of
the time of the next."""

COMMON = (
    "sar=1:bframes=0:ref=1:keyint=-1:scenecut=0:open-gop=0:rc-lookahead=0:b-adapt=0:weightp=0"
    ":temporal-mvp=0:no-deblock=1:sao=0:cutree=0:info=0:repeat-headers=1"
    f":log2-max-poc-lsb={POC_BITS}:frame-threads={FRAME_THREADS}:log-level=none"
)
LOSSY = "aq-mode=0:psy-rd=0:psy-rdoq=0:rdoq-level=0:no-signhide=1"
"""Nothing that gives up exactness for looks."""


def parameters(settings: Settings, light: Light | None, coarseness: int = 4) -> str:
    """Parameters of libx265 for every encoder of a clip; ``coarseness`` counts in compat only."""
    parts = [COMMON, f"{LOSSY}:qp={coarseness}" if settings.compat else "lossless=1"]
    if settings.siting is not None:
        parts.append(f"chromaloc={settings.siting}")
    if light is not None:
        parts.append(f"master-display={mastering(light)}")
        parts.append(f"max-cll={whole(light.max_cll)},{whole(light.max_fall)}")
    return ":".join(parts)


def mastering(light: Light) -> str:
    """The mastering display as libx265 takes it: G, B, R in 0.00002, L in 0.0001 cd/m2."""
    space = light.primaries
    named = {"G": space.green, "B": space.blue, "R": space.red, "WP": space.white}
    places = {name: chromaticity_units(point) for name, point in named.items()}
    points = "".join(f"{name}({x},{y})" for name, (x, y) in places.items())
    return f"{points}L({light.max_mastering},{light.min_mastering})"


def set_up(
    context: VideoCodecContext, settings: Settings, light: Light | None, coarseness: int = 4
) -> None:
    """Give an encoder that is not open yet the size, colour and parameters of a clip."""
    context.width, context.height = settings.canvas.width, settings.canvas.height
    context.pix_fmt = settings.pixel_format
    context.framerate = settings.rate
    context.time_base = 1 / settings.rate
    context.color_primaries = settings.signal.primaries.code_point
    context.color_trc = settings.transfer_point
    context.colorspace = settings.matrix.code_point
    context.color_range = 2 if settings.signal.range == "full" else 1
    context.options = {
        "preset": PRESET[settings.compat],
        "forced-idr": "1",
        "x265-params": parameters(settings, light, coarseness),
    }


def require_encoder(settings: Settings) -> None:
    """PatternError where this PyAV has no libx265, or none of this depth and chroma."""
    from av.codec import Codec
    from av.codec.codec import UnknownCodecError

    try:
        formats = Codec("libx265", "w").video_formats or []
    except UnknownCodecError:
        formats = []
    if settings.pixel_format not in {each.name for each in formats}:
        raise PatternError(
            f"The HEVC encoder of this installation cannot make {settings.signal.bits}-bit "
            f"{settings.chroma}."
        )


class Encoder:
    """One libx265 encoder, from a key frame to the next; ``coarseness`` counts in compat only."""

    def __init__(self, settings: Settings, light: Light | None, coarseness: int = 4) -> None:
        from av.codec import CodecContext
        from av.video.frame import VideoFrame

        self._context = CodecContext.create("libx265", "w")
        set_up(self._context, settings, light, coarseness)
        self._settings = settings
        size = settings.canvas.width, settings.canvas.height
        self._picture: VideoFrame = VideoFrame(*size, settings.pixel_format)
        self.headers: list[bytes] = []
        """Parameter sets, once a key frame has been coded."""

    def coded(self, pictures: Iterable[Planes | None]) -> Iterator[Coded]:
        """Code pictures, the first as a key frame; None repeats the one before."""
        from av.video.frame import PictureType

        for number, planes in enumerate(pictures):
            if planes is not None:
                planes.fill(self._picture)
            self._picture.pts = number
            self._picture.time_base = 1 / self._settings.rate
            self._picture.pict_type = PictureType.I if number == 0 else PictureType.NONE
            yield from self._taken(self._picture)
        yield from self._taken(None)

    def _taken(self, picture: VideoFrame | None) -> Iterator[Coded]:
        for packet in self._context.encode(picture):
            headers, unit = split_headers(bytes(packet))
            self.headers = headers or self.headers
            yield unit, packet.is_keyframe


@lru_cache(maxsize=8)
def repeat_unit(settings: Settings) -> bytes:
    """The picture that says "as before": coded after a flat grey, which leaves nothing else."""
    height, width = settings.canvas.height, settings.canvas.width
    across = 2 if settings.chroma == "4:2:0" else 1
    kind = np.uint8 if settings.signal.bits == 8 else np.uint16
    middle = 1 << (settings.signal.bits - 1)
    chroma = np.full((1, width // across), middle, kind)
    grey = Planes(
        np.full((1, width), middle, kind),
        np.zeros(height, np.uint16),
        (chroma, chroma),
        np.zeros(height // across, np.uint16),
    )
    _, (unit, _) = Encoder(settings, None).coded([grey, None])
    return at_count(unit, 1)


def decoded(units: Iterable[bytes], headers: bytes) -> Iterator[VideoFrame]:
    """Decode access units with libavcodec; ``headers`` are the parameter sets as a byte stream."""
    from av.codec import CodecContext
    from av.packet import Packet

    context = CodecContext.create("hevc", "r")
    context.extradata = headers
    context.thread_type = "SLICE"
    for unit in units:
        yield from context.decode(Packet(unit))
    yield from context.decode(None)


COARSENESS = (4, 10, 16, 22, 28, 34, 40, 46, 51)
"""Quantisers to try; each step of six halves the precision."""
SHARE = Fraction(4, 5)
"""Of the level's bit rate and buffer, for a moving pattern."""
KEY_SHARE = Fraction(1, 2)
"""Of the level's buffer, for the key frame of a still; then one a second is enough for the rest."""


class Cap:
    """Whether pictures that follow one another keep the cap."""

    def __init__(self, settings: Settings) -> None:
        level = level_for(settings)
        self._limited = level != UNLIMITED
        if self._limited:
            self._buffer = Buffer(level, settings, SHARE)
            self._key = Buffer(level, settings, KEY_SHARE)
            self._largest = min(largest_units(level, settings))

    def takes(self, size: int) -> bool:
        """Whether the next picture may have so many bytes."""
        return not self._limited or (size <= self._largest and self._buffer.takes(size))

    def takes_key(self, size: int) -> bool:
        """Whether a still may have a key frame of so many bytes."""
        return not self._limited or (size <= self._largest and self._key.takes(size))
