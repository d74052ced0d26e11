"""Pattern kinds: one file per family, one line each here."""

from __future__ import annotations

from patterns.kinds.base import CrawlingPattern, MovingPattern, Pattern
from patterns.kinds.checkerboard import Checkerboard
from patterns.kinds.field import Field
from patterns.kinds.ladder import Ladder
from patterns.kinds.moving_box import MovingBox
from patterns.kinds.near import NearBlack, NearWhite
from patterns.kinds.ramp import Ramp
from patterns.kinds.window import Window

KINDS: dict[str, type[Pattern]] = {
    kind.kind: kind
    for kind in (
        Field,
        Window,
        Checkerboard,
        Ladder,
        Ramp,
        NearBlack,
        NearWhite,
        MovingBox,
    )
}

__all__ = ["KINDS", "CrawlingPattern", "MovingPattern", "Pattern"]
