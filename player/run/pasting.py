"""Several values pasted at once: one for each step, read by its own step's rules."""

from __future__ import annotations

from collections.abc import Iterable

from player.run.entry import EntryError, parse_entry
from readings.bounds import ROOM
from readings.visit.records import Value
from sequences.model import Step
from sequences.zone_steps import is_comb

WHOLE_LINES = ("colour", "text")
"""Quantities whose value takes a whole line, tabs in it included."""


def is_several(text: str) -> bool:
    """Whether a text has lines or tabs between values, and is not one typed piece."""
    plain = text.strip("\r\n\t ")
    return any(mark in plain for mark in "\n\r\t")


def placed_values(text: str, steps: Iterable[Step], room: float = ROOM) -> list[tuple[Step, Value]]:
    """Each value with its step: the first step of these that asks for a reading takes the first.

    Values stand one a line, or side by side with tabs between; a colour takes a line of its own,
    and its x and y may each lie outside what light can be by `room`.

    Raises:
        EntryError: a value cannot be read as its step asks, there are more values than steps, or
            a step that asks for combs is among them: each answer decides which comb is next.
    """
    asking = [step for step in steps if step.read is not None]
    waiting = iter(asking)
    placed: list[tuple[Step, Value]] = []
    for line in filter(str.strip, text.splitlines()):
        left = line.strip()
        while left:
            step = next(waiting, None)
            if step is None or step.read is None:
                raise EntryError(
                    f"More values were pasted than steps ask for: {len(asking)} from here on."
                )
            cell, rest = left, ""
            if step.read.quantity not in WHOLE_LINES:
                cell, _, rest = left.partition("\t")
            plain = cell.strip().replace("\t", " ")
            placed.append((step, _value(plain, step, len(placed) + 1, room)))
            left = rest.strip()
    if not placed:
        raise EntryError("There is nothing in what was pasted.")
    return placed


def _value(text: str, step: Step, place: int, room: float) -> Value:
    assert step.read is not None  # noqa: S101 - only steps that ask are given values
    if is_comb(step):
        raise EntryError(
            f"Step {step.number} asks for one comb after another; answer each on the display."
        )
    try:
        return parse_entry(text, step.read, room)
    except EntryError as error:
        raise EntryError(f"Value {place}, for step {step.number}: {error}") from error
