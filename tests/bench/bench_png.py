"""16-bit PNG at 3840x2160: Litfield against OpenCV, imagecodecs and PyAV, and a plain copy.

Each of the others gets the finished 16-bit image in the order of channels it likes best, and is
tried at several settings: its fastest counts for time, and the smallest file of all of them for
size. Litfield starts from a frame, with nothing kept from an earlier file.
"""

import importlib.util
from collections.abc import Callable
from fractions import Fraction
from statistics import median
from time import perf_counter

import cv2
import imagecodecs
import numpy as np
from measure import Promises, interleaved, machine

from patterns.files import png
from patterns.files.container import container16
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas

ROUNDS = 5
CANVAS = Canvas(3840, 2160)


def ours(frame) -> bytes:
    png._same_as_above.cache_clear()
    png._zeros.cache_clear()
    return b"".join(png.png_parts(frame, "benchmark"))


def opencv(bgr, *settings: int) -> bytes:
    done, data = cv2.imencode(".png", bgr, settings)
    assert done
    return data


def pyav(rgb, level: int) -> bytes:
    import av

    context = av.CodecContext.create("png", "w")
    context.width, context.height, context.pix_fmt = CANVAS.width, CANVAS.height, "rgb48be"
    context.time_base = Fraction(1, 60)
    context.options = {"compression_level": str(level)}
    frame = av.VideoFrame.from_ndarray(rgb, format="rgb48be")
    return b"".join(bytes(each) for each in (*context.encode(frame), *context.encode(None)))


def others(image) -> dict[str, Callable[[], bytes]]:
    bgr = np.ascontiguousarray(image[..., ::-1])
    level, strategy, filters = (
        cv2.IMWRITE_PNG_COMPRESSION,
        cv2.IMWRITE_PNG_STRATEGY,
        getattr(cv2, "IMWRITE_PNG_FILTER", None),
    )
    rle = cv2.IMWRITE_PNG_STRATEGY_RLE
    calls: dict[str, Callable[[], bytes]] = {
        "OpenCV": lambda: opencv(bgr),
        "OpenCV 0": lambda: opencv(bgr, level, 0),
        "OpenCV 1": lambda: opencv(bgr, level, 1),
        "OpenCV 1 RLE": lambda: opencv(bgr, level, 1, strategy, rle),
        "OpenCV 3": lambda: opencv(bgr, level, 3),
        "OpenCV 6 RLE": lambda: opencv(bgr, level, 6, strategy, rle),
        "imagecodecs": lambda: imagecodecs.png_encode(image),
        "imagecodecs 1": lambda: imagecodecs.png_encode(image, level=1),
    }
    if filters is not None:
        for name in ("NONE", "SUB", "UP"):
            code = getattr(cv2, f"IMWRITE_PNG_FILTER_{name}", None)
            if code is not None:
                calls[f"OpenCV 1 {name}"] = lambda code=code: opencv(bgr, level, 1, filters, code)
    if importlib.util.find_spec("av"):
        calls["PyAV 1"] = lambda: pyav(image, 1)
    return calls


def screened(calls: dict[str, Callable[[], bytes]]) -> tuple[list[str], int]:
    """Try everyone once: the three quickest go on, and the smallest file counts."""
    times, sizes = {}, {}
    for name, call in calls.items():
        start = perf_counter()
        sizes[name] = len(call())
        times[name] = perf_counter() - start
    return sorted(times, key=lambda name: times[name])[:3], min(sizes.values())


def main() -> None:
    print(f"PNG, {CANVAS}, 16 bits; {machine()}; medians of {ROUNDS} interleaved rounds")
    print(
        f"{'kind':<16}{'rows':>5}{'ours':>9}{'copy':>9}{'fastest of the others':>28}"
        f"{'size':>12}{'least':>10}"
    )
    faster, larger, copies = [], [], []
    for kind, pattern in KINDS.items():
        frame = pattern().frame(CANVAS, pattern.usual_signal("pq10"))
        image = container16(frame).pixels()
        calls = others(image)
        names, least = screened(calls)
        timed = interleaved(
            {"ours": lambda f=frame: ours(f), "copy": lambda i=image: np.copy(i)}
            | {name: calls[name] for name in names},
            ROUNDS,
        )
        name = min(names, key=lambda name: timed[name])
        size = len(ours(frame))
        best = f"{name} {1e3 * timed[name]:8.1f} ms"
        print(
            f"{kind:<16}{len(frame.rows):>5}{1e3 * timed['ours']:6.1f} ms"
            f"{1e3 * timed['copy']:6.1f} ms{best:>28}{size:>10} B{least:>8} B"
        )
        faster.append(timed[name] / timed["ours"])
        copies.append(timed["ours"] / timed["copy"])
        larger.append(size / least)
    promises = Promises()
    promises.at_least("times faster than the fastest of the others", median(faster), 15)
    promises.at_most("size over the smallest of theirs", median(larger), 2)
    promises.at_most("time over one fresh copy of the image in memory", median(copies), 1)
    promises.leave()


if __name__ == "__main__":
    main()
