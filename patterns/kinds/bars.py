"""SDR colour bars over the whole height, named as Rec. ITU-R BT.471 names them.

Four numbers in percent: white / black / most of a colour / least of a colour. BT.471 was seen
second-hand, in an excerpt.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, ClassVar

from pydantic import AfterValidator, WithJsonSchema
from pydantic import Field as Parameter

from patterns.errors import ParameterError
from patterns.kinds.base import Pattern
from patterns.kinds.chart import Layout, middles, painted, row
from patterns.picture.canvas import Canvas, split
from patterns.picture.frame import Frame
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink, Mix
from patterns.signal.measures import Measure

COLOURS = {
    "white": (1, 1, 1),
    "yellow": (1, 1, 0),
    "cyan": (0, 1, 1),
    "green": (0, 1, 0),
    "magenta": (1, 0, 1),
    "red": (1, 0, 0),
    "blue": (0, 0, 1),
    "black": (0, 0, 0),
}
"""Bars in the order of falling luminance, and the channels that are on."""

NAMED = ("100/0/100/0", "100/0/75/0", "100/0/100/25", "75/7.5/75/7.5")
"""The bars that BT.471 names."""


def _four_levels(text: str) -> str:
    if not re.fullmatch(r"\d{1,3}(\.\d{1,2})?(/\d{1,3}(\.\d{1,2})?){3}", text):
        raise ParameterError(
            "white/black/most of a colour/least of a colour in percent, such as 100/0/75/0",
            repr(text[:40]),
        )
    white, black, most, least = map(Decimal, text.split("/"))
    if not (black < white <= 100 and least < most <= 100):
        raise ValueError(
            f"in bars of {text} white has to be above black, the most of a colour above the "
            "least, and none above 100 %"
        )
    return text


Levels = Annotated[
    str,
    AfterValidator(_four_levels),
    WithJsonSchema(
        {"type": "string", "description": "such as 100/0/75/0", "examples": list(NAMED)}
    ),
]


class Bars(Pattern):
    """Eight bars of equal width: white, yellow, cyan, green, magenta, red, blue, black.

    Edges lie at Round(i W / 8). In PQ and HLG the percentages are those of the signal, which
    BT.471 does not know.
    """

    kind: ClassVar[str] = "bars"
    summary: ClassVar[str] = "colour bars over the whole height"
    family: ClassVar[str] = "line-up"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"levels": "75/7.5/75/7.5"})

    levels: Levels = Parameter(
        "100/0/75/0",
        description="white/black/most/least of a colour in percent of signal, as in BT.471",
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        white, black, most, least = (Measure(Decimal(text), "%") for text in self.levels.split("/"))
        colours = {"white": ink("white", white)}
        for name, (red, green, blue) in list(COLOURS.items())[1:-1]:
            r, g, b = (most if on else least for on in (red, green, blue))
            colours[name] = ink(name, Mix(r=r, g=g, b=b))
        colours["black"] = ink("black", black)
        facts = {
            "levels": f"{self.levels} percent of signal: white/black/most/least of a colour",
            "named_in_bt471": self.levels in NAMED and ink.signal.transfer.name == "bt1886",
        }
        return painted(canvas, ink, self.layout(canvas), colours).frame(ink, facts)

    def layout(self, canvas: Canvas) -> Layout:
        """The bars in whole pixels."""
        return row(0, canvas.height, split(canvas.width, len(COLOURS)), list(COLOURS))

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return middles(self.layout(canvas))
