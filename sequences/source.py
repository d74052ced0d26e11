"""Where sequences and plans come from: a file read whole, as text of a size that it can have."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterable
from pathlib import Path

from sequences.problems import Collector, Problem, SequenceError, What, as_shown, one_of
from sequences.tree import Mapping, Node, Scalar

MOST_BYTES = 256 * 1024
"""Size of a file; the longest shipped sequence has some 3 kB."""


def text_of_file(path: Path, source: str, what: What, shipped: Iterable[str]) -> str:
    """The text of a file.

    Args:
        path: where it is.
        source: what problems call it.
        what: what it is meant to be.
        shipped: the names of those that come with Litfield, for where there is no such file.

    Raises SequenceError where it cannot be read.
    """
    return _decoded(_contents(path, source, what, shipped), source)


def require_size(text: str, source: str, what: What) -> None:
    """Raise SequenceError where a text is longer than a file may be."""
    if (size := len(text.encode("utf-8", "surrogatepass"))) > MOST_BYTES:
        raise _whole(source, *_too_large(size, what))


def sha256_of(text: str) -> str:
    """That of a text in UTF-8."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def head_mapping(root: Node | None, expected: str, collector: Collector) -> Mapping | None:
    """The mapping that a whole file is; None where it is none, which the collector then knows."""
    if isinstance(root, Mapping):
        return root
    empty = root is None or (isinstance(root, Scalar) and root.value is None)
    if not len(collector) or (root is not None and not root.broken and not empty):
        found = "an empty file" if empty or root is None else as_shown(root)
        collector.add(Node(1, 1) if root is None else root, found, expected)
    return None


def _contents(path: Path, source: str, what: What, shipped: Iterable[str]) -> bytes:
    file_of_it = f"a {what} file"
    try:
        facts = path.stat()
        if stat.S_ISDIR(facts.st_mode):
            raise _whole(source, "a directory", file_of_it)
        if not stat.S_ISREG(facts.st_mode):
            raise _whole(source, "no regular file", file_of_it)
        if facts.st_size > MOST_BYTES:
            raise _whole(source, *_too_large(facts.st_size, what))
        with path.open("rb") as file:
            # the file may have grown since
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        expected = file_of_it
        if known := list(shipped):
            expected += f", or the name of a shipped one: {one_of(known, source)}"
        raise _whole(source, "no file of this name", expected) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _whole(source, f"no readable file ({why})", file_of_it) from None
    if len(data) > MOST_BYTES:
        raise _whole(source, f"more than {MOST_BYTES:,} bytes", file_of_it)
    return data


def _decoded(data: bytes, source: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        lines = before.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        found = f"the byte 0x{data[error.start]:02x}, which is not UTF-8 here"
        line, column = len(lines), len(lines[-1]) + 1
        problem = Problem(source, line, column, found, "text in UTF-8")
        raise SequenceError([problem]) from None


def _too_large(size: int, what: What) -> tuple[str, str]:
    return f"{size:,} bytes", f"a {what} of at most {MOST_BYTES:,}"


def _whole(source: str, found: str, expected: str) -> SequenceError:
    return SequenceError([Problem(source, None, None, found, expected)])
