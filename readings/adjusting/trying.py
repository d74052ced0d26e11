"""What turning a control alone would teach, and how far it is to be turned for that.

A control whose effect is hardly known may help and nobody can say which way. What knowing its
effect would gain is the mean, over effects that are as likely as the belief says, of what the best
clicks would gain, less what the best clicks gain without knowing: the knowledge gradient
(P. Frazier, W. Powell, S. Dayanik, The Knowledge-Gradient Policy for Correlated Normal Beliefs,
2009, seen in excerpts), with one control at a time.

Its constants are choices of our own, tried on simulated displays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from readings.adjusting.belief import Posterior
from readings.adjusting.goal import Goal
from readings.adjusting.planning import MISSED, Loss, bent

Floats = NDArray[np.float64]
SUPPOSED = 8
"""Effects that are supposed of each control."""
TO_BE_SEEN = 2.5
"""Deviations of a reading by which a trial has to move a point at least."""
_STEPS = np.array([1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128], np.float64)
_DRAWS = np.random.default_rng(20402).standard_normal((SUPPOSED // 2, 3))


@dataclass(frozen=True, slots=True)
class Trial:
    """A control turned alone, to learn what it does.

    Args:
        control: which.
        clicks: how far from where it is.
        gain: of the loss, by what is learnt and then done.
    """

    control: int
    clicks: float
    gain: float


def trials(
    goal: Goal, posterior: Posterior, loss: Loss, least: Floats, most: Floats, noise: Floats
) -> list[Trial]:
    """What each control is worth trying, of those that may be turned.

    Args:
        goal: what is aimed at.
        posterior: what is believed.
        loss: of clicks.
        least: (k,) fewest clicks from now on.
        most: (k,) most clicks.
        noise: (n,) delta E by which a reading of each point scatters.
    """
    clicks = np.concatenate([-_STEPS[::-1], _STEPS])
    chosen = np.flatnonzero(most - least >= 1)
    if not chosen.size:
        return []
    now = loss.squares_at(np.zeros(len(least)))
    off = posterior.drives - goal.wanted
    effects = posterior.effects[:, :, chosen].transpose(2, 0, 1)
    spread = np.stack(
        [posterior.joint[:, 3 + 3 * k : 6 + 3 * k, 3 + 3 * k : 6 + 3 * k] for k in chosen]
    )
    values, vectors = np.linalg.eigh(spread)
    roots = vectors * np.sqrt(np.maximum(values, 0))[..., None, :]
    draws = np.concatenate([_DRAWS, -_DRAWS])
    supposed = effects[:, None] + np.einsum("knab,sb->ksna", roots, draws)
    pulled = np.einsum("na,nab->nb", off, loss.squares)
    cross = np.einsum("nb,ksnb->ksn", pulled, supposed)
    own = np.einsum("ksna,nab,ksnb->ksn", supposed, loss.squares, supposed) * (1 + MISSED**2)
    inside = (clicks >= least[chosen, None]) & (clicks <= most[chosen, None])
    after = np.stack(
        [bent(np.maximum(now + 2 * n * cross + n**2 * own, 0)).sum(-1) for n in clicks], -1
    )
    after = np.where(inside[:, None], after, np.inf)
    still = float(bent(now).sum())
    known = np.minimum(after.min(-1), still).mean(1)
    unknown = np.minimum(after.mean(1).min(-1), still)
    unsure = np.sqrt(np.einsum("nab,knab->kn", loss.squares, spread))
    seen = (unsure / noise).max(1)
    found = []
    for place, k in enumerate(chosen):
        enough = np.abs(clicks) * seen[place] >= TO_BE_SEEN
        allowed = inside[place] & enough
        gain = float(unknown[place] - known[place])
        if gain > 0 and allowed.any():
            mean = np.where(allowed, after[place].mean(0), np.inf)
            found.append(Trial(int(k), float(clicks[mean.argmin()]), gain))
    return sorted(found, key=lambda each: -each.gain)
