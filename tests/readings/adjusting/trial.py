"""Trials: an adviser and its rivals against invented displays, with a clock that they share.

From the root of the source, for 40 displays of each menu from seed 5000 on, two processes:

    OPENBLAS_NUM_THREADS=1 PYTHONPATH=$PWD python tests/readings/adjusting/trial.py \
        --displays 40 --seed 5000

`--menu ten-point` takes one menu only, `--who adviser` one way only, `--meter noisy` a meter three
times noisier, `--slips 0.05` lets the person slip, `--each` prints a line for each trial.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from multiprocessing import Pool
from time import process_time

import numpy as np
from numpy.typing import NDArray

from readings.adjusting.advice import Look, Noticed, Stop, Turn
from readings.adjusting.adviser import Adviser, Pace
from readings.evidence.repeatability import Repeatability
from tests.readings.adjusting.displays import MENUS, display_of
from tests.readings.adjusting.goals import goal_of, reachable
from tests.readings.adjusting.hands import HANDS
from tests.readings.adjusting.session import (
    AGAIN,
    CLICK_SECONDS,
    MeterNoise,
    Session,
    TimeIsUpError,
)

Floats = NDArray[np.float64]

ADVISER = "adviser"
WAYS = (ADVISER, *HANDS)
LIMIT = 1.0
"""Delta E that is to be reached at every point."""
REACH = 0.95
"""What a search must have reached for a display to count among those where it can be."""
METERS = {
    "usual": MeterNoise(),
    "noisy": MeterNoise(relative=0.015, chromaticity=0.0021, floor=0.006),
    "off": MeterNoise(factor=1.02, off=(0.003, -0.002)),
}
MOST_ADVICE = 3000
HEAD = (
    "menu          nasty who               n can   below 1  near best   largest end    minutes"
    "  changes readings wrong  k=2 way/end slowest"
)


@dataclass
class Trial:
    """What came of one display in one way."""

    who: str
    menu: str
    seed: int
    kinds: tuple[str, ...]
    found: float
    """Largest delta E as found, true light."""
    best: float
    """And the least that a search with full knowledge reached."""
    largest: float = np.nan
    """At the end."""
    warm: float = np.nan
    """The same, hours later."""
    minutes: float = np.nan
    changes: int = 0
    readings: int = 0
    why: str = ""
    moves: int = 0
    """That an adviser gave to come nearer, neither trials nor the start of a detour."""
    wrong: int = 0
    """Those of them of the wrong sign."""
    trials: int = 0
    wrong_trials: int = 0
    believed: int = 0
    """How often an adviser's belief of a point was compared with the truth on the way."""
    held: int = 0
    end_believed: int = 0
    end_held: int = 0
    slowest: float = 0.0
    """The longest advice, seconds of processor."""
    told: float = 0.0
    """The longest that a reading took which it was told, seconds of processor."""
    processor: float = 0.0
    slips: int = 0
    noticed: list[str] = field(default_factory=list)
    """What an adviser found out about controls, and whether it is so."""
    noticed_right: int = 0
    spoilt: int = 0
    """Controls with a fault of their own."""

    @property
    def can(self) -> bool:
        """Whether the limit can be reached at all."""
        return self.best < REACH

    @property
    def reached(self) -> bool:
        return self.largest < LIMIT


def session_of(
    seed: int, menu: str, nasty: bool | None, meter: MeterNoise, slips: float, limit: float
) -> Session:
    """A display with what is asked of it, and a person with a clock."""
    display = display_of(seed, menu, nasty)
    chance = np.random.default_rng([seed, 5])
    return Session(display, goal_of(display, seed), chance, meter, slips, limit)


def trial(
    who: str,
    seed: int,
    menu: str,
    nasty: bool | None = None,
    meter: MeterNoise = METERS["usual"],
    slips: float = 0.0,
    limit: float = 3600.0,
    best: float | None = None,
) -> Trial:
    """Play one way against one display; the best that a search reaches may be known."""
    session = session_of(seed, menu, nasty, meter, slips, limit)
    display, goal = session.display, session.goal
    found = float(session.errors().max())
    if best is None:
        best = reachable(display, goal, restarts=0).largest
    its = Trial(who, menu, seed, tuple(sorted(display.kinds)), found, best)
    start = process_time()
    its.why = _advised(session, its) if who == ADVISER else HANDS[who](session).run()
    its.processor = process_time() - start
    its.largest = float(session.errors().max())
    values = display.menu_values
    its.warm = float(goal.errors(display.xyz_at(values, session.signals)).max())
    its.minutes = session.clock / 60
    its.changes, its.readings = session.changes, session.readings
    its.slips = len(session.slipped)
    return its


def _advised(session: Session, its: Trial) -> str:
    """Do what an adviser says. Why it ended."""
    display, meter = session.display, session.meter
    adviser = Adviser(
        display.controls,
        session.goal,
        Repeatability(*meter.scatter),
        Pace(
            turn=display.turn_seconds,
            page=AGAIN * display.turn_seconds,
            click=CLICK_SECONDS,
            read=display.read_seconds,
        ),
    )
    why = "too much advice"
    try:
        for count in range(MOST_ADVICE):
            before = process_time()
            advice = adviser.advice
            its.slowest = max(its.slowest, process_time() - before)
            if isinstance(advice, Stop):
                why = advice.why
                break
            if count % 8 == 7:
                believed, held = _held(adviser, session)
                its.believed, its.held = its.believed + believed, its.held + held
            if isinstance(advice, Look):
                light = _read(adviser, advice, session)
                before = process_time()
                adviser.read(advice.point, light, session.clock)
                its.told = max(its.told, process_time() - before)
            else:
                _judge(advice, session, its)
                for move in advice.moves:
                    told = session.turn(move.control, move.to)
                    adviser.turned(move.control, told, session.clock)
    except TimeIsUpError:
        why = "time is up"
    its.end_believed, its.end_held = _held(adviser, session)
    for each in adviser.noticed:
        so = _so(each, session)
        its.noticed.append(f"{each.what}: {each.control.name}{'' if so else ' (not so)'}")
        its.noticed_right += so
    its.spoilt = len(display.spoilt)
    return why


def _read(adviser: Adviser, look: Look, session: Session) -> Floats:
    """Read; after a turn until it is what was expected or two agree, since a menu may lag."""
    point = look.point
    before = session.read(point)
    for _ in range(4):
        if not adviser.turn_unread or adviser.expects(point, before):
            return before
        light = session.read(point)
        spread = Repeatability(*session.meter.scatter).covariance(light)
        if (np.abs(light - before) <= 2 * np.sqrt(2 * np.diag(spread))).all():
            break
        before = light
    return light


def _so(noticed: Noticed, session: Session) -> bool:
    """Whether it is so what was found out about a control."""
    display = session.display
    one = [control.name for control in display.controls].index(noticed.control.name)
    if noticed.what == "no effect seen":
        its, now = display.controls[one], list(display.menu_values)
        ways = [list(now), list(now), list(now)]
        ways[1][one] = min(now[one] + 6 * its.step, its.highest)
        ways[2][one] = max(now[one] - 6 * its.step, its.lowest)
        light = np.stack([display.xyz_at(way, session.signals) for way in ways])
        moved = np.abs(light[1:] / np.maximum(light[0], 1e-3) - 1).max((0, 2))
        return bool((moved if noticed.point is None else moved[noticed.point]).max() < 0.01)
    if noticed.what == "at its ceiling":
        return bool(display.kinds & {"ceiling", "power limit", "folds back"})
    return display.spoilt.get(one) == noticed.what


def _held(adviser: object, session: Session) -> tuple[int, int]:
    """Of how many points something is believed, and of how many the truth is within k = 2."""
    truth = session.errors()
    all_of = adviser.believed  # type: ignore[attr-defined]
    held = [abs(truth[each.point] - each.error) <= each.spread for each in all_of]
    return len(held), sum(held)


def _judge(turn: Turn, session: Session, its: Trial) -> None:
    """Count moves of the wrong sign: worse than nothing where the opposite would be better."""
    display, goal, at = session.display, session.goal, session.clock
    values = list(display.menu_values)
    for move in turn.moves:
        values[move.control] = move.to
    for move in turn.moves:
        its_values = [list(values) for _ in range(3)]
        now = display.menu_values[move.control]
        its_values[1][move.control] = now
        its_values[2][move.control] = 2 * now - move.to
        light = np.stack([display.xyz_at(each, session.signals, at) for each in its_values])
        moved = np.abs(light[0] - light[1]).max(1) > 1e-3 * light[1].max(1)
        done, stay, opposite = (goal.errors(light) ** 2 * moved).sum(1)
        wrong = bool(done > stay > opposite)
        if turn.trial:
            its.trials, its.wrong_trials = its.trials + 1, its.wrong_trials + wrong
        elif not turn.detour:
            its.moves, its.wrong = its.moves + 1, its.wrong + wrong


def campaign(
    displays: int,
    seed: int,
    menus: Iterable[str] = MENUS,
    ways: Iterable[str] = WAYS,
    meter: MeterNoise = METERS["usual"],
    slips: float = 0.0,
) -> Iterator[Trial]:
    """Trials of displays of each menu from a seed on, in every way; over two processes."""
    what = [(menu, one) for one in range(seed, seed + displays) for menu in menus]
    with Pool(2) as pool:
        one = partial(_one, ways=tuple(ways), meter=meter, slips=slips)
        yield from chain.from_iterable(pool.imap_unordered(one, what))


def _one(
    what: tuple[str, int], ways: Sequence[str], meter: MeterNoise, slips: float
) -> list[Trial]:
    menu, seed = what
    display = display_of(seed, menu)
    best = reachable(display, goal_of(display, seed), restarts=0).largest
    return [trial(who, seed, menu, None, meter, slips, best=best) for who in ways]


def table(trials: Sequence[Trial]) -> str:
    """The figures by menu, nasty or not, and way."""
    lines = [HEAD]
    keys = sorted({(MENUS.index(t.menu), bool(t.kinds), WAYS.index(t.who)) for t in trials})
    for menu, nasty, who in keys:
        some = [
            t for t in trials if (t.menu, bool(t.kinds), t.who) == (MENUS[menu], nasty, WAYS[who])
        ]
        lines.append(f"{MENUS[menu]:13} {'yes' if nasty else 'no':5} {WAYS[who]:15} {_row(some)}")
    for who in sorted({WAYS.index(t.who) for t in trials}):
        some = [t for t in trials if t.who == WAYS[who]]
        lines.append(f"all           all   {WAYS[who]:15} {_row(some)}")
        lines.append(f"  ended: {dict(Counter(t.why for t in some).most_common())}")
        for why in sorted({t.why for t in some}):
            so = [t for t in some if t.why == why]
            lines.append(f"  {why}: below {LIMIT:g} in {_share(t.reached for t in so)}")
        if any(t.noticed for t in some):
            right, all_of = sum(t.noticed_right for t in some), sum(len(t.noticed) for t in some)
            there = sum(t.spoilt for t in some)
            lines.append(f"  noticed: {all_of}, so in {right}; controls with a fault: {there}")
        if tried := sum(t.trials for t in some):
            lines.append(f"  trials: {tried}, wrong in {sum(t.wrong_trials for t in some)}")
    return "\n".join(lines)


def _row(some: Sequence[Trial]) -> str:
    can = [t for t in some if t.can]
    near = _share(t.largest < max(t.best + 0.3, 0.0) for t in some)
    moves, believed = sum(t.moves for t in some), sum(t.believed for t in some)
    ends = sum(t.end_believed for t in some)
    wrong = f"{sum(t.wrong for t in some) / moves:.1%}" if moves else "-"
    held = f"{sum(t.held for t in some) / believed:.0%}" if believed else "-"
    end_held = f"{sum(t.end_held for t in some) / ends:.0%}" if ends else "-"
    return (
        f"{len(some):3d} {len(can):3d} {_share(t.reached for t in can):>9} {near:>10}  "
        f"{_spread(t.largest for t in some):>12} {_spread(t.minutes for t in some):>10} "
        f"{np.median([t.changes for t in some]):8.0f} {np.median([t.readings for t in some]):8.0f} "
        f"{wrong:>5} {held:>6}/{end_held:<5} {max(t.slowest for t in some):7.2f}"
    )


def _share(of: Iterable[bool]) -> str:
    all_of = list(of)
    return f"{np.mean(all_of):.0%}" if all_of else "-"


def _spread(of: Iterable[float]) -> str:
    middle, high = np.quantile(list(of), [0.5, 0.9])
    return f"{middle:.2f}/{high:.2f}" if high < 20 else f"{middle:.1f}/{high:.1f}"


def line(its: Trial) -> str:
    """One trial."""
    return (
        f"{its.menu:13} {its.seed} {its.who:14} found {its.found:5.1f} best {its.best:5.2f} "
        f"end {its.largest:5.2f} warm {its.warm:5.2f} {its.minutes:5.1f} min {its.changes:3d} "
        f"changes {its.readings:3d} readings wrong {its.wrong}/{its.moves} held "
        f"{its.end_held}/{its.end_believed} {its.processor:5.1f} s {its.why} "
        f"({', '.join(its.kinds) or 'plain'}) {'; '.join(its.noticed)}"
    )


def _main() -> None:
    asked = argparse.ArgumentParser(description="Trials of adjusting invented displays.")
    asked.add_argument("--displays", type=int, default=20)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--menu", choices=MENUS, action="append")
    asked.add_argument("--who", choices=WAYS, action="append")
    asked.add_argument("--meter", choices=METERS, default="usual")
    asked.add_argument("--slips", type=float, default=0.0)
    asked.add_argument("--each", action="store_true")
    given = asked.parse_args()
    trials = []
    for each in campaign(
        given.displays,
        given.seed,
        given.menu or MENUS,
        given.who or WAYS,
        METERS[given.meter],
        given.slips,
    ):
        trials.append(each)
        if given.each:
            print(line(each), flush=True)  # noqa: T201 - what it is for
    print(table(trials))  # noqa: T201


if __name__ == "__main__":
    _main()
