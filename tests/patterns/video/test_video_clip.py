"""Clips hold every code, stills and moving pictures alike, and can be entered at every picture."""

import os
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas, parse_canvas
from patterns.picture.frame import Frame
from patterns.signal.measures import Measure
from patterns.signal.signal import named_signal
from patterns.video import RATES, Picture, Settings, VideoError, clip
from patterns.video.encoder import Encoder
from patterns.video.planes import planes_of
from tests.patterns.whole_pictures import frame_of

CANVAS = Canvas(256, 144)
RATE = Fraction(24)
SIGNALS = {
    "sdr8": named_signal("sdr8"),
    "sdr8 narrow": named_signal("sdr8").shown_at(8, "narrow"),
    "sdr10": named_signal("sdr10"),
    "pq8": named_signal("pq8").shown_at(8, "narrow"),
    "pq10": named_signal("pq10"),
    "pq10 full": named_signal("pq10").shown_at(10, "full"),
    "hlg10": named_signal("hlg10"),
    "hlg8": named_signal("hlg8").shown_at(8, "narrow"),
    "pq12": named_signal("pq12"),
}


def noise(signal, seed: int = 1, canvas: Canvas = CANVAS) -> Frame:
    """Blocks of two by two pixels in 250 colours at random: nothing that helps an encoder."""
    random = np.random.default_rng(seed)
    colours = random.integers(signal.quantiser.black, signal.quantiser.white + 1, (250, 3))
    blocks = colours[random.integers(0, 250, (canvas.height // 2, canvas.width // 2))]
    return frame_of(blocks.astype(np.uint16).repeat(2, axis=0).repeat(2, axis=1), signal)


def pictures(signal) -> list[Picture]:
    return [
        Picture(KINDS["window"](), 30, "Window"),
        Picture(noise(signal), 5, "Noise"),
        Picture(KINDS["moving-box"](), 6, "Box"),
        Picture(KINDS["bars"](), 27, "Bars"),
    ]


def meant(shown: list[Picture], settings: Settings, reading) -> list[list[np.ndarray]]:
    """Samples of every frame, worked out one colour at a time."""
    frames = []
    for each in shown:
        one = None
        for number in range(each.hold):
            if one is None or each.moves:
                frame = each.frame(settings, number)
                one = reading.expected(frame, settings.matrix.name, settings.chroma)
            frames.append(one)
    return frames


@pytest.mark.parametrize("name", SIGNALS)
def test_every_sample_is_the_code_meant_by_two_decoders(name, reading, ffmpeg, tmp_path):
    signal = SIGNALS[name]
    settings = Settings(CANVAS, RATE, signal)
    made = clip(pictures(signal), tmp_path / "clip.mp4", settings)
    assert (made.frames, made.largest_errors) == (68, (0, 0, 0))
    wanted = meant(pictures(signal), settings, reading)
    for decode in (reading.decode, ffmpeg.decode):
        shown = decode(tmp_path / "clip.mp4")
        assert len(shown) == 68
        wrong = [n for n, pair in enumerate(zip(shown, wanted, strict=True))
                 if not reading.same(*pair)]  # fmt: skip
        assert not wrong


def test_444_carries_lines_of_one_pixel_in_any_colour(reading, ffmpeg, tmp_path):
    signal = SIGNALS["pq10"]
    settings = Settings(CANVAS, RATE, signal, "4:4:4")
    shown = [Picture(KINDS["chroma-lines"](), 9)]
    clip(shown, tmp_path / "clip.mp4", settings)
    for decode in (reading.decode, ffmpeg.decode):
        found = decode(tmp_path / "clip.mp4")
        assert all(map(reading.same, found, meant(shown, settings, reading)))


def test_a_repeated_still_decodes_as_one_that_is_coded_frame_by_frame(reading, ffmpeg, tmp_path):
    """Over 256 frames too, where the count of pictures begins anew."""
    import av

    signal = SIGNALS["pq10"]
    settings = Settings(CANVAS, RATE, signal)
    clip([Picture(noise(signal), 600)], tmp_path / "repeated.mp4", settings)
    with av.open(str(tmp_path / "plain.mp4"), "w") as container:
        encoder = Encoder(settings, None)
        stream = container.add_mux_stream("hevc", RATE, width=256, height=144)
        stream.time_base = 1 / RATE
        planes = planes_of(noise(signal), settings)
        for number, (unit, key) in enumerate(encoder.coded([planes] * 600)):
            headers = b"".join(b"\0\0\0\1" + each for each in encoder.headers)
            packet = av.Packet(headers + unit if key else unit)
            packet.stream, packet.time_base = stream, 1 / RATE
            packet.pts = packet.dts = number
            packet.is_keyframe = key
            container.mux(packet)
    repeated, plain = (reading.decode(tmp_path / f"{each}.mp4") for each in ("repeated", "plain"))
    assert len(repeated) == 600
    assert len(plain) == 600
    assert all(map(reading.same, repeated, plain))
    assert all(map(reading.same, repeated, ffmpeg.decode(tmp_path / "repeated.mp4")))


def test_a_capped_still_does_not_drift(reading, ffmpeg, tmp_path):
    signal = SIGNALS["pq10"]
    settings = Settings(CANVAS, RATE, signal, compat=True)
    clip([Picture(noise(signal), 300)], tmp_path / "clip.mp4", settings)
    for decode in (reading.decode, ffmpeg.decode):
        found = decode(tmp_path / "clip.mp4")
        assert len(found) == 300
        assert all(reading.same(each, found[0]) for each in found)


def test_a_large_still_is_counted_beyond_256_without_a_key_frame(reading, tmp_path, monkeypatch):
    monkeypatch.setattr("patterns.video.making.KEY_SHARE", 0.001)
    signal = SIGNALS["pq10"]
    settings = Settings(CANVAS, RATE, signal)
    clip([Picture(noise(signal), 700)], tmp_path / "clip.mp4", settings)
    assert keys(tmp_path / "clip.mp4") == [0]
    found = reading.decode(tmp_path / "clip.mp4")
    wanted = reading.expected(noise(signal), "bt2020")
    assert len(found) == 700
    assert all(reading.same(each, wanted) for each in found)


def keys(path: Path) -> list[int]:
    """Numbers of the key frames."""
    import av

    with av.open(str(path)) as container:
        packets = [each for each in container.demux(video=0) if each.pts is not None]
    assert [each.pts for each in packets] == list(range(len(packets)))
    assert [each.dts for each in packets] == list(range(len(packets)))
    return [each.pts for each in packets if each.is_keyframe]


def test_every_picture_begins_with_a_key_frame_and_stills_have_one_a_second(tmp_path):
    signal = SIGNALS["pq10"]
    made = clip(pictures(signal), tmp_path / "clip.mp4", Settings(CANVAS, RATE, signal))
    assert [each.first for each in made.starts] == [0, 30, 35, 41]
    assert keys(tmp_path / "clip.mp4") == [0, 24, 30, 35, 41, 65]


@pytest.mark.parametrize("rate", RATES)
def test_a_player_that_jumps_to_a_picture_sees_it_at_once(rate, reading, tmp_path):
    import av

    signal = SIGNALS["hlg10"]
    settings = Settings(CANVAS, RATES[rate], signal)
    shown = pictures(signal)
    made = clip(shown, tmp_path / "clip.mp4", settings)
    wanted = meant(shown, settings, reading)
    with av.open(str(tmp_path / "clip.mp4")) as container:
        stream = container.streams.video[0]
        assert stream.average_rate == RATES[rate]
        assert stream.frames == 68
        assert stream.duration * stream.time_base == 68 / RATES[rate]
        for start in reversed(made.starts):
            time = start.first / settings.rate
            container.seek(int(time / stream.time_base), stream=stream)
            image = next(container.decode(stream))
            assert image.pts * image.time_base == time
            luma = np.frombuffer(image.planes[0], np.uint16).reshape(144, -1)[:, :256]
            assert np.array_equal(luma, wanted[start.first][0])


def test_pictures_are_chapters_with_their_titles_and_times(tmp_path):
    import av

    settings = Settings(CANVAS, RATES["23.976"], SIGNALS["sdr10"])
    shown = [
        Picture(KINDS["window"](), 48, "Fenster 10 % — blau"),
        Picture(KINDS["bars"](), 24, "Χρώματα"),
        Picture(KINDS["ramp"](), 24),
    ]
    clip(shown, tmp_path / "clip.mp4", settings, "Lobby wall")
    with av.open(str(tmp_path / "clip.mp4")) as container:
        chapters = container.chapters()
        titles = [each["metadata"]["title"] for each in chapters]
        starts = [each["start"] * each["time_base"] for each in chapters]
        assert container.metadata["title"] == "Lobby wall"
    assert titles == ["Fenster 10 % — blau", "Χρώματα", "3"]
    assert [float(each) for each in starts] == pytest.approx([0, 2.002, 3.003], abs=0.001)


def test_one_picture_has_no_chapters(tmp_path):
    import av

    settings = Settings(CANVAS, RATE, SIGNALS["sdr10"])
    clip([Picture(KINDS["window"](), 5, "Window")], tmp_path / "clip.mp4", settings)
    with av.open(str(tmp_path / "clip.mp4")) as container:
        assert container.chapters() == []
        assert len(container.streams) == 1


@pytest.mark.parametrize("size", ["64x64", "66x130", "1366x768", "350x78"])
def test_sizes_that_are_no_whole_blocks_are_cut_to_size(size, reading, ffmpeg, tmp_path):
    canvas = parse_canvas(size)
    signal = SIGNALS["sdr10"]
    shown = [Picture(noise(signal, canvas=canvas), 3)]
    clip(shown, tmp_path / "clip.mp4", Settings(canvas, RATE, signal))
    for decode in (reading.decode, ffmpeg.decode):
        found = decode(tmp_path / "clip.mp4")
        wanted = reading.expected(shown[0].shows, "bt709")
        assert len(found) == 3
        assert all(reading.same(each, wanted) for each in found)


def test_a_blinking_pattern_is_coded_as_stills_and_is_right_in_every_frame(reading, tmp_path):
    settings = Settings(CANVAS, RATES["50"], SIGNALS["hlg10"])
    flash = KINDS["flash"](on=Measure(Decimal(200), "ms"), period=Measure(Decimal(800), "ms"))
    shown = [Picture(flash, 100)]
    made = clip(shown, tmp_path / "clip.mp4", settings)
    assert made.frames == 100
    assert keys(tmp_path / "clip.mp4") == [0, 10, 40, 50, 80, 90]
    found = reading.decode(tmp_path / "clip.mp4")
    wanted = meant(shown, settings, reading)
    assert [n for n in range(100) if not reading.same(found[n], wanted[n])] == []


@pytest.mark.parametrize("name", ["sdr8 narrow", "pq10"])
def test_a_capped_clip_tells_its_largest_error_exactly(name, reading, ffmpeg, tmp_path):
    signal = SIGNALS[name]
    settings = Settings(CANVAS, RATE, signal, compat=True)
    made = clip(pictures(signal), tmp_path / "clip.mp4", settings)
    wanted = meant(pictures(signal), settings, reading)
    for decode in (reading.decode, ffmpeg.decode):
        gaps = [
            [int(np.abs(a.astype(int) - b.astype(int)).max()) for a, b in zip(*pair, strict=True)]
            for pair in zip(decode(tmp_path / "clip.mp4"), wanted, strict=True)
        ]
        assert tuple(map(max, zip(*gaps, strict=True))) == made.largest_errors
    assert max(made.largest_errors) > 0
    assert str(made.level) == "2 Main"
    size = (tmp_path / "clip.mp4").stat().st_size
    assert 8 * size < 1_500_000 * 68 / 24  # the bit rate of level 2


def test_the_same_clip_has_the_same_bytes(tmp_path):
    signal = SIGNALS["pq10"]
    for name in ("one.mp4", "two.mp4"):
        clip(pictures(signal), tmp_path / name, Settings(CANVAS, RATE, signal), "Wall")
    assert (tmp_path / "one.mp4").read_bytes() == (tmp_path / "two.mp4").read_bytes()


def test_progress_counts_every_frame(tmp_path):
    seen: list[tuple[int, int]] = []
    settings = Settings(CANVAS, RATE, SIGNALS["sdr10"])
    shown = pictures(SIGNALS["sdr10"])
    clip(shown, tmp_path / "clip.mp4", settings, progress=lambda *each: seen.append(each))
    assert seen == [(number, 68) for number in range(1, 69)]


@pytest.mark.parametrize(
    ("shown", "sentence"),
    [
        ([], "A clip needs at least one picture."),
        ([Picture(KINDS["window"](), 0, "W")], "W: A picture stands for at least one frame, not"),
        (
            [Picture(KINDS["chroma-lines"](), 1, "Lines")],
            "Lines: At 4:2:0 two by two pixels share one chroma, and those at x ",
        ),
        (
            [Picture(noise(SIGNALS["sdr10"]), 1, "N")],
            "N: A frame of sdr10 does not fit a clip of pq10.",
        ),
        (
            [Picture(noise(SIGNALS["pq10"], canvas=Canvas(64, 64)), 1)],
            "A frame of 64x64 does not fit a clip of 256x144.",
        ),
    ],
)
def test_what_cannot_be_made_is_one_sentence_and_leaves_nothing(shown, sentence, tmp_path):
    with pytest.raises(PatternError) as caught:
        clip(shown, tmp_path / "clip.mp4", Settings(CANVAS, RATE, SIGNALS["pq10"]))
    assert str(caught.value).startswith(sentence)
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_missing_is_one_sentence(tmp_path):
    settings = Settings(CANVAS, RATE, SIGNALS["pq10"])
    with pytest.raises(VideoError, match=r"clip\.mp4 could not be written: the folder does not"):
        clip([Picture(KINDS["window"](), 1)], tmp_path / "none" / "clip.mp4", settings)


FULL_DISK = """
import resource, signal, sys
from fractions import Fraction
from pathlib import Path
from patterns.picture.canvas import Canvas
from patterns.kinds import KINDS
from patterns.signal.signal import named_signal
from patterns.video import Picture, Settings, VideoError, clip
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]),) * 2)
settings = Settings(Canvas(256, 144), Fraction(24), named_signal("pq10"))
try:
    clip([Picture(KINDS["window"](), 600, "W"), Picture(KINDS["bars"](), 90, "B")],
         Path(sys.argv[1]), settings)
except VideoError as error:
    print(error)
"""


@pytest.mark.skipif(os.name != "posix", reason="a limit to the size of files needs POSIX")
@pytest.mark.parametrize("limit", [10, 20_000, 90_000])
def test_a_disk_that_is_full_at_any_point_is_one_sentence_and_leaves_nothing(limit, tmp_path):
    path = tmp_path / "clip.mp4"
    command = [sys.executable, "-c", FULL_DISK, path, str(limit)]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    assert done.stderr == ""
    assert done.stdout == f"{path} could not be written: the file is too large for this disk.\n"
    assert list(tmp_path.iterdir()) == []
