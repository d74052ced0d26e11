"""File formats: one file each, one line each here.

A format of single pictures is a class with the members of :class:`patterns.files.base.Format`, one
of whole sequences one with those of :class:`patterns.files.base.Film`.
"""

from __future__ import annotations

from patterns.files.base import Film, Format, Item
from patterns.files.dpx import DpxFormat
from patterns.files.exr import ExrFormat
from patterns.files.hevc import HevcFilm, HevcFormat
from patterns.files.png import PngFormat
from patterns.files.tiff import TiffFormat

FORMATS: dict[str, Format] = {
    "png": PngFormat(),
    "tiff": TiffFormat(),
    "exr": ExrFormat(),
    "dpx": DpxFormat(),
    "hevc": HevcFormat(),
}
FILMS: dict[str, Film] = {
    "hevc-film": HevcFilm(),
}

__all__ = ["FILMS", "FORMATS", "Film", "Format", "Item"]
