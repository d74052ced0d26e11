"""Make docs/catalogue.md and its pictures from the registry of kinds, or check them.

Usage: python tools/catalogue.py [--check]
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from patterns.files.overview import thumbnail
from patterns.kinds import KINDS, Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame, distinct_rows
from patterns.signal.signal import Signal
from player.commands.patterns import parameters

DOCS = Path(__file__).parent.parent / "docs"
PAGE, PICTURES = DOCS / "catalogue.md", DOCS / "pictures" / "catalogue"
CANVAS = Canvas(1920, 1080)
FAMILIES = (
    "line-up",
    "black and contrast",
    "zones and halo",
    "peak and tone",
    "colour",
    "uniformity and panel",
    "geometry and path",
    "motion and time",
)
MOST_SPOTS = 64
RING = (255, 160, 40)
PIECE = (40, 24)


def signal_for(kind: type[Pattern]) -> Signal:
    """The signal that a kind is pictured in."""
    return kind.usual_signal("sdr10", "pq10", "hlg10")


def pictures() -> Iterator[tuple[str, np.ndarray]]:
    """File name and sRGB picture of every example, (h, w, 3) uint8."""
    for name, kind in KINDS.items():
        signal = signal_for(kind)
        for number, example in enumerate(kind.examples, 1):
            pattern = kind.model_validate(dict(example))
            frame = pattern.frame(CANVAS, signal)
            yield f"{name}-{number}.png", marked(thumbnail(frame), pattern)
            if kind.detail:
                yield f"{name}-{number}-detail.png", enlarged(frame)


def marked(picture: Image.Image | np.ndarray, pattern: Pattern) -> np.ndarray:
    """The picture with a ring around each measuring place, where there are several."""
    image = Image.fromarray(np.asarray(picture))
    spots = pattern.spots(CANVAS)
    if 1 < len(spots) <= MOST_SPOTS:
        draw = ImageDraw.Draw(image)
        for spot in spots.values():
            x = float(spot.x) * image.width / CANVAS.width
            y = float(spot.y) * image.height / CANVAS.height
            draw.ellipse((x - 3, y - 3, x + 3, y + 3), outline=RING)
    return np.asarray(image)


def enlarged(frame: Frame) -> np.ndarray:
    """A piece that has the most colours side by side, each pixel as a square of eight."""
    width, height = PIECE
    starts = [
        (x, y)
        for y in range(0, frame.height - height, frame.height // 9)
        for x in range(0, frame.width - width, frame.width // 9)
    ]

    def changes(start: tuple[int, int]) -> int:
        piece = cut(frame, *start).astype(int)
        across, down = np.diff(piece, axis=1), np.diff(piece, axis=0)
        return int(np.count_nonzero(across) + np.count_nonzero(down))

    piece = cut(frame, *max(starts, key=changes))
    small = Frame(*distinct_rows(np.ascontiguousarray(piece)), frame.signal)
    picture = np.asarray(thumbnail(small, side=max(PIECE)))
    return picture.repeat(8, axis=0).repeat(8, axis=1)


def cut(frame: Frame, x: int, y: int) -> np.ndarray:
    """A piece of the frame's codes with its top left pixel at x, y."""
    width, height = PIECE
    return frame.rows[frame.order[y : y + height]][:, x : x + width]


def page() -> str:
    """The whole page."""
    lines = [
        "# The pattern catalogue",
        "",
        "Every kind of pattern with its parameters and defaults. `make catalogue` makes this page",
        "and its pictures from the code; the pictures are for people, reduced and without the",
        "exact codes. Rings mark the places to measure; they are not in the pattern. Where a kind",
        "lives in single pixels, a piece of 40 x 24 pixels is shown enlarged eight times. Moving",
        "kinds are pictured at their start.",
        "",
    ]
    unknown = {kind.family for kind in KINDS.values()} - set(FAMILIES)
    if unknown:
        raise SystemExit(f"Unknown families: {', '.join(sorted(unknown))}.")
    for family in FAMILIES:
        kinds = {name: kind for name, kind in KINDS.items() if kind.family == family}
        if not kinds:
            continue
        lines += [f"## {family.capitalize()}", ""]
        for name, kind in kinds.items():
            lines += section(name, kind)
    return "\n".join(lines).rstrip() + "\n"


def section(name: str, kind: type[Pattern]) -> list[str]:
    """One kind: summary, pictures, parameters."""
    lines = [f"### {name}", "", f"{kind.summary[0].upper()}{kind.summary[1:]}.", ""]
    if kind.signals:
        lines += [f"Made for {' and '.join(kind.signals)}.", ""]
    for number, example in enumerate(kind.examples, 1):
        written = json.dumps(dict(example), ensure_ascii=False)
        said = "with its defaults" if not example else f"`{written}`"
        shown = [f"![{name}](pictures/catalogue/{name}-{number}.png)"]
        if kind.detail:
            shown.append(f"![{name}, enlarged](pictures/catalogue/{name}-{number}-detail.png)")
        lines += [" ".join(shown), ""]
        lines += [f"In {signal_for(kind).name}, {said}.", ""]
    lines += ["| parameter | default | meaning |", "|---|---|---|"]
    for parameter, default, meaning in parameters(name):
        lines.append(f"| `{parameter}` | {default} | {meaning.replace('|', '/')} |")
    return [*lines, ""]


def write() -> None:
    """Write the page and the pictures, and remove pictures of kinds that are gone."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    kept = set()
    for name, picture in pictures():
        Image.fromarray(picture).save(PICTURES / name, optimize=True)
        kept.add(name)
    for old in PICTURES.glob("*.png"):
        if old.name not in kept:
            old.unlink()
    PAGE.write_text(page(), encoding="utf-8")


def check() -> list[str]:
    """What is not as the code has it."""
    wrong = []
    if not PAGE.exists() or PAGE.read_text(encoding="utf-8") != page():
        wrong.append(PAGE.name)
    kept = set()
    for name, picture in pictures():
        kept.add(name)
        path = PICTURES / name
        if not path.exists() or not np.array_equal(np.asarray(Image.open(path)), picture):
            wrong.append(name)
    wrong += [path.name for path in PICTURES.glob("*.png") if path.name not in kept]
    return wrong


def main() -> None:
    """Write, or with --check say what is not current and fail."""
    if sys.argv[1:] == ["--check"]:
        wrong = check()
        if wrong:
            raise SystemExit(f"Not current: {', '.join(wrong)}; run make catalogue.")
        return
    if sys.argv[1:]:
        raise SystemExit(__doc__)
    write()


if __name__ == "__main__":
    main()
