"""The checks behind a showing's guard: each verified, altered or unknown, with one sentence.

The overall state claims no more than the checks do: `altered` where any check is, `verified` where
the back buffer is and nothing is altered, `unknown` otherwise.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Any

from player.outputs.base import Guard
from player.windows.pattern.framebuffer import framebuffer_sizes, of_framebuffer

BACK_BUFFER = "back buffer"
MOST_IMPORTANT = (
    "size",
    "depth",
    "srgb",
    BACK_BUFFER,
    "gamma ramp",
    "night light",
    "hdr",
    "on top",
    "dither",
    "driver dither",
    "refresh",
    "late frames",
)
"""Every check, the one whose sentence matters most first: causes before what they cause."""

SAME_RATE = 0.02
"""Two refresh rates are the same within this share: swaps are timed by the processor's clock."""

SLOW_SWAP = 0.01
"""Seconds: where a swap takes longer without waiting, waiting ones tell nothing of the screen."""

WAITS = 3.0
"""Times that a swap takes longer when it is asked to wait for a screen that it does wait for."""

STEADY = 0.05
"""A screen's refreshes come evenly: half of the swaps are within this share of the median."""


def overall(checks: Mapping[str, Guard]) -> Guard:
    """The guard of a showing from its checks, with the most important sentence."""
    names = [name for name in MOST_IMPORTANT if name in checks]
    kept = {name: (checks[name].state, checks[name].why) for name in names}
    altered = [name for name in names if checks[name].state == "altered"]
    back = checks.get(BACK_BUFFER, Guard("unknown", "nothing was read back"))
    if altered:
        why = checks[altered[0]].why
        if BACK_BUFFER in altered[1:]:
            why += f"; {back.why}"
        elif back.state == "verified":
            why = f"the back buffer is right, but {why}"
        return Guard("altered", why, kept)
    return Guard(back.state, back.why, kept)


def depth_guard(found: tuple[int, int, int] | None, bits: int) -> Guard:
    """The framebuffer's bits for red, green and blue, against those that codes are made for."""
    if found is None:
        return Guard("unknown", "the graphics driver does not tell the framebuffer's depth")
    if found == (bits, bits, bits):
        return Guard("verified", f"the framebuffer has {bits} bits a channel, as the codes have")
    sizes = " / ".join(map(str, found))
    return Guard(
        "altered",
        f"the framebuffer has {sizes} bits for red, green and blue, and the codes have {bits}",
    )


def srgb_guard(on: bool, encoding: int | None, srgb: int, linear: int) -> Guard:
    """Whether the graphics card converts to sRGB, from its switch and the framebuffer's mark."""
    if not on:
        return Guard("verified", "the graphics card's conversion to sRGB is off")
    if encoding == linear:
        return Guard("verified", "conversion to sRGB is on, and a linear framebuffer heeds it not")
    marked = "is marked sRGB" if encoding == srgb else "does not tell its mark"
    return Guard("altered", f"the graphics card converts to sRGB (the framebuffer {marked})")


def dither_guard(on: bool) -> Guard:
    """Whether OpenGL may dither what is drawn."""
    if on:
        return Guard("altered", "OpenGL's dithering is on")
    return Guard("verified", "OpenGL's dithering is off")


def size_guard(canvas: tuple[int, int], framebuffer: tuple[int, int], placed: bool) -> Guard:
    """Whether the window still covers its screen; both sizes in pixels."""
    if framebuffer != canvas:
        return Guard(
            "altered",
            f"the pattern window has lost its size: it has {framebuffer[0]}x{framebuffer[1]} "
            f"pixels, and the screen {canvas[0]}x{canvas[1]}",
        )
    if not placed:
        return Guard("altered", "the pattern window has lost its place")
    return Guard("verified", "the window covers its screen, pixel for pixel")


def mode_guard(canvas: tuple[int, int], mode: tuple[int, int] | None) -> Guard | None:
    """Whether the screen's mode is still the canvas; None where it is, or nothing tells."""
    if mode is None or mode in (canvas, canvas[::-1]):
        return None
    return Guard(
        "altered",
        f"the screen's mode is {mode[0]}x{mode[1]} and the picture {canvas[0]}x{canvas[1]}: "
        "something scales it",
    )


@dataclass(frozen=True)
class Swaps:
    """How long buffer swaps take, seconds, medians."""

    waiting: float
    """Asked to wait for the screen."""
    free: float
    """Asked not to."""
    uneven: float = 0.0
    """Median distance of waiting swaps from their median, as a share of it."""


def refresh_guard(told: float, known: bool, swaps: Swaps | None) -> Guard:
    """The refresh rate as told, or assumed, against what swaps say.

    Args:
        told: Hz.
        known: whether the screen told it; otherwise it is assumed.
        swaps: None where they were not timed.
    """
    said = f"{told:.6g} Hz is {'told by the screen' if known else 'assumed'}"
    # a swap that takes no longer when it is asked to wait, waits for nothing
    if swaps is None or swaps.waiting <= 0 or swaps.waiting < WAITS * swaps.free:
        return Guard("unknown", f"{said}; swaps do not wait for the screen, so it is not measured")
    if swaps.uneven > STEADY:
        return Guard("unknown", f"{said}; swaps come unevenly, so it is not measured")
    measured = 1 / swaps.waiting
    if abs(measured / told - 1) <= SAME_RATE:
        return Guard("verified", f"{said}, and swaps come at {measured:.4g} Hz")
    if known and measured < told:
        return Guard(
            "unknown", f"{said}; swaps come at {measured:.4g} Hz, which may be slow drawing"
        )
    return Guard("altered", f"{said}, but swaps come at {measured:.4g} Hz")


def late_guard(skipped: int, due: int) -> Guard:
    """Refreshes that passed between two draws of a moving pattern without one of their own."""
    if not due:
        return Guard("unknown", "nothing has moved yet")
    if skipped:
        return Guard("altered", f"{skipped} of {due} refreshes were skipped while it moved")
    return Guard("verified", f"none of {due} refreshes was skipped while it moved")


def drawn_state(bits: int) -> dict[str, Guard]:
    """Depth, sRGB and dithering as they are in the current OpenGL context now."""
    from pyglet import gl

    encoding = of_framebuffer(gl.GL_FRAMEBUFFER_ATTACHMENT_COLOR_ENCODING)
    converts = bool(gl.glIsEnabled(gl.GL_FRAMEBUFFER_SRGB))
    return {
        "depth": depth_guard(framebuffer_sizes(), bits),
        "srgb": srgb_guard(converts, encoding, gl.GL_SRGB, gl.GL_LINEAR),
        "dither": dither_guard(bool(gl.glIsEnabled(gl.GL_DITHER))),
    }


def timed_swaps(window: Any, draw: Callable[[], object]) -> Swaps:
    """Draw and swap the same picture over and over, for about 0.2 s.

    Args:
        window: its context is current.
        draw: draws what is on screen once more.
    """
    window.set_vsync(False)
    free = median(_swaps(window, draw, 1))
    if free <= SLOW_SWAP:
        free = median(_swaps(window, draw, 3))
    window.set_vsync(True)
    if free > SLOW_SWAP:
        return Swaps(free, free)
    times = _swaps(window, draw, 8)
    waiting = median(times)
    return Swaps(waiting, free, median(abs(each - waiting) for each in times) / waiting)


def _swaps(window: Any, draw: Callable[[], object], count: int) -> list[float]:
    times = []
    for _ in range(count + 1):
        draw()
        window.flip()
        _finish()
        times.append(time.perf_counter())
    return [b - a for a, b in pairwise(times)]


def _finish() -> None:
    from pyglet import gl

    gl.glFinish()
