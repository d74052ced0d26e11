"""What counting zones takes: presses, combs and minutes until the count is claimed.

Crawl alone goes on, forward and backward in turn, until the count is claimed; with combs there are
two passes and then combs. A simulated operator misses 10 % of the hops and doubles 5 %, at a zone
a second; an answer to a comb is taken to need 15 s. Nothing here can fail: it is a comparison.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from readings.zones import count_axis

# behind the installed rooms, for the trials that lie with the tests
sys.path.append(str(Path(__file__).parents[2]))
from tests.readings.zone_trials import (
    comb_until_certain,
    crawl,
    panel_and_operator,
)

COUNTS = (8, 40, 100)
TRIALS = 40
MOST_PASSES = 10
MOST_COMBS = 8
A_COMB = 15.0
"""Seconds for one answer; an assumption."""
A_ZONE = 1.0
"""Seconds for a zone in a pass."""
SEED = 90_817


@dataclass(frozen=True)
class Effort:
    """What one count took."""

    passes: int
    presses: int
    combs: int
    certain: bool
    right: bool
    seconds: float


def alone(zones: int, number: int) -> Effort:
    """Passes until the count is claimed, at most MOST_PASSES."""
    chance = np.random.default_rng([SEED, zones, number])
    panel, operator = panel_and_operator("plain", zones, 3840, chance)
    every = crawl(panel, operator, chance, passes=MOST_PASSES)
    for passes in range(1, MOST_PASSES + 1):
        found = count_axis(every[:passes], panel.size)
        if found.count is not None:
            break
    return Effort(
        passes, found.presses, 0, found.count is not None, found.best == zones,
        passes * zones * A_ZONE,
    )  # fmt: skip


def with_combs(zones: int, number: int) -> Effort:
    """Two passes, then combs until the count is claimed, at most MOST_COMBS."""
    chance = np.random.default_rng([SEED, zones, number])
    panel, operator = panel_and_operator("plain", zones, 3840, chance)
    passes = crawl(panel, operator, chance)
    found, combs = comb_until_certain(panel, operator, passes, chance, MOST_COMBS)
    seconds = 2 * zones * A_ZONE + len(combs) * A_COMB
    certain = found.count is not None
    return Effort(2, found.presses, len(combs), certain, found.best == zones, seconds)


def main() -> None:
    print("| zones | how | passes | presses | combs | minutes | slowest tenth | certain | right |")
    print("|---|---|---|---|---|---|---|---|---|")
    for zones in COUNTS:
        for name, way in (("crawl alone", alone), ("with combs", with_combs)):
            each = [way(zones, number) for number in range(TRIALS)]
            minutes = np.array([effort.seconds for effort in each]) / 60

            def mean(what: str, efforts: list[Effort] = each) -> float:
                return float(np.mean([getattr(effort, what) for effort in efforts]))

            print(
                f"| {zones} | {name} | {mean('passes'):.1f} | {mean('presses'):.0f} "
                f"| {mean('combs'):.1f} | {minutes.mean():.1f} "
                f"| {np.quantile(minutes, 0.9):.1f} | {mean('certain'):.0%} "
                f"| {mean('right'):.0%} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
