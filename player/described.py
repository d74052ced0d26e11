"""Reading small descriptions in YAML: of simulated displays, of meters."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

LARGEST = 65_536
"""Bytes of a description; a real one has two thousand."""
DEEPEST = 12
"""Mappings and lists within each other; a real description has four."""
Model = TypeVar("Model", bound=BaseModel)


class DescriptionError(ValueError):
    """A description that cannot be taken; the text is one sentence that names the file."""


def text_of(path: Path, what: str, otherwise: str) -> str:
    """The text of a file that describes ``what``, such as "a display".

    Raises DescriptionError where it cannot be read, which says ``otherwise`` what should be there,
    and where it is no text or too large.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # ValueError: no file can have such a name
        reason = getattr(error, "strerror", None) or str(error)
        raise DescriptionError(f"{path} cannot be read ({reason}); {otherwise}.") from error
    if len(content) > LARGEST:
        raise DescriptionError(f"{path} is larger than {LARGEST} bytes: no description of {what}.")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise DescriptionError(f"{path} is not UTF-8 text.") from error


def parse(text: str, source: str, model: type[Model], what: str) -> Model:
    """A description by its model; `source` is named in errors.

    Raises DescriptionError, whose one sentence lists everything that is wrong with the text.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        _refuse_traps(text, source)
        content = YAML(typ="safe", pure=True).load(text)
    except (YAMLError, RecursionError, ValueError) as error:
        if isinstance(error, DescriptionError):
            raise
        raise DescriptionError(f"{source} is not YAML: {_problem(error)}.") from error
    if not isinstance(content, dict):
        raise DescriptionError(f"{source} does not describe {what}: it is no mapping of names.")
    try:
        return model.model_validate(content)
    except ValidationError as error:
        problems = "; ".join(
            f"{_place(each) or 'the whole'}: {_plain(each)}"
            for each in error.errors(include_url=False, include_input=False)
        )
        raise DescriptionError(f"{source} does not describe {what}: {problems}.") from error


def _place(error: ErrorDetails) -> str:
    """Where a value stands, such as `light.columns`."""
    return ".".join(str(part) for part in error["loc"] if part != "[key]")


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
    """Raise DescriptionError at what would take a parser very long: aliases and deep nesting."""
    from ruamel.yaml import YAML
    from ruamel.yaml.events import AliasEvent, CollectionEndEvent, CollectionStartEvent

    depth = 0
    for event in YAML(typ="safe", pure=True).parse(text):
        if isinstance(event, AliasEvent):
            raise DescriptionError(f"{source} uses YAML aliases (*name), which are not read here.")
        depth += isinstance(event, CollectionStartEvent) - isinstance(event, CollectionEndEvent)
        if depth > DEEPEST:
            raise DescriptionError(f"{source} is nested more than {DEEPEST} deep.")


def _problem(error: Exception) -> str:
    """The parser's complaint with its place, on one line."""
    mark = getattr(error, "problem_mark", None)
    said = getattr(error, "problem", None) or next(iter(str(error).splitlines()), "unreadable")
    place = f" in line {mark.line + 1}, column {mark.column + 1}" if mark is not None else ""
    return f"{said}{place}".rstrip(".")
