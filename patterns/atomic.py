"""Files that appear whole or not at all: a temporary name, fsync, then the real name."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT if hasattr(errno, "EDQUOT") else -1: "the disk quota is used up",
    errno.EFBIG: "the file is too large for this disk",
    errno.EACCES: "writing there is not allowed",
    errno.EPERM: "writing there is not allowed",
    errno.EROFS: "the disk is read-only",
    errno.EEXIST: "a file of this name is there already",
    errno.ENOENT: "the folder does not exist",
    errno.ENOTDIR: "a part of the path is a file, not a folder",
    errno.EISDIR: "there is a folder of this name",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EIO: "the disk reports an error",
}


IN_USE = {32, 33}
"""ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION of Windows (winerror.h, from memory)."""
DENIED = 5
"""ERROR_ACCESS_DENIED, which Windows also says where it cannot replace a file that is open."""


class _InUseError(PermissionError):
    """Windows will not replace a file, since another program has it open."""


def in_use(error: OSError) -> str:
    """The name of the file that another program has open, so that Windows refused; empty else."""
    if not isinstance(error, _InUseError) and getattr(error, "winerror", None) not in IN_USE:
        return ""
    return str(error.filename2 or error.filename or "") or "the file"


def why(error: OSError) -> str:
    """The reason of an operating-system error in plain words, to stand after a colon."""
    if name := in_use(error):
        return f"{name} is open in another program; close it there"
    return REASONS.get(error.errno or 0) or (error.strerror or str(error)).rstrip(".").lower()


@contextmanager
def atomic_path(path: Path, *, replace: bool = True, follow: bool = False) -> Iterator[Path]:
    """Give a temporary path beside ``path``; when the block ends well, it becomes ``path``.

    The content is on the disk (fsync) before the name changes. Where the block fails, the
    temporary file is removed and ``path`` is as it was. For writers that open a file by its name;
    the temporary name has the suffix of ``path``, since some of them look at it.

    Args:
        path: where the file is to be; its folder exists.
        replace: whether a file of that name may be replaced; if not, FileExistsError.
        follow: whether of a link the file that it leads to is made, for a file that somebody
            named; otherwise the link itself is replaced.

    Raises:
        OSError: as the operating system has it; :func:`why` says it in words.
    """
    path = Path(path)
    if not replace:
        _require_free(path)
    if follow and path.is_symlink():
        path = path.resolve()  # the file is replaced, and the link goes on leading to it
    _require_file(path)
    temporary = path.with_name(f".part-{secrets.token_hex(6)}{path.suffix}")
    try:
        yield temporary
        # opened for writing, since Windows flushes nothing else
        with temporary.open("r+b") as file:
            os.fsync(file.fileno())
        if not replace:
            _require_free(path)
        # os.replace, for what the file system calls atomic on every platform
        try:
            temporary.replace(path)
        except PermissionError as error:
            _tell_in_use(path, error)
            raise
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


@contextmanager
def atomic_write(path: Path, *, replace: bool = True, follow: bool = False) -> Iterator[BinaryIO]:
    """Give a file open for writing bytes, that becomes ``path`` when the block ends well.

    See :func:`atomic_path` for what is promised.
    """
    whole = atomic_path(path, replace=replace, follow=follow)
    with whole as temporary, temporary.open("xb") as file:
        yield file


def _require_free(path: Path) -> None:
    if os.path.lexists(path):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))


def _tell_in_use(path: Path, error: OSError) -> None:
    """Raise _InUseError where that is why Windows says that replacing is denied."""
    if getattr(error, "winerror", None) != DENIED or not path.is_file():
        return
    try:
        path.open("r+b").close()
    except OSError as found:
        if not in_use(found):
            return
    # what may be written and not replaced is open where it is read without letting others remove it
    raise _InUseError(error.errno, error.strerror, str(path)) from error


def _require_file(path: Path) -> None:
    """A device or a pipe would be replaced by a file, and gone."""
    if path.exists() and not path.is_file() and not path.is_dir():
        raise OSError(errno.EINVAL, "that is a device or a pipe, not a file", str(path))


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system can (not on Windows)."""
    if os.name != "posix":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:  # some network and FUSE disks refuse it; the file itself is synced
        pass
    finally:
        os.close(handle)
