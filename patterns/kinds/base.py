"""What every pattern is: a kind and its parameters, from which frames are made."""

# No annotations as text here: every one of the dozens of kinds would evaluate them anew.
from abc import ABC, abstractmethod
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink
from patterns.signal.signal import Signal, named_signal, signal_names

START = Fraction(0)


class Pattern(BaseModel, ABC):
    """A recipe for frames. Parameters are the model's fields; strict, and nothing extra."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        populate_by_name=True,
        arbitrary_types_allowed=True,
        # there are dozens of kinds, and a sequence uses few: each is built when it is first used
        defer_build=True,
    )

    kind: ClassVar[str]
    summary: ClassVar[str]
    """One line for the catalogue."""
    family: ClassVar[str]
    """The catalogue's heading that it stands under."""
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({},)
    """Parameters as a sequence writes them; each is pictured in the catalogue and tested."""

    detail: ClassVar[bool] = False
    """Whether it lives in single pixels, so that the catalogue shows a part of it enlarged."""
    signals: ClassVar[tuple[str, ...]] = ()
    """Transfers that it is made for, ``pq`` or with the range ``pq/narrow``; empty for any."""
    depths: ClassVar[tuple[int, ...]] = ()
    """Bits that it is made for; empty for any."""
    gamuts: ClassVar[tuple[str, ...]] = ()
    """Primaries that it is made for; empty for any."""

    clip: bool = Field(False, description="take the nearest level that the signal holds")

    @property
    def moves(self) -> bool:
        """Whether frames differ with time."""
        return False

    def frame(self, canvas: Canvas, signal: Signal, time: Fraction = START) -> Frame:
        """The frame at ``time`` seconds. Raises PatternError where it cannot be exact."""
        if not self.made_for(signal):
            raise PatternError(f"{self.kind} is made for {self._home()}, not for {signal.name}.")
        return self.draw(canvas, Ink(signal, self.clip), time)

    @classmethod
    def made_for(cls, signal: Signal) -> bool:
        """Whether this kind can be shown in a signal at all."""
        names = {signal.transfer.name, f"{signal.transfer.name}/{signal.range}"}
        return (
            (not cls.signals or bool(names & set(cls.signals)))
            and (not cls.depths or signal.bits in cls.depths)
            and (not cls.gamuts or signal.primaries.name in cls.gamuts)
        )

    @classmethod
    def usual_signal(cls, *favoured: str) -> Signal:
        """The first named signal that it is made for, the favoured names before the others."""
        named = map(named_signal, (*favoured, *signal_names()))
        return next(signal for signal in named if cls.made_for(signal))

    @classmethod
    def _home(cls) -> str:
        """What :meth:`made_for` asks for, in words."""
        words = [" and ".join(cls.signals)]
        words += [f"{' and '.join(map(str, cls.depths))} bits"] if cls.depths else []
        words += [" and ".join(cls.gamuts)] if cls.gamuts else []
        return ", ".join(filter(None, words))

    @abstractmethod
    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        """Make the frame with this ink."""

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """Measuring places by name, such as ``box 5``; empty where the middle is the place."""
        return {}

    def parameters(self) -> dict[str, object]:
        """The parameters as plain values, as a sequence would write them."""
        return self.model_dump(mode="json", by_alias=True)


class MovingPattern(Pattern):
    """A pattern that moves in whole pixels."""

    @property
    def moves(self) -> bool:
        return True

    @abstractmethod
    def at(self, canvas: Canvas, time: Fraction) -> tuple[int, int]:
        """Top left pixel (x, y) of what moves, ``time`` seconds after the start."""


class CrawlingPattern(MovingPattern):
    """A pattern whose box crawls along an axis while the operator tallies dimming zones."""

    @property
    def countable(self) -> bool:
        """Whether jumps of the light can be counted along this way: not on a diagonal."""
        return True

    @property
    @abstractmethod
    def across(self) -> bool:
        """Whether it goes along x; otherwise along y."""

    @abstractmethod
    def middle(self, canvas: Canvas, time: Fraction) -> Fraction:
        """Middle of the box along its axis, pixels: what lights a zone, whichever way it goes."""

    @abstractmethod
    def heading(self, canvas: Canvas, time: Fraction) -> Literal["forward", "backward"]:
        """Which way it goes at this time; forward is to the right or down."""
