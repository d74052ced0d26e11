"""Opening the visit that a run goes into: the one that is there, or a new one."""

from __future__ import annotations

from pathlib import Path

from player.outcome import CommandError
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
        about = visit.about()
        kept = {"name": about.display, "settings": about.settings, "place": about.place}
        _require_same(path, kept, {"name": name, "settings": settings, "place": place})
    except BaseException:
        visit.close()
        raise
    return visit


def _require_same(path: Path, kept: dict[str, str], given: dict[str, str]) -> None:
    for what, text in given.items():
        if text and text != kept[what]:
            raise CommandError(
                f"{path} is there already, with the {what} {kept[what]!r} and not {text!r}; "
                f"leave --{what} out, or name another visit. A note keeps what has changed."
            )
