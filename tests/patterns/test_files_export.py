"""Exports: numbered files, their lists, and what happens when the disk does not play along."""

import csv
import errno
import hashlib
import os
import shutil
import subprocess
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.files import FORMATS, Item, work
from patterns.files.container import container16
from patterns.files.export import ExportError, export
from patterns.files.folder import Folder
from patterns.files.journal import JOURNAL
from patterns.files.manifest import COLUMNS
from patterns.kinds import KINDS
from patterns.kinds.moving_box import MovingBox
from patterns.kinds.window import Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from tests.disks import needs_root, tiny_disk
from tests.patterns.whole_pictures import frame_of

SMALL = Canvas(256, 144)
LISTS = ["SHA256SUMS", "manifest.csv", "overview.pdf", "overview.png"]


def items(*labels: str, signal: str = "pq10", level: str = "100 %"):
    for number, label in enumerate(labels or ("10 % window", "again"), 1):
        pattern = Window(level=level, area=f"{10 * number} %")
        yield Item(number, label, pattern, pattern.frame(SMALL, named_signal(signal)))


def names(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "manifest.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def sums_hold(folder: Path) -> bool:
    """Check SHA256SUMS as sha256sum -c does, for systems without it."""
    lines = (folder / "SHA256SUMS").read_text("utf-8").splitlines()
    pairs = [line.split("  ") for line in lines]
    return all(hashlib.sha256((folder / n).read_bytes()).hexdigest() == h for h, n in pairs)


def test_an_export_has_numbered_files_and_its_lists(tmp_path):
    told = []
    made = export(
        items(), tmp_path / "new" / "out", ("png", "tiff"), lambda _, name: told.append(name)
    )
    files = [
        "001-10-percent-window.png",
        "001-10-percent-window.tiff",
        "002-again.png",
        "002-again.tiff",
    ]
    assert names(tmp_path / "new" / "out") == [*files, *LISTS]
    assert list(made.files) == files == told
    assert made.left == ()


def test_every_kind_can_be_exported_in_every_format(suited, tmp_path):
    def catalogue():
        for number, (name, kind) in enumerate(KINDS.items(), 1):
            signal = suited(kind, named_signal("hlg10"))
            yield Item(number, name, kind(), kind().frame(SMALL, signal))

    stills = [name for name in FORMATS if name != "hevc"]
    made = export(catalogue(), tmp_path, stills)
    assert len(made.files) == len(KINDS) * len(stills)
    assert sums_hold(tmp_path)


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_sha256sum_accepts_the_sums_and_they_cover_everything(tmp_path):
    export(items("a", "Größe"), tmp_path)
    done = subprocess.run(
        ["sha256sum", "--check", "--strict", "SHA256SUMS"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "001-a.png: OK",
        "002-grosse.png: OK",
        "manifest.csv: OK",
        "overview.png: OK",
        "overview.pdf: OK",
    ]


def test_the_manifest_says_what_every_file_holds(tmp_path):
    (item,) = items("10 % window, =1+1")
    export([item], tmp_path)
    (row,) = rows(tmp_path)
    assert tuple(row) == COLUMNS
    assert row["file"] == "001-10-percent-window-1-plus-1.png"
    assert row["label"] == "10 % window, =1+1"
    assert row["kind"] == "window"
    assert '"area": "10 %"' in row["parameters"]
    assert row["signal"] == (
        '{"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}'
    )
    assert row["inks_codes"] == "level: 940 940 940; background: 64 64 64"
    # 940 is 10000 cd/m2, 64 is 0: BT.2100-3 Table 9; white D65, BT.2020-2 Table 3
    assert row["inks_luminance_cd_m2"] == "level: 10000; background: 0"
    assert row["inks_xy"] == "level: 0.3127 0.3290; background: none"
    # 81 x 46 of 256 x 144 pixels is the nearest to 10 % in the canvas's shape
    assert row["area_percent"] == row["lit_area_percent"] == row["mean_level_percent"]
    assert abs(float(row["area_percent"]) - 10) < 0.2
    assert row["max_cll_cd_m2"] == "10000"
    assert float(row["max_fall_cd_m2"]) == pytest.approx(100 * float(row["area_percent"]), rel=1e-5)
    assert row["container"] == "10-bit code << 6"
    assert row["clipped"] == ""
    assert row["codes_sha256"] == item.frame.sha256
    assert row["file_sha256"] == hashlib.sha256((tmp_path / row["file"]).read_bytes()).hexdigest()


def test_the_manifest_says_what_was_clipped(tmp_path):
    pattern = Window(level="20000 cd/m2", clip=True)
    frame = pattern.frame(SMALL, named_signal("pq10"))
    export([Item(1, "too much", pattern, frame)], tmp_path)
    assert rows(tmp_path)[0]["clipped"] == "level: 20000 cd/m2"


def test_the_overview_says_which_steps_a_picture_is_for(tmp_path, monkeypatch):
    captions: list[list[str]] = []
    for sheet in ("overview", "overview_pdf"):
        drawn = getattr(work, sheet)

        def noted(thumbnails, *rest, drawn=drawn):
            captions.append([each.label for each in thumbnails])
            return drawn(thumbnails, *rest)

        monkeypatch.setattr(work, sheet, noted)
    window = Window()
    frame = window.frame(SMALL, named_signal("pq10"))
    made = export([Item(1, "a", window, frame), Item(2, "b", window, frame, last=18)], tmp_path)
    assert captions == [["a", "Steps 2 to 18: b"]] * 2
    assert made.shared == {2: "2 to 18"}
    with (tmp_path / "manifest.csv").open(newline="", encoding="utf-8") as file:
        assert [row["steps"] for row in csv.DictReader(file)] == ["1", "2 to 18"]


def test_a_moving_pattern_is_exported_as_it_starts(tmp_path):
    pattern = MovingBox()
    export([Item(1, "box", pattern, pattern.frame(SMALL, named_signal("sdr8")))], tmp_path)
    pixels = cv2.imread(str(tmp_path / "001-box.png"), cv2.IMREAD_UNCHANGED)
    assert pixels[0, 0].tolist() == [65_535] * 3
    assert pixels[0, -1].tolist() == [0] * 3


def test_the_overview_is_a_picture_of_the_right_size(tmp_path):
    export(items("a", "b", "c"), tmp_path)
    assert cv2.imread(str(tmp_path / "overview.png")).shape == (28 + 144 + 44 + 28, 28 + 3 * 348, 3)


def test_the_same_export_again_gives_the_same_files(tmp_path):
    export(items(), tmp_path)
    before = {each.name: each.read_bytes() for each in tmp_path.iterdir()}
    export(items(), tmp_path)
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before


def test_a_changed_export_replaces_its_own_files_and_says_what_is_left(tmp_path):
    export(items("a", "b", "c"), tmp_path)
    made = export(items("a", "b", level="50 %"), tmp_path)
    assert made.left == ("003-c.png",)
    assert [row["file"] for row in rows(tmp_path)] == ["001-a.png", "002-b.png"]
    assert sums_hold(tmp_path)
    frame = next(items("a", level="50 %")).frame
    pixels = cv2.imread(str(tmp_path / "001-a.png"), cv2.IMREAD_UNCHANGED)
    assert np.array_equal(pixels[..., ::-1], container16(frame).pixels())


def test_other_files_in_the_folder_stay_as_they_are(tmp_path):
    (tmp_path / "notes.txt").write_text("keep")
    export(items(), tmp_path)
    assert (tmp_path / "notes.txt").read_text() == "keep"
    assert "notes.txt" not in (tmp_path / "SHA256SUMS").read_text()


@pytest.mark.parametrize("name", ["001-a.png", *LISTS])
def test_a_file_of_someone_else_is_never_overwritten(tmp_path, name: str):
    (tmp_path / name).write_bytes(b"theirs")
    with pytest.raises(ExportError, match=f"^{name} is in .* choose another folder\\.$"):
        export(items("a"), tmp_path)
    assert names(tmp_path) == [name]
    assert (tmp_path / name).read_bytes() == b"theirs"


def test_a_file_of_ours_that_was_changed_is_never_overwritten(tmp_path):
    export(items("a", "b"), tmp_path)
    (tmp_path / "002-b.png").write_bytes(b"retouched")
    with pytest.raises(ExportError, match=r"^002-b\.png is in "):
        export(items("a", "b", level="50 %"), tmp_path)
    assert (tmp_path / "002-b.png").read_bytes() == b"retouched"
    assert [row["file"] for row in rows(tmp_path)] == ["001-a.png"]
    assert sums_hold(tmp_path)


def test_an_export_that_was_cut_off_can_be_made_again(tmp_path):
    export(items("a", "b"), tmp_path)
    for name in LISTS:
        (tmp_path / name).unlink()
    assert export(items("a", "b"), tmp_path).files == ("001-a.png", "002-b.png")


def test_a_target_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "out").write_text("x")
    with pytest.raises(ExportError, match=r"out is a file; an export needs a folder\.$"):
        export(items(), tmp_path / "out")


def test_a_target_below_a_file_is_refused(tmp_path):
    (tmp_path / "out").write_text("x")
    with pytest.raises(ExportError, match=r"finished: a part of the path is a file"):
        export(items(), tmp_path / "out" / "deeper")


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_a_folder_that_may_not_be_written_is_refused(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(ExportError, match=r"writing there is not allowed\.$"):
        export(items(), tmp_path)


@pytest.mark.parametrize(
    ("number", "words"),
    [(errno.ENOSPC, "the disk is full"), (errno.EACCES, "writing there is not allowed")],
)
def test_a_disk_that_fails_half_way_leaves_whole_files_and_true_lists(
    tmp_path, monkeypatch, number: int, words: str
):
    def fails(item: Item, path: Path) -> None:
        if item.number == 3:
            path.write_bytes(b"half a file")
            raise OSError(number, os.strerror(number))
        real(item, path)

    real = FORMATS["png"].write
    monkeypatch.setattr(FORMATS["png"], "write", fails, raising=True)
    with pytest.raises(ExportError) as raised:
        export(items("a", "b", "c", "d"), tmp_path)
    assert str(raised.value) == (
        f"003-c.png could not be written to {tmp_path}: {words}; the files before it are whole (2)."
    )
    assert names(tmp_path) == [JOURNAL, "001-a.png", "002-b.png", *LISTS]
    assert [row["file"] for row in rows(tmp_path)] == ["001-a.png", "002-b.png"]
    assert sums_hold(tmp_path)


def test_where_not_even_the_lists_can_be_written_there_are_none(tmp_path, monkeypatch):
    export(items("a", "b"), tmp_path)

    @contextmanager
    def full(path: Path):
        raise OSError(errno.ENOSPC, "full")
        yield path

    monkeypatch.setattr("patterns.files.work.atomic_write", full)
    with pytest.raises(ExportError, match=r"could not be finished: the disk is full\.$"):
        export(items("a", "b", level="50 %"), tmp_path)
    assert names(tmp_path) == [JOURNAL, "001-a.png", "002-b.png"]


def test_a_frame_that_cannot_be_made_leaves_what_was_made_before(tmp_path):
    def some():
        yield next(items("a"))
        raise PatternError("It cannot be made.")

    with pytest.raises(PatternError, match="cannot be made"):
        export(some(), tmp_path)
    assert names(tmp_path) == [JOURNAL, "001-a.png", *LISTS]
    assert sums_hold(tmp_path)


def test_too_little_room_is_told_before_anything_is_written(tmp_path, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 9, 50_000))
    with pytest.raises(ExportError, match=r"has 0\.1 MB free, and the lists may need 0\.1 MB\.$"):
        export(items(), tmp_path)
    assert names(tmp_path) == []


@needs_root
def test_a_disk_that_is_nearly_full_is_noticed_before_each_file(tmp_path):
    with tiny_disk(tmp_path / "disk", "400k") as disk:
        labels = [f"step {n}" for n in range(1, 8)]
        with pytest.raises(ExportError, match=r"MB free, and .* the files before it are whole"):
            export(items(*labels), disk)
        made = [row["file"] for row in rows(disk)]
        assert 0 < len(made) < 7
        assert names(disk) == [JOURNAL, *made, *LISTS]
        assert sums_hold(disk)


@needs_root
def test_a_disk_that_is_full_leaves_nothing_half_written(tmp_path, monkeypatch):
    monkeypatch.setattr(Folder, "require_room", lambda *_: None)
    rng = np.random.default_rng(2)

    def noise():
        for item in items(*(f"step {n}" for n in range(1, 8))):
            rows_ = rng.integers(0, 1024, (40, 256, 3), dtype=np.uint16)
            frame = type(item.frame)(rows_, np.arange(40, dtype=np.uint16), item.frame.signal)
            yield Item(item.number, item.label, item.pattern, frame)

    with tiny_disk(tmp_path / "disk", "200k") as disk:
        with pytest.raises(ExportError, match=r"could not be .*: the disk is full"):
            export(noise(), disk)
        left = names(disk)
        assert [name for name in left if name.startswith(".")] == [JOURNAL]
        if "SHA256SUMS" in left:
            assert sums_hold(disk)
        for name in left:
            if name.startswith("00"):
                assert cv2.imread(str(disk / name), cv2.IMREAD_UNCHANGED).shape == (40, 256, 3)


@needs_root
@pytest.mark.parametrize("size", ["300k", "400k", "700k", "1000k"])
def test_a_disk_that_fills_up_within_a_clip_leaves_no_half_of_it(tmp_path, monkeypatch, size: str):
    monkeypatch.setattr(Folder, "require_room", lambda *_: None)
    rng = np.random.default_rng(2)

    def noise():
        for item in items("one", "two"):
            grey = np.repeat(rng.integers(64, 940, (144, 256, 1), dtype=np.uint16), 3, axis=2)
            frame = frame_of(grey, item.frame.signal)
            yield replace(item, frame=frame, hold=Fraction(12))

    with tiny_disk(tmp_path / "disk", size) as disk:
        with pytest.raises(ExportError, match=r"could not be .*: the disk is full"):
            export(noise(), disk, ("hevc",))
        left = names(disk)
        assert [name for name in left if name.startswith(".")] in ([], [JOURNAL])
        if "SHA256SUMS" in left:
            assert sums_hold(disk)


def test_an_unknown_format_is_named_with_those_there_are(tmp_path):
    with pytest.raises(PatternError, match=r"^There is no format 'gif'; there are png, tiff"):
        export(items(), tmp_path, ("png", "gif"))


def test_nothing_to_export_is_said(tmp_path):
    with pytest.raises(ExportError, match="nothing to export"):
        export([], tmp_path)


def test_two_pictures_with_one_number_are_refused(tmp_path):
    with pytest.raises(ExportError, match="Two pictures have number 1"):
        export([*items("a"), *items("b")], tmp_path)
