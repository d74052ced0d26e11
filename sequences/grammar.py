"""What may stand in a sequence: the keys of the file, of a step and of a signal."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    WithJsonSchema,
    model_validator,
)

from patterns.aim import CURVES, Aim, AimError
from patterns.errors import ParameterError
from patterns.signal.measures import Duration, Luminance, Measure, seconds
from patterns.signal.primaries import PRIMARIES
from patterns.signal.quantise import DEPTHS, RANGES
from patterns.signal.signal import Signal, signal_from_parts
from patterns.signal.transfer import TRANSFERS
from sequences.model import CAUTIONS, IMPORTANCES, Importance

LONGEST_TEXT = 200
LONGEST_SETTLE = 24 * 3600
LONGEST_HOLD = 24 * 3600
MOST_SENTENCES = 20
"""What a person can be asked to know at the screen: a choice of our own."""


def _line(text: str) -> str:
    line = " ".join(text.split())
    if not 0 < len(line) <= LONGEST_TEXT:
        raise ParameterError(f"a text of 1 to {LONGEST_TEXT} characters")
    return line


def _one_of(*known: object) -> AfterValidator:
    names = ", ".join(map(str, known))

    def check(value: Any) -> Any:
        if value not in known:
            raise ParameterError(f"one of {names}")
        return value

    return AfterValidator(check)


def _settle(duration: Measure) -> Measure:
    if seconds(duration) > LONGEST_SETTLE:
        raise ParameterError("at most 24 hours")
    return duration


def _hold(duration: Measure) -> Measure:
    if not 0 < seconds(duration) <= LONGEST_HOLD:
        raise ParameterError("more than 0 s, and at most 24 hours")
    return duration


def _peak(luminance: Measure) -> Measure:
    if not 1 <= luminance.number <= 10_000:
        raise ParameterError("1 cd/m2 to 10000 cd/m2")
    return luminance


def _curve(name: str) -> str:
    try:
        Aim(name)
    except AimError:
        raise ParameterError(CURVES) from None
    return name


def _point(listed: list[float]) -> list[float]:
    if len(listed) != 2:
        raise ParameterError("x and y, such as [0.3127, 0.329]")
    try:
        Aim(white_point=(listed[0], listed[1]))
    except AimError:
        raise ParameterError("x and y, both above 0 and together below 1") from None
    return listed


def _lines(given: Any) -> Any:
    if isinstance(given, str):
        return [given]
    if not isinstance(given, list):
        raise ParameterError("a line of text, or a list of them")
    return given


Curve = Annotated[str, AfterValidator(_curve)]
Point = Annotated[list[float], AfterValidator(_point)]
Line = Annotated[str, AfterValidator(_line), WithJsonSchema({"type": "string", "minLength": 1})]
Lines = Annotated[
    list[Line],
    BeforeValidator(_lines),
    Field(max_length=MOST_SENTENCES),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "minLength": 1},
                {
                    "type": "array",
                    "items": {"type": "string", "minLength": 1},
                    "maxItems": MOST_SENTENCES,
                },
            ]
        }
    ),
]
Settle = Annotated[Duration, AfterValidator(_settle)]
Hold = Annotated[Duration, AfterValidator(_hold)]
Peak = Annotated[Luminance, AfterValidator(_peak)]


def _names(*known: object) -> dict[str, Any]:
    return {"enum": list(known)}


Caution = Annotated[str, _one_of(*CAUTIONS), WithJsonSchema(_names(*CAUTIONS))]
Rank = Annotated[Importance, WithJsonSchema(_names(*IMPORTANCES))]
FindingName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]{0,59}$")]
NO_WAIT = Measure(Decimal(0), "s")


class SignalParts(BaseModel):
    """A signal spelt out."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    transfer: Annotated[str, _one_of(*TRANSFERS), WithJsonSchema(_names(*TRANSFERS))] = Field(
        description="how the signal becomes light"
    )
    primaries: Annotated[str, _one_of(*PRIMARIES), WithJsonSchema(_names(*PRIMARIES))] = Field(
        description="chromaticities of red, green and blue; white is D65"
    )
    bits: Annotated[int, _one_of(*DEPTHS), WithJsonSchema(_names(*DEPTHS))] = Field(
        description="bits of a channel"
    )
    range: Annotated[str, _one_of(*RANGES), WithJsonSchema(_names(*RANGES))] = Field(
        description="codes of 0 % and 100 %"
    )
    white: Peak | None = Field(None, description="bt1886: luminance of 100 % (100 cd/m2)")
    peak: Peak | None = Field(None, description="hlg: nominal peak luminance (1000 cd/m2)")
    black: Luminance | None = Field(None, description="bt1886 and hlg: luminance of 0 % (0 cd/m2)")

    @model_validator(mode="after")
    def _luminances_that_belong(self) -> Self:
        belongs = {"white": ("bt1886",), "peak": ("hlg",), "black": ("bt1886", "hlg")}
        for name, transfers in belongs.items():
            if getattr(self, name) is not None and self.transfer not in transfers:
                raise ValueError(f"{name} goes with {' or '.join(transfers)}")
        if self.black is not None:
            top = {"bt1886": self.white or _measure(100), "hlg": self.peak or _measure(1000)}
            if self.black.number >= top[self.transfer].number:
                raise ValueError(f"black is less than {top[self.transfer]}")
        return self

    def signal(self) -> Signal:
        """The signal that this describes."""
        parts = self.model_dump(include={"transfer", "primaries", "bits", "range"})
        luminances = {name: getattr(self, name) for name in ("white", "peak", "black")}
        parts |= {name: each.number for name, each in luminances.items() if each is not None}
        return signal_from_parts(parts)


class AimParts(BaseModel):
    """What the display is meant to do; what is left out is left to the signal."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    curve: Curve | None = Field(None, description=f"how signal becomes light: {CURVES}")
    black: Luminance | None = Field(
        None, description="luminance of 0 % that the curve starts from, not the measured one"
    )
    white: Luminance | None = Field(None, description="luminance that white is meant to have")
    white_point: Point | None = Field(
        None, description="x and y of white and of greys ([0.3127, 0.329], which is D65)"
    )

    @model_validator(mode="after")
    def _a_display_can(self) -> Self:
        try:
            self.aim()
        except AimError:
            raise ParameterError("that black is darker than white") from None
        return self

    def aim(self) -> Aim:
        """The aim that this describes. Raises AimError where no display can do it."""
        black, white = (
            None if each is None else float(each.number) for each in (self.black, self.white)
        )
        point = self.white_point
        return Aim(self.curve, black, white, None if point is None else (point[0], point[1]))


def _measure(luminance: int) -> Measure:
    return Measure(Decimal(luminance), "cd/m2")


class Head(BaseModel):
    """The keys of the file. ``signal`` and ``steps`` are looked at more closely elsewhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    title: Line = Field(description="what the sequence is for, in one line")
    signal: Any = Field(description="how light is coded")
    aim: Any = Field(None, description="what the display is meant to do")
    cautions: list[Caution] = Field([], description="what the operator is told before it starts")
    finds: list[FindingName] = Field([], description="findings that its readings lead to")
    settle: Settle | None = Field(
        None,
        description="time to wait before each reading (3 s before a meter reads what stands still)",
    )
    hold: Hold | None = Field(None, description="time that each picture lasts in exported clips")
    warm_up: Settle = Field(
        NO_WAIT, description="time that the display has to have been on before it is read"
    )
    at_the_screen: Lines = Field(
        [], description="what a person needs to know at the screen, a line or a list of them"
    )
    steps: Annotated[list[Any], Field(min_length=1)] = Field(description="what is shown, in order")


class StepKeys(BaseModel):
    """The keys of a step.

    ``show``, ``each``, ``read`` and ``faults`` are looked at more closely elsewhere.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    show: Any = Field(description="the pattern: its kind and parameters")
    each: Any = Field(None, description="values to go through; several keys are combined in order")
    read: Any = Field(None, description="what is read here")
    faults: Any = Field(None, description="which answers are faults of the display")
    role: Line | None = Field(None, description="what findings know this step by")
    label: Line | None = Field(None, description="what the operator sees; {name} is a key of each")
    settle: Settle | None = Field(None, description="time to wait here instead of the file's")
    hold: Hold | None = Field(None, description="time it lasts in clips instead of the file's")
    importance: Rank = Field("usual", description="when it is played where time runs short")
    warm_up: Settle | None = Field(
        None, description="time that the display has to have been on, instead of the file's"
    )
