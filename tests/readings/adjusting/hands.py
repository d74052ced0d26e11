"""Ways in which people adjust a display without an adviser, and plain Broyden.

All of them see readings as a meter's screen shows them: red, green and blue as shares of what is
wanted, and the delta E of a point; no hand knows what a display is made of.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from patterns.control import PRIMARIES, Control
from readings.colorimetry.difference import lightness_chroma_hue
from tests.readings.adjusting.session import Session, TimeIsUpError

Floats = NDArray[np.float64]
ENOUGH = 0.8
"""Delta E as read below which people leave a point as it is."""


def shares(session: Session, point: int, xyz: Floats) -> Floats:
    """Red, green, blue (3,) of a reading less what is wanted, share of that."""
    to_rgb = np.linalg.inv(session.goal.matrix)
    wanted = to_rgb @ session.goal.xyz[point]
    return np.asarray((to_rgb @ xyz) / np.maximum(wanted, 1e-6) - 1)


class Person:
    """What every hand can do: read, turn by clicks, find controls and points, go back."""

    def __init__(self, session: Session) -> None:
        self.session, self.goal = session, session.goal
        self.controls = session.display.controls
        self.values = [control.found for control in self.controls]
        self.levels = session.signals.mean(-1)
        self.top = float(self.levels.max())
        # who sees numbers dance takes a few of them
        self.average = 1 + round(3 * min(session.meter.chromaticity / 0.002, 1))
        self.best: tuple[float, list[float]] | None = None

    def run(self) -> str:
        """Adjust. Why it ended."""
        try:
            why = self.work()
        except TimeIsUpError:
            why = "time is up"
        self.session.limit = np.inf
        self.go_back()
        return why

    def work(self) -> str:
        raise NotImplementedError

    def look(self, point: int) -> Floats:
        """The mean (3,) of a few readings of a point, once the picture stands still."""
        self.session.settle()
        return np.asarray(np.mean([self.session.read(point) for _ in range(self.average)], 0))

    def click(self, control: int, clicks: float) -> int:
        """Turn by whole clicks within the range. How many were made."""
        its = self.controls[control]
        to = min(max(self.values[control] + round(clicks) * its.step, its.lowest), its.highest)
        made = round((to - self.values[control]) / its.step)
        if made:
            self.values[control] = self.session.turn(control, to)
        return made

    def put(self, values: list[float], which: Iterable[int] | None = None) -> None:
        """Put controls back to what they were at."""
        for control in range(len(values)) if which is None else which:
            if self.values[control] != values[control]:
                self.values[control] = self.session.turn(control, values[control])

    def find(self, does: str, channel: str | None = None, level: float | None = None) -> int | None:
        for i, control in enumerate(self.controls):
            if (control.does, control.channel, control.level) == (does, channel, level):
                return i
        return None

    def nearest(self, level: float) -> int:
        """The point nearest to a level of 0 to 1, black aside."""
        away = np.abs(self.levels - level) + (self.levels == 0)
        return int(away.argmin())

    def error(self, point: int, xyz: Floats) -> float:
        return self.goal.error(point, xyz)

    def all_good(self) -> bool:
        """Read every point; whether all are good. The best of such is kept in mind."""
        errors = [self.error(p, self.look(p)) for p in range(len(self.goal.points))]
        self.keep(max(errors))
        return max(errors) < 1.0

    def keep(self, largest: float) -> None:
        self.last = largest
        if self.best is None or largest < self.best[0]:
            self.best = largest, list(self.values)

    def go_back(self) -> None:
        """To the best that was seen, where the last that was seen is clearly worse."""
        if self.best is not None and (self.last > self.best[0] + 0.3 or self.unfinished()):
            self.put(self.best[1])

    def unfinished(self) -> bool:
        """Whether the time ended in the middle of something that leaves the picture worse."""
        return False

    @property
    def stops(self) -> list[float]:
        """Levels of a multi-point control that act on what is read, from the top."""
        levels = {c.level for c in self.controls if c.level is not None}
        return sorted((each for each in levels if each / 100 <= self.top + 0.06), reverse=True)


class SkilledPerson(Person):
    """Judges sizes from what turning did before; gains and offsets by turns, then from the top
    to the bottom, three times."""

    PASSES = 3
    USUAL: ClassVar[dict[str, float]] = {
        "gain": 0.012,
        "offset": 0.03,
        "point": 0.012,
        "backlight": 0.01,
        "preset": -0.06,
    }
    """What a click is expected to do to the light of 50 % before it was seen."""
    TOUCH = 3
    """Clicks at most, of a control whose effect was not seen yet."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.effect: dict[int, float] = {}

    def work(self) -> str:
        if self.all_good():
            return "all good"
        work = self.colours if self.controls[0].menu == "six-colour" else self.greys
        for _ in range(self.PASSES):
            work()
            if self.all_good():
                return "all good"
        return "three times through"

    def greys(self) -> None:
        light, curve = self.find("backlight"), self.find("preset")
        if light is not None:
            self.settle(light, self.nearest(self.top), 0.01)
        if curve is not None:
            self.settle(curve, self.nearest(0.5 * self.top), 0.06)
        for level in (1.0, 0.8):
            self.balance("gain", self.nearest(level * self.top), 5)
            self.balance("offset", self.nearest(0.25 * self.top), 4)
        for level in self.stops:
            self.balance("point", self.nearest(level / 100), 6, level)

    def settle(self, control: int, point: int, near: float) -> None:
        """One control that moves red, green and blue together, by their luminance."""
        off = self.look(point)[1] / self.goal.xyz[point][1] - 1
        for _ in range(4):
            if abs(off) < near:
                return
            before, values = off, list(self.values)
            made = self.click(control, self.clicks_for(control, off, 0.5))
            if not made:
                return
            off = self.look(point)[1] / self.goal.xyz[point][1] - 1
            self.learn(control, off - before, made, 0.5)
            if abs(off) > abs(before):
                self.put(values)
                return

    def clicks_for(self, control: int, off: float, level: float) -> int:
        """How many clicks seem right for a share of light that is too much."""
        each = self.expected(control, level)
        most = 15 if control in self.effect else 8 if self.seen(control) else self.TOUCH
        return round(float(np.clip(-off / each, -most, most)))

    def by_share(self, control: int, off: float, level: float) -> int:
        """Turn what is worth it, and say how far."""
        return self.click(control, self.clicks_for(control, off, level)) if abs(off) > 0.006 else 0

    def seen(self, control: int) -> list[float]:
        """What clicks of controls of its kind did, where last seen."""
        does = self.controls[control].does
        return [each for i, each in self.effect.items() if self.controls[i].does == does]

    def expected(self, control: int, level: float) -> float:
        """What one click does to the light, share of it."""
        if control in self.effect:
            return self.effect[control]
        if seen := self.seen(control)[-9:]:
            return float(np.median(seen))
        does = self.controls[control].does
        darker = 0.5 / max(level, 0.05) if does == "point" else 1.0
        return self.USUAL[does] * darker

    def learn(self, control: int, change: float, made: int, level: float) -> None:
        """A change that stands out of the noise is believed, within what is thinkable."""
        expected = self.expected(control, level)
        if abs(change) < 0.012 and abs(expected * made) < 0.02:
            return
        seen = float(np.clip(change / made / expected, -2.0, 4.0))
        each = expected * (0.4 + 0.6 * seen)
        if abs(each) > 0.2 * abs(expected):
            self.effect[control] = each

    def balance(self, does: str, point: int, tries: int, level: float | None = None) -> None:
        """Red, green and blue of one point by the controls of one page; the best of it stays."""
        page = [self.find(does, channel, level) for channel in PRIMARIES]
        own = [control for control in page if control is not None]
        xyz = self.look(point)
        best, values = self.error(point, xyz), list(self.values)
        at = float(self.levels[point])
        for _ in range(tries):
            if self.error(point, xyz) < ENOUGH:
                return
            off = shares(self.session, point, xyz)
            made = [self.by_share(own[k], off[k], at) for k in range(len(own))]
            if not any(made):
                break
            xyz = self.look(point)
            change = shares(self.session, point, xyz) - off
            for control, seen, clicks in zip(own, change, made, strict=False):
                if clicks:
                    self.learn(control, float(seen), clicks, at)
            if (now := self.error(point, xyz)) < best:
                best, values = now, list(self.values)
        if self.error(point, xyz) > best + 0.2:
            self.put(values, own)

    def colours(self) -> None:
        for point, its in enumerate(self.goal.points):
            self.colour(point, its.label)

    def colour(self, point: int, label: str) -> None:
        """Brightness, saturation, hue of a colour by lightness, chroma, hue of the difference."""
        page = [self.find(does, label) for does in ("brightness", "saturation", "hue")]
        own = [control for control in page if control is not None]
        xyz = self.look(point)
        best, values = self.error(point, xyz), list(self.values)
        for _ in range(7):
            if self.error(point, xyz) < ENOUGH or not own:
                return
            off = self.parts(point, xyz)
            part = int(np.abs(off * (1.0, 0.5, 0.8)).argmax())
            each = self.effect.get(own[part], (0.35, 0.5, 0.4)[part])
            most = 12 if own[part] in self.effect else self.TOUCH
            made = self.click(own[part], np.clip(-off[part] / each, -most, most))
            if not made:
                break
            xyz = self.look(point)
            change = self.parts(point, xyz)[part] - off[part]
            if abs(change) > 0.6:
                learnt = 0.3 * each + 0.7 * change / made
                self.effect[own[part]] = float(np.sign(learnt) * max(abs(learnt), 0.1))
            if (now := self.error(point, xyz)) < best:
                best, values = now, list(self.values)
        if self.error(point, xyz) > best + 0.2:
            self.put(values, own)

    def parts(self, point: int, xyz: Floats) -> Floats:
        return lightness_chroma_hue(xyz, self.goal.xyz[point], self.goal.white)


class OneByOne(Person):
    """Turns one channel a click or two, looks, and turns on or back."""

    def work(self) -> str:
        if self.all_good():
            return "all good"
        for _ in range(4):
            for point, own in self.pages():
                self.better(point, own)
            if self.all_good():
                return "all good"
        return "four times through"

    def pages(self) -> list[tuple[int, list[int]]]:
        """Points, and the controls that are turned while each is looked at."""
        found: list[tuple[int, list[int]]] = []
        for does, level in (("backlight", 1.0), ("gain", 1.0), ("offset", 0.25), ("gain", 0.8)):
            own = [i for i, control in enumerate(self.controls) if control.does == does]
            if own:
                found.append((self.nearest(level * self.top), own))
        for level in self.stops:
            own = [i for i, control in enumerate(self.controls) if control.level == level]
            found.append((self.nearest(level / 100), own))
        for point, its in enumerate(self.goal.points):
            own = [i for i, c in enumerate(self.controls) if c.menu == "six-colour"]
            own = [i for i in own if self.controls[i].channel == its.label]
            if own:
                found.append((point, own))
        return found

    def better(self, point: int, own: list[int]) -> None:
        xyz = self.look(point)
        error = self.error(point, xyz)
        ways = dict.fromkeys(own, 1.0)
        idle: set[int] = set()
        for _ in range(24):
            left = [control for control in own if control not in idle]
            if error < ENOUGH or not left:
                return
            control = self.worst(point, xyz, left, ways)
            made = self.click(control, ways[control] * (2 if error > 2.5 else 1))
            seen = self.look(point)
            if (after := self.error(point, seen)) >= error or not made:
                self.click(control, -made)
                if ways[control] < 0 or self.controls[control].does in ("gain", "offset", "point"):
                    idle.add(control)
                ways[control] = -ways[control]
            else:
                error, xyz = after, seen
                idle.clear()

    def worst(self, point: int, xyz: Floats, left: list[int], ways: dict[int, float]) -> int:
        """The control of the channel that is furthest off, and which way it has to go."""
        off = shares(self.session, point, xyz)
        for channel in np.argsort(-np.abs(off)):
            for control in left:
                its = self.controls[control]
                if its.channel == PRIMARIES[channel] and its.menu != "six-colour":
                    ways[control] = -float(np.sign(off[channel]))
                    return control
        return left[0]


class Broyden(Person):
    """All controls at once, by a matrix of effects that every step mends; whole clicks."""

    def work(self) -> str:
        matrix = np.concatenate([self.typical(p) for p in range(len(self.goal.points))])
        off = self.all_off()
        hold = 0.05
        for _ in range(40):
            if self.last < 1.0:
                return "all good"
            normal = matrix.T @ matrix + hold * np.eye(len(self.controls))
            step = np.clip(np.linalg.solve(normal, -matrix.T @ off), -6, 6)
            before = self.last
            self.moving = True
            made = np.array([self.click(i, each) for i, each in enumerate(step)], np.float64)
            if not made.any():
                return "no step left"
            after = self.all_off()
            self.moving = False
            surprise = after - off - matrix @ made
            matrix = matrix + 0.7 * np.outer(surprise, made) / (made @ made)
            off = after
            hold = max(hold / 1.5, 0.01) if self.last < before else hold * 2
        return "forty steps"

    moving = False

    def unfinished(self) -> bool:
        return self.moving

    def all_off(self) -> Floats:
        """Everything read: about delta E in three directions at each point."""
        readings = [self.look(p) for p in range(len(self.goal.points))]
        self.keep(max(self.error(p, xyz) for p, xyz in enumerate(readings)))
        return np.concatenate([self.in_delta_e(p, xyz) for p, xyz in enumerate(readings)])

    def in_delta_e(self, point: int, xyz: Floats) -> Floats:
        if self.goal.points[point].black:
            return np.zeros(3)
        drives = self.goal.drives(xyz) - self.goal.wanted[point]
        return np.asarray(self.roots(point) @ drives)

    def roots(self, point: int) -> Floats:
        values, vectors = np.linalg.eigh(self.goal.squares[point])
        return np.asarray(np.sqrt(np.maximum(values, 0))[:, None] * vectors.T)

    def typical(self, point: int) -> Floats:
        """(3, n): what a click of each control usually does to a point, in about delta E."""
        level, drives = float(self.levels[point]), self.goal.wanted[point]
        moves = np.stack([_usual(control, level, drives) for control in self.controls], 1)
        if self.goal.points[point].black:
            return np.zeros_like(moves)
        return np.asarray(self.roots(point) @ moves)


def _usual(control: Control, level: float, drives: Floats) -> Floats:
    """What a click is taken to do to drives (3,), before anything was seen."""
    own = np.zeros(3)
    if control.channel in PRIMARIES:
        own[PRIMARIES.index(control.channel)] = 1.0
    elif control.channel is not None:
        own[:] = 1.0
        own[("cyan", "magenta", "yellow").index(control.channel)] = 0
    away = 0.0 if control.level is None else abs(100 * level - control.level) / 10
    pure = drives / drives.max() - drives.min() / drives.max() if drives.max() > 0 else drives
    near = float(np.ptp(drives) > 0) * np.exp(-3 * np.linalg.norm(own - pure) ** 2)
    moves = {
        "gain": 0.005 * drives * own,
        "offset": 0.0015 * (1 - level) * own,
        "point": 0.0025 * max(1 - away, 0) * own,
        "backlight": 0.005 * drives,
        "preset": 0.05 * drives * np.log(np.maximum(drives, 1e-3)),
        "brightness": 0.006 * drives * near,
        "saturation": 0.008 * (drives - drives.max()) * near,
        "hue": 0.006 * (np.roll(own, 1) - np.roll(own, -1)) * near,
    }
    return np.asarray(moves[control.does])


HANDS: dict[str, type[Person]] = {
    "skilled person": SkilledPerson,
    "one by one": OneByOne,
    "Broyden": Broyden,
}
