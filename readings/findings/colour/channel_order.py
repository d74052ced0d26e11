"""Whether red, green and blue arrive in the order in which they were sent.

Coverage and volume are the same whichever channel makes which primary, so a display with two of
them exchanged has all the colours of a standard, and shows none of them right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import permutations
from math import sqrt

import numpy as np

from readings.colorimetry.chromaticity import Floats, uv_of, xy_of
from readings.evidence.distance import Distance, WithDraws
from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.shown import codes_of, is_grey, signal_of
from readings.evidence.uncertainty import written
from readings.findings.base import Doubt, Finding, Judgement, Number
from readings.findings.basis import Basis, by_run, grouped, light, only_found, with_light
from readings.findings.kind import FindingKind, Reads
from readings.findings.share import has_colour, number_of, value_of

Order = tuple[int, int, int]
"""Of the display's red, green and blue: which channel of the code each of them shows."""
ORDERS: tuple[Order, ...] = tuple((a, b, c) for a, b, c in permutations(range(3)))
"""The order as sent first."""
NAMES = ("red", "green", "blue")
KINDS = {
    "chart-patch", "cube", "ebu-colour", "field", "gamut-walk", "patch", "saturation", "skin",
    "uniformity", "window",
}  # fmt: skip
"""Pictures of which a meter is pointed at one code alone."""
LEAST_LIGHT = 0.2
"""cd/m2 below which a colour is the black's and the meter's noise."""
TELLING = 0.05
"""u'v' by which some other order has to move a colour for it to be of use."""
MOST = 24
"""Colours that are looked at, those first that other orders move farthest."""
FAR = 0.05
"""u'v', root mean square, from which on colours lie far from what they should be."""
CLEAR = 2.0
"""By what factor an order has to fit better than another. These five are our own."""
SOURCE = "Our own; u', v': CIE 15:2018"


@dataclass(frozen=True, eq=False)
class Arrival:
    """Colours that were read, and how far they lie from what each order would have made."""

    things: tuple[tuple[Measured, ...], ...]
    """Repeats of n colours of different codes."""
    aimed: Floats
    """(6, n, 2) u', v' of their codes, for each of `ORDERS`."""

    @cached_property
    def seen(self) -> Floats:
        """(n, 2) u', v' as they were read."""
        read = [[(r.x, r.y) for r in repeats] for repeats in self.things]
        return uv_of(np.array([np.mean(np.array(each, np.float64), axis=0) for each in read]))

    @cached_property
    def apart(self) -> Floats:
        """(6,) root mean square distances in u', v' of what was read, for each of `ORDERS`."""
        return distances(self.aimed, self.seen)

    @property
    def sent(self) -> float:
        """The distance of what was read from what was sent."""
        return float(self.apart[0])

    @cached_property
    def fits(self) -> tuple[Order, ...]:
        """The order that fits, or several that fit about as well; the nearest first."""
        ranked = np.argsort(self.apart, kind="stable")
        least = CLEAR * float(self.apart[ranked[0]])
        return tuple(ORDERS[n] for n in ranked if self.apart[n] <= least)

    @property
    def other(self) -> bool:
        """Whether they arrived in another order than they were sent in."""
        return self.sent >= FAR and ORDERS[0] not in self.fits

    @property
    def tells(self) -> bool:
        """Whether the colours that were read could tell each order from the one as sent."""
        return bool((distances(self.aimed[1:], self.aimed[0]) >= TELLING).all())

    def sentence(self) -> str:
        """What happened to the channels on the way, without a full stop."""
        if len(self.fits) > 1:
            return "Red, green and blue arrive in another order than they were sent in"
        order = self.fits[0]
        moved = [channel for channel in range(3) if order[channel] != channel]
        if len(moved) == 2:
            one, two = (NAMES[channel] for channel in moved)
            return f"{one.capitalize()} and {two} are exchanged on the way to the display"
        shown = [NAMES[order.index(channel)] for channel in range(3)]
        return (
            f"What is sent as red is shown as {shown[0]}, green as {shown[1]}, blue as {shown[2]}"
        )

    def warning(self) -> str:
        """The same with its figures, and what to look at."""
        lies = "lies" if len(self.things) == 1 else "lie"
        return (
            f"{self.sentence()}: {_colours(len(self.things))} read {lies} so "
            f"{written(float(self.apart.min()))[0]} in u', v' from what the codes ask for, and "
            f"{written(self.sent)[0]} in the order as sent. Look at the cable and its adapters, "
            "and at the display's and the player's setting of the order of channels; or were "
            "readings typed at other steps than their own?"
        )


def _colours(count: int) -> str:
    return "one colour" if count == 1 else f"{count} colours"


def distances(aimed: Floats, seen: Floats) -> Floats:
    """Root mean square distance (...) of points (..., n, 2) from others (n, 2)."""
    return np.asarray(np.sqrt(((aimed - seen) ** 2).sum(-1).mean(-1)))


def arrival_of(mine: Sequence[Measured]) -> Arrival | None:
    """How the colours of one run fit each order; None where none of them can tell."""
    told = [
        reading
        for reading in with_light(mine, Basis())
        if reading.kind in KINDS
        and has_colour(reading)
        and not is_grey(reading)
        and codes_of(reading) is not None
        and signal_of(reading) is not None
        and light(reading) > max(LEAST_LIGHT, _floor(reading))
    ]
    things = [tuple(each) for each in grouped(told, codes_of).values()]
    aimed = np.array([_aimed(each[0]) for each in things]).reshape(-1, 6, 2).swapaxes(0, 1)
    moved = np.hypot(*np.moveaxis(aimed - aimed[:1], -1, 0)).max(0)
    kept = [int(n) for n in np.argsort(-moved, kind="stable")[:MOST] if moved[n] >= TELLING]
    if not kept:
        return None
    return Arrival(tuple(things[n] for n in kept), aimed[:, kept])


def _floor(reading: Measured) -> float:
    specification = reading.specification
    return (specification and specification.luminance_floor) or 0.0


def _aimed(reading: Measured) -> Floats:
    """(6, 2) u', v' of a reading's codes, as each order shows them."""
    signal, codes = signal_of(reading), codes_of(reading)
    if signal is None or codes is None:
        return np.full((6, 2), np.nan)
    return uv_of(xy_of(signal.xyz(np.array([[codes[n] for n in order] for order in ORDERS]))))


def warn_of_order(mine: Sequence[Measured], basis: Basis) -> None:
    """Say with what is made of a run's colours that they came in another order, if they did."""
    arrival = arrival_of(mine)
    if arrival is not None and arrival.other:
        basis.warn(arrival.warning())


class ChannelOrder(FindingKind):
    """What order the channels arrive in, per run, of whatever colours it has."""

    name = "channel-order"
    subject = "whether red, green and blue arrive in their order"
    reads = (Reads((), "a colour that is no grey", ("colour",)),)
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(_finding(mine) for mine in by_run(readings).values())


WHY = "red, green and blue arrived in another order than they were sent in"
UNTOLD = "Whether red, green and blue arrive in their order cannot be told"


def _finding(mine: Sequence[Measured]) -> Finding | None:
    arrival = arrival_of(mine)
    if arrival is None or not (arrival.tells or arrival.other):
        return None
    basis = Basis()
    lights = lights_of(arrival.things, basis)
    sent = _number(arrival, lights, 0)
    values = [
        value_of("channel-order-distance", "Colours read, from those sent in u', v'", sent, "")
    ]
    kept = arrival.fits == ORDERS[:1]
    judgement = Judgement("good", "Red, green and blue arrive in their order")
    if arrival.other:
        basis.warn(arrival.warning())
        judgement = Judgement("bad", arrival.sentence(), by_warnings=True)
        best = _number(arrival, lights, int(arrival.apart.argmin()))
        label = "The same, in the order that fits best"
        values.append(value_of("channel-order-distance-other", label, best, ""))
    elif not kept:
        judgement = Judgement("unsure", UNTOLD)
        basis.warn(
            f"The colours read lie {written(arrival.sent)[0]} in u', v' from what was sent, and "
            "another order of the channels fits about as well or better: does the display show "
            "colours at all?"
        )
    finding = basis.finding(
        "channel-order",
        mine[0],
        title=judgement.sentence,
        values=values,
        method=(
            f"{_colours(len(arrival.things)).capitalize()}, those that another order of red, green "
            "and blue would move farthest, against what the codes ask for in each of the six "
            "orders: the root mean square of their distances in u', v'. An order arrives where it "
            f"fits {CLEAR:g} times as well as any other, and another than the one sent where that "
            f"lies {FAR:g} or more away."
        ),
        source=SOURCE,
    )
    doubt = Doubt(WHY, frozenset(r.reading for r in mine if codes_of(r) and not is_grey(r)))
    return replace(finding, judgement=judgement, doubt=doubt if arrival.other else None)


def _number(arrival: Arrival, lights: Lights, order: int) -> Number:
    """The distance for one order, and what it may be."""
    drawn = arrival.aimed[order] - uv_of(xy_of(lights.drawn_xyz))
    read = arrival.aimed[order] - arrival.seen
    # a root mean square is the length of all distances together, over the root of their count
    count = len(read)
    off = WithDraws(read.ravel() / sqrt(count), drawn.reshape(len(drawn), -1) / sqrt(count))
    return number_of(Distance.of_vectors(off, known=lights.knows()))
