"""Which controls to turn how far: whole clicks against the expected error and the time they take.

The expected square of each point's error is a quadratic form of the clicks (an error's own square,
and what is not known of the drives and of the effects). What is minimised is their sum, each bent
upwards where it is large to the eye and level where it is beyond all help, plus what time costs.

Its constants are choices of our own, tried on simulated displays, but where a source is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import ndtr

from readings.adjusting.belief import Posterior
from readings.adjusting.goal import DARK, EXPONENT, Goal

Floats = NDArray[np.float64]
LIMIT = 1.0
"""Delta E that is to be reached, and its square, up to which an error counts by more than that."""
FLAT, STEEP = 0.1, 4.0
"""What a square counts far below the limit, and its cube: choices of our own."""
CAUTION = 0.3
"""Share of what is not known of effects that counts against a plan: readings will tell."""
MISSED = 0.12
"""Share of a move by which it misses: clicks differ, and controls bend each other."""
BLACK_ITP = 0.8 / np.sqrt(3)
"""Delta E that black counts for PQ and HLG for each channel that is lifted by a ten-thousandth of
white's light: 0.8 for all three. Delta E ITP would forbid far less than anybody sees."""
OF_BLACK = 0.2
"""Share of black's own light by which it may be lifted for that, where that is more."""
KNOWN_BLACK = 0.04
"""Squares that black has to count for its form to be made right where it is."""
LINEAR = 216 / 24389
"""Share of white's light below which CIELAB's lightness is proportional to light (CIE 15:2018)."""


def of_lifted(goal: Goal, drives: Floats, place: int = 0) -> Floats:
    """What black counts (...) with these drives (..., 3): its delta E by what is lifted alone.

    Nothing where it is darker than found. For PQ and HLG its light above that counts.
    """
    up = np.maximum(drives, 0)
    if goal.itp:
        return np.asarray(np.linalg.norm(_of_itp(goal) * goal.channels(goal.light(up)), axis=-1))
    return np.asarray(goal.errors(goal.light(up)[..., None, :], [place])[..., 0])


def _of_itp(goal: Goal) -> float:
    """What a channel's light of black, share of white's, counts for PQ and HLG."""
    own = OF_BLACK * float(goal.channels(2 * goal.black).max())
    return float(BLACK_ITP / max(1e-4, own))


def black_form(goal: Goal, drives: Floats, place: int = 0) -> Floats:
    """(3, 3) the form of black's squares in drives, where these (3,) are what it is lifted by.

    CIELAB is proportional to light there (CIE 15:2018, from memory), and light rises steeply with
    the drives, but next to none, where the goal's own form is. It is right where these drives are,
    and next to none where one channel counts 1.
    """
    if goal.itp:
        by_light = _of_itp(goal) ** 2 * np.eye(3)
    else:
        by_light = goal.squares[place] * DARK ** (2 / EXPONENT - 2)
    one = float(by_light.diagonal().max()) ** (-0.5 / EXPONENT)
    up = np.maximum(drives, 0)
    rise = np.maximum(up, one) ** (EXPONENT - 1)
    form = by_light * np.outer(rise, rise)
    told, so = float(up @ form @ up), float(of_lifted(goal, drives, place)) ** 2
    return np.asarray(form * (np.clip(so / told, 0.1, 2) if told > KNOWN_BLACK else 1.0))


@dataclass(frozen=True, eq=False)
class Costs:
    """What turning costs, in squares of delta E.

    Args:
        page: (k,) to turn a control when nothing else of its page is turned.
        further: (k,) to turn it beside others of its page.
        click: (k,) for each click.
        pages: (k,) which page of the menu each control is on.
    """

    page: Floats
    further: Floats
    click: Floats
    pages: NDArray[np.intp]

    def of(self, clicks: Floats) -> float:
        """What turning all of these costs."""
        turned = np.flatnonzero(clicks)
        cost = float(np.abs(clicks[turned]) @ self.click[turned]) + float(
            self.further[turned].sum()
        )
        for page in np.unique(self.pages[turned]):
            first = turned[self.pages[turned] == page][0]
            cost += float(self.page[first] - self.further[first])
        return cost


def _in_the_dark(goal: Goal, drives: Floats) -> Floats:
    """(n, 3, 3) the goal's forms, those of the darkest points as they are from these drives.

    There CIELAB goes with light (CIE 15:2018, from memory) and not with drives, whose form far
    from what is wanted tells an error that is larger than it is, or smaller where there is more.
    """
    squares = goal.squares.copy()
    if goal.itp:
        return squares
    off = drives - goal.wanted
    light = goal.light(drives) - goal.xyz
    straight = np.linalg.solve(goal.slopes(goal.wanted), light[..., None])[..., 0]
    by_drives = np.einsum("na,nab,nb->n", off, squares, off)
    by_light = np.einsum("na,nab,nb->n", straight, squares, straight)
    dark = (goal.xyz[:, 1] < LINEAR * goal.white[1]) & (by_drives > 0.1)
    share = np.clip(by_light / np.maximum(by_drives, 1e-9), 0.05, 2.0)
    return squares * np.where(dark, share, 1.0)[:, None, None]


class Loss:
    """The expected loss of turning controls, from what is believed.

    Args:
        goal: what is aimed at.
        posterior: what is believed.
        caution: share of what is not known of the effects that counts.
    """

    def __init__(self, goal: Goal, posterior: Posterior, caution: float = CAUTION) -> None:
        off = posterior.drives - goal.wanted
        count = posterior.effects.shape[2]
        squares = _in_the_dark(goal, posterior.drives)
        read = squares.copy()
        self._black = next((n for n, point in enumerate(goal.points) if point.black), None)
        way = np.concatenate([off[:, :, None], posterior.effects], 2)
        if self._black is not None:
            # nobody minds a darker one: it is only not to be lifted, and that counts by what is
            # believed
            form = black_form(goal, posterior.drives[self._black], self._black)
            squares[self._black], read[self._black] = form, 0.0
            self._root = np.linalg.cholesky(form).T
            self._lifted = way[self._black].copy()
            way[self._black] = 0.0
        self.squares = squares
        form = np.einsum("nap,nab,nbq->npq", way, squares, way, optimize=True)
        self._believed_form = form.copy()
        unknown = posterior.joint.reshape(len(off), 1 + count, 3, 1 + count, 3)
        unsure = np.einsum("nab,npaqb->npq", read, unknown, optimize=True)
        self.unsure = unsure[:, 0, 0].copy()
        """(n,) part of the expected square that is not known of the drives."""
        unsure[:, 1:, 1:] *= caution
        unsure[:, 0, 1:] *= caution
        unsure[:, 1:, 0] *= caution
        moved = np.einsum("nak,nab,nbk->nk", way[:, :, 1:], squares, way[:, :, 1:])
        diagonal = np.arange(1, 1 + count)
        unsure[:, diagonal, diagonal] += MISSED**2 * moved
        self._form = form + unsure

    def form_at(self, clicks: Floats) -> Floats:
        """(n, 1 + k, 1 + k) quadratic form of the squares about these clicks."""
        return self._about(self._form, np.concatenate([[1.0], clicks]))

    def _about(self, form: Floats, way: Floats) -> Floats:
        """A form with that of black, which only its lifted channels make."""
        if self._black is None:
            return form
        up = self._lifted @ way > 0
        lifted = self._root[:, up] @ self._lifted[up]
        found = form.copy()
        found[self._black] = lifted.T @ lifted
        return found

    def _squares(self, form: Floats, way: Floats) -> Floats:
        found = form @ way @ way
        if self._black is not None:
            found[self._black] = ((self._root @ np.maximum(self._lifted @ way, 0)) ** 2).sum()
        return np.asarray(np.maximum(found, 0))

    def squares_at(self, clicks: Floats) -> Floats:
        """(n,) expected squares of the errors after these clicks (k,)."""
        return self._squares(self._form, np.concatenate([[1.0], clicks]))

    @property
    def below(self) -> Floats:
        """(n,) how likely it is that each point is below the limit as it is.

        Two of the three numbers that are not known of a point are across what is known to be off.
        """
        nothing = np.concatenate([[1.0], np.zeros(self._form.shape[1] - 1)])
        believed = np.maximum(self._squares(self._form, nothing) - self.unsure, 0)
        spread = np.sqrt(np.maximum(self.unsure, 1e-12) / 2)
        return np.asarray(ndtr((LIMIT - np.sqrt(believed)) / spread))

    def at(self, clicks: Floats) -> float:
        """The loss after these clicks."""
        return float(bent(self.squares_at(clicks)).sum())

    def as_believed(self, clicks: Floats) -> float:
        """The loss after these clicks of what is believed alone, without what is not known."""
        way = np.concatenate([[1.0], clicks])
        return float(bent(self._squares(self._believed_form, way)).sum())

    def with_slope(self, clicks: Floats) -> tuple[float, Floats]:
        """The same with its gradient (k,)."""
        way = np.concatenate([[1.0], clicks])
        half = self._form @ way
        found = half @ way
        if self._black is not None:
            up = np.maximum(self._lifted @ way, 0)
            lifted = self._root @ up
            half[self._black] = lifted @ self._root @ np.where(up[:, None] > 0, self._lifted, 0)
            found[self._black] = lifted @ lifted
        found = np.maximum(found, 0)
        slope = 2 * np.einsum("n,nk->k", bend(found), half)[1:]
        return float(bent(found).sum()), slope

    def beside(self, clicks: Floats, steps: Floats) -> Floats:
        """(k, s) loss where one control alone goes some steps (s,) on from these clicks."""
        way = np.concatenate([[1.0], clicks])
        half = self._form @ way
        now = half @ way
        own = np.einsum("nkk->nk", self._form)[:, 1:, None]
        after = now[:, None, None] + 2 * half[:, 1:, None] * steps + own * steps**2
        if self._black is not None:
            there = self._lifted @ way
            lifted = np.maximum(there[:, None, None] + self._lifted[:, 1:, None] * steps, 0)
            after[self._black] = (np.einsum("ab,bks->aks", self._root, lifted) ** 2).sum(0)
        return np.asarray(bent(np.maximum(after, 0)).sum(0))


def bent(squares: Floats) -> Floats:
    """What squares of errors count: little where nothing is seen, and steeply more up to the
    limit."""
    low = np.minimum(squares, LIMIT)
    return np.asarray(FLAT * low + STEEP * low**3 + bend(low) * (squares - low))


def bend(squares: Floats) -> Floats:
    """How that rises with them."""
    return np.asarray(FLAT + 3 * STEEP * np.minimum(squares, LIMIT) ** 2)


def plan(
    loss: Loss, least: Floats, most: Floats, costs: Costs, begin: Floats | None = None
) -> Floats:
    """Whole clicks (k,) that make the loss with its costs small.

    Args:
        loss: of clicks.
        least: (k,) fewest clicks from now on, 0 or less; 0 for one that is not to be lowered.
        most: (k,) most clicks; below 0 of one that has to come down.
        costs: of turning.
        begin: an earlier plan to start from; none where nothing is known.
    """
    free = most > least
    clicks = np.clip(np.zeros(len(least)) if begin is None else begin, least, most)
    for _ in range(12):
        clicks = _smooth(loss, least, most, free, clicks)
        gain = _worth(loss, clicks, costs)
        idle = np.flatnonzero(free & (gain <= 0) & (most >= 0))
        if not idle.size:
            break
        worst = idle[np.argsort(gain[idle])][: max(1, (free.sum() + 2) // 3)]
        free[worst] = False
        clicks[worst] = np.minimum(most[worst], 0.0)
    return _whole(loss, least, most, costs, clicks)


def one_page(
    loss: Loss, least: Floats, most: Floats, costs: Costs, controls: NDArray[np.intp]
) -> Floats:
    """Whole clicks (k,) of the controls of one page alone that make the loss small."""
    clicks = np.zeros(len(least))
    clicks[controls] = np.clip(0.0, least[controls], most[controls])
    rows = controls + 1
    lowest = loss.at(clicks)
    for _ in range(8):
        way = np.concatenate([[1.0], clicks])
        weights = bend(loss.squares_at(clicks))
        about = loss.form_at(clicks)[:, rows]
        form = np.einsum("n,nkl->kl", weights, about[:, :, rows])
        slope = np.einsum("n,nk->k", weights, about @ way)
        form = form + 1e-9 * (np.trace(form) + 1e-9) * np.eye(len(rows))
        step = np.linalg.solve(form, slope)
        for share in (1.0, 0.5, 0.25):
            tried = clicks.copy()
            tried[controls] = np.clip(
                clicks[controls] - share * step, least[controls], most[controls]
            )
            value = loss.at(tried)
            if value < lowest - 1e-6:
                break
        else:
            break
        clicks, lowest = tried, value
    return _whole(loss, least, most, costs, clicks)


def _smooth(
    loss: Loss, least: Floats, most: Floats, free: NDArray[np.bool_], begin: Floats
) -> Floats:
    """Clicks, not whole, of least loss, of the free controls."""
    chosen = np.flatnonzero(free)
    clicks = np.where(free, begin, np.minimum(most, 0.0))
    if not chosen.size:
        return clicks
    # in units in which each control matters about as much as the others
    own = np.maximum(np.einsum("nkk->k", loss.form_at(begin))[1:][chosen], 0)
    unit = 1 / np.sqrt(own + 1e-9)

    def target(scaled: Floats) -> tuple[float, Floats]:
        clicks[chosen] = scaled * unit
        value, slope = loss.with_slope(clicks)
        return value, slope[chosen] * unit

    bounds = list(zip(least[chosen] / unit, most[chosen] / unit, strict=True))
    found = minimize(
        target,
        clicks[chosen] / unit,
        jac=True,
        bounds=bounds,
        method="L-BFGS-B",
        options={"maxiter": 60},
    )
    clicks[chosen] = found.x * unit
    return clicks


def _worth(loss: Loss, clicks: Floats, costs: Costs) -> Floats:
    """(k,) what each control of a plan gains in it, the others moved to make up, less its cost."""
    squares = loss.squares_at(clicks)
    form = np.einsum("n,nkl->kl", bend(squares), loss.form_at(clicks))[1:, 1:]
    moved = np.flatnonzero(np.abs(clicks) > 0.3)
    worth = np.full(len(clicks), -np.inf)
    if moved.size:
        block = form[np.ix_(moved, moved)]
        inverse = np.linalg.pinv(block + 1e-9 * np.trace(block) / len(block) * np.eye(len(block)))
        gain = clicks[moved] ** 2 / np.maximum(np.diag(inverse), 1e-12)
        pages, counts = np.unique(costs.pages[moved], return_counts=True)
        shared = dict(zip(pages.tolist(), counts.tolist(), strict=True))
        each = np.array([shared[int(costs.pages[k])] for k in moved])
        cost = costs.further[moved] + (costs.page - costs.further)[moved] / each
        worth[moved] = gain - cost - costs.click[moved] * np.abs(clicks[moved])
    return worth


def _whole(loss: Loss, least: Floats, most: Floats, costs: Costs, clicks: Floats) -> Floats:
    """Whole clicks near these, one control after the other, as long as the loss falls."""
    found = np.clip(np.round(clicks), np.ceil(least), np.floor(most))
    steps = np.array([-3.0, -2.0, -1.0, 1.0, 2.0, 3.0])
    turned = np.flatnonzero(found)
    for _ in range(60):
        if not turned.size:
            break
        now = loss.at(found)
        after = loss.beside(found, steps)[turned] + 0.0
        there = found[turned, None] + steps
        inside = (there >= least[turned, None]) & (there <= most[turned, None])
        after += costs.click[turned, None] * (np.abs(there) - np.abs(found[turned, None]))
        after[~inside] = np.inf
        place = np.unravel_index(int(after.argmin()), after.shape)
        if after[place] >= now - 1e-6:
            break
        found[turned[place[0]]] += steps[place[1]]
    return found


def pages_of(keys: Sequence[object]) -> NDArray[np.intp]:
    """(k,) a number for each page, by what tells pages apart."""
    known: dict[object, int] = {}
    return np.array([known.setdefault(key, len(known)) for key in keys], np.intp)
