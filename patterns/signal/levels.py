"""Levels and colours, and the ink that turns them into codes of a signal."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    WithJsonSchema,
)

from patterns.errors import ParameterPath, PatternError, about
from patterns.signal.measures import Grey, Luminance, Measure, parse_measure, whole_codes
from patterns.signal.signal import Codes, Signal
from patterns.signal.transfer import Light
from patterns.words import figures


class Mix(BaseModel):
    """A colour by the level of each channel."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    r: Grey
    g: Grey
    b: Grey


class Chromatic(BaseModel):
    """A colour by its chromaticity (CIE 1931 x, y) and luminance."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    x: Annotated[float, Field(ge=0, le=1)]
    y: Annotated[float, Field(gt=0, le=1)]
    luminance: Luminance


LEVEL_EXAMPLE = "50 %, 120 cd/m2, code 502 or {r:, g:, b:}"


def _colour(value: object) -> object:
    if isinstance(value, (Mix, Chromatic)):
        return value
    if isinstance(value, dict):
        return (
            Chromatic.model_validate(value)
            if {"x", "y"} & set(value)
            else Mix.model_validate(value)
        )
    measure = parse_measure(value, ("%", "cd/m2", "code"), LEVEL_EXAMPLE)
    whole_codes(measure)
    return measure


def _plain(level: Measure | Mix | Chromatic) -> object:
    return str(level) if isinstance(level, Measure) else level.model_dump(mode="json")


Level = Annotated[
    Any,
    BeforeValidator(_colour),
    PlainSerializer(_plain),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "description": "50 %, 120 cd/m2 or code 502"},
                {"type": "object", "description": "{r:, g:, b:} or {x:, y:, luminance:}"},
            ]
        }
    ),
]
"""A :class:`Measure` for a grey, or a :class:`Mix` or :class:`Chromatic` for a colour."""


_UNFINISHED = Decimal("1e-40")
"""What 60-digit arithmetic may leave over, as in :mod:`patterns.signal.exact`."""


@dataclass
class Ink:
    """Mixes levels for one frame of one signal, and remembers what it mixed.

    With ``clip``, levels out of reach become the nearest that the signal holds, and
    :attr:`clipped` says which; without, they are an error.
    """

    signal: Signal
    clip: bool = False
    codes: dict[str, Codes] = field(default_factory=dict)
    clipped: list[str] = field(default_factory=list)

    def __call__(
        self,
        name: str,
        level: Measure | Mix | Chromatic,
        parameters: tuple[ParameterPath, ...] | None = None,
    ) -> Codes:
        """Codes of the level; kept in :attr:`codes` under ``name``.

        ``parameters`` are those that an error blames; where nothing is said, the level is the
        value of the parameter ``name``.
        """
        if isinstance(level, Chromatic):
            codes = self._chromatic(name, level, parameters)
        elif isinstance(level, Mix):
            red, green, blue = (
                self._code(name, each, ((name, channel),) if parameters is None else parameters)
                for channel, each in (("r", level.r), ("g", level.g), ("b", level.b))
            )
            codes = (red, green, blue)
        else:
            code = self._code(name, level, ((name,),) if parameters is None else parameters)
            codes = (code, code, code)
        self.codes[name] = codes
        return codes

    def exact(
        self,
        name: str,
        shares: tuple[Fraction, Fraction, Fraction],
        called: str,
        *parameters: ParameterPath,
    ) -> Codes:
        """Codes of E' of R, G, B, each rounded once, kept under ``name``.

        For levels that no percentage with an end says, such as codes of another depth. ``called``
        is what an error or the record of a clip calls them, ``parameters`` what they come from.
        """
        quantiser = self.signal.quantiser
        red, green, blue = (quantiser.code(each) for each in shares)
        low, high = quantiser.lowest, quantiser.highest
        if min(red, green, blue) < low or max(red, green, blue) > high:
            if not self.clip:
                raise PatternError(f"{called} is out of reach of {self.signal.name}.", *parameters)
            self.clipped.append(f"{name}: {called}")
            red, green, blue = (min(max(each, low), high) for each in (red, green, blue))
        self.codes[name] = (red, green, blue)
        return self.codes[name]

    def share(self, name: str, level: Measure, parameter: ParameterPath | None = None) -> Fraction:
        """E' of a grey level, for profiles that lie between two levels.

        It is the value of ``parameter``, or of the parameter ``name`` where nothing is said.
        """
        quantiser = self.signal.quantiser
        named = (name,) if parameter is None else parameter
        if level.unit == "cd/m2":
            with about(named):
                return Fraction(self._reach(name, level.number))
        code = self._code(name, level, (named,))
        exact = level.exact / 100
        if level.unit == "%" and quantiser.code(exact) == code:
            return exact
        return quantiser.signal(code)

    def between(self, name: str, start: Measure, end: Measure, count: int) -> list[int]:
        """Codes of ``count`` greys, evenly spaced in signal from start to end, both included.

        The two are the parameters ``from`` and ``to``, as all kinds call them.
        """
        first = self.share(f"{name} start", start, ("from",))
        last = self.share(f"{name} end", end, ("to",))
        return self.signal.quantiser.codes_between(first, last, count)

    def _code(self, name: str, level: Measure, parameters: tuple[ParameterPath, ...]) -> int:
        with about(*parameters):
            return self._one_code(name, level)

    def _one_code(self, name: str, level: Measure) -> int:
        quantiser = self.signal.quantiser
        if level.unit == "code":
            return self._held(name, int(level.number))
        if level.unit == "cd/m2":
            return quantiser.code(self._reach(name, level.number))
        code = quantiser.code(level.exact / 100)
        if quantiser.lowest <= code <= quantiser.highest:
            return code
        if not self.clip:
            low, high = quantiser.signal(quantiser.lowest), quantiser.signal(quantiser.highest)
            raise PatternError(
                f"{level} is out of reach: {self.signal.name} holds {float(100 * low):.4g} % to "
                f"{float(100 * high):.4g} %."
            )
        self.clipped.append(f"{name}: {level}")
        return min(max(code, quantiser.lowest), quantiser.highest)

    def _reach(self, name: str, luminance: Decimal) -> Decimal:
        """E' of a grey luminance, clipped to the signal's floor and peak where that is asked."""
        transfer = self.signal.transfer
        if self.clip and not transfer.floor <= luminance <= transfer.peak:
            self.clipped.append(f"{name}: {luminance} cd/m2")
            luminance = min(max(luminance, transfer.floor), transfer.peak)
        return self.signal.grey(luminance)[0]

    def _held(self, name: str, code: int) -> int:
        """A code as written, carried over to the depth that is shown; else the nearest where that
        is asked, or an error."""
        written = self.signal.written or self.signal.quantiser
        shown = self.signal.quantiser
        within = min(max(code, written.lowest), written.highest)
        nearest = min(max(shown.code(written.signal(within)), shown.lowest), shown.highest)
        if written.code(shown.signal(nearest)) == code:
            return nearest
        if self.clip:
            self.clipped.append(f"{name}: code {code}")
            return nearest
        if code != within:
            raise PatternError(
                f"code {code} is out of reach: {written.bits}-bit {written.range} range holds "
                f"codes {written.lowest} to {written.highest}."
            )
        raise PatternError(
            f"code {code} of {written.bits}-bit {written.range} range has no code of its own "
            f"in {shown.bits}-bit {shown.range} range; a level in % or cd/m2 would be rounded."
        )

    def _chromatic(
        self, name: str, colour: Chromatic, parameters: tuple[ParameterPath, ...] | None
    ) -> Codes:
        x, y = Fraction(str(colour.x)), Fraction(str(colour.y))
        whole = ((name,),) if parameters is None else parameters
        strength = ((name, "luminance"),) if parameters is None else parameters
        with about(*whole):
            wanted = self.signal.channel_light(x, y, colour.luminance.exact)
        called = f"x {colour.x}, y {colour.y} at {colour.luminance}"
        return self.light(name, wanted, called, colour=whole, strength=strength)

    def light(
        self,
        name: str,
        light: Light,
        called: str,
        *,
        colour: tuple[ParameterPath, ...],
        strength: tuple[ParameterPath, ...],
    ) -> Codes:
        """Codes of linear light of R, G, B in cd/m2, kept under ``name``.

        ``called`` is what an error or the record of a clip calls it; ``colour`` and ``strength``
        are the parameters that its chromaticity and its luminance come from.
        """
        held, over = self._held_light(light)
        if over:
            red, green, blue = light
            if not self.clip:
                raise PatternError(
                    f"{called} is outside what {self.signal.name} can hold: it would need R, G, B "
                    f"of {figures(red)}, {figures(green)}, {figures(blue)} cd/m2, beyond 0 to "
                    "100 % of its signal.",
                    # light below nothing stays so at any luminance
                    *((*colour, *strength) if min(light) < 0 else (*strength, *colour)),
                )
            self.clipped.append(f"{name}: {called}")
        code = self.signal.quantiser.code
        self.codes[name] = (code(held[0]), code(held[1]), code(held[2]))
        return self.codes[name]

    def _held_light(self, light: Light) -> tuple[Light, bool]:
        """Signal of the light, each channel held to 0 to 100 %, and whether it was outside."""
        dark, full = Decimal(0), Decimal(1)
        red, green, blue = (max(each, dark) for each in light)
        wanted = self.signal.transfer.encode((red, green, blue))
        # judged by signal, not by light: the HLG OOTF lets a lone channel go less far than white
        held = tuple(min(max(each, dark), full) for each in wanted)
        over = max(abs(a - b) for a, b in zip(wanted, held, strict=True)) > _UNFINISHED
        return (held[0], held[1], held[2]), over or min(light) < 0
