"""Whether every frame of a sequence can be made on a canvas, in a signal."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.picture.canvas import Canvas
from patterns.signal.measures import Measure
from patterns.signal.signal import Signal
from sequences.model import Position, Sequence, Step
from sequences.problems import Problem


def drawable(sequence: Sequence, canvas: Canvas, signal: Signal | None = None) -> list[Problem]:
    """Try every step's frame; the problems, each at the parameter that it comes from.

    Moving patterns are tried at their start, those of steps that adjust at each of their levels.
    ``signal`` is the one that is really shown, where it is not the sequence's own. Steps
    that fail at the same place of the file are told once.
    """
    used = signal or sequence.signal
    known: dict[str, PatternError | None] = {}
    failing: dict[Position, list[tuple[int, PatternError]]] = {}
    for step in sequence.steps:
        levels = () if step.read is None else step.read.levels
        key = f"{step.pattern.kind} {step.pattern.parameters()} {levels}"
        if key not in known:
            known[key] = _failure(step, canvas, used)
        error = known[key]
        if error is not None:
            failing.setdefault(_place(step, error), []).append((step.number, error))
    expected = f"what {canvas} in {used.name} can show"
    return [
        Problem(sequence.source, line, column, _found(steps), expected)
        for (line, column), steps in sorted(failing.items())
    ]


def code_in(sequence: Sequence) -> tuple[Step, Measure] | None:
    """The first step with a level written as a code, and that level; None where there is none."""
    for step in sequence.steps:
        for measure in _measures(step.pattern):
            if measure.unit == "code":
                return step, measure
    return None


def _failure(step: Step, canvas: Canvas, signal: Signal) -> PatternError | None:
    try:
        step.pattern.frame(canvas, signal)
        if step.read is not None and step.read.adjusts:
            _require_levels(step.pattern, step.read.levels, canvas, signal)
    except PatternError as error:
        # a traceback would keep the half-made frames of all failing steps
        return error.with_traceback(None)
    return None


def _require_levels(
    pattern: Pattern, levels: tuple[float, ...], canvas: Canvas, signal: Signal
) -> None:
    """Try a pattern at each level that it is adjusted at. Raises PatternError."""
    given = {name: value for name, value in pattern.parameters().items() if value is not None}
    before: dict[str, float] = {}
    for level in levels:
        made = type(pattern).model_validate(given | {"level": f"{level:.10g} %"})
        first = before.setdefault(made.frame(canvas, signal).sha256, level)
        if first != level:
            raise PatternError(f"The levels {first:g} % and {level:g} % are one picture.")


def _found(steps: list[tuple[int, PatternError]]) -> str:
    number, error = steps[0]
    message = str(error).rstrip(".")
    if len(steps) == 1:
        return f"step {number}: {message}"
    more = f"and {len(steps) - 1} more"
    return f"step {number} {more}: {message}"


def _place(step: Step, error: PatternError) -> Position:
    """Where the parameter stands that is most to blame of those in the file, or else the step."""
    places = (step.places[path] for path in error.parameters if path in step.places)
    return next(places, (step.line, step.column))


def _measures(value: object) -> Iterator[Measure]:
    """Every measure among the parameters of a pattern, in their order."""
    if isinstance(value, Measure):
        yield value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _measures(getattr(value, name))
    elif isinstance(value, list):
        for each in value:
            yield from _measures(each)
