"""Pictures of findings. A picture more is one file more, named by the findings it is drawn of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Any
from warnings import catch_warnings, filterwarnings

import numpy as np

from readings.findings import FINDINGS, Finding
from readings.report.pictures.paper import SETTINGS, Labelled, svg_of

__all__ = ["MOST_PICTURES", "PICTURES", "Labelled", "Picture", "Undrawn", "pictures_of"]

MOST_PICTURES = 15
"""Of one visit: each takes about a twentieth of a second."""


def _of_kinds() -> dict[str, tuple[str, ...]]:
    """Each picture's file, and the findings that it is drawn of, the best first.

    Pictures come in the order of the findings that are their first choice.
    """
    found: dict[str, dict[str, int]] = {}
    first = [(d.picture, k) for k in FINDINGS.values() for d in k.pictures if d.choice == 1]
    for name, _ in first:
        found[name] = {
            kind.name: drawn.choice
            for kind in FINDINGS.values()
            for drawn in kind.pictures
            if drawn.picture == name
        }
    return {name: tuple(sorted(by, key=lambda each: by[each])) for name, by in found.items()}


PICTURES: dict[str, tuple[str, ...]] = _of_kinds()
"""Each picture's file in this folder, and the findings that it is drawn of, the best first.
A picture stands with the first of them that it shows. Where there are too many pictures, the last
are left out."""
BESIDE: dict[str, tuple[str, ...]] = {
    picture: (kind.name,) for kind in FINDINGS.values() for picture in kind.pictures_beside
}
"""Likewise the pictures that stand with values of several visits beside each other."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as a report holds it."""

    name: str
    """The name of its file, in PICTURES."""
    topic: str
    """The name of the finding that it stands with."""
    heading: str
    """The title of that finding."""
    title: str
    says: str
    svg: str
    """An SVG element without namespaces, ids that no other picture has, and no style of its own."""
    used: tuple[Finding, ...]
    left_out: int
    """How many runs are not in it, for want of room."""


@dataclass(frozen=True, slots=True)
class Undrawn:
    """A picture that could not be drawn, and the sentence that says so."""

    topic: str
    heading: str
    says: str


def pictures_of(
    findings: Sequence[Labelled],
    mark: str = "v1",
    wanted: Mapping[str, tuple[str, ...]] = PICTURES,
) -> tuple[list[Picture], list[Undrawn]]:
    """The pictures that these findings allow, at most MOST_PICTURES, and what cannot be drawn.

    Args:
        findings: with the names that their runs have in a picture.
        mark: begins every id in the pictures.
        wanted: which pictures, and the findings that each is drawn of, the best first.
    """
    import matplotlib as mpl

    pictures: list[Picture] = []
    undrawn: list[Undrawn] = []
    with mpl.rc_context(SETTINGS), catch_warnings(), np.errstate(over="raise"):
        # the reader's font has perhaps more letters than the one that is measured here
        filterwarnings("ignore", r"Glyph \d+ .* missing from font")
        for name, mine in _asked(findings, wanted):
            if len(pictures) == MOST_PICTURES:
                break
            try:
                found = _picture(name, mine, f"{mark}-{len(pictures) + 1}-")
            except (FloatingPointError, OverflowError, ValueError) as error:
                # numbers so absurd that no axis holds them
                undrawn.append(_undrawn(name, mine[0].finding, error))
            else:
                pictures += [] if found is None else [found]
    return pictures, undrawn


def _asked(
    findings: Sequence[Labelled], pictures: Mapping[str, tuple[str, ...]]
) -> Iterator[tuple[str, list[Labelled]]]:
    """Each picture with what it may be drawn of, the finding that it prefers first."""
    for name, wanted in pictures.items():
        by_transfer = getattr(_file_of(name), "BY_TRANSFER", False)
        groups: dict[str, list[Labelled]] = {}
        for finding in wanted:
            for each in findings:
                if each.finding.name == finding:
                    transfer = each.finding.played[1] if by_transfer else ""
                    groups.setdefault(transfer, []).append(each)
        for mine in groups.values():
            yield name, mine


def _file_of(name: str) -> Any:
    return import_module(f"{__name__}.{name}")


def _undrawn(name: str, finding: Finding, error: Exception) -> Undrawn:
    called = name.replace("_", " ")
    why = f"{type(error).__name__}: {error}"
    return Undrawn(
        finding.name,
        finding.title,
        f"The picture “{called}” cannot be drawn of these numbers ({why}); the tables have them.",
    )


def _picture(name: str, mine: Sequence[Labelled], mark: str) -> Picture | None:
    drawing = _file_of(name).draw(mine)
    if drawing is None:
        return None
    # the finding that comes first among those it may be drawn of
    first = next(e.finding for e in mine if any(e.finding is found for found in drawing.used))
    used = {e.label for e in mine if any(e.finding is found for found in drawing.used)}
    return Picture(
        name,
        first.name,
        first.title,
        drawing.title,
        drawing.says,
        svg_of(drawing.figure, mark),
        drawing.used,
        len({each.label for each in mine} - used),
    )
