"""The description of a meter that talks in lines: a YAML file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field as Parameter
from pydantic import field_validator, model_validator

from player.meters.expression import expression
from player.meters.instrument_file import InstrumentDescription, Part, described_in
from sequences.templates import lone_braces, placeholders

FIELDS = ("place", "label", "x_percent", "y_percent", "x_px", "y_px")
"""What `measure` may hold in braces: see `player.meters.base.place_fields`."""
GROUPS = ({"X", "Y", "Z"}, {"Y", "x", "y"}, {"Y"}, {"luminance"})
"""What the answer may give, by the names of its groups."""
Text = Annotated[str, Parameter(min_length=1, max_length=1000)]
Texts = Annotated[tuple[Text, ...], Parameter(strict=False, max_length=20)]


class SerialPort(Part):
    """A serial port, or what stands for one (USB, Bluetooth)."""

    device: Text
    """Such as `/dev/ttyUSB0`, or `COM3` on Windows."""
    speed: Annotated[int, Parameter(ge=50, le=4_000_000)] = 9600
    """Bits a second."""
    data_bits: Literal[5, 6, 7, 8] = 8
    parity: Literal["none", "even", "odd", "mark", "space"] = "none"
    stop_bits: float = 1
    flow: Literal["none", "hardware", "software"] = "none"
    """Who holds the other back: nobody, RTS and CTS, or XON and XOFF."""

    @field_validator("stop_bits")
    @classmethod
    def _stops(cls, bits: float) -> float:
        if bits not in (1, 1.5, 2):
            raise ValueError("should be 1, 1.5 or 2")
        return bits


class TcpPort(Part):
    """A socket in the local network."""

    host: Text
    port: Annotated[int, Parameter(ge=1, le=65535)]


class OtherAnswer(Part):
    """An answer that is no reading, and what it means."""

    match: Text
    """A regular expression, found anywhere in a line: see `player.meters.expression`."""
    means: Literal["busy", "too dark", "failed"]
    """After `busy` the meter is asked again until the timeout."""
    say: Text
    """The sentence that the operator is told."""

    @field_validator("match")
    @classmethod
    def _compiles(cls, match: str) -> str:
        expression(match)
        return match


class LineDescription(InstrumentDescription):
    """A meter that talks in lines of text, over a serial port or a socket."""

    serial: SerialPort | None = None
    tcp: TcpPort | None = None
    line_end: Literal["CR", "LF", "CR LF", "nothing"] = "CR LF"
    """What ends a line that is sent; received lines may end in any of them."""
    begin: Texts = ()
    """Sent once after the port is opened; answers to it are passed over."""
    pause: Annotated[float, Parameter(ge=0, le=60)] = 0.0
    """Seconds to wait after each line of `begin`."""
    measure: Text
    """Sent for each reading; names of `FIELDS` in braces stand for what is told of the place."""
    end: Texts = ()
    """Sent before the port is closed."""
    timeout: Annotated[float, Parameter(ge=0.1, le=600)] = 60.0
    """Seconds within which a reading has to come."""
    answer: Text
    """A regular expression with named groups, found anywhere in a line."""
    scale: Annotated[float, Parameter(ge=1e-6, le=1e6)] = 1.0
    """What X, Y, Z or the luminance are multiplied with to come to cd/m2."""
    other_answers: Annotated[tuple[OtherAnswer, ...], Parameter(strict=False, max_length=20)] = ()

    @field_validator("begin", "end", mode="before")
    @classmethod
    def _one_or_several(cls, given: object) -> object:
        return [given] if isinstance(given, str) else given

    @field_validator("measure")
    @classmethod
    def _has_known_fields(cls, measure: str) -> str:
        unknown = [f"{{{name}}}" for name in placeholders(measure) if name not in FIELDS]
        if wrong := (unknown or lone_braces(measure)):
            known = ", ".join(f"{{{name}}}" for name in FIELDS)
            raise ValueError(
                f"should have no {wrong[0]}: the place is told by {known}; a brace that is sent is "
                "written twice"
            )
        return measure

    @field_validator("answer")
    @classmethod
    def _has_the_groups(cls, answer: str) -> str:
        groups = set(expression(answer).groupindex)
        if groups not in GROUPS:
            named = ", ".join(sorted(groups)) or "none"
            raise ValueError(
                "should have the named groups X, Y and Z, or Y, x and y, or Y, or luminance, as "
                f"in (?P<Y>\\S+), not {named}"
            )
        return answer

    @model_validator(mode="after")
    def _one_port(self) -> Self:
        if (self.serial is None) == (self.tcp is None):
            raise ValueError("should say either serial or tcp")
        return self


def load_line_meter(source: str | Path) -> LineDescription:
    """Read a description. Raises MeterError, whose one sentence says all that is wrong."""
    otherwise = (
        "a meter that talks in lines is written line:FILE, with a YAML file that describes it"
    )
    return described_in(source, LineDescription, "a meter", otherwise)
