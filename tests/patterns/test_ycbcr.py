"""R'G'B' to Y'CbCr is the published one for colour bars, at every depth, and exact."""

from fractions import Fraction

import numpy as np
import pytest

from patterns.kinds.bars import COLOURS
from patterns.signal.quantise import Quantiser
from patterns.signal.ycbcr import BT601, BT709, BT2020, MATRICES

QUANTISERS = [Quantiser(bits, range_) for bits in (8, 10, 12, 16) for range_ in ("narrow", "full")]


def test_colour_bars_have_the_published_codes_at_every_depth(vectors):
    rows = vectors("bars_ycbcr")
    assert len(rows) == 5 * 8 * 4
    for row in rows:
        level = Fraction(int(row["percent"]), 100)
        rgb = tuple(level * on for on in COLOURS[row["bar"]])
        codes = MATRICES[row["matrix"]].codes(rgb, Quantiser(int(row["bits"]), "narrow"))
        assert codes == (int(row["y"]), int(row["cb"]), int(row["cr"])), row


def test_ebu_colours_end_with_the_bars_of_one_hundred_percent():
    """The last three of EBU Tech 3325 v2.0 (2022) EBU_5, second-hand, as 10-bit BT.709 Y'CbCr."""
    known = {"red": (250, 409, 960), "green": (691, 167, 105), "blue": (127, 960, 471)}
    for bar, codes in known.items():
        rgb = tuple(Fraction(on) for on in COLOURS[bar])
        assert BT709.codes(rgb, Quantiser(10, "narrow")) == codes


def test_weights_and_code_points_are_those_of_the_standards():
    """BT.709-6 item 3.2, BT.601-7, BT.2020-2 Table 4; H.273 Table 4; all second-hand."""
    found = {
        name: (each.code_point, each.red, each.green, each.blue) for name, each in MATRICES.items()
    }
    assert found == {
        "bt709": (1, 2126, 7152, 722),
        "bt601": (6, 2990, 5870, 1140),
        "bt2020": (9, 2627, 6780, 593),
    }


@pytest.mark.parametrize(
    ("bits", "range_", "ends"),
    [
        # BT.2100-3 Table 9: least, neutral and most of chroma; 10 and 12 bits second-hand, others
        # computed
        (8, "narrow", (16, 128, 240)),
        (10, "narrow", (64, 512, 960)),
        (12, "narrow", (256, 2048, 3840)),
        (16, "narrow", (4096, 32768, 61440)),
        (8, "full", (1, 128, 255)),
        (10, "full", (1, 512, 1023)),
        (12, "full", (1, 2048, 4095)),
        (16, "full", (1, 32768, 65535)),
    ],
)
def test_chroma_ends_at_the_published_codes_and_full_range_is_clipped(bits, range_, ends):
    quantiser = Quantiser(bits, range_)
    black, white = quantiser.black, quantiser.white
    blues = [(white, white, black), (white, white, white), (black, black, white)]
    reds = [(black, white, white), (white, white, white), (white, black, black)]
    for matrix in MATRICES.values():
        for place, colours in ((1, blues), (2, reds)):
            exact = [
                matrix.codes(tuple(quantiser.signal(code) for code in rgb), quantiser)[place]
                for rgb in colours
            ]
            assert tuple(exact) == ends
            assert matrix.of_codes(np.array(colours), quantiser)[:, place].tolist() == exact


@pytest.mark.parametrize("quantiser", QUANTISERS, ids=str)
@pytest.mark.parametrize("matrix", [BT709, BT601, BT2020], ids=lambda each: each.name)
def test_codes_in_whole_numbers_are_those_of_exact_fractions(matrix, quantiser):
    random = np.random.default_rng(709)
    rgb = random.integers(quantiser.lowest, quantiser.highest + 1, (300, 3))
    rgb[:8] = np.array(np.meshgrid(*[[quantiser.black, quantiser.white]] * 3)).reshape(3, -1).T
    found = matrix.of_codes(rgb.astype(np.uint16), quantiser)
    assert found.dtype == np.uint16
    for codes, one in zip(rgb.tolist(), found.tolist(), strict=True):
        exact = matrix.codes(tuple(quantiser.signal(code) for code in codes), quantiser)
        held = [min(max(code, quantiser.lowest), quantiser.highest) for code in exact]
        assert one == held, codes


def test_components_are_undone_by_the_inverse():
    rgb = (Fraction(1, 3), Fraction(2, 7), Fraction(9, 11))
    for matrix in MATRICES.values():
        luma, blue, red = matrix.components(rgb)
        kr, kb = Fraction(matrix.red, 10_000), Fraction(matrix.blue, 10_000)
        r, b = luma + 2 * (1 - kr) * red, luma + 2 * (1 - kb) * blue
        assert (r, (luma - kr * r - kb * b) / (1 - kr - kb), b) == rgb


def test_an_array_of_any_shape_keeps_it():
    rgb = np.full((2, 5, 3), 512, np.uint16)
    out = BT709.of_codes(rgb, Quantiser(10, "narrow"))
    assert out.shape == (2, 5, 3)
    assert out[1, 4].tolist() == [512, 512, 512]
