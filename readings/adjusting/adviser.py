"""The adviser: told of readings and turns, it says what to do next.

No clock and no window: who calls says when things happened. The same calls give the same advice, so
that an adjustment is taken up again by telling a new adviser all that was kept.

What it does is dual control: a turn both mends and teaches (B. Wittenmark, Adaptive Dual Control
Methods: An Overview, 1995, seen in excerpts). What a reading is worth is by how much it lessens the
expected error, as in sequential optimal design (X. Huan, J. Jagalur, Y. Marzouk, arXiv 2407.16212,
seen in excerpts).

Its constants are choices of our own, tried on simulated displays, but where a source is named.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.control import Control
from readings.adjusting.advice import (
    Advice,
    Believed,
    Ending,
    Look,
    Move,
    Noticed,
    Off,
    Stop,
    Turn,
)
from readings.adjusting.advice import What as NoticedWhat
from readings.adjusting.belief import SURPRISE, Belief, Posterior, Seen
from readings.adjusting.goal import Goal
from readings.adjusting.happened import Happened
from readings.adjusting.planning import (
    LIMIT,
    Costs,
    Loss,
    bend,
    of_lifted,
    one_page,
    pages_of,
    plan,
)
from readings.adjusting.trying import trials
from readings.evidence.repeatability import Repeatability

Floats = NDArray[np.float64]
Bounds = tuple[Floats, Floats]

NEAR, LEAST_GAIN = 2.0, 0.05
"""Loss, mean of the points, up to which a turn has to be worth its time alone, and share of what is
more that it has to gain, too: who is far off does not care for less."""
REACHED = 0.9
"""How likely it has to be that every point lies below the limit for it to count as reached."""
WORTH_TELLING = 0.15
"""Share of the loss that a plan has to gain for somebody to be asked whether to go on."""
LOOK_WORTH = 0.5
"""Share of what a reading makes known that will be mended after it."""
WELL_KNOWN = 0.3
"""Share of its effect on a point that may be unknown of a control that is known well there."""
LIFTED = 0.4
"""Delta E, as black counts, by which a turn has to lift it for it to be read at once."""
MOVED = 0.2
"""Delta E by which a turn has to move a point for it to be read once more before the end."""
LITTLE, EXPECTED_LEAST = 0.12, 0.35
"""Share of the least effect that is expected of a control, that is seen as none."""
STOPPED, MIDDLE = 0.35, 0.7
"""Share of what is expected of a raised gain that is seen as a ceiling at the top, where it does
more than that at this share of the top's signal."""
AS_GOOD = 0.6
"""Share of what a page gains by itself that it has to gain as part of a plan of all controls."""
SURE = 0.4
"""Share of an error that may be unknown when it is mended: a reading is quicker than a turn."""
AS_EXPECTED = 8.0
"""Squared distance of three numbers, in deviations, within which a reading is as expected: it is
so in 95 of 100 by chance."""
IN_TIME = 6
"""Turns that were seen at once after which a menu counts as one that does not act late."""
PATIENCE_TURNS, PATIENCE_SECONDS = 12, 300.0
"""Turns and seconds without getting nearer after which nothing is left: choices of our own."""
NEARER, WORSE = 0.97, 1.1
"""Share of the least loss so far that is nearer, and that is worth going back from."""
KNOWN = 0.25
"""Delta E of what is not known of a point, that is good enough to end with."""
MOST_LOOKS = 6
"""Readings of a point since it was moved after which one more makes hardly anything known."""
REFUTED = 0.05
"""How likely it is of a point, at most, that it lies below the limit where no reading of others is
worth its time any more."""
CLEARLY = 0.99
"""How likely it is that a point lies below the limit that is not read again for that."""
CLOSING_READINGS = 5
"""Readings at most, at the last settings, of a point that is too little known to be called done."""
DETOUR = 1.1
"""Share of the largest square of an error by which a turn makes it worse that is a detour."""
FAR = 3.0
"""Delta E from which on nobody says that a meter cannot tell it: plain to see, common practice."""
MOST_TRIES = 3
"""Turns of a control alone after which it is not tried any more."""
FIRST_POINTS = 2
"""Pages of points after whose first turn the greys beside are read, too."""
FRUITLESS = 5
"""Turns of a page without coming nearer after which it is left as it is."""
FARTHER = 3
"""How much farther a control is turned that showed nothing."""
HOPED = 0.5
"""Share of what is believed to be left from here that has to be left with a page as found for it to
be put back to that."""
HOPELESS = 2.5
"""Delta E above which the largest error has to be left by the best plan for that."""
LOOK_BACK = 4
"""Turns after which it is looked for whether a page is better put back."""
DRAWS = 400


@dataclass(frozen=True, slots=True)
class Pace:
    """What things take, seconds."""

    turn: float = 8.0
    """To find a control in the menu and to turn it."""
    page: float = 3.0
    """For each further control of the same page."""
    click: float = 0.15
    """For each click."""
    read: float = 4.0
    """To read a point, the settling of the picture among it."""


@dataclass(frozen=True, slots=True)
class _Share:
    """What a turn did, as share of what was expected of it, and how unsure that is."""

    ratio: float
    unsure: float


@dataclass(frozen=True, slots=True)
class _AtTurn:
    """What was believed before controls were turned, and what they were seen to do since."""

    clicks: Floats
    posterior: Posterior
    shares: dict[int, dict[int, _Share]]
    """Per control and point."""


@dataclass(frozen=True, slots=True)
class _Nearest:
    """The settings of least loss so far, and when they were."""

    clicks: Floats
    turns: int
    at: float


class Adviser:
    """Says which control to turn how far, from what readings and turns have shown.

    Args:
        controls: those that may be turned.
        goal: what is aimed at.
        meter: how its readings scatter; the usual where nobody knows.
        pace: what things take; may be replaced as they are seen to take more or less.
        price: what a second is worth, in squares of delta E: the higher, the sooner it ends.
    """

    def __init__(
        self,
        controls: Sequence[Control],
        goal: Goal,
        meter: Repeatability | None = None,
        pace: Pace | None = None,
        price: float = 0.03,
    ) -> None:
        self.controls = tuple(controls)
        self.goal = goal
        self.meter = meter or Repeatability()
        self.pace = pace or Pace()
        self.price = price
        self._least_gain = LEAST_GAIN
        self._belief = Belief(self.controls, goal)
        self._least = np.array([c.clicks(c.lowest) for c in self.controls])
        self._most = np.array([c.clicks(c.highest) for c in self.controls])
        self._out: set[int] = set()
        self._pages = pages_of([_page(control) for control in self.controls])
        self._told = Happened(self._belief, self._least, self._most, self._pages)
        self._last: dict[int, float] = {}
        """Delta E of the last reading of each point."""
        self._doubted: Seen | None = None
        """A reading that contradicts what was expected, and is to be read once more."""
        self._after: list[int] = []
        """Points to be read, since something was turned."""
        self._moved: set[int] = set()
        """Points that were moved since they were read last."""
        self._looks = np.zeros(len(goal.points), np.intp)
        """How often each point was read since it was moved."""
        self._at_turn: _AtTurn | None = None
        """What was believed before the last turn."""
        self._turn_was_read = False
        self._seen_to_work: set[int] = set()
        self._farther: dict[int, float] = {}
        """Controls that showed nothing, each with the clicks to try next."""
        self._first_share: dict[int, _Share] = {}
        self._noticed: list[Noticed] = []
        self._alone = np.zeros(len(self.controls), np.intp)
        """How often each control was turned alone."""
        self._beside_too = False
        """Whether the greys beside are read, too, after this turn."""
        self._points_turned: set[int] = set()
        """Pages of points that were turned, as long as nobody knows where they act."""
        self._fruitless = np.zeros(int(self._pages.max()) + 1, np.intp)
        """Turns of each page since one of it has come nearer."""
        self._last_page: int | None = None
        """The page that was turned last."""
        self._put_back_to: set[tuple[float, ...]] = set()
        """Settings (k,) that a page was put back to because more was hoped for from there."""
        self._held: frozenset[int] = frozenset()
        """Pages that were put back so, which stay until nothing else is worth doing."""
        self._acted_in_time = 0
        """How often the first reading after a turn has shown it."""
        self._turns = 0
        self._best: _Nearest | None = None
        self._said: Advice | None = None
        self._kept: tuple[object, Posterior] | None = None

    # ---- being told

    def read(self, point: int, xyz: ArrayLike, at: float) -> None:
        """A point was read: XYZ (3,) in cd/m2, at a time in seconds that never goes back."""
        self._told.at = at
        found = np.asarray(xyz, np.float64)
        seen = self._seen(point, found)
        self._said, self._turn_was_read = None, True
        if self._told.acts and point in self._after:
            as_expected = self._belief.surprise(seen) < AS_EXPECTED
            self._acted_in_time += as_expected and self._differs(seen)
            self._after.remove(point)
        surprising = len(self._last) == len(self.goal.points)
        surprising = surprising and self._belief.surprise(seen) > SURPRISE
        if surprising and self._doubted is None:
            self._doubted = seen
            return
        doubted, self._doubted = self._doubted, None
        if surprising and doubted is not None:
            seen = self._explained(doubted, seen)
        self._last[point] = self.goal.error(point, found)
        self._moved.discard(point)
        self._looks[point] += 1
        if len(self._told.turned) == 1:
            self._alone[self._told.turned] += 1
        self._told.take(seen)
        self._belief.add(seen)
        self._judge_turn(seen)
        if len(self._last) == len(self.goal.points) and not self._after:
            self._compare()

    @property
    def turn_unread(self) -> bool:
        """Whether something was turned and nothing was read since."""
        return self._at_turn is not None and not self._turn_was_read

    def expects(self, point: int, xyz: ArrayLike) -> bool:
        """Whether a reading (3,) after a turn is what was expected, and no longer what was before.

        Then no second one has to agree with it: the menu has acted. Never where it acts late.
        """
        if len(self._last) < len(self.goal.points) or self._told.lag:
            return False
        seen = self._seen(point, np.asarray(xyz, np.float64))
        as_expected = self._belief.surprise(seen) < AS_EXPECTED
        return as_expected and (self._acted_in_time >= IN_TIME or self._differs(seen))

    def _differs(self, seen: Seen) -> bool:
        """Whether a reading cannot be of what was set before the last turn."""
        before = replace(seen, clicks=self._told.before)
        return self._belief.surprise(before) > 2 * AS_EXPECTED

    def _explained(self, first: Seen, second: Seen) -> Seen:
        """A reading that was twice unlike what was expected, as it is taken then."""
        explained = self._told.explain(first, second)
        if explained.everywhere:
            self._moved |= set(range(len(self.goal.points))) - {second.point}
        if explained.late:
            self._after = self._after or [second.point]
        return explained.seen

    def turned(self, control: int, value: float, at: float) -> None:
        """The menu of a control reads a value now. Raises ValueError outside its range."""
        known = self.controls[control]
        if not known.lowest <= value <= known.highest:
            raise ValueError(
                f"{known.name} goes from {known.lowest:g} to {known.highest:g}, not to {value:g}"
            )
        self._told.at = at
        before = self._posterior() if self._last else None
        clicks = known.clicks(value) - self._told.clicks[control]
        self._told.turn(control, clicks, at)
        self._said = None
        if before is None or not clicks:
            return
        if self._at_turn is None or self._turn_was_read:
            self._turns += 1
            self._fruitless[self._pages[control]] += 1
            self._last_page = int(self._pages[control])
            now = self._told.clicks.copy()
            now[control] -= clicks
            self._at_turn, self._turn_was_read = _AtTurn(now, before, {}), False
            self._beside_too = self.controls[control].does == "point" and (
                self._pages[control] not in self._points_turned
                and len(self._points_turned) < FIRST_POINTS
            )
            if self._beside_too:
                self._points_turned.add(int(self._pages[control]))
        moves = before.effects @ (self._told.clicks - self._told.before)
        self._note_put_back(control, before, moves)
        size = np.sqrt(np.einsum("na,nab,nb->n", moves, self.goal.squares, moves))
        self._moved |= {int(j) for j in np.flatnonzero(size > MOVED)}
        self._looks[size > MOVED / 2] = 0
        if self.goal.points[0].black and moves[0].any():
            self._looks[0] = 0
        first, helped = int(size.argmax()), self._helped(before, moves)
        self._after = [helped] if self._knows(before, helped) else [first, helped]
        if self._lifts_black(before.drives, moves) or self._first_raised(control, clicks):
            self._after.append(0)
        if self._beside_too:
            self._after += self._beside(first)
        self._after = list(dict.fromkeys(self._after))

    def _note_put_back(self, control: int, before: Posterior, moves: Floats) -> None:
        """Hold a page that comes back to as found though that is worse at first."""
        page, now = int(self._pages[control]), self._told.clicks
        self._held -= {page}
        if page not in self._of_all or now[self._pages == page].any():
            return
        lit = [not point.black for point in self.goal.points]
        worst, then = (each[lit].max() for each in self._now_and_then(before, moves))
        if then > DETOUR * worst and tuple(now) not in self._put_back_to:
            self._put_back_to.add(tuple(now))
            self._held |= {page}
            if self._best is not None:
                self._best = replace(self._best, turns=self._turns, at=self._told.at)

    @cached_property
    def _of_all(self) -> set[int]:
        """Pages of controls that move all points."""
        some = [each.does != "point" and each.menu != "six-colour" for each in self.controls]
        return set(self._pages[some].tolist())

    def _knows(self, before: Posterior, point: int) -> bool:
        """Whether it was known well what each control that was turned does to a point."""
        form = self.goal.squares[point]
        for k in self._told.turned:
            effect, at = before.effects[point, :, k], slice(3 + 3 * k, 6 + 3 * k)
            unknown = float((before.joint[point][at, at] * form).sum())
            if unknown > WELL_KNOWN**2 * effect @ form @ effect:
                return False
        return True

    def _first_raised(self, control: int, clicks: float) -> bool:
        """Whether an offset was raised before it was seen what that does to black."""
        offsets = np.array([each.does == "offset" for each in self.controls])
        if not offsets[control] or clicks <= 0 or self._told.clicks[control] <= 0:
            return False
        seen = [each for each in self._belief.seen if each.point == 0]
        return self.goal.points[0].black and not any(
            each.clicks[offsets].max() > 0 for each in seen
        )

    def _lifts_black(self, drives: Floats, moves: Floats) -> bool:
        """Whether moves (n, 3) of the drives may have lifted black, so that it is to be read."""
        if not self.goal.points[0].black:
            return False
        before, after = (of_lifted(self.goal, each) for each in (drives[0], drives[0] + moves[0]))
        return bool(after - before > LIFTED)

    def _helped(self, before: Posterior, moves: Floats) -> int:
        """The point that moves (n, 3) of the drives were to bring nearest."""
        now, then = self._now_and_then(before, moves)
        return int((now - then).argmax())

    def _now_and_then(self, before: Posterior, moves: Floats) -> tuple[Floats, Floats]:
        """(n,) squares of what is believed of each point, and after moves (n, 3) of the drives."""
        off = before.drives - self.goal.wanted
        now = np.einsum("na,nab,nb->n", off, self.goal.squares, off)
        off = off + moves
        return now, np.einsum("na,nab,nb->n", off, self.goal.squares, off)

    def _beside(self, point: int) -> list[int]:
        """The greys next to one: not every menu's 50 % is the signal's."""
        near = [point + 1, point - 1]
        return [j for j in near if 0 < j < len(self.goal.points) and self.goal.points[j].grey]

    def leave_out(self, control: int, *, out: bool = True) -> None:
        """Leave a control as it is from now on, or take it in again."""
        (self._out.add if out else self._out.discard)(control)
        self._farther.pop(control, None)
        self._said = None

    def go_on(self) -> None:
        """Do not stop where the plan is not worth its time: somebody wants the rest too."""
        self.price /= 4
        self._least_gain /= 4
        self._best = _Nearest(self._told.clicks.copy(), self._turns, self._told.at)
        self._fruitless[:] = 0
        self._said = None

    # ---- saying

    @property
    def advice(self) -> Advice:
        """What to do now. The same until something is told."""
        if self._said is None:
            self._said = self._advice()
        return self._said

    @property
    def values(self) -> list[float]:
        """What each menu reads now, as far as is known."""
        pairs = zip(self.controls, self._told.clicks, strict=True)
        return [control.value(float(clicks)) for control, clicks in pairs]

    @property
    def believed(self) -> list[Believed]:
        """What is believed of each point; of those not read, from their neighbours."""
        posterior = self._posterior()
        found = []
        for j in range(len(self.goal.points)):
            error, spread = self._error(posterior, j)
            light = self.goal.channels(self.goal.light(posterior.drives[j]))
            read = None if j in self._moved else self._last.get(j)
            found.append(Believed(j, error, spread, self._shares(j, light), read))
        return found

    @property
    def noticed(self) -> list[Noticed]:
        """What was found out about controls, in the order in which it was."""
        return list(self._noticed)

    # ---- readings

    def _seen(self, point: int, xyz: Floats) -> Seen:
        drives = self.goal.drives(xyz)
        back = np.linalg.inv(self.goal.slopes(drives))
        return self._told.seen(point, drives, back @ self.meter.covariance(xyz) @ back.T)

    def _judge_turn(self, seen: Seen) -> None:
        """What the last turn did at a point, control by control, as share of what was expected."""
        before = self._at_turn
        if before is None:
            return
        delta = seen.clicks - before.clicks
        moved = [int(k) for k in np.flatnonzero(delta)]
        if not 1 <= len(moved) <= 3:
            return
        belief, part = self._belief, slice(3 * seen.point, 3 * seen.point + 3)
        sizes = np.array([belief.scales.of(self.controls[k].does).size for k in moved])
        means = np.stack([belief.means[k, seen.point] for k in moved], 1) * sizes * delta[moved]
        unlike = sum(
            belief.effects[k].shape[part, part] * (size * delta[k]) ** 2
            for k, size in zip(moved, sizes, strict=True)
        )
        noise = np.linalg.inv(seen.noise + before.posterior.spread[part, part] + unlike)
        form = means.T @ noise @ means
        if not np.isfinite(form).all() or np.linalg.cond(form) > 1e8:
            return
        spread = np.linalg.inv(form)
        ratios = spread @ means.T @ noise @ (seen.drives - before.posterior.drives[seen.point])
        sure = np.sqrt(np.diag(spread))
        for k, ratio, unsure in zip(moved, ratios, sure, strict=True):
            share = _Share(float(ratio), float(unsure))
            before.shares.setdefault(k, {})[seen.point] = share
            self._judge(k, share, float(delta[k]), seen.point)

    def _judge(self, k: int, share: _Share, clicks: float, point: int) -> None:
        control, ratio, unsure = self.controls[k], share.ratio, share.unsure
        if self._at_ceiling(k, clicks) is not False:
            return
        if unsure < EXPECTED_LEAST / 3 and abs(ratio) < LITTLE * EXPECTED_LEAST + unsure:
            if k in self._farther:
                del self._farther[k]
                self._notice(control, "no effect seen", point)
                self._out.add(k)
            elif k not in self._out and k not in self._seen_to_work:
                self._farther[k] = clicks * FARTHER
                self._first_share[k] = share
        elif k in self._farther:
            del self._farther[k]
            first = self._first_share[k]
            if abs(ratio) - 2 * unsure > 2.5 * (abs(first.ratio) + first.unsure):
                self._belief.uneven[k] = 5.0
                self._open(k, 2.0)
                self._notice(control, "dead zone", point)
        elif ratio + 4 * unsure < 0:
            self._open(k, 3.0)
        elif abs(ratio) > 4 * unsure:
            self._seen_to_work.add(k)
        self._look_whether_reversed(k)

    def _look_whether_reversed(self, k: int) -> None:
        control = self.controls[k]
        if control.does in ("preset", "hue"):
            return  # nobody can say which way is up
        size, spread = self._size_of(k)
        if size + 3 * spread < 0:
            self._notice(control, "reversed", None)

    def _size_of(self, k: int) -> tuple[float, float]:
        """What a click does where it acts most, share of what was supposed, and its deviation."""
        means = self._belief.means[k]
        j = int((means**2).sum(1).argmax())
        posterior = self._posterior()
        at = slice(3 + 3 * k, 6 + 3 * k)
        length = float(means[j] @ means[j])
        size = float(means[j] @ posterior.effects[j, :, k]) / length
        spread = float(means[j] @ posterior.joint[j][at, at] @ means[j])
        return size, float(np.sqrt(max(spread, 0.0))) / length

    def _open(self, k: int, by: float) -> None:
        self._belief.open[k] = max(self._belief.open[k], by)
        self._belief.forget()

    def _notice(self, control: Control, what: NoticedWhat, point: int | None) -> None:
        if not any(each.control == control and each.what == what for each in self._noticed):
            self._noticed.append(Noticed(control, what, point))

    def _at_ceiling(self, k: int, clicks: float) -> bool | None:
        """Whether a gain that was raised lifts the middle and no longer the top; None for perhaps.

        It is raised no more then, and what was read of the top with it above is forgotten: there
        clicks do not do what they do below.
        """
        before = self._at_turn
        if before is None or not self._lifts_white(k) or clicks <= 0:
            return False
        shares = before.shares[k]
        high, middle = len(self.goal.points) - 1, self._middle
        top = shares.get(high)
        if top is None or top.ratio - 2 * top.unsure > STOPPED or top.unsure > STOPPED:
            return False
        below = shares.get(middle)
        if below is None:
            self._after.append(middle)
            return None
        if below.ratio - 2 * below.unsure < max(1.5 * top.ratio, LITTLE):
            return False
        there = before.clicks[k] + np.floor(clicks * max(top.ratio / below.ratio, 0.0))
        self._most[k] = there
        highest = self.goal.points[high].signal[0]
        bright = {j for j, point in enumerate(self.goal.points) if point.signal[0] > 0.85 * highest}
        self._belief.drop(lambda seen: bool(seen.clicks[k] > there and seen.point in bright))
        self._notice(self.controls[k], "at its ceiling", high)
        return True

    def _lifts_white(self, k: int) -> bool:
        """Whether raising a control may drive white beyond full."""
        return self.controls[k].does == "gain"

    @property
    def _middle(self) -> int:
        """A grey that a gain moves and that lies well below white."""
        levels = [point.signal[0] if point.grey else -1.0 for point in self.goal.points]
        return int(np.abs(np.array(levels) - MIDDLE * levels[-1]).argmin())

    # ---- deciding

    def _posterior(self) -> Posterior:
        told = self._told
        key = self._belief.version, tuple(told.clicks), told.at, told.jumps
        if self._kept is None or self._kept[0] != key:
            self._kept = key, self._belief.posterior(told.clicks, told.at, told.jumps)
        return self._kept[1]

    def _bounds(self, held: frozenset[int] = frozenset()) -> Bounds:
        """Fewest and most clicks from now; a control above its ceiling has to come down.

        Pages that are held stay as they are.
        """
        least = np.ceil(self._least - self._told.clicks - 1e-9)
        most = np.floor(self._most - self._told.clicks + 1e-9)
        tired = self._fruitless >= FRUITLESS
        tired[list(held)] = True
        for k in self._out | {int(k) for k in np.flatnonzero(tired[self._pages])}:
            least[k] = most[k] = 0.0
        return np.minimum(least, 0), most

    def _least_rate(self, loss: Loss) -> float:
        """What has to be gained in a second: what one is worth, and more where much is left."""
        left = loss.at(np.zeros(len(self.controls))) - NEAR * len(self.goal.points)
        return max(self.price, self._least_gain * left / (self.pace.turn + self.pace.read))

    def _costs(self, price: float) -> Costs:
        count = len(self.controls)
        pace = self.pace
        return Costs(
            page=np.full(count, price * (pace.turn + pace.read)),
            further=np.full(count, price * pace.page),
            click=np.full(count, price * pace.click),
            pages=self._pages,
        )

    def _asked(self) -> Look | None:
        """What has to be read before anything can be decided."""
        unread = [j for j in range(len(self.goal.points)) if j not in self._last]
        if unread:
            return Look(unread[-1], "first")
        if self._doubted is not None:
            return Look(self._doubted.point, "again")
        if not self._after:
            return None
        early = self._turn_was_read and not self._told.acts
        return Look(self._after[0], "late" if early else "after")

    def _advice(self) -> Advice:
        asked = self._asked()
        if asked is not None:
            return asked
        posterior = self._posterior()
        loss = Loss(self.goal, posterior)
        nothing = np.zeros(len(self.controls))
        errors = np.sqrt(loss.squares_at(nothing))
        good = _reached(loss)
        if not good:
            next_one = self._next(loss, posterior, errors)
            if next_one is not None:
                return next_one
        closing = self._to_close(loss, errors)
        if closing is not None:
            return Look(closing, "closing")
        return self._stop("reached", posterior) if good else self._end(loss, posterior, errors)

    def _to_close(self, loss: Loss, errors: Floats) -> int | None:
        """A point to be read before it is called done: it was moved, or may be above the limit."""
        if self._moved:
            return max(self._moved, key=lambda j: errors[j])
        if self.goal.points[0].black and not self._looks[0]:
            return 0  # what offsets do to black, next to no light, nobody knows before
        if _reached(loss) or loss.below.min() < REFUTED:
            return None
        doubtful = (loss.unsure > KNOWN**2) & (self._looks < CLOSING_READINGS)
        below = np.where(doubtful, loss.below, 1.0)
        least = int(below.argmin())
        return least if below[least] < CLEARLY else None

    def _next(self, loss: Loss, posterior: Posterior, errors: Floats) -> Advice | None:
        """What is next where not all is well; None where nothing is worth doing."""
        if self._best is None:
            self._compare()
        best = self._best
        assert best is not None  # noqa: S101 - it was just found
        if self._turns - best.turns > PATIENCE_TURNS and self._told.at - best.at > PATIENCE_SECONDS:
            back = self._back_to(best, loss, posterior)
            return back or self._end(loss, posterior, errors, over=True)
        due = self._next_with(loss, posterior, errors, self._held)
        if due is None and self._held:
            due = self._next_with(loss, posterior, errors, frozenset())
        return due or self._back_to(best, loss, posterior)

    def _next_with(
        self, loss: Loss, posterior: Posterior, errors: Floats, held: frozenset[int]
    ) -> Turn | Look | None:
        """The same where some pages stay as they are."""
        bounds = self._bounds(held)
        above, early = errors.max() > LIMIT, self._turns % LOOK_BACK == 0
        due: Turn | Look | None = self._due(bounds, loss, posterior)
        if due is None and above and early:
            due = self._put_back(bounds, loss, posterior)
        due = due or self._worth_doing(bounds, loss, posterior, errors)
        if due is None and above and not early:
            due = self._put_back(bounds, loss, posterior)
        return due or (self._to_try(bounds, loss, posterior) if above else None)

    def _compare(self) -> None:
        """Whether these settings come nearer than all before, by what is believed of them now."""
        here = _Nearest(self._told.clicks.copy(), self._turns, self._told.at)
        if self._best is None:
            self._best = here
            return
        loss = Loss(self.goal, self._posterior())
        now = loss.as_believed(np.zeros(len(self.controls)))
        if now < NEARER * loss.as_believed(self._best.clicks - self._told.clicks):
            self._best = here
            if self._last_page is not None:
                self._fruitless[self._last_page] = 0

    def _back_to(self, best: _Nearest, loss: Loss, posterior: Posterior) -> Turn | None:
        """A page to be put back to where it was when all was nearest; None where all are, or where
        that was no nearer."""
        back = best.clicks - self._told.clicks
        back[list(self._out)] = 0.0
        there, now = loss.as_believed(back), loss.as_believed(np.zeros(len(back)))
        if not back.any() or there * WORSE >= now:
            return None
        page = self._pages[np.flatnonzero(back)[0]]
        return self._turn(loss, posterior, np.where(self._pages == page, back, 0.0), back)

    def _put_back(self, bounds: Bounds, loss: Loss, posterior: Posterior) -> Turn | None:
        """A page put back to as found, where more is hoped for from there.

        Hoped for is what is believed, however unsure: readings on the way will tell. A form about
        the present settings says little of what lies a large change away; the belief does, since
        something was read there.
        """
        now, costs = self._told.clicks, self._costs(self.price)
        least, most = bounds
        here = plan(loss, least, most, costs)
        if np.sqrt(loss.squares_at(here).max()) <= HOPELESS:
            return None
        ways = [np.where(self._pages == page, -now, 0.0) for page in sorted(self._of_all)]
        found: list[tuple[float, Floats, Floats, Posterior]] = []
        for back in ways:
            inside = ((back >= least) & (back <= most)).all()
            if not back.any() or not inside or tuple(now + back) in self._put_back_to:
                continue
            there = self._belief.posterior(now + back, self._told.at, self._told.jumps)
            its = Loss(self.goal, there)
            rest = plan(its, np.minimum(least - back, 0), most - back, costs)
            left = its.as_believed(rest) + costs.of(rest) + costs.of(back)
            found.append((left, back, rest, there))
        if not found:
            return None
        hoped, back, rest, there = min(found, key=lambda each: each[0])
        if hoped > HOPED * (loss.as_believed(here) + costs.of(here)):
            return None
        return self._turn(loss, posterior, back, back + rest, there=there)

    def _due(self, bounds: Bounds, loss: Loss, posterior: Posterior) -> Turn | None:
        """A control that has to come down from above its ceiling, or is to be tried farther."""
        least, most = bounds
        above = np.flatnonzero(most < 0)
        if not above.size:
            return self._try_farther(bounds, loss, posterior)
        page = np.flatnonzero(self._pages == self._pages[above[0]])
        part = one_page(loss, least, most, self._costs(self.price), page)
        return self._turn(loss, posterior, part, part)

    def _worth_doing(
        self, bounds: Bounds, loss: Loss, posterior: Posterior, errors: Floats
    ) -> Turn | Look | None:
        """The turn or the reading that gains most in a second; None where none is worth it."""
        look, look_rate = self._best_look(loss, posterior)
        enough = self._least_rate(loss)
        best, rate = self._best_bundle(bounds, loss, enough)
        if rate > max(look_rate, enough):
            turn = self._turn(loss, posterior, self._first_page(loss, best), best)
            j = turn.look_at
            unsure = float(np.sqrt(loss.unsure[j]))
            first_look = unsure > max(SURE * errors[j], MOVED) and look_rate > enough
            return Look(j, "unsure") if first_look else turn
        return Look(look, "unsure") if look_rate > enough else None

    def _to_try(self, bounds: Bounds, loss: Loss, posterior: Posterior) -> Turn | None:
        """A control turned alone to learn what it does, where that is worth its time."""
        noise = np.array([self._noise_of(drives) for drives in posterior.drives])
        scatter = np.sqrt(np.einsum("nab,nba->n", loss.squares, noise))
        for trial in trials(self.goal, posterior, loss, *bounds, scatter):
            k = trial.control
            if self._alone[k] >= MOST_TRIES:
                continue
            part = np.zeros(len(self.controls))
            part[k] = trial.clicks
            if trial.gain <= 2 * self.price * self._seconds(part):
                continue
            return self._turn(loss, posterior, part, part, trial=True)
        return None

    def _best_bundle(self, bounds: Bounds, loss: Loss, enough: float) -> tuple[Floats, float]:
        """The clicks that gain most in a second, and what they gain.

        One page alone; the few controls that move all points together; all of them where nothing
        less is worth its time. Gains are raised above what was found only where nothing else is.
        """
        nothing = np.zeros(len(self.controls))
        now = loss.at(nothing)
        least, most = bounds
        lifts = np.array([self._lifts_white(k) for k in range(len(self.controls))])
        held = np.where(lifts, np.minimum(most, np.maximum(-self._told.clicks, 0)), most)
        coarse = np.array([control.does != "point" for control in self.controls])
        costs = self._costs(self.price)

        def rated(clicks: Floats) -> tuple[Floats, float]:
            gain = now - loss.at(clicks)
            return clicks, gain / self._seconds(clicks) if clicks.any() else 0.0

        best, rate = nothing, 0.0
        for top in (held, most):
            found = [
                rated(one_page(loss, least, top, costs, np.flatnonzero(self._pages == page)))
                for page in range(int(self._pages.max()) + 1)
            ]
            if len(set(self._pages[coarse].tolist())) > 1:
                low, high = np.where(coarse, least, 0), np.where(coarse, top, 0)
                found.append(rated(plan(loss, low, high, costs)))
            best, rate = max(found, key=lambda each: each[1])
            if rate > enough:
                whole = plan(loss, least, top, costs)
                return self._as_in_all((best, rate), max(AS_GOOD * rate, enough), whole, rated)
        wide, wide_rate = rated(plan(loss, least, most, costs))
        return (wide, wide_rate) if wide_rate > rate else (best, rate)

    def _as_in_all(
        self,
        best: tuple[Floats, float],
        enough: float,
        whole: Floats,
        rated: Callable[[Floats], tuple[Floats, float]],
    ) -> tuple[Floats, float]:
        """The same pages turned as in a plan of all controls, where that gains nearly as much: by
        itself a page goes too far, to make up for what others would mend."""
        pages = np.unique(self._pages[np.flatnonzero(best[0])])
        part = rated(np.where(np.isin(self._pages, pages), whole, 0.0))
        return part if part[1] > enough else best

    def _first_page(self, loss: Loss, bundle: Floats) -> Floats:
        """The page of a bundle to begin with: the one that gains most for its time by itself."""
        now = loss.at(np.zeros(len(bundle)))
        parts = [
            np.where(self._pages == page, bundle, 0.0)
            for page in np.unique(self._pages[np.flatnonzero(bundle)])
        ]
        return max(parts, key=lambda part: (now - loss.at(part)) / self._seconds(part))

    def _try_farther(self, bounds: Bounds, loss: Loss, posterior: Posterior) -> Turn | None:
        least, most = bounds
        for k, clicks in self._farther.items():
            moved = np.zeros(len(self.controls))
            moved[k] = np.clip(clicks, least[k], most[k])
            if moved[k]:
                return self._turn(loss, posterior, moved, moved, trial=True)
        return None

    def _seconds(self, clicks: Floats) -> float:
        """What turning these takes, with a reading for each page."""
        turned = np.flatnonzero(clicks)
        pages = len(set(self._pages[turned].tolist()))
        pace = self.pace
        further = pace.page * (len(turned) - pages) + pace.click * float(np.abs(clicks).sum())
        return pages * (pace.turn + pace.read) + further

    def _turn(
        self,
        loss: Loss,
        posterior: Posterior,
        part: Floats,
        whole: Floats,
        *,
        trial: bool = False,
        there: Posterior | None = None,
    ) -> Turn:
        """A turn of a part of what is planned; `there` is what is believed of where it leads."""
        nothing = np.zeros(len(part))
        now, then, last = (loss.squares_at(clicks) for clicks in (nothing, part, whole))
        moved = np.einsum("nck,k->nc", posterior.effects, part)
        if there is not None:
            moved, its = there.drives - posterior.drives, Loss(self.goal, there)
            then, last = its.squares_at(nothing), its.squares_at(whole - part)
        size = np.sqrt(np.einsum("na,nab,nb->n", moved, self.goal.squares, moved))
        helped = int((now - then).argmax())
        look = helped if not trial else int(size.argmax())
        light = self.goal.channels(self.goal.light(posterior.drives[helped]))
        off = np.array(self._shares(helped, light)) - 1
        expected = tuple(
            (int(j), self._shares(int(j), self._channels(posterior.drives[j] + moved[j])))
            for j in np.flatnonzero(size > 0.02)
        )
        turned = np.flatnonzero(part)
        return Turn(
            moves=tuple(self._move(int(k), float(part[k])) for k in turned),
            off=Off(helped, float(off[0]), float(off[1]), float(off[2])),
            trial=trial,
            detour=bool(then.max() > DETOUR * now.max()),
            look_at=look,
            before=float(np.sqrt(now.max())),
            after=float(np.sqrt(last.max())),
            seconds=self._seconds(part),
            seconds_to_go=self._seconds(whole),
            changes_to_go=int(np.count_nonzero(whole)),
            expected=expected,
        )

    def _move(self, k: int, clicks: float) -> Move:
        control = self.controls[k]
        now = control.value(float(self._told.clicks[k]))
        return Move(k, now, control.value(float(self._told.clicks[k]) + clicks))

    def _best_look(self, loss: Loss, posterior: Posterior) -> tuple[int, float]:
        """The point whose reading makes most known in a second, and how much."""
        n = len(self.goal.points)
        squares = loss.squares_at(np.zeros(len(self.controls)))
        weights = bend(squares)
        spread = posterior.spread.reshape(n, 3, n, 3)
        mending = self.price * (self.pace.turn + self.pace.page + self.pace.read)
        best, most = 0, 0.0
        for j in np.flatnonzero(self._looks < MOST_LOOKS):
            noise = self._noise_of(posterior.drives[j])
            seen = spread[:, :, j]
            gain = np.einsum("nca,ab,ndb->ncd", seen, np.linalg.inv(spread[j, :, j] + noise), seen)
            known = weights * np.einsum("ncd,ncd->n", gain, loss.squares)
            # what is known and not mended is worth nothing, and mending takes a turn
            rate = float(np.maximum(LOOK_WORTH * (known - mending), 0).sum()) / self.pace.read
            if rate > most:
                best, most = int(j), rate
        return best, most

    def _noise_of(self, drives: Floats) -> Floats:
        """(3, 3) covariance of a reading's drives."""
        back = np.linalg.inv(self.goal.slopes(drives))
        return np.asarray(back @ self.meter.covariance(self.goal.light(drives)) @ back.T)

    def _end(self, loss: Loss, posterior: Posterior, errors: Floats, *, over: bool = False) -> Stop:
        """Why nothing more is advised; `over` where it was tried and came no nearer."""
        nothing = np.zeros(len(self.controls))
        longer = plan(loss, *self._bounds(), self._costs(self.price / 10))
        gain = (loss.at(nothing) - loss.at(longer)) / max(loss.at(nothing), 1e-9)
        worst = int(errors.argmax())
        if gain > WORTH_TELLING and not over:
            more = float(np.sqrt(loss.squares_at(longer).max()))
            return self._stop("not worth the time", posterior, more, self._seconds(longer))
        unsure = loss.unsure[worst] > 0.5 * errors[worst] ** 2 and errors[worst] < FAR
        return self._stop("within the meter" if unsure else "nothing left", posterior)

    def _stop(
        self,
        why: Ending,
        posterior: Posterior,
        more: float | None = None,
        seconds: float | None = None,
    ) -> Stop:
        all_of_them = [self._error(posterior, j) for j in range(len(self.goal.points))]
        largest, spread = max(
            each
            for each, point in zip(all_of_them, self.goal.points, strict=True)
            if not point.black or len(self.goal.points) == 1
        )
        return Stop(why, largest, spread, more, seconds)

    # ---- in figures for people

    def _error(self, posterior: Posterior, point: int) -> tuple[float, float]:
        """Delta E of a point as believed, and how far the true one may be from it (k = 2).

        Of black it is what being lifted counts (`of_lifted`).
        """
        part = slice(3 * point, 3 * point + 3)
        values, vectors = np.linalg.eigh(posterior.spread[part, part])
        draws = _DRAWS @ (vectors * np.sqrt(np.maximum(values, 0))).T + posterior.drives[point]
        if self.goal.points[point].black:
            errors = of_lifted(self.goal, draws, point)
        else:
            errors = self.goal.errors(self.goal.light(draws)[:, None], [point])[:, 0]
        middle = float(np.median(errors))
        low, high = np.quantile(errors, [0.0228, 0.9772])
        return middle, float(max(high - middle, middle - low))

    def _channels(self, drives: Floats) -> Floats:
        return self.goal.channels(self.goal.light(drives))

    def _shares(self, point: int, light: Floats) -> tuple[float, float, float]:
        """Light of the channels, share of what is wanted; of black, 1 and more is the same plus."""
        wanted = self._channels(self.goal.wanted[point])
        floor = 1e-3
        red, green, blue = (light + floor) / (wanted + floor)
        return float(red), float(green), float(blue)


_DRAWS = np.random.default_rng(20401).standard_normal((DRAWS, 3))


def _reached(loss: Loss) -> bool:
    """Whether every point is below the limit, as far as anybody can tell."""
    return float(loss.below.prod()) > REACHED


def _page(control: Control) -> object:
    """What is turned together: the channels of one kind, of one level, of one colour."""
    if control.menu == "six-colour":
        return control.menu, control.channel
    return control.does, control.level
