"""Pictures on paper: the SVG that a picture is, drawn into a PDF as lines and letters.

It knows what matplotlib's SVG writer makes, and no more: paths of M, L, C, Q and z, `use` of paths
kept in `defs`, text with one anchor, clips to rectangles, hatches as patterns. So a picture is
drawn once for the page and the sheets, and is as sharp on paper as the letters beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, fromstring

from patterns.plain import plain

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.drawing_primitives import DeviceRGB

Point = tuple[float, float]
Style = dict[str, str]
EDGE = 0.01
PIECES = 3
"""Straight pieces that stand for one bend; bends are small here: marks."""
TOKEN = re.compile(r"[MLCQz]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")
OPEN = '<svg xmlns:xlink="x" '


@dataclass(frozen=True, slots=True)
class Line:
    """One stroke of a path, in the picture's points."""

    points: list[Point]
    closed: bool


def size_of(svg: str) -> Point:
    """Width and height of a picture, points."""
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    if found is None:
        raise ValueError("no picture of ours: it has no viewBox")
    return float(found[1]), float(found[2])


def place(pdf: FPDF, svg: str, left: float, top: float, width: float, family: str) -> float:
    """Draw a picture so wide with its corner there, all in the PDF's unit; its height.

    Args:
        pdf: a page is open.
        svg: as `pictures.paper.svg_of` makes it; content from elsewhere is not meant.
        left: of the picture's corner.
        top: of the picture's corner.
        width: how wide.
        family: a font that the document has, for the letters.
    """
    wide, high = size_of(svg)
    root = fromstring(svg.replace("<svg ", OPEN, 1))  # noqa: S314 - our own text
    _Pen(pdf, root, left, top, width / wide, family).draw(root, {})
    return high * width / wide


def letters_of(pdf: FPDF, family: str) -> frozenset[int]:
    """The characters that a font of the document has, by their numbers."""
    return frozenset(getattr(pdf.fonts[family.lower()], "cmap", ()))


def in_letters(text: str, letters: frozenset[int]) -> str:
    """Text on one line in which what a font lacks is shown as replaced, as the library asks."""
    text = plain(re.sub(r"[\t-\r\x85\u2028\u2029]+", " ", text))
    if letters.issuperset(map(ord, text)):
        return text
    return "".join(sign if ord(sign) in letters else "\ufffd" for sign in text)


@lru_cache
def ink_of(red: int, green: int, blue: int) -> DeviceRGB:
    """A colour of 8 bits a channel as the library keeps it; to make one anew takes it long."""
    from fpdf.drawing_primitives import DeviceRGB

    return DeviceRGB(red / 255, green / 255, blue / 255)


class _Pen:
    def __init__(
        self, pdf: FPDF, root: Element, left: float, top: float, scale: float, family: str
    ) -> None:
        self.pdf, self.left, self.top, self.scale, self.family = pdf, left, top, scale, family
        self.letters = letters_of(pdf, family)
        self.known = {f"#{each.get('id')}": each for each in root.iter() if each.get("id")}

    def at(self, point: Point) -> Point:
        return self.left + point[0] * self.scale, self.top + point[1] * self.scale

    def draw(self, element: Element, style: Style) -> None:
        if element.tag == "defs":
            return
        style = style | _style(element)
        with self._clip(element):
            if element.tag == "path":
                self._path(_lines(element.get("d", "")), style)
            elif element.tag == "use":
                path = self.known[element.get("{x}href", "")]
                shift = float(element.get("x", 0)), float(element.get("y", 0))
                self._path(_moved(_lines(path.get("d", "")), shift), _style(path) | style)
            elif element.tag == "text":
                self._text(element, style)
            for child in element:
                self.draw(child, style)

    @contextmanager
    def _clip(self, element: Element) -> Iterator[None]:
        with ExitStack() as stack:
            link = element.get("clip-path")
            clip = self.known.get(link[4:-1]) if link else None
            if clip is not None and len(clip) and clip[0].tag == "rect":
                x, y, w, h = (float(clip[0].get(n, 0)) for n in ("x", "y", "width", "height"))
                if not self._lies_in(element, x, y, w, h):  # a clip takes long
                    stack.enter_context(self._only((x, y), w, h))
            yield

    @staticmethod
    def _lies_in(element: Element, x: float, y: float, width: float, height: float) -> bool:
        """Whether all of a path, or the middles of all marks, lie in a rectangle."""
        if element.tag == "path":
            points = [point for line in _lines(element.get("d", "")) for point in line.points]
        elif all(child.tag == "use" for child in element):
            points = [(float(u.get("x", 0)), float(u.get("y", 0))) for u in element]
        else:
            return False
        return all(
            x - EDGE <= a <= x + width + EDGE and y - EDGE <= b <= y + height + EDGE
            for a, b in points
        )

    @contextmanager
    def _only(self, corner: Point, width: float, height: float) -> Iterator[None]:
        """Within a rectangle.

        What the library believes of inks and lines is put back after it, as the page's is; its own
        way copies the fonts too, each time.
        """
        pdf, size = self.pdf, (width * self.scale, height * self.scale)
        kept = pdf.draw_color, pdf.fill_color, pdf.line_width, dict(pdf.dash_pattern)
        with pdf.rect_clip(*self.at(corner), *size):
            yield
        pdf.draw_color, pdf.fill_color, pdf.line_width, pdf.dash_pattern = kept

    def _path(self, lines: list[Line], style: Style) -> None:
        fill, stroke = style.get("fill", "#000000"), style.get("stroke", "none")
        if style.get("fill-opacity") == "0":
            fill = "none"
        if fill.startswith("url("):
            for line in lines:
                self._hatched(line, self.known[fill[4:-1]])
            fill = "none"
        width = float(style.get("stroke-width", 1)) if stroke != "none" else 0.0
        how = ("D" if width > 0 else "") + ("F" if fill != "none" else "")
        if not how:
            return
        pdf = self.pdf
        if fill != "none":
            pdf.set_fill_color(_colour(fill))
        if width > 0:
            pdf.set_draw_color(_colour(stroke))
            pdf.set_line_width(width * self.scale)
            self._dashes(style)
        for line in lines:
            if len(line.points) > 1:
                shape = [self.at(point) for point in line.points]
                pdf.polyline(shape, polygon=line.closed, style=how)
        if style.get("stroke-dasharray", "none") != "none":
            pdf.set_dash_pattern()

    def _dashes(self, style: Style) -> None:
        found = re.findall(r"[\d.]+", style.get("stroke-dasharray", ""))
        if len(found) > 1:  # the library knows one dash and one gap: the first two stand for all
            self.pdf.set_dash_pattern(float(found[0]) * self.scale, float(found[1]) * self.scale)

    def _hatched(self, shape: Line, pattern: Element) -> None:
        """The ground of a pattern, and its strokes tiled over the shape, which is a rectangle."""
        ground = pattern.find("rect")
        strokes = pattern.find("path")
        if ground is None or strokes is None:
            return
        self._path([shape], {"fill": _style(ground).get("fill", ground.get("fill", "#000000"))})
        (x0, x1), (y0, y1) = ((min(axis), max(axis)) for axis in zip(*shape.points, strict=True))
        wide, high = float(pattern.get("width", 72)), float(pattern.get("height", 72))
        style = _style(strokes) | {"fill": "none"}
        tile = _lines(strokes.get("d", ""))
        with self._only((x0, y0), x1 - x0, y1 - y0):
            for column in range(int(x0 // wide), int(x1 // wide) + 1):
                for row in range(int(y0 // high), int(y1 // high) + 1):
                    lines = _moved(tile, (column * wide, row * high))
                    self._path([line for line in lines if _within(line, x0, x1, y0, y1)], style)

    def _text(self, element: Element, style: Style) -> None:
        text = in_letters("".join(element.itertext()), self.letters)
        size = float(re.findall(r"[\d.]+", style.get("font-size", "8"))[0])
        pdf = self.pdf
        bold = "B" if style.get("font-weight", "") in {"bold", "700"} else ""
        pdf.set_font(self.family, bold, size * self.scale * pdf.k)
        pdf.set_text_color(_colour(style.get("fill", "#000000")))
        x, y = self._where(element)
        turned = re.search(r"rotate\((-?[\d.]+)", element.get("transform", ""))
        angle = -float(turned[1]) if turned else 0.0
        anchor = {"middle": 0.5, "end": 1.0}.get(style.get("text-anchor", "start"), 0.0)
        x, y = self.at((x, y))
        with ExitStack() as stack:
            if angle % 360:
                stack.enter_context(pdf.rotation(angle, x, y))
            pdf.text(x - anchor * pdf.get_string_width(text), y, text)

    def _where(self, element: Element) -> Point:
        x, y = float(element.get("x", 0)), float(element.get("y", 0))
        moved = re.search(r"translate\(([-\d.]+)[ ,]+([-\d.]+)\)", element.get("transform", ""))
        return (x + float(moved[1]), y + float(moved[2])) if moved else (x, y)


def _style(element: Element) -> Style:
    parts = (part.partition(":") for part in element.get("style", "").split(";"))
    return {name.strip(): value.strip() for name, _, value in parts if value.strip()}


def _colour(text: str) -> DeviceRGB:
    return ink_of(int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16))


def _moved(lines: list[Line], shift: Point) -> list[Line]:
    return [Line([(x + shift[0], y + shift[1]) for x, y in n.points], n.closed) for n in lines]


def _within(line: Line, x0: float, x1: float, y0: float, y1: float) -> bool:
    """Whether any of a stroke may lie in a rectangle."""
    across, down = zip(*line.points, strict=True)
    return bool(min(across) <= x1 and max(across) >= x0 and min(down) <= y1 and max(down) >= y0)


@lru_cache(maxsize=512)
def _lines(path: str) -> list[Line]:
    """A path as strokes of straight pieces."""
    lines: list[Line] = []
    points: list[Point] = []
    tokens = TOKEN.findall(path)
    place, command = 0, "M"
    takes = {"M": 1, "L": 1, "Q": 2, "C": 3}
    while place < len(tokens):
        if tokens[place] in {*takes, "z"}:
            command = tokens[place]
            place += 1
            if command == "z":
                lines.append(Line(points, True))
                points = points[:1]
                continue
        numbers = [float(token) for token in tokens[place : place + 2 * takes[command]]]
        place += 2 * takes[command]
        given = list(zip(numbers[::2], numbers[1::2], strict=True))
        if command == "M":
            if len(points) > 1:
                lines.append(Line(points, False))
            points = given
            command = "L"
        elif command == "L":
            points += given
        else:
            points += _bend([points[-1], *given])
    if len(points) > 1:
        lines.append(Line(points, False))
    return lines


def _bend(corners: list[Point]) -> list[Point]:
    """Points along a Bézier curve, without its first."""
    out = []
    for step in range(1, PIECES + 1):
        t, row = step / PIECES, corners
        while len(row) > 1:
            row = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for a, b in pairwise(row)]
        out.append(row[0])
    return out
