"""Pattern kinds: one file per family, one line each here."""

from __future__ import annotations

from patterns.kinds.bars import Bars
from patterns.kinds.bars_bt2111 import BarsBt2111
from patterns.kinds.bars_rp219 import BarsRp219
from patterns.kinds.base import CrawlingPattern, MovingPattern, Pattern
from patterns.kinds.border import Border
from patterns.kinds.chart import OneChartPatch, WholeChart
from patterns.kinds.checkerboard import Checkerboard
from patterns.kinds.chroma_lines import ChromaLines
from patterns.kinds.circles import Circles, Grid
from patterns.kinds.code_ramp import CodeRamp
from patterns.kinds.comb import Comb
from patterns.kinds.corner_boxes import CornerBoxes
from patterns.kinds.counter import FrameCounter
from patterns.kinds.cube import Cube, CubeSheet
from patterns.kinds.depth_ramp import DepthRamp
from patterns.kinds.ebu_3325 import EbuBoxes, EbuColour, EbuGrey, EbuSquare
from patterns.kinds.field import Field
from patterns.kinds.flash import Flash, Pulse
from patterns.kinds.gamut_walk import GamutWalk
from patterns.kinds.halo import Halo
from patterns.kinds.highlights import Highlights
from patterns.kinds.ladder import Ladder
from patterns.kinds.lines import Lines
from patterns.kinds.moving_box import MovingBox
from patterns.kinds.near import NearBlack, NearWhite
from patterns.kinds.pan import Pan
from patterns.kinds.patch import Patch
from patterns.kinds.pixel_checks import PixelChecks
from patterns.kinds.pluge import Pluge
from patterns.kinds.ramp import Ramp
from patterns.kinds.range_check import RangeCheck
from patterns.kinds.saturation import Saturation
from patterns.kinds.scroll import Scroll
from patterns.kinds.single_box import SingleBox
from patterns.kinds.skin import Skin
from patterns.kinds.stars import MovingStars, Stars
from patterns.kinds.stripes import Stripes
from patterns.kinds.surround import Surround
from patterns.kinds.texture import Texture
from patterns.kinds.uniformity import Uniformity
from patterns.kinds.window import Window
from patterns.kinds.zone_plate import ZonePlate

KINDS: dict[str, type[Pattern]] = {
    kind.kind: kind
    for kind in (
        Field,
        Window,
        Checkerboard,
        Bars,
        BarsRp219,
        BarsBt2111,
        Pluge,
        Ladder,
        Ramp,
        NearBlack,
        NearWhite,
        MovingBox,
        Border,
        PixelChecks,
        Lines,
        Grid,
        Circles,
        ChromaLines,
        ZonePlate,
        DepthRamp,
        RangeCheck,
        CodeRamp,
        Comb,
        SingleBox,
        Halo,
        Stars,
        MovingStars,
        Pulse,
        Scroll,
        Texture,
        Pan,
        Flash,
        FrameCounter,
        Surround,
        CornerBoxes,
        Uniformity,
        Stripes,
        EbuBoxes,
        EbuSquare,
        EbuGrey,
        EbuColour,
        Highlights,
        Patch,
        Saturation,
        OneChartPatch,
        WholeChart,
        Skin,
        GamutWalk,
        Cube,
        CubeSheet,
    )
}

__all__ = ["KINDS", "CrawlingPattern", "MovingPattern", "Pattern"]
