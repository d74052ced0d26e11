"""Opening the visit that a run goes into: the one that is there, or a new one."""

from __future__ import annotations

import os
from pathlib import Path

from player.outcome import NOT_FINISHED, CommandError
from readings.visit import Visit


def open_or_create(path: Path, *, name: str = "", settings: str = "", place: str = "") -> Visit:
    """The visit at ``path``, open for writing; a new one where there is none.

    A new visit is named after its file unless a display's name is given. What a visit is about
    stays as it was kept, so words that differ from it are refused rather than lost.

    Raises:
        VisitError: the visit cannot be opened or made.
        CommandError: the visit is there, and is about something else.
    """
    if not path.exists():
        return Visit.create(path, display=name or path.stem, settings=settings, place=place)
    visit = Visit.open(path, write=True)
    try:
        _require_about(path, visit, {"name": name, "settings": settings, "place": place})
    except BaseException:
        visit.close()
        raise
    return visit


def require_fit(path: Path, *, name: str = "", settings: str = "", place: str = "") -> None:
    """Refuse a file that cannot be the visit of a run, before anything else is said or done.

    Raises:
        VisitError: there is something at ``path``, and it is no visit.
        CommandError: it may not be opened or written, or is about something else.
    """
    if not path.exists():
        return
    if path.is_file():
        _require_allowed(path)
    with Visit.open(path, write=False) as visit:
        _require_about(path, visit, {"name": name, "settings": settings, "place": place})


def _require_allowed(path: Path) -> None:
    """SQLite says of both alike that it cannot open the file."""
    if not os.access(path, os.R_OK | os.W_OK):
        raise CommandError(f"You may not read and write {path}; change who may.", NOT_FINISHED)
    folder = path.absolute().parent
    if not os.access(folder, os.W_OK):
        raise CommandError(
            f"You may not write into {folder}, where {path.name} keeps its journal.", NOT_FINISHED
        )


def _require_about(path: Path, visit: Visit, given: dict[str, str]) -> None:
    about = visit.about()
    kept = {"name": about.display, "settings": about.settings, "place": about.place}
    _require_same(path, kept, given)


def _require_same(path: Path, kept: dict[str, str], given: dict[str, str]) -> None:
    for what, text in given.items():
        if text and text != kept[what]:
            raise CommandError(
                f"{path} is there already, with the {what} {kept[what]!r} and not {text!r}; "
                f"leave --{what} out, or name another visit. A note keeps what has changed."
            )
