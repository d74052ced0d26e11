"""Descriptions of displays: YAML files, shipped or one's own."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from player.simulated.parameters import DisplayParameters

SHIPPED = Path(__file__).parent / "displays"
LARGEST = 65_536
"""Bytes of a description; a real one has two thousand."""
DEEPEST = 12
"""Mappings and lists within each other; a real description has four."""


class SimulatedError(ValueError):
    """A display that cannot be simulated as asked; the text is one sentence."""


def shipped_displays() -> dict[str, Path]:
    """The descriptions that come with Litfield, by name."""
    return {path.stem: path for path in sorted(SHIPPED.glob("*.yaml"))}


def load_display(source: str | Path) -> DisplayParameters:
    """Read a description: the path of a YAML file, or the name of a shipped one.

    Raises SimulatedError, whose one sentence lists everything that is wrong with the file.
    """
    path = shipped_displays().get(str(source), Path(source))
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        names = ", ".join(shipped_displays())
        reason = error.strerror or type(error).__name__
        raise SimulatedError(
            f"{path} cannot be read ({reason}); the displays that come with Litfield are {names}."
        ) from error
    if len(content) > LARGEST:
        raise SimulatedError(f"{path} is larger than {LARGEST} bytes: no description of a display.")
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise SimulatedError(f"{path} is not UTF-8 text.") from error
    return parse_display(text, str(path))


def parse_display(text: str, source: str) -> DisplayParameters:
    """Read a description from text; `source` is named in errors. Raises SimulatedError."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        _refuse_traps(text, source)
        content = YAML(typ="safe", pure=True).load(text)
    except (YAMLError, RecursionError, ValueError) as error:
        if isinstance(error, SimulatedError):
            raise
        raise SimulatedError(f"{source} is not YAML: {_problem(error)}.") from error
    if not isinstance(content, dict):
        raise SimulatedError(f"{source} does not describe a display: it is no mapping of names.")
    try:
        return DisplayParameters.model_validate(content)
    except ValidationError as error:
        problems = "; ".join(
            f"{'.'.join(str(part) for part in each['loc']) or 'the whole'}: {_plain(each)}"
            for each in error.errors(include_url=False, include_input=False)
        )
        raise SimulatedError(f"{source} does not describe a display: {problems}.") from error


def _plain(error: ErrorDetails) -> str:
    """What is wrong with one value, in the words of a description rather than of the code."""
    if error["type"] == "missing":
        return "is missing"
    if error["type"] == "extra_forbidden":
        return "is not known here"
    if error["type"] == "union_tag_not_found":
        return "needs its kind"
    if error["type"] == "union_tag_invalid":
        return f"kind should be one of {error['ctx']['expected_tags']}"
    return error["msg"].removeprefix("Value error, ").removeprefix("Input ")


def _refuse_traps(text: str, source: str) -> None:
    """Raise SimulatedError at what would take a parser very long: aliases and deep nesting."""
    from ruamel.yaml import YAML
    from ruamel.yaml.events import AliasEvent, CollectionEndEvent, CollectionStartEvent

    depth = 0
    for event in YAML(typ="safe", pure=True).parse(text):
        if isinstance(event, AliasEvent):
            raise SimulatedError(f"{source} uses YAML aliases (*name), which are not read here.")
        depth += isinstance(event, CollectionStartEvent) - isinstance(event, CollectionEndEvent)
        if depth > DEEPEST:
            raise SimulatedError(f"{source} is nested more than {DEEPEST} deep.")


def _problem(error: Exception) -> str:
    """The parser's complaint with its place, on one line."""
    mark = getattr(error, "problem_mark", None)
    said = getattr(error, "problem", None) or next(iter(str(error).splitlines()), "unreadable")
    place = f" in line {mark.line + 1}, column {mark.column + 1}" if mark is not None else ""
    return f"{said}{place}".rstrip(".")
