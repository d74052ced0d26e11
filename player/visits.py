"""Opening the visit that a run goes into: the one that is there, or a new one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from player.outcome import CommandError
from readings.visit.errors import unwritable
from readings.visit.records import Stating
from readings.visit.soundness import Soundness
from readings.visit.visit import Visit, VisitError, require_sound

if TYPE_CHECKING:
    from sequences.controls import DisplayControls

MOST_SENTENCES = 8
"""Sentences about the damage to a visit that are told on the terminal."""


def open_or_create(path: Path, *, name: str = "", settings: str = "", place: str = "") -> Visit:
    """The visit at ``path``, open for writing; a new one where there is none.

    A new visit is named after its file unless a display's name is given. What a visit is about
    stays as it was kept or corrected, so words that differ from it are refused rather than lost.

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
        VisitError: there is something at ``path``, and it is no visit, or it is damaged, or may
            not be written.
        CommandError: it is about something else.
    """
    if not path.exists():
        return
    if path.is_file() and (why := unwritable(path)):
        raise VisitError(why)
    with Visit.open(path, write=False) as visit:
        require_sound(path, visit.soundness)
        _require_about(path, visit, {"name": name, "settings": settings, "place": place})


def named_by(path: Path, name: str, controls: DisplayControls, source: str) -> str:
    """The display's name for a new visit, where its controls come from a file that names it.

    Args:
        path: the visit.
        name: as given; empty where it was not.
        controls: of the file.
        source: the file.

    Raises:
        VisitError: there is something at ``path``, and it is no visit.
        CommandError: the visit, or what was given, names another display than the file.
    """
    display = controls.display
    if display is None:
        return name
    names = [name] if name else []
    if path.exists():
        with Visit.open(path, write=False) as visit:
            said = [each.value for each in visit.statements() if each.what == "display"]
            names = [visit.about().display, visit.about(at_first=True).display, *said]
    if names and _plainly(display) not in map(_plainly, names):
        raise CommandError(
            f"{source} has the controls of {display!r}, and {path} is about {names[0]!r}: name the "
            "file of this display, or correct its display."
        )
    return name or ("" if path.exists() else display)


def _plainly(name: str) -> str:
    return " ".join(name.split()).casefold()


def damage_text(path: str, soundness: Soundness, where: str) -> str:
    """What is said of a damaged visit once all else of it is given; empty of a sound one.

    Args:
        path: the visit.
        soundness: what is damaged.
        where: what holds all the rest, and tells all of the damage.
    """
    sentences = soundness.sentences()
    if not sentences:
        return ""
    listed = sentences if len(sentences) <= MOST_SENTENCES + 1 else sentences[:MOST_SENTENCES]
    more = len(sentences) - len(listed)
    end = f" {more} more things are damaged: {where} tells them all." if more else ""
    return f"{path} is damaged; what is whole is in {where}. {' '.join(listed)}{end}"


def _require_about(path: Path, visit: Visit, given: dict[str, str]) -> None:
    """Refuse words that differ from what the visit is about, and from all that it ever was."""
    about, first = visit.about(), visit.about(at_first=True)
    options: dict[str, Stating] = {"name": "display", "settings": "settings", "place": "place"}
    said = visit.statements()
    for option, text in given.items():
        what = options[option]
        stands = getattr(about, what)
        before = {getattr(first, what), *(each.value for each in said if each.what == what)}
        if text and text != stands and text not in before:
            raise CommandError(
                f"{path} is there already, with the {option} {stands!r} and not {text!r}; leave "
                f"--{option} out, or name another visit. litfield visit {path} --{what} says it "
                "anew."
            )
