"""Files that are nothing but files: in a folder of ours no link is followed, no pipe waited for.

What lies in such a folder may come from anywhere. A pipe never ends, a device may be disturbed,
and a link leads out of the folder.
"""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader, BufferedWriter
from pathlib import Path
from typing import Literal, overload

_FLAGS = {"rb": os.O_RDONLY, "ab": os.O_WRONLY | os.O_APPEND | os.O_CREAT}
# Windows has no such links that are made in passing, and its own flag for bytes
_ALWAYS = sum(
    getattr(os, name, 0) for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY")
)


def is_ordinary(path: Path) -> bool:
    """Whether there is a file, and no link to one."""
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except (OSError, ValueError):
        return False


@overload
def open_ordinary(path: Path, mode: Literal["rb"] = "rb") -> BufferedReader: ...
@overload
def open_ordinary(path: Path, mode: Literal["ab"]) -> BufferedWriter: ...
def open_ordinary(path: Path, mode: Literal["rb", "ab"] = "rb") -> BufferedReader | BufferedWriter:
    """Open a file to read it, or to write at its end; one to be written is made where missing.

    Raises:
        OSError: as the operating system has it, and where something else than a file is there.
    """
    try:
        _require(path, path.lstat())
    except FileNotFoundError:
        if mode == "rb":
            raise
    handle = os.open(path, _FLAGS[mode] | _ALWAYS, 0o666)
    try:
        _require(path, os.fstat(handle))  # it may be another one by now
        return os.fdopen(handle, "rb") if mode == "rb" else os.fdopen(handle, "ab")
    except BaseException:
        os.close(handle)
        raise


def read_ordinary(path: Path) -> bytes:
    """The content of a file. Raises OSError like :func:`open_ordinary`."""
    with open_ordinary(path) as file:
        return file.read()


def _require(path: Path, found: os.stat_result) -> None:
    if stat.S_ISDIR(found.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if stat.S_ISLNK(found.st_mode):
        raise OSError(errno.EINVAL, "it is a link, not a file", str(path))
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "it is a pipe or a device, not a file", str(path))
