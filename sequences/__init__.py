"""Sequences: YAML files of steps, read with every problem named, and the shipped ones."""

from __future__ import annotations

from typing import Any

from sequences.drawing import code_in, drawable
from sequences.loading import load, load_text, shipped
from sequences.model import CAUTIONS, Problem, Read, Sequence, SequenceError, Step


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a sequence file; see `sequences.json_schema`."""
    from sequences.json_schema import schema as made  # only editors ask for it

    return made()


__all__ = [
    "CAUTIONS",
    "Problem",
    "Read",
    "Sequence",
    "SequenceError",
    "Step",
    "code_in",
    "drawable",
    "load",
    "load_text",
    "schema",
    "shipped",
]
