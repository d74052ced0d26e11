"""Links, pipes and devices that somebody has laid into a folder of files."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from patterns.atomic import atomic_write
from patterns.errors import PatternError
from patterns.files import Item
from patterns.files.export import ExportError, export
from patterns.files.journal import JOURNAL
from patterns.files.manifest import file_sha256, read_listing
from patterns.files.ordinary import is_ordinary, open_ordinary, read_ordinary
from patterns.files.verify import verify
from patterns.kinds.window import Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links and pipes are POSIX")
LISTS = ["manifest.csv", "overview.png", "overview.pdf", "SHA256SUMS"]
PICTURE = "001-a.png"


def pictures():
    pattern = Window()
    yield Item(1, "a", pattern, pattern.frame(Canvas(128, 72), named_signal("pq10")))


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> Path:
    return export(pictures(), tmp_path_factory.mktemp("whole")).folder


@pytest.fixture
def stick(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(whole, tmp_path / "stick"))


@pytest.mark.parametrize("name", [PICTURE, "manifest.csv"])
def test_a_pipe_in_a_set_is_told_and_not_waited_for(stick: Path, name: str):
    (stick / name).unlink()
    os.mkfifo(stick / name)
    os.mkfifo(stick / "more")
    found = verify(stick)
    assert found.differ == ((name, "it cannot be read: it is a pipe or a device, not a file"),)
    assert found.extra == ("more",)
    assert not found.good


def test_a_link_in_a_set_is_told_though_it_leads_to_the_same_bytes(stick: Path, whole: Path):
    (stick / PICTURE).unlink()
    (stick / PICTURE).symlink_to(whole / PICTURE)
    assert verify(stick).differ == ((PICTURE, "it cannot be read: it is a link, not a file"),)


def test_a_folder_in_the_place_of_a_file_is_told(stick: Path):
    (stick / PICTURE).unlink()
    (stick / PICTURE).mkdir()
    assert [name for name, _ in verify(stick).differ] == [PICTURE]


@pytest.mark.parametrize("name", ["SHA256SUMS", "manifest.csv"])
def test_lists_are_read_from_files_alone(stick: Path, name: str):
    (stick / name).unlink()
    os.mkfifo(stick / name)
    with pytest.raises(PatternError, match="a pipe or a device"):
        read_listing(stick)
    if name == "SHA256SUMS":
        with pytest.raises(PatternError, match="cannot be read: it is a pipe"):
            verify(stick)


@pytest.mark.parametrize("there", [True, False])
def test_a_planted_link_for_the_journal_makes_no_file_elsewhere(tmp_path: Path, there: bool):
    folder, elsewhere = tmp_path / "set", tmp_path / "elsewhere"
    folder.mkdir()
    if there:
        elsewhere.write_bytes(b"")
    (folder / JOURNAL).symlink_to(elsewhere)
    with pytest.raises(ExportError, match=f"{JOURNAL} in .* is not the journal of an export"):
        export(pictures(), folder)
    assert elsewhere.exists() == there
    assert not there or elsewhere.read_bytes() == b""
    assert [each.name for each in folder.iterdir()] == [JOURNAL]


def test_a_pipe_for_the_journal_is_not_waited_for(tmp_path: Path):
    os.mkfifo(tmp_path / JOURNAL)
    with pytest.raises(ExportError, match="is not the journal"):
        export(pictures(), tmp_path)


@pytest.mark.parametrize("name", [*LISTS, PICTURE])
@pytest.mark.parametrize("plant", ["link", "lost link", "link to the same", "pipe"])
def test_an_export_writes_through_no_link(tmp_path: Path, whole: Path, name: str, plant: str):
    folder, elsewhere = tmp_path / "set", tmp_path / "elsewhere"
    folder.mkdir()
    if plant == "pipe":
        os.mkfifo(folder / name)
    else:
        if plant == "link":
            elsewhere.write_bytes(b"of somebody")
        if plant == "link to the same":
            elsewhere.write_bytes((whole / name).read_bytes())
        (folder / name).symlink_to(elsewhere)
    before = elsewhere.read_bytes() if elsewhere.exists() else None
    with pytest.raises(ExportError):
        export(pictures(), folder)
    assert (elsewhere.read_bytes() if elsewhere.exists() else None) == before
    assert not is_ordinary(folder / name)


@pytest.mark.parametrize("name", [*LISTS, PICTURE])
def test_a_finished_set_with_a_link_in_it_is_not_written_through(stick: Path, name: str):
    elsewhere = stick.parent / "elsewhere"
    (stick / name).rename(elsewhere)
    (stick / name).symlink_to(elsewhere)
    before = elsewhere.read_bytes()
    with pytest.raises(ExportError):
        export(pictures(), stick)
    assert elsewhere.read_bytes() == before


def test_a_link_is_replaced_by_the_file_or_followed_where_that_is_asked_for(tmp_path: Path):
    (tmp_path / "target").write_bytes(b"old")
    for follow in (True, False):
        link = tmp_path / f"link {follow}"
        link.symlink_to(tmp_path / "target")
        with atomic_write(link, follow=follow) as file:
            file.write(b"new")
        assert link.is_symlink() is follow
        assert link.read_bytes() == b"new"
        assert (tmp_path / "target").read_bytes() == (b"new" if follow else b"old")
        (tmp_path / "target").write_bytes(b"old")
    with atomic_write(tmp_path / "lost") as file:
        file.write(b"a")
    assert is_ordinary(tmp_path / "lost")


def test_only_files_are_opened(tmp_path: Path):
    # 6b86b273...: SHA-256 of "1", by sha256sum of GNU coreutils
    (tmp_path / "file").write_bytes(b"abc")
    (tmp_path / "link").symlink_to(tmp_path / "file")
    os.mkfifo(tmp_path / "pipe")
    assert read_ordinary(tmp_path / "file") == b"abc"
    with open_ordinary(tmp_path / "new", "ab") as file:
        file.write(b"1")
    assert file_sha256(tmp_path / "new").startswith("6b86b273")
    for name in ("link", "pipe"):
        for mode in ("rb", "ab"):
            with pytest.raises(OSError, match="not a file"):
                open_ordinary(tmp_path / name, mode)
    with pytest.raises(IsADirectoryError):
        read_ordinary(tmp_path)
    with pytest.raises(FileNotFoundError):
        read_ordinary(tmp_path / "missing")
    with pytest.raises(OSError, match="not a file"):
        read_ordinary(Path("/dev/null"))
