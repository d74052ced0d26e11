"""NAL units of an HEVC stream: taken apart, and the few bits of them that are changed.

Rec. ITU-T H.265 (from memory): NAL units in clause 7.3.1, parameter sets in 7.3.2, profile, tier
and level in 7.3.3, slice headers in 7.3.6.1, the byte stream in Annex B.
"""

from __future__ import annotations

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
