"""A second judge of flashing: of the pixels that a decoder gives, in plain steps.

It shares no code with the first one, nor with the signals: matrices, transfers and limits stand
here again, as the documents have them.

- Rec. ITU-R BT.1702-3 (11/2023), second-hand: 20 cd/m2 where the darker state is below 160 cd/m2,
  a Michelson contrast of 1/17 above; to and from saturated red always. SDR white is 200 cd/m2.
- WCAG 2.2, success criterion 2.3.1: 10 % of the maximum where the darker state is below 80 % of it;
  a red is saturated from R / (R + G + B) = 0.8 on. At most three flashes in any one second.
- Rec. ITU-R BT.709-6, BT.2020-2 (weights of Y'), BT.1886 (law of 2.4), BT.2100-3 Tables 4 and 5
  (PQ, HLG with gamma 1.2 at 1,000 cd/m2), BT.2020-2 Table 5 (codes); all from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path

import av
import numpy as np

WEIGHTS = {"bt709": (0.2126, 0.7152, 0.0722), "bt2020": (0.2627, 0.6780, 0.0593)}
AT_ONCE = 20_000
PEAKS = {"bt1886": 200.0, "pq": 10_000.0, "hlg": 1000.0}


@dataclass(frozen=True)
class Counted:
    """Most changes in any one second at any pixel, and the flashes that they make."""

    changes: int
    reds: int

    @property
    def flashes(self) -> int:
        """Two changes make a flash, one alone makes none."""
        most = max(self.changes, self.reds)
        return ceil(most / 2) if most > 1 else 0

    @property
    def over(self) -> bool:
        """Whether there are more than three flashes: more than six changes."""
        return max(self.changes, self.reds) > 6


def judged(path: Path, signal: dict[str, object]) -> Counted:
    """What a file shows, played again and again.

    ``signal`` says ``transfer``, ``primaries``, ``bits`` and ``range``.
    """
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        rate = Fraction(stream.average_rate)
        frames = [planes(image) for image in container.decode(stream)]
    rounds = 1 + max(1, ceil(2 * rate / len(frames)))
    second = ceil(rate)  # frames that begin in less than one second from the first on
    most = [0, 0]
    shown = histories(frames)
    for first in range(0, shown.shape[1], AT_ONCE):
        codes = shown[:, first : first + AT_ONCE]
        light = linear(codes, signal)
        luminance = light @ np.array(WEIGHTS[str(signal["primaries"])])
        red = (light[..., 0] >= 0.8 * light.sum(axis=-1)) & (light[..., 0] >= 2)
        peak = PEAKS[str(signal["transfer"])]
        changed = [changes(codes, luminance, second, rounds, peak), turns(red, rounds)]
        most = [max(was, in_a_second(c, second)) for was, c in zip(most, changed, strict=True)]
    return Counted(*most)


def planes(image: av.VideoFrame) -> np.ndarray:
    """Y', C'B and C'R of a decoded picture at full size, (height, width, 3)."""
    kind = np.uint8 if image.format.components[0].bits == 8 else np.uint16
    found = []
    for plane in image.planes:
        samples = np.frombuffer(plane, kind).reshape(plane.height, -1)[:, : plane.width]
        repeats = image.height // plane.height
        found.append(samples.repeat(repeats, 0).repeat(repeats, 1))
    return np.stack(found, axis=-1).astype(np.int64)


def histories(frames: list[np.ndarray]) -> np.ndarray:
    """What each pixel shows frame by frame, (frames, pixels, 3); those that are alike come once."""
    alike = np.zeros(frames[0].shape[0] * frames[0].shape[1], np.int64)
    before = None
    for frame in frames:
        if before is not None and np.array_equal(frame, before):
            continue
        before = frame
        packed = (frame[..., 0] << 32 | frame[..., 1] << 16 | frame[..., 2]).ravel()
        _, numbers = np.unique(packed, return_inverse=True)
        _, alike = np.unique(alike * (int(numbers.max()) + 1) + numbers, return_inverse=True)
    _, pixels = np.unique(alike, return_index=True)
    return np.stack([frame.reshape(-1, 3)[pixels] for frame in frames])


def linear(codes: np.ndarray, signal: dict[str, object]) -> np.ndarray:
    """Light of R, G and B in cd/m2 of Y'C'BC'R codes, in an array of the same shape."""
    packed = codes[..., 0] << 32 | codes[..., 1] << 16 | codes[..., 2]
    colours, places = np.unique(packed, return_inverse=True)
    table = [light_of((c >> 32, c >> 16 & 0xFFFF, c & 0xFFFF), signal) for c in colours.tolist()]
    return np.array(table)[places].reshape(codes.shape)


def light_of(codes: tuple[int, int, int], signal: dict[str, object]) -> tuple[float, float, float]:
    """Light of R, G and B in cd/m2 of one Y'C'BC'R."""
    bits = int(str(signal["bits"]))
    if signal["range"] == "full":
        black, luma, chroma = 0, 2**bits - 1, 2**bits - 1
    else:
        scale = 2 ** (bits - 8)
        black, luma, chroma = 16 * scale, 219 * scale, 224 * scale
    y = (codes[0] - black) / luma
    cb, cr = ((code - 2 ** (bits - 1)) / chroma for code in codes[1:])
    kr, _, kb = WEIGHTS[str(signal["primaries"])]
    r, b = y + 2 * (1 - kr) * cr, y + 2 * (1 - kb) * cb
    g = (y - kr * r - kb * b) / (1 - kr - kb)
    encoded = [max(each, 0.0) for each in (r, g, b)]
    transfer = signal["transfer"]
    if transfer == "bt1886":
        made = [200 * each**2.4 for each in encoded]
    elif transfer == "pq":
        made = [10_000 * pq(min(each, 1.0)) for each in encoded]
    else:
        scene = [hlg(each) for each in encoded]
        weights = WEIGHTS[str(signal["primaries"])]
        total = sum(w * c for w, c in zip(weights, scene, strict=True))
        made = [1000 * total**0.2 * each if total else 0.0 for each in scene]
    return made[0], made[1], made[2]


def pq(signal: float) -> float:
    """BT.2100-3 Table 4: the share of 10,000 cd/m2."""
    root = signal ** (32 / 2523)
    return (max(root - 3424 / 4096, 0) / (2413 / 128 - 2392 / 128 * root)) ** (16384 / 2610)


def hlg(signal: float) -> float:
    """BT.2100-3 Table 5: scene light of 0 to 1."""
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    return signal**2 / 3 if signal <= 0.5 else (float(np.exp((signal - c) / a)) + b) / 12


def enough(one: np.ndarray, other: np.ndarray, peak: float) -> np.ndarray:
    """Whether going from one luminance to another is a change that counts."""
    low, high = np.minimum(one, other), np.maximum(one, other)
    with np.errstate(invalid="ignore"):
        michelson = (high - low) / (high + low)
    dark = (low < 160) & (high - low >= 20)
    bright = (low >= 160) & (michelson >= 1 / 17)
    return dark | bright | ((low < 0.8 * peak) & (high - low >= 0.1 * peak))


def changes(
    codes: np.ndarray, luminance: np.ndarray, second: int, rounds: int, peak: float
) -> np.ndarray:
    """Where and when the luminance has changed the other way, by enough, (frames, pixels).

    A change counts from any state since the last one that did: from the darkest or the brightest
    of them. A second of standing still ends what was before.
    """
    count = len(luminance)
    found = np.zeros((rounds * count, luminance.shape[1]), bool)
    darkest, brightest = luminance[0].copy(), luminance[0].copy()
    rising, falling = np.zeros((2, luminance.shape[1]), bool)
    since = np.zeros(luminance.shape[1], int)
    for number in range(1, rounds * count):
        now, was = luminance[number % count], luminance[(number - 1) % count]
        moved = (codes[number % count] != codes[(number - 1) % count]).any(axis=-1)
        if not moved.any():
            continue
        anew = moved & (number - since >= second)
        darkest[anew] = brightest[anew] = was[anew]
        rising[anew] = falling[anew] = False
        since[moved] = number
        up = moved & (now > darkest) & enough(darkest, now, peak) & ~rising
        down = moved & (now < brightest) & enough(brightest, now, peak) & ~falling
        found[number] = up | down
        rising, falling = (rising & ~down) | up, (falling & ~up) | down
        darkest = np.where(up | down, now, np.minimum(darkest, now))
        brightest = np.where(up | down, now, np.maximum(brightest, now))
    return found


def turns(red: np.ndarray, rounds: int) -> np.ndarray:
    """Where and when a saturated red comes or goes, (frames, pixels)."""
    there = np.concatenate([red] * rounds)
    found = np.zeros_like(there)
    found[1:] = there[1:] != there[:-1]
    return found


def in_a_second(found: np.ndarray, second: int) -> int:
    """The most of these in any one second at any pixel."""
    sums = np.concatenate(
        [np.zeros_like(found[:1], np.int32), found.cumsum(axis=0, dtype=np.int32)]
    )
    most = 0
    for first in range(len(found)):
        last = min(first + second, len(found))
        most = max(most, int((sums[last] - sums[first]).max()))
    return most
