"""A frame says of its pixels what the pixels say themselves."""

import hashlib
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.primaries import BT709
from patterns.signal.signal import Signal, named_signal
from patterns.signal.transfer import Bt1886, Pq
from tests.patterns.whole_pictures import frame_of

QUANTISED = [(bits, range_) for bits in (8, 10, 12, 16) for range_ in ("narrow", "full")]
SMALL = [(480, 270), (192, 108), (138, 76), (108, 192), (64, 64), (344, 144)]
TOO_SMALL = {
    "code-ramp": SMALL[1:],  # 65,536 codes of 16 bits
    "scroll": [(138, 76), (108, 192), (64, 64)],  # bars so close together would flash
    "pan": [(64, 64)],
    "stars": [(64, 64)],
    "moving-stars": [(64, 64)],
}
"""Canvases too small for what a kind shows by default."""
LARGE = [(1920, 1080), (3840, 2160), (4096, 2160), (3440, 1440), (1366, 768), (1080, 1920)]


def signal_of(bits, range_, transfer=None):
    return Signal(transfer or Pq(), BT709, bits, range_)


def counted(pixels):
    """Pixels of each colour, by sorting all of them."""
    packed = pixels.astype(np.uint64) @ np.array([2**32, 2**16, 1], np.uint64)
    values, numbers = np.unique(packed, return_counts=True)
    return dict(zip(values.tolist(), numbers.tolist(), strict=True))


def told(census):
    """What a frame's census says, in the same form."""
    return {
        (int(r) << 32) + (int(g) << 16) + int(b): int(number)
        for (r, g, b), number in zip(census[0].tolist(), census[1].tolist(), strict=True)
    }


def disagreements(frame, canvas):
    """Everything that a frame says otherwise than a count over its pixels."""
    pixels = frame.pixels()
    quantiser = frame.signal.quantiser
    black, white = quantiser.black, quantiser.white
    # sums of whole numbers, so the true values are known to the last digit
    total = Fraction(int(pixels.sum(dtype=np.int64)), pixels.size)
    mean = float(100 * (total - black) / (white - black))
    lit = int((pixels > black).any(axis=2).sum())
    brightest = frame.signal.light(pixels[:: max(1, canvas.height // 64)]).max(axis=2)
    runs = [row for start, length, row in frame.runs() for _ in range(length)]
    agreements = {
        "shape": pixels.shape == (canvas.height, canvas.width, 3),
        "type": pixels.dtype == np.uint16,
        "no two rows alike": len({row.tobytes() for row in frame.rows}) == len(frame.rows),
        "every row used": set(frame.order.tolist()) == set(range(len(frame.rows))),
        "sha256": row_by_row(pixels) == frame.sha256,
        "census": told(frame.census) == counted(pixels),
        "mean level": frame.mean_level == pytest.approx(mean, rel=1e-14, abs=1e-12),
        "lit area": frame.lit_area == 100 * lit / canvas.pixels,
        "codes of video": quantiser.lowest <= pixels.min() <= pixels.max() <= quantiser.highest,
        "runs": runs == frame.order.tolist(),
        "light": brightest.max() <= frame.max_cll and 0 <= frame.max_fall <= frame.max_cll,
    }
    return [what for what, agreed in agreements.items() if not agreed]


@pytest.mark.parametrize("kind", KINDS)
def test_frames_of_every_kind_say_what_their_pixels_say(suited, kind):
    """Every depth and range on small canvases of many shapes, still and a while on."""
    pattern = KINDS[kind]()
    for size in SMALL:
        canvas = Canvas(*size)
        for bits, range_ in QUANTISED:
            signal = suited(KINDS[kind], signal_of(bits, range_))
            for time in (Fraction(0), Fraction(1, 3))[: 2 if pattern.moves else 1]:
                try:
                    frame = pattern.frame(canvas, signal, time)
                except PatternError:
                    assert size in TOO_SMALL.get(kind, ()), (size, bits, range_)
                    continue
                assert not disagreements(frame, canvas), (size, bits, range_)


@pytest.mark.parametrize("kind", KINDS)
def test_frames_on_whole_screens_say_what_their_pixels_say(suited, kind):
    for size, (bits, range_) in (((1920, 1080), (10, "narrow")), ((1366, 768), (8, "full"))):
        canvas = Canvas(*size)
        frame = KINDS[kind]().frame(canvas, suited(KINDS[kind], signal_of(bits, range_)))
        assert not disagreements(frame, canvas), size


@pytest.mark.campaign
@pytest.mark.parametrize(("bits", "range_"), QUANTISED)
@pytest.mark.parametrize("kind", KINDS)
def test_frames_on_every_screen_say_what_their_pixels_say(suited, kind, bits, range_):
    for size in LARGE:
        canvas = Canvas(*size)
        frame = KINDS[kind]().frame(canvas, suited(KINDS[kind], signal_of(bits, range_)))
        assert not disagreements(frame, canvas), size


def row_by_row(pixels):
    """SHA-256 over the SHA-256 digests of the rows, each of little-endian 16-bit R, G, B."""
    rows = [hashlib.sha256(row.tobytes()).digest() for row in pixels.astype("<u2")]
    return hashlib.sha256(b"".join(rows)).hexdigest()


PICTURES = st.integers(0, 2**32 - 1).map(
    lambda seed: np.random.default_rng(seed).integers(60, 67, (7, 5, 3)).astype(np.uint16)
)


@given(PICTURES, st.lists(st.integers(0, 6), min_size=1, max_size=40))
def test_any_picture_is_kept_by_its_distinct_rows(picture, order):
    pixels = picture[order]
    frame = frame_of(pixels, named_signal("pq10"))
    assert (frame.pixels() == pixels).all()
    assert frame.sha256 == row_by_row(pixels)
    assert len(frame.rows) == len({row.tobytes() for row in pixels})
    brightest = frame.signal.light(pixels).max(axis=2)
    assert frame.max_cll == brightest.max()
    assert frame.max_fall == pytest.approx(brightest.mean(), rel=1e-12)
    total = int((pixels.astype(int) - 64).sum())
    assert frame.mean_level == pytest.approx(100 * total / (pixels.size * 876), abs=1e-12)
    assert frame.lit_area == 100 * int((pixels > 64).any(axis=2).sum()) / (pixels.size // 3)


def test_pictures_that_differ_in_one_pixel_or_in_the_order_of_rows_hash_differently():
    signal = named_signal("sdr8")
    pixels = np.zeros((4, 6, 3), np.uint16)
    pixels[1, 2] = (0, 1, 0)
    other = pixels[[1, 0, 2, 3]]
    hashes = {frame_of(each, signal).sha256 for each in (pixels, other, pixels * 0)}
    assert len(hashes) == 3


def test_the_hash_is_of_little_endian_codes_in_reading_order():
    """R, G, B of 16 bits, left to right, top to bottom, worked out by hand."""
    pixels = np.array([[[1, 2, 3], [256, 5, 6]], [[7, 8, 9], [10, 11, 12]]], np.uint16)
    frame = frame_of(pixels, named_signal("sdr16"))
    first, second = b"\1\0\2\0\3\0\0\1\5\0\6\0", b"\7\0\10\0\11\0\12\0\13\0\14\0"
    spelt = hashlib.sha256(first).digest() + hashlib.sha256(second).digest()
    assert frame.sha256 == hashlib.sha256(spelt).hexdigest()


def test_a_mean_level_below_black_is_negative():
    signal = Signal(Bt1886(), BT709, 10, "narrow")
    frame = KINDS["field"].model_validate({"level": "code 4"}).frame(Canvas(64, 64), signal)
    assert frame.mean_level == pytest.approx(-100 * 60 / 876, rel=1e-15)
    assert frame.lit_area == 0


def test_frames_cannot_be_written_to():
    frame = KINDS["field"]().frame(Canvas(64, 64), named_signal("sdr8"))
    with pytest.raises(ValueError, match="read-only"):
        frame.rows[0, 0, 0] = 1
    with pytest.raises(ValueError, match="read-only"):
        frame.order[0] = 1


@pytest.mark.parametrize(
    ("rows", "order", "said"),
    [
        (np.zeros((1, 4), np.uint16), np.zeros(2, np.uint16), "rows of a frame are uint16"),
        (np.zeros((1, 4, 3), np.uint8), np.zeros(2, np.uint16), "rows of a frame are uint16"),
        (np.zeros((1, 4, 3), np.uint16), np.zeros(0, np.uint16), "order of a frame's rows"),
        (np.zeros((1, 4, 3), np.uint16), np.ones(2, np.uint16), "names a row that is not there"),
    ],
)
def test_arrays_that_are_no_frame_are_refused(rows, order, said):
    with pytest.raises(PatternError, match=said):
        Frame(rows, order, named_signal("sdr8"))
