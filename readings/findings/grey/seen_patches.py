"""Patches by eye: a count, and the levels of the patch that it names and of its neighbours."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.signal.signal import Signal
from readings.evidence.measured import Measured
from readings.evidence.shown import signal_of
from readings.findings.base import Bound, Value
from readings.findings.basis import Basis
from readings.findings.grey.greys import level_of
from readings.visit.records import Codes


@dataclass(frozen=True, slots=True)
class Seen:
    """One count of patches that were told apart."""

    reading: Measured
    signal: Signal
    patches: dict[int, Codes]
    """The codes of each patch, by its number."""
    number: int
    """What was counted: 0 to the number of patches."""

    def value(self, patch: int) -> float:
        """E' of the lit channels of a patch."""
        codes = np.array(self.patches[patch])
        return float(self.signal.quantiser.signals(codes).max())

    def level(
        self, name: str, label: str, patch: int, bound: Bound, at: str = "", **where: object
    ) -> Value:
        """The level of a patch, as a grey of its code has it, as a bound.

        Args:
            name: of the value.
            label: of the value.
            patch: the number of the patch.
            bound: which bound it is.
            at: the step, where the label names it.
            where: what else it belongs to.
        """
        seen: dict[str, object] = {
            "patch": patch,
            "codes": list(self.patches[patch]),
            "signal_percent": round(100 * self.value(patch), 4),
            "step": self.reading.label,
        }
        found = level_of(self.signal, name, label, self.value(patch), bound, seen | where)
        return replace(found, at=at)


def seen_in(readings: Sequence[Measured], basis: Basis) -> list[Seen]:
    """The counts that can be understood; `basis` is warned of the others."""
    found = []
    for reading in readings:
        if reading.quantity != "count":
            continue
        signal, patches = signal_of(reading), _patches(reading)
        if signal is None or not patches:
            continue
        basis.used.append(reading)
        number = reading.number
        if number is None:
            basis.warn(f"{reading.label}: it could not be told.")
        elif number != round(number) or not 0 <= number <= len(patches):
            basis.warn(
                f"{reading.label}: {number:g} is no count of its {len(patches)} patches, and does "
                "not count."
            )
        else:
            found.append(Seen(reading, signal, patches, int(number)))
    return found


def _patches(reading: Measured) -> dict[int, Codes]:
    named = {
        int(found[1]): codes
        for name, codes in reading.inks.items()
        if (found := re.fullmatch(r"patch (\d+)", name))
    }
    return named if sorted(named) == list(range(1, len(named) + 1)) else {}
