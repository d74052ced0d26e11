"""Reading small descriptions in YAML: of simulated displays, of meters."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from patterns.errors import BAD_INPUT, LitfieldError
from patterns.plain import plain

LARGEST_FILE = 65_536
"""Bytes of a description; a real one has two thousand."""
DEEPEST = 12
"""Mappings and lists within each other; a real description has four."""
MOST_PROBLEMS = 20
"""Problems of one description that are told; of more, how many there are."""
LONGEST_PIECE = 200
"""Characters of a piece of the file, or of what is wrong with it, in a message."""
Model = TypeVar("Model", bound=BaseModel)


class DescriptionError(LitfieldError, ValueError):
    """A description that cannot be taken; the text is one sentence that names the file."""

    exit_code = BAD_INPUT


def text_of(path: Path, what: str, otherwise: str) -> str:
    """The text of a file that describes ``what``, such as "a display".

    Raises DescriptionError where it cannot be read, which says ``otherwise`` what should be there,
    and where it is no text or too large.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:  # ValueError: no file can have such a name
        reason = getattr(error, "strerror", None) or str(error)
        raise DescriptionError(f"{path} cannot be read ({reason}); {otherwise}.") from error
    if len(content) > LARGEST_FILE:
        raise DescriptionError(
            f"{path} is larger than {LARGEST_FILE} bytes: no description of {what}."
        )
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise DescriptionError(f"{path} is not UTF-8 text.") from error


def parse(text: str, source: str, model: type[Model], what: str) -> Model:
    """A description by its model; `source` is named in errors.

    Raises DescriptionError, whose one sentence lists what is wrong with the text, up to
    `MOST_PROBLEMS`.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        _refuse_traps(text, source)
        content = YAML(typ="safe", pure=True).load(text)
    except (YAMLError, RecursionError, ValueError) as error:
        if isinstance(error, DescriptionError):
            raise
        raise DescriptionError(f"{source} is not YAML: {_visible(_problem(error))}.") from error
    if not isinstance(content, dict):
        raise DescriptionError(f"{source} does not describe {what}: it is no mapping of names.")
    try:
        return model.model_validate(content)
    except ValidationError as error:
        where = _Where(text)
        problems = [
            f"{where.of(each)}{_visible(_place(each)) or 'the whole'}: {_visible(_plain(each))}"
            for each in error.errors(include_url=False, include_input=False)
        ]
        more = len(problems) - MOST_PROBLEMS
        if more > 0:
            problems[MOST_PROBLEMS:] = [f"and {more} more"]
        raise DescriptionError(
            f"{source} does not describe {what}: {'; '.join(problems)}."
        ) from error


def one_line(name: str) -> str:
    """A name as reports and terminals show it, trimmed; ValueError where it is no plain line."""
    if not name.strip() or not name.isprintable():
        raise ValueError("should be one line of plain text")
    return name.strip()


def _visible(text: str) -> str:
    """A piece of a file as it may be shown, and short: it can hold any character."""
    shown = plain(text, lines=False)
    return shown if len(shown) <= LONGEST_PIECE else f"{shown[: LONGEST_PIECE - 1]}…"


class _Where:
    """Finds the line and the column of what is wrong in a text that is YAML."""

    def __init__(self, text: str) -> None:
        from ruamel.yaml import YAML

        self._root = YAML(typ="safe", pure=True).compose(text)

    def of(self, error: ErrorDetails) -> str:
        """`line 7:12, ` of the value, of its name where that is not known here, or of what it is
        missing in; empty for the whole."""
        from ruamel.yaml.nodes import MappingNode, Node, SequenceNode

        node: Node = self._root
        name: Node | None = None
        for part in error["loc"]:
            # parts that only say which of several models was taken stand nowhere in the text
            if isinstance(node, MappingNode):
                pairs = ((key, value) for key, value in node.value if key.value == str(part))
                name, node = next(pairs, (name, node))
            elif isinstance(node, SequenceNode) and part in range(len(node.value)):
                name, node = None, node.value[part]
        if node is self._root:
            return ""
        if name is not None and error["type"] in ("extra_forbidden", "invalid_key"):
            node = name
        mark = node.start_mark
        return f"line {mark.line + 1}:{mark.column + 1}, "


def _place(error: ErrorDetails) -> str:
    """Where a value stands, such as `light.columns`."""
    return ".".join(str(part) for part in error["loc"] if part != "[key]")


_PLAIN = {
    "missing": "is missing",
    "extra_forbidden": "is not known here",
    "invalid_key": "is not known here",
    "union_tag_not_found": "needs its kind",
    "model_type": "should be a mapping of names",
    "model_attributes_type": "should be a mapping of names",
    "string_unicode": "should be text",
}
"""What is wrong, by the library's name for it, where its own words are those of a program."""


def _plain(error: ErrorDetails) -> str:
    """What is wrong with one value, in the words of a description rather than of the code."""
    if error["type"] in _PLAIN:
        return _PLAIN[error["type"]]
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
    message = getattr(error, "problem", None) or next(iter(str(error).splitlines()), "unreadable")
    place = f" in line {mark.line + 1}, column {mark.column + 1}" if mark is not None else ""
    return f"{message}{place}".rstrip(".")
