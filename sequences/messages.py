"""Errors of pydantic as problems: at their line and column, in plain words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from patterns.errors import ParameterError
from patterns.signal.levels import Chromatic, Mix
from sequences.problems import Collector, as_shown, one_of
from sequences.tree import Listing, Mapping, Node, Scalar, shorten

_PLAIN = {
    "int_type": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "string_type": "text, in quotes where it looks like a number",
    "list_type": "a list",
    "string_pattern_mismatch": "a name of small letters, digits and hyphens",
}
_BOUNDS = {
    "greater_than_equal": ("ge", "{:g} or more"),
    "less_than_equal": ("le", "{:g} or less"),
    "greater_than": ("gt", "more than {:g}"),
    "less_than": ("lt", "less than {:g}"),
}


def tell(
    error: ValidationError,
    model: type[BaseModel],
    node: Node,
    collector: Collector,
    owner: str,
) -> None:
    """Note every error of a validation of ``node``, which is called ``owner``."""
    for each in error.errors(include_url=False):
        path, at_key = _path(each["loc"], node)
        at = path[-1]
        of_whole = not each["loc"] or each["type"] == "missing"
        if any(step.broken for step in path) or (of_whole and at.cut):
            continue
        name = ".".join(str(part) for part in each["loc"] if isinstance(part, str))
        parent = path[-2] if len(path) > 1 else node
        if each["type"] == "extra_forbidden":
            names, whose = _siblings(model, each["loc"], parent, owner)
            wrong = str(each["loc"][-1])
            found = f"unknown key '{shorten(wrong)}' in {whose}"
            collector.add(at_key or at, found, one_of(names, wrong))
        elif each["type"] == "missing":
            inside = f" in {owner}" if len(each["loc"]) == 1 else f" in {name.rpartition('.')[0]}"
            last = each["loc"][-1]
            collector.add(at, f"no {last}{inside}", f"a value for {last}")
        elif not each["loc"]:
            collector.add(at_key or at, owner, f"that {_sentence(each)[1]}")
        else:
            note, expected = _expected(each, model, as_shown(at))
            collector.add(at, f"{name}: {as_shown(at)}{note}", expected)


def public_names(model: type[BaseModel]) -> list[str]:
    """The names of a model's fields as a file writes them."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _path(loc: tuple[int | str, ...], node: Node) -> tuple[list[Node], Scalar | None]:
    """The nodes down to an error as far as they are there, and the key of the last."""
    path, key = [node], None
    for part in loc:
        here = path[-1]
        if isinstance(here, Mapping) and str(part) in here.entries:
            entry = here.entries[str(part)]
            key = entry.key
            path.append(entry.value)
        elif isinstance(here, Listing) and isinstance(part, int) and part < len(here.items):
            key = None
            path.append(here.items[part])
    return path, key


def _siblings(
    model: type[BaseModel], loc: tuple[int | str, ...], parent: Node, owner: str
) -> tuple[list[str], str]:
    """The names that may stand beside an unknown one, and where they stand."""
    if len(loc) == 1:
        return public_names(model), owner
    below = _model_at(model, loc[:-1])
    if below is None:
        # a level: the only value whose shape is chosen by its keys
        keys = set(parent.entries) if isinstance(parent, Mapping) else set()
        below = Chromatic if {"x", "y"} & keys else Mix
    return public_names(below), str(loc[-2])


def _model_at(model: type[BaseModel], loc: Sequence[int | str]) -> type[BaseModel] | None:
    here: type[BaseModel] | None = model
    for part in loc:
        if here is None:
            return None
        fields = {field.alias or name: field for name, field in here.model_fields.items()}
        field = fields.get(str(part))
        inside = [field.annotation, *get_args(field.annotation)] if field else []
        models = [each for each in inside if isinstance(each, type) and issubclass(each, BaseModel)]
        here = models[0] if models else None
    return here


def _expected(each: ErrorDetails, model: type[BaseModel], found: str) -> tuple[str, str]:
    """A note on what was found, and what was expected."""
    kind: str = each["type"]
    context: dict[str, Any] = each.get("ctx", {})
    note, expected = "", _PLAIN.get(kind, each["msg"].removeprefix("Input should be "))
    if kind in _BOUNDS:
        key, words = _BOUNDS[kind]
        expected = words.format(context[key])
    elif kind == "literal_error":
        # texts stand in quotes, numbers do not
        known = re.findall(r"'([^']*)'", context["expected"])
        expected = one_of(known, found) if known else context["expected"]
    elif kind == "value_error":
        note, expected = _sentence(each)
    elif kind in ("model_type", "dict_type", "model_attributes_type"):
        inside = _model_at(model, each["loc"])
        keys = f" with {one_of(public_names(inside))}" if inside else ""
        expected = f"a mapping{keys}"
    elif kind == "too_short":
        expected = f"{context['min_length']} or more"
    elif kind == "too_long":
        expected = f"{context['max_length']} or fewer"
    return note, expected


def _sentence(each: ErrorDetails) -> tuple[str, str]:
    """What a validator said: a note on what was found, and what was expected, or the rule."""
    error = each.get("ctx", {}).get("error")
    if isinstance(error, ParameterError):
        return f" ({error.amiss})" if error.amiss else "", error.expected
    text = str(error or each["msg"]).rstrip(".")
    return "", f"that {text}" if each["loc"] else text
