"""Arithmetic of delay: frames, and what single camera pictures leave open."""

from __future__ import annotations

import math


def frame_ms(refresh_hz: float) -> float:
    """Duration of a frame, ms: 16.7 at 60 Hz."""
    return 1000 / refresh_hz


def between_pictures(picture: float) -> float:
    """Standard uncertainty of the time between two events, each seen in one picture of a camera.

    Each event lies anywhere within its picture, so the error of their difference is triangular,
    from minus to plus one picture: picture / sqrt(6) (JCGM 100:2008, 4.3.9, from memory).

    Args:
        picture: time from picture to picture.
    """
    return picture / math.sqrt(6)
