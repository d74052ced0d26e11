"""Trials of counting zones: random panels, a simulated operator, two passes and a few combs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from readings.zones import AxisCount, CombAnswer, Pass, count_axis
from tests.readings.zone_operator import Operator, Panel

OPERATORS = ("plain", "lost", "drift", "narrow")
"""As the method expects them; and three that it was not made for."""
WIDTH, HEIGHT = 3840, 2160


@dataclass(frozen=True)
class Trial:
    """One axis, the truth and what was said of it."""

    kind: str
    number: int
    panel: Panel
    operator: Operator
    passes: tuple[Pass, ...]
    combs: tuple[CombAnswer, ...]
    crawl: AxisCount
    """From the two passes alone."""
    final: AxisCount
    """After the combs."""

    @property
    def held(self) -> bool:
        """Whether the 95 % set of the crawl alone holds the truth."""
        return self.panel.zones in self.crawl.set95

    @property
    def right(self) -> bool:
        return self.final.best == self.panel.zones

    @property
    def wrong_while_certain(self) -> bool:
        """Whether a count was ever claimed that is not the truth."""
        return any(each.count not in {None, self.panel.zones} for each in (self.crawl, self.final))


def panel_and_operator(
    kind: str, zones: int, size: int, chance: np.random.Generator
) -> tuple[Panel, Operator]:
    """A panel of so many zones, and an operator of that kind with a usual reaction of their own."""
    left = right = 1.0
    drift, lost = 0.0, 0
    if kind == "lost":
        lost = int(chance.integers(4, 9))
    elif kind == "drift":
        drift = float(chance.uniform(-0.6, 0.6))
    elif kind == "narrow" and zones > 1:
        width = float(chance.uniform(0.3, 0.9))
        left, right = (width, 1.0) if chance.random() < 0.5 else (1.0, width)
    reaction = float(chance.uniform(0.25, 0.7))
    return (
        Panel(zones, size, left, right),
        Operator(reaction=reaction, drift=drift, lost=lost),
    )


def crawl(
    panel: Panel,
    operator: Operator,
    chance: np.random.Generator,
    passes: int = 2,
) -> tuple[Pass, ...]:
    """So many passes, forward and backward in turn."""
    ways = ("forward", "backward") * passes
    edges = panel.edges()
    return tuple(
        Pass(
            way,
            tuple(operator.crawl(edges, panel.size, forward=way == "forward", chance=chance)),
        )
        for way in ways[:passes]
    )


def comb_until_certain(
    panel: Panel,
    operator: Operator,
    passes: tuple[Pass, ...],
    chance: np.random.Generator,
    most: int = 6,
) -> tuple[AxisCount, tuple[CombAnswer, ...]]:
    """Show the comb that would tell most until the count is claimed, at most `most` of them."""
    answers: tuple[CombAnswer, ...] = ()
    found = count_axis(passes, panel.size)
    while found.count is None and found.next_comb and len(answers) < most:
        zones, spacing = found.next_comb
        groups = operator.comb(panel.edges(), panel.size, zones, spacing, chance)
        answers += (CombAnswer(zones, spacing, groups),)
        found = count_axis(passes, panel.size, answers)
    return found, answers


def trial(kind: str, number: int, seed: int) -> Trial:
    """Trial `number` of a campaign: even ones are columns (4 to 100), odd ones rows (1 to 60)."""
    chance = np.random.default_rng([seed, OPERATORS.index(kind), number])
    columns = number % 2 == 0
    zones = int(chance.integers(4, 101) if columns else chance.integers(1, 61))
    size = WIDTH if columns else HEIGHT
    panel, operator = panel_and_operator(kind, zones, size, chance)
    passes = crawl(panel, operator, chance)
    alone = count_axis(passes, size)
    final, combs = comb_until_certain(panel, operator, passes, chance)
    return Trial(kind, number, panel, operator, passes, combs, alone, final)
