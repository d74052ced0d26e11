"""Quantisation, primaries, matrices and code points are the published ones."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from patterns.signal.levels import Ink
from patterns.signal.measures import Measure
from patterns.signal.primaries import BT709, BT2020, D65, PRIMARIES, apply, invert
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import named_signal
from patterns.signal.transfer import TRANSFERS

ONE = (Fraction(1), Fraction(1), Fraction(1))


def test_each_depth_and_range_has_the_published_codes(vectors):
    for row in vectors("quantisation"):
        quantiser = Quantiser(int(row["bits"]), row["range"])
        found = (quantiser.black, quantiser.white, quantiser.lowest, quantiser.highest)
        assert found == tuple(int(row[key]) for key in ("black", "white", "lowest", "highest")), row
        assert quantiser.code(0) == quantiser.black
        assert quantiser.code(1) == quantiser.white
        assert quantiser.signal(quantiser.white) == 1


def test_primaries_and_code_points_are_the_published_ones(vectors):
    rows = vectors("primaries")
    assert {row["primaries"] for row in rows} == PRIMARIES.keys()
    for row in rows:
        found = PRIMARIES[row["primaries"]]
        assert found.code_point == int(row["h273"])
        points = (found.red, found.green, found.blue)
        for channel, point in zip("rgb", points, strict=True):
            assert point == (Fraction(row[f"{channel}x"]), Fraction(row[f"{channel}y"])), row
        assert found.white == D65 == (Fraction("0.3127"), Fraction("0.3290"))


def test_transfers_have_their_code_points(vectors):
    found = {name: transfer.code_point for name, transfer in TRANSFERS.items()}
    assert found == {row["transfer"]: int(row["code"]) for row in vectors("h273_transfer")}


def test_matrices_are_the_computed_ones(vectors):
    for row in vectors("rgb_to_xyz"):
        index = "XYZ".index(row["row"])
        primaries = PRIMARIES[row["primaries"]]
        for column, channel in enumerate("rgb"):
            printed = Decimal(row[channel]) * 10**10
            exact = float(primaries.rgb_to_xyz[index][column])
            assert abs(Decimal(exact) * 10**10 - printed) <= Decimal("0.51"), row
            assert primaries.matrix[index, column] == exact


def test_white_of_every_primaries_is_d65(vectors, agrees):
    rows = {row["quantity"]: row["value"] for row in vectors("d65")}
    for primaries in PRIMARIES.values():
        white = apply(primaries.rgb_to_xyz, ONE)
        x, y = D65
        assert white == (x / y, 1, (1 - x - y) / y)
        assert agrees(float(white[0]), rows["X"])
        assert agrees(float(white[2]), rows["Z"])
        total = white[0] + 15 * white[1] + 3 * white[2]
        assert agrees(float(4 * white[0] / total), rows["u"])
        assert agrees(float(9 * white[1] / total), rows["v"])


def test_an_inverse_matrix_undoes_its_matrix_exactly():
    for primaries in PRIMARIES.values():
        colour = (Fraction(1, 3), Fraction(2, 7), Fraction(5, 11))
        assert apply(primaries.xyz_to_rgb, apply(primaries.rgb_to_xyz, colour)) == colour
        assert invert(primaries.xyz_to_rgb) == primaries.rgb_to_xyz


def test_matrices_agree_with_an_elimination_at_fifty_digits(reference):
    for name, primaries in PRIMARIES.items():
        known = reference.rgb_to_xyz(name)
        for row in range(3):
            for column in range(3):
                found = reference.number(primaries.rgb_to_xyz[row][column])
                assert abs(found - known[row, column]) < reference.real("1e-45"), name


def test_bt709_in_bt2020_is_the_computed_matrix(vectors, agrees):
    for column in range(3):
        unit = tuple(Fraction(int(i == column)) for i in range(3))
        found = apply(BT2020.xyz_to_rgb, apply(BT709.rgb_to_xyz, unit))
        for row, printed in zip(found, vectors("bt709_to_bt2020"), strict=True):
            assert agrees(float(row), printed["rgb"[column]]), printed


@pytest.mark.parametrize("bits", [8, 10, 12, 16])
def test_greys_of_colour_bars_have_the_published_codes(vectors, bits):
    for row in vectors("greys"):
        printed = int(row[f"bits_{bits}"])
        assert Quantiser(bits, "narrow").code(Fraction(row["percent"]) / 100) == printed, row
        if bits in (10, 12):
            level = Measure(Decimal(row["percent"]), "%")
            assert Ink(named_signal(f"sdr{bits}"))("level", level) == (printed,) * 3, row


def test_luminance_is_the_y_of_xyz_and_white_has_d65():
    for name in ("sdr8", "pq10", "hlg12"):
        signal = named_signal(name)
        white = np.array([signal.quantiser.white] * 3)
        xyz = signal.xyz(white)
        assert xyz[1] == pytest.approx(signal.luminance(white), rel=1e-15)
        assert xyz[0] / xyz.sum() == pytest.approx(0.3127, rel=1e-14)
        assert xyz[1] / xyz.sum() == pytest.approx(0.3290, rel=1e-14)
