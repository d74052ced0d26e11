"""Codes become light by the display's own response."""

import numpy as np
import pytest

from patterns.signal.signal import Signal, named_signal, signal_from_parts
from player.simulated import DisplayParameters
from player.simulated.response import asked_by

PQ_OF_1000 = 769  # the 10-bit narrow code nearest to 1000 cd/m2: 723 / 940 of the way


def display(**changes: object) -> DisplayParameters:
    plain = {
        "name": "plain",
        "peak": 1000,
        "responses": {"bt1886": {"white": 400, "exponent": 2}, "pq": {"white": 1000}},
        "light": {"kind": "emissive"},
    }
    return DisplayParameters.model_validate(plain | changes)


def asked(parameters: DisplayParameters, signal: Signal, *codes: int) -> list[float]:
    greys = np.array(codes, np.uint16)[:, np.newaxis].repeat(3, axis=1)
    return [float(row[1]) for row in asked_by(parameters, signal)(greys)]


def test_sdr_follows_the_displays_own_exponent():
    got = asked(display(), named_signal("sdr8"), 0, 51, 102, 255)
    assert got == pytest.approx([0, 0.04, 0.16, 1])


def test_a_table_of_codes_gives_what_each_code_gives():
    sdr = named_signal("sdr8")
    few = asked(display(), sdr, *range(256))
    many = asked(display(), sdr, *range(256), *range(256))
    assert many[:256] == few


def test_pq_is_cut_at_the_modes_white():
    got = asked(display(), named_signal("pq10"), 64, 502, 940)
    assert got[0] == 0
    assert got[1] == pytest.approx(0.0922457, rel=1e-6)  # PQ 50 %: 92.2457 cd/m2
    assert got[2] == 1


def test_a_roll_off_bends_smoothly_and_ends_at_white():
    rolled = {"pq": {"white": 1000, "top": "roll off", "knee": 0.5}}
    got = asked(display(responses=rolled), named_signal("pq10"), *range(64, 941))
    cut = asked(display(), named_signal("pq10"), *range(64, 941))
    assert all(soft <= hard + 1e-12 for soft, hard in zip(got, cut, strict=True))
    assert all(
        soft == pytest.approx(hard) for soft, hard in zip(got, cut, strict=True) if hard < 0.5
    )
    assert np.diff(got).min() >= 0
    assert got[-1] == pytest.approx(1)


def test_hlg_is_adapted_to_the_displays_white():
    parameters = display(responses={"hlg": {"white": 1000}})
    got = asked(parameters, named_signal("hlg10"), 64, 721, 940)
    assert got == pytest.approx([0, 0.2031521, 1], rel=1e-6)  # 75 %: 203 cd/m2 at 1000


def test_a_transfer_that_the_display_lacks_is_taken_for_the_first_it_has():
    only_sdr = display(responses={"bt1886": {"white": 400, "exponent": 2}})
    got = asked(only_sdr, named_signal("pq10"), 502)
    assert got == pytest.approx([0.25])


def test_a_full_signal_taken_for_narrow_loses_its_ends():
    narrow = display(link={"bits": 8, "range": "narrow"})
    assert asked(narrow, named_signal("sdr8"), 0, 16, 235, 255) == pytest.approx([0, 0, 1, 1])


def test_a_narrow_signal_taken_for_full_is_milky():
    full = display(link={"bits": 10, "range": "full"})
    sent = signal_from_parts({"transfer": "bt1886", "bits": 8, "range": "narrow"})
    got = asked(full, sent, 16, 235)
    assert got == pytest.approx([(16 / 255) ** 2, (235 / 255) ** 2])


def test_a_link_of_fewer_bits_rounds_the_codes():
    shallow = display(link={"bits": 8})
    assert asked(shallow, named_signal("sdr16"), 256, 128 * 257) == (
        pytest.approx([(1 / 255) ** 2, (128 / 255) ** 2])
    )


def test_errors_of_the_channels_colour_a_grey():
    faulty = {"bt1886": {"white": 400, "gain": [1, 0.9, 1.2], "offset": [0.01, 0, -0.01]}}
    codes = np.array([[0, 0, 0], [128, 128, 128], [255, 255, 255]], np.uint16)
    black, grey, white = asked_by(display(responses=faulty), named_signal("sdr8"))(codes)
    assert black[0] > 0
    assert black[1:] == pytest.approx([0, 0], abs=1e-15)
    assert grey[2] > grey[0] > grey[1]
    assert white == pytest.approx([1, 0.9, 1])


def test_without_conversion_each_channel_drives_its_own_primary():
    direct = display(responses={"pq": {"white": 1000, "convert": False}})
    red = np.array([[PQ_OF_1000, 64, 64]], np.uint16)
    assert asked_by(direct, named_signal("pq10"))(red)[0][1:].tolist() == [0, 0]
