"""File formats of single frames: one file each, one line each here.

A format is a class with the members of :class:`patterns.files.base.Format`.
"""

from __future__ import annotations

from patterns.files.base import Format, Item
from patterns.files.png import PngFormat
from patterns.files.tiff import TiffFormat

FORMATS: dict[str, Format] = {
    "png": PngFormat(),
    "tiff": TiffFormat(),
}

__all__ = ["FORMATS", "Format", "Item"]
