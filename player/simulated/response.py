"""Code values to what the display's three channels are asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Signal
from patterns.signal.transfer.hlg import Hlg
from patterns.signal.transfer.pq import eotf
from player.simulated.menu import AS_FOUND, Menu
from player.simulated.parameters import DisplayParameters, Link, Response

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Asked:
    """The way from the codes of one signal to light asked of the display's channels."""

    transfer: str
    """What the display takes the signal for."""
    response: Response
    link: Link
    sent: Quantiser
    taken: Quantiser
    convert: Floats | None
    """(3, 3) from the signal's primaries to the display's; None where it is not done."""
    menu: Menu = AS_FOUND
    """The controls as they stand."""
    luminances: Floats = field(default_factory=lambda: np.full(3, 1 / 3))
    """(3,) of the display's channels; together 1."""

    def __call__(self, codes: NDArray[np.uint16]) -> Floats:
        """Codes (n, 3) to light (n, 3), share of the mode's white: 0 to 1."""
        every = 1 << self.sent.bits
        if self.transfer != "hlg" and len(codes) > every:
            # channels on their own: a table of all codes is shorter than the picture
            light = np.take_along_axis(self._table, codes.astype(np.intp), axis=0)
        else:
            light = self._linear(codes)
        if self.convert is not None:
            light = np.maximum(light @ self.convert.T, 0.0)
        light = self.menu.colours(light, self.luminances)
        return np.clip(self._top(light * np.array(self.response.gain)), 0.0, 1.0)

    @cached_property
    def _table(self) -> Floats:
        codes = np.arange(1 << self.sent.bits, dtype=np.uint16)
        return self._linear(np.repeat(codes[:, np.newaxis], 3, axis=1))

    def _linear(self, codes: NDArray[np.uint16]) -> Floats:
        """Codes (n, 3) to light in the signal's primaries, share of the mode's white."""
        signals = self.taken.signals(codes)
        if self.link.bits < self.sent.bits:
            steps = Quantiser(self.link.bits, self.taken.range)
            span = steps.white - steps.black
            signals = np.floor(signals * span + 0.5) / span
        signals = self.menu.signals(signals, self.response.exponent)
        return self._light(signals + np.array(self.response.offset))

    def _light(self, signals: Floats) -> Floats:
        """E' to light, share of the mode's white, not yet limited."""
        if self.transfer == "bt1886":
            return np.power(np.maximum(signals, 0.0), self.response.exponent)
        if self.transfer == "hlg":
            # the display adapts HLG to its own white, as the standard means it to
            white = self.response.white
            return Hlg(Decimal(str(white))).decode(np.maximum(signals, 0.0)) / white
        return eotf(signals) / self.response.white

    def _top(self, light: Floats) -> Floats:
        """Light above the mode's white: cut, or bent towards it from the knee on."""
        if self.transfer == "bt1886" or self.response.top == "clip":
            return light
        knee = min(self.response.knee, 1 - 1e-9)
        room = 1 - knee
        bent = knee - room * np.expm1(-np.maximum(light - knee, 0.0) / room)
        return np.where(light > knee, bent, light)


def asked_by(display: DisplayParameters, signal: Signal, menu: Menu = AS_FOUND) -> Asked:
    """How this display answers this signal, its controls as they stand."""
    transfer, response = display.responses.named(signal.transfer.name)
    sent = signal.quantiser
    expected = display.link.range
    taken = sent if expected == "follow" else Quantiser(sent.bits, expected)
    convert = display.gamut.from_signal(signal.primaries) if response.convert else None
    luminances = display.gamut.to_xyz[1]
    return Asked(transfer, response, display.link, sent, taken, convert, menu, luminances)
