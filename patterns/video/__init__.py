"""Clips for media players: HEVC in mp4, exact unless asked otherwise.

PyAV is imported when a clip is made, not before.
"""

from __future__ import annotations

from patterns.video.carried import Carried, carried
from patterns.video.content import light_over
from patterns.video.levels import UNLIMITED
from patterns.video.making import Clip, VideoError, clip
from patterns.video.mp4 import Start
from patterns.video.planes import planes_of
from patterns.video.rates import RATES, frames_in, parse_rate
from patterns.video.runs import Picture
from patterns.video.settings import CHROMAS, Settings, matrix_of

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
