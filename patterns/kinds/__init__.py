"""Pattern kinds: one file per family, one line each here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module

from patterns.kinds.base import CrawlingPattern, MovingPattern, Pattern


class Kinds(Mapping[str, type[Pattern]]):
    """Kinds by their names. The file of a kind is loaded when the kind is first asked for.

    All of them take longer to load than the rest of a player's start, and a sequence uses few.
    """

    def __init__(self, places: Mapping[str, str]) -> None:
        self._places = places
        self._loaded: dict[str, type[Pattern]] = {}

    def __getitem__(self, name: str) -> type[Pattern]:
        if name not in self._loaded:
            file, _, model = self._places[name].partition(".")
            self._loaded[name] = getattr(import_module(f"patterns.kinds.{file}"), model)
        return self._loaded[name]

    def __contains__(self, name: object) -> bool:
        return name in self._places

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


KINDS = Kinds(
    {
        "field": "window.Field",
        "window": "window.Window",
        "checkerboard": "checkerboard.Checkerboard",
        "bars": "bars.Bars",
        "bars-rp219": "bars_rp219.BarsRp219",
        "bars-bt2111": "bars_bt2111.BarsBt2111",
        "pluge": "near.Pluge",
        "ladder": "ladder.Ladder",
        "ramp": "ladder.Ramp",
        "near-black": "near.NearBlack",
        "near-white": "near.NearWhite",
        "moving-box": "moving_box.MovingBox",
        "border": "lines.Border",
        "pixel-checks": "lines.PixelChecks",
        "lines": "lines.Lines",
        "grid": "lines.Grid",
        "circles": "lines.Circles",
        "chroma-lines": "zone_plate.ChromaLines",
        "zone-plate": "zone_plate.ZonePlate",
        "depth-ramp": "code_ramp.DepthRamp",
        "range-check": "code_ramp.RangeCheck",
        "code-ramp": "code_ramp.CodeRamp",
        "comb": "moving_box.Comb",
        "single-box": "moving_box.SingleBox",
        "halo": "halo.Halo",
        "stars": "stars.Stars",
        "moving-stars": "stars.MovingStars",
        "pulse": "flash.Pulse",
        "scroll": "pan.Scroll",
        "texture": "pan.Texture",
        "pan": "pan.Pan",
        "flash": "flash.Flash",
        "frame-counter": "flash.FrameCounter",
        "surround": "checkerboard.Surround",
        "corner-boxes": "checkerboard.CornerBoxes",
        "uniformity": "uniformity.Uniformity",
        "stripes": "uniformity.Stripes",
        "ebu-boxes": "ebu_3325.EbuBoxes",
        "ebu-square": "ebu_3325.EbuSquare",
        "ebu-grey": "ebu_3325.EbuGrey",
        "ebu-colour": "ebu_3325.EbuColour",
        "highlights": "highlights.Highlights",
        "patch": "patch.Patch",
        "saturation": "patch.Saturation",
        "chart-patch": "chart.OneChartPatch",
        "chart": "chart.WholeChart",
        "skin": "patch.Skin",
        "gamut-walk": "patch.GamutWalk",
        "cube": "cube.Cube",
        "cube-sheet": "cube.CubeSheet",
    }
)
"""Name, file and model of each kind, in the order of the catalogue."""

__all__ = ["KINDS", "CrawlingPattern", "Kinds", "MovingPattern", "Pattern"]
