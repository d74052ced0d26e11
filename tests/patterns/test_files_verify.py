"""A copied set, read again: which files differ, are missing or are nobody's."""

import hashlib
import shutil
from pathlib import Path

import pytest

from patterns.errors import PatternError
from patterns.files import Item
from patterns.files.export import export
from patterns.files.journal import JOURNAL
from patterns.files.verify import verify
from patterns.kinds.window import Window
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

FILES = ["001-a.png", "002-b.png", "manifest.csv", "overview.pdf", "overview.png"]


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> Path:
    def items():
        for number, label in enumerate("ab", 1):
            pattern = Window(area=f"{number} %")
            frame = pattern.frame(Canvas(128, 72), named_signal("pq10"))
            yield Item(number, label, pattern, frame)

    return export(items(), tmp_path_factory.mktemp("whole")).folder


@pytest.fixture
def stick(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(whole, tmp_path / "USB stick ä"))


def flip(path: Path, at: int) -> None:
    data = bytearray(path.read_bytes())
    data[at] ^= 0x10
    path.write_bytes(data)


def test_a_faithful_copy_is_good(stick: Path):
    found = verify(stick)
    assert found.good
    assert list(found.whole) == FILES


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("place", [0, -1, 0.5])
def test_one_flipped_byte_in_any_file_is_found(stick: Path, name: str, place: float):
    size = (stick / name).stat().st_size
    flip(stick / name, int(size * place) if isinstance(place, float) else place)
    found = verify(stick)
    assert found.differ == ((name, "its content is not what was written"),)
    assert not found.good
    assert set(found.whole) == set(FILES) - {name}


def test_a_flipped_byte_in_the_list_of_sums_is_found_wherever_it_is(stick: Path):
    before = (stick / "SHA256SUMS").read_bytes()
    for at in range(0, len(before), 7):
        flip(stick / "SHA256SUMS", at)
        try:
            assert not verify(stick).good, at
        except PatternError as error:
            assert "damaged" in str(error)  # noqa: PT017 - either is right, depending on the byte
        (stick / "SHA256SUMS").write_bytes(before)


def test_where_the_sum_was_hurt_and_not_the_file_the_list_is_blamed(stick: Path):
    sums = stick / "SHA256SUMS"
    right = hashlib.sha256((stick / "001-a.png").read_bytes()).hexdigest()
    wrong = ("0" if right[0] != "0" else "1") + right[1:]
    sums.write_text(sums.read_text().replace(right, wrong))
    assert verify(stick).differ == (
        ("001-a.png", "its line in SHA256SUMS does, the file is whole"),
    )


def test_missing_and_extra_files_are_named(stick: Path):
    (stick / "001-a.png").unlink()
    (stick / "holiday.jpg").write_bytes(b"x")
    found = verify(stick)
    assert (found.missing, found.extra, found.good) == (("001-a.png",), ("holiday.jpg",), False)


def test_what_systems_leave_on_a_stick_is_no_extra_file(stick: Path):
    for name in (".DS_Store", "._001-a.png", "Thumbs.db"):
        (stick / name).write_bytes(b"x")
    (stick / "System Volume Information").mkdir()
    assert verify(stick).good


def test_a_file_cut_short_differs(stick: Path):
    data = (stick / "002-b.png").read_bytes()
    (stick / "002-b.png").write_bytes(data[:-1])
    assert [name for name, _ in verify(stick).differ] == ["002-b.png"]


def test_a_folder_in_place_of_a_file_differs_with_its_reason(stick: Path):
    (stick / "002-b.png").unlink()
    (stick / "002-b.png").mkdir()
    ((name, reason),) = verify(stick).differ
    assert name == "002-b.png"
    assert reason.startswith("it cannot be read: ")


def test_no_set_is_told(tmp_path: Path):
    with pytest.raises(PatternError, match=r"has no SHA256SUMS, so it is no whole set\.$"):
        verify(tmp_path)
    (tmp_path / JOURNAL).write_bytes(b"")
    with pytest.raises(PatternError, match="cut off; the same command again finishes it"):
        verify(tmp_path)
    with pytest.raises(PatternError, match="is no folder"):
        verify(tmp_path / "none")


def test_a_set_with_a_journal_is_not_finished(stick: Path):
    (stick / JOURNAL).write_bytes(b"")
    found = verify(stick)
    assert found.unfinished
    assert not found.good
