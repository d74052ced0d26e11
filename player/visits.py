"""Opening the visit that a run goes into: the one that is there, or a new one."""

from __future__ import annotations

from pathlib import Path

from readings.visit import Visit


def open_or_create(path: Path, *, display: str = "", settings: str = "", place: str = "") -> Visit:
    """The visit at ``path``, open for writing; a new one where there is none.

    A new visit is named after its file unless a display's name is given. Raises VisitError.
    """
    if path.exists():
        return Visit.open(path, write=True)
    return Visit.create(path, display=display or path.stem, settings=settings, place=place)
