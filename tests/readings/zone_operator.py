"""An operator who tallies a crawling box and looks at combs, on a panel whose zones are known.

What counts zones never sees these parameters. Times are in seconds, lengths in zones of the
usual pitch, at `pace` zones a second.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from player.simulated_eye import SimulatedOperator

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Operator(SimulatedOperator):
    """The operator of the simulated display, with more that may go wrong."""

    drift: float = 0.0
    """Change of the mean reaction time from the beginning to the end of a pass, s."""
    lost: int = 0
    """Hops in a row, once in a pass, while attention is lost."""
    pace: float = 1.0
    """Zones a second that the box goes."""
    few: float = 0.3
    """Share of combs of two or three boxes where the operator can't tell."""

    def crawl(
        self, edges: Floats, size: float, *, forward: bool, chance: np.random.Generator
    ) -> list[float]:
        """Places of the presses of one pass, pixels, in their order.

        `edges` (k,) are the places where the light hops, pixels, rising; `size` is the axis.
        """
        if not len(edges):
            return []
        pitch = float(np.median(np.diff(edges))) if len(edges) > 1 else size / 2
        way = edges if forward else size - edges[::-1]
        begin = int(chance.integers(0, max(len(way) - self.lost, 0) + 1)) if self.lost else 0
        presses = []
        for number, edge in enumerate(way):
            away = self.lost and begin <= number < begin + self.lost
            if away or chance.random() < self.missed:
                continue
            mean = self.reaction + self.drift * (edge / size - 0.5)
            late = max(chance.normal(mean, self.spread), 0.0)
            presses.append(edge + late * self.pace * pitch)
            if chance.random() < self.doubled:
                again = late + chance.uniform(0.1, 0.3)
                presses.append(edge + again * self.pace * pitch)
        kept = np.sort([place for place in presses if place <= size])
        return [float(place) for place in (kept if forward else size - kept)]

    def comb(
        self, edges: Floats, size: float, zones: int, spacing: int, chance: np.random.Generator
    ) -> int | None:
        """How many groups of doubled boxes the operator sees, stepping the phase; None: can't tell.

        A box within a quarter of a zone of an edge looks doubled. A group is counted where it
        begins, so one that is cut by both ends of the screen counts once.
        """
        boxes = len(range(0, zones, spacing))
        if spacing < 2 or boxes < 2:
            return None
        if chance.random() < (self.few if boxes < 4 else self.unsure):
            return None
        seen = _groups(edges, size, zones, spacing)
        if seen > 6:
            return None
        off = abs(seen - round(seen))
        if off > 0.3 and chance.random() < 0.5:
            return None
        groups = round(seen + chance.normal(0.0, 0.12))
        if chance.random() < self.wrong:
            groups += int(chance.choice([-1, 1]))
        return max(groups, 0)


def _groups(edges: Floats, size: float, zones: int, spacing: int) -> float:
    """Groups that begin between the first box and the last, on average over 24 phases.

    The eye completes the part of the screen that the boxes do not reach.
    """
    if not len(edges):
        return 0.0
    steps = np.arange(0, zones, spacing)
    pitch = float(np.median(np.diff(edges))) if len(edges) > 1 else size / 2
    total = 0.0
    for phase in (np.arange(24) + 0.5) / 24:
        places = (steps + phase) * size / zones
        apart = np.abs(places[:, None] - edges[None, :]).min(axis=1)
        doubled = apart < 0.25 * pitch
        total += float(np.count_nonzero(doubled[1:] & ~doubled[:-1]))
    return total / 24 * zones / (spacing * (len(steps) - 1))


@dataclass(frozen=True, slots=True)
class Panel:
    """Where the zones of one axis end."""

    zones: int
    size: int
    left: float = 1.0
    """Width of the first zone, of the usual pitch."""
    right: float = 1.0
    """Width of the last one."""

    def edges(self) -> Floats:
        """Places where one zone gives way to the next, (zones - 1,) pixels, rising."""
        if self.zones == 1:
            return np.zeros(0)
        pitch = self.size / (self.zones - 2 + self.left + self.right)
        edges: Floats = (self.left + np.arange(self.zones - 1, dtype=np.float64)) * pitch
        return edges
