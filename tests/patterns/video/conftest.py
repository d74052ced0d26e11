"""What the tests of clips share: expected samples by exact fractions, and two decoders."""

import json
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from patterns.picture.frame import Frame
from patterns.signal.ycbcr import MATRICES
from tests.needs import program

Picture = list[np.ndarray]


def expected(frame: Frame, matrix: str, chroma: str = "4:2:0") -> list[np.ndarray]:
    """Y', C'B, C'R of a frame, colour by colour in fractions; at 4:2:0 the top left of each four.

    Not by the code under test: one distinct colour at a time, then row by row.
    """
    packed = frame.rows.astype(np.int64) @ (1 << 32, 1 << 16, 1)
    colours, places = np.unique(packed, return_inverse=True)
    quantiser = frame.signal.quantiser
    codes = []
    for each in colours.tolist():
        rgb = (each >> 32, each >> 16 & 0xFFFF, each & 0xFFFF)
        codes.append(MATRICES[matrix].codes(tuple(map(quantiser.signal, rgb)), quantiser))
    whole = np.array(codes, np.uint16)[places.reshape(packed.shape)][frame.order]
    every = 2 if chroma == "4:2:0" else 1
    return [whole[..., 0], whole[::every, ::every, 1], whole[::every, ::every, 2]]


def frames_pyav(path: Path) -> Iterator[Picture]:
    """The frames of a clip as Y', C'B, C'R, by the decoder that comes with PyAV."""
    import av

    with av.open(str(path)) as container:
        for image in container.decode(video=0):
            kind = np.uint8 if image.format.components[0].bits == 8 else np.uint16
            planes = []
            for plane in image.planes:
                samples = np.frombuffer(plane, kind).reshape(plane.height, -1)
                planes.append(samples[:, : plane.width].copy())
            yield planes


def frames_ffmpeg(program: str, path: Path) -> Iterator[Picture]:
    """The same by the ffmpeg of the system, as raw video."""
    stream = probe(program.replace("ffmpeg", "ffprobe"), path)["streams"][0]
    wide, high, form = stream["width"], stream["height"], stream["pix_fmt"]
    across = 2 if "420" in form else 1
    kind = np.dtype(np.uint16 if form.endswith("le") else np.uint8)
    sizes = [(high, wide), *[(high // across, wide // across)] * 2]
    whole = kind.itemsize * sum(a * b for a, b in sizes)
    ends = np.cumsum([a * b for a, b in sizes])[:-1]
    command = [program, "-v", "error", "-i", path, "-map", "0:v", "-f", "rawvideo", "-"]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as decoder:
        while raw := decoder.stdout.read(whole):
            parts = np.split(np.frombuffer(raw, kind), ends)
            yield [part.reshape(size) for part, size in zip(parts, sizes, strict=True)]
    assert decoder.returncode == 0


def probe(program: str, path: Path) -> dict:
    """What ffprobe says of streams, chapters, and the first frame."""
    wanted = ["-show_streams", "-show_chapters", "-show_frames", "-read_intervals", "%+#1"]
    done = subprocess.run(
        [program, "-v", "error", "-of", "json", *wanted, "-select_streams", "v", path],
        check=True,
        capture_output=True,
    )
    return json.loads(done.stdout)


def same(one: list[np.ndarray], other: list[np.ndarray]) -> bool:
    """Whether two pictures have the same samples in all three planes."""
    return all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


@pytest.fixture(scope="session")
def reading() -> SimpleNamespace:
    """Give the helpers above that need no program."""
    return SimpleNamespace(
        expected=expected,
        frames=frames_pyav,
        decode=lambda path: list(frames_pyav(path)),
        same=same,
    )


@pytest.fixture(scope="session")
def ffmpeg() -> SimpleNamespace:
    """Give the system's ffmpeg as a decoder; skips without it, and fails in CI."""
    decoder = program("ffmpeg", "decodes with it")
    return SimpleNamespace(
        frames=lambda path: frames_ffmpeg(decoder, path),
        decode=lambda path: list(frames_ffmpeg(decoder, path)),
    )


@pytest.fixture(scope="session")
def ffprobe() -> Callable[[Path], dict]:
    """Give the system's ffprobe; skips without it, and fails in CI."""
    prober = program("ffprobe", "decodes with it")
    return lambda path: probe(prober, path)
