"""Descriptions of displays: YAML files, shipped or one's own."""

from __future__ import annotations

from pathlib import Path

from patterns.errors import BAD_INPUT, LitfieldError
from player.described import DescriptionError, parse, text_of
from player.simulated.parameters import DisplayParameters

SHIPPED = Path(__file__).parent / "displays"
MENUS = Path(__file__).parent / "menus"


class SimulatedError(LitfieldError, ValueError):
    """A display that cannot be simulated as asked; the text is one sentence."""

    exit_code = BAD_INPUT


def shipped_displays() -> dict[str, Path]:
    """The descriptions that come with Litfield, by name."""
    return {path.stem: path for path in sorted(SHIPPED.glob("*.yaml"))}


def shipped_menus() -> dict[str, Path]:
    """The controls of these displays as whoever adjusts them is given them, by the display's name.

    They are read by `sequences.controls`.
    """
    return {path.stem: path for path in sorted(MENUS.glob("*.yaml"))}


def load_display(source: str | Path) -> DisplayParameters:
    """Read a description: the path of a YAML file, or the name of a shipped one.

    Raises SimulatedError, whose one sentence lists everything that is wrong with the file.
    """
    path = shipped_displays().get(str(source), Path(source))
    names = ", ".join(shipped_displays())
    try:
        text = text_of(path, "a display", f"the displays that come with Litfield are {names}")
    except DescriptionError as error:
        raise SimulatedError(str(error)) from error
    return parse_display(text, str(path))


def parse_display(text: str, source: str) -> DisplayParameters:
    """Read a description from text; `source` is named in errors. Raises SimulatedError."""
    try:
        return parse(text, source, DisplayParameters, "a display")
    except DescriptionError as error:
        raise SimulatedError(str(error)) from error
