"""A meter in front of a simulated display, with the errors that meters have."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

import numpy as np

from patterns.place import Place
from player.meters.base import MeterError, MeterReading, Moves
from player.simulated import SimulatedDisplay, SimulatedError
from readings.visit.records import InstrumentRole, Specification

Matrix = tuple[tuple[float, float, float], ...]
UNCHANGED: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
CENTRE = (0.5, 0.5)


@dataclass(frozen=True, kw_only=True)
class MeterTraits:
    """What a simulated meter is like: its errors, and what its maker promises."""

    name: str
    role: InstrumentRole = "spot meter"
    spot: float = 5.0
    """Diameter, percent of the picture's height."""
    repeatability: float = 0.002
    """Standard deviation between readings, share of the reading."""
    noise: float = 0.0
    """Standard deviation of each of X, Y, Z that is left in the dark, cd/m2."""
    xy_noise: float = 0.0
    """Standard deviation between readings of x and of y, in good light."""
    matrix: Matrix = UNCHANGED
    """True XYZ to the XYZ that the meter believes: its error of colour and of scale."""
    glare: float = 0.0
    """Share of the whole screen's mean light that strays into the spot."""
    digits: int = 4
    """Significant digits that it shows."""
    seconds: float = 1.0
    """Time that a reading takes."""
    floor: float = 0.01
    """Promised: the lowest luminance, cd/m2. Below it no colour is given."""
    resolution: float = 0.001
    """Promised: the last digit of luminance, cd/m2."""
    uncertainty: float = 0.02
    """Promised: of luminance, expanded (k = 2), share of the reading."""
    xy_uncertainty: float = 0.003
    """Promised: of x and of y, expanded (k = 2)."""
    xy_resolution: float = 0.0001
    """Promised: the last digit of x and y."""


SPOT_METER = MeterTraits(
    name="spot meter",
    noise=0.0002,
    xy_noise=0.0004,
    matrix=((1.021, -0.012, 0.003), (0.006, 1.004, -0.002), (0.002, -0.009, 1.031)),
    glare=0.000004,
    floor=0.002,
    resolution=0.0001,
    uncertainty=0.04,
    xy_uncertainty=0.006,
)
"""A quick filter meter: fine in the dark, with an error of colour."""

REFERENCE = MeterTraits(
    name="reference",
    role="reference",
    repeatability=0.001,
    noise=0.002,
    xy_noise=0.0002,
    matrix=((1.002, 0.0, 0.0), (0.0, 1.001, 0.0), (0.0, 0.0, 0.999)),
    seconds=8.0,
    floor=0.02,
    resolution=0.001,
    uncertainty=0.02,
    xy_uncertainty=0.002,
)
"""A spectral meter: right about colour, slow, and blind in the dark."""

TRAITS = {"spot meter": SPOT_METER, "reference": REFERENCE}


def traits_of(name: str) -> MeterTraits:
    """The traits by their meter's name; the spot meter's without one. Raises MeterError."""
    traits = TRAITS.get(name.strip() or "spot meter")
    if traits is None:
        raise MeterError(
            f"There is no simulated meter {name.strip()!r}; there are {', '.join(TRAITS)}."
        )
    return traits


class SimulatedMeter:
    """A meter on a tripod in front of a simulated display.

    Args:
        display: what it looks at.
        traits: what the meter is like.
        seed: of its errors; the same seed and the same readings give the same errors.
        moves: whether it is pointed at places; otherwise it stays in the middle of the screen.
    """

    def __init__(
        self,
        display: SimulatedDisplay,
        traits: MeterTraits = SPOT_METER,
        seed: int = 0,
        *,
        moves: Moves = "yes",
    ) -> None:
        self.moves = moves
        self.name = traits.name
        self.role = traits.role
        self.specification = Specification(
            luminance_relative_uncertainty=traits.uncertainty,
            luminance_floor=traits.floor,
            luminance_resolution=traits.resolution,
            chromaticity_uncertainty=traits.xy_uncertainty,
            chromaticity_resolution=traits.xy_resolution,
            luminance_repeatability=_promised(traits.repeatability),
            luminance_noise=_promised(traits.noise),
            chromaticity_repeatability=_promised(traits.xy_noise),
        )
        self._display = display
        self._traits = traits
        self._errors = np.random.default_rng(seed)
        self._at = CENTRE

    def aim(self, place: Place | None) -> None:
        """Point at a place, the middle where it is unknown; one that does not move stays there.

        Raises MeterError where the place does not lie on the screen.
        """
        x, y = CENTRE if place is None or self.moves == "no" else place.shares
        if not (0 <= x <= 1 and 0 <= y <= 1):
            raise MeterError(f"A place {x:g}, {y:g} does not lie on the screen.")
        self._at = x, y

    def measure(self) -> MeterReading:
        """Take one reading; the display's clock goes on by the time that it takes."""
        traits = self._traits
        try:
            light = self._display.light_at(*self._at, traits.spot)
        except SimulatedError as error:  # pragma: no cover - aim() has checked the place
            raise MeterError(str(error)) from error
        stray = traits.glare * self._display.mean_light()
        believed = np.array(traits.matrix) @ (light + stray)
        scale = 1 + traits.repeatability * self._errors.standard_normal()
        seen = believed * scale + traits.noise * self._errors.standard_normal(3)
        shift = traits.xy_noise * self._errors.standard_normal(2)
        self._display.wait(traits.seconds)
        value = _rounded(max(float(seen[1]), 0.0), traits)
        luminance = float(value)
        if luminance < traits.floor or seen.min() <= 0:
            return MeterReading(f"Y {value}", luminance, None, None)
        places = _places(traits.xy_resolution)
        x, y = (f"{each:.{places}f}" for each in seen[:2] / seen.sum() + shift)
        return MeterReading(f"Yxy {value} {x} {y}", luminance, float(x), float(y))


def _promised(deviation: float) -> float | None:
    """How well readings repeat, k = 2; a specification knows no zero."""
    return 2 * deviation or None


def _rounded(luminance: float, traits: MeterTraits) -> str:
    """As the meter shows it: so many digits, and none finer than its resolution."""
    places = _places(traits.resolution)
    if luminance > 0:
        places = min(places, traits.digits - 1 - floor(log10(luminance)))
    return f"{round(luminance, places):.{max(places, 0)}f}"


def _places(resolution: float) -> int:
    return max(0, -floor(log10(resolution)))
