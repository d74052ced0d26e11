"""A clip says what it is: in the stream as ffprobe reads it, and in the boxes of the file."""

import struct
from fractions import Fraction
from pathlib import Path

import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.primaries import P3_D65
from patterns.signal.signal import Signal, named_signal
from patterns.signal.transfer import Pq
from patterns.video import RATES, Picture, Settings, clip
from patterns.video.levels import LEVELS, UNLIMITED
from patterns.video.mp4 import boxes, finish, top_level
from tests.patterns.whole_pictures import frame_of

SMALL, UHD = Canvas(256, 144), Canvas(3840, 2160)
PQ10, HLG10, SDR10 = (named_signal(each) for each in ("pq10", "hlg10", "sdr10"))
SDR8 = named_signal("sdr8")
P3 = Signal(Pq(), P3_D65, 10, "narrow")

STREAM = ("profile", "pix_fmt", "level", "color_range", "color_space", "color_transfer",
          "color_primaries", "chroma_location", "codec_tag_string", "r_frame_rate")  # fmt: skip
"""As ffprobe names them; ``level`` is general_level_idc, thirty times the level."""

SAID = [
    (Settings(SMALL, RATES["23.976"], PQ10),
     ("Main 10", "yuv420p10le", 60, "tv", "bt2020nc", "smpte2084", "bt2020", "topleft", "hvc1",
      "24000/1001")),
    (Settings(SMALL, RATES["25"], HLG10),
     ("Main 10", "yuv420p10le", 60, "tv", "bt2020nc", "arib-std-b67", "bt2020", "topleft", "hvc1",
      "25/1")),
    (Settings(SMALL, RATES["50"], SDR10),
     ("Main 10", "yuv420p10le", 60, "tv", "bt709", "bt709", "bt709", "left", "hvc1", "50/1")),
    (Settings(SMALL, RATES["60"], SDR8.shown_at(8, "narrow")),
     ("Main", "yuv420p", 60, "tv", "bt709", "bt709", "bt709", "left", "hvc1", "60/1")),
    (Settings(SMALL, RATES["59.94"], SDR8),
     ("Main", "yuvj420p", 60, "pc", "bt709", "bt709", "bt709", "left", "hvc1", "60000/1001")),
    (Settings(SMALL, RATES["24"], P3),
     ("Main 10", "yuv420p10le", 60, "tv", "bt2020nc", "smpte2084", "smpte432", "topleft", "hvc1",
      "24/1")),
    (Settings(SMALL, RATES["24"], named_signal("pq12")),
     ("Rext", "yuv420p12le", 60, "tv", "bt2020nc", "smpte2084", "bt2020", "topleft", "hvc1",
      "24/1")),
    (Settings(SMALL, RATES["30"], PQ10, "4:4:4"),
     ("Rext", "yuv444p10le", 60, "tv", "bt2020nc", "smpte2084", "bt2020", None, "hvc1", "30/1")),
    (Settings(SMALL, RATES["29.97"], PQ10, compat=True),
     ("Main 10", "yuv420p10le", 60, "tv", "bt2020nc", "smpte2084", "bt2020", "topleft", "hvc1",
      "30000/1001")),
    (Settings(UHD, RATES["60"], PQ10),
     ("Main 10", "yuv420p10le", 153, "tv", "bt2020nc", "smpte2084", "bt2020", "topleft", "hvc1",
      "60/1")),
    (Settings(Canvas(1920, 1080), RATES["24"], SDR10),
     ("Main 10", "yuv420p10le", 120, "tv", "bt709", "bt709", "bt709", "left", "hvc1", "24/1")),
]  # fmt: skip


@pytest.mark.parametrize(("settings", "said"), SAID)
def test_the_stream_says_what_it_is(settings, said, ffprobe, tmp_path):
    made = clip([Picture(KINDS["window"](), 2)], tmp_path / "clip.mp4", settings)
    found = ffprobe(tmp_path / "clip.mp4")
    stream = found["streams"][0]
    assert tuple(stream.get(each) for each in STREAM) == said
    assert stream["sample_aspect_ratio"] == "1:1"
    assert made.level.idc == said[2]
    frame = found["frames"][0]
    assert (frame["color_space"], frame["color_primaries"]) == (said[4], said[6])
    assert frame.get("chroma_location", "unspecified") == (said[7] or "unspecified")
    if settings.signal.transfer.name != "pq":
        assert "side_data_list" not in frame
        assert "side_data_list" not in stream


def test_hdr10_states_display_and_content_in_the_stream_and_in_the_file(ffprobe, tmp_path):
    # 10 % of the area at code 723: 1004.19 cd/m2 (PQ, computed); 7/64 x 1/8 of the picture is lit

    pixels = KINDS["field"]().frame(SMALL, PQ10).pixels().copy()
    pixels[:] = 64
    pixels[:72, :128] = 723
    clip([Picture(frame_of(pixels, PQ10), 2)], tmp_path / "clip.mp4",
         Settings(SMALL, RATES["24"], PQ10))  # fmt: skip
    mastering = {
        "side_data_type": "Mastering display metadata",
        "red_x": "35400/50000",
        "red_y": "14600/50000",
        "green_x": "8500/50000",
        "green_y": "39850/50000",
        "blue_x": "6550/50000",
        "blue_y": "2300/50000",
        "white_point_x": "15635/50000",
        "white_point_y": "16450/50000",
        "min_luminance": "1/10000",
        "max_luminance": "10050000/10000",
    }
    content = {
        "side_data_type": "Content light level metadata",
        "max_content": 1004,
        "max_average": 251,
    }
    found = ffprobe(tmp_path / "clip.mp4")
    for place in (found["frames"][0], found["streams"][0]):
        assert place["side_data_list"] == [mastering, content]
    entry = sample_entry(tmp_path / "clip.mp4")
    assert struct.unpack(">8H2I", entry[b"mdcv"]) == (
        8500, 39850, 6550, 2300, 35400, 14600, 15635, 16450, 10_050_000, 1,
    )  # fmt: skip
    assert struct.unpack(">2H", entry[b"clli"]) == (1004, 251)


def test_p3_states_its_own_primaries_as_the_display(tmp_path):
    clip([Picture(KINDS["window"](), 1)], tmp_path / "clip.mp4", Settings(SMALL, RATES["24"], P3))
    entry = sample_entry(tmp_path / "clip.mp4")
    # G, B, R, white: SMPTE EG 432-1, as an encoder's documentation writes them (second-hand)
    assert struct.unpack(">8H", entry[b"mdcv"][:16]) == (
        13250, 34500, 7500, 3000, 34000, 16000, 15635, 16450,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("settings", "colr"),
    [
        # primaries, transfer, matrix of H.273, and the range's bit
        (Settings(SMALL, RATES["24"], PQ10), (9, 16, 9, 0)),
        (Settings(SMALL, RATES["24"], HLG10), (9, 18, 9, 0)),
        (Settings(SMALL, RATES["24"], SDR10), (1, 1, 1, 0)),
        (Settings(SMALL, RATES["24"], SDR8), (1, 1, 1, 0x80)),
        (Settings(SMALL, RATES["24"], P3), (12, 16, 9, 0)),
    ],
)
def test_the_file_says_its_colour_in_colr(settings, colr, tmp_path):
    clip([Picture(KINDS["window"](), 1)], tmp_path / "clip.mp4", settings)
    entry = sample_entry(tmp_path / "clip.mp4")
    kind, *points = struct.unpack(">4s3HB", entry[b"colr"])
    assert (kind, *points) == (b"nclx", *colr)
    assert (b"mdcv" in entry) == (settings.signal.transfer.name == "pq")


def test_parameter_sets_stand_in_the_sample_entry_alone_and_the_light_at_every_key(tmp_path):
    import av

    from patterns.video.encoder import kind_of

    clip(
        [Picture(KINDS["window"](), 30)], tmp_path / "clip.mp4", Settings(SMALL, RATES["24"], PQ10)
    )
    record = sample_entry(tmp_path / "clip.mp4")[b"hvcC"]
    assert record[12] == 60  # level 2
    kinds = []
    at = 23
    for _ in range(record[22]):
        complete, (count,) = record[at] >> 7, struct.unpack_from(">H", record, at + 1)
        kinds.append((record[at] & 0x3F, complete, count))
        at += 3
        for _ in range(count):
            at += 2 + struct.unpack_from(">H", record, at)[0]
    assert at == len(record)
    assert [each for each in kinds if each[0] in (32, 33, 34)] == [(n, 1, 1) for n in (32, 33, 34)]
    with av.open(str(tmp_path / "clip.mp4")) as container:
        packets = [bytes(each) for each in container.demux(video=0) if each.size]
    found = []
    for packet in packets:
        at, units = 0, []
        while at < len(packet):
            (size,) = struct.unpack_from(">I", packet, at)
            units.append(kind_of(packet[at + 4 :]))
            at += 4 + size
        found.append(units)
    # 39: prefix SEI, twice (display, content); 20: IDR without leading pictures; 1: a P picture
    assert found[0] == found[24] == [39, 39, 20]
    assert all(each == [1] for number, each in enumerate(found) if number % 24)


def test_a_lossless_clip_too_large_for_any_level_says_so(ffprobe, tmp_path, monkeypatch):
    monkeypatch.setattr("patterns.video.levels.LEVELS", LEVELS[:1])
    monkeypatch.setattr("patterns.video.making.level_for", lambda *_: UNLIMITED)
    settings = Settings(SMALL, RATES["24"], PQ10)
    made = clip([Picture(KINDS["window"](), 2)], tmp_path / "clip.mp4", settings)
    assert not made.holds_a_level
    assert ffprobe(tmp_path / "clip.mp4")["streams"][0]["level"] == 255


def test_the_high_tier_is_stated_in_the_record_and_its_parameter_sets(tmp_path):
    settings = Settings(SMALL, RATES["24"], PQ10)
    clip([Picture(KINDS["window"](), 2)], tmp_path / "clip.mp4", settings)
    high = next(each for each in LEVELS if str(each) == "5.1 High")
    finish(tmp_path / "clip.mp4", high, None)
    record = sample_entry(tmp_path / "clip.mp4")[b"hvcC"]
    assert (record[1], record[12]) == (0x22, 153)  # High tier, profile 2 (Main 10)
    plain = record.replace(b"\0\0\3", b"\0\0")
    # profile_tier_level in the record, the VPS and the SPS
    assert plain.count(bytes.fromhex("2220000000900000000000" + "99")) == 3


def test_a_file_that_is_cut_off_is_never_taken_for_whole(tmp_path):
    path = tmp_path / "clip.mp4"
    clip([Picture(KINDS["window"](), 2)], path, Settings(SMALL, RATES["24"], PQ10))
    whole = path.read_bytes()
    for length in (len(whole) - 1, len(whole) - 500, 700, 40, 5):
        path.write_bytes(whole[:length])
        with pytest.raises(ValueError, match=r"cut off|as the muxer writes it"):
            finish(path, LEVELS[0], None)


def test_moov_is_last_and_its_chunks_point_into_mdat(tmp_path):
    settings = Settings(SMALL, Fraction(24), PQ10)
    shown = [Picture(KINDS["window"](), 30, "W"), Picture(KINDS["ramp"](), 30, "R")]
    clip(shown, tmp_path / "clip.mp4", settings)
    with (tmp_path / "clip.mp4").open("rb") as file:
        parts = top_level(file)
    assert [name for name, _, _ in parts] == [b"ftyp", b"free", b"mdat", b"moov"]
    _, begins, size = parts[2]
    offsets = [
        offset
        for content in every(tmp_path / "clip.mp4", b"stco")
        for (offset,) in struct.iter_unpack(">I", content[8:])
    ]
    assert offsets
    assert all(begins < offset < begins + size for offset in offsets)


def every(path: Path, wanted: bytes) -> list[bytes]:
    """Contents of all boxes of a name in moov."""

    def walk(data: bytes) -> list[bytes]:
        found = []
        for name, content in boxes(data):
            if name == wanted:
                found.append(content)
            if name in (b"moov", b"trak", b"mdia", b"minf", b"stbl"):
                found += walk(content)
        return found

    return walk(path.read_bytes())


def sample_entry(path: Path) -> dict[bytes, bytes]:
    """The boxes of the hvc1 sample entry: after 8 bytes of stsd and 78 of the entry."""
    ((name, entry),) = boxes(every(path, b"stsd")[0][8:])
    assert name == b"hvc1"
    return dict(boxes(entry[78:]))
