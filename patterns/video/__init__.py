"""Clips for media players: HEVC in mp4, exact unless asked otherwise.

PyAV is imported when a clip is made, not before.
"""

from __future__ import annotations

from patterns.video.levels import UNLIMITED
from patterns.video.making import Clip, Picture, VideoError, clip
from patterns.video.mp4 import Start
from patterns.video.planes import Carried, carried, light_over, planes_of
from patterns.video.settings import CHROMAS, RATES, Settings, frames_in, matrix_of, parse_rate

__all__ = [
    "CHROMAS",
    "RATES",
    "UNLIMITED",
    "Carried",
    "Clip",
    "Picture",
    "Settings",
    "Start",
    "VideoError",
    "carried",
    "clip",
    "frames_in",
    "light_over",
    "matrix_of",
    "parse_rate",
    "planes_of",
]
