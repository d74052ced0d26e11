"""Sequences: YAML files of steps, read with every problem named, and the shipped ones."""

from __future__ import annotations

from sequences.drawing import drawable
from sequences.json_schema import schema
from sequences.loading import load, load_text, shipped
from sequences.model import CAUTIONS, Problem, Read, Sequence, SequenceError, Step

__all__ = [
    "CAUTIONS",
    "Problem",
    "Read",
    "Sequence",
    "SequenceError",
    "Step",
    "drawable",
    "load",
    "load_text",
    "schema",
    "shipped",
]
