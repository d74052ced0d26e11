"""What a reading of light should come to, and how far it is from that, in words and numbers.

Targets are those of the findings (`readings.evidence.aim`) for one reading: what the visit and its
sequence aim at, between the white and the black that were read under the same settings. Limits are
those that findings hold, and no others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from patterns.words import figures
from player.run.expecting import short
from readings.colorimetry.chromaticity import Floats, xy_of, xyz_of
from readings.evidence.aim import aimed_xyz, matrix_of
from readings.evidence.measured import Measured
from readings.evidence.references import Reference, black_of, settings_of, white_of
from readings.evidence.shown import area_of, grey_value, place_of, signal_of, values_of
from readings.evidence.uncertainty import Estimate, mean_of, ratio_of

if TYPE_CHECKING:
    from readings.findings.kind import Limit, OfOne

SEEN = 1.0
"""Delta E below which two colours look alike: common practice, no source."""
LITTLE = 3.0
"""Delta E up to which a colour is a little off where no limit is held of it, as greys have it."""
FAR = 3.0
"""Times a target from which on no percent are told."""
BESIDE = 0.5
"""Share of the larger of two differences from which on the smaller is told beside it."""
HUES = ("red", "yellow", "green", "cyan", "blue", "magenta")
"""Sixths of the way round, from the channel that a tint has too much of to the next."""
AROUND = ((30.0, "red"), (100.0, "yellow"), (140.0, "green"), (200.0, "cyan"), (295.0, "blue"),
          (330.0, "magenta"))  # fmt: skip
"""Hue angles of CIELAB about which primaries and secondaries of the usual spaces lie, degrees."""
SAME_HUE = 15.0
"""Degrees by which the next of them is farther on than the colour itself."""


@dataclass(frozen=True)
class Target:
    """What a reading should come to."""

    luminance: float | None
    """cd/m2; None where only a colour can be told, as of the white that makes all targets."""
    xy: tuple[float, float] | None
    """None of black."""
    grey: bool
    white: Reference
    """The white that it rests on, or that says how bright the display is; none where none is."""
    absolute: bool
    """Whether the luminance is that of the signal, or of what was stated, whatever was read."""
    held: bool = True
    """Whether limits are for it: what is beyond the display's white is no error of its curve."""

    @property
    def figure(self) -> str:
        """For the operator, with the unit left out: `target 203`; empty without a luminance."""
        return "" if self.luminance is None else f"target {short(self.luminance)}"

    @property
    def basis(self) -> str:
        """Where it is from: `from white 98.4`, `from white 98.4 of run 2`; empty of an absolute."""
        if self.absolute or not self.white.readings:
            return ""
        where = f" of run {self.white.elsewhere}" if self.white.elsewhere is not None else ""
        return f"from white {short(_mean(self.white))}{where}"


@dataclass(frozen=True)
class Told:
    """How far a reading is from its target."""

    target: Target
    light: str
    """`1.7 % too bright`, `there`; empty where no luminance is aimed at."""
    light_held: str
    """`within 12 %`; empty where no limit fits."""
    colour: str
    """`delta E 2000 1.8`; empty where no colour was read, or none is aimed at."""
    colour_held: str
    """`within 3`; empty where no limit fits."""
    hue: str
    """`a little too blue`, `there`; empty where no colour was read."""
    outside: bool
    """Whether anything lies outside a limit."""
    corrected: float | None = None
    """cd/m2 by the meter's correction, which all of this is about; None where it has none."""

    @property
    def sentence(self) -> str:
        """`Target 405 cd/m2: 1.7 % too bright, within 12 %. Delta E 2000 1.8: within 3; there.`"""
        parts = []
        if self.corrected is not None:
            parts.append(f"Corrected, that is {short(self.corrected)} cd/m2.")
        if self.light and self.target.luminance is not None:
            off = ", ".join(filter(None, (self.light, self.light_held)))
            parts.append(f"Target {short(self.target.luminance)} cd/m2: {off}.")
        if self.colour:
            held = "; ".join(filter(None, (self.colour_held, self.hue)))
            parts.append(f"{self.colour[:1].upper()}{self.colour[1:]}: {held}.")
        return " ".join(parts)

    @property
    def in_short(self) -> str:
        """The errors alone: `1.7 % too bright, delta E 1.8`."""
        colour = self.colour.replace(" 2000", "").replace(" ITP", "")
        return ", ".join(filter(None, (self.light, colour)))


def is_end(reading: Measured) -> bool:
    """Whether it is a white or a black that others may be judged by: plain, in the middle."""
    if reading.luminance is None or area_of(reading) is None:
        return False
    if grey_value(reading) not in (0.0, 1.0):
        return False
    place = place_of(reading)
    return place is None or place.central


def target_of(asked: Measured, ends: Sequence[Measured]) -> Target | None:
    """What a reading should come to; None where that cannot be said.

    Args:
        asked: the step with the codes where it is read; whether it was read yet does not matter.
        ends: whites and blacks of the visit (`is_end`), under whatever settings.
    """
    signal, values = signal_of(asked), values_of(asked)
    if signal is None or values is None or not asked.of_light:
        return None
    aim, value = asked.aim, grey_value(asked)
    grey, absolute = value is not None and not _is_patch(asked), signal.transfer.name == "pq"
    here = [each for each in ends if _same(each, asked)]
    area = area_of(asked)
    if value is not None and value <= 0:
        stated = aim.black if signal.transfer.name == "bt1886" else None
        return None if not stated else Target(stated, None, True, Reference(), True)
    if value == 1 and not absolute:
        return Target(aim.white, aim.white_xy, True, Reference(), True)
    mine = [each for each in here if each.run == asked.run] or [replace(asked, luminance=None)]
    white, black = white_of(mine, here, area), black_of(mine, here, area)
    lit = _mean(white) if white.readings else np.nan
    dark = max(_mean(black), 0.0) if black.readings else 0.0
    if not absolute and not lit > dark:
        return None
    xyz = aimed_xyz([asked], lit, dark)[0]
    if not np.isfinite(xyz).all() or not xyz[1] > 0:
        return None
    x, y = xy_of(xyz)
    luminance = float(xyz[1])
    held = not (absolute and lit > 0 and _most(asked) > lit)
    xy = aim.white_xy if grey else (float(x), float(y))
    return Target(luminance, xy, grey, white, absolute, held)


def told_of(reading: Measured, ends: Sequence[Measured]) -> Told | None:
    """How far a reading is from its target; None where nothing can be said.

    Args:
        reading: what was read, with the codes where it was.
        ends: as of `target_of`, without the reading itself.
    """
    target = target_of(reading, ends)
    return None if target is None else _told(reading, target)


def balance_of(reading: Measured, target: Target | None) -> tuple[float, float, float] | None:
    """Light of red, green and blue of a grey, each in shares of what is wanted of it.

    Where no luminance is aimed at, that which was read is: then it says of the colour alone.

    Args:
        reading: what was read, with the codes where it was.
        target: what it should come to; None where that is not known, as before a white is read.

    Returns:
        1 is on the mark. None of a colour, of black, and without x and y.
    """
    signal, value = signal_of(reading), grey_value(reading)
    if signal is None or value is None or value <= 0 or not reading.luminance:
        return None
    if reading.x is None or reading.y is None or not reading.y > 0:
        return None
    light, xy = reading.luminance, reading.aim.white_xy
    if target is not None and target.luminance and target.held:
        light = target.luminance
    inverse = np.linalg.inv(matrix_of(signal.primaries, xy))
    seen = inverse @ xyz_of(reading.luminance, (reading.x, reading.y))
    red, green, blue = (float(each) for each in seen / (inverse @ xyz_of(light, xy)))
    return red, green, blue


def _told(reading: Measured, target: Target) -> Told | None:
    if reading.luminance is None:
        return None
    estimate = _estimate([reading])
    light, light_held, light_out = "", "", False
    if target.luminance is not None:
        light, light_held, light_out = _light(reading, target, estimate)
    colour, colour_held, hue, colour_out = "", "", "", False
    # of a step that asks for a luminance alone, the colour is told by nobody, and nothing is loaded
    if reading.quantity == "colour" and target.xy is not None and not estimate.hidden:
        colour, colour_held, hue, colour_out = _colour(reading, target)
    if not light and not colour:
        return None
    corrected = None if reading.as_read is None else reading.luminance
    outside = light_out or colour_out
    return Told(target, light, light_held, colour, colour_held, hue, outside, corrected)


# ---- light


def _light(reading: Measured, target: Target, estimate: Estimate) -> tuple[str, str, bool]:
    aimed, read = target.luminance or 0.0, estimate.value
    percent = 100 * (read / aimed - 1)
    held, outside = [], False
    limit = _limit_for(reading, target, "white" if grey_value(reading) == 1 else "light")
    if limit is not None:
        outside = abs(percent) > limit.limit
        held.append(f"{'outside' if outside else 'within'} {limit.limit:g} %")
    if not target.held:
        held.append("more than white has")
    spread = _spread(target, estimate)
    if spread is not None and abs(percent) <= spread:
        held.append("within the meter's error")
    return _how_far(read, aimed), ", ".join(held), outside


def _how_far(read: float, aimed: float) -> str:
    ratio = read / aimed
    if ratio >= FAR:
        return f"{figures(ratio, 2)} times too bright"
    percent = 100 * (ratio - 1)
    text = f"{abs(percent):.1f}" if abs(percent) < 9.95 else f"{abs(percent):.0f}"
    if float(text) == 0:
        return "there"
    return f"{text} % too {'bright' if percent > 0 else 'dark'}"


def _spread(target: Target, estimate: Estimate) -> float | None:
    """Expanded uncertainty of the error, percent; None where it is not known.

    What the meter gets wrong in white alike cancels, as in the findings.
    """
    if not estimate.value > 0:
        return None
    if target.absolute or not target.white.readings:
        found = mean_of([estimate])
    else:
        found = ratio_of([estimate], [_estimate(target.white.readings)])
    return None if found.expanded is None else 100 * found.expanded / found.value


def _estimate(repeats: Sequence[Measured]) -> Estimate:
    from readings.findings.basis import Basis

    return Basis().estimate(repeats)


# ---- colour


def _colour(reading: Measured, target: Target) -> tuple[str, str, str, bool]:
    from readings.colorimetry.difference import delta_e_2000, delta_e_itp

    if reading.x is None or reading.y is None or not reading.y > 0 or target.xy is None:
        return "", "", "", False
    light = float(reading.luminance or 0.0)
    seen = xyz_of(light, (reading.x, reading.y))
    # the colour of a grey alone: how bright it is was told by itself
    aim = xyz_of(light if target.grey or target.luminance is None else target.luminance, target.xy)
    sdr = reading.signal.get("transfer") == "bt1886"
    lit = _mean(target.white) if target.white.readings else light
    white = xyz_of(lit, reading.aim.white_xy)
    if sdr:
        name, apart = "delta E 2000", float(delta_e_2000(seen, aim, white))
    else:
        name, apart = "delta E ITP", float(delta_e_itp(seen, aim))
    held, outside = [], False
    limit = _limit_for(reading, target, "tint" if target.grey else "colour")
    if limit is not None:
        outside = apart > limit.limit
        held.append(f"{'outside' if outside else 'within'} {limit.limit:g}")
    if _within_promise(reading, target):
        held.append("within the meter's error")
    hue = "there" if apart < SEEN else _hue(reading, target, seen, aim, white)
    little = apart <= LITTLE if limit is None else not outside
    if hue not in ("", "there") and little:
        hue = f"a little {hue}"
    return f"{name} {apart:.1f}", ", ".join(held), hue, outside


def _within_promise(reading: Measured, target: Target) -> bool:
    """Whether x and y lie as near to the target's as the meter promises, and light with them."""
    promised = reading.specification
    known = None if promised is None else promised.chromaticity_uncertainty
    if known is None or target.xy is None or reading.x is None or reading.y is None:
        return False
    if max(abs(reading.x - target.xy[0]), abs(reading.y - target.xy[1])) > known:
        return False
    if target.grey or target.luminance is None:
        return True
    estimate = _estimate([reading])
    spread = _spread(target, estimate)
    return spread is not None and abs(100 * (estimate.value / target.luminance - 1)) <= spread


def _hue(reading: Measured, target: Target, seen: Floats, aim: Floats, white: Floats) -> str:
    """What there is too much of; of light alone it was told already."""
    if target.grey:
        return f"too {_tint(reading, seen)}"
    from readings.colorimetry.difference import lab_of, lightness_chroma_hue

    alike = seen * (aim[1] / seen[1])  # as bright as the target
    _, chroma, hue = lightness_chroma_hue(alike, aim, white)
    lab = lab_of(aim, white)
    # how much of each is seen of a strong colour: the weights of CIE 116-1995, from memory
    strong = float(np.hypot(lab[1], lab[2]))
    chroma, hue = chroma / (1 + 0.045 * strong), hue / (1 + 0.015 * strong)
    if max(abs(chroma), abs(hue)) < SEEN / 2:
        return ""
    if grey_value(reading) is not None:
        return f"too {_tint(reading, seen)}"
    angle = float(np.degrees(np.arctan2(lab[2], lab[1]))) % 360
    both = [
        (abs(chroma), "too pale" if chroma < 0 else "too colourful"),
        (abs(hue), f"too {_next(angle, 1 if hue > 0 else -1)}"),
    ]
    largest = max(both)[0]
    return " and ".join(said for size, said in sorted(both)[::-1] if size >= BESIDE * largest)


def _tint(reading: Measured, seen: Floats) -> str:
    """Which channel a grey has too much of, or which two: the balance of the greyscale finding."""
    signal = signal_of(reading)
    assert signal is not None  # noqa: S101 - it has a target
    inverse = np.linalg.inv(matrix_of(signal.primaries, reading.aim.white_xy))
    red, green, blue = (float(each) for each in inverse @ seen / seen[1])
    # the angle about the grey axis, red at 0 degrees and green at 120
    turn = np.degrees(np.arctan2(3**0.5 * (green - blue), 2 * red - green - blue)) % 360
    return HUES[round(turn / 60) % 6]


def _next(angle: float, way: int) -> str:
    """The primary or secondary that lies next to a hue angle, that way round."""
    ahead = ((((each - angle) * way) % 360, name) for each, name in AROUND)
    return min((turn, name) for turn, name in ahead if turn >= SAME_HUE)[1]


# ---- what it rests on


def _is_patch(asked: Measured) -> bool:
    """Whether it is one of the patches of a finding of colour, such as a grey of a chart: those
    are judged in light and colour together."""
    role, transfer = asked.role or "", str(asked.signal.get("transfer", ""))
    return bool(limit_of(role, "colour", transfer)) and not limit_of(role, "tint", transfer)


def _same(end: Measured, asked: Measured) -> bool:
    return end.reading != asked.reading and settings_of(end) == settings_of(asked)


def _mean(found: Reference) -> float:
    """cd/m2 of a reference that has readings."""
    return _estimate(found.readings).value


def _most(asked: Measured) -> float:
    """cd/m2 of white that the channel asks for that is driven highest, in PQ."""
    signal, values = signal_of(asked), values_of(asked)
    if signal is None or values is None:
        return 0.0
    return float(signal.transfer.decode(values).max())


def _limit_for(reading: Measured, target: Target, of: OfOne) -> Limit | None:
    if not target.held:
        return None
    return limit_of(reading.role or "", of, str(reading.signal.get("transfer", "")))


@lru_cache(maxsize=256)
def limit_of(role: str, of: OfOne, transfer: str) -> Limit | None:
    """The limit that a finding holds of a single reading of this role; None where none does."""
    from readings.findings import FINDINGS

    for kind in FINDINGS.values():
        if role in kind.roles():
            for limit in kind.limits:
                if limit.each == of and (not limit.transfers or transfer in limit.transfers):
                    return limit
    return None
