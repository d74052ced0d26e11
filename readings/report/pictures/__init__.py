"""Pictures of findings. A picture more is one file more and one line in `PICTURES`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from warnings import catch_warnings, simplefilter

from readings.evidence import Measured
from readings.findings import Finding
from readings.report.pictures.paper import SETTINGS, Labelled, svg_of

__all__ = ["MOST_PICTURES", "PICTURES", "Labelled", "Picture", "pictures_of"]

MOST_PICTURES = 13
"""Of one visit: each takes about a tenth of a second."""
PICTURES: dict[str, tuple[str, ...]] = {
    "greyscale_balance": ("greyscale",),
    "grey_errors": ("greyscale",),
    "eotf_log": ("tone", "greyscale", "near-black"),
    "eotf_pq": ("tone", "greyscale"),
    "chromaticity_uv": ("gamut", "colour", "greyscale"),
    "chromaticity_xy": ("gamut", "colour", "greyscale"),
    "colour_errors": ("colour",),
    "peak_by_area": ("window-peak",),
    "over_time": ("over-time",),
    "contrasts": ("contrast", "box-contrast"),
    "halo": ("halo",),
    "uniformity": ("uniformity",),
    "zones": ("zones",),
    "viewing_angle": ("viewing-angle",),
}
"""Each picture's file in this folder, and the findings that it is drawn of. A picture stands with
the first of them that a visit has. The first ones come first where there are too many."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as a report holds it."""

    name: str
    """The name of its file, in PICTURES."""
    topic: str
    """The name of the finding that it stands with."""
    title: str
    says: str
    svg: str
    """An SVG element without namespaces, ids that no other picture has, and no style of its own."""
    used: tuple[Finding, ...]
    left_out: int
    """How many runs are not in it, for want of room."""


def pictures_of(
    findings: Sequence[Labelled], readings: Sequence[Measured] = (), mark: str = "v1"
) -> list[Picture]:
    """The pictures that these findings allow, at most MOST_PICTURES.

    Args:
        findings: with the names that their runs have in a picture.
        readings: all current readings, for what is drawn of single presses.
        mark: begins every id in the pictures.
    """
    import matplotlib as mpl

    pictures: list[Picture] = []
    with mpl.rc_context(SETTINGS), catch_warnings():  # type: ignore[arg-type]
        simplefilter("ignore")  # of letters that the font lacks, the reader's has perhaps more
        for name, wanted in PICTURES.items():
            mine = [each for each in findings if each.finding.name in wanted]
            if not mine or len(pictures) == MOST_PICTURES:
                continue
            try:
                found = _picture(name, mine, readings, f"{mark}-{len(pictures) + 1}-")
            except (ArithmeticError, ValueError):
                continue  # numbers so absurd that no axis holds them; the tables have them
            pictures += [] if found is None else [found]
    return pictures


def _picture(
    name: str, mine: Sequence[Labelled], readings: Sequence[Measured], mark: str
) -> Picture | None:
    draw = import_module(f"{__name__}.{name}").draw
    drawing = draw(mine, readings) if name == "zones" else draw(mine)
    if drawing is None:
        return None
    used = {each.run for each in drawing.used}
    return Picture(
        name,
        next(w for w in PICTURES[name] if any(each.finding.name == w for each in mine)),
        drawing.title,
        drawing.says,
        svg_of(drawing.figure, mark),
        drawing.used,
        len({each.finding.run for each in mine} - used),
    )
