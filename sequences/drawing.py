"""Whether every frame of a sequence can be made on a canvas, in a signal."""

from __future__ import annotations

import re

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.signal import Signal
from sequences.model import Position, Sequence, Step
from sequences.problems import Problem
from sequences.tree import shorten


def drawable(sequence: Sequence, canvas: Canvas, signal: Signal | None = None) -> list[Problem]:
    """Try every step's frame; the problems, each at the parameter that it comes from.

    Moving patterns are tried at their start. ``signal`` is the one that is really shown, where
    it is not the sequence's own. Steps that fail at the same place of the file are told once.
    """
    used = signal or sequence.signal
    said: dict[str, str | None] = {}
    failing: dict[Position, list[tuple[int, str]]] = {}
    for step in sequence.steps:
        key = f"{step.pattern.kind} {step.pattern.parameters()}"
        if key not in said:
            said[key] = _failure(step, canvas, used)
        message = said[key]
        if message is not None:
            failing.setdefault(_place(step, message), []).append((step.number, message))
    expected = f"what {canvas} in {used.name} can show"
    return [
        Problem(sequence.source, line, column, _found(steps), expected)
        for (line, column), steps in sorted(failing.items())
    ]


def code_in(sequence: Sequence) -> tuple[Step, str] | None:
    """The first step with a level written as a code, and that code; None where there is none."""
    for step in sequence.steps:
        for _, text in _texts(step.pattern.parameters()):
            if found := re.search(r"\bcode -?\d+", text):
                return step, found[0]
    return None


def _failure(step: Step, canvas: Canvas, signal: Signal) -> str | None:
    try:
        step.pattern.frame(canvas, signal)
    except PatternError as error:
        return str(error).rstrip(".")
    return None


def _found(steps: list[tuple[int, str]]) -> str:
    number, message = steps[0]
    if len(steps) == 1:
        return f"step {number}: {message}"
    more = f"and {len(steps) - 1} more"
    return f"step {number} {more}: {message}"


def _place(step: Step, message: str) -> Position:
    """Where the parameter stands that the message quotes; the step where none can be told."""
    words = _normal(message)
    quoted = [
        path
        for path, text in _texts(step.pattern.parameters())
        if path in step.places and re.search(rf"(?<![\w.]){re.escape(_normal(text))}(?!\w)", words)
    ]
    if len(quoted) == 1:
        return step.places[quoted[0]]
    parents = {path[:1] for path in quoted}
    if len(parents) == 1 and (parent := parents.pop()) in step.places:
        return step.places[parent]
    return step.line, step.column


def _texts(value: object, path: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], str]]:
    if isinstance(value, dict):
        return [leaf for key, each in value.items() for leaf in _texts(each, (*path, str(key)))]
    return [] if isinstance(value, bool) or value is None else [(path, str(value))]


def _normal(text: str) -> str:
    """Numbers without trailing zeros, so that 10.0 and 10 are the same."""
    return re.sub(r"(\.\d*?)0+(?=\D|$)", r"\1", shorten(text, 500)).replace(". ", " ")
