"""Codes of 8, 10 and 12 bits in 16."""

from fractions import Fraction

import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.files.container import codes16, container16, container_rule, container_text
from patterns.picture.frame import Frame
from patterns.signal.exact import round_half_away
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import named_signal, signal_from_parts

DEPTHS = [8, 10, 12]


def frame_of(codes, **parts) -> Frame:
    signal = signal_from_parts({"transfer": "pq", **parts})
    rows = np.repeat(np.array(codes, np.uint16)[None, :, None], 3, axis=2)
    return Frame(rows, np.zeros(2, np.uint16), signal, {"ink": (codes[0],) * 3})


@pytest.mark.parametrize("range_", ["narrow", "full"])
@pytest.mark.parametrize("bits", DEPTHS)
def test_every_code_comes_back_by_shift_and_by_scaling(bits: int, range_):
    wide = codes16(Quantiser(bits, range_)).tolist()
    largest = (1 << bits) - 1
    assert len(wide) == 1 << bits
    assert [c16 >> (16 - bits) for c16 in wide] == list(range(1 << bits))
    step = 1 << (16 - bits)
    scaled = (
        [(2 * c16 + step) // (2 * step) for c16 in wide]
        if range_ == "narrow"
        else [(2 * c16 * largest + 65_535) // (2 * 65_535) for c16 in wide]
    )
    assert scaled == list(range(1 << bits))


@pytest.mark.parametrize("bits", DEPTHS)
def test_full_range_is_the_rounded_ratio_and_ends_at_65535(bits: int):
    wide = codes16(Quantiser(bits, "full")).tolist()
    largest = (1 << bits) - 1
    assert wide == [round_half_away(Fraction(c * 65_535, largest)) for c in range(1 << bits)]
    assert wide[-1] == 65_535


def test_known_codes_in_16_bits():
    # narrow 573 << 6, and 721 << 6: PNG (Third Edition) leaves the rule to video practice;
    # 4096 and 60160 are BT.2100-3 Table 9 at n = 16, computed
    codes = [64, 940, 573, 721]
    assert codes16(Quantiser(10, "narrow"))[codes].tolist() == [4096, 60_160, 36_672, 46_144]
    # 594 * 65535 / 1023 = 38052.55..., computed; replication of bits gives the same here
    assert codes16(Quantiser(10, "full"))[[0, 594, 1023]].tolist() == [0, 38_053, 65_535]
    assert codes16(Quantiser(8, "full"))[[1, 128, 255]].tolist() == [257, 32_896, 65_535]


def test_a_narrow_frame_in_16_bits_keeps_its_signal_and_its_inks():
    wide = container16(frame_of([64, 940], bits=10, range="narrow"))
    assert (wide.signal.bits, wide.signal.range, wide.signal.transfer.name) == (16, "narrow", "pq")
    assert wide.rows[0, :, 0].tolist() == [4096, 60_160]
    assert wide.inks == {"ink": (4096, 4096, 4096)}


def test_a_full_range_frame_in_16_bits():
    wide = container16(frame_of([594, 1023], bits=10, range="full"))
    assert wide.rows[0, :, 2].tolist() == [38_053, 65_535]


def test_a_frame_of_16_bits_stays_itself():
    frame = frame_of([1, 65_535], bits=16, range="full")
    assert container16(frame) is frame


def test_a_code_beyond_its_depth_is_refused():
    with pytest.raises(PatternError, match=r"holds code 1024, and 10 bits end at 1023\.$"):
        container16(frame_of([64, 1024], bits=10, range="narrow"))


def test_the_rule_in_words():
    assert container_rule(named_signal("pq10")) == "10-bit code << 6"
    assert container_rule(named_signal("sdr8")) == "Round(8-bit code * 65535 / 255)"
    assert container_rule(named_signal("pq16")) == "16-bit codes as they are"
    assert container_text(named_signal("pq10")) == (
        "transfer pq, primaries bt2020, bits 10, range narrow; 10-bit code << 6"
    )
