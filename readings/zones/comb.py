"""What the groups seen in combs of boxes say of a count, and which comb tells most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from patterns.kinds.moving_box import MOST_ZONES
from readings.zones.crawl import Belief
from readings.zones.lattice import Floats

TOO_MANY = 6
"""Groups beyond this are not counted reliably by eye."""
ANSWERS = TOO_MANY + 3
"""None, 1 .. TOO_MANY + 1 groups, and "can't tell", the last."""
BLUR = 0.28
"""Spread of an answer about the expected groups, where that is no whole number."""
WRONG = 0.03
"""Share of answers that are plainly wrong; more where there are few boxes."""
CANNOT = 0.08
"""Share of "can't tell" where the groups are a whole number that is easily counted."""
FEW_STEPS = 3
"""Steps from box to box below which groups are hard to tell."""
FEWEST_BOXES = 3
"""Boxes that a comb has at least where it is proposed."""
NEAREST = 2
"""Spacing below which every zone is lit, and a comb shows nothing."""
TOO_FEW = 6
"""Zones below which combs say nothing: most ends of zones are those of the screen."""
ALIAS = 0.3
"""How far what is seen in an alias is trusted: the halos are uneven there."""
AGAIN = 0.5
"""Weight of a second answer to the same comb: the same eye may err the same way."""
FEW_ZONES = 12
"""Zones below which boxes three zones apart would be too few."""
LIKELY = 2e-3
"""Probability from which the next comb is to tell a count from others."""
SETTLED = 1 - 1e-4
"""Probability of one count above which there is nothing left to tell."""
TRIED = 24
"""Supposed counts among which the next comb is looked for."""


@dataclass(frozen=True, slots=True)
class CombAnswer:
    """What the operator saw in one comb."""

    zones: int
    """The supposed count, 1 to MOST_ZONES."""
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
    steps = len(range(0, zones, spacing)) - 1
    if spacing < NEAREST or steps < 1:
        return np.full((len(pitches), ANSWERS), 1 / ANSWERS)
    groups = expected_groups(zones, spacing, pitches)
    between = np.abs(groups - np.rint(groups))
    cannot = CANNOT + 0.5 * between + 0.6 * np.clip(groups - TOO_MANY + 1, 0, 1)
    cannot = np.clip(cannot + 0.3 * (steps < FEW_STEPS), 0, 0.95)[:, None]
    # few boxes make groups hard to count: the blur grows as they become scarce
    blur = (BLUR + 0.25 * groups / steps)[:, None]
    groups = np.minimum(groups, TOO_MANY + 1)
    answered = np.exp(-0.5 * ((np.arange(ANSWERS - 1) - groups[:, None]) / blur) ** 2)
    answered /= answered.sum(axis=1, keepdims=True)
    wrong = WRONG + 0.2 / (steps + 1)
    answered = (1 - wrong) * answered + wrong / (ANSWERS - 1)
    chances = np.concatenate([answered * (1 - cannot), cannot], axis=1)
    # beyond half a turn from box to box what is seen is an alias, and little is built on it
    alias = np.abs(spacing * (pitches / zones - 1)) > 0.5
    chances[alias] = ALIAS * chances[alias] + (1 - ALIAS) / ANSWERS
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
        likelihood = comb_likelihood(answer, belief.pitches) ** (AGAIN**times)
        belief = belief.times(_silent(likelihood, belief))
    return belief


def _silent(values: Floats, belief: Belief) -> Floats:
    """Those values (s,), and their mean where there are so few zones that combs say nothing.

    So those counts keep the probability that they have together.
    """
    too_few = belief.pitches > TOO_FEW - 1
    weight = belief.weights[too_few].sum()
    mean = (belief.weights[too_few] @ values[too_few]) / weight if weight > 0 else 1.0
    return np.where(too_few, values, mean)


def next_comb(belief: Belief, answers: Sequence[CombAnswer] = ()) -> tuple[int, int] | None:
    """The supposed count and spacing of the comb whose answer tells most of the count.

    None where nothing is left to tell: one count has all the weight. Combs that were shown
    already are left out.
    """
    counts = belief.counts()
    likely = np.flatnonzero(counts > LIKELY)
    settled = len(likely) < 2 and counts.max() > SETTLED
    if settled or counts[:TOO_FEW].sum() > 0.5:
        return None
    shown = {(answer.zones, answer.spacing) for answer in answers}
    tries = np.unique(np.clip((likely[:, None] + np.arange(-2, 3)).ravel(), 2, MOST_ZONES))
    best, most = None, 1e-6
    kept = belief.weights > 1e-7
    index, pitches = belief.zones[kept], belief.pitches[kept]
    weights = belief.weights[kept]
    for zones in tries[np.argsort(-counts[tries], kind="stable")][:TRIED]:
        for spacing in (3, 4) if zones >= FEW_ZONES else (2, 3):
            few = len(range(0, int(zones), spacing)) < FEWEST_BOXES
            if few or (int(zones), spacing) in shown:
                continue
            chances = answer_chances(int(zones), spacing, pitches) * weights[:, None]
            information = _information(chances, index)
            if information > most:
                best, most = (int(zones), spacing), information
    return best


def _information(joint: Floats, index: npt.NDArray[np.int_]) -> float:
    """Expected information about the count in an answer, nats."""
    table = np.zeros((MOST_ZONES + 1, joint.shape[1]))
    np.add.at(table, index, joint)
    outer = table.sum(axis=1, keepdims=True) * table.sum(axis=0, keepdims=True)
    held = table > 0
    return float((table[held] * np.log(table[held] / outer[held])).sum())
