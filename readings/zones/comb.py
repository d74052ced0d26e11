"""What the groups seen in combs of boxes say of a count, and which comb tells most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from readings.zones.crawl import MOST, Belief
from readings.zones.lattice import Floats

TOO_MANY = 6
"""Groups beyond this are not counted reliably by eye."""
WRONG = 0.03
"""Share of answers that are plainly wrong."""
BLUR = 0.28
"""Spread of an answer about the expected groups, where that is no whole number."""
ANSWERS = TOO_MANY + 3
"""None, 1 .. TOO_MANY + 1 groups, and "can't tell", the last."""
AGAIN = 0.5
"""Weight of a second answer to the same comb: the same eye may err the same way."""


@dataclass(frozen=True, slots=True)
class CombAnswer:
    """What the operator saw in one comb."""

    zones: int
    """The supposed count, 1 to 200."""
    spacing: int
    """Zones from box to box, 1 or more."""
    groups: int | None
    """Groups of brighter, doubled boxes; 0 for none; None where the operator can't tell."""


def expected_groups(zones: int, spacing: int, pitches: Floats) -> Floats:
    """Groups across the screen, on average over phases, for true counts v (s,); none is 0.

    The boxes sample the place within a zone in steps of spacing v / zones. What is nearer than
    half a zone to a whole number is seen as a slow drift: |v - zones| groups as long as that is
    less than zones / (2 spacing), and an alias beyond. Only the steps between boxes count.
    """
    steps = max(len(range(0, zones, spacing)) - 1, 0)
    turn = spacing * pitches / zones
    slow: Floats = np.abs(turn - np.rint(turn))
    full = spacing * steps / zones
    # the eye completes what the last step leaves out: one group off by one, even with few boxes
    groups: Floats = slow * steps / (full or 1.0)
    return groups


def answer_chances(zones: int, spacing: int, pitches: Floats) -> Floats:
    """Probability (s, ANSWERS) of each answer to a comb; the last is "can't tell"."""
    groups = expected_groups(zones, spacing, pitches)
    steps = max(len(range(0, zones, spacing)) - 1, 0)
    whole = np.arange(ANSWERS - 1)
    # few boxes make groups hard to see: the blur grows as they become scarce
    blur = BLUR + 0.25 * groups / max(steps, 1)
    kernel = np.exp(-0.5 * ((whole - groups[:, None]) / blur[:, None]) ** 2)
    kernel /= kernel.sum(axis=1, keepdims=True) + 1e-300
    half = 1 - 2 * np.abs(groups - np.rint(groups) + 0.0)
    unsure = 0.06 + 0.3 * (1 - half) + 0.6 * np.clip(groups - TOO_MANY + 1, 0, 1)
    unsure = np.where(steps < 2, 0.5, np.clip(unsure, 0, 0.95))
    blind = 0.5 if steps < 2 else 2.5 / (steps + 8)
    wrong = max(WRONG, blind * 0.25)
    told = (1 - wrong) * kernel + wrong / (ANSWERS - 1)
    chances = np.concatenate([told * (1 - unsure)[:, None], unsure[:, None]], axis=1)
    # beyond half a turn from box to box what is seen is an alias, and nothing is built on it
    alias = np.abs(spacing * (pitches / zones - 1)) > 0.5
    chances[alias] = 1 / ANSWERS
    return chances


def comb_likelihood(answer: CombAnswer, pitches: Floats) -> Floats:
    """Likelihood (s,) of one answer for true counts v (s,)."""
    chances = answer_chances(answer.zones, answer.spacing, pitches)
    if answer.groups is None:
        return chances[:, -1]
    return chances[:, min(answer.groups, ANSWERS - 2)]


def with_combs(belief: Belief, answers: Sequence[CombAnswer]) -> Belief:
    """The belief after these answers; a comb shown again counts less each time."""
    seen: dict[tuple[int, int], int] = {}
    for answer in answers:
        key = answer.zones, answer.spacing
        times = seen.get(key, 0)
        seen[key] = times + 1
        belief = belief.times(comb_likelihood(answer, belief.pitches) ** (AGAIN**times))
    return belief


def next_comb(belief: Belief, answers: Sequence[CombAnswer] = ()) -> tuple[int, int] | None:
    """The supposed count and spacing of the comb whose answer tells most of the count.

    None where nothing is left to tell: one count has all the weight. Combs that were shown
    already are left out.
    """
    counts = belief.counts()
    likely = np.flatnonzero(counts > 2e-3)
    if len(likely) < 2 and counts.max() > 1 - 1e-4:
        return None
    shown = {(answer.zones, answer.spacing) for answer in answers}
    tries = np.unique(np.clip((likely[:, None] + np.arange(-3, 4)).ravel(), 2, MOST))
    best, most = None, 1e-6
    kept = belief.weights > 1e-7
    index, pitches, weights = (
        belief.zones[kept].astype(int),
        belief.pitches[kept],
        belief.weights[kept],
    )
    for zones in tries[np.argsort(-counts[tries], kind="stable")][:24]:
        for spacing in (3, 4) if zones >= 12 else (1, 2, 3):
            if (int(zones), spacing) in shown:
                continue
            chances = answer_chances(int(zones), spacing, pitches) * weights[:, None]
            told = _information(chances, index)
            if told > most:
                best, most = (int(zones), spacing), told
    return best


def _information(joint: Floats, index: npt.NDArray[np.int_]) -> float:
    """Expected information about the count in an answer, nats."""
    table = np.zeros((MOST + 1, joint.shape[1]))
    np.add.at(table, index, joint)
    outer = table.sum(axis=1, keepdims=True) * table.sum(axis=0, keepdims=True)
    held = table > 0
    return float((table[held] * np.log(table[held] / outer[held])).sum())
