"""Files appear whole or not at all."""

import errno
import os
from pathlib import Path

import pytest

from patterns.atomic import atomic_path, atomic_write, why


def test_a_written_file_appears_under_its_name_and_alone(tmp_path):
    with atomic_write(tmp_path / "a.txt") as file:
        file.write(b"whole")
        assert not (tmp_path / "a.txt").exists()
    assert (tmp_path / "a.txt").read_bytes() == b"whole"
    assert [each.name for each in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("failure", [OSError(errno.ENOSPC, "x"), ValueError(), KeyboardInterrupt()])
def test_a_failure_leaves_what_was_there_and_nothing_else(tmp_path, failure):
    (tmp_path / "a.txt").write_bytes(b"before")

    def write() -> None:
        with atomic_write(tmp_path / "a.txt") as file:
            file.write(b"half")
            raise failure

    with pytest.raises(type(failure)):
        write()
    assert (tmp_path / "a.txt").read_bytes() == b"before"
    assert [each.name for each in tmp_path.iterdir()] == ["a.txt"]


def test_a_file_there_is_kept_where_replacing_is_not_asked(tmp_path):
    (tmp_path / "a.txt").write_bytes(b"before")
    with (
        pytest.raises(FileExistsError) as raised,
        atomic_write(tmp_path / "a.txt", replace=False) as file,
    ):
        file.write(b"after")
    assert why(raised.value) == "a file of this name is there already"
    assert (tmp_path / "a.txt").read_bytes() == b"before"


def test_a_file_that_appears_meanwhile_is_kept_too(tmp_path):
    def write() -> None:
        with atomic_write(tmp_path / "a.txt", replace=False) as file:
            (tmp_path / "a.txt").write_bytes(b"theirs")
            file.write(b"ours")

    with pytest.raises(FileExistsError):
        write()
    assert (tmp_path / "a.txt").read_bytes() == b"theirs"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_temporary_path_lies_beside_and_keeps_its_suffix(tmp_path):
    with atomic_path(tmp_path / "a.tiff") as temporary:
        assert temporary.parent == tmp_path
        assert temporary.suffix == ".tiff"
        temporary.write_bytes(b"x")
    assert (tmp_path / "a.tiff").read_bytes() == b"x"


def test_a_block_that_writes_nothing_is_an_error_and_makes_nothing(tmp_path):
    with pytest.raises(FileNotFoundError), atomic_path(tmp_path / "a.txt"):
        pass
    assert not list(tmp_path.iterdir())


def test_content_is_synced_before_the_name_changes(tmp_path, monkeypatch):
    synced = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda h: (synced.append((tmp_path / "a").exists()), real(h)))
    with atomic_write(tmp_path / "a") as file:
        file.write(b"x")
    assert synced[0] is False


@pytest.mark.skipif(os.name != "posix", reason="file modes are a matter of POSIX")
def test_the_file_has_the_ordinary_mode(tmp_path):
    (tmp_path / "plain").write_bytes(b"")
    with atomic_write(tmp_path / "a") as file:
        file.write(b"x")
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "plain").stat().st_mode


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EACCES, "writing there is not allowed"),
        (errno.ENOENT, "the folder does not exist"),
    ],
)
def test_reasons_are_plain_words(number: int, words: str):
    assert why(OSError(number, os.strerror(number))) == words


def test_an_unusual_reason_is_the_systems_own():
    assert why(OSError(errno.ELOOP, "Too many levels of symbolic links.")) == (
        "too many levels of symbolic links"
    )


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="only POSIX has pipes with names")
def test_a_pipe_is_not_replaced_by_a_file(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with (
        pytest.raises(OSError, match="a device or a pipe") as told,
        atomic_write(tmp_path / "pipe") as file,
    ):
        file.write(b"lost")
    assert why(told.value) == "that is a device or a pipe, not a file"
    assert (tmp_path / "pipe").is_fifo()
    assert [path.name for path in tmp_path.iterdir()] == ["pipe"]


def refused(winerror: int, path: object = None) -> PermissionError:
    """As Windows raises it; no other system fills the field."""
    error = PermissionError(errno.EACCES, "The process cannot access the file", str(path or "a"))
    error.winerror = winerror
    return error


@pytest.mark.parametrize("winerror", [32, 33])
def test_a_file_that_another_program_has_open_is_told_as_that(winerror):
    said = why(refused(winerror, "wall.csv"))
    assert said == "wall.csv is open in another program; close it there"


def test_a_file_that_may_not_be_written_is_told_as_before():
    assert why(refused(5, "wall.csv")) == "writing there is not allowed"


@pytest.mark.parametrize(
    ("opening", "said"),
    [
        (32, "{} is open in another program; close it there"),
        (None, "{} is open in another program; close it there"),
        (5, "writing there is not allowed"),
    ],
)
def test_a_file_that_windows_will_not_replace_is_looked_at_for_its_reason(
    tmp_path, monkeypatch, opening: int | None, said: str
):
    """A program may keep others from writing the file, or only from removing it."""
    target = tmp_path / "wall.csv"
    target.write_bytes(b"before")
    real = Path.open

    def replace(path: Path, _: Path) -> None:
        raise refused(5, path)

    def opened(path: Path, mode: str = "r", *more: object) -> object:
        if path == target and mode == "r+b" and opening is not None:
            raise refused(opening, path)
        return real(path, mode, *more)

    monkeypatch.setattr(Path, "replace", replace)
    monkeypatch.setattr(Path, "open", opened)
    with pytest.raises(PermissionError) as caught, atomic_write(target) as file:
        file.write(b"after")
    monkeypatch.undo()
    assert why(caught.value) == said.format(target)
    assert target.read_bytes() == b"before"
    assert [each.name for each in tmp_path.iterdir()] == ["wall.csv"]
